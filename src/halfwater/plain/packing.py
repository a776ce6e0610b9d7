"""Packing as the book keeps it: kinds of boxes, liners and heat packs, ways, parcels and their arrivals."""

from dataclasses import dataclass
from datetime import date, datetime

from halfwater.plain.growing import Span
from halfwater.plain.transit import HeatPack, Leg, Liner, RouteStop, ShippingBox

PARCEL_STATES = ("packing", "sent", "arrived")


@dataclass(frozen=True, slots=True)
class BoxFacts:
    """A kind of box, and whether it is at hand."""

    key: int
    box: ShippingBox
    is_at_hand: bool = True


@dataclass(frozen=True, slots=True)
class LinerFacts:
    """A kind of liner, and whether it is at hand."""

    key: int
    liner: Liner
    is_at_hand: bool = True


@dataclass(frozen=True, slots=True)
class PackFacts:
    """A kind of heat pack, and whether it is at hand."""

    key: int
    pack: HeatPack
    is_at_hand: bool = True


@dataclass(frozen=True, slots=True)
class KeptRoute:
    """A way that parcels take to a place, with its weather as it was typed last."""

    key: int
    name: str
    place: str = ""  # destination, as buyers write it
    stops: tuple[RouteStop, ...] = ()
    hand_over_h: float = 16.0  # hour of the day
    rest_days: tuple[int, ...] = (5, 6)  # Monday is 0
    legs: tuple[Leg, ...] = ()
    legs_on: date | None = None  # the day the legs' weather was typed


@dataclass(frozen=True, slots=True)
class ParcelItem:
    """A plant of an order in a parcel."""

    pot: int
    name: str  # batch and number
    tank: str
    spot: str
    taxon: int
    taxon_name: str
    group: str  # the profile its taxon was made from
    grade: str
    order: int
    order_line: int
    leaves: int | None = None
    packed_at: datetime | None = None  # None: not in the box yet


@dataclass(frozen=True, slots=True)
class SaidThen:
    """What was said of a parcel when it left."""

    decision: str  # one of plain.transit.DECISIONS
    measure: str  # in words
    sentence: str
    coldest: Span
    hottest: Span
    bare_coldest: Span  # by physics alone: what arrivals are held against
    bare_hottest: Span
    low_limit_c: float
    high_limit_c: float
    in_box_days: float
    p_harm: float = 0.0


@dataclass(frozen=True, slots=True)
class ArrivalNote:
    """How a parcel arrived, as it was told."""

    on: date
    alive: int
    damaged: int = 0  # of the living
    late_days: float = 0.0
    logger_low_c: float | None = None
    logger_high_c: float | None = None
    note: str = ""
    photo: str = ""


@dataclass(frozen=True, slots=True)
class ParcelFacts:
    """A parcel of one buyer, from its first plant to its arrival."""

    key: int
    uuid: str
    ship_on: date | None
    state: str  # one of PARCEL_STATES
    box: BoxFacts | None
    items: tuple[ParcelItem, ...]
    liner: LinerFacts | None = None
    pack: PackFacts | None = None
    packs: int = 0
    route: int | None = None  # key
    place: str = ""
    legs: tuple[Leg, ...] = ()
    said: SaidThen | None = None
    weight_kg: float | None = None
    tracking: str = ""
    postage_paid_minor: int | None = None  # None: nobody noted it
    note: str = ""
    started_at: datetime | None = None
    sent_at: datetime | None = None
    arrival: ArrivalNote | None = None
    who: str = ""  # began it
    gone: tuple[ParcelItem, ...] = ()  # died or cancelled since: to be taken out

    @property
    def plants(self) -> int:
        """How many plants are to be in it."""
        return len(self.items)

    @property
    def packed(self) -> int:
        """How many are."""
        return sum(item.packed_at is not None for item in self.items)

    @property
    def orders(self) -> tuple[int, ...]:
        """Numbers of the orders it serves."""
        return tuple(dict.fromkeys(item.order for item in self.items))


@dataclass(frozen=True, slots=True)
class PlantRoom:
    """What one wrapped plant of each grade takes in a box; None: the starting value."""

    small_l: float | None = None
    standard_l: float | None = None
    large_l: float | None = None
    fill_frac: float | None = None  # of a box's inside that plants may take
