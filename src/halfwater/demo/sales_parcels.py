"""Parcels of Fennhollow: boxes, ways and weather, and how the plants came out of the box in truth."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID

import numpy as np
from numpy.random import Generator

from halfwater.demo.nursery import BOOK_DAYS
from halfwater.demo.sales import LEAVES_AT, PACKED_AT, PAST, Release, SoldOrder
from halfwater.demo.sales_buyers import BUYERS, PLACES
from halfwater.demo.truth import Floats
from halfwater.plain.packing import ArrivalNote
from halfwater.plain.transit import HeatPack, Leg, Liner, PostageBand, RouteStop, ShippingBox, WallLayer

_BANDS = (PostageBand(2.0, 549), PostageBand(5.0, 699), PostageBand(10.0, 1049))
CARTON = ShippingBox(
    "plain carton", 300.0, 220.0, 160.0, (WallLayer("cardboard", 5.0),), 0.22, 8, 5.0, 85, _BANDS
)
FOAM = ShippingBox(
    "foam box in a carton", 330.0, 240.0, 200.0, (WallLayer("EPS I", 25.0), WallLayer("cardboard", 4.0)),
    0.48, 12, 10.0, 290, _BANDS,
)  # fmt: skip
LINER = Liner("foil cushion", WallLayer("foil bubble", 4.0), 60)
PACKS = (HeatPack("warmer 40 h", 40.0, None, 120), HeatPack("warmer 72 h", 72.0, None, 160))
SHIP_RULES = {"hold_below_c": -8.0, "pack_below_c": 4.0, "most_packs": 2, "ship_weekdays": (0, 1, 2)}
ROUTES: dict[str, tuple[RouteStop, ...]] = {
    place: (
        RouteStop("Fennhollow depot", hall_h, "indoors"),
        RouteStop("on the road", road_h, "vehicle"),
        RouteStop(place, 8.0, "vehicle"),
    )
    for place, hall_h, road_h in zip(
        PLACES, (7.0, 9.0, 14.0, 10.0, 8.0), (5.0, 6.0, 9.0, 7.0, 5.0), strict=True
    )
}
HAND_OVER_H = 16.0
TYPED_SINCE = PAST - 1  # from this release on the weather was typed for every parcel
LOGGED_FRAC = 0.35
# Hidden: how the boxes truly keep warmth, what plants truly stand, what goes wrong without any cold.
HOLDS_H = {CARTON.name: 4.5, FOAM.name: 13.0}
LINER_H, PACK_C = 1.5, 6.0
STANDS_C, STANDS_SPREAD_C = 6.0, 0.8
BREAKS_FRAC, LATE_FRAC = 0.015, 0.08
SPOILT_IN, HALL_C = PAST - 1, 1.0  # a parcel of the last release lay in a chilled hall


@dataclass(frozen=True, slots=True)
class SentParcel:
    """A parcel with all plants of an order: on the bench, on its way, or arrived."""

    number: int
    uuid: UUID
    order: SoldOrder
    plants: tuple[int, ...]  # places among the plants
    place: str
    box: ShippingBox
    has_liner: bool
    packs: int
    legs: tuple[Leg, ...]  # as forecast; empty: nobody typed it
    ship_day: int
    started: float  # day of the book
    packed: int  # how many are in the box
    coldest_c: float = 0.0  # in truth
    arrival: ArrivalNote | None = None
    arrived_day: int | None = None

    @property
    def is_sent(self) -> bool:
        """Whether it left before the book ends."""
        return self.ship_day < BOOK_DAYS

    @property
    def plants_kg(self) -> float:
        """What the wrapped plants weigh."""
        return 0.11 * len(self.plants)

    @property
    def weight_kg(self) -> float:
        """On the scales."""
        return round(self.plants_kg + 0.2 + self.box.empty_kg, 2)

    @property
    def postage_paid_minor(self) -> int:
        """By the weight."""
        return next(band.cost_minor for band in _BANDS if self.weight_kg <= band.most_kg)


def parcels_of(rng: Generator, first_on: date, releases: Sequence[Release]) -> tuple[SentParcel, ...]:
    """A parcel for every order that left, and one begun for the first that waits."""
    found: list[SentParcel] = []
    spoilt = _spoilt(releases)
    for release in releases:
        for order in sorted(release.orders, key=lambda one: (one.ship_day or 0, one.number)):
            if order.cancelled is None and order.ship_day is not None:
                is_first = release.is_open and not order.is_sent
                if is_first and found and not found[-1].is_sent:
                    continue
                pots = release.pots_of(release.orders.index(order))
                plants = [pot.plant for pot in pots]
                number = len(found) + 1
                found.append(_parcel(rng, number, first_on, release, order, plants, order is spoilt))
    return tuple(found)


def _spoilt(releases: Sequence[Release]) -> SoldOrder | None:
    """The order whose parcel went wrong: the largest of the first ship day of its release."""
    orders = [one for one in releases[SPOILT_IN].orders if one.is_sent]
    return max(orders, key=lambda one: sum(row.plants for row in one.lines), default=None)


def _parcel(
    rng: Generator, number: int, first_on: date, release: Release, order: SoldOrder, plants: Sequence[int],
    is_spoilt: bool,
) -> SentParcel:  # fmt: skip
    place, day = BUYERS[order.buyer].place, order.ship_day or 0
    on = first_on + timedelta(days=day)
    legs = forecast(rng, on, place)
    low = min(leg.low_c for leg in legs)
    box = FOAM if low < 8.0 or len(plants) > (CARTON.most_plants or 0) else CARTON
    packs = int(low < SHIP_RULES["pack_below_c"])  # type: ignore[operator]
    sent = SentParcel(
        number, UUID(bytes=rng.bytes(16), version=4), order, tuple(plants), place, box, low < 5.0, packs,
        legs if release.number >= TYPED_SINCE else (), day, day + PACKED_AT,
        len(plants) if day < BOOK_DAYS else len(plants) // 2,
    )  # fmt: skip
    return _arrived(rng, sent, legs, on, is_spoilt) if sent.is_sent else _begun(sent)


def _begun(parcel: SentParcel) -> SentParcel:
    """On the bench since last evening, whatever day it leaves."""
    return replace(parcel, started=BOOK_DAYS - 1.5 / 24)


def forecast(rng: Generator, on: date, place: str) -> tuple[Leg, ...]:
    """What is said of the weather of a way."""
    winter = np.cos(2 * np.pi * (on.timetuple().tm_yday - 20) / 365.25)
    mean = 10.0 - 9.0 * winter + float(rng.normal(0, 2.5))
    half = float(rng.uniform(2.5, 5.0))
    clock, legs = HAND_OVER_H, []
    for stop in ROUTES[place]:
        warm = 6.0 if stop.kind == "indoors" else 1.0
        spread = 0.3 if stop.kind == "indoors" else 1.0
        legs.append(
            Leg(
                stop.place, stop.span_h, round(mean + warm - half * spread, 1),
                round(mean + warm + half * spread, 1), clock % 24, stop.kind, 1.0,
            )
        )  # fmt: skip
        clock += stop.span_h
    return tuple(legs)


def coldest_inside_c(legs: Iterable[Leg], error_c: float, holds_h: float, heat_c: float) -> float:
    """The lowest temperature among the plants: a box that follows the weather hour by hour. [C]"""
    outside: list[Floats] = []
    for leg in legs:
        hours = leg.clock_h + np.arange(round(leg.span_h * 4)) / 4
        swing = -np.cos(2 * np.pi * (hours - 5.0) / 24)  # coldest at five
        outside.append((leg.low_c + leg.high_c) / 2 + (leg.high_c - leg.low_c) / 2 * swing + error_c)
    inside, lowest = 20.0, 20.0
    for temp_c in np.concatenate(outside):
        inside += (float(temp_c) + heat_c - inside) * 0.25 / holds_h
        lowest = min(lowest, inside)
    return lowest


def _arrived(
    rng: Generator, sent: SentParcel, legs: tuple[Leg, ...], on: date, is_spoilt: bool
) -> SentParcel:
    """The parcel with its arrival, where that was told before the book ends."""
    late = 2 if is_spoilt else int(rng.random() < LATE_FRAC)
    if is_spoilt:
        legs = (*legs, Leg("chilled hall", 40.0, HALL_C, HALL_C, 0.0, "indoors"))
    elif late:
        legs = (*legs, replace(legs[0], span_h=24.0))
    holds = HOLDS_H[sent.box.name] + LINER_H * sent.has_liner
    coldest = coldest_inside_c(legs, float(rng.normal(0, 1.2)), holds, PACK_C * sent.packs * (not is_spoilt))
    plants = len(sent.plants)
    harmed = int(rng.binomial(plants, 1 / (1 + np.exp((coldest - STANDS_C) / STANDS_SPREAD_C))))
    dead = harmed if is_spoilt else int(rng.binomial(harmed, 0.5))
    broken = int(rng.binomial(plants - harmed, BREAKS_FRAC))
    day = sent.ship_day + 1 + late
    is_logged = is_spoilt or rng.random() < LOGGED_FRAC
    is_told = is_spoilt or rng.random() < 0.9
    sent = replace(sent, coldest_c=coldest)
    if day >= BOOK_DAYS or not is_told:
        return sent
    note = ArrivalNote(
        on + timedelta(days=1 + late), plants - dead, min(harmed - dead + broken, plants - dead), float(late),
        round(coldest + float(rng.normal(0, 0.3)), 1) if is_logged else None, None,
        "Lay two nights in a chilled hall; leaves glassy, plants lost to cold." if is_spoilt else "",
    )  # fmt: skip
    return replace(sent, arrival=note, arrived_day=day)


def arrived_at(parcel: SentParcel) -> float | None:
    """The instant the buyer told of it, as a day of the book."""
    return None if parcel.arrived_day is None else parcel.arrived_day + 18.5 / 24


def sent_at(parcel: SentParcel) -> float | None:
    """The instant it left, as a day of the book."""
    return parcel.ship_day + LEAVES_AT if parcel.is_sent else None
