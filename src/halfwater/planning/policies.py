"""Ways of running the nursery that are compared in the same futures, each in plain rules.

All keep the least number of parents, sell only what buyers take, and work within spots and minutes. The
rivals refill as a careful grower would: the best parents are cut first, as many as fill the spots that are
free and those that the day's sale sets free, each taxon towards the share of the floors that it has today.

- "sell all that is ready": every ready pot with a price goes at each release.
- "keep a fifth": a fifth of the ready pots, rounded up and the best parents first, is held back.
- "the plan": its near weeks to the letter, as far as the pots are there. Later releases sell what the plan
  expects, with what earlier ones were short of, but leave standing the pots that the plan has standing then;
  later cuts are those of the plan, with what was short, and in their weeks a stock that is below the plan's
  is cut up to it.
"""

from dataclasses import dataclass
from datetime import timedelta
from typing import Protocol

import numpy as np

from halfwater.plain.cutting import CuttingPlan
from halfwater.plain.stock import GRADES
from halfwater.planning.cutting_weeks import release_weeks
from halfwater.planning.futures_floor import ALL, SELL_MIN, Floor, World
from halfwater.planning.whole_pots import Counts, Floats


class Policy(Protocol):
    """A way of running the nursery."""

    @property
    def name(self) -> str:
        """What it is called on the page."""

    @property
    def cuts_first(self) -> bool:
        """Whether it cuts from what it would else sell that day."""

    def kept(self, floor: Floor, taxon: int) -> Counts:
        """Best parents that are held back from a sale."""

    def wanted(self, floor: Floor, taxon: int, week: int) -> Counts:
        """The most to sell of each grade, future x grade."""

    def cut(self, floor: Floor, week: int, freed: Counts) -> None:
        """Cut in a week whose sale will free some spots, future x taxon."""


@dataclass(frozen=True, slots=True)
class SellReady:
    """Sell what is ready, but for a share of it that is held back as parents."""

    name: str
    keep_frac: float
    cuts_first: bool = True

    def kept(self, floor: Floor, taxon: int) -> Counts:
        """The least number of parents, or the share of the ready pots if that is more."""
        share = np.ceil(self.keep_frac * floor.ready(taxon) - 1e-9).astype(np.int64)
        return np.asarray(np.maximum(share, floor.world.facts.habit.least_kept), dtype=np.int64)

    def wanted(self, floor: Floor, taxon: int, week: int) -> Counts:
        """All of every grade."""
        return np.full((floor.world.futures, len(GRADES)), ALL, dtype=np.int64)

    def cut(self, floor: Floor, week: int, freed: Counts) -> None:
        """Fill the floors towards today's mix."""
        _refill(floor, freed, todays_goal(floor.world))


@dataclass(frozen=True, slots=True)
class FollowPlan:
    """Do what the plan says."""

    plan: CuttingPlan
    world: World
    name: str = "the plan"
    cuts_first: bool = False

    def kept(self, floor: Floor, taxon: int) -> Counts:
        """The least number of parents."""
        least = max(self.world.facts.habit.least_kept, 0)
        return np.full(self.world.futures, least, dtype=np.int64)

    def wanted(self, floor: Floor, taxon: int, week: int) -> Counts:
        """Near releases as offered; later ones in proportion to what stands."""
        key = self.world.stands[taxon].taxon.key
        until = self.world.facts.on + timedelta(weeks=week + 1)
        planned = np.zeros(len(GRADES))
        for line in self.plan.releases:
            if line.taxon == key and line.on < until:
                pots = line.income_minor / line.price_minor if line.price_minor else line.pots.p50
                planned[GRADES.index(line.grade)] += pots if line.offered is None else line.offered
        short = np.maximum(np.rint(planned).astype(np.int64) - floor.by_line[:, taxon], 0)
        return short if week < self.world.facts.near_weeks else self._spared(floor, taxon, week, short)

    def _spared(self, floor: Floor, taxon: int, week: int, wanted: Counts) -> Counts:
        """Later sales leave standing what the plan has standing after them: what is lost is lost to sales."""
        key = self.world.stands[taxon].taxon.key
        cuts = [a for a in self.plan.actions if (a.kind, a.taxon, a.week) == ("cut", key, week)]
        held = self._expected(taxon, week) - sum(a.sections - a.pots for a in cuts)
        spare = np.maximum(floor.standing(taxon) - np.int64(round(max(held, 0.0))), 0)
        found, ready = np.zeros_like(wanted), np.zeros(self.world.futures, dtype=np.int64)
        for rank in range(len(GRADES), 0, -1):
            here = np.minimum(wanted[:, rank - 1], floor.ready(taxon, rank) - ready)
            found[:, rank - 1] = np.minimum(here, spare)
            ready += found[:, rank - 1]
            spare = spare - found[:, rank - 1]
        return found

    def cut(self, floor: Floor, week: int, freed: Counts) -> None:
        """Near cuts as planned; what later ones lack or had no room for is made up when it can be."""
        is_near = week < min(self.world.facts.near_weeks, self.plan.weeks)
        for taxon, stand in enumerate(self.world.stands):
            cuts = [a for a in self.plan.actions if a.kind == "cut" and a.taxon == stand.taxon.key and a.pots]
            due = [a for a in cuts if (a.week == week if is_near else a.week <= week)]
            if is_near:
                for action in due:
                    left = np.full(floor.world.futures, action.pots, dtype=np.int64)
                    _cut_as_told(floor, taxon, left, round(action.sections / action.pots))
            elif due:
                each = sum(a.sections for a in due) / sum(a.pots for a in due)
                short = sum(a.sections for a in due) - floor.potted[:, taxon]
                _cut_as_told(floor, taxon, np.rint(short / each).astype(np.int64), round(each))
                if due[-1].week == week:
                    goal = np.zeros(len(self.world.stands))
                    goal[taxon] = self._expected(taxon, week)
                    _refill(floor, freed, goal, rounds=1)

    def _expected(self, taxon: int, week: int) -> float:
        ahead = self.plan.stock_ahead.get(self.world.stands[taxon].taxon.name, ())
        return float(ahead[min(week, len(ahead) - 1)]) if ahead else 0.0


def todays_goal(world: World) -> Floats:
    """Pots of each taxon on floors that are full in today's mix.

    Parameters
    ----------
    world : World
        Today's pots and spots.

    Returns
    -------
    numpy.ndarray
        One number a taxon. [1]

    Notes
    -----
    Spots in proportion to what stands; in equal parts where nothing stands, so that there is no nan. There
    is no range: counts are 0 or more.

    Source: own definition
    """
    pots = np.array([world.start[world.taxon_of == t].sum() for t in range(len(world.stands))], dtype=float)
    share = pots / pots.sum() if pots.sum() else np.full(len(pots), 1.0 / max(len(pots), 1))
    return np.asarray(share * world.spots)


def _refill(floor: Floor, freed: Counts, goal: Floats, rounds: int = 2) -> None:
    """Fill the free spots by cutting the best parents; `freed` are pots that this week's sale will take.

    First round: each taxon up to its goal; second round: up to the free spots; the taxon furthest below its
    goal on average goes first. A pot that is cut may be one that was to be sold: it then frees no spot, so
    that a cut of k sections asks for k spots while there is a sale.
    """
    freed, taxa = freed.copy(), range(len(goal))
    short = [goal[t] - (floor.standing(t) - freed[:, t]) for t in taxa]
    order = sorted(taxa, key=lambda t: -float(np.mean(short[t])))
    for is_first in (True, False)[:rounds]:
        for taxon in order:
            for cell in floor.cells(taxon):
                if floor.world.sections[cell] < 2 or not floor.pots[:, *cell].any():
                    continue
                below = goal[taxon] - (floor.standing(taxon) - freed[:, taxon])
                wanted = np.floor(np.maximum(below, 0.0) if is_first else np.full(below.shape, ALL))
                _cut_into_room(floor, taxon, cell, wanted.astype(np.int64), freed)


def _cut_into_room(floor: Floor, taxon: int, cell: tuple[int, int], wanted: Counts, freed: Counts) -> None:
    """Cut as many pots of a cell as fit into `wanted` spots; `freed` is brought up to date."""
    sections = int(floor.world.sections[cell])
    room = np.minimum(floor.free() + freed.sum(axis=1), wanted)
    is_sale = freed[:, taxon] > 0
    most = np.where(is_sale, np.minimum(room // sections, freed[:, taxon]), room // (sections - 1))
    if not (np.minimum(most, floor.pots[:, *cell]) > 0).any():
        return
    reserved = SELL_MIN * freed.sum(axis=1)
    floor.minutes = floor.minutes - reserved
    cuts = floor.cut_up(taxon, cell, most, room)
    floor.minutes = floor.minutes + reserved
    freed[:, taxon] -= np.where(is_sale, cuts, 0)


def _cut_as_told(floor: Floor, taxon: int, left: Counts, sections: int) -> None:
    """Cut so many pots that give so many sections each; where they are too few, those that give more."""
    given = floor.world.sections
    usual = floor.world.fresh[taxon]
    cells = [cell for cell in floor.cells(taxon) if given[cell] >= 2]
    for cell in sorted(
        cells, key=lambda c: (abs(given[c] - sections), abs(given[c] - given[usual, c[1]]), c[1], c[0])
    ):
        left = left - floor.cut_up(taxon, cell, left, floor.free())


def played(world: World, policy: Policy) -> Floor:
    """The floors at the end of all futures under a policy.

    Parameters
    ----------
    world : World
        What all policies share.
    policy : Policy
        The way of running the nursery.

    Returns
    -------
    Floor
        Pots, income, sold, cut, made and lost pots of each future.

    Notes
    -----
    Each week: sell and cut, then grow. A policy that cuts first counts the spots of the day's sale as free.
    No weeks give today's floors. Nan was refused when the world was made.

    Source: own definition
    """
    floor, taxa = Floor.of_today(world), range(len(world.stands))
    opens = set(release_weeks(world.facts.on, world.facts.weeks, world.facts.habit))
    for week in range(world.facts.weeks):
        floor.begin()
        wishes = [policy.wanted(floor, taxon, week) for taxon in taxa] if week in opens else []
        kept = [policy.kept(floor, taxon) for taxon in taxa]
        freed = np.zeros((world.futures, len(world.stands)), dtype=np.int64)
        if policy.cuts_first:
            _sell(floor, wishes, kept, freed)
            policy.cut(floor, week, freed)
        _sell(floor, wishes, kept, None)
        if not policy.cuts_first:
            policy.cut(floor, week, freed)
        floor.grow(week)
    return floor


def _sell(floor: Floor, wishes: list[Counts], kept: list[Counts], freed: Counts | None) -> None:
    """Sell what is wished; with `freed`, only say how much of each taxon it would be."""
    minutes = floor.minutes
    for taxon, wanted in enumerate(wishes):
        taken, told = floor.sale(taxon, wanted, kept[taxon])
        if freed is None:
            floor.sell(taxon, taken, told)
        else:
            freed[:, taxon] = told.sum(axis=1)
            floor.minutes = floor.minutes - SELL_MIN * told.sum(axis=1)
    if freed is not None:
        floor.minutes = minutes
