"""The stock of Fennhollow day by day: cuts, moves, counts, losses, releases, and what is noted of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from halfwater.demo.batches import (
    BATCHES,
    KEPT_AFTER_DAYS,
    KINDS,
    MOVES,
    WHOLE_TAKES_DAYS_AGO,
    BatchPlan,
    MovePlan,
)
from halfwater.demo.nursery import BOOK_DAYS, is_away
from halfwater.demo.plants import NEVER, Counts, Plant, Stand
from halfwater.demo.sales import LEAVES_AT, Release, SoldOrder, run_release
from halfwater.demo.sales_market import LINES
from halfwater.demo.truth import Floats

COUNT_EVERY_DAYS, TAGGED = 30, 4
ROOTED_DAYS = 42  # nothing is ready before it is rooted
EVENING_AT = 20 / 24  # of the day, the hour that minutes are counted from
COUNTED_AT_MIN = -200.0  # pots are counted before a release opens
OFFERED_DAYS = 14  # from the opening to the last parcel
DRAFTED_POTS = 3


@dataclass(frozen=True, slots=True)
class Happening:
    """Something the grower notes of one pot."""

    day: int
    minutes: float  # after the evening hour
    kind: str  # of entry
    plant: int  # place among the plants
    tank: str
    spot: str
    value: float | None = None
    word: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class Stock:
    """What was grown, what was noted of it, and the leaves of every pot on every day."""

    plants: tuple[Plant, ...]
    happenings: tuple[Happening, ...]
    leaves: Counts  # plants x days; 0 before potting, and once lost or sold
    rhizome_mm: Floats  # on the last evening of the book
    counted: dict[int, tuple[int, int]]  # plant -> day and leaves of the last count
    measured: dict[int, tuple[int, float]]  # plant -> day and length of the last measure
    releases: tuple[Release, ...] = ()
    drafted: tuple[tuple[int, int], ...] = ()  # plant and line of the release that is not open yet

    def leaf_area_m2(self, tank: str) -> Floats:
        """Leaf area in a tank on every day."""
        area = np.zeros(self.leaves.shape[1])
        for plant, leaves in zip(self.plants, self.leaves, strict=True):
            cm2 = KINDS[plant.batch.kind].leaf_cm2
            ends = [*(day for day, _, _ in plant.stood[1:]), area.size]
            for (day, where, _), end in zip(plant.stood, ends, strict=True):
                if where == tank:
                    area[day:end] += leaves[day:end] * cm2 / 1e4
        return area


def grown_stock(
    rng: Generator,
    light: Mapping[str, float],
    spots: Mapping[str, Sequence[str]],
    days: int,
    openings: Sequence[int],
) -> Stock:
    """The stock from the first day of the book on; past its end pots only grow and die.

    `openings` are the days of the book on which releases open.
    """
    diary = _Diary(rng, Stand(rng, light, spots), openings)
    course = []
    for day in range(days):
        if day < BOOK_DAYS:
            diary.evening(day)
        if day == BOOK_DAYS - 1:
            rhizome = diary.stand.rhizome_mm.copy()
            drafted = diary.drafted(day)
        course.append(diary.stand.leaves)
        diary.stand.grow(day)
    leaves = np.zeros((len(diary.stand.plants), days), dtype=np.int64)
    for day, row in enumerate(course):
        leaves[: row.size, day] = row
    return Stock(
        tuple(diary.stand.plants), tuple(diary.happenings), leaves, rhizome, diary.counted, diary.measured,
        tuple(diary.releases), drafted,
    )  # fmt: skip


class _Diary:
    """The grower's evenings with the pots."""

    def __init__(self, rng: Generator, stand: Stand, openings: Sequence[int]) -> None:
        self.rng, self.stand = rng, stand
        self.market = rng.spawn(1)[0]
        self.openings = tuple(openings)
        self.releases: list[Release] = []
        self.offered: set[int] = set()  # behind a line or promised: neither cut, moved nor kept
        self.happenings: list[Happening] = []
        self.counted: dict[int, tuple[int, int]] = {}
        self.measured: dict[int, tuple[int, float]] = {}
        self.tagged: dict[str, list[int]] = {}

    def evening(self, day: int) -> None:
        """All that is done with pots on one evening, in the order it is done."""
        ago = BOOK_DAYS - day
        self._sell(day)
        for plan in BATCHES:
            if plan.days_ago == ago:
                self._pot_up(plan, day)
            if plan.keep and plan.days_ago - KEPT_AFTER_DAYS == ago:
                self._keep_the_best(plan, day)
        for move in MOVES:
            if move.days_ago == ago:
                self._move(move, day)
        if not is_away(day):
            self._see_losses(day)
            self._count(day)

    def _pot_up(self, plan: BatchPlan, day: int) -> None:
        stand = self.stand
        most = min(plan.pots, len(stand.free_spots(day, plan.tank)))
        sections: list[tuple[int | None, str]] = []
        if not plan.parents:
            pieces = self.rng.choice(["tip", "middle"], most, p=[0.6, 0.4])
            sections = [(None, str(piece)) for piece in pieces]
        parents = self._at_hand(day, *plan.parents) if plan.parents else []
        order = sorted(parents, key=lambda place: (-stand.plants[place].is_kept, -stand.rhizome_mm[place]))
        for place in order:
            taken = min(stand.sections_on(place), most - len(sections))
            if taken > 0:
                stand.cut(place, taken, day)
                self._note(day, 24 + len(sections) / 10, "cut", place, float(taken), word=plan.blade)
                sections += [(place, "tip" if i == 0 else "middle") for i in range(taken)]
        stand.pot_up(plan, day, sections)

    def _keep_the_best(self, plan: BatchPlan, day: int) -> None:
        own = self._at_hand(day, plan.name)
        best = sorted(own, key=lambda place: -int(self.stand.leaves[place]))[: plan.keep]
        for step, place in enumerate(best):
            self.stand.plants[place].is_kept = True
            self._note(day, 32 + step / 4, "state", place, word="kept")

    def _move(self, move: MovePlan, day: int) -> None:
        stand = self.stand
        own = [
            place
            for place in self._at_hand(day, move.batch)
            if stand.plants[place].is_kept == move.only_kept and stand.plants[place].tank != move.to_tank
        ]
        spots = stand.free_spots(day, move.to_tank)
        for step, (place, spot) in enumerate(zip(own[: move.pots], spots, strict=False)):
            plant = stand.plants[place]
            was = f"{plant.tank} {plant.spot}"
            stand.move(place, day, move.to_tank, spot)
            self._note(day, 34 + step / 4, "move", place, text=was)

    def _see_losses(self, day: int) -> None:
        for place, plant in enumerate(self.stand.plants):
            if plant.lost < plant.sold and plant.lost <= day and plant.seen_lost == NEVER:
                usual, other = KINDS[plant.batch.kind].cause, str(self.rng.choice(["unknown", "dried out"]))
                if self.rng.random() < 0.25 or day - plant.lost > 6:  # within the week
                    plant.seen_lost = day
                    plant.cause = usual if self.rng.random() < 0.75 else other
                    self._note(day, 16 + place % 7 / 7, "loss", place, 1.0, word=plant.cause)

    def _count(self, day: int) -> None:
        ago = BOOK_DAYS - day
        whole = {tank for tank, days in WHOLE_TAKES_DAYS_AGO.items() if ago in days}
        rows = [p for p in self.stand.standing(day) if self.stand.plants[p].tank in whole]
        for plan in BATCHES:
            age = plan.days_ago - ago
            if age >= 20 and (age - 20) % COUNT_EVERY_DAYS == 0:
                rows += [p for p in self._tagged(plan, day) if self.stand.plants[p].tank not in whole]
        for step, place in enumerate(rows):
            if self.stand.plants[place].potted < day:
                self._count_one(day, 18 + step / 15, place)
                if self.stand.plants[place].is_kept and self.stand.plants[place].tank in whole:
                    self._measure(day, 26 + step / 15, place)

    def _count_one(self, day: int, minutes: float, place: int) -> None:
        off = int(self.rng.choice([-1, 0, 1], p=[0.1, 0.8, 0.1]))
        leaves = max(1, int(self.stand.leaves[place]) + off)
        self.counted[place] = (day, leaves)
        self._note(day, minutes, "leaves", place, float(leaves))

    def _tagged(self, plan: BatchPlan, day: int) -> list[int]:
        own = self.stand.standing(day, plan.name)
        if plan.name not in self.tagged:
            chosen = self.rng.permutation(own)[:TAGGED]
            self.tagged[plan.name] = sorted(int(place) for place in chosen)
        return [place for place in self.tagged[plan.name] if place in own]

    def _measure(self, day: int, minutes: float, place: int) -> None:
        length = float(max(10, round(float(self.stand.rhizome_mm[place]) + float(self.rng.normal(0, 2)))))
        self.measured[place] = (day, length)
        self._note(day, minutes, "rhizome", place, length)

    def _at_hand(self, day: int, *batches: str) -> list[int]:
        """Pots that stand and are not on offer."""
        return [place for place in self.stand.standing(day, *batches) if place not in self.offered]

    def _sell(self, day: int) -> None:
        """Open the release of the day, send what is due, take back what nobody wanted."""
        if day in self.openings:
            self._open(day)
        for release in self.releases:
            for number, order in enumerate(release.orders):
                if order.ship_day == day and order.is_sent:
                    self._send(day, release, number, order)
            if int(release.closes) == day:
                self.offered -= {pot.plant for pot in release.offered if pot.order is None}

    def _open(self, day: int) -> None:
        """Count what is ready, put it behind lines, and see who comes."""
        number = len(self.releases)
        ready = {place: self._ready(day, place) for place, line in enumerate(LINES) if line.is_in(number)}
        before = sum(len(one.orders) for one in self.releases)
        offered = {place: pots for place, pots in ready.items() if pots}
        self.releases.append(run_release(self.market, number, day, offered, before))
        new = [pot.plant for pot in self.releases[-1].offered]
        self.offered |= set(new)
        for step, place in enumerate(new):
            self._count_one(day, COUNTED_AT_MIN + step / 3, place)

    def _ready(self, day: int, line: int) -> list[int]:
        """Pots that could stand behind a line, the largest first; none that looks as if it were to die."""
        plan, stand = LINES[line], self.stand
        fit = [
            place
            for place in self._at_hand(day)
            if stand.plants[place].batch.kind == plan.kind
            and not stand.plants[place].is_kept
            and plan.leaves[0] <= stand.leaves[place] < plan.leaves[1]
            and day - stand.plants[place].potted >= ROOTED_DAYS
            and stand.plants[place].lost > day + OFFERED_DAYS
        ]
        return sorted(fit, key=lambda place: -int(stand.leaves[place]))

    def drafted(self, day: int) -> tuple[tuple[int, int], ...]:
        """What already stands behind a line of the next release: a few of the slowest to sell."""
        line = max(range(len(LINES)), key=lambda place: LINES[place].most / LINES[place].orders)
        return tuple((place, line) for place in self._ready(day, line)[:DRAFTED_POTS])

    def _send(self, day: int, release: Release, number: int, order: SoldOrder) -> None:
        for pot in release.pots_of(number):
            self.stand.sell(pot.plant, day)
            self._note(
                day, (LEAVES_AT - EVENING_AT) * 1440, "state", pot.plant, word="sold",
                text=f"order {order.number}",
            )  # fmt: skip
            self.offered.discard(pot.plant)

    def _note(
        self, day: int, minutes: float, kind: str, place: int, value: float | None = None, **words: str
    ) -> None:
        plant = self.stand.plants[place]
        self.happenings.append(Happening(day, minutes, kind, place, plant.tank, plant.spot, value, **words))


def state_of(stock: Stock, place: int) -> str:
    """A pot's state on the last evening of the book: a loss nobody has seen yet still stands."""
    plant, last = stock.plants[place], BOOK_DAYS - 1
    if plant.sold <= last:
        return "sold"
    if plant.seen_lost <= last:
        return "lost"
    if plant.is_kept:
        return "kept"
    kind = KINDS[plant.batch.kind]
    leaves, age = int(stock.leaves[place, last]), last - plant.potted
    if age >= ROOTED_DAYS and leaves >= kind.ready_leaves:
        return "ready"
    has_grown = leaves > plant.first_leaves and age >= kind.lag_days / 2
    return "growing" if has_grown or age > 3 * kind.lag_days else "settling"
