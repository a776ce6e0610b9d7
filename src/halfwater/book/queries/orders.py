"""Orders and holds as the book has them."""

from collections import defaultdict
from collections.abc import Collection
from datetime import datetime
from uuid import UUID

from django.db.models import Count, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce
from django.utils import timezone

from halfwater.book.models import Buyer, Hold, OfferedPot, Order, OrderLine
from halfwater.book.models.order import LIVE
from halfwater.book.queries.offers import pot_facts
from halfwater.plain.selling import BuyerFacts, HoldFacts, OrderFacts, OrderLineFacts
from halfwater.plain.selling import OfferedPot as Pot

_BUYER = ("name", "contact", "address", "place", "pk", "placed", "erased_at")
_ORDER_LINE = (
    "order_id", "pk", "line_id", "taxon_id", "taxon__name", "grade", "price_minor", "plants", "cancelled",
    "substitutes_id",
)  # fmt: skip
_HOLD = ("pk", "line_id", "line__taxon__name", "line__grade", "plants", "until", "state", "made_at")


def orders(
    release: int | None = None,
    states: Collection[str] | None = None,
    since: datetime | None = None,
    buyer: int | None = None,
) -> tuple[OrderFacts, ...]:
    """The orders, newest first: of a release, in some states, placed at or after an instant, of one buyer."""
    rows = Order.objects.all()
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
    return next(iter(_orders(Order.objects.filter(pk=number))), None)


def order_of_key(key: str) -> OrderFacts | None:
    """The order that was placed with a key; None when there is none."""
    return next(iter(_orders(Order.objects.filter(key=key))), None)


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
    own = Order.objects.filter(buyer=OuterRef("pk")).order_by().values("buyer")
    count = Coalesce(Subquery(own.annotate(count=Count("pk")).values("count")), 0)
    return {row[4]: BuyerFacts(*row) for row in rows.annotate(placed=count).values_list(*_BUYER)}  # type: ignore[misc]


def _orders(rows: QuerySet[Order]) -> tuple[OrderFacts, ...]:
    found = list(rows.select_related("release").order_by("-placed_at", "-number"))
    if not found:
        return ()
    keys: object = [row.pk for row in found] if len(found) < 100 else rows.order_by().values("pk")
    whose: object = {row.buyer_id for row in found} if len(found) < 100 else rows.order_by().values("buyer")
    who = buyer_facts(Buyer.objects.filter(pk__in=whose))
    lines = _lines(keys)
    return tuple(_order(row, who[row.buyer_id], tuple(lines.get(row.pk, ()))) for row in found)


def _lines(keys: object) -> dict[int, list[OrderLineFacts]]:
    """The lines of these orders, each with its pots."""
    pots: dict[int | None, list[Pot]] = defaultdict(list)
    behind = OfferedPot.objects.filter(LIVE, order_line__order__in=keys).order_by("pk")
    for pot, order_line in pot_facts(behind, None):
        pots[order_line].append(pot)
    lines: dict[int, list[OrderLineFacts]] = defaultdict(list)
    rows = OrderLine.objects.filter(order__in=keys).order_by("pk").values_list(*_ORDER_LINE)
    for of, key, line, taxon, name, grade, price_minor, plants, cancelled, substitutes in rows:
        own = tuple(pots[key])
        missing = plants - cancelled - len(own)
        lines[of].append(
            OrderLineFacts(
                key, line, taxon, name, grade, price_minor, plants, cancelled, own, missing, substitutes
            )
        )
    return lines


def _order(row: Order, buyer: BuyerFacts, lines: tuple[OrderLineFacts, ...]) -> OrderFacts:
    return OrderFacts(
        number=row.number,
        key=row.key,
        state=row.state,
        buyer=buyer,
        release=row.release_id,
        release_name=row.release.name if row.release is not None else "",
        channel=row.channel,
        reference=row.reference,
        placed_at=row.placed_at,
        lines=lines,
        postage_minor=row.postage_minor,
        fee_minor=row.fee_minor,
        note=row.note,
        paid_at=row.paid_at,
        packed_at=row.packed_at,
        sent_at=row.sent_at,
        arrived_at=row.arrived_at,
        cancelled_at=row.cancelled_at,
        cancel_reason=row.cancel_reason,
        refund_minor=row.refund_minor,
        ship_on=row.ship_on,
        place_notes=tuple(row.place_notes),
    )


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
