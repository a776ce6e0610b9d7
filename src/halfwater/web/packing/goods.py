"""Boxes, liners, heat packs, ways and the grower's own rules: listed, added and changed."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds import packing_goods as goods_deeds
from halfwater.errors import HalfwaterError
from halfwater.plain.figures import bare_money, show
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.requests import WHO
from halfwater.web.sheets import FormPage, Sheet


@dataclass(frozen=True, slots=True)
class Good:
    """A box, liner, heat pack or way as it is listed."""

    name: str
    url: str
    about: str


@dataclass(frozen=True, slots=True)
class Goods:
    """All of one kind."""

    title: str
    add_url: str
    lines: tuple[Good, ...]


@dataclass(frozen=True, slots=True)
class GoodsPage:
    """What parcels are packed with, and the rule that holds them back."""

    answer: str
    rules: str
    kinds: tuple[Goods, ...]


def goods(request: HttpRequest) -> HttpResponse:
    """What parcels are packed with."""
    units = queries.nursery().units
    boxes = [
        (one.key, one.box.name, f"{one.box.inside_l:.0f} L, {goods_deeds.show_layers(one.box.layers)}")
        for one in queries.box_kinds()
    ]
    liners = [
        (one.key, one.liner.name, goods_deeds.show_layers((one.liner.layer,)))
        for one in queries.liner_kinds()
    ]
    packs = [(one.key, one.pack.name, f"{one.pack.label_h:g} h") for one in queries.heat_packs()]
    ways = [(one.key, one.name, f"to {one.place}" if one.place else "any place") for one in queries.routes()]
    kinds = (
        _listed("Boxes", "box", boxes), _listed("Liners", "liner", liners),
        _listed("Heat packs", "pack", packs), _listed("Ways", "way", ways),
    )  # fmt: skip
    missing = "" if boxes else "Write down a kind of box first: the verdicts need its size and walls."
    rules = goods_deeds.rules_now()
    hold = (
        f"Hold back below {show(rules.hold_below_c, 'c', units)}." if rules.hold_below_c is not None else ""
    )
    count = "1 kind of box is" if len(boxes) == 1 else f"{len(boxes)} kinds of box are"
    page = GoodsPage(missing or f"{count} written down.", hold, kinds)
    return render(request, "packing/goods.html", {"page": page})


def good(request: HttpRequest, kind: str, key: int | None = None) -> HttpResponse:
    """Write one kind of box, liner, heat pack, or a way."""
    if kind not in _SHEETS:
        raise Http404
    noun, make, save = _SHEETS[kind]
    form = make(key)
    return _sheet(request, form, noun, lambda typed: save(typed, WHO, key))


def rules(request: HttpRequest) -> HttpResponse:
    """The grower's own rules; they only ever add caution."""
    return _sheet(
        request, rules_form(), "rules of shipping", lambda typed: goods_deeds.save_ship_rule_sheet(typed, WHO)
    )


def box_form(key: int | None) -> Form:
    """A kind of box."""
    one = next((kind.box for kind in queries.box_kinds() if kind.key == key), None)
    currency = queries.nursery().currency
    mass = unit_of("mass", "")
    if key is not None and one is None:
        raise Http404
    bands = "; ".join(
        f"{band.most_kg:g} kg {bare_money(band.cost_minor, currency)}"
        for band in (one.postage if one else ())
    )
    size = f"{one.length_mm:g} x {one.width_mm:g} x {one.height_mm:g} mm" if one else ""
    most = f"{one.most_plants}" if one and one.most_plants is not None else ""
    fields = (
        Field("name", "Name", one.name if one else ""),
        Field("size", "Size inside", size, help=_such(goods_deeds.SIZE_ACCEPTED)),
        Field("walls", "Walls", goods_deeds.show_layers(one.layers) if one else "", is_wide=True,
              help=_such(goods_deeds.WALLS_ACCEPTED)),
        Field("empty", "Weighs empty", mass.text(1000 * one.empty_kg) if one else "", mass.sign,
              inputmode="decimal"),
        Field("most_plants", "Most plants", most, is_optional=True, inputmode="numeric"),
        Field("most", "Most weight", mass.text(1000 * one.most_kg) if one and one.most_kg else "", mass.sign,
              is_optional=True, inputmode="decimal"),
        Field("price", "Price", bare_money(one.cost_minor, currency) if one else "", currency,
              is_optional=True, inputmode="decimal"),
        Field("postage", "Postage", bands, is_optional=True, is_wide=True,
              help=_such(goods_deeds.POSTAGE_ACCEPTED)),
        *_at_hand([kind for kind in queries.box_kinds() if kind.key == key]),
    )  # fmt: skip
    return Form(fields)


def liner_form(key: int | None) -> Form:
    """A kind of liner."""
    found = [kind for kind in queries.liner_kinds() if kind.key == key]
    one = _one(found).liner if key is not None else None
    currency = queries.nursery().currency
    return Form((
        Field("name", "Name", one.name if one else ""),
        Field("wall", "Layer", goods_deeds.show_layers((one.layer,)) if one else "",
              help="Such as foil bubble 4 mm."),
        Field("price", "Price", bare_money(one.cost_minor, currency) if one else "", currency,
              is_optional=True, inputmode="decimal"),
        *_at_hand(found),
    ))  # fmt: skip


def pack_form(key: int | None) -> Form:
    """A kind of heat pack."""
    found = [kind for kind in queries.heat_packs() if kind.key == key]
    one = _one(found).pack if key is not None else None
    currency = queries.nursery().currency
    return Form((
        Field("name", "Name", one.name if one else ""),
        Field("hours", "Hours on its label", f"{one.label_h:g}" if one else "", "h", inputmode="decimal"),
        Field("power", "Mean power", f"{one.mean_w:g}" if one and one.mean_w else "", "W", is_optional=True,
              help="Where it was measured.", inputmode="decimal"),
        Field("price", "Price", bare_money(one.cost_minor, currency) if one else "", currency,
              is_optional=True, inputmode="decimal"),
        *_at_hand(found),
    ))  # fmt: skip


def way_form(key: int | None) -> Form:
    """A way of parcels."""
    one = _one([way for way in queries.routes() if way.key == key]) if key is not None else None
    stops = "; ".join(f"{stop.place} {stop.span_h:g} h {stop.kind}" for stop in (one.stops if one else ()))
    return Form((
        Field("name", "Name", one.name if one else "", help="Such as Northland by post."),
        Field("place", "Place of the buyers", one.place if one else "", is_optional=True,
              help="Orders to this place take this way."),
        Field("stops", "Stops", stops, is_optional=True, is_wide=True,
              help=_such(goods_deeds.STOPS_ACCEPTED)),
        Field("hand_over", "Handed over at", f"{one.hand_over_h:g}" if one else "16", "h",
              inputmode="decimal"),
        Field("rest_days", "Nothing moves on", _days(one.rest_days if one else (5, 6)), is_optional=True),
    ))  # fmt: skip


def rules_form() -> Form:
    """The rules as they stand."""
    rule = goods_deeds.rules_now()
    unit = unit_of("temperature", queries.nursery().units)
    degrees = (
        ("liner_below", "Liner when colder than"), ("pack_below", "Heat pack when colder than"),
        ("hold_below", "Hold back when colder than"), ("liner_above", "Liner when warmer than"),
        ("hold_above", "Hold back when warmer than"),
    )  # fmt: skip
    return Form((
        *(Field(name, text, unit.text(getattr(rule, f"{name}_c")), unit.sign, is_optional=True)
          for name, text in degrees),
        Field("most_days", "Most days in the box", "" if rule.most_days is None else f"{rule.most_days:g}",
              is_optional=True, inputmode="decimal"),
        Field("most_packs", "Most heat packs", "" if rule.most_packs is None else f"{rule.most_packs}",
              is_optional=True, inputmode="numeric"),
        Field("ship_weekdays", "Days parcels leave", _days(rule.ship_weekdays), is_wide=True,
              help=_such(goods_deeds.DAYS_ACCEPTED)),
        Field("over_weekend", "A parcel may lie over days of rest", "yes" if rule.over_weekend else "",
              type="tick", is_wide=True),
    ))  # fmt: skip


_SHEETS: Mapping[str, tuple[str, Callable[[int | None], Form], Callable[..., int]]] = {
    "box": ("box", box_form, goods_deeds.save_box_sheet),
    "liner": ("liner", liner_form, goods_deeds.save_liner_sheet),
    "pack": ("heat pack", pack_form, goods_deeds.save_heat_pack_sheet),
    "way": ("way", way_form, goods_deeds.save_route_sheet),
}


def _sheet(
    request: HttpRequest, form: Form, noun: str, save: Callable[[dict[str, str]], object]
) -> HttpResponse:
    if request.method == "POST":
        try:
            save(form.read(request.POST))
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
        else:
            messages.success(request, "Kept.")
            return redirect("packing-goods")
    page = FormPage(noun[0].upper() + noun[1:], (Sheet(form, f"Keep the {noun}"),), back="Boxes and packs",
                    back_url=reverse("packing-goods"))  # fmt: skip
    return render(request, "shared/form.html", {"page": page}, status=422 if form.is_refused else 200)


def _listed(title: str, kind: str, rows: list[tuple[int, str, str]]) -> Goods:
    lines = tuple(Good(name, reverse("packing-good", args=[kind, key]), about) for key, name, about in rows)
    return Goods(title, reverse("packing-good-new", args=[kind]), lines)


def _one(found: Sequence[Any]) -> Any:
    if not found:
        raise Http404
    return found[0]


def _at_hand(found: Sequence[Any]) -> tuple[Field, ...]:
    at_hand = not found or found[0].is_at_hand
    return (
        Field("has_at_hand", "", "yes", type="hidden"),
        Field("at_hand", "At hand", "yes" if at_hand else "", type="tick", is_wide=True),
    )


def _days(days: tuple[int, ...]) -> str:
    return ", ".join(goods_deeds.WEEKDAYS[day] for day in days)


def _such(accepted: str) -> str:
    return f"{accepted[0].upper()}{accepted[1:]}."
