"""Orders and holds as the book has them."""

from collections import defaultdict
from collections.abc import Collection
from datetime import datetime
from functools import reduce
from typing import Any
from uuid import UUID

from django.db.models import Count, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.utils import timezone

from halfwater.book.models import Buyer, Hold, Order, OrderLine
from halfwater.book.models import OfferedPot as Offer
from halfwater.book.models.order import LIVE
from halfwater.book.queries.offers import POT
from halfwater.plain.selling import BuyerFacts, HoldFacts, OfferedPot, OrderFacts, OrderLineFacts

_BUYER = ("name", "contact", "address", "place", "pk", "placed", "erased_at")
_ORDER_LINE = (
    "order_id", "pk", "line_id", "taxon_id", "taxon__name", "grade", "price_minor", "plants", "cancelled",
    "substitutes_id", "wanted_at", "cancelled_at",
)  # fmt: skip
# In the order of the fields of OrderFacts.
_OF_BUYER = (
    "buyer__name", "buyer__contact", "buyer__address", "buyer__place", "buyer_id", "placed",
    "buyer__erased_at",
)  # fmt: skip
_FIRST = ("number", "key", "state", "release_id", "release__name", "channel", "reference", "placed_at")
_THEN = (
    "postage_minor", "fee_minor", "note", "paid_at", "packed_at", "sent_at", "arrived_at", "cancelled_at",
    "cancel_reason", "refund_minor", "ship_on", "refunded_at", "place_notes",
)  # fmt: skip


def _placed(buyer: OuterRef) -> Coalesce:
    """How many orders a buyer has placed."""
    own = Order.objects.filter(buyer=buyer).order_by().values("buyer")
    return Coalesce(Subquery(own.annotate(count=Count("pk")).values("count")), 0)


# Made once: an order is answered while others wait for their turn.
_TOLD = (
    Order.objects.annotate(placed=_placed(OuterRef("buyer")))
    .order_by("-placed_at", "-number")
    .values_list(*_OF_BUYER, *_FIRST, *_THEN)
)
_ROWS = OrderLine.objects.order_by("pk").values_list(*_ORDER_LINE)
_POTS = Offer.objects.filter(LIVE).order_by("pk").values_list("order_line", *POT)
_FEW = 500
_NUMBER = len(_OF_BUYER)
_ENDS = len(_OF_BUYER) + len(_FIRST)
_HOLD = ("pk", "line_id", "line__taxon__name", "line__grade", "plants", "until", "state", "made_at")


def orders(
    release: int | None = None,
    states: Collection[str] | None = None,
    since: datetime | None = None,
    buyer: int | None = None,
) -> tuple[OrderFacts, ...]:
    """The orders, newest first: of a release, in some states, placed at or after an instant, of one buyer."""
    rows = _TOLD.all()
    if release is not None:
        rows = rows.filter(pk__in=OrderLine.objects.filter(line__release=release).values("order"))
    if states is not None:
        rows = rows.filter(state__in=tuple(states))
    if since is not None:
        rows = rows.filter(placed_at__gte=since)
    if buyer is not None:
        rows = rows.filter(buyer=buyer)
    return _orders(rows)


def order(number: int) -> OrderFacts | None:
    """One order by its number; None when the book has no such."""
    return next(iter(_orders(_TOLD.filter(pk=number))), None)


def order_of_key(key: str) -> OrderFacts | None:
    """The order that was placed with a key; None when there is none."""
    return next(iter(_orders(_TOLD.filter(key=key))), None)


def holds(line: int | None = None, now: datetime | None = None) -> tuple[HoldFacts, ...]:
    """The holds, newest first, of one line or all; one that has run out by `now` says so."""
    rows = Hold.objects.all() if line is None else Hold.objects.filter(line=line)
    return _holds(rows, now or timezone.now())


def hold(uuid: UUID, now: datetime | None = None) -> HoldFacts | None:
    """One hold by its uuid; None when the book has no such."""
    return next(iter(_holds(Hold.objects.filter(pk=uuid), now or timezone.now())), None)


def buyers() -> tuple[BuyerFacts, ...]:
    """The buyers by name, those that were erased last."""
    found = buyer_facts(Buyer.objects.all()).values()
    return tuple(sorted(found, key=lambda one: (bool(one.erased_at), one.name.casefold(), one.key or 0)))


def buyer_facts(rows: QuerySet[Buyer]) -> dict[int, BuyerFacts]:
    """Buyers as plain data, by key."""
    found = rows.annotate(placed=_placed(OuterRef("pk"))).values_list(*_BUYER)
    return {row[4]: BuyerFacts(*row) for row in found}  # type: ignore[misc]


def _orders(told: QuerySet[Order]) -> tuple[OrderFacts, ...]:
    """Three queries, however many orders there are."""
    found = list(told)
    lines = _lines(told.order_by().values("pk") if len(found) != 1 else (found[0][_NUMBER],))
    return tuple(_order(row, lines) for row in found)


def order_as_written(row: Order) -> OrderFacts:
    """An order by the row that was just written: its lines alone, and how many its buyer has, are read."""
    known: dict[str, Any] = {
        "placed": Order.objects.filter(buyer=row.buyer_id).count(),
        "release__name": row.release.name if row.release is not None else "",
    }
    names = (*_OF_BUYER, *_FIRST, *_THEN)
    told = (known[name] if name in known else _told(row, name.split("__")) for name in names)
    return _order(tuple(told), _lines((row.number,)))


def _told(row: Any, path: list[str]) -> Any:
    return reduce(getattr, path, row)


def _order(row: tuple[Any, ...], lines: dict[int, tuple[OrderLineFacts, ...]]) -> OrderFacts:
    buyer, first, (*then, place_notes) = row[: len(_OF_BUYER)], row[len(_OF_BUYER) : _ENDS], row[_ENDS:]
    release_name = first[4] or ""
    return OrderFacts(
        *first[:3], BuyerFacts(*buyer), first[3], release_name, *first[5:], lines.get(first[0], ()), *then,
        tuple(place_notes),
    )  # fmt: skip


def _lines(keys: object) -> dict[int, tuple[OrderLineFacts, ...]]:
    """The lines of these orders, each with its pots."""
    rows = list(_ROWS.filter(order__in=keys))
    taxa = {key: (taxon, name) for _, key, _, taxon, name, *_ in rows}
    # Named one by one where they are few: a planner that has not seen the new rows yet finds them badly else.
    few = {"order_line__in": list(taxa)} if len(rows) <= _FEW else {"order_line__order__in": keys}
    pots: dict[int, list[OfferedPot]] = defaultdict(list)
    order_of = {key: of for of, key, *_ in rows}
    for key, pot, batch, number, tank, spot, leaves, state in _POTS.filter(**few):
        name = f"{batch} {number}"
        pots[key].append(
            OfferedPot(pot, name, tank or "", spot or "", *taxa[key], leaves, state, "", order_of[key], key)
        )
    lines: dict[int, list[OrderLineFacts]] = defaultdict(list)
    for of, key, *head, plants, cancelled, substitutes, wanted_at, cancelled_at in rows:
        own = tuple(pots[key])
        missing = plants - cancelled - len(own)
        lines[of].append(
            OrderLineFacts(key, *head, plants, cancelled, own, missing, substitutes, wanted_at, cancelled_at)
        )
    return {of: tuple(some) for of, some in lines.items()}


def _holds(rows: QuerySet[Hold], now: datetime) -> tuple[HoldFacts, ...]:
    who = buyer_facts(Buyer.objects.filter(pk__in=rows.order_by().values("buyer")))
    found = []
    for row in rows.order_by("-made_at", "pk").values_list(*_HOLD, "buyer_id", "order_id"):
        uuid, line, taxon_name, grade, plants, until, state, made_at, buyer, of_order = row
        if state == "held" and until <= now:
            state = "run out"
        found.append(
            HoldFacts(
                str(uuid), line, taxon_name, grade, plants, until, state, made_at, who.get(buyer), of_order
            )
        )
    return tuple(found)
