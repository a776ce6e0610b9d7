"""What goes with a parcel on paper: packing slip, label, and the list of plants to fetch."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from halfwater.book import queries
from halfwater.deeds.arrivals import known_parcel
from halfwater.deeds.orders import known_order
from halfwater.deeds.packing import PickStop, packing_bench
from halfwater.deeds.taxa import care_of
from halfwater.plain.packing import ParcelFacts
from halfwater.plain.selling import BuyerFacts

LIVE = ("Live plants", "This side up", "Do not freeze, do not leave in the sun")
UNPACK = (
    "Unpack on the day it comes and put the plants into water or moist air of room temperature. Take a photo "
    "of anything damaged the same day; damage by cold may show up to two weeks later."
)
PACK_HINT = "A heat pack lies in the lid: let it cool in the open, it is no toy and no food."


@dataclass(frozen=True, slots=True)
class SlipLine:
    """So many plants of a taxon and grade in a parcel."""

    taxon_name: str
    grade: str
    plants: int
    pots: tuple[str, ...]  # names of the pots, so that a claim can be traced
    care: str


@dataclass(frozen=True, slots=True)
class PackingSlip:
    """What lies in a parcel, for its buyer."""

    parcel: int
    seller: str
    buyer: BuyerFacts
    orders: tuple[int, ...]
    references: tuple[str, ...]
    ship_on: date | None
    lines: tuple[SlipLine, ...]
    plants: int
    parcel_of: tuple[int, int]  # second of three: (2, 3)
    hints: tuple[str, ...]
    place_notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ParcelLabel:
    """What stands on the outside of a parcel."""

    parcel: int
    seller: str
    name: str
    address: str
    place: str
    marks: tuple[str, ...]
    ship_on: date | None
    weight_kg: float | None
    parcel_of: tuple[int, int]


@dataclass(frozen=True, slots=True)
class PickTank:
    """The plants to fetch from one tank, in walking order."""

    tank: str
    stops: tuple[PickStop, ...]


def packing_slip(key: int) -> PackingSlip:
    """The slip of a parcel."""
    facts = known_parcel(key)
    orders = [known_order(number) for number in facts.orders]
    notes = tuple(dict.fromkeys(note for order in orders for note in order.place_notes))
    hints = (UNPACK, PACK_HINT) if facts.packs else (UNPACK,)
    return PackingSlip(
        facts.key, queries.nursery().name, orders[0].buyer if orders else BuyerFacts(""), facts.orders,
        tuple(order.reference for order in orders if order.reference), facts.ship_on, _lines(facts),
        facts.plants, _of_how_many(facts), hints, notes,
    )  # fmt: skip


def parcel_label(key: int) -> ParcelLabel:
    """The label of a parcel."""
    facts = known_parcel(key)
    buyer = known_order(facts.orders[0]).buyer if facts.orders else BuyerFacts("")
    return ParcelLabel(
        facts.key, queries.nursery().name, buyer.name, buyer.address, buyer.place, LIVE, facts.ship_on,
        facts.weight_kg, _of_how_many(facts),
    )  # fmt: skip


def pick_list(now: datetime, day: date | None = None) -> tuple[PickTank, ...]:
    """The plants still to fetch for a ship day, tank by tank in walking order."""
    stops = [stop for stop in packing_bench(now, day).pick if stop.item.packed_at is None]
    return by_tank(stops)


def by_tank(stops: Sequence[PickStop]) -> tuple[PickTank, ...]:
    """Stops by the tank they are in."""
    tanks: dict[str, list[PickStop]] = {}
    for stop in stops:
        tanks.setdefault(stop.item.tank, []).append(stop)
    return tuple(PickTank(tank, tuple(some)) for tank, some in tanks.items())


def _lines(facts: ParcelFacts) -> tuple[SlipLine, ...]:
    taxa = {one.key: one for one in queries.taxa()}
    kinds: dict[tuple[int, str], list[str]] = {}
    names = {item.taxon: item.taxon_name for item in facts.items}
    for item in facts.items:
        kinds.setdefault((item.taxon, item.grade), []).append(item.name)
    found = []
    for (taxon, grade), pots in kinds.items():
        known = taxa.get(taxon)
        care = care_of(known) if known else ""
        found.append(SlipLine(names[taxon], grade, len(pots), tuple(pots), care))
    return tuple(found)


def _of_how_many(facts: ParcelFacts) -> tuple[int, int]:
    """Which parcel of its first order it is."""
    if not facts.orders:
        return 1, 1
    keys = sorted(one.key for one in queries.parcels(order=facts.orders[0]))
    return keys.index(facts.key) + 1, len(keys)
