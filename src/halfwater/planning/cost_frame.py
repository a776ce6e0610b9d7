"""The frame of the accounts: days and months in rows, kinds of money and work in columns, pots in order."""

from calendar import monthrange
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.plain.costing import COST_KINDS, CostFacts, CostPot
from halfwater.planning.task_minutes import TaskPace, task_paces

Rows = NDArray[np.float64]  # columns of unlike units, told by `Columns`
Ints = NDArray[np.int64]
MEMOS = ("pot-days", "from losses", "from parents")  # carried beside money and work, of which they tell
_MOST_DAYS = 36_600


@dataclass(frozen=True, slots=True)
class Calendar:
    """The days of the accounts, from the first thing that happened to their last day."""

    first: int  # ordinal of day 0
    days: int
    month: Ints  # of each day
    months: tuple[str, ...]

    def day(self, on: date) -> int:
        """Which day of the accounts it is; the one after the last is `days`."""
        return on.toordinal() - self.first

    def month_of(self, on: date) -> int:
        """Which month of the accounts a day is in."""
        return int(self.month[self.day(on)])


@dataclass(frozen=True, slots=True)
class Columns:
    """What is counted: money by kind, minutes by task (noted and assumed apart), and memos."""

    tasks: tuple[tuple[str, bool], ...]  # task, and whether its minutes are assumed

    @property
    def count(self) -> int:
        """How many columns there are."""
        return len(COST_KINDS) + len(self.tasks) + len(MEMOS)

    @property
    def money(self) -> slice:
        """The columns of money."""
        return slice(0, len(COST_KINDS))

    @property
    def work(self) -> slice:
        """The columns of minutes."""
        return slice(len(COST_KINDS), len(COST_KINDS) + len(self.tasks))

    def kind(self, kind: str) -> int:
        """The column of a kind of money."""
        return COST_KINDS.index(kind)

    def memo(self, name: str) -> int:
        """The column of a memo."""
        return len(COST_KINDS) + len(self.tasks) + MEMOS.index(name)


@dataclass(frozen=True, slots=True)
class Frame:
    """Rows and columns of the accounts; pots are sorted by batch, so that a batch is a slice."""

    facts: CostFacts
    calendar: Calendar
    columns: Columns
    paces: Mapping[str, TaskPace]
    tank_rows: Mapping[int, int]
    batch_rows: Mapping[int, int]
    pots: tuple[CostPot, ...]
    pot_rows: Mapping[int, int]
    batch_starts: Ints  # pots of batch b: batch_starts[b] up to batch_starts[b + 1]
    potted: Ints  # day, of each pot
    left: Ints  # day it left; `days` while it stands
    kept: Ints  # day since when it is a parent; `days` + 1 where it never was
    is_lost: NDArray[np.bool_]

    def batch_pots(self, batch: int) -> Ints:
        """Rows of the pots of a batch."""
        return np.arange(self.batch_starts[batch], self.batch_starts[batch + 1])

    def there(self, pots: Ints, day: int) -> Ints:
        """Those of the pots that stood on a day; the day they left counts."""
        return pots[(self.potted[pots] <= day) & (self.left[pots] >= day)]


def cost_frame(facts: CostFacts) -> Frame:
    """Frame of the accounts: what there is to fill, once the facts have been found possible.

    Parameters
    ----------
    facts : CostFacts
        All that was paid, worked, potted and sold.

    Returns
    -------
    Frame
        Days, columns and pots.

    Raises
    ------
    RefusedInput
        If something lies after the last day of the accounts or a hundred years before it, a key is not
        there or there twice, a tank has no spots or floor, or a pot leaves before it was potted.

    Notes
    -----
    Without pots, purchases and work the accounts are of one day. There is no number to be nan.

    Source: own definition
    """
    calendar = _calendar(facts)
    tank_rows = _rows((tank.key for tank in facts.tanks), "tank")
    for tank in facts.tanks:
        if tank.spots < 1 or not 0.0 < tank.floor_m2 < 1e6:
            raise RefusedInput(
                "floor", f"{tank.spots} spots on {tank.floor_m2:g} m2", "a spot or more", tank.name
            )
    batch_rows = _rows((batch.key for batch in facts.batches), "batch")
    for pot in facts.pots:
        if pot.batch not in batch_rows:
            raise RefusedInput("batch", pot.batch, "a batch of the accounts", pot.name)
    pots = tuple(sorted(facts.pots, key=lambda pot: (batch_rows[pot.batch], pot.key)))
    pot_rows = _rows((pot.key for pot in pots), "pot")
    owners = [batch_rows[pot.batch] for pot in pots]
    paces = task_paces(facts.work)
    tasks = sorted({(row.task, row.minutes is None) for row in facts.work})
    gone_on = _gone_on(facts, pots)
    return Frame(
        facts=facts, calendar=calendar, columns=Columns(tuple(tasks)), paces=paces,
        tank_rows=tank_rows, batch_rows=batch_rows, pots=pots, pot_rows=pot_rows,
        batch_starts=np.searchsorted(owners, np.arange(len(batch_rows) + 1)).astype(np.int64),
        potted=np.array([calendar.day(pot.potted_on) for pot in pots], dtype=np.int64),
        left=np.array([calendar.days if on is None else calendar.day(on) for on in gone_on], dtype=np.int64),
        kept=np.array(
            [calendar.days + 1 if pot.kept_on is None else calendar.day(pot.kept_on) for pot in pots],
            dtype=np.int64,
        ),
        is_lost=np.array([pot.state == "lost" for pot in pots], dtype=np.bool_),
    )  # fmt: skip


def months_later(on: date, months: int) -> date:
    """Same day of a later month, or its last day where it has none such.

    Parameters
    ----------
    on : date
        Where it begins.
    months : int
        How many months later; below 0 for earlier.

    Returns
    -------
    date
        That day.

    Notes
    -----
    The 31st becomes the 28th, 29th or 30th where a month is short. 0 gives the day itself.

    Source: own definition

    Examples
    --------
    >>> months_later(date(2026, 1, 31), 1)
    datetime.date(2026, 2, 28)
    """
    year, month = divmod(on.year * 12 + on.month - 1 + months, 12)
    return date(year, month + 1, min(on.day, monthrange(year, month + 1)[1]))


def _calendar(facts: CostFacts) -> Calendar:
    last = facts.on.toordinal()
    first = last
    for what, on in _happened(facts):
        day = on.toordinal()
        if day > last or day < last - _MOST_DAYS:
            raise RefusedInput("on", str(on), f"a day up to {facts.on}, within a hundred years", what)
        first = min(first, day)
    begins = date.fromordinal(first)
    days = np.arange(first, last + 1) - first
    stamps = np.datetime64(begins) + days.astype("timedelta64[D]")
    month = stamps.astype("datetime64[M]").astype(np.int64)
    names = np.datetime_as_string(np.unique(stamps.astype("datetime64[M]")))
    return Calendar(first, len(days), month - month[0], tuple(str(name) for name in names))


def _happened(facts: CostFacts) -> Iterator[tuple[str, date]]:
    """Everything with a day on it."""
    yield from ((batch.name, batch.potted_on) for batch in facts.batches)
    for pot in facts.pots:
        yield from ((pot.name, on) for on in (pot.potted_on, pot.left_on, pot.kept_on) if on is not None)
    for stay in facts.stays:
        yield from ((f"pot {stay.pot}", on) for on in (stay.from_on, stay.to_on) if on is not None)
    for bought in facts.purchases:
        yield from ((bought.text, on) for on in (bought.on, bought.ended_on) if on is not None)
    yield from ((charge.text, charge.from_on) for charge in facts.charges)
    yield from ((use.text, use.from_on) for use in facts.power)
    yield from ((row.task, row.on) for row in facts.work)
    for order in facts.orders:
        given_back = (order.refund_on, *(plant.refund_on for plant in order.plants))
        yield from ((f"order {order.number}", on) for on in (order.on, *given_back) if on is not None)


def _gone_on(facts: CostFacts, pots: Iterable[CostPot]) -> list[date | None]:
    """The day each pot left: as noted, else the end of its last stay."""
    ends: dict[int, date] = {}
    for stay in facts.stays:
        if stay.to_on is not None:
            ends[stay.pot] = max(stay.to_on, ends.get(stay.pot, stay.to_on))
    found: list[date | None] = []
    for pot in pots:
        is_gone = pot.state in ("sold", "lost")
        left_on = (pot.left_on or ends.get(pot.key, pot.potted_on)) if is_gone else None
        if left_on is not None and left_on < pot.potted_on:
            raise RefusedInput("left_on", str(left_on), f"a day from {pot.potted_on} on", pot.name)
        found.append(left_on)
    return found


def _rows(keys: Iterable[int], what: str) -> dict[int, int]:
    rows: dict[int, int] = {}
    for key in keys:
        if key in rows:
            raise RefusedInput(what, key, "a key of its own")
        rows[key] = len(rows)
    return rows
