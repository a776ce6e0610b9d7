"""Boxes, liners, heat packs, ways and rules of shipping as typed, and what of them is at hand."""

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise

from halfwater.book import changes, queries
from halfwater.deeds.cells import read_quantity_once
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput
from halfwater.plain.figures import read_money
from halfwater.plain.packing import PlantRoom
from halfwater.plain.transit import (
    LEG_KINDS,
    GrowerRules,
    PostageBand,
    RouteStop,
    WallLayer,
)
from halfwater.planning.transit_limits import USUAL_RULES
from halfwater.science import starting
from halfwater.science.insulation import MATERIALS
from halfwater.science.units import read_size

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
WALLS_ACCEPTED = (
    f"layers from the inside outward such as “EPS I 25 mm; cardboard 4 mm”; materials: {', '.join(MATERIALS)}"
)
POSTAGE_ACCEPTED = "a weight and its price, the lightest first, such as “1 kg 4.90; 5 kg 6.90”"
STOPS_ACCEPTED = (
    f"a place, its hours and {', '.join(LEG_KINDS)}, such as “Depot 12 h indoors; Van 6 h vehicle; Door 2 h”"
)
DAYS_ACCEPTED = "weekdays such as “Monday, Tuesday, Wednesday”"
SIZE_ACCEPTED = "length x width x height inside, such as 400 x 300 x 250 mm or 16 x 12 x 10 in"
_NO_LAYERS: tuple[WallLayer, ...] = ()
_NO_BANDS: tuple[PostageBand, ...] = ()
_NO_STOPS: tuple[RouteStop, ...] = ()
_WEEKEND: tuple[int, ...] = (5, 6)
NONE_WORDS = ("none", "no", "-")
_TEMPERATURES = ("liner_below", "pack_below", "hold_below", "liner_above", "hold_above")
_THICK = r"\d[\d.,/ ]*\s*[a-z\"]*"


def rules_now() -> GrowerRules:
    """The grower's own rules of shipping; before any was said, those a new book starts with."""
    return queries.ship_rules() or USUAL_RULES


def room_of(grade: str, room: PlantRoom) -> float:
    """Litres that one wrapped plant of a grade takes in a box."""
    usual = {
        "small": (room.small_l, starting.PLANT_SMALL_L),
        "standard": (room.standard_l, starting.PLANT_STANDARD_L),
        "large": (room.large_l, starting.PLANT_LARGE_L),
    }
    own, start = usual.get(grade, usual["standard"])
    return start if own is None else own


def save_box_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a kind of box: name, size inside, walls, empty, most_plants, most, price, postage, at_hand."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    walls = sheet.needed("walls", lambda text: read_layers(text, nursery.units), _NO_LAYERS, WALLS_ACCEPTED)
    length, width, height = sheet.sides("size", 3, SIZE_ACCEPTED)
    empty_g = sheet.needed(
        "empty", lambda text: read_quantity_once(text, "mass", nursery.units, "empty"), 0.0,
        "the mass of the empty box such as 350 g",
    )  # fmt: skip
    most_g = sheet.quantity("most", "mass")
    fields = {
        "name": sheet.needed("name", str, "", "a name such as Small foam box"),
        "length_mm": length,
        "width_mm": width,
        "height_mm": height,
        "layers": walls,
        "empty_kg": empty_g / 1000.0,
        "most_plants": sheet.read("most_plants", _whole_plants, None),
        "most_kg": None if most_g is None else most_g / 1000.0,
        "cost_minor": sheet.read("price", lambda text: read_money(text, nursery.currency, "price"), 0),
        "postage": sheet.read(
            "postage", lambda text: read_postage(text, nursery.units, nursery.currency), _NO_BANDS
        ),
        "is_at_hand": is_at_hand(sheet),
    }
    sheet.finish()
    with sheet.writing(empty_kg="empty", most_kg="most", cost_minor="price", layers="walls"):
        return changes.save_box(key, who=who, **fields)


def save_liner_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a kind of liner: name, wall such as “foil bubble 4 mm”, price, at_hand."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    none: tuple[WallLayer, ...] = (WallLayer("foil bubble", 1.0),)
    layers = sheet.needed("wall", lambda text: read_layers(text, nursery.units, "wall"), none, WALLS_ACCEPTED)
    if len(layers) != 1:
        sheet.refuse("wall", "one layer such as “foil bubble 4 mm”")
    name = sheet.needed("name", str, "", "a name such as Foil liner")
    price = sheet.read("price", lambda text: read_money(text, nursery.currency, "price"), 0)
    sheet.finish()
    with sheet.writing(cost_minor="price", material="wall", thickness_mm="wall"):
        return changes.save_liner(
            key, who=who, name=name, material=layers[0].material, thickness_mm=layers[0].thickness_mm,
            cost_minor=price, is_at_hand=is_at_hand(sheet),
        )  # fmt: skip


def save_heat_pack_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a kind of heat pack: name, hours on its label, power where measured, price, at_hand."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    hours = sheet.needed(
        "hours", lambda text: read_quantity_once(text, "hours", nursery.units, "hours"), 1.0,
        "the hours on its label such as 40 h",
    )  # fmt: skip
    name = sheet.needed("name", str, "", "a name such as Heat pack 40 h")
    price = sheet.read("price", lambda text: read_money(text, nursery.currency, "price"), 0)
    power_w = sheet.quantity("power", "power")
    sheet.finish()
    with sheet.writing(label_h="hours", mean_w="power", cost_minor="price"):
        return changes.save_heat_pack(
            key, who=who, name=name, label_h=hours, mean_w=power_w, cost_minor=price,
            is_at_hand=is_at_hand(sheet),
        )  # fmt: skip


def save_route_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a way: name, place of the buyers, stops, hour of handing over, days on which nothing moves."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    fields = {
        "name": sheet.needed("name", str, "", "a name such as Northland by post"),
        "place": sheet.text("place"),
        "stops": sheet.read("stops", lambda text: read_stops(text, nursery.units), _NO_STOPS),
        "hand_over_h": sheet.number("hand_over", "hours", 16.0),
        "rest_days": sheet.read("rest_days", read_weekdays, _WEEKEND),
    }
    sheet.finish()
    with sheet.writing(hand_over_h="hand_over"):
        return changes.save_route(key, who=who, **fields)


def save_ship_rule_sheet(typed: Mapping[str, str], who: str) -> None:
    """Write the rules of shipping; an empty field or “none” is no rule, weekdays are those parcels leave."""
    nursery = queries.nursery()
    sheet = Sheet({name: "" if is_none(text) else text for name, text in typed.items()}, nursery.units)
    fields: dict[str, object] = {f"{name}_c": sheet.quantity(name, "temperature") for name in _TEMPERATURES}
    fields["most_days"] = sheet.read("most_days", _days, None)
    fields["most_packs"] = sheet.read("most_packs", _packs, None)
    fields["ship_weekdays"] = sheet.read("ship_weekdays", read_weekdays, USUAL_RULES.ship_weekdays)
    fields["over_weekend"] = sheet.text("over_weekend").lower() in ("on", "yes", "true", "1")
    for name in ("small", "standard", "large"):
        fields[f"{name}_l"] = sheet.quantity(name, "volume")
    fields["fill_frac"] = sheet.quantity("fill", "fraction")
    sheet.finish()
    with sheet.writing():
        changes.save_ship_rule(who=who, **fields)


def read_layers(text: str, units: str, field: str = "walls") -> tuple[WallLayer, ...]:
    """Layers of a wall as typed, each a material and its thickness."""
    layers = []
    for part in _parts(text):
        found = re.fullmatch(rf"(?P<material>.+?)\s+(?P<thick>{_THICK})", part, re.IGNORECASE)
        names = {name.casefold(): name for name in MATERIALS}
        material = names.get(" ".join(found["material"].casefold().split())) if found else None
        if found is None or material is None:
            raise RefusedInput(field, part, WALLS_ACCEPTED)
        thick_mm = read_quantity_once(found["thick"], "length", units, field)
        if thick_mm <= 0.0:
            raise RefusedInput(field, part, WALLS_ACCEPTED)
        layers.append(WallLayer(material, thick_mm))
    if not layers:
        raise RefusedInput(field, text, WALLS_ACCEPTED)
    return tuple(layers)


def read_postage(text: str, units: str, currency: str) -> tuple[PostageBand, ...]:
    """Bands of postage as typed."""
    bands = []
    for part in _parts(text):
        found = re.fullmatch(r"(?P<mass>\d[\d.,]*\s*[a-z]+)\s*:?\s*(?P<money>\d.*)", part, re.IGNORECASE)
        if found is None:
            raise RefusedInput("postage", part, POSTAGE_ACCEPTED)
        grams = read_quantity_once(found["mass"], "mass", units, "postage")
        bands.append(PostageBand(grams / 1000.0, read_money(found["money"], currency, "postage")))
    if any(one.most_kg >= then.most_kg for one, then in pairwise(bands)):
        raise RefusedInput("postage", text, POSTAGE_ACCEPTED)
    return tuple(bands)


def read_stops(text: str, units: str) -> tuple[RouteStop, ...]:
    """Stops of a way as typed."""
    stops = []
    for part in _parts(text):
        found = re.fullmatch(
            rf"(?P<place>.+?)[\s,:]+(?P<hours>\d[\d.,]*\s*[a-z]+)(?:[\s,]+(?P<kind>{'|'.join(LEG_KINDS)}))?",
            part, re.IGNORECASE,
        )  # fmt: skip
        if found is None:
            raise RefusedInput("stops", part, STOPS_ACCEPTED)
        hours = read_quantity_once(found["hours"], "hours", units, "stops")
        stops.append(RouteStop(found["place"].strip(), hours, (found["kind"] or "outside").lower()))
    return tuple(stops)


def read_weekdays(text: str) -> tuple[int, ...]:
    """Weekdays as typed; Monday is 0."""
    days = []
    for word in re.split(r"[\s,;]+", text.strip().casefold()):
        found = [n for n, name in enumerate(WEEKDAYS) if len(word) >= 2 and name.casefold().startswith(word)]
        if len(found) != 1:
            raise RefusedInput("weekdays", text, DAYS_ACCEPTED)
        days.append(found[0])
    return tuple(sorted(set(days)))


def read_box_size(text: str, units: str, field: str = "box") -> tuple[float, float, float]:
    """Length, width and height inside, as typed."""
    try:
        length, width, height = read_size(text, 3, field, system=units)
    except RefusedInput as refused:
        raise RefusedInput(field, text, SIZE_ACCEPTED) from refused
    return length, width, height


def show_layers(layers: Sequence[WallLayer]) -> str:
    """Layers as they would be typed."""
    return "; ".join(f"{one.material} {one.thickness_mm:g} mm" for one in layers)


def is_none(text: str) -> bool:
    """Was “none” typed?"""
    return str(text or "").strip().lower() in NONE_WORDS


def is_at_hand(sheet: Sheet) -> bool:
    """At hand unless it was said that it is not; a form with the tick box says so by `has_at_hand`."""
    if sheet.text("at_hand"):
        return not is_none(sheet.text("at_hand"))
    return not sheet.text("has_at_hand")


def _parts(text: str) -> list[str]:
    return [part.strip() for part in re.split(r"[;\n]", text) if part.strip()]


def _whole_plants(text: str) -> int:
    if not re.fullmatch(r"[1-9]\d{0,3}", text):
        raise RefusedInput("most_plants", text, "a whole number of plants from 1")
    return int(text)


def _packs(text: str) -> int:
    if not re.fullmatch(r"\d{1,2}", text):
        raise RefusedInput("most_packs", text, "a whole number of heat packs from 0")
    return int(text)


def _days(text: str) -> float:
    if not re.fullmatch(r"\d{1,2}([.,]\d+)?", text):
        raise RefusedInput("most_days", text, "days such as 3")
    return float(text.replace(",", "."))
