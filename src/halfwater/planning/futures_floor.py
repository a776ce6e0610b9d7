"""The floors in a thousand futures at once: pots by line and stage, with what was sold, cut and lost."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.plain.cutting import PlanFacts
from halfwater.plain.stock import GRADES
from halfwater.planning.cutting_columns import total_spots
from halfwater.planning.cutting_stock import Stand, stand_of
from halfwater.planning.whole_pots import CommonChance, Counts, Floats, fates, grown
from halfwater.science import starting
from halfwater.science.stage_chain import stage_chain

SELL_MIN = starting.HARVEST_MIN + starting.PACK_MIN
ALL = 1_000_000  # more pots than any floor holds


@dataclass(frozen=True, slots=True)
class World:
    """What all policies share.

    A line is the pots of a taxon with the same number of sections beyond what their stage gives.
    """

    facts: PlanFacts
    stands: tuple[Stand, ...]
    taxon_of: Counts  # of each line
    fresh: tuple[int, ...]  # line that new sections of a taxon go to
    sections: Counts  # line x stage: a pot gives, itself included
    start: Counts  # line x stage
    p_fates: Floats  # question x future x line x stage
    chance: CommonChance
    spots: int

    @property
    def futures(self) -> int:
        """How many there are."""
        return int(self.p_fates.shape[1])


def world_of(facts: PlanFacts, futures: int) -> World:
    """The futures as they are before anything is done in them.

    Parameters
    ----------
    facts : PlanFacts
        Pots, floors and draws of growth.
    futures : int
        How many. Valid from 1 on.

    Returns
    -------
    World
        Growth of each future, today's pots, shared numbers.

    Raises
    ------
    RefusedInput
        If a draw, price or pot cannot be used.

    Notes
    -----
    The joint draws are shuffled once and dealt out in turn, so that with as many futures as draws each is
    met once. No taxa give a world without lines; nan draws are refused by the stages.

    Source: own definition
    """
    stands = tuple(stand_of(facts, taxon, (0,)) for taxon in facts.taxa)
    stages = max((stand.stages for stand in stands), default=1)
    extras = [_extras(stand) for stand in stands]
    taxon_of = np.array([t for t, found in enumerate(extras) for _ in found], dtype=np.int64)
    extra_of = [extra for found in extras for extra in found]
    sections = np.ones((len(extra_of), stages), dtype=np.int64)
    start = np.zeros_like(sections)
    for line, (taxon, extra) in enumerate(zip(taxon_of, extra_of, strict=True)):
        stand = stands[taxon]
        given = np.array(stand.sections)
        given[stand.chain.settling :] += extra
        sections[line, : stand.stages] = np.maximum(given, 1)
        for group in stand.groups:
            if group.sections - stand.sections[group.stage] == extra:
                start[line, group.stage] += group.pots
    fresh = tuple(int(np.flatnonzero(taxon_of == t)[found.index(0)]) for t, found in enumerate(extras))
    p_fates = np.moveaxis(_p_fates(facts, stands, futures, stages)[:, taxon_of], -1, 0).copy()
    chance = CommonChance(facts.seed, (futures, *start.shape))
    return World(facts, stands, taxon_of, fresh, sections, start, p_fates, chance, total_spots(facts))


def _extras(stand: Stand) -> list[int]:
    """Sections by which today's pots differ from their stages; 0 first, for the pots to come."""
    found = {group.sections - stand.sections[group.stage] for group in stand.groups}
    return [0, *sorted(found - {0})]


def _p_fates(facts: PlanFacts, stands: tuple[Stand, ...], futures: int, stages: int) -> Floats:
    asked = np.zeros((futures, len(stands), stages, stages + 1))
    for place, stand in enumerate(stands):
        draws = stand.taxon.draws
        chains = stage_chain(
            stand.taxon.grade_leaves, stand.taxon.first_leaves, draws.leaf_rate_per_30d, draws.lag_days,
            draws.settling_loss_frac, draws.loss_per_30d_frac, draws.leaf_life_days, draws.tips_per_30d,
        )  # fmt: skip
        order = np.random.default_rng(facts.seed).permutation(len(draws.leaf_rate_per_30d))
        dealt = order[np.arange(futures) % len(order)]
        asked[:, place, : stand.stages, : stand.stages + 1] = fates(chains.matrix)[dealt]
    return asked


@dataclass(slots=True)
class Floor:
    """One policy's floors in all futures; counts are one a future unless a name says more."""

    world: World
    pots: Counts  # future x line x stage
    income_minor: Floats
    sold: Counts
    cut: Counts  # pots that were cut up
    made: Counts  # sections potted
    lost: Counts
    minutes: Floats  # left in the week
    is_begun: NDArray[np.bool_]  # future x taxon: set up for a batch this week
    fullest: Counts  # most pots that ever stood after a week's work
    by_line: Counts  # future x taxon x grade: sold so far
    potted: Counts  # future x taxon: sections so far

    @classmethod
    def of_today(cls, world: World) -> "Floor":
        """The floors as they are now, the same in all futures."""
        pots = np.broadcast_to(world.start, (world.futures, *world.start.shape)).copy()
        none = np.zeros(world.futures, dtype=np.int64)
        sold, cut, made, lost, fullest = (none.copy() for _ in range(5))
        minutes, is_begun = np.full(none.shape, np.inf), np.zeros((len(none), len(world.stands)), dtype=bool)
        by_line = np.zeros((len(none), len(world.stands), len(GRADES)), dtype=np.int64)
        return cls(
            world,
            pots,
            np.zeros(none.shape),
            sold,
            cut,
            made,
            lost,
            minutes,
            is_begun,
            fullest,
            by_line,
            by_line[..., 0].copy(),
        )

    def begin(self) -> None:
        """A new week: its minutes, and no batch begun."""
        limit = self.world.facts.habit.minutes_a_week
        self.minutes = np.full(self.world.futures, np.inf if limit is None else limit)
        self.is_begun[:] = False

    def standing(self, taxon: int | None = None) -> Counts:
        """Pots on spots, of one taxon or of all."""
        chosen = self.pots if taxon is None else self.pots[:, self.world.taxon_of == taxon]
        return np.asarray(chosen.sum(axis=(1, 2)))

    def ready(self, taxon: int, rank: int = 1) -> Counts:
        """Pots of a taxon at a grade or better."""
        stages = [s for s, r in enumerate(self.world.stands[taxon].rank) if r >= rank]
        return np.asarray(self.pots[:, self.world.taxon_of == taxon][..., stages].sum(axis=(1, 2)))

    def free(self) -> Counts:
        """Spots without a pot; below 0 by the pots that stand beyond them."""
        return np.asarray(self.world.spots - self.standing())

    def cells(self, taxon: int) -> list[tuple[int, int]]:
        """Lines and stages of settled pots, the best parents first: most sections, then most leaves."""
        stand = self.world.stands[taxon]
        lines = np.flatnonzero(self.world.taxon_of == taxon)
        found = [(int(line), stage) for line in lines for stage in range(stand.chain.settling, stand.stages)]
        return sorted(found, key=lambda cell: (-self.world.sections[cell], -cell[1], cell[0]))

    def sale(self, taxon: int, wanted: Counts, kept: Counts) -> tuple[Counts, Counts]:
        """Pots that would be sold, future x line x stage, and by grade.

        The larger grades are sold first, and in each the smaller pots. `wanted` is the most of each grade,
        `kept` how many of the best parents are held back.
        """
        stand = self.world.stands[taxon]
        left = self.pots.copy()
        for cell in self.cells(taxon):
            held = np.minimum(left[:, *cell], kept)
            left[:, *cell] -= held
            kept = kept - held
        taken = np.zeros_like(self.pots)
        told = np.zeros((self.world.futures, 3), dtype=np.int64)
        minutes = np.where(np.isfinite(self.minutes), np.floor(self.minutes / SELL_MIN + 1e-9), ALL).astype(
            np.int64
        )
        for rank in reversed(stand.lines):
            most = np.minimum(
                np.minimum(wanted[:, rank - 1], min(stand.most[rank - 1], ALL)), minutes
            ).astype(np.int64)
            for cell in sorted(self.cells(taxon), key=lambda cell: (cell[1], self.world.sections[cell])):
                if stand.rank[cell[1]] < rank:
                    continue
                here = np.minimum(left[:, *cell], most - told[:, rank - 1])
                left[:, *cell] -= here
                taken[:, *cell] += here
                told[:, rank - 1] += here
            minutes = minutes - told[:, rank - 1]
        return taken, told

    def sell(self, taxon: int, taken: Counts, told: Counts) -> None:
        """Give up their spots and take the money."""
        stand = self.world.stands[taxon]
        price = np.where(np.isnan(stand.price_minor), 0.0, stand.price_minor)
        self.pots -= taken
        self.sold += told.sum(axis=1)
        self.by_line[:, taxon] += told
        self.income_minor += told @ price
        self.minutes = self.minutes - SELL_MIN * told.sum(axis=1)

    def cut_up(self, taxon: int, cell: tuple[int, int], wanted: Counts, room: Counts) -> Counts:
        """Cut up to `wanted` pots of a cell, as far as spots in `room` and minutes go; how many were cut."""
        sections = int(self.world.sections[cell])
        set_up = np.where(self.is_begun[:, taxon], 0.0, starting.BATCH_MIN)
        within = _whole((self.minutes - set_up) / (sections * starting.CUT_MIN))
        cuts = np.minimum(np.minimum(self.pots[:, *cell], wanted), np.minimum(room // (sections - 1), within))
        cuts = np.maximum(cuts, 0)
        self.pots[:, *cell] -= cuts
        self.pots[:, self.world.fresh[taxon], self.world.stands[taxon].chain.entry] += sections * cuts
        self.cut += cuts
        self.made += sections * cuts
        self.potted[:, taxon] += sections * cuts
        self.minutes = self.minutes - starting.CUT_MIN * sections * cuts - np.where(cuts > 0, set_up, 0.0)
        self.is_begun[:, taxon] |= cuts > 0
        return cuts

    def grow(self, week: int) -> None:
        """A week goes by."""
        self.fullest = np.maximum(self.fullest, self.standing())
        self.pots, lost = grown(self.pots, self.world.p_fates, self.world.chance, week)
        self.lost += lost.sum(axis=1)

    def worth_minor(self, worths: tuple[Floats, ...]) -> Floats:
        """What the standing pots are worth, by the worth of their stages."""
        total = np.zeros(self.world.futures)
        for taxon, worth in enumerate(worths):
            total += self.pots[:, self.world.taxon_of == taxon, : len(worth)].sum(axis=1) @ worth
        return total


def _whole(pots: Floats) -> Counts:
    """Whole pots within a number of them, none where it is negative, all where it is endless."""
    return np.floor(np.clip(pots, 0.0, ALL) + 1e-9).astype(np.int64)
