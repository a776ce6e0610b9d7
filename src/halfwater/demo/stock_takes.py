"""What the grower of a simulated nursery sees: stock-takes of whole tanks or tagged pots, losses, sales."""

from dataclasses import dataclass, field

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from halfwater.demo.stock_layout import NEVER, Ints, Layout
from halfwater.demo.stock_worlds import World

HABITS_DAYS = (14, 30, 30, 60, 100)  # between stock-takes, grower by grower
SALE_EVERY_DAYS = 56
SOLD_FRAC = 0.6  # of those that were counted as large enough
ROOTED_DAYS = 42
LOOK_DAYS = 7  # a loss is seen within a week


@dataclass(slots=True)
class Takes:
    """What was written down, by row of the layout; days of the course."""

    sold: Ints
    seen_lost: Ints  # day a loss was seen
    counted: list[tuple[int, int, int]] = field(default_factory=list)  # day, row, leaves


def take_stock(
    rng: Generator, world: World, layout: Layout, leaves: NDArray[np.int16], past_days: int
) -> Takes:
    """The stock-takes of one nursery up to its last evening; `leaves` has its pots only."""
    takes = Takes(np.full(layout.pots, NEVER), _seen(rng, layout))
    tagged = rng.random(layout.pots) < 0.3
    every = float(rng.choice(HABITS_DAYS))
    potted, small = layout.potted(), _small_leaves(layout)
    day, next_sale = float(rng.uniform(10, 60)), 150
    while day < past_days:
        today = int(day)
        tanks = rng.random(len(layout.climates)) < 0.7
        is_whole = rng.random(len(layout.climates)) < 0.4
        where = np.where(today >= layout.moved, layout.next_tank, layout.tank)
        is_there = (potted < today) & (today < takes.sold) & (today < takes.seen_lost)
        rows = np.flatnonzero(is_there & tanks[where] & (is_whole[where] | tagged))
        takes.seen_lost[rows] = np.where(layout.lost[rows] <= today, today, takes.seen_lost[rows])
        rows = rows[layout.lost[rows] > today]
        shown = _counted(rng, world, leaves[rows, today].astype(np.int64), leaves[:, today])
        takes.counted += zip([today] * rows.size, rows.tolist(), shown.tolist(), strict=True)
        if today >= next_sale:
            ripe = (shown >= small[rows]) & (today - potted[rows] >= ROOTED_DAYS) & ~layout.is_kept[rows]
            takes.sold[rows[ripe & (rng.random(rows.size) < SOLD_FRAC)]] = today
            next_sale = today + SALE_EVERY_DAYS
        day += every * float(rng.uniform(0.6, 1.6))
    return takes


def _seen(rng: Generator, layout: Layout) -> Ints:
    return np.where(layout.lost < NEVER, layout.lost + rng.integers(0, LOOK_DAYS, layout.pots), NEVER)


def _small_leaves(layout: Layout) -> Ints:
    rule = np.array([breed.prior("small_leaves")[0] for breed in layout.breeds])
    return np.asarray(rule[layout.breed_of()]).astype(np.int64)


def _counted(rng: Generator, world: World, leaves: Ints, others: NDArray[np.int16]) -> Ints:
    """Leaves as counted: one off now and then, and in some worlds worse."""
    n = leaves.size
    off = np.where(rng.random(n) < world.off_by_one, rng.choice([-1, 1], n), 0)
    off = off + np.round(rng.normal(0, 1, n) * world.blur_frac * leaves).astype(np.int64)
    is_wild = rng.random(n) < world.wild_frac
    return np.asarray(np.maximum(0, np.where(is_wild, rng.choice(others, n), leaves + off)))
