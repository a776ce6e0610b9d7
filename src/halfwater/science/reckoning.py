"""From a tank's entries to its waterline now and the date it must be siphoned.

Puts the parts together: evenings (what was sprayed), waterline (the filter),
passage (when the limit line is reached). Takes all tanks at once, so that the
filter makes one pass over them.
"""

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.evenings import EveningHabit, WaterRow, spray_past, without_double_taps
from halfwater.science.vessel import bath_volume, free_area
from halfwater.science.water_answer import answer_water
from halfwater.science.water_facts import KeptState, Noon, TankWater, WaterAnswer
from halfwater.science.waterline import (
    Stretches,
    WaterEvents,
    WaterNoise,
    WaterState,
    WaterTrack,
    filter_water,
    gather_stretches,
)

_MOMENT_DAY = 1e-4  # a few seconds: the bath as hose or jug leaves it
_BEFORE_ENTRY_DAY = 1e-6
_SETTING_UP_DAY = 3.0
_SILENCE_DAY = 90.0  # twice the usual pace of siphons


def starting_state(tank: TankWater, first: WaterRow | None, at_day: float) -> WaterState:
    """What is assumed of a bath before anything was measured.

    Parameters
    ----------
    tank : TankWater
        The tank.
    first : WaterRow or None
        The first entry, None when there is none.
    at_day : float
        When the state holds. [d] Valid any finite.

    Returns
    -------
    WaterState
        Volume from the lines, catch and loss from the starting values. [1]

    Notes
    -----
    Within three days of setting up a fill finds an empty bath, and without one it stands at the low line.
    At any other time it stands anywhere between the low and the limit line; before a fill, anywhere from
    empty to as much short of the low line as was poured. Loss: vapour through the lid with a
    lognormal doubt about the air changes, plus what plants use. Both are then weighed with the usual pace:
    a siphon every one to two months.

    Source: own definition
    """
    low, limit = (
        float(v) for v in bath_volume(tank.vessel, [tank.lines.low_line_mm, tank.lines.limit_line_mm])
    )
    poured = (first.value or 0.0) if first is not None and first.kind == "fill" else None
    is_new = abs(at_day - tank.set_up_day) <= _SETTING_UP_DAY
    if poured is not None:
        volume = 0.0 if is_new else max(low - poured, 0.0) / 2.0
        sd = max(volume, 0.02 * limit)
    elif is_new:
        volume, sd = low, 0.15 * limit
    else:
        volume, sd = (low + limit) / 2.0, (limit - low) / 3.0
    sigma = starting.LID_ACH_SIGMA_LOG
    vapour = tank.vapour_l_day * math.exp(sigma**2 / 2.0)
    loss = vapour + starting.PLANT_USE_L_DAY
    loss_sd = vapour * math.sqrt(math.exp(sigma**2) - 1.0) + starting.PLANT_USE_L_DAY
    catch, loss, cc, cl, ll = _as_practised(tank, limit - low, loss, loss_sd)
    return WaterState(at_day, volume, catch, loss, (sd**2, 0.0, 0.0, cc, cl, ll))


def _as_practised(tank: TankWater, room_l: float, loss: float, loss_sd: float) -> tuple[float, ...]:
    """Catch and loss once it is weighed in that a tank usually wants its siphon every one to two months.

    One soft observation of the net rise: the room between the lines over 42 days, give or take 50 %,
    and no more than the sprays can bring.
    """
    spray = (
        starting.SPRAY_VOLUME_L if tank.plan_night_l is None else tank.plan_night_l
    ) + tank.plan_morning_l
    catch, cc, ll = starting.CATCH_FRAC, starting.CATCH_SD_FRAC**2, loss_sd**2
    usual = room_l / starting.SIPHON_EVERY_DAY
    total = spray**2 * cc + ll + (starting.SIPHON_EVERY_CV_FRAC * usual) ** 2
    off = min(usual, spray * catch) - (spray * catch - loss)
    to_catch, to_loss = spray * cc / total, -ll / total
    return (
        catch + to_catch * off,
        loss + to_loss * off,
        cc - to_catch * spray * cc,
        to_catch * ll,
        ll + to_loss * ll,
    )


@dataclass(frozen=True)
class WaterPast:
    """What happened to one bath from where it is taken up until now, ready for a filter."""

    start: WaterState
    events: WaterEvents
    noons: tuple[Noon, ...]  # each wanted noon, and the end
    rows: tuple[WaterRow, ...]  # those that count, in order
    keeps: tuple[float, ...]

    @property
    def habit(self) -> EveningHabit:
        """How it was sprayed lately."""
        return self.noons[-1].habit


@dataclass(frozen=True, slots=True)
class _Prepared:
    """One tank on its way through: its start, its stretches, the habit at each keep and at the end."""

    tank: TankWater
    start: WaterState
    stretches: Stretches
    noons: tuple[Noon, ...]
    habit: EveningHabit
    look_days: tuple[float, ...]
    reading_days: tuple[float, ...]


def reckon_water(
    tanks: Sequence[TankWater],
    rows: Sequence[Sequence[WaterRow]],
    now_day: float,
    *,
    starts: Sequence[KeptState | None] | None = None,
    keep_days: Sequence[float] = (),
    look_back_day: float = 0.0,
    noise: WaterNoise | None = None,
) -> tuple[WaterAnswer, ...]:
    """Waterline, learned catch and loss, and siphon dates of all tanks in one pass.

    Parameters
    ----------
    tanks : sequence of TankWater
        The tanks.
    rows : sequence of sequence of WaterRow
        Entries of each tank, those after its kept state if it has one.
    now_day : float
        Now, as a local day. [d] Valid any finite.
    starts : sequence of KeptState or None
        Where to go on from, one a tank; None starts from the starting values.
    keep_days : sequence of float
        Noons at which the state is wanted for keeping. [d] Valid before now.
    look_back_day : float
        How far back daily levels are wanted for a picture; 0 leaves out past and fan. [d] Valid >= 0.
    noise : WaterNoise or None
        Variances a day, None for the starting values.

    Returns
    -------
    tuple of WaterAnswer
        One a tank, in order. [1]

    Raises
    ------
    RefusedInput
        If the sequences differ in length, or now is not a finite day.

    Notes
    -----
    Entries after now are left out. With no entries at all the answer is the starting values' own.

    Source: own definition
    """
    begins = starts if starts is not None else [None] * len(tanks)
    if not (len(tanks) == len(rows) == len(begins)):
        raise RefusedInput("rows", len(rows), f"one list of entries for each of {len(tanks)} tanks")
    if not math.isfinite(now_day):
        raise RefusedInput("now_day", now_day, "a finite day")
    if not tanks:
        return ()
    noise = noise or WaterNoise()
    prepared = [
        _prepare(tank, list(own), begin, now_day, keep_days, look_back_day, noise)
        for tank, own, begin in zip(tanks, rows, begins, strict=True)
    ]
    track = filter_water([p.start for p in prepared], [p.stretches for p in prepared], noise)
    return tuple(
        answer_water(
            p.tank,
            _column(track, i, len(prepared), len(p.stretches.day)),
            p.habit,
            now_day,
            noise,
            noons=p.noons,
            look_days=p.look_days,
            reading_days=p.reading_days,
        )
        for i, p in enumerate(prepared)
    )


def water_past(
    tank: TankWater,
    rows: Sequence[WaterRow],
    now_day: float,
    *,
    begin: KeptState | None = None,
    keep_days: Sequence[float] = (),
) -> WaterPast:
    """What happened to the water of one bath, from its entries: the common ground of waterline and salts.

    Parameters
    ----------
    tank : TankWater
        The tank.
    rows : sequence of WaterRow
        Its entries, in any order.
    now_day : float
        Now, as a local day; later entries are left out. [d] Valid any finite.
    begin : KeptState or None
        Where to go on from; None begins with the first entry and the starting values.
    keep_days : sequence of float
        Noons at which the habit is wanted. [d] Valid between start and now, others are left out.

    Returns
    -------
    WaterPast
        Starting state, events and habit. [1]

    Notes
    -----
    Double taps go; the first instant of a bath begins with its fill; blank evenings are supposed as
    `spray_past` says; after a silence of three months the bath stands anywhere between its lines.

    Source: own definition
    """
    own = [r for r in without_double_taps(rows) if r.day <= now_day]
    if begin is None:
        own = _first_fill_first(tank, own)
        first = own[0] if own else None
        start_day = first.day if first else now_day
        begin = KeptState(starting_state(tank, first, start_day), EveningHabit(), start_day)
    start = begin.state
    own = [r for r in own if r.day >= start.at_day]
    keeps = tuple(sorted(d for d in keep_days if start.at_day < d < now_day))
    sprays, noons = _evenings_by_noon(tank, own, begin, [start.at_day, *keeps, now_day])
    silences = _silences([begin.last_entry_day, *(r.day for r in own), now_day])
    return WaterPast(start, _events(tank, own, sprays, silences), noons, tuple(own), keeps)


def _prepare(
    tank: TankWater,
    rows: list[WaterRow],
    begin: KeptState | None,
    now_day: float,
    keep_days: Sequence[float],
    look_back_day: float,
    noise: WaterNoise,
) -> _Prepared:
    past = water_past(tank, rows, now_day, begin=begin, keep_days=keep_days)
    start_day = past.start.at_day
    look_days: tuple[float, ...] = ()
    if look_back_day:
        look_days = tuple(np.arange(max(start_day, now_day - look_back_day), now_day, 1.0)) or (now_day,)
    readings = tuple(r.day for r in past.rows if r.kind == "waterline")
    emptied = [r.day for r in past.rows if r.kind == "siphon"]  # what is poured in later finds what is left
    looks = [*past.keeps, *look_days, *emptied]
    return _Prepared(
        tank, past.start, gather_stretches(past.events, start_day, now_day, noise, looks),
        past.noons[:-1], past.habit, look_days, readings,
    )  # fmt: skip


def _first_fill_first(tank: TankWater, rows: list[WaterRow]) -> list[WaterRow]:
    """Rows whose first instant begins with its fill, if it has one.

    A new tank was empty before it, so that what else was noted of that instant came after.
    """
    fills = [row for row in rows if row.kind == "fill" and row.day == rows[0].day]
    if not fills:
        return rows
    first = fills[0]
    others = [row for row in rows if row is not first]
    if abs(first.day - tank.set_up_day) <= _SETTING_UP_DAY:
        first = replace(first, day=first.day - _MOMENT_DAY)
    return [first, *others]


def _evenings_by_noon(
    tank: TankWater, rows: Sequence[WaterRow], begin: KeptState, edges: Sequence[float]
) -> tuple[list[tuple[float, float, float]], tuple[Noon, ...]]:
    """Sprays from the first edge to the last, with the habit as it stood at each edge after the first."""
    days = [r.day for r in rows]
    habit, last_entry = begin.habit, begin.last_entry_day
    sprays: list[tuple[float, float, float]] = []
    noons: list[Noon] = []
    for lower, upper in pairwise(edges):
        until = len(days) if upper == edges[-1] else bisect_left(days, upper)
        piece = rows[bisect_left(days, lower) : until]
        past = spray_past(
            piece, habit, start_day=lower, now_day=upper,
            evening_frac=tank.evening_frac,
            plan_night_l=tank.plan_night_l, plan_morning_l=tank.plan_morning_l,
        )  # fmt: skip
        sprays += zip(past.day, past.spray_l, past.variance_l2, strict=True)
        habit, last_entry = past.habit, piece[-1].day if piece else last_entry
        noons.append(Noon(upper, habit, last_entry))
    return sprays, tuple(noons)


def _silences(days: Sequence[float]) -> list[float]:
    """Where a silence of more than three months ends: somebody has siphoned meanwhile, and not noted it."""
    return [after - _BEFORE_ENTRY_DAY for before, after in pairwise(days) if after - before > _SILENCE_DAY]


def _events(
    tank: TankWater,
    rows: Sequence[WaterRow],
    sprays: Sequence[tuple[float, float, float]],
    silences: Sequence[float],
) -> WaterEvents:
    """Entries of one tank as columns; after a silence the bath stands anywhere between its lines.

    A reading above a rim that was lowered since counts as on a floor with higher walls: it will not fit.
    """
    vessel = tank.vessel
    spray = np.array(sprays, dtype=float).reshape(-1, 3)
    moved = [
        (r.day, r.value, starting.FILL_CV_FRAC) for r in rows if r.kind == "fill" and r.value is not None
    ]
    lowered = [r for r in rows if r.kind == "siphon" and (r.to_line or r.value is None)]
    moved += [
        (r.day, -r.value, starting.SIPHON_CV_FRAC)
        for r in rows
        if r.kind == "siphon" and r.value is not None and not r.to_line
    ]
    pour = np.array(moved, dtype=float).reshape(-1, 3)
    read = [r for r in rows if r.kind == "waterline" and r.value is not None]
    depth = np.array([r.value for r in read], dtype=float)
    within = np.minimum(depth, vessel.height_mm)
    read_l = np.asarray(bath_volume(vessel, within)) + (depth - within) * vessel.floor_mm2 * 1e-6
    supposed = np.array(_supposed_at_siphons(tank, rows), dtype=float).reshape(-1, 3)
    low_l, limit_l = (
        float(v) for v in bath_volume(vessel, [tank.lines.low_line_mm, tank.lines.limit_line_mm])
    )
    low_sd = float(free_area(vessel, tank.lines.low_line_mm)) * starting.LOW_LINE_SD_MM
    reading_var = (np.asarray(free_area(vessel, within)) * starting.READING_SD_MM) ** 2
    return WaterEvents(
        spray_day=spray[:, 0], spray_l=spray[:, 1], spray_var=spray[:, 2],
        moved_day=pour[:, 0], moved_l=pour[:, 1], moved_var=(pour[:, 1] * pour[:, 2]) ** 2,
        reading_day=np.concatenate(([r.day for r in read], supposed[:, 0])),
        reading_l=np.concatenate((read_l, supposed[:, 1])),
        reading_var=np.concatenate((reading_var, supposed[:, 2])),
        lowered_day=np.array([*(r.day for r in lowered), *silences], dtype=float),
        lowered_l=np.array([low_l] * len(lowered) + [(low_l + limit_l) / 2.0] * len(silences)),
        lowered_var=np.array([low_sd**2] * len(lowered) + [((limit_l - low_l) / 3.0) ** 2] * len(silences)),
    )  # fmt: skip


def _supposed_at_siphons(tank: TankWater, rows: Sequence[WaterRow]) -> list[tuple[float, float, float]]:
    """What a siphon says without a ruler: the bath stood near its limit line before, near its low line after.

    Days, litres and variances, wide enough that one reading outweighs them.
    """
    low, limit = (
        float(v) for v in bath_volume(tank.vessel, [tank.lines.low_line_mm, tank.lines.limit_line_mm])
    )
    room = limit - low
    fills = [r.day for r in rows if r.kind == "fill"]
    told = []
    for row in rows:
        if row.kind != "siphon":
            continue
        told.append((row.day, limit - 0.1 * room, (0.4 * room) ** 2))
        measured = row.value is not None and not row.to_line
        if measured and not any(0.0 <= fill - row.day < 0.25 for fill in fills):
            told.append((row.day + _MOMENT_DAY, low, (0.25 * room) ** 2))
    return told


def _column(track: WaterTrack, index: int, baths: int, rows: int) -> WaterTrack:
    """One bath's part of a track, its padding cut off."""
    if baths == 1:
        return track
    return WaterTrack(**{name: column[:rows, index] for name, column in vars(track).items()})
