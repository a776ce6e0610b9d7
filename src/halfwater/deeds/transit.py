"""Advice for a parcel described on the spot: its way, its box, its plants."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from halfwater.book import queries
from halfwater.deeds.arrivals import known_parcel
from halfwater.deeds.cells import read_quantity_once
from halfwater.deeds.clock import local_day
from halfwater.deeds.packing_goods import WALLS_ACCEPTED, is_none, read_box_size, read_layers, room_of
from halfwater.deeds.parcel_advice import NO_BOX, NO_WEATHER, advice_for, bench_now, load_of_litres
from halfwater.deeds.prices import taxon_named
from halfwater.deeds.ship_weather import weather_of
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.figures import show_list
from halfwater.plain.stock import GRADES, TaxonFacts
from halfwater.plain.transit import (
    HeatPack,
    Leg,
    Liner,
    PackingBench,
    ShippingBox,
    TransitAdvice,
    TransitLimits,
)
from halfwater.planning.shipping import advise_parcel
from halfwater.planning.transit_limits import limits_of

BOX_ACCEPTED = (
    "a box of yours by name, or its size inside and walls such as “400 x 300 x 250 mm, EPS I 25 mm”"
)
EMPTY_KG = 0.5  # of a box described by its walls alone; only the parcel's weight hangs on it


@dataclass(frozen=True, slots=True)
class TypedParcel:
    """A parcel as typed in a terminal; what is left empty is taken from the book, or as usual."""

    legs: str | bytes
    box: str = ""  # name, or size and walls; empty: the first at hand
    plants: str = "1"
    grade: str = "standard"
    taxa: tuple[str, ...] = ()
    liner: str = ""  # such as "foil bubble 4 mm", or none; empty: what is at hand
    pack: str = ""  # hours on the label such as 40 h, or none; empty: what is at hand


def advise(typed: TypedParcel, now: datetime) -> TransitAdvice:
    """Ship, liner, heat pack or hold, for a parcel as typed."""
    nursery = queries.nursery()
    units = nursery.units
    legs = weather_of(typed.legs, units)
    box = box_meant(typed.box, units)
    plants = _plants(typed.plants)
    if typed.grade not in GRADES:
        raise RefusedInput("grade", typed.grade, f"one of {', '.join(GRADES)}")
    litres = plants * room_of(typed.grade, queries.plant_room())
    bench = _bench(typed, units)
    load = load_of_litres(plants, litres, box)
    seed = local_day(now, nursery).toordinal()
    found = advise_parcel(box, load, legs, limits_meant(typed.taxa), seed, bench, units)
    return replace(found, cautions=(*_unknown(typed.taxa), *found.cautions))


def advise_known(parcel: int, legs: str | bytes = "") -> TransitAdvice:
    """Advice for a parcel on the bench, on other weather where it is typed."""
    facts, units = known_parcel(parcel), queries.nursery().units
    if legs:
        own: tuple[Leg, ...] = weather_of(legs, units)
        facts = replace(facts, legs=own)
    found = advice_for(facts, units)
    if found is None:
        raise RefusedByBook(NO_BOX if facts.box is None else NO_WEATHER, str(parcel))
    return found


def box_meant(typed: str, units: str) -> ShippingBox:
    """A box of the book by its name, or one described by size and walls; empty: the first at hand."""
    known = {one.box.name.casefold(): one.box for one in queries.box_kinds()}
    if not typed.strip():
        at_hand = queries.box_kinds(at_hand_only=True)
        if not at_hand:
            raise RefusedInput("box", "", BOX_ACCEPTED)
        return at_hand[0].box
    if typed.strip().casefold() in known:
        return known[typed.strip().casefold()]
    size, _, walls = typed.partition(",")
    if not walls.strip():
        names = f"; yours: {', '.join(known)}" if known else ""
        raise RefusedInput("box", typed, BOX_ACCEPTED + names)
    length, width, height = read_box_size(size, units)
    layers = read_layers(walls.replace(",", ";"), units, "box")
    return ShippingBox("box", length, width, height, layers, EMPTY_KG)


def limits_meant(taxa: Sequence[str]) -> tuple[TransitLimits, ...]:
    """What the named taxa stand; a name the book knows brings its group."""
    if not taxa:
        return (limits_of("plants"),)
    known = {name: _taxon(name) for name in taxa}
    return tuple(
        limits_of(name.strip()) if one is None else limits_of(one.name, one.group)
        for name, one in known.items()
    )


def _taxon(typed: str) -> TaxonFacts | None:
    """The taxon that is meant, of your stock first; None where none is called so. Several are refused."""
    try:
        return taxon_named(typed)
    except RefusedInput:
        asked = typed.strip().casefold()
        part = [one for one in queries.taxa() if asked in one.name.casefold()]
        if len(part) > 1 or not asked:
            accepted = f"one taxon: {show_list([one.name for one in part[:6]])}"
            raise RefusedInput("taxon", typed, accepted) from None
        return part[0] if part else None


def _unknown(taxa: Sequence[str]) -> tuple[str, ...]:
    """What is said of names that the book does not know."""
    return tuple(
        f"No taxon is called {name.strip()}: it is judged by the limits of plants in general."
        for name in taxa
        if _taxon(name) is None
    )


def _bench(typed: TypedParcel, units: str) -> PackingBench:
    bench = bench_now(units)
    if is_none(typed.liner):
        bench = replace(bench, liner=None)
    elif typed.liner.strip():
        layers = read_layers(typed.liner, units, "liner")
        if len(layers) != 1:
            raise RefusedInput("liner", typed.liner, WALLS_ACCEPTED)
        bench = replace(bench, liner=Liner("liner", layers[0]))
    if is_none(typed.pack):
        bench = replace(bench, pack=None)
    elif typed.pack.strip():
        hours = read_quantity_once(typed.pack, "hours", units, "pack")
        if not 0.0 < hours <= 240.0:
            raise RefusedInput("pack", typed.pack, "the hours on its label such as 40 h")
        bench = replace(bench, pack=HeatPack("heat pack", hours))
    return bench


def _plants(text: str) -> int:
    if not text.isdecimal() or not 1 <= len(text) <= 4 or not int(text):
        raise RefusedInput("plants", text, "a whole number of plants from 1 to 9999")
    return int(text)
