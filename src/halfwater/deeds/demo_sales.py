"""The demo's sales on their way into the book: its past as tables, all of it or nothing."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta
from typing import Any

from halfwater.book import changes
from halfwater.book.changes.tables import TableRow, Tables
from halfwater.deeds.demo_packing import money_rows, packing_rows, pot_named
from halfwater.deeds.order_files import shop_reference
from halfwater.demo.batches import KINDS
from halfwater.demo.nursery import BOOK_DAYS
from halfwater.demo.sales import EVERY_DAYS, Release, SoldOrder, release_name
from halfwater.demo.sales_buyers import BUYERS, RULES, notes_for
from halfwater.demo.sales_market import LINES
from halfwater.demo.sales_parcels import arrived_at, sent_at
from halfwater.demo.simulator import DemoBook

SHOP = "Fennhollow shop"
COLUMNS = {
    "reference": "Order", "article": "Item", "plants": "Quantity", "name": "Customer", "contact": "E-mail",
    "address": "Ship to", "place": "Region", "placed_at": "Ordered at", "postage": "Shipping",
    "paid": "Payment", "note": "Message",
}  # fmt: skip
FIRST_REFERENCE = 1000
MINUTE = 1 / 1440
Fields = dict[str, Any]


def bring_demo_sales(demo: DemoBook, who: str, now: datetime) -> None:
    """Write the demo's releases, orders, parcels and money; the stock they are of stands already."""
    sales, packing, money = (
        {name: _rows(name, rows) for name, rows in tables.items()}
        for tables in (_sales(demo), packing_rows(demo), money_rows(demo.today))
    )
    done = changes.import_tables(Tables(sales=sales, packing=packing, money=money), who, now)
    if done.refused:
        raise done.refused[0]


def _rows(table: str, rows: Iterable[Fields]) -> tuple[TableRow, ...]:
    """Rows without what is not known, each with where it stands."""
    return tuple(
        TableRow(f"{table} row {number}", {name: one for name, one in row.items() if one is not None})
        for number, row in enumerate(rows, 1)
    )


def _sales(demo: DemoBook) -> dict[str, Iterable[Fields]]:
    return {
        "places": _places(demo.today),
        "shops": [{"name": SHOP, "columns": COLUMNS, "lines": {}}],
        "buyers": [
            {
                "buyer": key,
                "name": one.name,
                "contact": one.contact,
                "address": one.address,
                "place": one.place,
            }
            for key, one in enumerate(BUYERS, 1)
        ],
        "releases": _releases(demo),
        "lines": _lines(demo),
        "orders": [_order(demo, release, order) for release, order in _orders(demo)],
        "order_lines": _order_lines(demo),
        "holds": _holds(demo),
        "offered": _offered(demo),
    }


def _places(today: date) -> Iterator[Fields]:
    for rule in RULES:
        yield {
            "place": rule.place,
            "taxon": KINDS[rule.kind_of_plant].taxon if rule.kind_of_plant else None,
            "kind": rule.kind,
            "text": rule.text,
            "checked_on": today - timedelta(days=rule.asked_days_ago),
        }


def _releases(demo: DemoBook) -> Iterator[Fields]:
    for one in demo.stock.releases:
        yield {
            "name": release_name(one.number),
            "state": "open" if one.is_open else "closed",
            "opens_at": demo.instant(one.opened),
            "closes_at": demo.instant(one.closes),
            "opened_at": demo.instant(one.opened),
            "closed_at": None if one.is_open else demo.instant(one.closes),
        }
    last = demo.stock.releases[-1]
    yield {
        "name": release_name(last.number + 1),
        "state": "drafted",
        "opens_at": demo.instant(last.opened + EVERY_DAYS),
        "closes_at": demo.instant(last.closes + EVERY_DAYS),
        "note": "Ask for photos of the wavy form in time.",
    }


def _line(release: int, line: int) -> Fields:
    """The columns by which a line is known."""
    plan = LINES[line]
    return {"release": release_name(release), "taxon": KINDS[plan.kind].taxon, "grade": plan.grade}


def _lines(demo: DemoBook) -> Iterator[Fields]:
    releases = demo.stock.releases
    drafted = sorted({*releases[-1].lines, *(line for _, line in demo.stock.drafted)})
    for number, lines in [*((one.number, one.lines) for one in releases), (len(releases), drafted)]:
        for line in lines:
            plan = LINES[line]
            yield _line(number, line) | {
                "price_minor": plan.price_minor(number),
                "limit_per_buyer": plan.limit_per_buyer,
                "text": plan.text,
            }


def _orders(demo: DemoBook) -> list[tuple[Release, SoldOrder]]:
    """All orders in the order of their numbers."""
    found = [(release, order) for release in demo.stock.releases for order in release.orders]
    return sorted(found, key=lambda one: one[1].number)


def _order(demo: DemoBook, release: Release, order: SoldOrder) -> Fields:
    buyer = BUYERS[order.buyer]
    parcel = next((one for one in demo.parcels if one.order is order and one.is_sent), None)
    arrived = parcel and arrived_at(parcel)
    state = "cancelled" if order.cancelled else "placed" if order.paid is None else "paid"
    if parcel is not None:
        state = "sent" if arrived is None else "arrived"
    return {
        "order": order.number,
        "key": str(order.uuid),
        "buyer": order.buyer + 1,
        "release": release_name(release.number),
        "state": state,
        "channel": "by hand" if order.is_by_hand else "file",
        "reference": _reference(order),
        "placed_at": demo.instant(order.placed),
        "paid_at": _at(demo, order.paid),
        "packed_at": _at(demo, parcel and parcel.started + 4 * MINUTE * len(parcel.plants)),
        "sent_at": _at(demo, parcel and sent_at(parcel)),
        "arrived_at": _at(demo, arrived),
        "cancelled_at": _at(demo, order.cancelled),
        "cancel_reason": order.cancel_reason or None,
        "refund_minor": order.refund_minor or None,
        "postage_minor": order.postage_minor,
        "ship_on": None if order.ship_day is None else demo.day(order.ship_day),
        "place_notes": list(
            notes_for(buyer.place, frozenset(LINES[one.line].kind for one in order.lines))
        ) or None,
        "who": "demo",
    }  # fmt: skip


def _reference(order: SoldOrder) -> str | None:
    """As the shop's files number it; none for an order by hand."""
    return None if order.is_by_hand else shop_reference(SHOP, f"FH-{FIRST_REFERENCE + order.number}")


def _at(demo: DemoBook, day: float | None) -> datetime | None:
    return None if day is None else demo.instant(day)


def _keys(demo: DemoBook) -> dict[tuple[int, int], int]:
    """Order and line -> the number of the order line."""
    both = ((order.number, one.line) for _, order in _orders(demo) for one in order.lines)
    return {pair: number for number, pair in enumerate(both, 1)}


def _order_lines(demo: DemoBook) -> Iterator[Fields]:
    keys = _keys(demo)
    for release, order in _orders(demo):
        for one in order.lines:
            yield _line(release.number, one.line) | {
                "order_line": keys[order.number, one.line],
                "order": order.number,
                "price_minor": one.price_minor,
                "plants": one.plants,
                "cancelled": one.cancelled,
                "wanted_at": demo.instant(one.wanted),
                "cancelled_at": _at(demo, one.cancelled_on),
            }


def _holds(demo: DemoBook) -> Iterator[Fields]:
    for release in demo.stock.releases:
        for one in release.holds:
            ended = "run out" if one.order is None else "ordered"
            yield _line(release.number, one.line) | {
                "uuid": str(one.uuid),
                "buyer": one.buyer + 1,
                "plants": one.plants,
                "until": demo.instant(one.until),
                "state": "held" if one.ended is None else ended,
                "made_at": demo.instant(one.made),
                "ended_at": _at(demo, one.ended),
                "order": None if one.order is None else release.orders[one.order].number,
            }


def _offered(demo: DemoBook) -> Iterator[Fields]:
    keys = _keys(demo)
    for release in demo.stock.releases:
        for pot in release.offered:
            order = None if pot.order is None else release.orders[pot.order].number
            is_back = order is None and not release.is_open
            yield pot_named(demo, pot.plant) | {
                "release": release_name(release.number),
                "grade": LINES[pot.line].grade,
                "hold": None if pot.hold is None else str(release.holds[pot.hold].uuid),
                "order_line": None if order is None else keys[order, pot.line],
                "offered_at": demo.instant(pot.since),
                "taken_at": _at(demo, pot.taken),
                "ended_at": demo.instant(release.closes) if is_back else None,
                "ended_because": "closed" if is_back else None,
            }
    for plant, line in demo.stock.drafted:
        yield pot_named(demo, plant) | {
            "release": release_name(len(demo.stock.releases)),
            "grade": LINES[line].grade,
            "offered_at": demo.instant(BOOK_DAYS - 0.1),
        }
