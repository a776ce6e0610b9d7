"""The baths of all tanks, reckoned in one pass from the states the book kept and what came after them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache
from math import isfinite
from typing import Any

import numpy as np
from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.clock import at_hour, day_from_number, day_number, local_day
from halfwater.errors import RefusedInput
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.tank import TankFacts
from halfwater.science import starting
from halfwater.science.air import vapour_loss
from halfwater.science.evenings import WaterRow
from halfwater.science.reckoning import reckon_water
from halfwater.science.vessel import Lines, Vessel, lines
from halfwater.science.water_facts import MODEL, KeptState, TankWater, WaterAnswer

KEEP_AFTER = timedelta(days=7)  # younger states would be dropped again by late entries
REMEMBERED_ROWS = 5000  # questions with more entries are not kept in memory
_States = Mapping[int, tuple[datetime, Any]]  # kept last, by tank
KEEP_MONTHS = 13  # months that have a kept state each; before them one a year


@dataclass(frozen=True, slots=True)
class Bath:
    """One tank's bath as reckoned at an instant; where `answer` is None, `why` says why."""

    tank: TankFacts
    water: TankWater | None
    answer: WaterAnswer | None
    why: str
    now_day: float

    def day_in(self, days: float) -> date | None:
        """The nursery day that lies some days from now; None where the days are not foreseeable."""
        return day_from_number(self.now_day + days) if isfinite(days) else None


def reckon_baths(
    tanks: Sequence[TankFacts], nursery: NurseryFacts, at: datetime, *, look_back_day: float = 0.0
) -> dict[int, Bath]:
    """The bath of each tank by its key: a few queries and one pass for all.

    Without a look back, states worth keeping are kept for the next time.
    """
    waters, whys = describe_waters(tanks, nursery)
    able = [tank for tank in tanks if tank.key in waters]
    at = still_instant(at)
    now_day = day_number(at, nursery)
    noons = [] if look_back_day else noons_to_keep(at, nursery)
    states = queries.checkpoints(MODEL, at - timedelta(days=look_back_day))
    if noons and _is_worth_keeping([tank.key for tank in able], noons[-1], states):
        with transaction.atomic():  # once a month: no entry may come between what is read and what is kept
            states = queries.checkpoints(MODEL, at)
            answers = _reckon(able, waters, nursery, at, look_back_day, noons, states)
            _keep(able, answers, nursery)
    else:
        answers = _reckon(able, waters, nursery, at, look_back_day, (), states)
    found = {tank.key: answer for tank, answer in zip(able, answers, strict=True)}
    return {
        tank.key: Bath(tank, waters.get(tank.key), found.get(tank.key), whys.get(tank.key, ""), now_day)
        for tank in tanks
    }


def still_instant(at: datetime) -> datetime:
    """The end of the five minutes an instant falls in: looked at again at once, the answer is the same."""
    return at + (datetime.min.replace(tzinfo=at.tzinfo) - at) % timedelta(minutes=5)


def describe_waters(
    tanks: Sequence[TankFacts], nursery: NurseryFacts
) -> tuple[dict[int, TankWater], dict[int, str]]:
    """Each tank as the water sees it, and for those that cannot be seen so, why."""
    vapour = _vapour(tanks, nursery)
    waters: dict[int, TankWater] = {}
    whys: dict[int, str] = {}
    for tank, vapour_l_day in zip(tanks, vapour, strict=True):
        try:
            vessel, marks = vessel_of(tank)
        except RefusedInput as refused:
            whys[tank.key] = refused.sentence
            continue
        waters[tank.key] = TankWater(
            vessel=vessel,
            lines=marks,
            set_up_day=float(tank.set_up_on.toordinal() - date(1970, 1, 1).toordinal()),
            evening_frac=nursery.evening_hour / 24.0,
            plan_night_l=tank.plan.night_volume_l,
            plan_morning_l=tank.plan.morning_volume_l or 0.0,
            vapour_l_day=float(vapour_l_day),
        )
    return waters, whys


def vessel_of(tank: TankFacts) -> tuple[Vessel, Lines]:
    """The tank's shape with its pots and clay, and its three lines."""
    if tank.pot is None or tank.pots == 0:
        accepted = f"the pots that stand in {tank.name}, so that its clay line is known"
        raise RefusedInput("pots", "none", accepted)
    vessel = Vessel(
        length_mm=tank.length_mm,
        width_mm=tank.width_mm,
        height_mm=tank.height_mm,
        pots=tank.pots,
        pot_top_mm=tank.pot.top_mm,
        pot_base_mm=tank.pot.base_mm,
        pot_height_mm=tank.pot.height_mm,
        clay_fill_frac=tank.clay_fill_frac,
        clay_porosity_frac=tank.clay_porosity_frac,
    )
    return vessel, lines(vessel, tank.margin_mm, tank.low_line_mm)


def air_volume(tank: TankFacts) -> float:
    """Litres of air under the lid, above the rims of the pots."""
    pots_mm = tank.pot.height_mm if tank.pot is not None else 0.0
    return tank.length_mm * tank.width_mm * max(tank.height_mm - pots_mm, 0.0) / 1e6


def _vapour(tanks: Sequence[TankFacts], nursery: NurseryFacts) -> Sequence[float]:
    """What leaves each lid as vapour, litres a day, from the settings or the starting values."""
    if not tanks:
        return ()

    def each(values: Sequence[float | None], otherwise: float) -> "np.ndarray":
        return np.array([otherwise if value is None else value for value in values], dtype=float)

    return vapour_loss(
        np.array([air_volume(tank) for tank in tanks]),
        each([tank.lid_ach_per_h for tank in tanks], starting.LID_ACH_PER_H),
        each([tank.inside_temp_c for tank in tanks], starting.INSIDE_TEMP_C),
        each([tank.inside_rh_frac for tank in tanks], starting.INSIDE_RH_FRAC),
        starting.ROOM_TEMP_C if nursery.room_temp_c is None else nursery.room_temp_c,
        starting.ROOM_RH_FRAC if nursery.room_rh_frac is None else nursery.room_rh_frac,
    ).tolist()


def noons_to_keep(at: datetime, nursery: NurseryFacts) -> list[datetime]:
    """Noons of month starts of the last year or so, and of year starts before, oldest first."""
    latest = local_day(at - KEEP_AFTER, nursery)
    count = latest.year * 12 + latest.month - 1
    months = [date(month // 12, month % 12 + 1, 1) for month in range(count - KEEP_MONTHS + 1, count + 1)]
    years = [date(year, 1, 1) for year in range(months[-1].year - 40, months[-1].year + 1)]
    noons = [at_hour(day, 12, nursery) for day in sorted({*years, *months})]
    return [noon for noon in noons if noon <= at - KEEP_AFTER]


def _is_worth_keeping(tanks: Sequence[int], noon: datetime, states: _States) -> bool:
    """Has any of these tanks something noted or kept before this noon, and no state kept at it?"""
    old = [tank for tank in tanks if tank not in states or states[tank][0] < noon]
    return any(tank in states for tank in old) or queries.has_water_before(old, noon)


def _reckon(
    tanks: Sequence[TankFacts],
    waters: Mapping[int, TankWater],
    nursery: NurseryFacts,
    at: datetime,
    look_back_day: float,
    noons: Sequence[datetime],
    states: _States,
) -> tuple[WaterAnswer, ...]:
    """One pass from the kept states that lie before anything that is to be shown."""
    since = {tank.key: states[tank.key][0] if tank.key in states else None for tank in tanks}
    rows = queries.water_rows(since)
    facts = (
        tuple(waters[tank.key] for tank in tanks),
        tuple(_water_rows(rows[tank.key], nursery) for tank in tanks),
        day_number(at, nursery),
        tuple(KeptState.from_dict(states[tank.key][1]) if tank.key in states else None for tank in tanks),
        tuple(day_number(noon, nursery) for noon in noons),
        look_back_day,
    )
    few = sum(map(len, facts[1])) <= REMEMBERED_ROWS
    return _reckoned(*facts) if few else _reckoned.__wrapped__(*facts)


@lru_cache(maxsize=8)
def _reckoned(
    waters: tuple[TankWater, ...],
    rows: tuple[tuple[WaterRow, ...], ...],
    now_day: float,
    starts: tuple[KeptState | None, ...],
    keep_days: tuple[float, ...],
    look_back_day: float,
) -> tuple[WaterAnswer, ...]:
    """The pass itself; the same question, as when a page is looked at again at once, is remembered."""
    return reckon_water(
        waters, rows, now_day, starts=starts, keep_days=keep_days, look_back_day=look_back_day
    )


def _water_rows(
    rows: Sequence[tuple[datetime, str, float | None, str, str]], nursery: NurseryFacts
) -> tuple[WaterRow, ...]:
    """Entries on the nursery's clock."""
    return tuple(WaterRow(day_number(at, nursery), *values) for at, *values in rows)


def _keep(tanks: Sequence[TankFacts], answers: Sequence[WaterAnswer], nursery: NurseryFacts) -> None:
    """Keep the states at the noons that were asked for."""
    rows = [
        (tank.key, at_hour(day_from_number(kept.state.at_day), 12, nursery), MODEL, kept.as_dict())
        for tank, answer in zip(tanks, answers, strict=True)
        for kept in answer.kept
    ]
    if rows:
        changes.keep_checkpoints(rows)
