"""One tank: where its bath stands, when it must be siphoned, what it learned, its light and its weight."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from halfwater.book import queries
from halfwater.deeds.clock import day_from_number
from halfwater.deeds.light import light_of
from halfwater.deeds.tank_workings import light_working, water_workings
from halfwater.deeds.water import Bath, reckon_baths
from halfwater.plain.entry import EntryFact
from halfwater.plain.figures import show_date
from halfwater.plain.tank import TankFacts
from halfwater.plain.working import Working
from halfwater.science.light import LightAnswer
from halfwater.science.vessel import Weight, bath_depth, tank_weight
from halfwater.science.water_facts import LevelDay

LOOK_BACK_DAY = 120.0
NO_PASSING = "the bath does not reach its limit line in the foreseeable time"


@dataclass(frozen=True, slots=True)
class LevelOn:
    """The bath on one day: the middle and the 80 % range of its depth."""

    on: date
    depth_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True)
class TankAnswer:
    """All that can be said of one tank; None where nothing can, and `whys` says why."""

    tank: TankFacts
    at: datetime
    depth_mm: float | None
    depth_low_mm: float | None
    depth_high_mm: float | None
    volume_l: float | None
    clay_line_mm: float | None
    limit_line_mm: float | None
    low_line_mm: float | None
    siphon_p10_on: date | None
    siphon_p50_on: date | None
    siphon_p90_on: date | None
    siphon_volume_l: float | None
    siphon_now_volume_l: float | None
    p_past_limit_now: float | None
    catch_frac: float | None
    catch_sd_frac: float | None
    loss_l_day: float | None
    loss_sd_l_day: float | None
    spray_l_evening: float | None
    reading_gain_days: float | None
    dli_mol_m2_d: float | None
    light: LightAnswer
    weight: Weight | None
    past: tuple[LevelOn, ...]
    ahead: tuple[LevelOn, ...]
    readings: tuple[tuple[date, float], ...]  # depth in mm
    siphons: tuple[date, ...]
    misfits: tuple[str, ...]
    workings: tuple[Working, ...]
    whys: tuple[tuple[str, str], ...]  # key -> why it is None

    @property
    def why(self) -> str | None:
        """One sentence on what cannot be said; None when everything can."""
        reasons: dict[str, list[str]] = {}
        for key, reason in self.whys:
            reasons.setdefault(reason.rstrip("."), []).append(key)
        return "; ".join(f"{', '.join(keys)}: {reason}" for reason, keys in reasons.items()) or None


def tank_answer(name: str, now: datetime) -> TankAnswer:
    """All that can be said of the tank of this name."""
    return _answer(queries.tank_named(name), now, LOOK_BACK_DAY)


def tank_answers(now: datetime) -> tuple[TankAnswer, ...]:
    """Every tank in use in walking order, in a few queries, without pictures of the past."""
    nursery, tanks = queries.nursery(), queries.tanks()
    baths = reckon_baths(tanks, nursery, now)
    lamps = queries.last_entries(kinds=("lamp",))
    return tuple(
        _build(baths[tank.key], now, lamps.get((tank.key, "lamp")), (), nursery.units) for tank in tanks
    )


def _answer(tank: TankFacts, now: datetime, look_back_day: float) -> TankAnswer:
    nursery = queries.nursery()
    bath = reckon_baths([tank], nursery, now, look_back_day=look_back_day)[tank.key]
    seen = queries.entries(
        tank=tank.key,
        kinds=("waterline", "siphon"),
        since=now - timedelta(days=look_back_day),
        newest_first=False,
    )
    lamp = queries.entries(tank=tank.key, kinds=("lamp",), limit=1)
    return _build(bath, now, lamp[0] if lamp else None, seen, nursery.units)


def _build(
    bath: Bath, now: datetime, lamp: EntryFact | None, seen: Sequence[EntryFact], units: str
) -> TankAnswer:
    answer, water, tank = bath.answer, bath.water, bath.tank
    light = light_of(tank, lamp)
    weight = tank_weight(water.vessel, answer.depth_mm) if answer is not None and water is not None else None
    dates = {
        f"siphon_{mark}_on": bath.day_in(getattr(answer, f"siphon_{mark}_day"))
        if answer is not None
        else None
        for mark in ("p10", "p50", "p90")
    }
    lines = water.lines if water is not None else None
    workings = [*water_workings(bath, units), light_working(light)]
    return TankAnswer(
        tank=tank,
        at=now,
        **{name: getattr(answer, name, None) for name in _FROM_WATER},
        **{name: getattr(lines, name, None) for name in ("clay_line_mm", "limit_line_mm", "low_line_mm")},
        **dates,
        dli_mol_m2_d=light.dli_mol_m2_d,
        light=light,
        weight=weight,
        past=_levels(answer.past) if answer is not None else (),
        ahead=_levels(answer.ahead) if answer is not None else (),
        readings=tuple((e.day, e.value) for e in seen if e.kind == "waterline" and e.value is not None),
        siphons=tuple(e.day for e in seen if e.kind == "siphon"),
        misfits=tuple(_misfits(bath)),
        workings=tuple(workings),
        whys=tuple(_whys(bath, dates, light)),
    )


_FROM_WATER = (
    "depth_mm", "depth_low_mm", "depth_high_mm", "volume_l", "siphon_volume_l", "siphon_now_volume_l",
    "p_past_limit_now", "catch_frac", "catch_sd_frac", "loss_l_day", "loss_sd_l_day", "spray_l_evening",
    "reading_gain_days",
)  # fmt: skip


def _levels(days: Iterable[LevelDay]) -> tuple[LevelOn, ...]:
    """One level a day; of several on a day the last stands."""
    by_day = {day_from_number(one.day): one for one in days}
    return tuple(
        LevelOn(on, one.depth_p50_mm, one.depth_p10_mm, one.depth_p90_mm) for on, one in by_day.items()
    )


def _misfits(bath: Bath) -> Iterable[str]:
    """One sentence for each reading that was set aside."""
    if bath.answer is None or bath.water is None:
        return
    for misfit in bath.answer.misfits:
        on = day_from_number(misfit.day)
        depths = bath_depth(bath.water.vessel, [max(misfit.read_l, 0.0), max(misfit.expected_l, 0.0)])
        yield (
            f"The reading of {show_date(on)} ({depths[0]:.0f} mm) does not fit what was noted "
            f"(about {depths[1]:.0f} mm) and is set aside until another one bears it out."
        )


def _whys(bath: Bath, dates: dict[str, date | None], light: LightAnswer) -> Iterable[tuple[str, str]]:
    if bath.answer is None:
        yield from ((name, bath.why) for name in _FROM_WATER)
        yield from ((name, bath.why) for name in ("clay_line_mm", "limit_line_mm", "low_line_mm", *dates))
    else:
        yield from ((name, NO_PASSING) for name, on in dates.items() if on is None)
    if light.dli_mol_m2_d is None:
        yield "dli_mol_m2_d", light.why
