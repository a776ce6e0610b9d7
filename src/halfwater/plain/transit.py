"""A parcel on its way as plain data: box, load, weather of the legs, outlook, advice, arrival."""

from dataclasses import dataclass, field
from datetime import date

from halfwater.plain.growing import Span
from halfwater.plain.working import Working

DECISIONS = ("ship", "liner", "heat pack", "hold")  # the least cautious first
LEG_KINDS = ("outside", "vehicle", "indoors")  # in the weather, under a metal roof, in a hall


@dataclass(frozen=True, slots=True)
class WallLayer:
    """One layer of a box's wall; the conductivity of the material unless one is measured."""

    material: str  # a key of science.insulation.MATERIALS
    thickness_mm: float
    conductivity_w_mk: float | None = None


@dataclass(frozen=True, slots=True)
class PostageBand:
    """What it costs to send a box up to a weight."""

    most_kg: float
    cost_minor: int


@dataclass(frozen=True, slots=True)
class ShippingBox:
    """A kind of box the grower has, measured inside."""

    name: str
    length_mm: float
    width_mm: float
    height_mm: float
    layers: tuple[WallLayer, ...]  # from the inside outward
    empty_kg: float
    most_plants: int | None = None
    most_kg: float | None = None  # plants, packing and box
    cost_minor: int = 0
    postage: tuple[PostageBand, ...] = ()  # the lightest first; none: postage left out

    @property
    def inside_l(self) -> float:
        """What goes in."""
        return self.length_mm * self.width_mm * self.height_mm * 1e-6


@dataclass(frozen=True, slots=True)
class HeatPack:
    """A heat pack by what its label says."""

    name: str
    label_h: float  # hours it is sold for
    mean_w: float | None = None  # over those hours, where weighed or measured
    cost_minor: int = 0


@dataclass(frozen=True, slots=True)
class Liner:
    """Foil or other insulation laid inside a box."""

    name: str
    layer: WallLayer
    cost_minor: int = 0


@dataclass(frozen=True, slots=True)
class ParcelLoad:
    """What is in the box."""

    plants: int
    plants_kg: float  # with roots and the pots' clay left out, as packed
    wet_kg: float = 0.0  # water and wet paper around the roots
    packing_kg: float = 0.0  # dry paper or other padding
    start_c: float | None = None  # when the box is closed; None: as warm as a room


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of the way with its weather."""

    name: str
    span_h: float
    low_c: float
    high_c: float  # the same as low_c for an even temperature
    clock_h: float = 0.0  # hour of the day at its start
    kind: str = "outside"  # one of LEG_KINDS
    ahead_days: float = 1.0  # how old the forecast is by then


@dataclass(frozen=True, slots=True)
class PlaceDay:
    """The forecast of one place and day."""

    place: str
    on: date
    low_c: float
    high_c: float


@dataclass(frozen=True, slots=True)
class RouteStop:
    """Where a parcel is on its way and for how long, when nothing delays it."""

    place: str
    span_h: float
    kind: str = "outside"


@dataclass(frozen=True, slots=True)
class Route:
    """The way to a buyer, from handing over to the unpacked box."""

    name: str
    stops: tuple[RouteStop, ...]
    hand_over_h: float = 16.0  # hour of the day
    rest_days: tuple[int, ...] = (5, 6)  # weekdays on which nothing moves on, Monday is 0


@dataclass(frozen=True, slots=True)
class TransitLimits:
    """What plants of a taxon stand in a box."""

    taxon_name: str
    low_c: float
    high_c: float
    most_days: float


@dataclass(frozen=True, slots=True)
class GrowerRules:
    """The grower's own rules; they only ever add caution. None: no such rule."""

    liner_below_c: float | None = None  # the coldest forecast of the way
    pack_below_c: float | None = None
    hold_below_c: float | None = None
    liner_above_c: float | None = None  # the hottest
    hold_above_c: float | None = None
    most_days: float | None = None  # in the box
    most_packs: int | None = None
    ship_weekdays: tuple[int, ...] = (0, 1, 2)  # days that parcels leave, Monday is 0
    over_weekend: bool = False  # whether a parcel may lie still over rest days


@dataclass(frozen=True, slots=True)
class Measure:
    """What is done to the box."""

    has_liner: bool = False
    packs: int = 0

    @property
    def decision(self) -> str:
        """Its word among DECISIONS."""
        return "heat pack" if self.packs else "liner" if self.has_liner else "ship"

    @property
    def words(self) -> str:
        """As it stands on a packing slip."""
        packs = "" if not self.packs else "1 heat pack" if self.packs == 1 else f"{self.packs} heat packs"
        parts = [part for part in ("liner" if self.has_liner else "", packs) if part]
        return " and ".join(parts) or "as it is"


@dataclass(frozen=True, slots=True)
class TransitHour:
    """One moment of the way."""

    after_h: float
    outside_c: float
    plants: Span  # temperature of the plants


@dataclass(frozen=True, slots=True)
class TransitOutlook:
    """What comes of one measure: temperatures of the plants with 80 % ranges, chances of harm."""

    measure: Measure
    coldest: Span
    hottest: Span
    p_too_cold: float  # the chance that the coldest moment harms the tenderest taxon
    p_too_hot: float
    in_box_days: float
    bare_coldest: Span | None = None  # by physics alone, to be kept for the record of arrival
    bare_hottest: Span | None = None
    hours: tuple[TransitHour, ...] = field(default=(), repr=False)


@dataclass(frozen=True, slots=True)
class ArrivalFact:
    """How one parcel arrived, with what physics alone had said of it when it left (bare_ of its outlook)."""

    parcel: str
    shipped_on: date
    plants: int
    alive: int
    damaged: int  # of the living
    late_days: float
    coldest: Span
    hottest: Span
    low_limit_c: float
    high_limit_c: float
    logger_low_c: float | None = None
    logger_high_c: float | None = None


@dataclass(frozen=True, slots=True)
class TransitMargins:
    """What arrivals have taught: how far forecasts and limits are off, what harms without weather."""

    parcels: int
    cold_bias_c: float  # to be added to the forecast of the coldest moment
    cold_bias_sd_c: float
    hot_bias_c: float
    hot_bias_sd_c: float
    low_shift_c: float  # to be added to the lower limits of the taxa
    low_shift_sd_c: float
    high_shift_c: float
    high_shift_sd_c: float
    base_loss_frac: float  # of plants that no weather harmed
    p_late: float
    late_days: float  # a late parcel's mean delay
    workings: tuple[Working, ...] = ()


@dataclass(frozen=True, slots=True)
class PackingBench:
    """What is at hand for packing, and what is gone by."""

    liner: Liner | None = None
    pack: HeatPack | None = None
    rules: GrowerRules = field(default_factory=GrowerRules)
    margins: TransitMargins | None = None  # None: no arrivals noted


@dataclass(frozen=True, slots=True)
class TransitAdvice:
    """Ship, liner, heat pack or hold, with the reasons of the model and of the grower's rules."""

    decision: str  # one of DECISIONS
    measure: Measure
    outlook: TransitOutlook  # of the measure
    tried: tuple[TransitOutlook, ...]
    by_model: str  # one of DECISIONS
    by_rules: str  # one of DECISIONS
    sentence: str
    reasons: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...] = ()


@dataclass(frozen=True, slots=True)
class ShipDay:
    """One day on which the parcel could leave."""

    on: date
    arrives_on: date | None
    in_box_days: float
    rests: int  # rest days spent lying still
    advice: TransitAdvice | None  # None: not judged
    why: str = ""  # why not, or what speaks against it


@dataclass(frozen=True, slots=True)
class ShipDayChoice:
    """The day to ship in a week."""

    best: ShipDay | None
    days: tuple[ShipDay, ...]
    sentence: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlantToPack:
    """Plants of one kind in an order, with the room one of them takes when wrapped."""

    name: str  # taxon and grade
    count: int
    volume_l: float
    mass_kg: float


@dataclass(frozen=True, slots=True)
class ParcelContent:
    """How many of one kind lie in a parcel."""

    name: str
    count: int


@dataclass(frozen=True, slots=True)
class PlannedParcel:
    """One box, filled."""

    box: ShippingBox
    contents: tuple[ParcelContent, ...]
    plants: int
    fill_frac: float  # of the inside, by plants
    padding_l: float
    mass_kg: float  # with the box
    cost_minor: int  # box and postage


@dataclass(frozen=True, slots=True)
class ParcelPlan:
    """An order in boxes."""

    parcels: tuple[PlannedParcel, ...]
    plants: int
    mass_kg: float
    cost_minor: int
    is_proven: bool  # whether no better plan exists
    sentence: str
    workings: tuple[Working, ...] = ()
