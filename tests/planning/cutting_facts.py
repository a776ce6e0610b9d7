"""Small invented nurseries for the tests of the cutting plan."""

from dataclasses import replace
from datetime import date

import numpy as np

from halfwater.plain.cutting import PlanFacts, PlanPot, PlanTank, PlanTaxon
from halfwater.plain.growing import GrowthDraws
from halfwater.plain.stock import CuttingHabit, PriceFact
from halfwater.planning.cutting import Solved, solved_cutting

MONDAY = date(2026, 3, 2)
SIZES = {"small": 5, "standard": 8, "large": 12}


def a_pot(key: int, leaves: float, sections: int = 1, **facts: object) -> PlanPot:
    """A settled pot in the first tank, with what the test changes."""
    sound = {
        "name": f"B {key}", "tank": "T1", "spot": f"A{key}", "age_days": 200.0, "is_settled": True,
        "is_kept": False, "rate_factor": 1.0,
    }  # fmt: skip
    return PlanPot(key=key, leaves=leaves, sections=sections, **(sound | facts))  # type: ignore[arg-type]


def some_draws(key: int = 1, count: int = 4, seed: int = 1, rate: float = 3.0) -> GrowthDraws:
    """Joint draws of a quick plant."""
    rng = np.random.default_rng(seed + key)
    return GrowthDraws(
        key, tuple(rate * rng.lognormal(0.0, 0.15, count)), tuple(30.0 * rng.lognormal(0.0, 0.1, count)),
        tuple(rng.uniform(0.03, 0.1, count)), tuple(rng.uniform(0.005, 0.02, count)), 0.3, 540.0, 0.1,
    )  # fmt: skip


def a_taxon(*pots: PlanPot, key: int = 1, draws: GrowthDraws | None = None) -> PlanTaxon:
    """A taxon whose large plants give two sections or three."""
    return PlanTaxon(key, f"Taxon {key}", SIZES, 3.0, 30.0, 6.0, pots, draws or some_draws(key))


def some_facts(*taxa: PlanTaxon, spots: int = 8, **facts: object) -> PlanFacts:
    """One tank with the pots on it, a release every week, and prices; with what the test changes."""
    standing = sum(len(taxon.pots) for taxon in taxa)
    free = tuple(f"F{place}" for place in range(max(spots - standing, 0)))
    prices = tuple(
        PriceFact(taxon.key, grade, price + 10 * taxon.key)
        for taxon in taxa
        for grade, price in (("small", 500), ("standard", 800), ("large", 1200))
    )
    sound = {
        "on": MONDAY, "weeks": 2, "taxa": taxa, "tanks": (PlanTank(1, "T1", spots, free),), "prices": prices,
        "habit": CuttingHabit(release_every_weeks=1, next_release_on=MONDAY, least_kept=1),
        "scenarios": 1, "near_weeks": 2,
    }  # fmt: skip
    return PlanFacts(**(sound | facts))  # type: ignore[arg-type]


def a_nursery(weeks: int = 16, near_weeks: int = 4, scenarios: int = 3, **habit: object) -> PlanFacts:
    """Two taxa in two tanks, a release every four weeks."""
    first = [
        a_pot(n, leaves, 1 + (leaves > 7) + (leaves > 12))
        for n, leaves in enumerate((3, 4, 6, 9, 9, 13, 16), 1)
    ]
    second = [
        a_pot(
            20 + n,
            leaves,
            1 + (leaves > 7) + (leaves > 12),
            tank="T2",
            spot=f"A{n}",
            rate_factor=0.7 + 0.1 * n,
        )
        for n, leaves in enumerate((5, 8, 10, 12, 14, 18), 1)
    ]
    taxa = a_taxon(*first), a_taxon(*second, key=2, draws=some_draws(2, rate=2.0))
    tanks = (
        PlanTank(1, "T1", 10, ("A8", "A9", "A10"), 8.0), PlanTank(2, "T2", 9, ("A7", "A8", "A9"), 8.0),
    )  # fmt: skip
    prices = tuple(
        PriceFact(key, grade, price * (3 + key) // 4, most)
        for key in (1, 2)
        for grade, price, most in (("small", 500, 4), ("standard", 800, 3), ("large", 1200, 2))
    )
    rhythm = {"release_every_weeks": 4, "next_release_on": MONDAY, "least_kept": 1}
    habits = CuttingHabit(**(rhythm | habit))  # type: ignore[arg-type]
    return PlanFacts(MONDAY, weeks, taxa, tanks, prices, habits, scenarios=scenarios, near_weeks=near_weeks)


def doubled(facts: PlanFacts) -> PlanFacts:
    """Twice the pots, spots, demand, minutes and kept parents."""
    taxa = tuple(
        replace(t, pots=t.pots + tuple(replace(p, key=p.key + 1000, spot=p.spot + "b") for p in t.pots))
        for t in facts.taxa
    )
    tanks = tuple(
        replace(t, spots=2 * t.spots, free=t.free + tuple(f"{s}b" for s in t.free)) for t in facts.tanks
    )
    prices = tuple(
        replace(p, most_per_release=None if p.most_per_release is None else 2 * p.most_per_release)
        for p in facts.prices
    )
    habit = facts.habit
    minutes = None if habit.minutes_a_week is None else 2 * habit.minutes_a_week
    habit = replace(habit, minutes_a_week=minutes, least_kept=2 * habit.least_kept)
    return replace(facts, taxa=taxa, tanks=tanks, prices=prices, habit=habit)


def sound(facts: PlanFacts) -> Solved:
    """The plan of the facts, found optimal and without a fault."""
    made = solved_cutting(facts)
    assert made.plan.status == "optimal"
    assert made.plan.faults == ()
    assert made.plan.checked
    assert made.decisions is not None
    return made
