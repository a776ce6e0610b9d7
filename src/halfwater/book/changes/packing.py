"""What is at hand for packing: boxes, liners, heat packs, ways, and the grower's rules of shipping."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date
from itertools import pairwise
from typing import Any

from halfwater.book.changes import checks
from halfwater.book.changes.door import one_write
from halfwater.book.changes.saving import save_row
from halfwater.book.models import BoxKind, HeatPackKind, LinerKind, Parcel, Route, ShipRule
from halfwater.book.models.kept import key_named
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.transit import LEG_KINDS, Leg, PostageBand, RouteStop, WallLayer

_MOST_MINOR = 1_000_000_000
_MOST_PARTS = 60
_SIDE = checks.number("a length above 0 and up to 5 m", 0, 5000, above=True)
_MASS = checks.number("a mass from 0 to 100 kg", 0, 100)
_MAYBE_MASS = checks.number("a mass above 0 and up to 100 kg", 0, 100, above=True, none=True)
MONEY = checks.whole("money from 0, in the smallest coin", 0, _MOST_MINOR)
_THICK = checks.number("a thickness above 0 and up to 200 mm", 0, 200, above=True)
_MATERIAL = checks.words("a material of 1 to 40 signs", 40, needed=True)
_MAYBE_TEMP = checks.number("a temperature from -60 to 70 C", -60, 70, none=True)
_TEMP = checks.number("a temperature from -60 to 70 C", -60, 70)
_SPAN = checks.number("hours above 0 and up to 720", 0, 720, above=True)
_CLOCK = checks.number("an hour from 0 up to 24", 0, 24)
_PLACE = checks.words("a place of at most 80 signs", 80)
_KIND = checks.one_of(LEG_KINDS)
_SHARE = checks.number("a share above 0, at most 1", 0, 1, above=True, none=True)
_ROOM = checks.number("litres above 0 and up to 100", 0, 100, above=True, none=True)


def _layers(field: str, value: Sequence[WallLayer]) -> list[dict[str, Any]]:
    maybe = checks.number("a conductivity above 0 and up to 5 W/mK", 0, 5, above=True, none=True)
    return [
        {
            "material": _MATERIAL(field, one.material),
            "thickness_mm": _THICK(field, one.thickness_mm),
            "conductivity_w_mk": maybe(field, one.conductivity_w_mk),
        }
        for one in _some(field, value)
    ]


def _bands(field: str, value: Sequence[PostageBand]) -> list[dict[str, Any]]:
    heavy = checks.number("a mass above 0 and up to 100 kg", 0, 100, above=True)
    bands = [
        {"most_kg": heavy(field, one.most_kg), "cost_minor": MONEY(field, one.cost_minor)}
        for one in _some(field, value)
    ]
    if any(one["most_kg"] >= then["most_kg"] for one, then in pairwise(bands)):
        raise RefusedInput(field, len(bands), "bands of postage, the lightest first")
    return bands


def _stops(field: str, value: Sequence[RouteStop]) -> list[dict[str, Any]]:
    return [
        {
            "place": _PLACE(field, one.place),
            "span_h": _SPAN(field, one.span_h),
            "kind": _KIND(field, one.kind),
        }
        for one in _some(field, value)
    ]


def sound_legs(field: str, value: Sequence[Leg]) -> list[dict[str, Any]]:
    """Legs of a way as the book keeps them."""
    for one in _some(field, value):
        _PLACE(field, one.name)
        _SPAN(field, one.span_h)
        _TEMP(field, one.low_c)
        _TEMP(field, one.high_c)
        _CLOCK(field, one.clock_h)
        _KIND(field, one.kind)
        if one.low_c > one.high_c:
            raise RefusedInput(field, f"{one.low_c:g} to {one.high_c:g} C", "the lowest first", one.name)
    return [asdict(one) for one in value]


def weekdays(field: str, value: Sequence[int]) -> list[int]:
    """Weekdays, Monday is 0."""
    whole = checks.whole("weekdays from 0 (Monday) to 6", 0, 6)
    return sorted({whole(field, one) for one in value})


def _day_or_none(field: str, value: Any) -> date | None:
    return None if value is None else checks.day(field, value)


def _some(field: str, value: Any) -> Sequence[Any]:
    if len(value) > _MOST_PARTS:
        raise RefusedInput(field, len(value), f"at most {_MOST_PARTS} of them")
    return tuple(value)


_BOX: Mapping[str, checks.Check] = {
    "name": checks.NAME,
    "length_mm": _SIDE,
    "width_mm": _SIDE,
    "height_mm": _SIDE,
    "layers": _layers,
    "empty_kg": _MASS,
    "most_plants": checks.whole("a whole number of plants from 1", 1, 10_000, none=True),
    "most_kg": _MAYBE_MASS,
    "cost_minor": MONEY,
    "postage": _bands,
    "is_at_hand": checks.flag,
}
_LINER: Mapping[str, checks.Check] = {
    "name": checks.NAME,
    "material": _MATERIAL,
    "thickness_mm": _THICK,
    "cost_minor": MONEY,
    "is_at_hand": checks.flag,
}
_PACK: Mapping[str, checks.Check] = {
    "name": checks.NAME,
    "label_h": checks.number("hours above 0 and up to 240", 0, 240, above=True),
    "mean_w": checks.number("watts above 0 and up to 50", 0, 50, above=True, none=True),
    "cost_minor": MONEY,
    "is_at_hand": checks.flag,
}
_ROUTE: Mapping[str, checks.Check] = {
    "name": checks.NAME,
    "place": _PLACE,
    "stops": _stops,
    "hand_over_h": checks.number("an hour from 0 up to 23.99", 0, 23.99),
    "rest_days": weekdays,
    "legs": sound_legs,
    "legs_on": _day_or_none,
}
_RULE: Mapping[str, checks.Check] = {
    "liner_below_c": _MAYBE_TEMP,
    "pack_below_c": _MAYBE_TEMP,
    "hold_below_c": _MAYBE_TEMP,
    "liner_above_c": _MAYBE_TEMP,
    "hold_above_c": _MAYBE_TEMP,
    "most_days": checks.number("days above 0 and up to 30", 0, 30, above=True, none=True),
    "most_packs": checks.whole("a whole number of packs from 0", 0, 20, none=True),
    "ship_weekdays": weekdays,
    "over_weekend": checks.flag,
    "small_l": _ROOM,
    "standard_l": _ROOM,
    "large_l": _ROOM,
    "fill_frac": _SHARE,
}


@one_write
def save_box(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a kind of box (name, sides inside, layers, empty_kg, most_*, cost_minor, postage, is_at_hand)."""
    needed = ("name", "length_mm", "width_mm", "height_mm", "layers", "empty_kg")
    return int(save_row(BoxKind, key, fields, _BOX, needed, who))


@one_write
def save_liner(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a kind of liner (name, material, thickness_mm, cost_minor, is_at_hand) and give its key."""
    return int(save_row(LinerKind, key, fields, _LINER, ("name", "material", "thickness_mm"), who))


@one_write
def save_heat_pack(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a kind of heat pack (name, label_h, mean_w, cost_minor, is_at_hand) and give its key."""
    return int(save_row(HeatPackKind, key, fields, _PACK, ("name", "label_h"), who))


@one_write
def save_route(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a way (name, place, stops, hand_over_h, rest_days, legs with the day they are of), give its key.

    Without a key, a way that has the name already is the one that is written.
    """
    if key is None and isinstance(fields.get("name"), str):
        key = key_named(Route, fields["name"])
    return int(save_row(Route, key, fields, _ROUTE, ("name",), who))


@one_write
def remove_route(key: int, *, who: str) -> None:
    """Take a way out of the book; parcels that took it keep their legs."""
    if not Route.objects.filter(pk=key).delete()[0]:
        raise RefusedInput("route", key, "the key of a way in the book")


@one_write
def save_ship_rule(*, who: str, **fields: Any) -> None:
    """Write the grower's own rules of shipping; a rule of None is no rule."""
    row, _ = ShipRule.objects.get_or_create(pk=1)
    save_row(ShipRule, row.pk, fields, _RULE, (), who)


@one_write
def remove_kind(noun: str, key: int, *, who: str) -> None:
    """Take a kind of box, liner or heat pack out of the book, while no parcel is or was packed with it."""
    model, column = _KINDS[noun]
    row = model._default_manager.select_for_update().filter(pk=key).first()
    if row is None:
        raise RefusedInput(noun, key, f"the key of a {noun} in the book")
    if Parcel.objects.filter(**{column: key}).exists():
        raise RefusedByBook(
            f"Parcels were packed with {row}: it stays in the book; say that it is not at hand.", str(row)
        )
    row.changed_by = who  # type: ignore[attr-defined]
    row.delete()


_KINDS: Mapping[str, tuple[Any, str]] = {
    "box": (BoxKind, "box"),
    "liner": (LinerKind, "liner"),
    "heat pack": (HeatPackKind, "pack"),
}
