"""Orders changed after they were placed: cancelled whole or in part, and plants given in place of others."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from halfwater.book.changes.door import one_write
from halfwater.book.changes.lines_at_hand import LineAtHand, hold_lines
from halfwater.book.changes.order_course import held_order
from halfwater.book.changes.pots_for_sale import hold_pots, offers_of, promise, refuse_taken_offer
from halfwater.book.changes.promises import end_offers
from halfwater.book.changes.refunds import add_refund
from halfwater.book.changes.sales_soundness import MONEY, PLANTS, REASON
from halfwater.book.models import OfferedPot, OrderLine, StandingPot
from halfwater.book.models.order import LIVE
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.stock import GONE_STATES

_LEFT = ("sent", "arrived")


@one_write
def cancel_order(
    number: int,
    plants: Mapping[int, int] | None = None,
    *,
    reason: str = "",
    refund_minor: int = 0,
    who: str,
    now: datetime,
) -> None:
    """Cancel an order whole, or so many plants of its order lines, and add what is paid back.

    Pots that are free again go back to their line while its release is open, else off it. Plants
    that are missing are cancelled before those that have a pot. `plants` may be empty: then only
    money is paid back, also for an order that has left.

    Raises
    ------
    RefusedByBook
        If plants of an order that has left are to be cancelled, or more than are left of a line;
        or more is to be paid back than the order came to.
    """
    of_order = OrderLine.objects.filter(order=number)
    lines = hold_lines(of_order.exclude(line=None).values_list("line", flat=True), now)
    order = held_order(number)
    rows = {row.pk: row for row in of_order.select_related("taxon").order_by("pk")}
    if plants is None:
        plants = {key: row.plants - row.cancelled for key, row in rows.items() if row.plants > row.cancelled}
    if plants and order.state in _LEFT:
        raise RefusedByBook(f"Order {number} has left: plants of it cannot be cancelled.", str(number))
    for key, count in sorted(plants.items()):
        if key not in rows:
            raise RefusedInput("order_line", key, f"the key of a line of order {number}")
        _cancel(rows[key], PLANTS("plants", count), lines, now)
    add_refund(order, MONEY("refund_minor", refund_minor), now)
    order.cancel_reason = REASON("reason", reason) or order.cancel_reason
    if order.state not in _LEFT and all(row.cancelled == row.plants for row in rows.values()):
        order.state, order.cancelled_at = "cancelled", now
    order.save()


@one_write
def substitute(
    order_line: int,
    plants: int,
    *,
    from_line: int | None = None,
    pots: Sequence[int] = (),
    price_minor: int | None = None,
    who: str,
    now: datetime,
) -> int:
    """Give other plants in place of so many of an order line: free ones of a line, or pots by name.

    Missing plants are made up first. Plants of the same taxon and grade simply take the place of the
    missing; others become an order line of their own, at the price of the first unless one is given.
    Gives the key of the order line the plants are in now.

    Raises
    ------
    RefusedByBook
        If the order has left, so many are not left of the order line, or the plants are not free.
    """
    PLANTS("plants", plants)
    if (from_line is None) == (not pots) or (pots and len(set(pots)) != plants):
        raise RefusedInput("pots", len(pots), f"a line to take {plants} plants from, or {plants} pots")
    first, lines = _held_order_line(order_line, from_line, now)
    named = _named_pots(pots, now)
    source = None if from_line is None else lines[from_line]
    taxon = source.row.taxon_id if source is not None else _one_taxon(named)
    grade = source.row.grade if source is not None else named[0].grade
    missing = first.plants - first.cancelled - OfferedPot.objects.filter(LIVE, order_line=first).count()
    is_alike = (taxon, grade) == (first.taxon_id, first.grade) or (source is None and taxon == first.taxon_id)
    if is_alike and plants <= missing and price_minor in (None, first.price_minor):
        into = first
    else:
        _cancel(first, plants, lines, now)
        into = OrderLine.objects.create(
            order=first.order, line=source.row if source else None, taxon_id=taxon, grade=grade,
            plants=plants,
            price_minor=first.price_minor if price_minor is None else MONEY("price_minor", price_minor),
            wanted_at=now, substitutes=first,
        )  # fmt: skip
    if source is not None:
        source.take(plants, order_line=into, taken_at=now)
    else:
        _take(into, named, now)
    return into.pk


def _held_order_line(
    order_line: int, from_line: int | None, now: datetime
) -> tuple[OrderLine, dict[int, LineAtHand]]:
    """An order line of an order that has not left, with its line and the one to take from, all held."""
    found = OrderLine.objects.filter(pk=order_line).values_list("order", "line").first()
    if found is None:
        raise RefusedInput("order_line", order_line, "the key of an order line in the book")
    lines = hold_lines([key for key in (from_line, found[1]) if key is not None], now)
    order = held_order(found[0])
    if order.state in _LEFT:
        raise RefusedByBook(f"Order {order.number} has left: it stays as it is.", str(order.number))
    return OrderLine.objects.select_related("taxon", "order").get(pk=order_line), lines


def _cancel(row: OrderLine, plants: int, lines: Mapping[int, LineAtHand], now: datetime) -> None:
    left = row.plants - row.cancelled
    if plants > left:
        raise RefusedByBook(
            f"Only {left} of {row.taxon.name} are left of the {row.plants} ordered.", str(row.pk)
        )
    held = list(
        OfferedPot.objects.select_for_update(no_key=True).filter(LIVE, order_line=row).order_by("-pk")
    )
    missing = left - len(held)
    freed = held[: max(plants - missing, 0)]
    line = lines.get(row.line_id or 0)
    back = [pot for pot in freed if line is not None and pot.line_id == row.line_id and line.takes_back(now)]
    OfferedPot.objects.filter(pk__in=[pot.pk for pot in back]).update(order_line=None, taken_at=None)
    end_offers([pot for pot in freed if pot not in back], "cancelled", now)
    row.cancelled += plants
    row.cancelled_at = now
    row.save(update_fields=("cancelled", "cancelled_at"))


def _named_pots(pots: Sequence[int], now: datetime) -> list[StandingPot]:
    """Pots that can be given to an order, off the line they may have been offered on."""
    rows = hold_pots(pots)
    for row in rows:
        if row.state in (*GONE_STATES, "kept"):
            raise RefusedByBook(f"Pot {row} is {row.state}: it cannot be sold.", str(row))
    for offer in offers_of(pots).values():
        refuse_taken_offer(offer, now)
    return rows


def _one_taxon(pots: Iterable[StandingPot]) -> int:
    taxa = {pot.batch.taxon_id for pot in pots}
    if len(taxa) != 1:
        raise RefusedInput("pots", len(taxa), "pots of one taxon at a time")
    return taxa.pop()


def _take(into: OrderLine, pots: Sequence[StandingPot], now: datetime) -> None:
    end_offers(tuple(offers_of([pot.pk for pot in pots]).values()), "sold by hand", now)
    promise(into, pots, now, now)
