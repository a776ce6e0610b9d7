"""The days of many pots at once: leaves come, leaves go."""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from halfwater.demo.stock_layout import Ints, Layout
from halfwater.demo.stock_worlds import World
from halfwater.demo.truth import Floats

CUT_LEAVES_FRAC = 0.6  # of its leaves go with the sections of a parent that is cut
YOUNGEST_CUT_DAYS = 120


def run_course(rng: Generator, world: World, layouts: Sequence[Layout], days: int) -> NDArray[np.int16]:
    """Leaves of the pots of all layouts, one after the other, on every day; 0 before potting.

    Losses and sales are left out: a lost pot's leaves run on as if it stood.
    """
    pot = _Pots(layouts)
    leaves = np.zeros((days, pot.potted.size), dtype=np.int16)
    now = np.zeros(pot.potted.size, dtype=np.int64)
    for day in range(days):
        age = day - pot.potted
        now = np.where(age == 0, pot.first_leaves, now)
        growing = age - pot.lag
        rate = np.where(day >= pot.moved, pot.next_rate, pot.rate) * (1 + pot.tips * np.maximum(growing, 0.0))
        if world.season_frac:
            rate = rate * (1 + world.season_frac * np.sin(pot.season + 2 * np.pi * day / 365))
        rate = rate * np.maximum(1 - now / pot.plateau, 0.0)
        births = rng.poisson(np.where(growing > 0, rate, 0.0))
        deaths = rng.binomial(now, np.where(age > 0, pot.leaf_death, 0.0))
        now = now + births - deaths
        is_cut = (age > YOUNGEST_CUT_DAYS) & (age % pot.cut_every == 0)
        now = np.where(is_cut, np.ceil(now * (1 - CUT_LEAVES_FRAC)).astype(np.int64), now)
        leaves[day] = now
    return np.ascontiguousarray(leaves.T)


class _Pots:
    """The pots of several layouts in one row of arrays."""

    def __init__(self, layouts: Sequence[Layout]) -> None:
        def joined(pick: Callable[[Layout], Floats | Ints]) -> NDArray[np.float64]:
            return np.concatenate([pick(one) for one in layouts])

        self.potted = joined(Layout.potted).astype(np.int64)
        self.first_leaves = joined(lambda one: one.first_leaves).astype(np.int64)
        self.moved = joined(lambda one: one.moved)
        self.rate, self.next_rate = joined(lambda one: one.rate), joined(lambda one: one.next_rate)
        self.lag, self.tips = joined(lambda one: one.lag), joined(lambda one: one.tips)
        self.leaf_death = 1 - np.exp(-1 / joined(lambda one: one.life))
        self.plateau = joined(lambda one: one.plateau)
        self.cut_every = joined(lambda one: one.cut_every).astype(np.int64)
        self.season = joined(lambda one: np.full(one.pots, one.season))
