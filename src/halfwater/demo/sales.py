"""Releases of Fennhollow as they went: who took which pot when, what was held, cancelled, sent."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from numpy.random import Generator

from halfwater.demo.nursery import BOOK_DAYS
from halfwater.demo.sales_buyers import BUYERS, is_allowed
from halfwater.demo.sales_market import LINES, Visit, Want, late_visits, slowest, visits

EVERY_DAYS, PAST = 28, 6
THURSDAY = 3
OPEN_FOR_DAYS = 10.0 + 2 / 24  # from Thursday evening to a Sunday
OPENS_AT, PACKED_AT, LEAVES_AT, PAID_BY = 18 / 24, 14.5 / 24, 16.5 / 24, 12 / 24  # of the day
SHIP_AFTER = (4, 11)  # Mondays
POSTAGE_MINOR, FREE_POSTAGE_FROM_MINOR = 590, 6000
# What happened once, by release counted from 0.
CANCELLED_IN, ONE_FEWER_IN, RAN_OUT_IN, HELD_IN = 2, 4, 3, 5
MINUTE = 1 / 1440
LAID_OUT = 2 / 24  # pots are put behind their lines before the opening
ADDED, ADDED_AT = 7, 5.5 / 24  # pots put behind the slowest line on the book's last afternoon
HOLDER = len(BUYERS) - 1  # the last of them asks for plants to be put aside, and does not come else


def openings_days_ago(today: date) -> tuple[int, ...]:
    """Days before today on which releases opened, the first one first; the last is open still.

    They are Thursdays four weeks apart, the last at least two days back.
    """
    last = (today.weekday() - THURSDAY - 2) % 7 + 2
    return tuple(last + EVERY_DAYS * back for back in range(PAST, -1, -1))


def next_opening_days(today: date) -> int:
    """Days from today to the release that is drafted."""
    return EVERY_DAYS - openings_days_ago(today)[-1]


def release_name(release: int) -> str:
    """What the grower calls it."""
    return f"Fen Thursday {release + 1}"


@dataclass(slots=True)
class OfferedPlant:
    """A pot behind a line, and what became of it."""

    plant: int  # place among the plants
    line: int  # place in LINES
    since: float  # day of the book, as all instants here
    hold: int | None = None  # place in the release's holds
    order: int | None = None  # place in the release's orders
    taken: float | None = None


@dataclass(slots=True)
class SoldLine:
    """Plants of a line in an order."""

    line: int
    plants: int
    price_minor: int
    wanted: float
    cancelled: int = 0
    cancelled_on: float | None = None


@dataclass(slots=True)
class SoldOrder:
    """An order and its course."""

    buyer: int
    lines: list[SoldLine]
    placed: float
    is_by_hand: bool
    uuid: UUID
    paid: float | None = None
    cancelled: float | None = None
    cancel_reason: str = ""
    refund_minor: int = 0
    ship_day: int | None = None
    number: int = 0

    @property
    def is_sent(self) -> bool:
        """Whether it left before the book ends."""
        return self.cancelled is None and self.ship_day is not None and self.ship_day < BOOK_DAYS

    @property
    def goods_minor(self) -> int:
        """Price of what is still wanted."""
        return sum((one.plants - one.cancelled) * one.price_minor for one in self.lines)

    @property
    def postage_minor(self) -> int:
        """Charged with it."""
        bought = sum(one.plants * one.price_minor for one in self.lines)
        return 0 if bought >= FREE_POSTAGE_FROM_MINOR else POSTAGE_MINOR


@dataclass(slots=True)
class Held:
    """Plants put aside."""

    uuid: UUID
    line: int
    buyer: int
    plants: int
    made: float
    until: float
    order: int | None = None
    ended: float | None = None  # freed, or became an order


@dataclass(slots=True)
class Release:
    """An opening of sales, with the truth of what was wanted."""

    number: int  # from 0
    opened: float
    closes: float
    offered: list[OfferedPlant]
    orders: list[SoldOrder] = field(default_factory=list)
    holds: list[Held] = field(default_factory=list)
    wanted: dict[int, int] = field(default_factory=dict)  # line -> plants, found or not: not in the book

    @property
    def is_open(self) -> bool:
        """Whether it is open when the book ends."""
        return self.closes > BOOK_DAYS

    @property
    def lines(self) -> tuple[int, ...]:
        """The lines it has, by their place in LINES."""
        return tuple(dict.fromkeys(one.line for one in self.offered))

    def pots_of(self, order: int, line: int | None = None) -> list[OfferedPlant]:
        """The pots promised to an order, or to one line of it."""
        return [one for one in self.offered if one.order == order and line in (None, one.line)]


def run_release(
    rng: Generator, number: int, opening: int, ready: Mapping[int, Sequence[int]], orders_before: int
) -> Release:
    """A release with the pots that stand `ready` behind each line, up to its closing or the book's end."""
    opened = opening + OPENS_AT
    offered = [
        OfferedPlant(plant, line, opened - LAID_OUT)
        for line, plants in ready.items()
        for plant in plants[: LINES[line].most]
    ]
    release = Release(number, opened, opened + OPEN_FOR_DAYS, offered)
    if release.is_open:
        for pot in [pot for pot in offered if pot.line == slowest(release.lines)[0]][-ADDED:]:
            pot.since = BOOK_DAYS - ADDED_AT
    end = min(release.closes, BOOK_DAYS)
    came = visits(rng, number, release.lines, opened, end, HOLDER)
    if release.is_open:
        came = (*came, *late_visits(BOOK_DAYS, came, release.lines))
    shop = _Shop(rng, release)
    for visit in sorted(came, key=lambda one: one.day):
        shop.serve(visit)
    shop.pass_to(end)
    if release.is_open:
        shop.hold(end - 2.2 / 24, BOOK_DAYS + 1.5, HOLDER)
    for place, order in enumerate(sorted(release.orders, key=lambda order: order.placed), 1):
        order.number = orders_before + place
    return release


class _Shop:
    """The counter of one release: pots go to whoever comes, and come back."""

    def __init__(self, rng: Generator, release: Release) -> None:
        self.rng, self.release = rng, release
        self.later: list[tuple[float, Callable[[int, float], None], int]] = []  # when, what, of which order
        self.is_one_fewer = False
        self.holders = {RAN_OUT_IN: (6 * MINUTE, 1.1), HELD_IN: (4 * MINUTE, 0.9)}

    def serve(self, visit: Visit) -> None:
        """What is free of what somebody wants becomes an order."""
        release = self.release
        self.pass_to(visit.day)
        if release.number in self.holders and not release.holds:
            after, days = self.holders[release.number]
            if visit.day > release.opened + after:
                self.hold(release.opened + after, release.opened + after + days, HOLDER)
        place = BUYERS[visit.buyer].place
        lines = []
        for want in visit.wants:
            if not is_allowed(place, LINES[want.line].kind):
                continue
            release.wanted[want.line] = release.wanted.get(want.line, 0) + want.plants
            plants = min(want.plants, len(self._free(want.line, visit.day)))
            if plants:
                lines.append(Want(want.line, plants))
        if lines:
            self._order(visit, lines)

    def hold(self, day: float, until: float, buyer: int) -> None:
        """Put two plants aside, of the line that has most left."""
        release = self.release
        line = max(release.lines, key=lambda one: len(self._free(one, day)))
        free = self._free(line, day)[:2]
        if not free:
            return
        release.holds.append(Held(self._uuid(), line, buyer, len(free), day, until))
        for pot in free:
            pot.hold, pot.taken = len(release.holds) - 1, day

    def pass_to(self, day: float) -> None:
        """Holds end and orders that were never paid are cancelled, up to a day."""
        release = self.release
        for one in [one for one in self.later if one[0] <= day]:
            self.later.remove(one)
            at, change, order = one
            change(order, at)
        for place, held in enumerate(release.holds):
            if held.ended is not None or held.until > day:
                continue
            if release.number == HELD_IN:
                at = held.until - 0.1
                wanted = Visit(at, held.buyer, (Want(held.line, held.plants),), True)
                held.order, held.ended = len(release.orders), at
                self._order(wanted, wanted.wants, place)
                continue
            held.ended = day  # the next who comes finds it free
            for pot in release.offered:
                if pot.hold == place:
                    pot.hold = pot.taken = None

    def _order(self, visit: Visit, lines: Sequence[Want], hold: int | None = None) -> None:
        release, number = self.release, len(self.release.orders)
        made = visit.day if hold is None else release.holds[hold].made
        sold = [
            SoldLine(one.line, one.plants, LINES[one.line].price_minor(release.number), made) for one in lines
        ]
        order = SoldOrder(visit.buyer, sold, visit.day, visit.is_by_hand, self._uuid())
        release.orders.append(order)
        for one in lines:
            held = [pot for pot in release.offered if hold is not None and pot.hold == hold]
            for pot in (held or self._free(one.line, visit.day))[: one.plants]:
                pot.order, pot.hold, pot.taken = number, None, made
        if release.number == CANCELLED_IN and number == 1:
            self.later.append((visit.day + 1.3, self._cancel, number))
            return
        self._pay(order)
        if release.number == ONE_FEWER_IN and sold[0].plants > 1 and not self.is_one_fewer:
            self.is_one_fewer = True
            self.later.append((visit.day + 0.3, self._one_fewer, number))

    def _pay(self, order: SoldOrder) -> None:
        """The shop takes money at once; who writes a message pays within the day, before the last parcels."""
        ships = [int(self.release.opened) + after for after in SHIP_AFTER]
        paid = order.placed + (float(self.rng.uniform(0.2, 0.8)) if order.is_by_hand else 2 * MINUTE)
        order.paid = min(paid, ships[-1] + PAID_BY - MINUTE)
        if order.paid > BOOK_DAYS:
            order.paid = None
            return
        order.ship_day = next(day for day in ships if order.paid < day + PAID_BY)

    def _cancel(self, number: int, at: float) -> None:
        order = self.release.orders[number]
        order.cancelled, order.cancel_reason = at, "never paid"
        for one in order.lines:
            one.cancelled, one.cancelled_on = one.plants, at
        for pot in self.release.pots_of(number):
            pot.order = pot.taken = None

    def _one_fewer(self, number: int, at: float) -> None:
        """A plant is cancelled and paid back; its pot is on offer again."""
        order = self.release.orders[number]
        one = order.lines[0]
        one.cancelled, one.cancelled_on = 1, at
        order.cancel_reason, order.refund_minor = "the buyer has room for one fewer", one.price_minor
        pot = self.release.pots_of(number, one.line)[-1]
        pot.order = pot.taken = None

    def _free(self, line: int, day: float) -> list[OfferedPlant]:
        pots = (pot for pot in self.release.offered if pot.line == line and pot.since <= day)
        return [pot for pot in pots if pot.order is None and pot.hold is None]

    def _uuid(self) -> UUID:
        return UUID(bytes=self.rng.bytes(16), version=4)
