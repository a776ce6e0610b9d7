"""Packing and money as rows of files: names where the book has keys."""

from collections.abc import Iterator
from dataclasses import asdict, fields
from decimal import Decimal
from typing import Any

from halfwater.book import queries
from halfwater.plain.figures import bare_money, read_money, show_money
from halfwater.plain.packing import ParcelFacts

_MONEY = ("amount_minor", "got_back_minor", "fixed_minor")


def packing_rows(table: str, currency: str) -> Iterator[dict[str, Any]]:
    """The rows of one table of packing or money, those made first before the others where it matters."""
    return _TABLES[table](currency)


def _boxes(currency: str) -> Iterator[dict[str, Any]]:
    for one in queries.box_kinds():
        own = {field.name: getattr(one.box, field.name) for field in fields(one.box)}
        yield own | {"cost_minor": show_money(one.box.cost_minor, currency), "is_at_hand": one.is_at_hand}


def _liners(currency: str) -> Iterator[dict[str, Any]]:
    for one in queries.liner_kinds():
        layer = one.liner.layer
        yield {
            "name": one.liner.name, "material": layer.material, "thickness_mm": layer.thickness_mm,
            "cost_minor": show_money(one.liner.cost_minor, currency), "is_at_hand": one.is_at_hand,
        }  # fmt: skip


def _heat_packs(currency: str) -> Iterator[dict[str, Any]]:
    for one in queries.heat_packs():
        yield asdict(one.pack) | {
            "cost_minor": show_money(one.pack.cost_minor, currency), "is_at_hand": one.is_at_hand,
        }  # fmt: skip


def _routes(currency: str) -> Iterator[dict[str, Any]]:
    for one in queries.routes():
        yield {field.name: getattr(one, field.name) for field in fields(one)}


def _ship_rules(currency: str) -> Iterator[dict[str, Any]]:
    rules = queries.ship_rules()
    if rules is not None:
        yield asdict(rules) | asdict(queries.plant_room())


def _parcels(currency: str) -> Iterator[dict[str, Any]]:
    routes = {one.key: one.name for one in queries.routes()}
    for one in _oldest_first():
        own = {field.name: getattr(one, field.name) for field in fields(one)}
        paid = one.postage_paid_minor
        yield own | {
            "parcel": one.key,
            "box": one.box.box.name if one.box else None,
            "liner": one.liner.liner.name if one.liner else None,
            "pack": one.pack.pack.name if one.pack else None,
            "route": routes.get(one.route or 0),
            "postage_paid_minor": None if paid is None else show_money(paid, currency),
        }


def _parcel_pots(currency: str) -> Iterator[dict[str, Any]]:
    pots = {pot.key: pot for pot in queries.standing_pots(gone=True)}
    for parcel in _oldest_first():
        for item in parcel.items:
            pot = pots[item.pot]
            yield {
                "parcel": parcel.key, "order": item.order, "batch": pot.batch_name, "number": pot.number,
                "packed_at": item.packed_at,
            }  # fmt: skip


def _arrivals(currency: str) -> Iterator[dict[str, Any]]:
    for parcel in _oldest_first():
        if parcel.arrival is not None:
            yield asdict(parcel.arrival) | {"parcel": parcel.key}


def _oldest_first() -> tuple[ParcelFacts, ...]:
    return tuple(sorted(queries.parcels(), key=lambda one: one.key))


def _purchases(currency: str) -> Iterator[dict[str, Any]]:
    yield from (_paid(one, currency) for one in sorted(queries.purchases(), key=lambda one: one.key))


def _charges(currency: str) -> Iterator[dict[str, Any]]:
    yield from (_paid(one, currency) for one in sorted(queries.charges(), key=lambda one: one.key))


def _tariffs(currency: str) -> Iterator[dict[str, Any]]:
    whole = read_money("1", currency)
    for one in sorted(queries.tariffs(), key=lambda one: one.from_on):
        price = Decimal(repr(one.kwh_minor)) / whole
        yield {"from_on": one.from_on, "kwh_minor": f"{price:f} {currency}"}


def _power(currency: str) -> Iterator[dict[str, Any]]:
    yield from (_paid(one, currency) for one in sorted(queries.power_uses(), key=lambda one: one.key))


def _fees(currency: str) -> Iterator[dict[str, Any]]:
    yield from (_paid(one, currency) for one in sorted(queries.fees(), key=lambda one: one.key))


def _paid(one: Any, currency: str) -> dict[str, Any]:
    """A row of money with names for keys; an amount given back keeps its minus."""
    row = {field.name: getattr(one, field.name) for field in fields(one)}
    money = {name: f"{bare_money(row[name], currency)} {currency}" for name in _MONEY if name in row}
    names = {noun: row.get(f"{noun}_name") for noun in ("tank", "batch") if noun in row}
    return row | money | names


_TABLES = {
    "boxes": _boxes, "liners": _liners, "heat_packs": _heat_packs, "routes": _routes,
    "ship_rules": _ship_rules, "parcels": _parcels, "parcel_pots": _parcel_pots, "arrivals": _arrivals,
    "purchases": _purchases, "charges": _charges, "tariffs": _tariffs, "power": _power, "fees": _fees,
}  # fmt: skip
