"""The water in a bath, followed through sprays, fills, siphons and readings.

State of one bath: volume [L], catch (share of a spray that reaches the bath)
and loss [L/d]. Sprays and fills add, siphons take, vapour and plants take the
loss; a ruler reading or a siphon "down to the low line" tells the volume.
Between two such moments everything is linear with known noise, so a whole
stretch of evenings is one closed-form step: the filter walks from reading to
reading, not from day to day.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting

Floats = NDArray[np.float64]

# Order of things at one instant: the ruler goes in before the water is moved.
READING, LOWERED, MOVED, SPRAYED, END = 0, 1, 2, 3, 4
_MISFIT_SD = 5.0  # a reading further off than this is not believed the first time


@dataclass(frozen=True, slots=True)
class WaterState:
    """What is known of one bath at one instant: a joint normal of three numbers.

    `cov` holds the six distinct entries in the order volume-volume,
    volume-catch, volume-loss, catch-catch, catch-loss, loss-loss.
    """

    at_day: float
    volume_l: float
    catch_frac: float
    loss_l_day: float
    cov: tuple[float, float, float, float, float, float]
    misfit_l: float = 0.0  # how far off the last disbelieved reading was; 0: none waits


@dataclass(frozen=True, slots=True)
class WaterNoise:
    """How fast a bath wanders from its steady course, as variances a day."""

    bath_var_day: float = starting.BATH_NOISE_VAR_DAY
    catch_var_day: float = starting.CATCH_DRIFT_VAR_DAY
    loss_var_day: float = starting.LOSS_DRIFT_VAR_DAY


def _none() -> Floats:
    return np.empty(0)


@dataclass(frozen=True)
class WaterEvents:
    """What happened to one bath, each kind as columns of equal length.

    Days are local days since 1970 as floats; volumes in L, variances in L2.
    """

    spray_day: Floats = field(default_factory=_none)
    spray_l: Floats = field(default_factory=_none)
    spray_var: Floats = field(default_factory=_none)
    moved_day: Floats = field(default_factory=_none)  # fills (+) and siphons (-)
    moved_l: Floats = field(default_factory=_none)
    moved_var: Floats = field(default_factory=_none)
    reading_day: Floats = field(default_factory=_none)
    reading_l: Floats = field(default_factory=_none)
    reading_var: Floats = field(default_factory=_none)
    lowered_day: Floats = field(default_factory=_none)  # siphons down to a line
    lowered_l: Floats = field(default_factory=_none)
    lowered_var: Floats = field(default_factory=_none)


@dataclass(frozen=True)
class Stretches:
    """A bath's history as steps from one knot (reading, lowering, end) to the next."""

    day: Floats
    span_day: Floats
    sprayed_l: Floats
    moved_l: Floats
    noise_vv: Floats
    noise_vc: Floats
    noise_vl: Floats
    seen_l: Floats
    seen_var: Floats
    is_reading: Floats  # 1 or 0
    is_lowering: Floats


@dataclass(frozen=True)
class WaterTrack:
    """The filter's answer at each knot; rows are knots, columns baths (if several)."""

    day: Floats
    volume_l: Floats
    catch_frac: Floats
    loss_l_day: Floats
    cov: Floats  # last axis: the six entries of WaterState.cov
    is_misfit: NDArray[np.bool_]
    misfit_l: Floats  # the disbelieved distance still waiting after each knot


def gather_stretches(
    events: WaterEvents, start_day: float, end_day: float, noise: WaterNoise, look_days: Sequence[float] = ()
) -> Stretches:
    """Steps of a bath's history, each a closed form over all evenings inside it.

    A stretch ends at a reading, at a siphon down to a line, where somebody wants to look, or at `end_day`.

    Parameters
    ----------
    events : WaterEvents
        What happened, in any order; only what lies in start_day..end_day counts.
    start_day : float
        When the starting state holds. [d] Valid any finite.
    end_day : float
        When the last stretch ends. [d] Valid >= start_day.
    noise : WaterNoise
        Variances a day.
    look_days : sequence of float
        Further instants at which the state is wanted. [d] Valid start_day..end_day, others are left out.

    Returns
    -------
    Stretches
        One row a knot, the last being the end. [1]

    Raises
    ------
    RefusedInput
        If a number is nan or infinite, or the end lies before the start.

    Notes
    -----
    With sprays s_j at times u_j into a stretch of length T, S(u) sprayed up to u, and random walks of
    variance q_c and q_l a day, the added covariance is
    VV: q_V T + sum of event variances + q_c * integral of (S(T) - S(u))^2 du + q_l T^3 / 3;
    Vc: q_c * sum of s_j u_j;  Vl: -q_l T^2 / 2;  cc: q_c T;  ll: q_l T.
    A stretch of length 0 adds only what happened at its instant.

    Source: own definition
    """
    if not end_day >= start_day:
        raise RefusedInput("end_day", end_day, f"a day at or after the start, {start_day:g}")
    day, order, spray, moved, var, seen, seen_var = _merge(events, start_day, end_day, look_days)
    knot = (order <= LOWERED) | (order == END)
    seg = np.cumsum(knot) - knot
    count = int(knot.sum())
    knot_day = day[knot]
    begin = np.concatenate(([start_day], knot_day[:-1]))
    span = knot_day - begin
    sprayed = _sums(seg, spray, count)
    into = day - begin[seg]
    run = np.cumsum(spray)
    run -= np.concatenate(([0.0], np.cumsum(sprayed)[:-1]))[seg]
    still_to_come = sprayed[seg] - (run - spray)
    previous = np.maximum(np.concatenate(([start_day], day[:-1])), begin[seg])
    catch_walk = _sums(seg, (day - previous) * still_to_come**2, count)
    noise_vv = (
        _sums(seg, var, count)
        + noise.bath_var_day * span
        + noise.catch_var_day * catch_walk
        + noise.loss_var_day * span**3 / 3.0
    )
    return Stretches(
        day=knot_day,
        span_day=span,
        sprayed_l=sprayed,
        moved_l=_sums(seg, moved, count),
        noise_vv=noise_vv,
        noise_vc=noise.catch_var_day * _sums(seg, spray * into, count),
        noise_vl=-noise.loss_var_day * span**2 / 2.0,
        seen_l=seen[knot],
        seen_var=seen_var[knot],
        is_reading=(order[knot] == READING).astype(float),
        is_lowering=(order[knot] == LOWERED).astype(float),
    )


def _sums(stretch: NDArray[np.intp], values: Floats, count: int) -> Floats:
    """Values added up by the stretch they fall into."""
    return np.bincount(stretch, values, count).astype(np.float64)


def _merge(
    events: WaterEvents, start_day: float, end_day: float, look_days: Sequence[float]
) -> tuple[Floats, ...]:
    """All events of one bath in order of time, one column a meaning."""
    ends = np.array([*look_days, end_day], dtype=float)
    kinds = (
        (READING, events.reading_day, events.reading_l, events.reading_var),
        (LOWERED, events.lowered_day, events.lowered_l, events.lowered_var),
        (MOVED, events.moved_day, events.moved_l, events.moved_var),
        (SPRAYED, events.spray_day, events.spray_l, events.spray_var),
        (END, ends, np.zeros(len(ends)), np.zeros(len(ends))),
    )
    day = np.concatenate([k[1] for k in kinds])
    amount = np.concatenate([k[2] for k in kinds])
    var = np.concatenate([k[3] for k in kinds])
    order = np.concatenate([np.full(len(k[1]), k[0]) for k in kinds])
    if not (np.isfinite(day).all() and np.isfinite(amount).all() and np.isfinite(var).all()):
        raise RefusedInput("events", "nan or infinity", "finite days, litres and variances")
    inside = (day >= start_day) & (day <= end_day)
    day, amount, var, order = day[inside], amount[inside], var[inside], order[inside]
    by_time = np.lexsort((order, day))
    day, amount, var, order = day[by_time], amount[by_time], var[by_time], order[by_time]
    observed = order <= LOWERED
    return (
        day,
        order,
        np.where(order == SPRAYED, amount, 0.0),
        np.where(order == MOVED, amount, 0.0),
        np.where(observed, 0.0, var),
        np.where(observed, amount, 0.0),
        np.where(observed, var, 1.0),
    )


def filter_water(
    starts: Sequence[WaterState],
    stretches: Sequence[Stretches],
    noise: WaterNoise,
    *,
    doubts_readings: bool = True,
) -> WaterTrack:
    """Means and covariances of volume, catch and loss at every knot, for one bath or many in one pass.

    Exact for the linear model. A reading more than five standard deviations off is set aside the first
    time; if the next one agrees with it, the bath has been moved without a note and the level is taken
    from the readings, catch and loss staying as they were.

    Parameters
    ----------
    starts : sequence of WaterState
        What is known at the start, one a bath.
    stretches : sequence of Stretches
        The history of each bath, one a bath.
    noise : WaterNoise
        Variances a day, the same that made the stretches.
    doubts_readings : bool
        Whether readings that cannot be right are set aside.

    Returns
    -------
    WaterTrack
        Shape (knots,) for one bath, (knots, baths) for several; shorter histories repeat their last row. [1]

    Raises
    ------
    RefusedInput
        If the two sequences are empty or differ in length.

    Notes
    -----
    Kalman filter with state (V, c, l): V' = V + c S - l T + moved; covariance by the same transition and
    the stretch's noise; a reading y of V with variance R corrects by P_x V / (P_VV + R). A bath cannot hold
    less than nothing: a mean below 0 at a knot is 0. With no readings the starting values stand.

    Source: durbin-koopman-2012, chapter 4
    """
    if not starts or len(starts) != len(stretches):
        raise RefusedInput(
            "starts", len(starts), f"one starting state for each of {len(stretches)} baths, at least one"
        )
    if len(starts) == 1:
        one = stretches[0]
        rows = zip(*(column.tolist() for column in _columns(one)), strict=True)
        walked = np.array(_walk(rows, _unpack(starts[0]), noise, doubts_readings))
        return _track(one.day, walked)
    deepest = max(len(s.day) for s in stretches)
    padded = np.stack([_pad(s, deepest) for s in stretches], axis=-1)
    first = tuple(np.array(values) for values in zip(*(_unpack(s) for s in starts), strict=True))
    walked = np.array(_walk(padded[1:].swapaxes(0, 1), first, noise, doubts_readings))
    return _track(padded[0], walked)


def _columns(s: Stretches) -> tuple[Floats, ...]:
    return (
        s.span_day, s.sprayed_l, s.moved_l, s.noise_vv, s.noise_vc, s.noise_vl,
        s.seen_l, s.seen_var, s.is_reading, s.is_lowering,
    )  # fmt: skip


def _pad(s: Stretches, rows: int) -> Floats:
    """The columns of one bath, lengthened by rows in which nothing happens."""
    table = np.zeros((11, rows))
    table[0, : len(s.day)] = s.day
    table[0, len(s.day) :] = s.day[-1]
    table[8] = 1.0  # any variance but 0: no reading uses it
    table[1:, : len(s.day)] = _columns(s)
    return table


def _unpack(s: WaterState) -> tuple[float, ...]:
    return (s.volume_l, s.catch_frac, s.loss_l_day, *s.cov, s.misfit_l)


def _walk(rows: Iterable[Any], first: tuple[Any, ...], noise: WaterNoise, doubts_readings: bool) -> list[Any]:
    """The recursion itself, in plain arithmetic: each symbol is a float, or an array over baths."""
    v, c, l, vv, vc, vl, cc, cl, ll, waits = first  # noqa: E741 - the book's symbols
    qc, ql = noise.catch_var_day, noise.loss_var_day
    limit = _MISFIT_SD**2 if doubts_readings else float("inf")
    out = []
    for span, s, moved, n_vv, n_vc, n_vl, seen, seen_var, is_reading, is_lowering in rows:
        v = v + c * s - l * span + moved
        vv = vv + s * (s * cc + 2 * vc - 2 * span * cl) + span * (span * ll - 2 * vl) + n_vv
        vc = vc + s * cc - span * cl + n_vc
        vl = vl + s * cl - span * ll + n_vl
        cc = cc + qc * span
        ll = ll + ql * span
        v = v * (v > 0)
        total = vv + seen_var
        off = (seen - v) * is_reading
        fits = off * off <= limit * total
        again = (waits != 0) * (1 - fits) * ((off - waits) ** 2 <= limit * (2 * seen_var + n_vv))
        reset = is_lowering + again * is_reading
        gain = is_reading * fits / total
        kv, kc, kl = gain * vv, gain * vc, gain * vl
        keep = 1 - reset
        v = keep * (v + kv * off) + reset * seen
        c = c + kc * off
        l = l + kl * off  # noqa: E741
        cc = cc - kc * vc
        cl = cl - kc * vl
        ll = ll - kl * vl
        vc = keep * (vc - kc * vv)
        vl = keep * (vl - kl * vv)
        vv = keep * (vv - kv * vv) + reset * seen_var
        doubted = is_reading * (1 - fits) * (1 - again)
        waits = doubted * off + waits * (1 - is_reading) * (1 - is_lowering)
        out.append((v, c, l, vv, vc, vl, cc, cl, ll, waits, doubted))
    return out


def _track(day: Floats, walked: Floats) -> WaterTrack:
    moved = np.moveaxis(walked, 1, -1)  # (knots, [baths,] values)
    return WaterTrack(
        day=day,
        volume_l=moved[..., 0],
        catch_frac=moved[..., 1],
        loss_l_day=moved[..., 2],
        cov=moved[..., 3:9],
        misfit_l=moved[..., 9],
        is_misfit=moved[..., 10] > 0,
    )


def state_at_end(track: WaterTrack, bath: int | None = None) -> WaterState:
    """The state at the last knot of one bath.

    Parameters
    ----------
    track : WaterTrack
        What filter_water gave.
    bath : int or None
        Which column, None for a track of one bath.

    Returns
    -------
    WaterState
        The state at the end of the history. [1]

    Notes
    -----
    No arithmetic: the last row, as numbers.

    Source: own definition
    """
    pick = (-1,) if bath is None else (-1, bath)
    return WaterState(
        at_day=float(track.day[pick]),
        volume_l=float(track.volume_l[pick]),
        catch_frac=float(track.catch_frac[pick]),
        loss_l_day=float(track.loss_l_day[pick]),
        cov=tuple(float(x) for x in track.cov[pick]),  # type: ignore[arg-type]
        misfit_l=float(track.misfit_l[pick]),
    )
