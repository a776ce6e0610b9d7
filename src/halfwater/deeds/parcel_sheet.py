"""A parcel as typed: box, liner, heat packs, way, weather, weight, postage."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from halfwater.book import queries
from halfwater.deeds.clock import local_day, read_day
from halfwater.deeds.packing_goods import NONE_WORDS
from halfwater.deeds.sheet import Sheet
from halfwater.deeds.ship_weather import HAND_OVER_H, weather_of
from halfwater.errors import RefusedInput
from halfwater.plain.figures import read_money
from halfwater.plain.packing import KeptRoute
from halfwater.plain.transit import Leg

_KINDS: dict[str, Callable[[], Any]] = {
    "box": queries.box_kinds,
    "liner": queries.liner_kinds,
    "pack": queries.heat_packs,
}


def parcel_fields(sheet: Sheet, now: datetime) -> dict[str, Any]:
    """The fields of a parcel that a form holds, read."""
    fields = sent_fields(sheet)
    for name, kinds in _KINDS.items():
        if name in sheet.typed:
            fields[name] = sheet.read(name, _picked(name, kinds), None)
    if "packs" in sheet.typed:
        fields["packs"] = sheet.read("packs", _packs, 0)
    if "ship_on" in sheet.typed:
        fields["ship_on"] = sheet.read("ship_on", lambda text: read_day(text, "ship_on"), None)
    route = _route(sheet)
    if route is not None:
        fields |= {"route": route.key, "legs": route.legs}
        if route.place:
            fields["place"] = route.place
    if sheet.text("weather"):
        on = fields.get("ship_on")
        today = local_day(now, queries.nursery())
        ahead = max((on - today).days, 0) if isinstance(on, date) else 1
        hour = route.hand_over_h if route else HAND_OVER_H
        none: tuple[Leg, ...] = ()
        fields["legs"] = sheet.read(
            "weather", lambda text: weather_of(text, sheet.units, hour, float(max(ahead, 1))), none
        )
    return fields


def sent_fields(sheet: Sheet) -> dict[str, Any]:
    """What is noted of a parcel as it leaves: weight, postage, tracking, note."""
    nursery = queries.nursery()
    fields: dict[str, Any] = {}
    if sheet.text("weight"):
        grams = sheet.quantity("weight", "mass")
        fields["weight_kg"] = None if grams is None else grams / 1000.0
    if sheet.text("postage"):
        fields["postage_paid_minor"] = sheet.read(
            "postage", lambda text: read_money(text, nursery.currency, "postage"), 0
        )
    for name in ("tracking", "note"):
        if name in sheet.typed:
            fields[name] = sheet.text(name)
    return fields


def _route(sheet: Sheet) -> KeptRoute | None:
    if not sheet.text("route"):
        return None
    known = {one.name.casefold(): one for one in queries.routes()}
    by_key = {str(one.key): one for one in known.values()}
    text = sheet.text("route")
    found = by_key.get(text) or known.get(text.casefold())
    if found is None:
        sheet.refuse(
            "route", f"one of your ways: {', '.join(one.name for one in known.values()) or 'none yet'}"
        )
    return found


def remember_way(fields: dict[str, Any], place: str) -> None:
    """Take the way that leads to the buyer's place, with its weather as typed last, where none was chosen."""
    if fields.get("route") is not None or not place:
        return
    found = next((one for one in queries.routes() if one.place.casefold() == place.casefold()), None)
    if found is not None:
        fields["route"] = found.key
        fields.setdefault("legs", found.legs)


def _picked(name: str, kinds: Callable[[], Any]) -> Callable[[str], int | None]:
    """Reads what is chosen from a list by its key or name; "none" is none."""

    def read(text: str) -> int | None:
        if text.lower() in NONE_WORDS:
            return None
        known = {getattr(one, name).name.casefold(): int(one.key) for one in kinds()}
        if text.isdecimal() and int(text) in known.values():
            return int(text)
        if text.casefold() not in known:
            raise RefusedInput(name, text, f"one of yours: {', '.join(known) or 'none is written down yet'}")
        return known[text.casefold()]

    return read


def _packs(text: str) -> int:
    if not text.isdecimal() or len(text) > 2:
        raise RefusedInput("packs", text, "a whole number of heat packs from 0")
    return int(text)
