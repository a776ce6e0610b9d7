"""What the weather means for a parcel: ship it, with a liner or heat packs, or hold it back."""

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from functools import lru_cache

from halfwater.book import queries
from halfwater.deeds.arrivals import margins_now
from halfwater.deeds.clock import local_day
from halfwater.deeds.packing_goods import room_of, rules_now
from halfwater.plain.packing import ParcelFacts, ParcelItem, PlantRoom, SaidThen
from halfwater.plain.transit import (
    Leg,
    Measure,
    PackingBench,
    ParcelLoad,
    PlaceDay,
    PlantToPack,
    Route,
    ShipDayChoice,
    ShippingBox,
    TransitAdvice,
    TransitLimits,
)
from halfwater.planning.ship_days import choose_ship_day
from halfwater.planning.shipping import advise_parcel
from halfwater.planning.transit_limits import limits_of, tenderest
from halfwater.science import starting

VERDICTS = {"ship": "Ship", "liner": "Ship with a liner", "hold": "Hold it back"}
NO_WEATHER = "Type the weather of its way: then it is known whether it can go."
NO_BOX = "Choose a box for it first."


def bench_now(units: str = "metric", liner: int | None = None, pack: int | None = None) -> PackingBench:
    """What is at hand: the chosen liner and heat pack, else the first; own rules; what arrivals taught."""
    liners, packs = queries.liner_kinds(at_hand_only=True), queries.heat_packs(at_hand_only=True)
    own_liner = next((one for one in liners if one.key == liner), next(iter(liners), None))
    own_pack = next((one for one in packs if one.key == pack), next(iter(packs), None))
    return PackingBench(
        None if own_liner is None else own_liner.liner,
        None if own_pack is None else own_pack.pack,
        rules_now(),
        margins_now(units),
    )


def load_of(items: Collection[ParcelItem], box: ShippingBox, room: PlantRoom) -> ParcelLoad:
    """What the plants of a parcel weigh as wrapped, and the padding around them."""
    litres = sum(room_of(item.grade, room) for item in items)
    return load_of_litres(len(items), litres, box)


def load_of_litres(plants: int, litres: float, box: ShippingBox) -> ParcelLoad:
    """So many wrapped plants of so many litres, with padding in the rest of the box."""
    padding_l = max(box.inside_l - litres, 0.0)
    return ParcelLoad(plants, litres * starting.BUNDLE_KG_L, packing_kg=padding_l * starting.PADDING_KG_L)


def weight_of(load: ParcelLoad, box: ShippingBox) -> float:
    """What a parcel weighs, packed, in kg."""
    return load.plants_kg + load.wet_kg + load.packing_kg + box.empty_kg


def to_pack(items: Iterable[ParcelItem], room: PlantRoom) -> tuple[PlantToPack, ...]:
    """Plants by taxon and grade, with the room one of each takes."""
    kinds: dict[str, list[ParcelItem]] = {}
    for item in items:
        kinds.setdefault(kind_of(item), []).append(item)
    return tuple(
        PlantToPack(name, len(some), litres, litres * starting.BUNDLE_KG_L)
        for name, some in kinds.items()
        for litres in (room_of(some[0].grade, room),)
    )


def kind_of(item: ParcelItem) -> str:
    """What a plant counts as when it is packed: its taxon and grade."""
    return f"{item.taxon_name}, {item.grade or 'standard'}"


def limits_for(items: Collection[ParcelItem]) -> tuple[TransitLimits, ...]:
    """What each taxon of a parcel stands."""
    return tuple(
        limits_of(name, group) for name, group in dict.fromkeys((i.taxon_name, i.group) for i in items)
    )


def advice_for(parcel: ParcelFacts, units: str) -> TransitAdvice | None:
    """Advice for a parcel with its box and the weather of its way; None while either is missing."""
    if parcel.box is None or not parcel.legs or not parcel.items:
        return None
    box = parcel.box.box
    bench = bench_now(
        units, parcel.liner.key if parcel.liner else None, parcel.pack.key if parcel.pack else None
    )
    load = load_of(parcel.items, box, queries.plant_room())
    return _advised(box, load, parcel.legs, limits_for(parcel.items), parcel.key, bench, units)


@lru_cache(maxsize=64)
def _advised(
    box: ShippingBox,
    load: ParcelLoad,
    legs: tuple[Leg, ...],
    limits: tuple[TransitLimits, ...],
    seed: int,
    bench: PackingBench,
    units: str,
) -> TransitAdvice:
    """The same question is answered once."""
    return advise_parcel(box, load, legs, limits, seed, bench, units)


def verdict_of(advice: TransitAdvice | None) -> str:
    """The verdict in a word or two, as it stands on top of a parcel."""
    if advice is None:
        return "No weather yet"
    if advice.decision == "heat pack":
        return f"Ship with {advice.measure.words}"
    return VERDICTS[advice.decision]


def said_of(advice: TransitAdvice, items: Collection[ParcelItem], done: Measure) -> SaidThen:
    """What is kept of the advice when a parcel leaves: of what was done with it, where that was tried."""
    outlook = next((one for one in advice.tried if one.measure == done), advice.outlook)
    hardest = tenderest(limits_for(items))
    return SaidThen(
        decision=advice.decision,
        measure=outlook.measure.words,
        sentence=advice.sentence,
        coldest=outlook.coldest,
        hottest=outlook.hottest,
        bare_coldest=outlook.bare_coldest or outlook.coldest,
        bare_hottest=outlook.bare_hottest or outlook.hottest,
        low_limit_c=hardest.low_c,
        high_limit_c=hardest.high_c,
        in_box_days=outlook.in_box_days,
        p_harm=max(outlook.p_too_cold, outlook.p_too_hot),
    )


def ship_days(
    parcel: ParcelFacts, route: Route, forecast: Sequence[PlaceDay], now: datetime, units: str
) -> ShipDayChoice | None:
    """The day of the coming week on which a parcel is best sent; None without box or plants."""
    if parcel.box is None or not parcel.items:
        return None
    today = local_day(now, queries.nursery())
    load = load_of(parcel.items, parcel.box.box, queries.plant_room())
    bench = bench_now(
        units, parcel.liner.key if parcel.liner else None, parcel.pack.key if parcel.pack else None
    )
    return choose_ship_day(
        parcel.box.box, load, route, forecast, limits_for(parcel.items), today, parcel.key, bench, units
    )
