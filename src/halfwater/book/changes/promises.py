"""What stands in the way of a pot that is offered, held or promised, and what ends an offer."""

from collections.abc import Collection
from datetime import datetime

from halfwater.book.changes.clock import said_at
from halfwater.book.models import OfferedPot, StandingPot
from halfwater.book.models.order import LIVE
from halfwater.errors import RefusedByBook

SENT_STATES = ("sent", "arrived")
_SAID = {
    "sold": "it cannot be sold otherwise",
    "kept": "it cannot be kept",
    "cut": "it cannot be cut",
    "taken away": "it cannot be taken away",
}


def live_offer(pot: int | None) -> OfferedPot | None:
    """The row by which a pot is offered now, held until the write ends; the pot's own row is held already."""
    rows = OfferedPot.objects.select_for_update(of=("self",), no_key=True).select_related(
        "hold", "order_line__order"
    )
    return rows.filter(LIVE, pot=pot).first()


def turn_state(pot: StandingPot, state: str, at: datetime) -> None:
    """Let a pot change to a state, or be cut: its free offer ends with it, and a promise stands against it.

    A pot that dies is lost to whoever it was promised to; one that was sent stays sold.
    """
    if state not in (*_SAID, "lost") and pot.state not in ("sold", "lost"):
        return
    row = live_offer(pot.pk)
    if row is None:
        return
    if row.order_line is not None and row.order_line.order.state in SENT_STATES:
        if state != "sold" or pot.state == "sold":
            raise _sent(pot, row)
        return
    if state in _SAID:
        refuse_promised(pot, row, state, at)
    if state in (*_SAID, "lost"):
        end_offers((row,), state, at)


def refuse_promised(pot: StandingPot, row: OfferedPot, state: str, at: datetime) -> None:
    """Refuse to let a pot go another way while an order or a hold waits for it."""
    if row.order_line is not None:
        number = row.order_line.order_id
        raise RefusedByBook(f"Pot {pot} is promised to order {number}: {_SAID[state]}.", str(number))
    if row.hold is not None and row.hold.state == "held" and row.hold.until > at:
        raise RefusedByBook(
            f"Pot {pot} is held for a buyer until {said_at(row.hold.until)}: {_SAID[state]}.",
            str(row.hold_id),
        )


def end_offers(rows: Collection[OfferedPot], because: str, at: datetime) -> None:
    """End rows by which pots are offered; what they were promised to stays written on them."""
    for row in rows:
        row.ended_at, row.ended_because = at, because
    OfferedPot.objects.filter(LIVE, pk__in=[row.pk for row in rows]).update(
        ended_at=at, ended_because=because
    )


def refuse_sent(pot: StandingPot) -> None:
    """Refuse to bring back a pot that was sent."""
    row = live_offer(pot.pk)
    if row is not None and row.order_line is not None and row.order_line.order.state in SENT_STATES:
        raise _sent(pot, row)


def forget_offers(pot: StandingPot, at: datetime) -> None:
    """Drop what is known of a pot's offers before the pot is taken out of the book; an order keeps it."""
    row = live_offer(pot.pk)
    if row is not None:
        refuse_promised(pot, row, "taken away", at)
    ordered = OfferedPot.objects.filter(pot=pot, order_line__isnull=False).values_list("order_line__order")
    number = ordered.values_list("order_line__order", flat=True).first()
    if number is not None:
        raise RefusedByBook(
            f"Pot {pot} was promised to order {number}, so it stays in the book.", str(number)
        )
    OfferedPot.objects.filter(pot=pot).delete()


def _sent(pot: StandingPot, row: OfferedPot) -> RefusedByBook:
    number = row.order_line.order_id if row.order_line is not None else ""
    return RefusedByBook(f"Pot {pot} was sent with order {number}: it stays sold.", str(number))
