"""What each pot carries: its own days, its share of the parent it was cut from and of those it outlived."""

from collections import defaultdict
from dataclasses import dataclass

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.costing import ParentShare
from halfwater.planning.cost_frame import Frame, Ints, Rows
from halfwater.planning.pot_days import PotDays


@dataclass(frozen=True, slots=True)
class LostPot:
    """What a pot that died had carried until then."""

    pot: int  # row
    age_days: int
    cost_minor: float


@dataclass(frozen=True, slots=True)
class Carried:
    """What pots carry on the last day of the accounts, or on the day they left."""

    pots: Rows  # pots, columns; nought for those lost
    alone: dict[tuple[int, int], Rows]  # batch row and month: what no pot of the batch was there to carry
    lost: tuple[LostPot, ...]


def carried_costs(frame: Frame, days: PotDays, deposits: list[tuple[int, int, Rows]], own: Rows) -> Carried:
    """What each pot carries, when all that happened has run its course.

    A section takes over what its parent carried; a pot that dies leaves what it carried to those of its
    batch that still stand. What was sold before is settled and changes no more.

    Parameters
    ----------
    frame : Frame
        Days, batches and pots.
    days : PotDays
        What places cost.
    deposits : list of day, batch row and columns
        Money and minutes laid on the pots of a batch that stand on a day.
    own : Rows
        What each pot has cost as it was potted, by column. [1] Valid finite.

    Returns
    -------
    Carried
        By pot; with what was lost with nobody to take it over.

    Raises
    ------
    RefusedInput
        If a parent is unknown, is no pot of its batch, or gave no section.

    Notes
    -----
    A kept pot passes on at each cut all that it carries: it stands there for its sections; so does one that
    leaves on the day. Any other parent is one of the pieces it is cut into, and passes on s/(s+1) for s
    sections. Pots of a batch share alike what comes to the batch. On one day cuts come first, then deposits,
    losses, sales: so what is sold on the day of a loss bears its share. Pots without days carry nothing.

    Source: own definition
    """
    state = _State(frame, days, own.copy(), {}, [])
    cuts, laid, losses = _cuts(frame), _laid(deposits), _losses(frame)
    for day in sorted({*cuts, *laid, *losses}):
        if day in cuts:
            state.cut(day, cuts[day])
        for batch, row in laid.get(day, {}).items():
            state.lay(day, batch, row)
        for batch, pots in losses.get(day, {}).items():
            state.lose(day, batch, pots)
    final = state.held + days.since_potting(np.arange(len(frame.pots)), frame.calendar.days)
    final[frame.is_lost] = 0.0
    return Carried(final, state.alone, tuple(state.lost))


@dataclass(frozen=True, slots=True)
class _Edge:
    """Sections of a batch from some donors: pots, or all there were of a batch."""

    batch: int  # row of the batch potted
    donors: Ints  # pots
    sections: float


@dataclass(slots=True)
class _State:
    """What pots hold besides their own days: taken over, laid on them, less what they passed on."""

    frame: Frame
    days: PotDays
    held: Rows
    alone: dict[tuple[int, int], Rows]
    lost: list[LostPot]

    def carried(self, pots: Ints, day: int) -> Rows:
        """All that each of the pots carries at the start of a day."""
        return np.asarray(self.held[pots] + self.days.since_potting(pots, day))

    def cut(self, day: int, edges: list[_Edge]) -> None:
        """Parents pass on what they carry, each to the batches its sections went to on the day."""
        donors = np.unique(np.concatenate([edge.donors for edge in edges]))
        pieces = np.zeros((len(edges), len(donors)))
        for row, edge in enumerate(edges):
            if len(edge.donors):
                pieces[row, np.searchsorted(donors, edge.donors)] = edge.sections / len(edge.donors)
        given = pieces.sum(axis=0)
        is_all = (self.frame.kept[donors] <= day) | (self.frame.left[donors] == day)
        passed = self.carried(donors, day) * np.where(is_all, 1.0, given / (given + 1.0))[:, None]
        self.held[donors] -= passed
        for edge, part in zip(edges, pieces, strict=True):
            pots = self.frame.batch_pots(edge.batch)
            self.take_over(pots, (part / given) @ passed, "from parents")

    def lay(self, day: int, batch: int, row: Rows) -> None:
        """Something for a batch, to its pots that stand."""
        pots = self.frame.there(self.frame.batch_pots(batch), day)
        if len(pots):
            self.held[pots] += row / len(pots)
        else:
            self._leave_alone(day, batch, row)

    def lose(self, day: int, batch: int, pots: Ints) -> None:
        """What dead pots carried goes to those of the batch that outlived them."""
        gone = self.carried(pots, day)
        self.held[pots] -= gone
        costs = gone[:, self.frame.columns.money].sum(axis=1)
        ages = day - self.frame.potted[pots]
        self.lost += [LostPot(*one) for one in zip(pots.tolist(), ages.tolist(), costs.tolist(), strict=True)]
        there = self.frame.there(self.frame.batch_pots(batch), day)
        there = there[~(self.frame.is_lost[there] & (self.frame.left[there] == day))]
        if len(there):
            self.take_over(there, gone.sum(axis=0), "from losses")
        else:
            self._leave_alone(day, batch, gone.sum(axis=0))

    def take_over(self, pots: Ints, row: Rows, why: str) -> None:
        """A sum for all of the pots, each alike; its money is remembered by where it came from."""
        share = row / len(pots)
        share[self.frame.columns.memo(why)] = share[self.frame.columns.money].sum()
        self.held[pots] += share

    def _leave_alone(self, day: int, batch: int, row: Rows) -> None:
        key = (batch, int(self.frame.calendar.month[min(day, self.frame.calendar.days - 1)]))
        self.alone[key] = self.alone[key] + row if key in self.alone else row


def _cuts(frame: Frame) -> dict[int, list[_Edge]]:
    """Who was cut for whom, by day; batches without pots and parents that were gone give nothing."""
    shares: dict[int, list[ParentShare]] = defaultdict(list)
    for parent in frame.facts.parents:
        for batch in (parent.batch, parent.parent_batch):
            if batch not in frame.batch_rows:
                raise RefusedInput("batch", batch, "a batch of the accounts", "lineage")
        shares[parent.batch].append(parent)
    edges: dict[int, list[_Edge]] = defaultdict(list)
    for batch, parents in shares.items():
        row = frame.batch_rows[batch]
        pots = len(frame.batch_pots(row))
        day = frame.calendar.day(frame.facts.batches[row].potted_on)
        untold = sum(one.sections is None for one in parents)
        told = sum(one.sections or 0 for one in parents)
        rest = max(pots - told, untold) / max(untold, 1)  # one each at least
        for parent in parents if pots else ():
            donors = _donors(frame, parent, day)
            if len(donors):
                sections = rest if parent.sections is None else float(parent.sections)
                edges[day].append(_Edge(row, donors, sections))
    return edges


def _donors(frame: Frame, parent: ParentShare, day: int) -> Ints:
    """The pot that was cut; where nobody noted it, the kept ones of its batch, else all that stood."""
    name = frame.facts.batches[frame.batch_rows[parent.batch]].name
    if parent.sections is not None and parent.sections < 1:
        raise RefusedInput("sections", parent.sections, "1 or more", name)
    row = frame.batch_rows[parent.parent_batch]
    pots = frame.batch_pots(row)
    if parent.batch == parent.parent_batch:
        raise RefusedInput("parent", name, "another batch than itself", "lineage")
    if parent.parent_pot is not None:
        pot = frame.pot_rows.get(parent.parent_pot, -1)
        if pot not in pots:
            raise RefusedInput("parent", parent.parent_pot, "a pot of the parent's batch", name)
        return frame.there(np.array([pot]), day)
    there = frame.there(pots, day)
    kept = there[frame.kept[there] <= day]
    return kept if len(kept) else there


def _laid(deposits: list[tuple[int, int, Rows]]) -> dict[int, dict[int, Rows]]:
    """What is laid on batches, summed by day and batch."""
    found: dict[int, dict[int, Rows]] = defaultdict(dict)
    for day, batch, row in deposits:
        found[day][batch] = found[day][batch] + row if batch in found[day] else row
    return found


def _losses(frame: Frame) -> dict[int, dict[int, Ints]]:
    """Pots that died, by day and batch."""
    found: dict[int, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    for pot in np.flatnonzero(frame.is_lost).tolist():
        found[int(frame.left[pot])][frame.batch_rows[frame.pots[pot].batch]].append(pot)
    return {
        day: {batch: np.array(pots, dtype=np.int64) for batch, pots in batches.items()}
        for day, batches in found.items()
    }
