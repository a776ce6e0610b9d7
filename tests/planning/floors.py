"""Invented floors for tests of futures, habits and what-ifs."""

from datetime import date

import numpy as np

from halfwater.plain.cutting import CuttingPlan, PlanFacts, PlanPot, PlanTank, PlanTaxon
from halfwater.plain.growing import GrowthDraws, Span
from halfwater.plain.stock import CuttingHabit, PriceFact
from halfwater.planning.cutting_stock import sections_of

MONDAY = date(2026, 1, 5)
MM_PER_LEAF = 5.0
SIZES = {"small": 5, "standard": 8, "large": 12}


def draws_of(
    taxon: int, seed: int, draws: int = 100, *, loss: float = 0.01, settling_loss: float = 0.08
) -> GrowthDraws:
    """Joint draws around usual values; a loss of 0 is 0 in every draw."""
    rng = np.random.default_rng([seed, taxon])

    def around(mean: float, sigma: float) -> tuple[float, ...]:
        return tuple(float(value) for value in mean * np.exp(rng.normal(0.0, sigma, draws)))

    return GrowthDraws(
        taxon,
        around(1.6, 0.15),
        around(42.0, 0.2),
        around(settling_loss, 0.3),
        around(loss, 0.3),
        0.3,
        540.0,
        0.1,
    )


def taxon_of(key: int, name: str, pots: int, seed: int, **losses: float) -> PlanTaxon:
    """A taxon with pots of all ages: some give a section more than their leaves say."""
    rng = np.random.default_rng([seed, key, 7])
    standing = tuple(
        _pot(1000 * key + n, f"{name} {n}", f"A{n}", float(rng.uniform(2.0, 20.0)), rng) for n in range(pots)
    )
    return PlanTaxon(key, name, SIZES, 3.0, 30.0, MM_PER_LEAF, standing, draws_of(key, seed, **losses))


def _pot(key: int, name: str, spot: str, leaves: float, rng: np.random.Generator) -> PlanPot:
    """Some have not settled; most others give what their leaves say, an old one a section more."""
    if rng.random() < 0.15:
        return PlanPot(key, name, "Left", spot, 3.0, float(rng.uniform(3.0, 60.0)), False, False, 1)
    sections = sections_of(leaves, 3.0, 30.0, MM_PER_LEAF) + int(rng.random() < 0.15)
    return PlanPot(key, name, "Left", spot, leaves, 45.0 + 15.0 * leaves, True, rng.random() < 0.05, sections)


def facts_of(
    pots: tuple[int, ...] = (40, 25), weeks: int = 30, seed: int = 1, *, spots: int = 70,
    minutes: float | None = None, every: int = 4, most: int | None = 15, **losses: float,
) -> PlanFacts:  # fmt: skip
    """A nursery of one or more taxa on two tanks."""
    names = ("Anubias nana", "Bucephalandra", "Java fern", "Bolbitis")
    taxa = tuple(taxon_of(n + 1, names[n], count, seed, **losses) for n, count in enumerate(pots))
    tanks = (PlanTank(1, "Left", spots // 2, ()), PlanTank(2, "Right", spots - spots // 2, ()))
    prices = tuple(
        PriceFact(taxon.key, grade, price + 100 * taxon.key, most)
        for taxon in taxa
        for grade, price in (("small", 500), ("standard", 900), ("large", 1400))
    )
    habit = CuttingHabit(minutes, every, None, 2, None)
    return PlanFacts(MONDAY, weeks, taxa, tanks, prices, habit, seed=seed)


def empty_plan(facts: PlanFacts) -> CuttingPlan:
    """A plan that does nothing at all."""
    return CuttingPlan(
        facts.on, facts.weeks, "optimal", 0.0, (), (), Span(0.0, 0.0, 0.0), 0.0, (), (),
        {taxon.name: () for taxon in facts.taxa},
    )  # fmt: skip
