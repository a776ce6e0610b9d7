"""A parcel on its way: two bodies of heat between the walls of a box, solved exactly for many draws."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.limits import Limits

Floats = NDArray[np.float64]

STEP_H = 0.25  # how often a temperature is looked at
_DAY = 2.0 * np.pi / 24.0
_HOUR_S = 3600.0
_FADES = 1.25  # a pack is cold at so many times its label's hours
_SPAN = Limits("hours of a leg", 1e-3, 24.0 * 60, "h")
_OUTSIDE = Limits("temperature outside", -60.0, 80.0, "C")
_SWING = Limits("swing of the day", 0.0, 40.0, "C")


@dataclass(frozen=True, slots=True)
class BoxHeat:
    """A box and what lies in it as two bodies, one value a draw: the air with its packing, and the plants."""

    through_w_k: Floats  # walls
    between_w_k: Floats  # air and plants
    air_j_k: Floats  # air, padding and half of the walls
    plants_j_k: Floats  # plants with the water about their roots

    @property
    def draws(self) -> int:
        """How many there are."""
        return len(self.through_w_k)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of the way: an even temperature outside with the swing of the day on it."""

    span_h: float
    mean_c: float
    swing_c: float = 0.0  # above and below the mean
    peak_after_h: float = 0.0  # from its start to the warmest moment of a day


@dataclass(frozen=True, slots=True)
class PackCurve:
    """Heat of one pack, straight between its moments, none before and after."""

    after_h: tuple[float, ...]
    power_w: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Track:
    """Temperatures along the way: a row a draw, a column a moment."""

    after_h: Floats
    outside_c: Floats
    air_c: Floats
    plants_c: Floats

    @property
    def coldest_c(self) -> Floats:
        """The plants' coldest moment of each draw."""
        return np.asarray(self.plants_c.min(axis=1))

    @property
    def hottest_c(self) -> Floats:
        """The plants' hottest moment of each draw."""
        return np.asarray(self.plants_c.max(axis=1))


def box_heat(
    through_w_k: ArrayLike, between_w_k: ArrayLike, air_j_k: ArrayLike, plants_j_k: ArrayLike
) -> BoxHeat:
    """Two bodies of heat from their figures, each one number or one a draw.

    Parameters
    ----------
    through_w_k : array_like
        Heat through the walls for each degree. [W/K] Valid above 0.
    between_w_k : array_like
        Heat between the air and the plants. [W/K] Valid above 0.
    air_j_k : array_like
        Heat that warms the air with the packing by a degree. [J/K] Valid above 0.
    plants_j_k : array_like
        Heat that warms the plants with their wet roots by a degree. [J/K] Valid above 0.

    Returns
    -------
    BoxHeat
        All of one length.

    Raises
    ------
    RefusedInput
        If a value is nan, infinite or not above 0.

    Notes
    -----
    No equation; single numbers are repeated.

    Source: own definition
    """
    given = {
        "through_w_k": through_w_k, "between_w_k": between_w_k, "air_j_k": air_j_k, "plants_j_k": plants_j_k,
    }  # fmt: skip
    columns = np.broadcast_arrays(*(np.atleast_1d(np.asarray(v, dtype=float)) for v in given.values()))
    for name, column in zip(given, columns, strict=True):
        if not (np.isfinite(column).all() and (column > 0.0).all()):
            raise RefusedInput(name, given[name], "numbers above 0")
    return BoxHeat(*(np.array(column) for column in columns))


def pack_curve(label_h: float, mean_w: float | None = None) -> PackCurve:
    """Heat of a pack over its hours, from what its label says.

    A pack takes about two hours to get warm, then weakens as its iron is used up. At its label's hours it
    gives half its mean or less, and it is cold a quarter later.

    Parameters
    ----------
    label_h : float
        Hours on the label. [h] Valid 8..240.
    mean_w : float
        Mean power over those hours where it is known; None for the usual. [W] Valid above 0..40.

    Returns
    -------
    PackCurve
        Moments in hours after it is opened, power in W.

    Raises
    ------
    RefusedInput
        If a value is nan or outside its range.

    Notes
    -----
    Shape 0.3, 1.45, 0.5, 0 of the mean at 0, 2, label and 1.25 label hours, scaled so that the mean over
    the label's hours is kept. Usual mean: 3.5 W x sqrt(40 / label). A pack gives at most 7.4 kJ for each gram
    of iron in it, and less where no air reaches it; cold slows it, which is not in the curve.

    Source: priors, Boxes on their way; iron-oxidation

    Examples
    --------
    >>> curve = pack_curve(40.0)
    >>> round(max(curve.power_w), 1)
    5.2
    """
    label = Limits("hours of the heat pack", 8.0, 240.0, "h").one(label_h)
    usual = starting.PACK_W * float(np.sqrt(starting.PACK_LABEL_H / label))
    mean = usual if mean_w is None else Limits("power of the heat pack", 1e-3, 40.0, "W").one(mean_w)
    moments, shape = np.array([0.0, 2.0, label]), np.array([0.3, 1.45, 0.5])
    scale = mean * label / float(((shape[1:] + shape[:-1]) / 2.0 * np.diff(moments)).sum())
    power = (*(float(x) for x in shape * scale), 0.0)
    return PackCurve((*(float(x) for x in moments), _FADES * label), power)


def parcel_temperatures(
    heat: BoxHeat,
    stretches: Sequence[Stretch],
    start_c: ArrayLike,
    shift_c: ArrayLike = 0.0,
    pack: PackCurve | None = None,
    packs: ArrayLike = 1.0,
    more_swing_c: ArrayLike = 0.0,
) -> Track:
    """Temperature of the air and of the plants in a box along its way.

    Parameters
    ----------
    heat : BoxHeat
        The box, one value a draw.
    stretches : sequence of Stretch
        The way, in order, at least one.
    start_c : array_like
        Of all that is in the box when it is closed; one, or one a draw. [C] Valid -60..80.
    shift_c : array_like
        Added to the temperature outside: one number, or a row a draw with a column a stretch. [C] Valid
        -40..40.
    pack : PackCurve
        Heat of one pack, opened when the box is closed; None without.
    packs : array_like
        How many packs work, as a number a draw; 0.8 is one that gives four fifths. [1] Valid 0..20.
    more_swing_c : array_like
        Added to the swing of the day, as `shift_c` is to its mean. [C] Valid 0..40.

    Returns
    -------
    Track
        Temperatures every quarter of an hour and at every bend of the weather. [C]

    Raises
    ------
    RefusedInput
        If there is no way, or a value is nan or outside its range.

    Notes
    -----
    Ca dTa/dt = U (To - Ta) + K (Tp - Ta) + q, Cp dTp/dt = K (Ta - Tp), with To = mean + swing cos(2 pi
    (t - peak) / 24) and q straight between the pack's moments. Solved exactly: particular solutions of both,
    and the matrix exponential of the rest by its two eigenvalues. Between two looks an extreme is missed by
    at most 0.01 K. In the long run the plants have the temperature outside plus q/U. Lying on a cold floor,
    sun on the box and the plants' own breath (some hundredths of a watt) are left out.

    Source: incropera-dewitt, chapter 5; own definition

    Examples
    --------
    >>> box = box_heat(0.5, 0.4, 500.0, 2000.0)
    >>> track = parcel_temperatures(box, [Stretch(240.0, 4.0)], 20.0)
    >>> round(float(track.plants_c[0, -1]), 6)
    4.0
    """
    state, shifts, working = _checked(heat, stretches, start_c, shift_c, packs)
    more = np.broadcast_to(_SWING.many(more_swing_c), shifts.shape)
    bends = np.array(pack.after_h) if pack is not None else np.empty(0)
    system = _System(heat)
    rows = [(np.zeros(1), _outside(stretches[0], np.zeros(1), shifts[:, :1], more[:, :1]), state[:, :, None])]
    begins = 0.0
    for index, stretch in enumerate(stretches):
        ends = begins + stretch.span_h
        cuts = np.unique(np.concatenate([[begins, ends], bends[(bends > begins) & (bends < ends)]]))
        for start, end in pairwise(cuts.tolist()):
            looks = np.linspace(start, end, 1 + max(1, int(np.ceil((end - start) / STEP_H))))[1:]
            power = _power(pack, start, end, working)
            shift, wider = shifts[:, index : index + 1], more[:, index : index + 1]
            weather = system.weather(stretch, np.append(start, looks) - begins, shift, wider)
            states = system.solve(weather, looks - start, power, state)
            state = states[:, :, -1]
            rows.append((looks, _outside(stretch, looks - begins, shift, wider), states))
        begins = ends
    times, outside, states = (np.concatenate(column, axis=-1) for column in zip(*rows, strict=True))
    return Track(times, outside, states[:, 0], states[:, 1])


class _System:
    """The 2 x 2 linear system, its eigenvalues and its matrix exponential, one of each a draw."""

    def __init__(self, heat: BoxHeat) -> None:
        self.u = heat.through_w_k * _HOUR_S / heat.air_j_k  # an hour
        self.k = heat.between_w_k * _HOUR_S / heat.air_j_k
        self.g = heat.between_w_k * _HOUR_S / heat.plants_j_k
        self.per_w = 1.0 / heat.through_w_k
        trace = -(self.u + self.k + self.g)
        root = np.sqrt((self.u + self.k - self.g) ** 2 + 4.0 * self.k * self.g)
        self.slow = -2.0 * self.u * self.g / (-trace + root)  # the small root, without cancellation
        self.fast = (trace - root) / 2.0

    def solve(self, weather: Floats, after: Floats, power: Floats, state: Floats) -> Floats:
        """States at moments of a piece with one weather and a straight line of power."""
        settled = weather + self._packs(np.append(0.0, after), power)
        rest = state - settled[:, :, 0]
        return settled[:, :, 1:] + self._fading(after, rest)

    def _fading(self, after: Floats, rest: Floats) -> Floats:
        """exp(M t) x by Sylvester's formula."""
        slow, fast = self.slow[:, None], self.fast[:, None]
        moved = np.stack(
            [-(self.u + self.k) * rest[:, 0] + self.k * rest[:, 1], self.g * (rest[:, 0] - rest[:, 1])],
            axis=1,
        )
        slow_part = (moved - fast * rest) / (slow - fast)
        fast_part = (moved - slow * rest) / (fast - slow)
        return np.asarray(
            slow_part[:, :, None] * np.exp(slow * after)[:, None, :]
            + fast_part[:, :, None] * np.exp(fast * after)[:, None, :]
        )

    def weather(self, stretch: Stretch, hours: Floats, shift: Floats, more: Floats) -> Floats:
        """What both bodies would do in this weather for ever: its mean, and its swing, weaker and later."""
        turn = 1j * _DAY
        bottom = (turn + self.u + self.k) * (turn + self.g) - self.k * self.g
        air = self.u * (turn + self.g) / bottom
        answer = np.stack([air, self.u * self.g / bottom], axis=1)[:, :, None]
        wave = (stretch.swing_c + more[:, :, None]) * np.exp(turn * (hours - stretch.peak_after_h))
        return np.asarray(stretch.mean_c + shift[:, :, None] + (answer * wave).real)

    def _packs(self, after: Floats, power: Floats) -> Floats:
        """What both bodies would do under power p + s t for ever, after the line has long begun."""
        first, slope = power[:, 0, None] * self.per_w[:, None], power[:, 1, None] * self.per_w[:, None]
        air_lag = ((self.k + self.g) / (self.u * self.g))[:, None]  # (Ca + Cp) / U
        plant_lag = air_lag + (1.0 / self.g)[:, None]
        line = first + slope * after
        return np.stack([line - slope * air_lag, line - slope * plant_lag], axis=1)


def _power(pack: PackCurve | None, start: float, end: float, working: Floats) -> Floats:
    """Power at the start of a piece and its slope an hour, one row a draw."""
    if pack is None or start >= pack.after_h[-1]:
        return np.zeros((len(working), 2))
    first, last = np.interp([start, end], pack.after_h, pack.power_w)
    return np.stack([working * first, working * (last - first) / (end - start)], axis=1)


def _outside(stretch: Stretch, hours: Floats, shift: Floats, more: Floats) -> Floats:
    wave = (stretch.swing_c + more) * np.cos(_DAY * (hours - stretch.peak_after_h))
    return np.asarray(stretch.mean_c + wave + shift)


def _checked(
    heat: BoxHeat, stretches: Sequence[Stretch], start_c: ArrayLike, shift_c: ArrayLike, packs: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    if not stretches:
        raise RefusedInput("stretches", "none", "at least one leg")
    for stretch in stretches:
        _SPAN.one(stretch.span_h)
        _OUTSIDE.one(stretch.mean_c)
        _SWING.one(stretch.swing_c)
        Limits("hour of the warmest moment", -48.0, 48.0, "h").one(stretch.peak_after_h)
    start = np.broadcast_to(_OUTSIDE.many(start_c), (heat.draws,))
    shift = Limits("shift of the weather", -40.0, 40.0, "C").many(shift_c)
    working = np.broadcast_to(Limits("heat packs", 0.0, 20.0).many(packs), (heat.draws,))
    state = np.stack([start, start], axis=1)
    return state, np.broadcast_to(shift, (heat.draws, len(stretches))), working
