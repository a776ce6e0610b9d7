"""How simulated nurseries truly work: the usual way, and ways a forecaster does not expect."""

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.random import Generator

from halfwater.demo.truth import Floats
from halfwater.plain.stock import TaxonFacts

Row = TypeVar("Row")
WIDE = 2 * 1.645  # standard deviations in a 90 % range
# Leaf life in months and tips added a month: mean, low, high (docs/starting-values.md), by word in the name.
LIFE_MONTHS = {
    "Anubias": (18.0, 12.0, 36.0), "Bucephalandra": (14.0, 9.0, 24.0), "Cryptocoryne": (8.0, 5.0, 12.0),
    "Leptochilus": (13.0, 8.0, 20.0), "Bolbitis": (13.0, 8.0, 20.0), "stems": (3.0, 2.0, 5.0),
}  # fmt: skip
TIPS_A_MONTH = {
    "petite": (0.2, 0.08, 0.45), "Anubias": (0.1, 0.03, 0.25), "Bucephalandra": (0.2, 0.08, 0.45),
    "Cryptocoryne": (0.22, 0.08, 0.5), "Leptochilus": (0.15, 0.05, 0.35), "Bolbitis": (0.15, 0.05, 0.35),
    "stems": (0.5, 0.2, 1.0),
}  # fmt: skip
# Warmth: no growth below, best from, best to, no growth above. [deg C]
FERN_WARMTH = (8.0, 22.0, 27.0, 33.0)
AROID_WARMTH = (13.0, 25.0, 28.0, 36.0)
WARMTH = {"Leptochilus": FERN_WARMTH, "Bolbitis": FERN_WARMTH, "stems": (10.0, 23.0, 30.0, 36.0)}
HALF_LIGHT_MOL = {"Leptochilus": 2.0, "Bolbitis": 2.0, "stems": 5.0}
AROID_HALF_LIGHT_MOL, FULL_LIGHT_MOL = 1.5, 3.0


@dataclass(frozen=True, slots=True)
class World:
    """What is true of a kind of nursery."""

    clone_sd: float = 0.25  # between batches, log scale
    tank_sd: float = 0.20
    pot_cv: float = 0.30
    pot_law: str = "gamma"  # or "two paces": most pots alike, some far slower
    lag_law: str = "lognormal"  # or "spells": whole batches start late together
    season_frac: float = 0.0  # swing of the rate over the year
    plateau_leaves: float = 0.0  # as a multiple of the large grade; 0: none
    off_by_one: float = 0.2  # share of counts that are one leaf off
    wild_frac: float = 0.0  # share of counts that are of another pot, or misheard
    blur_frac: float = 0.0  # error of a count that grows with the leaves
    loss_sd: float = 0.6  # of tanks, and again of parents, logit scale
    is_handed_down: bool = False  # a batch has the pace of the batch it was cut from
    is_cut: bool = False  # parents lose leaves to cuts nobody noted


WORLDS: dict[str, World] = {
    "usual": World(),
    "lag": World(lag_law="spells"),
    "season": World(season_frac=0.35),
    "spread": World(pot_law="two paces", pot_cv=0.6),
    "plateau": World(plateau_leaves=1.5),
    "miscounts": World(off_by_one=0.4, wild_frac=0.03, blur_frac=0.08),
    "tanks": World(tank_sd=0.5, loss_sd=1.1),
    "clones": World(clone_sd=0.35, is_handed_down=True),
    "cuts": World(is_cut=True),
}


@dataclass(frozen=True, slots=True)
class Breed:
    """How one taxon truly grows in one nursery, at full light and best warmth."""

    taxon: TaxonFacts
    leaf_rate_30d: float
    lag_days: float
    lag_sd: float  # log scale, between pots
    leaf_life_days: float
    tips_30d: float
    settling_loss: float
    monthly_loss: float
    warmth_power: float
    light_power: float

    def prior(self, quantity: str) -> tuple[float, float, float]:
        """Mean and 90 % range of a starting value."""
        return starting(self.taxon, quantity)


def starting(taxon: TaxonFacts, quantity: str) -> tuple[float, float, float]:
    """Mean and 90 % range of a starting value of a taxon."""
    fact = next(one for one in taxon.priors if one.quantity == quantity)
    return fact.mean, fact.low, fact.high


def drawn_breed(rng: Generator, taxon: TaxonFacts) -> Breed:
    """A taxon of a nursery, every cause drawn from the range of its starting values."""
    _, lag_low, lag_high = starting(taxon, "lag_days")
    # Of the variance of the range half lies between taxa, half between pots.
    lag_sd = float(np.log(lag_high / lag_low) / WIDE / np.sqrt(2))
    return Breed(
        taxon,
        leaf_rate_30d=_lognormal(rng, starting(taxon, "leaf_rate_per_30d")),
        lag_days=float(np.sqrt(lag_low * lag_high) * np.exp(rng.normal(0.0, lag_sd))),
        lag_sd=lag_sd,
        leaf_life_days=30.44 * _lognormal(rng, _named(LIFE_MONTHS, taxon.group)),
        tips_30d=_lognormal(rng, _named(TIPS_A_MONTH, taxon.group)),
        settling_loss=min(0.6, _lognormal(rng, starting(taxon, "settling_loss_frac"))),
        monthly_loss=_lognormal(rng, starting(taxon, "loss_frac_per_30d")),
        warmth_power=float(rng.normal(1.0, 0.5)),
        light_power=float(rng.normal(1.0, 0.5)),
    )


def climate_factor(breed: Breed, temp_c: float, dli_mol_m2_d: float) -> float:
    """How much of its full pace a taxon has in a climate."""
    none, best, best_to, limit = _named(WARMTH, breed.taxon.group, AROID_WARMTH)
    warm = float(np.interp(temp_c, [none, best, best_to, limit], [0.02, 1, 1, 0.02]))
    half = _named(HALF_LIGHT_MOL, breed.taxon.group, AROID_HALF_LIGHT_MOL)
    lit = dli_mol_m2_d / (dli_mol_m2_d + half) * (FULL_LIGHT_MOL + half) / FULL_LIGHT_MOL
    return float(warm**breed.warmth_power * lit**breed.light_power)


def drawn_paces(rng: Generator, world: World, pots: int) -> Floats:
    """The pace of each pot against its batch, 1 on average."""
    if world.pot_law == "two paces":
        slow = rng.random(pots) < 0.2
        paces = np.where(slow, 0.35, 1.1) * np.exp(rng.normal(0, world.pot_cv / 2, pots))
        return np.asarray(paces / np.exp(world.pot_cv**2 / 8) / 0.95)
    shape = 1 / world.pot_cv**2
    return np.asarray(rng.gamma(shape, 1 / shape, pots))


def drawn_lags(rng: Generator, world: World, breed: Breed, pieces: list[str]) -> Floats:
    """Days to the first new leaf of each pot of a batch; pieces from the middle take half as long again."""
    n = len(pieces)
    later = np.array([1.5 if piece == "middle" else 1.0 for piece in pieces])
    if world.lag_law == "spells":
        spell = rng.gamma(1.5, 0.5)  # a cool or dark start holds a whole batch back
        return np.asarray(breed.lag_days * later * (0.4 + spell * rng.weibull(1.8, n)))
    return np.asarray(breed.lag_days * later * np.exp(rng.normal(0, breed.lag_sd, n)))


def _lognormal(rng: Generator, value: tuple[float, float, float]) -> float:
    _, low, high = value
    return float(np.exp(rng.normal((np.log(low) + np.log(high)) / 2, np.log(high / low) / WIDE)))


def _named(table: dict[str, Row], group: str, other: Row | None = None) -> Row:
    """The first row whose word is in the name of the group."""
    found = next((row for word, row in table.items() if word in group), other)
    if found is None:
        raise KeyError(group)
    return found
