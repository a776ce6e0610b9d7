"""All that a cutting plan is made from, gathered from the book."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.growing import GrowingPot, growth_draws, plan_pots
from halfwater.errors import RefusedByBook
from halfwater.plain.cutting import PlanFacts, PlanPot, PlanTank, PlanTaxon
from halfwater.plain.growing import GrowthDraws
from halfwater.plain.stock import GRADES, StandingPot, TaxonFacts
from halfwater.planning.cutting_stock import sections_of
from halfwater.science import starting

DRAWS = 200
ROUND_DAYS = 7  # rounds a week
# Where a taxon says nothing of its own: what slow aroids do.
OTHERWISE = {
    "leaf_rate_per_30d": 1.5,
    "first_leaves": 3.0,
    "small_leaves": 5.0,
    "standard_leaves": 8.0,
    "large_leaves": 12.0,
    "section_mm": 30.0,
    "rhizome_mm_per_30d": 6.0,
}


def gather_facts(now: datetime, weeks: int) -> PlanFacts:
    """Today's stock, floors, prices and habit, with joint draws of how each taxon grows."""
    nursery = queries.nursery()
    prices = queries.prices()
    if not prices:
        raise RefusedByBook(
            "No price is in the book yet, so that no plan can say what to sell: set one on the Plan page, or "
            'with `halfwater plan --set "price TAXON standard 9.50"`.'
        )
    # A promised pot holds its spot until it is sent, but is neither cut nor sold again.
    standing = tuple(pot for pot in queries.standing_pots() if pot.promised_to is None)
    if not standing:
        raise RefusedByBook("No pot stands in any tank yet, or all are promised: there is nothing to plan.")
    return PlanFacts(
        on=local_day(now, nursery),
        weeks=weeks,
        taxa=_taxa(standing, now),
        tanks=_tanks(),
        prices=prices,
        habit=queries.cutting_habit(),
        currency=nursery.currency,
    )


def _taxa(standing: Sequence[StandingPot], now: datetime) -> tuple[PlanTaxon, ...]:
    """The taxa with pots standing, by name."""
    growth = {one.pot.key: one for one in plan_pots(now)}
    draws = {one.taxon: one for one in growth_draws(now, DRAWS)}
    today = local_day(now, queries.nursery())
    found = []
    for taxon in queries.taxa():
        own = [pot for pot in standing if pot.taxon == taxon.key]
        if own:
            ages = [float((today - pot.potted_on).days) for pot in own]
            found.append(_taxon(taxon, own, ages, growth, draws[taxon.key]))
    return tuple(found)


def _taxon(
    taxon: TaxonFacts,
    pots: Sequence[StandingPot],
    ages: Sequence[float],
    growth: Mapping[int, GrowingPot],
    draws: GrowthDraws,
) -> PlanTaxon:
    known = OTHERWISE | {prior.quantity: prior.mean for prior in taxon.priors}
    section_mm, first_leaves = known["section_mm"], known["first_leaves"]
    mm_per_leaf = known["rhizome_mm_per_30d"] / known["leaf_rate_per_30d"]
    return PlanTaxon(
        key=taxon.key,
        name=taxon.name,
        grade_leaves={grade: round(known[f"{grade}_leaves"]) for grade in GRADES},
        first_leaves=first_leaves,
        section_mm=section_mm,
        mm_per_leaf=mm_per_leaf,
        pots=tuple(
            PlanPot(
                key=pot.key, name=pot.name, tank=pot.tank_name, spot=pot.spot,
                leaves=growth[pot.key].leaves, age_days=max(age, 0.0),
                is_settled=growth[pot.key].is_settled, is_kept=pot.state == "kept",
                sections=_sections(pot, growth[pot.key].leaves, first_leaves, section_mm, mm_per_leaf),
                rate_factor=growth[pot.key].rate_factor,
            )
            for pot, age in zip(pots, ages, strict=True)
        ),
        draws=draws,
    )  # fmt: skip


def _sections(
    pot: StandingPot, leaves: float, first_leaves: float, section_mm: float, mm_per_leaf: float
) -> int:
    """Sections the pot gives: by its rhizome where that was measured, else by its leaves."""
    if pot.rhizome_mm is not None:
        return max(int(pot.rhizome_mm / section_mm + 1e-9), 1)
    own_first = first_leaves if pot.first_leaves is None else float(pot.first_leaves)
    return sections_of(max(leaves, 0.0), own_first, section_mm, mm_per_leaf)


def _tanks() -> tuple[PlanTank, ...]:
    """Each tank in use with its free spots; its own round costs minutes, whatever stands there."""
    round_min = ROUND_DAYS * starting.SPRAY_MIN + starting.LOOK_MIN
    found = []
    for tank in queries.tanks():
        spots = queries.spots(tank.key)
        free = tuple(spot.name for spot in spots if not spot.state)
        found.append(PlanTank(tank.key, tank.name, len(spots), free, round_min))
    return tuple(found)
