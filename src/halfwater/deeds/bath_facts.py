"""What the salts of each tank are reckoned from: its mixes, its water, its plants and its entries."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

from halfwater.book import queries
from halfwater.deeds.clock import day_number
from halfwater.deeds.source_water import UNKNOWN, water_named
from halfwater.errors import RefusedInput
from halfwater.plain.mixes import MixFacts
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.stock import PlantsInTank, PriorFact, TaxonFacts
from halfwater.plain.tank import TankFacts
from halfwater.planning.mixing import mix_strength
from halfwater.planning.source_water import dissolved_water
from halfwater.science import starting
from halfwater.science.bath_answer import reckon_bath
from halfwater.science.bath_facts import EC, BathAnswer, BathRow, KeptSalts, Solution, TankSalts
from halfwater.science.bath_solution import solution_of
from halfwater.science.uptake import is_tender, leaf_area, tank_uptake
from halfwater.science.water_facts import TankWater

_SETTLING, _TAKES = "settling", ("growing", "ready", "kept")
_USUAL_LEAVES = 6  # of a pot nobody counted


@dataclass(frozen=True, slots=True)
class Kitchen:
    """What is sprayed and poured: the source water and what stands behind each mix."""

    source: Solution
    source_name: str
    mixes: Mapping[int, MixFacts]
    solutions: Mapping[int, Solution]

    @property
    def fill_mix(self) -> int | None:
        """What a fill is taken to be where nobody said."""
        return next((key for key, mix in sorted(self.mixes.items()) if mix.use == "fill"), None)


@dataclass(frozen=True, slots=True)
class Plants:
    """What stands in one tank, as its bath and its leaves feel it."""

    uptake_n_mg_day: float
    uptake_sigma_log: float
    leaf_m2: float
    is_tender: bool
    taxa: tuple[TaxonFacts, ...]  # with what they bear of salts, and no other starting value


def the_kitchen(mixes_known: Iterable[MixFacts] | None = None) -> Kitchen:
    """The mixes and the water of the book."""
    try:
        water = water_named()
    except RefusedInput:  # a water that says nothing of itself: its own page says so
        water = dissolved_water(UNKNOWN)
    brings = water.strength
    source = Solution(
        ec_ms_cm=water.ec_ms_cm, n_mg_l=brings.n_mg_l, p_mg_l=brings.p_mg_l, k_mg_l=brings.k_mg_l,
        ca_mg_l=brings.ca_mg_l, mg_mg_l=brings.mg_mg_l,
    )  # fmt: skip
    mixes = {mix.key: mix for mix in (queries.mixes() if mixes_known is None else mixes_known)}
    solutions = {}
    for key, mix in mixes.items():
        try:
            solutions[key] = solution_of(mix_strength(mix), source, mix.ec_above_source_ms_cm)
        except RefusedInput:  # a label that cannot be: the mix page says so, the bath takes it as water
            continue
    return Kitchen(source, water.name, mixes, solutions)


def plants_by_tank() -> dict[int, Plants]:
    """The plants of every tank, in one query."""
    by_tank: dict[int, list[PlantsInTank]] = {}
    for row in queries.plants_in_tanks():
        by_tank.setdefault(row.tank, []).append(row)
    return {tank: _plants(rows) for tank, rows in by_tank.items()}


NO_PLANTS = Plants(0.0, starting.UPTAKE_SIGMA_LOG, 0.0, False, ())


def _plants(rows: Sequence[PlantsInTank]) -> Plants:
    uptake, sigma = tank_uptake(
        (row.group or row.taxon_name, row.pots if row.state in _TAKES else 0,
         row.pots if row.state == _SETTLING else 0)
        for row in rows
    )  # fmt: skip
    leaves = ((row.group or row.taxon_name, row.leaves or _USUAL_LEAVES * row.pots) for row in rows)
    return Plants(
        uptake_n_mg_day=uptake,
        uptake_sigma_log=sigma,
        leaf_m2=leaf_area(leaves),
        is_tender=any(is_tender(row.group, row.taxon_name) for row in rows),
        taxa=tuple(_taxon(row) for row in {row.taxon: row for row in rows}.values()),
    )


def _taxon(row: PlantsInTank) -> TaxonFacts:
    """A taxon with what it bears of salts, and nothing else of it."""
    low, high, action = row.ec_low_ms_cm, row.ec_high_ms_cm, row.ec_action_ms_cm
    priors = []
    if low is not None and high is not None:
        priors.append(PriorFact("ec_above_source_ms_cm", (low + high) / 2.0, low, high, "", ""))
    if action is not None:
        priors.append(PriorFact("ec_action_ms_cm", action, action, action, "", ""))
    return TaxonFacts(row.taxon, row.taxon_name, row.group, tuple(priors))


def salts_of(tank: TankFacts, water: TankWater, kitchen: Kitchen, plants: Plants, action: float) -> TankSalts:
    """A tank as its salts see it."""
    return TankSalts(
        water=water,
        solutions=kitchen.solutions,
        source=kitchen.source,
        night_mix=tank.plan.night_mix,
        morning_mix=tank.plan.morning_mix,
        fill_mix=kitchen.fill_mix,
        uptake_n_mg_day=plants.uptake_n_mg_day,
        uptake_sigma_log=plants.uptake_sigma_log,
        action_ms_cm=action,
    )


def rows_of(
    rows: Iterable[tuple[datetime, str, float | None, str, str, int | None]],
    nursery: NurseryFacts,
    factor: Callable[[datetime], float],
) -> tuple[BathRow, ...]:
    """Entries on the nursery's clock, EC readings put right by `factor`; impossible ones left out."""
    found = []
    for at, kind, value, to_line, word, mix in rows:
        if kind == "ec":
            value = (value or 0.0) * factor(at)
            if not EC.low <= value <= EC.high:
                continue
        found.append(BathRow(day_number(at, nursery), kind, value, to_line, word, mix))
    return tuple(found)


def reckon_once(
    salts: TankSalts,
    rows: tuple[BathRow, ...],
    now_day: float,
    begin: KeptSalts | None,
    keep_days: tuple[float, ...],
    look_back_day: float,
) -> BathAnswer:
    """The reckoning itself; the same question, as when a page is looked at again at once, is remembered."""
    facts = (
        salts.water, tuple(salts.solutions.items()), salts.source, salts.night_mix, salts.morning_mix,
        salts.fill_mix, salts.uptake_n_mg_day, salts.uptake_sigma_log, salts.action_ms_cm,
    )  # fmt: skip
    return _reckoned(facts, rows, now_day, begin, keep_days, look_back_day)


@lru_cache(maxsize=64)
def _reckoned(
    facts: tuple[
        TankWater,
        tuple[tuple[int, Solution], ...],
        Solution,
        int | None,
        int | None,
        int | None,
        float,
        float,
        float,
    ],
    rows: tuple[BathRow, ...],
    now_day: float,
    begin: KeptSalts | None,
    keep_days: tuple[float, ...],
    look_back_day: float,
) -> BathAnswer:
    water, solutions, source, night, morning, fill, uptake, sigma, action = facts
    salts = TankSalts(
        water=water, solutions=dict(solutions), source=source, night_mix=night, morning_mix=morning,
        fill_mix=fill, uptake_n_mg_day=uptake, uptake_sigma_log=sigma, action_ms_cm=action,
    )  # fmt: skip
    return reckon_bath(salts, rows, now_day, begin=begin, keep_days=keep_days, look_back_day=look_back_day)
