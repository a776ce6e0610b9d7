"""Money paid back for an order, and such a note taken back where it was a slip."""

from datetime import datetime

from django.db.models import F, Sum

from halfwater.book.changes.door import one_write
from halfwater.book.changes.sales_soundness import MONEY
from halfwater.book.models import Order, OrderLine
from halfwater.book.queries.nursery import nursery
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.figures import show_money


@one_write
def pay_back(number: int, refund_minor: int, *, who: str, now: datetime) -> None:
    """Note that money was paid back, whatever became of the order: it may have left, or be cancelled.

    Raises
    ------
    RefusedByBook
        If it is more, with what was paid back before, than the order came to.
    """
    row = _held(number)
    add_refund(row, MONEY("refund_minor", refund_minor), now)
    row.save(update_fields=("refund_minor", "refunded_at"))


@one_write
def take_refund_back(number: int, *, who: str) -> None:
    """Take back that money was paid back for an order: all of it; where none was, nothing changes."""
    row = _held(number)
    row.refund_minor, row.refunded_at = 0, None
    row.save(update_fields=("refund_minor", "refunded_at"))


def add_refund(row: Order, refund_minor: int, now: datetime) -> None:
    """Add what is paid back to an order that is held; more than it came to is a slip."""
    if not refund_minor:
        return
    came_to = OrderLine.objects.filter(order=row).aggregate(all=Sum(F("plants") * F("price_minor")))["all"]
    most = (came_to or 0) + row.postage_minor
    if row.refund_minor + refund_minor > most:
        currency = nursery().currency
        before = f", and {show_money(row.refund_minor, currency)} went back already"
        raise RefusedByBook(
            f"Order {row.number} came to {show_money(most, currency)}{before if row.refund_minor else ''}: "
            f"{show_money(refund_minor, currency)} is more than that.",
            str(row.number),
        )
    row.refund_minor += refund_minor
    row.refunded_at = now


def _held(number: int) -> Order:
    row = Order.objects.select_for_update(no_key=True).filter(pk=number).first()
    if row is None:
        raise RefusedInput("order", number, "the number of an order in the book")
    return row
