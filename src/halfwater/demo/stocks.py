"""Many nurseries' living stock with its hidden truth: made to hold forecasts against.

Pots are cut from parents over three generations, take their time to settle, make leaves and lose them
day by day, are lost in patches by tank and by parent, are moved, counted now and then with miscounts,
and sold by their counts. What a book would hold is told as plain data as of one evening; what became
of every pot afterwards, left alone, is the truth. `kind` names a world of stock_worlds.WORLDS: "usual"
has no surprises, the others each break one thing a forecaster is likely to assume.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from halfwater.demo.stock_course import run_course
from halfwater.demo.stock_layout import NEVER, Layout, drawn_layout
from halfwater.demo.stock_takes import ROOTED_DAYS, Takes, take_stock
from halfwater.demo.stock_worlds import WORLDS
from halfwater.demo.truth import Floats
from halfwater.plain.stock import LeafCount, ParentFact, StandingPot, Stay, TaxonFacts

PAST_DAYS, AHEAD_DAYS = 480, 182
LAST_DAY = date(2024, 9, 30)
Numbers = Sequence[int] | NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Climate:
    """What the grower has measured of a tank: the same all the time."""

    tank: int
    temp_c: float
    dli_mol_m2_d: float


@dataclass(frozen=True, slots=True)
class StockTruth:
    """What became of the pots that stand in the book: a row each, a column a day from `on` (column 0)."""

    keys: tuple[int, ...]
    age_days: NDArray[np.int64]  # on the day of column 0
    leaves: NDArray[np.int64]  # 0 from the day a pot is lost
    leaves_if_alive: NDArray[np.int64]  # as they would be had no pot been lost
    lost_day: Floats  # from `on`; inf for pots that live on, below 0 where nobody has seen it yet
    rate_30d: Floats  # new leaves in 30 days of one growing tip, where it stands now

    def first_day_at(self, leaves: Numbers, rooted_days: int = ROOTED_DAYS, if_alive: bool = False) -> Floats:
        """Days from `on` until each pot first stands rooted with its leaves; inf if it never does.

        With `if_alive` as it would be had no pot been lost.
        """
        there = self.standing_at(leaves, rooted_days, if_alive)
        return np.asarray(np.where(there.any(axis=1), there.argmax(axis=1), np.inf))

    def standing_at(
        self, leaves: Numbers, rooted_days: int = ROOTED_DAYS, if_alive: bool = False
    ) -> NDArray[np.bool_]:
        """Whether each pot stands rooted with its number of leaves or more, day by day."""
        age = self.age_days[:, None] + np.arange(self.leaves.shape[1])
        course = self.leaves_if_alive if if_alive else self.leaves
        return np.asarray((course >= np.asarray(leaves)[:, None]) & (age >= rooted_days))


@dataclass(frozen=True, slots=True)
class SimulatedStock:
    """The stock of one nursery as its book holds it on the evening of `on`, and the truth."""

    kind: str
    on: date
    taxa: tuple[TaxonFacts, ...]
    pots: tuple[StandingPot, ...]  # sold and lost ones too
    counts: tuple[LeafCount, ...]  # oldest first
    stays: tuple[Stay, ...]
    parents: tuple[tuple[int, ParentFact], ...]  # batch, and what it was cut from
    climates: tuple[Climate, ...]
    truth: StockTruth


def simulated_stocks(
    rng: Generator,
    taxa: Sequence[TaxonFacts],
    kind: str = "usual",
    nurseries: int = 1,
    on: date = LAST_DAY,
    ahead_days: int = AHEAD_DAYS,
) -> tuple[SimulatedStock, ...]:
    """Some nurseries of one kind, each with a few of the taxa; the days of all are run together."""
    world = WORLDS[kind]
    layouts = [drawn_layout(own, world, taxa, PAST_DAYS) for own in rng.spawn(nurseries)]
    leaves = run_course(rng, world, layouts, PAST_DAYS + ahead_days)
    told, start = [], 0
    for layout in layouts:
        own = leaves[start : start + layout.pots]
        start += layout.pots
        told.append(_told(kind, on, layout, take_stock(rng, world, layout, own, PAST_DAYS), own))
    return tuple(told)


def _told(kind: str, on: date, layout: Layout, takes: Takes, leaves: NDArray[np.int16]) -> SimulatedStock:
    """A nursery as its book has it, and its truth."""
    pots = _pots(on, layout, takes)
    return SimulatedStock(
        kind,
        on,
        tuple(breed.taxon for breed in layout.breeds),
        pots,
        tuple(LeafCount(row + 1, _day(on, day), counted) for day, row, counted in takes.counted),
        tuple(_stays(on, layout, takes)),
        tuple(_parents(layout)),
        tuple(Climate(place + 1, *climate) for place, climate in enumerate(layout.climates)),
        _truth(layout, leaves, np.array([pot.left_on is None for pot in pots])),
    )


def _truth(layout: Layout, leaves: NDArray[np.int16], is_standing: NDArray[np.bool_]) -> StockTruth:
    rows = np.flatnonzero(is_standing)
    last = PAST_DAYS - 1
    ahead = leaves[rows, last:].astype(np.int64)
    lost = np.where(layout.lost[rows] < NEVER, layout.lost[rows] - last, np.inf)
    rate = np.where(layout.moved <= last, layout.next_rate, layout.rate)
    return StockTruth(
        tuple((rows + 1).tolist()),
        last - layout.potted()[rows],
        np.where(np.arange(ahead.shape[1]) >= lost[:, None], 0, ahead),
        ahead,
        lost,
        30 * rate[rows],
    )


def _pots(on: date, layout: Layout, takes: Takes) -> tuple[StandingPot, ...]:
    newest = {row: (day, leaves) for day, row, leaves in takes.counted}
    first_row = np.searchsorted(layout.batch, np.arange(len(layout.batches)))
    return tuple(
        _pot(on, layout, takes, row, row - int(first_row[layout.batch[row]]) + 1, newest.get(row))
        for row in range(layout.pots)
    )


def _pot(
    on: date, layout: Layout, takes: Takes, row: int, number: int, newest: tuple[int, int] | None
) -> StandingPot:
    place = int(layout.batch[row])
    batch = layout.batches[place]
    taxon = layout.breeds[batch.breed].taxon
    left, state = _left(layout, takes, row)
    tank = int((layout.next_tank if layout.moved[row] < PAST_DAYS else layout.tank)[row]) + 1
    return StandingPot(
        key=row + 1,
        number=number,
        batch=place + 1,
        batch_name=batch.name,
        taxon=taxon.key,
        taxon_name=taxon.name,
        state=state,
        potted_on=_day(on, batch.potted),
        tank=tank if left is None else None,
        tank_name=f"T{tank}" if left is None else "",
        spot=f"A{row + 1}" if left is None else "",
        leaves=newest[1] if newest else None,
        counted_on=_day(on, newest[0]) if newest else None,
        piece=layout.pieces[row],
        section_mm=float(layout.section_mm[row]) if batch.is_told else None,
        first_leaves=int(layout.first_leaves[row]) if batch.is_told else None,
        left_on=None if left is None else _day(on, left),
        cause="rot" if state == "lost" else "",
    )


def _left(layout: Layout, takes: Takes, row: int) -> tuple[int | None, str]:
    """The day a pot left as the book has it, and its state."""
    sold, lost = int(takes.sold[row]), int(takes.seen_lost[row])
    if sold < PAST_DAYS and sold <= layout.lost[row]:
        return sold, "sold"
    if lost < PAST_DAYS:
        return lost, "lost"
    if layout.is_kept[row]:
        return None, "kept"
    age = PAST_DAYS - 1 - layout.batches[int(layout.batch[row])].potted
    return None, "settling" if age < ROOTED_DAYS else "growing"


def _stays(on: date, layout: Layout, takes: Takes) -> list[Stay]:
    found: list[Stay] = []
    for row in range(layout.pots):
        potted = layout.batches[int(layout.batch[row])].potted
        left, moved = _left(layout, takes, row)[0], int(layout.moved[row])
        end = PAST_DAYS if left is None else left
        spot, out = f"A{row + 1}", None if left is None else _day(on, left)
        first, second = int(layout.tank[row]) + 1, int(layout.next_tank[row]) + 1
        if moved < end:
            found.append(Stay(row + 1, first, spot, _day(on, potted), _day(on, moved)))
            found.append(Stay(row + 1, second, spot, _day(on, moved), out))
        else:
            found.append(Stay(row + 1, first, spot, _day(on, potted), out))
    return found


def _parents(layout: Layout) -> list[tuple[int, ParentFact]]:
    return [
        (child + 1, ParentFact(parent + 1, layout.batches[parent].name))
        for child, batch in enumerate(layout.batches)
        for parent in batch.parents
    ]


def _day(on: date, day: int) -> date:
    return on - timedelta(days=PAST_DAYS - 1 - day)
