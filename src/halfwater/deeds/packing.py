"""The packing bench: parcels of a ship day, filled plant by plant in walking order, sent or held back."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid5

from halfwater.book import changes, queries
from halfwater.deeds.arrivals import known_parcel
from halfwater.deeds.clock import local_day
from halfwater.deeds.orders import known_order
from halfwater.deeds.packing_goods import rules_now
from halfwater.deeds.parcel_advice import (
    NO_BOX,
    NO_WEATHER,
    advice_for,
    load_of,
    said_of,
    to_pack,
    verdict_of,
    weight_of,
)
from halfwater.deeds.parcel_sheet import parcel_fields, remember_way, sent_fields
from halfwater.deeds.sheet import Sheet
from halfwater.errors import HalfwaterError, RefusedByBook
from halfwater.plain.figures import show_date
from halfwater.plain.packing import ParcelFacts, ParcelItem
from halfwater.plain.selling import BuyerFacts, OrderFacts
from halfwater.plain.transit import Measure, ParcelPlan, TransitAdvice
from halfwater.planning.parcels import plan_parcels
from halfwater.planning.transit_words import CAUTIONS

WAITING = ("placed", "paid", "packed")
HELD_BACK = "Tick that you send it all the same, or hold it back: "
_ANYWAY = ("on", "yes", "true", "1")


@dataclass(frozen=True, slots=True)
class PickStop:
    """One plant to fetch, where it stands, and the parcel it goes into."""

    item: ParcelItem
    parcel: int | None  # None: in no parcel yet


@dataclass(frozen=True, slots=True)
class OrderToPack:
    """An order of the day, with how it would best be parcelled."""

    order: OrderFacts
    in_no_parcel: tuple[ParcelItem, ...]
    plan: ParcelPlan | None  # of the plants in no parcel yet
    why: str = ""  # why there is no plan


@dataclass(frozen=True, slots=True)
class ParcelToPack:
    """A parcel on the bench."""

    facts: ParcelFacts
    buyer: BuyerFacts
    verdict: str  # such as "Ship", "Ship with 1 heat pack", "Hold it back", "No weather yet"
    advice: TransitAdvice | None
    why: str  # why there is no advice
    next_item: ParcelItem | None  # the next plant to fetch; None: all are in the box
    weight_kg: float | None  # as noted, else as reckoned
    place_notes: tuple[str, ...] = ()

    @property
    def is_full(self) -> bool:
        """Whether every plant is in the box."""
        return self.next_item is None and bool(self.facts.items)


@dataclass(frozen=True, slots=True)
class PackingDay:
    """The bench of one ship day."""

    on: date
    is_ship_day: bool  # by the grower's own weekdays
    days: tuple[tuple[date, int], ...]  # ship days to come that have orders, and how many
    orders: tuple[OrderToPack, ...]
    undated: tuple[OrderFacts, ...]  # waiting orders without a ship day
    overdue: tuple[OrderFacts, ...]  # whose ship day has passed
    parcels: tuple[ParcelToPack, ...]
    pick: tuple[PickStop, ...]  # in walking order
    sentence: str
    cautions: tuple[str, ...]


def packing_bench(now: datetime, day: date | None = None) -> PackingDay:
    """The parcels and plants of a ship day: the one asked for, else the next that has orders."""
    nursery = queries.nursery()
    waiting = queries.orders(states=WAITING)
    open_parcels = queries.parcels(states=("packing",))
    today = local_day(now, nursery)
    counts = Counter(one.ship_on for one in waiting if one.ship_on is not None)
    days = tuple(sorted(counts.items()))
    on = day or next((one for one, _ in days if one >= today), days[-1][0] if days else today)
    of_day = [one for one in waiting if one.ship_on == on]
    undated = {one.number for one in waiting if one.ship_on is None}
    parcels = [one for one in open_parcels if _is_of_day(one, on, {one.number for one in of_day} | undated)]
    parcels += [one for one in queries.parcels(ship_on=on, states=("sent",)) if one.sent_at is not None]
    numbers = {one.number for one in of_day} | {number for one in parcels for number in one.orders}
    orders = {one.number: one for one in waiting if one.number in numbers}
    stops = queries.pots_to_pick(tuple(orders))
    pick = tuple(PickStop(item, parcel) for item, parcel in stops)
    return PackingDay(
        on, on.weekday() in rules_now().ship_weekdays, days,
        tuple(_order(one, pick) for one in orders.values()),
        tuple(one for one in waiting if one.ship_on is None),
        tuple(one for one in waiting if one.ship_on is not None and one.ship_on < min(today, on)),
        tuple(_parcel(one, nursery.units) for one in parcels), pick,
        _sentence(on, today, pick, parcels), CAUTIONS,
    )  # fmt: skip


def parcel_view(key: int) -> ParcelToPack:
    """One parcel as it stands on the bench."""
    return _parcel(known_parcel(key), queries.nursery().units)


def start_parcel(order: int, typed: Mapping[str, str], uuid: UUID, who: str, now: datetime) -> ParcelFacts:
    """Begin a parcel for the plants of an order that are in none, with what is typed of it."""
    sheet = Sheet(typed, queries.nursery().units)
    fields = parcel_fields(sheet, now)
    facts = known_order(order)
    fields.setdefault("place", facts.buyer.place)
    remember_way(fields, facts.buyer.place)
    sheet.finish()
    with sheet.writing():
        key = changes.start_parcel(uuid, order, who=who, now=now, **fields)
    return known_parcel(key)


def start_planned(order: int, uuid: UUID, who: str, now: datetime) -> tuple[ParcelFacts, ...]:
    """Begin the parcels of an order as they are best planned; the same uuid again begins none anew."""
    room = queries.plant_room()
    left = [item for item, parcel in queries.pots_to_pick((order,)) if parcel is None]
    if not left:
        first = queries.parcel_of_uuid(uuid5(uuid, "0"))
        if first is None:
            raise RefusedByBook(f"No plant of order {order} is without a parcel.", str(order))
        return queries.parcels(order=order)
    boxes = {one.box: one.key for one in queries.box_kinds(at_hand_only=True)}
    if not boxes:
        raise RefusedByBook("No kind of box is at hand: write one first.", str(order))
    plan = plan_parcels(to_pack(left, room), tuple(boxes))
    facts = known_order(order)
    fields: dict[str, Any] = {"place": facts.buyer.place}
    remember_way(fields, facts.buyer.place)
    for number, planned in enumerate(plan.parcels):
        pots = []
        for content in planned.contents:
            alike = [
                item for item in left if f"{item.taxon_name}, {item.grade or 'standard'}" == content.name
            ]
            pots += alike[: content.count]
            left = [item for item in left if item not in pots]
        changes.start_parcel(
            uuid5(uuid, str(number)), order, [item.pot for item in pots], who=who, now=now,
            box=boxes[planned.box], **fields,
        )  # fmt: skip
    return queries.parcels(order=order)


def arrange_parcel(key: int, typed: Mapping[str, str], who: str, now: datetime) -> ParcelFacts:
    """Change a parcel: box, liner, pack, packs, route, weather, ship_on, weight, tracking, postage, note.

    Only the fields that are there are changed; weather that is typed is remembered with its way.
    """
    sheet = Sheet(typed, queries.nursery().units)
    fields = parcel_fields(sheet, now)
    sheet.finish()
    with sheet.writing(weight_kg="weight", postage_paid_minor="postage", legs="weather"):
        changes.change_parcel(key, who=who, **fields)
    facts = known_parcel(key)
    if fields.get("legs") and facts.route is not None:
        _keep_legs(facts, who, now)
    return facts


def tick_pot(parcel: int, pot: int, is_packed: bool, who: str, now: datetime) -> ParcelFacts:
    """Note that a plant is in the box, or that it is not after all."""
    changes.tick_pot(parcel, pot, is_packed, who=who, now=now)
    return known_parcel(parcel)


def send_parcel(key: int, typed: Mapping[str, str], who: str, now: datetime) -> tuple[int, ...]:
    """Note that a parcel has left (weight, tracking, postage), and give the orders that left whole with it.

    What was said of its way is kept beside it. One that is to be held back leaves only with `anyway`.
    """
    facts = known_parcel(key)
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    fields = sent_fields(sheet)
    sheet.finish()
    advice = advice_for(facts, nursery.units)
    if advice is not None and facts.state == "packing":
        if advice.decision == "hold" and sheet.text("anyway").lower() not in _ANYWAY:
            raise RefusedByBook(HELD_BACK + advice.sentence, str(key))
        done = Measure(facts.liner is not None, facts.packs)
        fields["said"] = said_of(advice, facts.items, done)
    if facts.ship_on is None and facts.state == "packing":
        fields["ship_on"] = local_day(now, nursery)
    with sheet.writing(weight_kg="weight", postage_paid_minor="postage"):
        return changes.send_parcel(key, who=who, now=now, **fields)


def add_order(parcel: int, order: int, who: str) -> ParcelFacts:
    """Put the plants of one more order of the same buyer into a parcel."""
    changes.add_to_parcel(parcel, order, who=who)
    return known_parcel(parcel)


def take_out(parcel: int, pot: int, who: str) -> ParcelFacts | None:
    """Take a plant out of a parcel; None when the parcel is empty then, and so not begun any more."""
    changes.take_out(parcel, (pot,), who=who)
    return queries.parcel(parcel)


def _is_of_day(parcel: ParcelFacts, on: date, numbers: set[int]) -> bool:
    """Whether a parcel leaves on a day: as it says itself, else as its orders do; without a day on any."""
    return parcel.ship_on == on or (parcel.ship_on is None and bool(numbers & set(parcel.orders)))


def _order(order: OrderFacts, pick: tuple[PickStop, ...]) -> OrderToPack:
    left = tuple(one.item for one in pick if one.item.order == order.number and one.parcel is None)
    if not left:
        return OrderToPack(order, (), None, "every plant has its parcel")
    boxes = tuple(one.box for one in queries.box_kinds(at_hand_only=True))
    if not boxes:
        return OrderToPack(order, left, None, "no kind of box is written down yet")
    try:
        return OrderToPack(order, left, plan_parcels(to_pack(left, queries.plant_room()), boxes))
    except HalfwaterError as refused:
        return OrderToPack(order, left, None, str(refused))


def _parcel(facts: ParcelFacts, units: str) -> ParcelToPack:
    why = NO_BOX if facts.box is None else NO_WEATHER if not facts.legs else ""
    advice = None
    if facts.state == "packing":
        try:
            advice = advice_for(facts, units)
        except HalfwaterError as refused:
            why = str(refused)
    weight = facts.weight_kg
    if weight is None and facts.box is not None and facts.items:
        weight = weight_of(load_of(facts.items, facts.box.box, queries.plant_room()), facts.box.box)
    first = known_order(facts.orders[0]) if facts.orders else None
    return ParcelToPack(
        facts, first.buyer if first else BuyerFacts(""), _verdict(facts, advice), advice, why,
        next((item for item in facts.items if item.packed_at is None), None), weight,
        first.place_notes if first else (),
    )  # fmt: skip


def _verdict(facts: ParcelFacts, advice: TransitAdvice | None) -> str:
    if facts.state != "packing":
        return {"sent": "Sent", "arrived": "Arrived"}[facts.state]
    return verdict_of(advice)


def _sentence(on: date, today: date, pick: tuple[PickStop, ...], parcels: list[ParcelFacts]) -> str:
    """The answer of the page."""
    day = show_date(on, today)
    open_ones = [one for one in parcels if one.state == "packing"]
    left = sum(stop.item.packed_at is None for stop in pick)
    if not pick and not parcels:
        return f"Nothing leaves on {day}."
    if not open_ones and not pick:
        word = "parcel has" if len(parcels) == 1 else "parcels have"
        return f"{len(parcels)} {word} left on {day}; nothing waits."
    plants = "1 plant is" if left == 1 else f"{left} plants are"
    count = "1 parcel" if len(open_ones) == 1 else f"{len(open_ones)} parcels"
    return f"{plants} still to fetch for {day}; {count} on the bench."


def _keep_legs(facts: ParcelFacts, who: str, now: datetime) -> None:
    today = local_day(now, queries.nursery())
    changes.save_route(facts.route, who=who, legs=facts.legs, legs_on=today)
