"""The stock as the growth sees it: plain facts turned into columns."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TypeVar

import numpy as np

from halfwater.deeds.clock import EPOCH
from halfwater.plain.stock import (
    GONE_STATES,
    GRADES,
    LeafCount,
    ParentFact,
    PriorFact,
    StandingPot,
    Stay,
    TaxonFacts,
)
from halfwater.science import starting
from halfwater.science.leaf_gains import GrowthPots, GrowthPriors
from halfwater.science.losses import LossPots, LossPriors
from halfwater.science.plant_groups import PlantGroup, plant_group
from halfwater.science.responses import light_response, temperature_response

_OfPot = TypeVar("_OfPot", LeafCount, Stay)

WIDE = 2 * 1.645  # standard deviations in a 90 % range
LEAST_RESPONSE = 0.05  # a plant in a tank too cold or dark by its settings is not thought to stand still
# Where a taxon has no profile: what slow aroids do, and wide.
OTHERWISE = {
    "leaf_rate_per_30d": (1.5, 0.6, 3.5),
    "first_leaves": (3.0, 1.0, 6.0),
    "small_leaves": (5.0, 5.0, 5.0),
    "standard_leaves": (8.0, 8.0, 8.0),
    "large_leaves": (12.0, 12.0, 12.0),
    "lag_days": (42.0, 14.0, 90.0),
    "settling_loss_frac": (0.10, 0.02, 0.30),
    "loss_frac_per_30d": (0.012, 0.003, 0.04),
}


@dataclass(frozen=True, slots=True)
class Climate:
    """What is known of a tank's warmth and light."""

    tank: int
    temp_c: float | None
    dli_mol_m2_d: float | None


@dataclass(frozen=True, slots=True)
class StockFacts:
    """All that the growth is reckoned from."""

    on: date
    taxa: tuple[TaxonFacts, ...]
    pots: tuple[StandingPot, ...]  # gone ones too
    counts: tuple[LeafCount, ...]
    stays: tuple[Stay, ...]
    parents: tuple[tuple[int, ParentFact], ...]
    climates: tuple[Climate, ...]
    cuts: tuple[tuple[int, date], ...] = ()  # pot and day; what stays in the pot begins anew


@dataclass(frozen=True, slots=True)
class _Life:
    """A pot between two cuts: its leaves fall with a cut, and that is neither death nor a miscount."""

    row: int  # of the pot
    from_on: date
    to_on: date | None  # the cut that ended it
    first_leaves: float
    is_cut: bool  # begins with a cut

    def has(self, on: date) -> bool:
        """Whether a count of that day belongs to it; on the day of a cut nobody knows which side it is."""
        begun = self.from_on < on if self.is_cut else self.from_on <= on
        return begun and (self.to_on is None or on < self.to_on)


@dataclass(frozen=True)
class StockColumns:
    """The same as columns, with the order in which things are numbered."""

    growth: GrowthPots
    growth_priors: GrowthPriors
    losses: LossPots
    loss_priors: LossPriors
    standing: "np.ndarray"  # which pots stand on a spot
    need_leaves: "np.ndarray"  # pots x grades, a grade given by hand being held to
    rule_leaves: "np.ndarray"  # taxa x grades
    rooted_days: "np.ndarray"  # taxa
    taxa: tuple[int, ...]  # keys
    batches: tuple[int, ...]


def day_of(on: date) -> float:
    """A nursery day as a day number."""
    return float(on.toordinal() - EPOCH)


def stock_columns(facts: StockFacts) -> StockColumns:
    """The facts in columns; counts from before a pot's potting are left out."""
    pots = tuple(pot for pot in facts.pots if pot.potted_on <= facts.on)
    taxa = {taxon.key: place for place, taxon in enumerate(facts.taxa)}
    batches = {key: place for place, key in enumerate(dict.fromkeys(pot.batch for pot in pots))}
    tanks = {climate.tank: place for place, climate in enumerate(facts.climates)}
    taxon = np.array([taxa[pot.taxon] for pot in pots], dtype=np.intp)
    groups = [plant_group(one.group, one.name) for one in facts.taxa]
    growth = _growth_pots(facts, pots, taxon, batches, tanks)
    rule = np.array([[_prior(one, f"{grade}_leaves")[0] for grade in GRADES] for one in facts.taxa])
    return StockColumns(
        growth=growth,
        growth_priors=_growth_priors(facts.taxa, groups, facts.climates),
        losses=_loss_pots(facts, pots, growth, batches),
        loss_priors=_loss_priors(facts.taxa),
        standing=np.flatnonzero([pot.state not in GONE_STATES for pot in pots]),
        need_leaves=_needs(pots, rule[taxon] if len(pots) else np.empty((0, len(GRADES)))),
        rule_leaves=rule,
        rooted_days=np.array([group.rooted_days for group in groups]),
        taxa=tuple(taxa),
        batches=tuple(batches),
    )


def _growth_pots(
    facts: StockFacts,
    pots: Sequence[StandingPot],
    taxon: "np.ndarray",
    batches: Mapping[int, int],
    tanks: Mapping[int, int],
) -> GrowthPots:
    unknown = len(tanks)  # one more tank, for pots that nobody placed
    lives = _lives(facts, pots)
    stays = _by_pot(stay for stay in facts.stays if stay.tank in tanks)
    counts = _by_pot(count for count in facts.counts if count.on <= facts.on)
    own = [pots[life.row] for life in lives]
    where = [pot.tank if pot.tank is not None else _last_tank(stays[pot.key]) for pot in own]
    counted = [
        (row, one) for row, life in enumerate(lives) for one in counts[own[row].key] if life.has(one.on)
    ]
    stayed = [(row, stay) for row, pot in enumerate(own) for stay in stays[pot.key]]
    return GrowthPots(
        taxon=_ints(taxon[life.row] for life in lives),
        batch=_ints(batches[pot.batch] for pot in own),
        tank=_ints(unknown if tank is None else tanks.get(tank, unknown) for tank in where),
        potted_day=_floats(day_of(life.from_on) for life in lives),
        first_leaves=_floats(life.first_leaves for life in lives),
        lag_factor=_floats(starting.MIDDLE_LAG_FACTOR if pot.piece == "middle" else 1.0 for pot in own),
        count_pot=_ints(row for row, _ in counted),
        count_day=_floats(day_of(one.on) for _, one in counted),
        count_leaves=_floats(one.leaves for _, one in counted),
        stay_pot=_ints(row for row, _ in stayed),
        stay_tank=_ints(tanks[stay.tank] for _, stay in stayed),
        stay_from_day=_floats(day_of(stay.from_on) for _, stay in stayed),
        stay_to_day=_floats(day_of(stay.to_on or facts.on) for _, stay in stayed),
        now_day=day_of(facts.on),
        batches=len(batches),
    )


def _by_pot(rows: Iterable[_OfPot]) -> dict[int, list[_OfPot]]:
    found: dict[int, list[_OfPot]] = defaultdict(list)
    for row in rows:
        found[row.pot].append(row)
    return found


def _lives(facts: StockFacts, pots: Sequence[StandingPot]) -> list[_Life]:
    """Each pot since its last cut, in the order of the pots; then what they were before it."""
    cuts: dict[int, list[date]] = defaultdict(list)
    for pot, on in sorted(facts.cuts):
        if on <= facts.on:
            cuts[pot].append(on)
    now, before = [], []
    for row, pot in enumerate(pots):
        first = np.nan if pot.first_leaves is None else float(pot.first_leaves)
        begins = [pot.potted_on, *(on for on in dict.fromkeys(cuts[pot.key]) if on > pot.potted_on)]
        ends = [*begins[1:], None]
        lives = [
            _Life(row, begin, end, np.nan if place else first, is_cut=place > 0)
            for place, (begin, end) in enumerate(zip(begins, ends, strict=True))
        ]
        now.append(lives[-1])
        before += lives[:-1]
    return now + before


def _last_tank(stays: Sequence[Stay]) -> int | None:
    return stays[-1].tank if stays else None


def _growth_priors(
    taxa: Sequence[TaxonFacts], groups: Sequence[PlantGroup], climates: Sequence[Climate]
) -> GrowthPriors:
    rate_log, rate_sigma = _lognormal(taxa, "leaf_rate_per_30d")
    lag_log, lag_sigma = _lognormal(taxa, "lag_days")
    first = np.array([_prior(taxon, "first_leaves") for taxon in taxa]).reshape(-1, 3)
    tips = np.array([(one.tips_low_per_30d, one.tips_high_per_30d) for one in groups]).reshape(-1, 2)
    warmth = [[_warmth(group, climate) for climate in climates] + [1.0] for group in groups]
    light = [[_light(group, climate) for climate in climates] + [1.0] for group in groups]
    shape = (len(taxa), len(climates) + 1)
    return GrowthPriors(
        rate_log=rate_log,
        rate_sigma_log=rate_sigma,
        lag_log=lag_log,
        lag_sigma_log=lag_sigma,
        first_leaves=first[:, 0],
        first_leaves_var=((first[:, 2] - first[:, 1]) / WIDE) ** 2 + starting.COUNT_SD_LEAVES**2,
        leaf_life_days=np.array([group.leaf_life_days for group in groups]),
        tips_per_30d=np.array([group.tips_per_30d for group in groups]),
        tips_sigma_log=np.log(tips[:, 1] / tips[:, 0]) / WIDE,
        warmth_log=np.log(np.maximum(np.array(warmth).reshape(shape), LEAST_RESPONSE)),
        light_log=np.log(np.maximum(np.array(light).reshape(shape), LEAST_RESPONSE)),
    )


def _warmth(group: PlantGroup, climate: Climate) -> float:
    if climate.temp_c is None:
        return 1.0
    return float(
        temperature_response(climate.temp_c, group.none_c, group.best_c, group.best_to_c, group.limit_c)
    )


def _light(group: PlantGroup, climate: Climate) -> float:
    if climate.dli_mol_m2_d is None:
        return 1.0
    return float(light_response(climate.dli_mol_m2_d, group.half_mol_m2_d))


def _loss_pots(
    facts: StockFacts, pots: Sequence[StandingPot], growth: GrowthPots, batches: Mapping[int, int]
) -> LossPots:
    """Sisters are pots cut from the same pot or batch, where that is noted; else the pots of one batch."""
    parent: dict[int, tuple[str, int]] = {}
    for batch, fact in facts.parents:
        parent.setdefault(batch, ("pot", fact.pot) if fact.pot is not None else ("batch", fact.batch))
    families = [parent.get(pot.batch, ("own", pot.batch)) for pot in pots]
    numbered = {family: row for row, family in enumerate(dict.fromkeys(families))}
    lived = [((pot.left_on or facts.on) - pot.potted_on).days for pot in pots]
    return LossPots(
        taxon=growth.taxon[: len(pots)],
        tank=growth.tank[: len(pots)],
        family=_ints(numbered[family] for family in families),
        lived_days=np.maximum(_floats(lived), 0.0),
        was_lost=_ints(pot.state == "lost" for pot in pots),
        families=len(numbered),
        tanks=len(facts.climates) + 1,
    )


def _loss_priors(taxa: Sequence[TaxonFacts]) -> LossPriors:
    settling = np.array([_prior(taxon, "settling_loss_frac") for taxon in taxa]).reshape(-1, 3)
    later = np.array([_prior(taxon, "loss_frac_per_30d") for taxon in taxa]).reshape(-1, 3)
    return LossPriors(settling[:, 1], settling[:, 2], later[:, 1], later[:, 2])


def _needs(pots: Sequence[StandingPot], rule: "np.ndarray") -> "np.ndarray":
    """Leaves each grade asks of each pot; a grade given by hand is reached, and the ones above it are not."""
    need = rule.copy()
    for row, pot in enumerate(pots):
        if pot.grade in GRADES:
            place = GRADES.index(pot.grade)
            need[row, : place + 1] = -1e6
            need[row, place + 1 :] = np.maximum(need[row, place + 1 :], (pot.leaves or 0) + 1)
        elif pot.state == "ready" and pot.leaves is None:
            need[row, 0] = -1e6
    return need


def _lognormal(taxa: Sequence[TaxonFacts], quantity: str) -> tuple["np.ndarray", "np.ndarray"]:
    """Mean and spread of the logarithm, from the 90 % ranges."""
    ends = np.log(np.array([_prior(taxon, quantity)[1:] for taxon in taxa]).reshape(-1, 2))
    return ends.mean(axis=1), np.maximum(ends[:, 1] - ends[:, 0], 0.1) / WIDE


def _prior(taxon: TaxonFacts, quantity: str) -> tuple[float, float, float]:
    found: PriorFact | None = next((one for one in taxon.priors if one.quantity == quantity), None)
    return OTHERWISE[quantity] if found is None else (found.mean, found.low, found.high)


def _ints(values: object) -> "np.ndarray":
    return np.array(list(values), dtype=np.intp)  # type: ignore[call-overload]


def _floats(values: object) -> "np.ndarray":
    return np.array(list(values), dtype=np.float64)  # type: ignore[call-overload]
