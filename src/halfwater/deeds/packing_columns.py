"""The files of packing and money: boxes, ways, parcels and arrivals; purchases, charges, tariffs, fees."""

import json
from collections.abc import Callable, Sequence
from dataclasses import asdict
from typing import TypeVar

from halfwater.deeds import cells
from halfwater.deeds.cells import CellKind, read_quantity_once
from halfwater.deeds.column import Column, Sheet
from halfwater.deeds.money_sheets import KWH_ACCEPTED, read_amount, read_kwh
from halfwater.deeds.packing_goods import (
    DAYS_ACCEPTED,
    POSTAGE_ACCEPTED,
    STOPS_ACCEPTED,
    WALLS_ACCEPTED,
    WEEKDAYS,
    read_layers,
    read_postage,
    read_stops,
    read_weekdays,
    show_layers,
)
from halfwater.errors import RefusedInput
from halfwater.plain.costing import PURCHASE_KINDS, SPACE_KINDS
from halfwater.plain.growing import Span
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.packing import PARCEL_STATES, SaidThen
from halfwater.plain.selling import CHANNELS
from halfwater.plain.transit import Leg, PostageBand, RouteStop, WallLayer

_Part = TypeVar("_Part")
_NAME = cells.words("a name", 80)
_ONE = cells.whole("a whole number from 1", 999_999_999, low=1)
_LENGTH = cells.quantity("length", "400 mm or 16 in")
_TEMP = cells.quantity("temperature", "4 C or 39 F")
_KG = CellKind(
    lambda cell, column, at: round(read_quantity_once(cell, "mass", at.units, column) / 1000.0, 9),
    lambda kg: f"{kg!r} kg",
    "350 g or 12 oz",
)
_HOURS = cells.quantity("hours", "40 h")
_LITRES = cells.quantity("volume", "0.5 L")
_SHARE = cells.quantity("fraction", "62 % or 0.62")
_POWER = cells.quantity("power", "30 W")
_DAYS = cells.number("days", 0, 60)
_TANK = cells.words("a tank by name", 80)
_AT_HAND = Column("at_hand", "is_at_hand", cells.FLAG, "no once you have none left; blank: yes")
_SPANS = ("coldest", "hottest", "bare_coldest", "bare_hottest")


def _parts(
    kind: Callable[..., _Part],
    read: Callable[[str, str, NurseryFacts], tuple[_Part, ...]],
    show: Callable[[Sequence[_Part]], str],
    accepted: str,
) -> CellKind:
    """Cells with several parts as a grower types them; where words would lose something, as JSON."""

    def read_cell(cell: str, column: str, nursery: NurseryFacts) -> tuple[_Part, ...]:
        return (
            _from_json(kind, cell, column, accepted) if cell.startswith("[") else read(cell, column, nursery)
        )

    def show_cell(value: Sequence[_Part]) -> str:
        text = show(value)
        try:
            if text and read(text, "", _PLAIN) == tuple(value):
                return text
        except RefusedInput:
            pass
        return json.dumps([asdict(one) for one in value], ensure_ascii=False)  # type: ignore[call-overload]

    return CellKind(read_cell, show_cell, accepted)


def _from_json(kind: Callable[..., _Part], cell: str, column: str, accepted: str) -> tuple[_Part, ...]:
    try:
        return tuple(kind(**one) for one in json.loads(cell))
    except (ValueError, TypeError):
        raise RefusedInput(column, cell, accepted) from None


def _read_said(cell: str, column: str, nursery: NurseryFacts) -> SaidThen:
    try:
        told = json.loads(cell)
        return SaidThen(**{name: Span(**one) if name in _SPANS else one for name, one in told.items()})
    except (ValueError, TypeError, AttributeError):
        raise RefusedInput(column, cell, cells.JSON.accepted) from None


_PLAIN = NurseryFacts("", "metric", "EUR", "UTC", 20, None, None, True)
_WALLS = _parts(
    WallLayer, lambda cell, column, at: read_layers(cell, at.units, column), show_layers, WALLS_ACCEPTED
)
_POSTAGE = _parts(
    PostageBand,
    lambda cell, column, at: read_postage(cell, at.units, at.currency),
    lambda _: "",
    POSTAGE_ACCEPTED,
)
_STOPS = _parts(
    RouteStop, lambda cell, column, at: read_stops(cell, at.units),
    lambda stops: "; ".join(f"{one.place} {one.span_h!r} h {one.kind}" for one in stops), STOPS_ACCEPTED,
)  # fmt: skip
_LEGS = _parts(Leg, lambda cell, column, at: _from_json(Leg, cell, column, cells.JSON.accepted), lambda _: "",
               cells.JSON.accepted)  # fmt: skip
_SAID = CellKind(_read_said, lambda said: json.dumps(asdict(said), ensure_ascii=False), cells.JSON.accepted)
_WEEKDAYS = CellKind(
    lambda cell, column, at: () if cell.lower() == "none" else read_weekdays(cell),
    lambda days: ", ".join(WEEKDAYS[day] for day in days),
    DAYS_ACCEPTED,
)
_AMOUNT = CellKind(
    lambda cell, column, at: read_amount(cell, at.currency, column), str, "12.50; with a minus: given back"
)
_KWH = CellKind(lambda cell, column, at: read_kwh(cell, at.currency), str, KWH_ACCEPTED)

BOXES = Sheet(
    "boxes",
    frozenset({"inside_length", "walls"}),
    (
        Column("name", "name", _NAME, "what you call this kind of box", needed=True),
        Column("inside_length", "length_mm", _LENGTH, "inside", needed=True),
        Column("inside_width", "width_mm", _LENGTH, "inside", needed=True),
        Column("inside_height", "height_mm", _LENGTH, "inside", needed=True),
        Column("walls", "layers", _WALLS, "from the inside outward", needed=True),
        Column("empty", "empty_kg", _KG, "its own weight", needed=True),
        Column("most_plants", "most_plants", _ONE, "blank: as many as go in"),
        Column("most_weight", "most_kg", _KG, "with the plants; blank: no limit"),
        Column("price", "cost_minor", cells.MONEY, "of the box"),
        Column("postage", "postage", _POSTAGE, "by weight"),
        _AT_HAND,
    ),
)
LINERS = Sheet(
    "liners",
    frozenset({"material", "thickness"}),
    (
        Column("name", "name", _NAME, "what you call it", needed=True),
        Column("material", "material", cells.words("foil bubble", 40), "of the liner", needed=True),
        Column("thickness", "thickness_mm", _LENGTH, "of the liner", needed=True),
        Column("price", "cost_minor", cells.MONEY, "of one"),
        _AT_HAND,
    ),
)
HEAT_PACKS = Sheet(
    "heat_packs",
    frozenset({"label_hours"}),
    (
        Column("name", "name", _NAME, "what you call it", needed=True),
        Column("label_hours", "label_h", _HOURS, "on its label", needed=True),
        Column("power", "mean_w", _POWER, "mean over those hours, where measured"),
        Column("price", "cost_minor", cells.MONEY, "of one"),
        _AT_HAND,
    ),
)
ROUTES = Sheet(
    "routes",
    frozenset({"stops", "hand_over"}),
    (
        Column("name", "name", _NAME, "what you call the way", needed=True),
        Column("place", "place", _NAME, "destination, as buyers write it"),
        Column("stops", "stops", _STOPS, "on the way"),
        Column("hand_over", "hand_over_h", cells.quantity("hours", "16 h"), "hour at which you hand over"),
        Column("rest_days", "rest_days", _WEEKDAYS, "on which nothing moves"),
        Column("legs", "legs", _LEGS, "the weather as typed last"),
        Column("legs_on", "legs_on", cells.DAY, "the day it was typed"),
    ),
)
SHIP_RULES = Sheet(
    "ship_rules",
    frozenset({"ship_weekdays"}),
    (
        Column("liner_below", "liner_below_c", _TEMP, "a liner below this forecast"),
        Column("pack_below", "pack_below_c", _TEMP, "a heat pack below it"),
        Column("hold_below", "hold_below_c", _TEMP, "held back below it"),
        Column("liner_above", "liner_above_c", _TEMP, "a liner above it"),
        Column("hold_above", "hold_above_c", _TEMP, "held back above it"),
        Column("most_days", "most_days", _DAYS, "in the box"),
        Column("most_packs", "most_packs", cells.whole("a whole number", 20), "heat packs in a box"),
        Column("ship_weekdays", "ship_weekdays", _WEEKDAYS, "on which parcels leave", needed=True),
        Column("over_weekend", "over_weekend", cells.FLAG, "yes: a parcel may lie still over rest days"),
        Column("small", "small_l", _LITRES, "a wrapped small plant takes"),
        Column("standard", "standard_l", _LITRES, "a wrapped standard plant takes"),
        Column("large", "large_l", _LITRES, "a wrapped large plant takes"),
        Column("fill", "fill_frac", _SHARE, "of a box's inside that plants may take"),
    ),
)
PARCELS = Sheet(
    "parcels",
    frozenset({"parcel", "started_at"}),
    (
        Column("parcel", "parcel", _ONE, "its number", needed=True),
        Column("uuid", "uuid", cells.words("an id", 36), "the id its maker gave it", needed=True),
        Column("ship_on", "ship_on", cells.DAY, "the day it leaves"),
        Column("state", "state", cells.one_of(*PARCEL_STATES), "how far it has come", needed=True),
        Column("box", "box", _NAME, "a kind of box by name"),
        Column("liner", "liner", _NAME, "a kind of liner by name"),
        Column("heat_pack", "pack", _NAME, "a kind of heat pack by name"),
        Column("packs", "packs", cells.whole("a whole number", 20), "how many of it"),
        Column("route", "route", _NAME, "a way by name"),
        Column("place", "place", _NAME, "where it goes"),
        Column("legs", "legs", _LEGS, "the weather of its way"),
        Column("said", "said", _SAID, "what was said of it when it left"),
        Column("weight", "weight_kg", _KG, "as weighed"),
        Column("tracking", "tracking", _NAME, "its tracking number"),
        Column("postage_paid", "postage_paid_minor", cells.MONEY, "for it"),
        Column("note", "note", cells.words("any words", 2000), "words beside it"),
        Column("started_at", "started_at", cells.INSTANT, "when it was begun", needed=True),
        Column("sent_at", "sent_at", cells.INSTANT, "when it left"),
        Column("who", "who", _NAME, "who began it"),
    ),
)
PARCEL_POTS = Sheet(
    "parcel_pots",
    frozenset({"parcel", "batch"}),
    (
        Column("parcel", "parcel", _ONE, "its number in parcels.csv", needed=True),
        Column("order", "order", _ONE, "the order it is of", needed=True),
        Column("batch", "batch", _NAME, "of the pot", needed=True),
        Column("number", "number", _ONE, "of the pot in its batch", needed=True),
        Column("packed_at", "packed_at", cells.INSTANT, "when it went into the box"),
    ),
)
ARRIVALS = Sheet(
    "arrivals",
    frozenset({"parcel", "alive"}),
    (
        Column("parcel", "parcel", _ONE, "its number in parcels.csv", needed=True),
        Column("on", "on", cells.DAY, "the day it came", needed=True),
        Column("alive", "alive", cells.whole("a whole number of plants"), "plants", needed=True),
        Column("damaged", "damaged", cells.whole("a whole number of plants"), "of the living"),
        Column("late", "late_days", _DAYS, "days late"),
        Column("low", "logger_low_c", _TEMP, "lowest that a logger read"),
        Column("high", "logger_high_c", _TEMP, "highest that a logger read"),
        Column("note", "note", cells.words("any words", 2000), "words beside it"),
        Column("photo", "photo", cells.words("a file", 100), "beside this file, in the folder photos"),
    ),
)
PURCHASES = Sheet(
    "purchases",
    frozenset({"life_months", "enough_for"}),
    (
        Column("on", "on", cells.DAY, "the day it was paid", needed=True),
        Column("kind", "kind", cells.one_of(*PURCHASE_KINDS), "what it is for", needed=True),
        Column("text", "text", cells.words("any words", 200), "what was bought", needed=True),
        Column("amount", "amount_minor", _AMOUNT, "paid", needed=True),
        Column("life_months", "life_months", _ONE, "months it lasts; blank: the month it was bought in"),
        Column("enough_for", "enough_for", _ONE, "pots, or parcels, that potting or packing goods are for"),
        Column("tank", "tank", _TANK, "the tank alone that it was bought for"),
        Column("batch", "batch", _NAME, "the batch alone that it was bought for"),
        Column("ended_on", "ended_on", cells.DAY, "the day it broke or was given away"),
        Column("got_back", "got_back_minor", cells.MONEY, "what it brought then"),
    ),
)
CHARGES = Sheet(
    "charges",
    frozenset({"amount", "from"}),
    (
        Column("kind", "kind", cells.one_of(*SPACE_KINDS), "what it is for", needed=True),
        Column("text", "text", cells.words("rent", 200), "what is paid every month", needed=True),
        Column("amount", "amount_minor", _AMOUNT, "a month", needed=True),
        Column("from", "from_on", cells.DAY, "the first day of payment", needed=True),
        Column("to", "to_on", cells.DAY, "until before this day; blank: it goes on"),
        Column("tank", "tank", _TANK, "the tank alone that it is for"),
    ),
)
TARIFFS = Sheet(
    "tariffs",
    frozenset({"kwh_price"}),
    (
        Column("from", "from_on", cells.DAY, "the day it begins", needed=True),
        Column("kwh_price", "kwh_minor", _KWH, "of a kilowatt-hour", needed=True),
    ),
)
POWER = Sheet(
    "power",
    frozenset({"power", "hours", "from"}),
    (
        Column("text", "text", cells.words("room heater", 80), "what it is", needed=True),
        Column("power", "power_w", _POWER, "when it runs", needed=True),
        Column("hours", "hours", cells.quantity("hours", "10 h"), "a day", needed=True),
        Column("dimmer", "dimmer_frac", _SHARE, "blank: full"),
        Column("from", "from_on", cells.DAY, "the first day", needed=True),
        Column("to", "to_on", cells.DAY, "until before this day; blank: it goes on"),
        Column("tank", "tank", _TANK, "the tank alone that it is for"),
    ),
)
FEES = Sheet(
    "fees",
    frozenset({"fixed", "share"}),
    (
        Column("text", "text", cells.words("bank", 80), "who takes it"),
        Column("channel", "channel", cells.one_of(*CHANNELS), "blank: any without a rule of its own"),
        Column("from", "from_on", cells.DAY, "the day it begins; blank: since ever"),
        Column("fixed", "fixed_minor", cells.MONEY, "of every order"),
        Column("share", "share_frac", _SHARE, "of its price"),
        Column("on_postage", "is_on_postage", cells.FLAG, "no: the postage is left out of the share"),
    ),
)
PACKING = (BOXES, LINERS, HEAT_PACKS, ROUTES, SHIP_RULES, PARCELS, PARCEL_POTS, ARRIVALS)
MONEY = (PURCHASES, CHARGES, TARIFFS, POWER, FEES)
