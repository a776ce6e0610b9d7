"""How the pots of Fennhollow fill with leaves, one by one, and how some are lost, mostly in clusters."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from halfwater.demo.batches import KINDS, BatchPlan
from halfwater.demo.truth import Floats

Counts = NDArray[np.int64]
NEVER = 10**6
BEST_LIGHT_MOL, HALF_LIGHT_MOL = 3.0, 1.5
CUT_PAUSE_DAYS = 21  # a parent without its tip makes no leaf for a while
LEAST_LEAVES = 2  # left on a parent


@dataclass(slots=True)
class Plant:
    """One pot: where it came from, where it stands, and what became of it."""

    batch: BatchPlan
    number: int
    tank: str
    spot: str
    potted: int  # day of the book
    piece: str
    section_mm: float
    first_leaves: int
    lost: int = NEVER
    seen_lost: int = NEVER  # day the grower saw it
    cause: str = ""  # of the loss, as the grower took it
    sold: int = NEVER
    is_kept: bool = False
    parent: int | None = None  # place among the plants
    stood: list[tuple[int, str, str]] = field(default_factory=list)  # day, tank, spot

    @property
    def gone(self) -> int:
        """The day it was lost or sold, or NEVER."""
        return min(self.lost, self.sold)

    @property
    def off_spot(self) -> int:
        """The day its spot became free: a lost pot stands until it is seen."""
        return min(self.seen_lost, self.sold)


@dataclass(slots=True)
class Stand:
    """All pots of the nursery, with their leaves and rhizomes on the day the stand has come to."""

    rng: Generator
    light: Mapping[str, float]  # tank -> daily light, mol/m2
    spots: Mapping[str, Sequence[str]]
    plants: list[Plant] = field(default_factory=list)
    leaves: Counts = field(default_factory=lambda: np.zeros(0, np.int64))
    rhizome_mm: Floats = field(default_factory=lambda: np.zeros(0))
    starts: Counts = field(default_factory=lambda: np.zeros(0, np.int64))  # day the next leaves may come
    pace: Floats = field(default_factory=lambda: np.zeros(0))  # leaves a day at best light
    lit: Floats = field(default_factory=lambda: np.zeros(0))  # share of that pace the tank's light allows
    gone: Counts = field(default_factory=lambda: np.zeros(0, np.int64))
    leaf_death: Floats = field(default_factory=lambda: np.zeros(0))  # chance in a day
    tips: Floats = field(default_factory=lambda: np.zeros(0))  # added a day
    mm_per_leaf: Floats = field(default_factory=lambda: np.zeros(0))

    def standing(self, day: int, *batches: str) -> list[int]:
        """Places of the pots that stand on a day, of some batches or all."""
        return [
            place
            for place, plant in enumerate(self.plants)
            if day < plant.gone and (not batches or plant.batch.name in batches)
        ]

    def free_spots(self, day: int, tank: str) -> list[str]:
        """Spots of a tank on which nothing stands, in reading order."""
        taken = {plant.spot for plant in self.plants if plant.tank == tank and day < plant.off_spot}
        return [spot for spot in self.spots[tank] if spot not in taken]

    def pot_up(self, plan: BatchPlan, day: int, sections: Sequence[tuple[int | None, str]]) -> None:
        """Stand sections (parent and piece of each) on the first free spots."""
        rng, kind = self.rng, KINDS[plan.kind]
        n = len(sections)
        lost = day + lost_after(rng, n, kind.early_loss_frac)
        own_pace = float(np.exp(rng.normal(0, 0.2)))
        first = np.maximum(1, round(kind.first_leaves) + rng.integers(-1, 2, n))
        length = np.maximum(12.0, np.round(rng.normal(kind.section_mm, 4.0, n)))
        late = np.array([1.5 if piece == "middle" else 1.0 for _, piece in sections])
        starts = day + (kind.lag_days * late * np.exp(rng.normal(0, 0.35, n))).astype(np.int64)
        pace = kind.leaf_rate_30d / 30 * own_pace * np.exp(rng.normal(0, 0.3, n))
        places = zip(sections, self.free_spots(day, plan.tank)[:n], strict=True)
        for i, ((parent, piece), spot) in enumerate(places):
            plant = Plant(
                plan, i + 1, plan.tank, spot, day, piece, float(length[i]), int(first[i]), int(lost[i]),
                parent=parent, stood=[(day, plan.tank, spot)],
            )  # fmt: skip
            self.plants.append(plant)
        self.leaves = np.concatenate([self.leaves, first])
        self.rhizome_mm = np.concatenate([self.rhizome_mm, length])
        self.starts = np.concatenate([self.starts, starts])
        self.pace = np.concatenate([self.pace, pace])
        self.lit = np.concatenate([self.lit, np.full(n, lit_frac(self.light[plan.tank]))])
        self.gone = np.concatenate([self.gone, lost])
        self.leaf_death = np.concatenate([self.leaf_death, np.full(n, 1 / kind.leaf_life_days)])
        self.tips = np.concatenate([self.tips, np.full(n, kind.tips_30d / 30)])
        self.mm_per_leaf = np.concatenate([self.mm_per_leaf, np.full(n, kind.mm_per_leaf)])

    def cut(self, place: int, sections: int, day: int) -> None:
        """Take sections off a parent: rhizome and leaves go with them, and it pauses."""
        kind = KINDS[self.plants[place].batch.kind]
        self.rhizome_mm[place] -= sections * kind.section_mm
        left = int(self.leaves[place]) - round(sections * kind.first_leaves)
        self.leaves[place] = max(LEAST_LEAVES, left)
        self.starts[place] = max(int(self.starts[place]), day + CUT_PAUSE_DAYS)

    def sections_on(self, place: int) -> int:
        """How many sections a pot can give and still stand as one itself."""
        kind = KINDS[self.plants[place].batch.kind]
        return max(0, int(self.rhizome_mm[place] // kind.section_mm) - 1)

    def move(self, place: int, day: int, tank: str, spot: str) -> None:
        """Carry a pot to a free spot."""
        plant = self.plants[place]
        plant.tank, plant.spot = tank, spot
        self.lit[place] = lit_frac(self.light[tank])
        plant.stood.append((day, tank, spot))

    def sell(self, place: int, day: int) -> None:
        """A pot leaves with its buyer."""
        self.plants[place].sold = day
        self.gone[place] = day

    def grow(self, day: int) -> None:
        """One day: leaves come, by pace and light, and leaves die."""
        since = day - self.starts
        more = 1 + self.tips * np.maximum(since, 0)
        is_there = day < self.gone
        births = self.rng.poisson(np.where(is_there & (since > 0), self.pace * self.lit * more, 0.0))
        deaths = self.rng.binomial(self.leaves, self.leaf_death)
        self.rhizome_mm += births * self.mm_per_leaf
        self.leaves = np.where(is_there, self.leaves + births - deaths, 0)


def lit_frac(dli_mol_m2_d: float) -> float:
    """Share of the best pace that a daily light allows."""
    return dli_mol_m2_d / (dli_mol_m2_d + HALF_LIGHT_MOL) * (1 + HALF_LIGHT_MOL / BEST_LIGHT_MOL)


def lost_after(rng: Generator, pots: int, early_loss_frac: float) -> Counts:
    """Days from potting to loss: at first in patches of neighbours, later singly, 1 % a month."""
    lost = np.full(pots, NEVER)
    spread = 15.0  # beta-binomial: the share differs from batch to batch
    wanted = round(pots * rng.beta(early_loss_frac * spread, (1 - early_loss_frac) * spread))
    order: list[int] = []
    while len(order) < wanted:
        centre = int(rng.integers(pots))
        patch = centre + np.arange(int(rng.integers(1, 5)))
        order += [int(pot) for pot in patch if pot < pots and pot not in order]
    start = 0
    for pot in order[:wanted]:
        start = int(rng.integers(8, 50)) if rng.random() < 0.4 or start == 0 else start
        lost[pot] = start + int(rng.integers(0, 6))
    later = 60 + rng.exponential(30 / 0.01, pots).astype(np.int64)
    return np.asarray(np.minimum(lost, np.where(later < 2000, later, NEVER)))
