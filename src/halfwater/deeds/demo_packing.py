"""The demo's boxes, ways, parcels, arrivals, purchases and tariffs as rows for the book's tables."""

from collections.abc import Iterable, Iterator
from dataclasses import asdict, fields
from datetime import date
from decimal import Decimal
from typing import Any

from halfwater.deeds.parcel_advice import limits_for, said_of
from halfwater.demo.batches import KINDS
from halfwater.demo.sales_money import CHARGES, FEES, POWER, PURCHASES, TARIFFS, paid_on
from halfwater.demo.sales_parcels import (
    CARTON,
    FOAM,
    HAND_OVER_H,
    LINER,
    PACKS,
    ROUTES,
    SHIP_RULES,
    SentParcel,
    arrived_at,
    sent_at,
)
from halfwater.demo.simulator import DemoBook
from halfwater.plain.packing import ParcelItem, SaidThen
from halfwater.plain.transit import GrowerRules, Measure, PackingBench, ParcelLoad, TransitMargins
from halfwater.planning.shipping import advise_parcel, margins_of

PADDING_KG = 0.2
MINUTE = 1 / 1440
Fields = dict[str, Any]


def pot_named(demo: DemoBook, plant: int) -> Fields:
    """The columns by which a pot is known."""
    one = demo.plants[plant]
    return {"batch": one.batch.name, "number": one.number}


def packing_rows(demo: DemoBook) -> dict[str, Iterable[Fields]]:
    """What is at hand, and every parcel with its plants and arrival."""
    newest = {one.place: one for one in demo.parcels if one.legs}
    return {
        "boxes": [_flat(box) for box in (CARTON, FOAM)],
        "liners": [
            {"name": LINER.name, "material": LINER.layer.material, "thickness_mm": LINER.layer.thickness_mm,
             "cost_minor": LINER.cost_minor}
        ],
        "heat_packs": [_flat(pack) for pack in PACKS],
        "routes": [
            {"name": _way(place), "place": place, "stops": stops, "hand_over_h": HAND_OVER_H,
             "rest_days": (5, 6),
             "legs": newest[place].legs if place in newest else None,
             "legs_on": demo.day(newest[place].ship_day) if place in newest else None}
            for place, stops in ROUTES.items()
        ],
        "ship_rules": [SHIP_RULES],
        "parcels": _parcels(demo),
        "parcel_pots": _parcel_pots(demo),
        "arrivals": _arrivals(demo),
    }  # fmt: skip


def money_rows(today: date) -> dict[str, Iterable[Fields]]:
    """What was paid and what is paid."""
    return {
        "purchases": [
            {"on": paid_on(today, one.days_ago), "kind": one.kind, "text": one.text,
             "amount_minor": one.amount_minor, "life_months": one.life_months, "enough_for": one.enough_for,
             "tank": one.tank or None, "batch": one.batch or None}
            for one in sorted(PURCHASES, key=lambda one: -one.days_ago)
        ],
        "charges": [
            {"kind": kind, "text": text, "amount_minor": amount, "from_on": paid_on(today, ago)}
            for kind, text, amount, ago in CHARGES
        ],
        "tariffs": [
            {"from_on": paid_on(today, ago), "kwh_minor": Decimal(price)} for ago, price in TARIFFS
        ],
        "power": [
            {"text": text, "power_w": watts, "hours": hours, "from_on": paid_on(today, ago)}
            for text, watts, hours, ago in POWER
        ],
        "fees": [
            {"channel": channel, "text": text, "fixed_minor": fixed, "share_frac": share}
            for channel, text, fixed, share in FEES
        ],
    }  # fmt: skip


def _flat(facts: Any) -> Fields:
    return {one.name: getattr(facts, one.name) for one in fields(facts)}


def _way(place: str) -> str:
    return f"to {place}"


def _parcels(demo: DemoBook) -> Iterator[Fields]:
    untaught = margins_of(())
    for one in demo.parcels:
        arrived, sent = arrived_at(one), sent_at(one)
        yield {
            "parcel": one.number,
            "uuid": str(one.uuid),
            "ship_on": demo.day(one.ship_day),
            "state": "packing" if sent is None else "sent" if arrived is None else "arrived",
            "box": one.box.name,
            "liner": LINER.name if one.has_liner else None,
            "pack": PACKS[0].name if one.packs else None,
            "packs": one.packs,
            "route": _way(one.place),
            "place": one.place,
            "legs": one.legs,
            "said": _said(demo, one, untaught) if sent is not None and one.legs else None,
            "weight_kg": None if sent is None else one.weight_kg,
            "tracking": None if sent is None else f"FH{20_000 + 7 * one.number}",
            "postage_paid_minor": None if sent is None else one.postage_paid_minor,
            "started_at": demo.instant(one.started),
            "sent_at": None if sent is None else demo.instant(sent),
            "who": "demo",
        }


def _parcel_pots(demo: DemoBook) -> Iterator[Fields]:
    for one in demo.parcels:
        for step, plant in enumerate(one.plants):
            packed = one.started + 4 * MINUTE * (step + 1)
            yield pot_named(demo, plant) | {
                "parcel": one.number,
                "order": one.order.number,
                "packed_at": demo.instant(packed) if step < one.packed else None,
            }


def _arrivals(demo: DemoBook) -> Iterator[Fields]:
    for one in demo.parcels:
        if one.arrival is not None:
            yield {"parcel": one.number} | {
                name: value for name, value in asdict(one.arrival).items() if name != "photo"
            }


def _said(demo: DemoBook, parcel: SentParcel, untaught: TransitMargins) -> SaidThen:
    """What would have been said of a parcel as it was packed, before any arrival taught better."""
    plants = (demo.plants[plant] for plant in parcel.plants)
    items = tuple(
        ParcelItem(
            pot=0, name=plant.batch.name, tank=plant.tank, spot=plant.spot, taxon=0,
            taxon_name=KINDS[plant.batch.kind].taxon, group="", grade="", order=0, order_line=0,
        )
        for plant in plants
    )  # fmt: skip
    bench = PackingBench(LINER, PACKS[0], GrowerRules(**SHIP_RULES), untaught)
    load = ParcelLoad(len(items), parcel.plants_kg, packing_kg=PADDING_KG)
    advice = advise_parcel(parcel.box, load, parcel.legs, limits_for(items), parcel.number, bench)
    return said_of(advice, items, Measure(parcel.has_liner, parcel.packs))
