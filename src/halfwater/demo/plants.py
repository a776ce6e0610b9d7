"""How the pots fill with leaves, one by one, and how some are lost, mostly in clusters."""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from halfwater.demo.nursery import KINDS, BatchPlan
from halfwater.demo.truth import Floats

Counts = NDArray[np.int64]
NEVER = 10**6
BEST_LIGHT_MOL, HALF_LIGHT_MOL = 3.0, 1.5


@dataclass(frozen=True, slots=True)
class Stand:
    """The true course of a batch: leaves of every pot on every day, and the day it was lost."""

    plan: BatchPlan
    potted: int  # day, counted from the first of the book
    gone: int  # day the finished pots left, or NEVER
    leaves: Counts  # pots x days, 0 before potting and after loss or sale
    lost: Counts  # day by pot, NEVER for those that live

    def area_m2(self) -> Floats:
        """Leaf area of the batch on every day."""
        return np.asarray(self.leaves.sum(axis=0) * KINDS[self.plan.kind].leaf_cm2 / 1e4)


def grown_stand(rng: Generator, plan: BatchPlan, days: int, book_days: int, dli_mol_m2_d: float) -> Stand:
    """A batch from potting to the end of the course."""
    kind = KINDS[plan.kind]
    potted = book_days - plan.days_ago
    gone = NEVER if plan.sold_days_ago is None else book_days - plan.sold_days_ago
    age = np.arange(days) - potted
    lag = kind.lag_days * np.exp(rng.normal(0, 0.4, plan.pots))
    light = dli_mol_m2_d / (dli_mol_m2_d + HALF_LIGHT_MOL) * (1 + HALF_LIGHT_MOL / BEST_LIGHT_MOL)
    pace = kind.leaf_rate_30d / 30 * light * np.exp(rng.normal(0, 0.2) + rng.normal(0, 0.3, plan.pots))
    since = age[None, :] - lag[:, None]
    births = rng.poisson(np.where(since > 0, pace[:, None] * (1 + 0.1 * np.maximum(since, 0) / 30), 0.0))
    expected = kind.first_leaves + np.cumsum(births, axis=1) * 0.8
    deaths = rng.poisson(np.where(age >= 0, expected / kind.leaf_life_days, 0.0))
    first = np.maximum(1, kind.first_leaves + rng.integers(-1, 2, plan.pots))
    leaves = np.maximum(first[:, None] + np.cumsum(births - deaths, axis=1), 0)
    lost = _lost_days(rng, plan, potted, days)
    is_there = (age >= 0)[None, :] & (np.arange(days)[None, :] < np.minimum(lost, gone)[:, None])
    return Stand(plan, potted, gone, np.where(is_there, leaves, 0), lost)


def _lost_days(rng: Generator, plan: BatchPlan, potted: int, days: int) -> Counts:
    """Losses after potting come in patches of neighbours; later ones singly, 1 % a month."""
    lost = np.full(plan.pots, NEVER)
    early = KINDS[plan.kind].early_loss_frac
    spread = 15.0  # beta-binomial: the share differs from batch to batch
    wanted = round(plan.pots * rng.beta(early * spread, (1 - early) * spread))
    order: list[int] = []
    while len(order) < wanted:
        centre = int(rng.integers(plan.pots))
        patch = centre + np.arange(int(rng.integers(1, 5)))
        order += [int(pot) for pot in patch if pot < plan.pots and pot not in order]
    start = 0
    for pot in order[:wanted]:
        start = int(rng.integers(8, 50)) if rng.random() < 0.4 or start == 0 else start
        lost[pot] = potted + start + int(rng.integers(0, 6))
    later = potted + 60 + rng.exponential(30 / 0.01, plan.pots).astype(np.int64)
    return np.asarray(np.minimum(lost, np.where(later < days, later, NEVER)))
