"""The book of sales row by row, as files carry it: names where the book has keys, own numbers else."""

from collections.abc import Iterator
from typing import Any

from halfwater.book.models import (
    Buyer,
    Hold,
    Line,
    OfferedPot,
    Order,
    OrderLine,
    PlaceRule,
    Release,
    ShopColumns,
)

_LINE = {"release": "line__release__name", "taxon": "line__taxon__name", "grade": "line__grade"}
# Table -> field of its file -> column of the book.
_COLUMNS: dict[str, tuple[Any, dict[str, str]]] = {
    "places": (
        PlaceRule,
        {"place": "place", "taxon": "taxon__name"} | {name: name for name in ("kind", "text", "checked_on")},
    ),
    "shops": (ShopColumns, {"name": "name", "columns": "columns", "lines": "lines"}),
    "buyers": (
        Buyer,
        {"buyer": "pk", "name": "name", "contact": "contact", "address": "address", "place": "place"}
        | {"erased_at": "erased_at"},
    ),
    "releases": (
        Release,
        {
            name: name
            for name in ("name", "state", "opens_at", "closes_at", "opened_at", "closed_at", "note")
        },
    ),
    "lines": (
        Line,
        {"release": "release__name", "taxon": "taxon__name", "grade": "grade"}
        | {name: name for name in ("price_minor", "limit_per_buyer", "text", "photo")},
    ),
    "orders": (
        Order,
        {"order": "pk", "buyer": "buyer_id", "release": "release__name"}
        | {
            name: name
            for name in (
                "key", "digest", "state", "channel", "reference", "placed_at", "paid_at", "packed_at",
                "sent_at", "arrived_at", "cancelled_at", "postage_minor", "fee_minor", "refund_minor",
                "cancel_reason", "ship_on", "note", "place_notes", "who",
                "refunded_at",
            )
        },
    ),
    "order_lines": (
        OrderLine,
        {"order_line": "pk", "order": "order_id", "release": "line__release__name"}
        | {"taxon": "taxon__name", "substitutes": "substitutes_id"}
        | {
            name: name
            for name in ("grade", "price_minor", "plants", "cancelled", "wanted_at", "cancelled_at")
        },
    ),
    "holds": (
        Hold,
        {"uuid": "pk", "buyer": "buyer_id", "order": "order_id"}
        | _LINE
        | {name: name for name in ("plants", "until", "state", "made_at", "ended_at")},
    ),
    "offered": (
        OfferedPot,
        {"batch": "pot__batch__name", "number": "pot__number", "hold": "hold_id"}
        | {"order_line": "order_line_id", "release": "line__release__name", "grade": "line__grade"}
        | {name: name for name in ("offered_at", "taken_at", "ended_at", "ended_because")},
    ),
}  # fmt: skip
SALES_TABLES = tuple(_COLUMNS)  # in the order in which they are written


def sales_rows(table: str) -> Iterator[dict[str, Any]]:
    """The rows of one table of the book of sales, those made first before the others."""
    model, columns = _COLUMNS[table]
    order = "made_at" if model is Hold else "pk"
    for row in model.objects.order_by(order, "pk").values_list(*columns.values()).iterator(2000):
        yield dict(zip(columns, row, strict=True))
