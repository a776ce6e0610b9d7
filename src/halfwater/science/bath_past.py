"""What happened to the salts of one bath, cut into stretches between the moments that matter."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.bath_facts import (
    EC,
    PLAIN_FILL,
    SALTS,
    BathRow,
    KeptSalts,
    SiphonHabit,
    Solution,
    TankSalts,
)
from halfwater.science.evenings import EveningHabit
from halfwater.science.reckoning import WaterPast, water_past
from halfwater.science.vessel import clay_volume
from halfwater.science.waterline import WaterNoise, WaterState, gather_stretches

Floats = NDArray[np.float64]
_LONGEST_DAYS = 10.0  # plants slow down as they empty a bath: looked at again at least so often
_BEFORE_DAY = 2e-5  # a probe goes in before the water is moved
_EMPTYING_DAY = 1e-5
_SAME_ROUND_DAY = 0.06  # EC and ruler within this are one look, if nothing was moved between
_REFILL_DAY = 0.25
_TIMES = 5  # siphons a habit is learned from
_USUAL_DAYS = 28.0  # sprays that tell the usual one


@dataclass(frozen=True, slots=True)
class BathStep:
    """A stretch from one knot to the next, as plain numbers."""

    day: float
    span_days: float
    sprayed_l: float
    moved_l: float
    siphoned_l: float  # at its beginning
    sprayed: Sequence[float]  # salts of its sprays before leaves and glass took theirs, litres x strength
    filled: Sequence[float]
    noise_vv: float
    noise_vc: float
    noise_vl: float
    spray_var: float  # the part of noise_vv that brought salts
    seen_l: float
    seen_var: float
    is_reading: bool
    is_lowering: bool
    ec_ms_cm: float | None
    is_kept: bool


@dataclass(frozen=True)
class BathPast:
    """All that is known to have happened to the salts of one bath."""

    start: WaterState
    steps: tuple[BathStep, ...]
    habits: tuple[EveningHabit, ...]  # at each kept noon, and now
    last_entry_days: tuple[float, ...]
    held_l: float
    spray_salts: Floats  # the usual litre of spray
    first_is_fill: bool
    siphon: SiphonHabit
    readings: tuple[tuple[float, float], ...]


def bath_past(
    tank: TankSalts,
    rows: Sequence[BathRow],
    now_day: float,
    noise: WaterNoise,
    *,
    begin: KeptSalts | None = None,
    keep_days: Sequence[float] = (),
    look_days: Sequence[float] = (),
) -> BathPast:
    """The past of a bath's salts, ready for the filter.

    Parameters
    ----------
    tank : TankSalts
        The tank.
    rows : sequence of BathRow
        Its entries in any order, those after `begin` if given.
    now_day : float
        Now, as a local day. [d] Valid any finite.
    noise : WaterNoise
        Variances of the water a day.
    begin : KeptSalts or None
        Where to go on from.
    keep_days : sequence of float
        Noons whose state is to be kept. [d] Valid before now.
    look_days : sequence of float
        Further days wanted for a picture. [d] Valid before now.

    Returns
    -------
    BathPast
        Steps in order of time. [1]

    Raises
    ------
    RefusedInput
        If now is not finite, or an EC reading is outside 0 to 20 mS/cm.

    Notes
    -----
    The water's past is the waterline's own (`water_past`). A knot stands before every siphon, at each
    reading, and at least every ten days. A spray nobody noted is of the plan's mix.

    Source: own definition
    """
    if not np.isfinite(now_day):
        raise RefusedInput("now_day", now_day, "a finite day")
    for row in rows:
        if row.kind == "ec" and row.day <= now_day:
            EC.one(row.value)
    past = water_past(
        tank.water, rows, now_day,
        begin=None if begin is None else begin.water, keep_days=keep_days,
    )  # fmt: skip
    own = [row for row in past.rows if isinstance(row, BathRow)]  # all of them: in order, double taps gone
    readings = tuple((row.day, float(row.value or 0.0)) for row in own if row.kind == "ec")
    spray_q, fill_q = _spray_salts(tank, own, past), _fill_salts(tank, own, past)
    steps = _steps(past, own, now_day, noise, spray_q, fill_q, readings, list(look_days))
    return BathPast(
        start=past.start,
        steps=steps,
        habits=tuple(noon.habit for noon in past.noons),
        last_entry_days=tuple(noon.last_entry_day for noon in past.noons),
        held_l=starting.CLAY_HELD_FRAC * clay_volume(tank.water.vessel),
        spray_salts=_usual_spray(tank, past, spray_q, now_day),
        first_is_fill=bool(past.rows) and past.rows[0].kind == "fill",
        siphon=_siphon_habit(tank, own, SiphonHabit() if begin is None else begin.siphon),
        readings=readings,
    )


def _spray_salts(tank: TankSalts, rows: Sequence[BathRow], past: WaterPast) -> Floats:
    """Strength of each spray, one row a spray: as noted, else as planned."""
    noted = {row.day: row.mix for row in rows if row.kind == "spray" and row.mix is not None}
    mixes = {mix: tank.solution(mix).salts for mix in {*noted.values(), tank.night_mix, tank.morning_mix}}
    evening = tank.water.evening_frac
    has_mornings = tank.water.plan_morning_l > 0.0
    table = []
    for day in past.events.spray_day.tolist():
        is_morning = has_mornings and abs(day % 1.0 - evening) > 0.25
        table.append(mixes[noted.get(day, tank.morning_mix if is_morning else tank.night_mix)])
    return np.array(table, dtype=float).reshape(-1, len(SALTS))


def _fill_salts(tank: TankSalts, rows: Sequence[BathRow], past: WaterPast) -> Floats:
    """Strength of what each fill brought, one row a thing moved; siphons bring nothing."""
    fills = [row for row in rows if row.kind == "fill"]
    days = np.array([row.day for row in fills])
    table = np.zeros((len(past.events.moved_day), len(SALTS)))
    for place in np.flatnonzero(past.events.moved_l > 0.0):
        near = int(np.argmin(np.abs(days - past.events.moved_day[place])))
        table[place] = _poured(tank, fills[near]).salts
    return table


def _poured(tank: TankSalts, fill: BathRow) -> Solution:
    """What a fill brought: what it says, plain water where it says so, otherwise the fill mix."""
    is_said = fill.mix is not None or fill.word == PLAIN_FILL
    return tank.solution(fill.mix if is_said else tank.fill_mix)


def _usual_spray(tank: TankSalts, past: WaterPast, salts: Floats, now_day: float) -> Floats:
    """The usual litre of spray: the mean of the last four weeks, plain evenings in it, else the plan's."""
    days, litres = past.events.spray_day, past.events.spray_l
    late = days > now_day - _USUAL_DAYS
    given = float(litres[late].sum())
    if given > 0.0:
        return np.asarray(litres[late] @ salts[late] / given)
    night, morning = tank.water.plan_night_l or starting.SPRAY_VOLUME_L, tank.water.plan_morning_l
    total = night * tank.solution(tank.night_mix).salts + morning * tank.solution(tank.morning_mix).salts
    return np.asarray(total / (night + morning)) if night + morning > 0.0 else total


def _siphon_habit(tank: TankSalts, rows: Sequence[BathRow], known: SiphonHabit) -> SiphonHabit:
    """Litres taken, litres and mix poured in after, as the last siphons had them; else as known before."""
    siphons = [row for row in rows if row.kind == "siphon"][-_TIMES:]
    if not siphons:
        return known
    taken, poured, salts = [], [], np.zeros(len(SALTS))
    for row in siphons:
        if row.value is not None and not row.to_line:
            taken.append(row.value)
        after = [f for f in rows if f.kind == "fill" and 0.0 <= f.day - row.day < _REFILL_DAY]
        poured.append(sum(f.value or 0.0 for f in after))
        for fill in after:
            salts += (fill.value or 0.0) * _poured(tank, fill).salts
    total = sum(poured)
    return SiphonHabit(
        siphon_l=float(np.median(taken)) if 2 * len(taken) > len(siphons) else None,
        refill_l=total / len(siphons),
        refill_salts=tuple((salts / total).tolist()) if total > 0.0 else (0.0,) * len(SALTS),
        times=len(siphons),
    )


def _steps(
    past: WaterPast,
    rows: Sequence[BathRow],
    now_day: float,
    noise: WaterNoise,
    spray_q: Floats,
    fill_q: Floats,
    readings: Sequence[tuple[float, float]],
    look_days: list[float],
) -> tuple[BathStep, ...]:
    """The stretches of the water, with the salts of each."""
    start, events = past.start.at_day, past.events
    rulers = events.reading_day
    movings = np.sort(np.concatenate((events.moved_day, events.spray_day, events.lowered_day)))
    probed = {_probe_day(day, start, rulers, movings): ec for day, ec in readings}
    looks = _looks(past, rows, now_day, sorted(set(probed) - set(rulers.tolist())), look_days)
    cut = gather_stretches(events, start, now_day, noise, looks)
    order = np.where(cut.is_reading > 0, 0, np.where(cut.is_lowering > 0, 1, 4))
    moved_at = _places(cut.day, order, events.moved_day, 2)
    sprayed_at = _places(cut.day, order, events.spray_day, 3)
    count = len(cut.day)
    siphoned = np.bincount(moved_at, np.maximum(-events.moved_l, 0.0), count)
    sprayed = _by_stretch(sprayed_at, events.spray_l, spray_q, count)
    filled = _by_stretch(moved_at, np.maximum(events.moved_l, 0.0), fill_q, count)
    spray_var = np.bincount(sprayed_at, events.spray_var, count)
    is_last = np.append(cut.day[1:] > cut.day[:-1], True)  # of the knots at one instant
    columns = (
        cut.day, cut.span_day, cut.sprayed_l, cut.moved_l, siphoned, sprayed, filled, cut.noise_vv,
        cut.noise_vc, cut.noise_vl, spray_var, cut.seen_l, cut.seen_var,
        cut.is_reading > 0, cut.is_lowering > 0,
    )  # fmt: skip
    kept = set(past.keeps)
    steps = []
    for at, values in enumerate(zip(*(column.tolist() for column in columns), strict=True)):
        is_kept = bool(is_last[at]) and values[0] in kept
        values += (probed.pop(values[0], None), is_kept)
        steps.append(BathStep(*values))
    return tuple(steps)


def _looks(
    past: WaterPast, rows: Sequence[BathRow], now_day: float, alone: list[float], look_days: list[float]
) -> list[float]:
    """Where a stretch must end besides ruler readings: siphons, probes on their own, pictures, ten days."""
    start = past.start.at_day
    siphons = [row.day for row in rows if row.kind == "siphon"]
    before = [max(start, day - _EMPTYING_DAY) for day in siphons]
    regular = np.arange(start + _LONGEST_DAYS, now_day, _LONGEST_DAYS)
    lonely = _lonely(regular, past.events.reading_day, np.array(alone))
    return sorted({*past.keeps, *look_days, *siphons, *before, *alone, *lonely})


def _probe_day(day: float, start_day: float, rulers: Floats, movings: Floats) -> float:
    """When a probe counts: with the ruler of its round if nothing was moved between, else just before."""
    before = max(start_day, day - _BEFORE_DAY)
    if len(rulers):
        ruler = float(rulers[np.argmin(np.abs(rulers - day))])
        low, high = min(ruler, before), max(ruler, before)
        moved_between = np.searchsorted(movings, high) - np.searchsorted(movings, low)
        if high - low < _SAME_ROUND_DAY and ruler >= start_day and not moved_between:
            return ruler
    return before


def _lonely(days: Floats, *others: Floats) -> list[float]:
    """Of the regular looks, those with no other knot in the ten days before."""
    known = np.sort(np.concatenate(others))
    place = np.searchsorted(known, days)
    last = np.concatenate(([-np.inf], known))[place]
    return [float(day) for day in days[days - last > _LONGEST_DAYS]]


def _places(knot_day: Floats, order: NDArray[np.int_], day: Floats, own_order: int) -> NDArray[np.intp]:
    """For each event the stretch it falls into: the first knot that does not come before it."""
    later = np.searchsorted(knot_day, day, side="left")
    ties = (later < len(knot_day) - 1) & (knot_day[np.minimum(later, len(knot_day) - 1)] == day)
    while (skip := ties & (order[np.minimum(later, len(order) - 1)] < own_order)).any():
        later = later + skip
        ties = skip & (knot_day[np.minimum(later, len(knot_day) - 1)] == day)
    return np.asarray(np.minimum(later, len(knot_day) - 1), dtype=np.intp)


def _by_stretch(place: NDArray[np.intp], litres: Floats, strength: Floats, count: int) -> Floats:
    """Litres times strength, added up by stretch."""
    columns = [np.bincount(place, litres * strength[:, j], count) for j in range(len(SALTS))]
    return np.stack(columns, axis=-1)
