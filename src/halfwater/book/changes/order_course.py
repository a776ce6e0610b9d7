"""The course of an order: paid, packed, sent, arrived."""

from collections.abc import Iterable
from datetime import date, datetime
from uuid import NAMESPACE_URL, uuid5

from django.db.models import Count, Max, Q

from halfwater.book.changes import checks
from halfwater.book.changes.clock import said_at
from halfwater.book.changes.door import one_write
from halfwater.book.changes.entries import write_entries
from halfwater.book.changes.sales_soundness import MAYBE_MONEY
from halfwater.book.changes.soundness import CLOCK_SLACK
from halfwater.book.models import Entry, OfferedPot, Order, OrderLine
from halfwater.book.models.order import LIVE
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import NewEntry
from halfwater.plain.selling import ORDER_STATES


@one_write
def mark_paid(number: int, *, who: str, now: datetime, fee_minor: int | None = None) -> None:
    """Note that an order was paid, and what the payment took; a second time changes nothing but the fee."""
    row = held_order(number)
    if fee_minor is not None:
        row.fee_minor = MAYBE_MONEY("fee_minor", fee_minor)
    row.paid_at = row.paid_at or now
    _save(row)


@one_write
def mark_packed(number: int, *, who: str, now: datetime, ship_on: date | None = None) -> None:
    """Note that an order is packed, and the day on which it leaves.

    Raises
    ------
    RefusedByBook
        If a plant of it is missing.
    """
    row = held_order(number)
    refuse_missing(row)
    row.ship_on = row.ship_on if ship_on is None else checks.day("ship_on", ship_on)
    row.packed_at = row.packed_at or now
    _save(row)


@one_write
def set_ship_day(number: int, ship_on: date | None, *, who: str) -> None:
    """Set the day on which an order leaves, or None for no day yet."""
    row = held_order(number)
    row.ship_on = None if ship_on is None else checks.day("ship_on", ship_on)
    _save(row)


@one_write
def mark_sent(number: int, *, who: str, now: datetime) -> None:
    """Note that an order has left: its pots are sold, leave their spots and stay sold.

    Raises
    ------
    RefusedByBook
        If a plant of it is missing, or something is noted of a pot later than now.
    """
    row = held_order(number)
    if row.sent_at is not None:
        return
    refuse_missing(row)
    row.sent_at = now
    _save(row)  # before the pots' entries: from here on they may be sold, with this order
    pots = list(OfferedPot.objects.filter(LIVE, order_line__order=row).values_list("pot", flat=True))
    write_entries(_sold(row, pots, now), who, now)
    gone = OfferedPot.objects.filter(LIVE, order_line__order=row, pot__spot__isnull=True).count()
    if gone != len(pots):
        raise RefusedByBook(f"Order {number} changed while it was sent: look at it again.", str(number))


@one_write
def mark_arrived(number: int, *, who: str, now: datetime) -> None:
    """Note that an order has arrived."""
    row = held_order(number)
    if row.sent_at is None:
        raise RefusedByBook(f"Order {number} is not sent yet.", str(number))
    row.arrived_at = row.arrived_at or now
    _save(row)


def held_order(number: int) -> Order:
    """An order that is not cancelled, held until the write ends."""
    row = Order.objects.select_for_update(no_key=True).filter(pk=number).first()
    if row is None:
        raise RefusedInput("order", number, "the number of an order in the book")
    if row.state == "cancelled":
        raise RefusedByBook(f"Order {number} was cancelled.", str(number))
    return row


def refuse_missing(order: Order) -> None:
    """Refuse to send an order of which a pot has died, or that has no plant left."""
    live = Count("pots", filter=Q(pots__ended_at__isnull=True))
    lines = OrderLine.objects.filter(order=order).annotate(live=live).select_related("taxon")
    wanted = 0
    for line in lines:
        left = line.plants - line.cancelled
        wanted += left
        if line.live < left:  # type: ignore[attr-defined]
            missing = left - line.live  # type: ignore[attr-defined]
            raise RefusedByBook(
                f"Order {order.number} misses {missing} of {line.taxon.name}: substitute or cancel"
                f" {'it' if missing == 1 else 'them'} first.",
                str(line.pk),
            )
    if not wanted:
        raise RefusedByBook(f"Order {order.number} has no plant left.", str(order.number))


def course_state(row: Order) -> str:
    """How far an order has come, by its instants."""
    reached = (
        ("cancelled", row.cancelled_at), ("arrived", row.arrived_at), ("sent", row.sent_at),
        ("packed", row.packed_at), ("paid", row.paid_at), ("placed", row.placed_at),
    )  # fmt: skip
    return next((state for state, at in reached if at is not None), ORDER_STATES[0])


def _save(row: Order) -> None:
    row.state = course_state(row)
    row.save()


def _sold(row: Order, pots: Iterable[int], now: datetime) -> tuple[NewEntry, ...]:
    """One entry a pot that says it is sold: never earlier than what was noted of it last."""
    pots = tuple(pots)
    noted = Entry.objects.filter(pot__in=pots, kind__in=("state", "loss"), voided_at__isnull=True)
    last = dict(noted.order_by().values_list("pot").annotate(at=Max("at")))
    late = max(last.values(), default=now)
    if late > now + CLOCK_SLACK:
        raise RefusedByBook(
            f"Something is noted of a pot of order {row.number} on {said_at(late)},"
            " later than now: set this machine's clock right.",
            str(row.number),
        )
    return tuple(
        NewEntry(
            uuid=uuid5(NAMESPACE_URL, f"halfwater:order:{row.number}:{row.key}:pot:{pot}"),
            kind="state", at=max(now, last.get(pot, now)), tank=None, word="sold", pot=pot,
            text=f"order {row.number}",
        )
        for pot in pots
    )  # fmt: skip
