"""Waters, salts, targets and what comes of mixing them, as plain data.

Strengths are of the element (nitrogen as N, phosphorus as P), doses are for a litre of mix, and
conductivity is told at 25 °C.
"""

from dataclasses import dataclass, field
from datetime import datetime

from halfwater.plain.mixes import FeedFacts
from halfwater.plain.working import Working

STOCK_FACTORS = (50, 100, 200)  # 1:50, 1:100, 1:200


@dataclass(frozen=True, slots=True)
class SaltFacts:
    """A salt, acid or base by its formula, as it stands on the shelf."""

    key: int
    name: str
    formula: str  # with its water of crystallisation: "Ca(NO3)2·4H2O"
    purity_frac: float = 1.0  # an acid of 60 % is 0.60
    density_kg_l: float | None = None  # of a liquid such as an acid; None for a dry salt
    teaspoon_g: float | None = None


@dataclass(frozen=True, slots=True)
class ShelfItem:
    """One thing to mix from, a labelled feed or a salt, with what a pack of it cost."""

    product: FeedFacts | SaltFacts
    pack_minor: int | None = None
    pack_g: float | None = None  # by weight, or
    pack_ml: float | None = None  # by volume

    @property
    def name(self) -> str:
        """What the grower calls it."""
        return self.product.name


@dataclass(frozen=True, slots=True)
class SourceWater:
    """Water as its analysis tells it; what was not measured is None.

    With an EC and nothing else it is a water "by EC alone". `is_pure` is rain or purified water:
    what is None is then nought.
    """

    name: str
    ec_ms_cm: float | None = None
    ph: float | None = None
    alkalinity_mg_l: float | None = None  # as CaCO3
    hardness_mg_l: float | None = None  # as CaCO3
    ca_mg_l: float | None = None
    mg_mg_l: float | None = None
    na_mg_l: float | None = None
    k_mg_l: float | None = None
    cl_mg_l: float | None = None
    so4_mg_l: float | None = None  # as sulphate
    no3_mg_l: float | None = None  # as nitrate
    is_pure: bool = False


@dataclass(frozen=True, slots=True)
class WaterPart:
    """One of the waters of a blend and its share."""

    water: SourceWater
    volume_frac: float


@dataclass(frozen=True, slots=True)
class Wanted:
    """One thing wanted in the mix: an element, or a form of nitrogen (N-NO3, N-NH4, N-urea)."""

    what: str
    strength_mg_l: float
    weight: float = 1.0  # how much it counts beside the others


@dataclass(frozen=True, slots=True)
class Target:
    """What a mix is to be: strengths, or an EC at the proportions of the strengths."""

    name: str
    wanted: tuple[Wanted, ...]
    ec_ms_cm: float | None = None  # of the whole mix, water included; the strengths give proportions only
    source: str = ""  # key of docs/sources.toml for a published solution
    note: str = ""


@dataclass(frozen=True, slots=True)
class Dose:
    """One thing of the shelf at its dose."""

    item: ShelfItem
    dose_g_l: float | None = None
    dose_ml_l: float | None = None


@dataclass(frozen=True, slots=True)
class SmallDose:
    """How to bring a dose that is too small to measure: a strong solution of it, by the millilitre."""

    stock_g: float  # dissolved and made up to
    stock_ml: float
    dose_ml: float  # of which so much is taken for the volume made
    text: str


@dataclass(frozen=True, slots=True)
class RecipePart:
    """One line of a recipe: the dose, and what to measure for the volume made."""

    item: ShelfItem
    dose_g_l: float | None  # None for a liquid told by volume whose density nobody knows
    dose_ml_l: float | None  # of a liquid
    amount_g: float | None
    amount_ml: float | None
    cost_minor: float | None  # for a litre of mix; None where no price is known
    small: SmallDose | None  # where the amount is too little for the scale


@dataclass(frozen=True, slots=True)
class StrengthLine:
    """One element or form: wanted, brought by the water, and there in all."""

    what: str
    wanted_mg_l: float | None
    water_mg_l: float | None  # None: not in the water's analysis
    in_all_mg_l: float
    in_all_mmol_l: float


@dataclass(frozen=True, slots=True)
class Missed:
    """A strength that the recipe does not meet, and what stands in the way."""

    what: str
    wanted_mg_l: float
    in_all_mg_l: float
    off_frac: float  # negative: too little
    why: str


@dataclass(frozen=True, slots=True)
class ChargeBalance:
    """Cations against anions."""

    cations_meq_l: float
    anions_meq_l: float
    off_frac: float  # (cations - anions) / (cations + anions), before anything was made even
    made_even_with: str  # the ion that was assumed, "" if none
    assumed_meq_l: float
    text: str


@dataclass(frozen=True, slots=True)
class EcAnswer:
    """Conductivity of a mix, how it was found and how far it may be out."""

    ec_ms_cm: float
    ec_low_ms_cm: float
    ec_high_ms_cm: float
    ec_above_source_ms_cm: float
    bound_ms_cm: float | None  # the plain sum of the ions: an upper bound, never the answer
    rule: str  # "ions", "label" or "water by EC alone"
    urea_mg_l: float | None  # nitrogen that no EC meter sees; None where the label does not say
    text: str


@dataclass(frozen=True, slots=True)
class Settling:
    """A mineral that may fall out."""

    mineral: str
    formula: str
    index: float  # saturation index: log10 of how far over (positive) or under saturation
    state: str  # "clear", "at the edge" or "settles"
    settles_mg_l: float  # what falls out before it is clear again; 0 unless it settles
    text: str


@dataclass(frozen=True, slots=True)
class MixLook:
    """What a mix is, whatever it was made from."""

    name: str
    water: str
    temp_c: float
    strengths: tuple[StrengthLine, ...]
    charge: ChargeBalance
    ec: EcAnswer
    ph: float | None  # as mixed; None where too little is known
    ph_standing: float | None  # once it has stood in the air
    ionic_mmol_l: float  # ionic strength
    settlings: tuple[Settling, ...]
    state: str  # the worst of the settlings
    cost_minor: float | None  # of a litre; None where a price is missing
    unpriced: tuple[str, ...]
    not_modelled: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...] = field(default_factory=tuple)


@dataclass(frozen=True, slots=True)
class RecipeAnswer:
    """A recipe for a target from the shelf and the water, with what it misses and why."""

    target: Target
    volume_l: float
    parts: tuple[RecipePart, ...]
    look: MixLook
    missed: tuple[Missed, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class StockPart:
    """One thing dissolved in a stock solution."""

    name: str
    strength_g_l: float | None  # in a litre of stock; None for a liquid told by volume
    amount_g: float | None  # for the volume of stock made
    amount_ml: float | None  # of a liquid
    most_g_l: float | None  # what dissolves at this temperature, alone in water; None where no table says
    text: str


@dataclass(frozen=True, slots=True)
class Stock:
    """One stock solution: A, B or what has to be dosed apart."""

    name: str
    parts: tuple[StockPart, ...]
    settlings: tuple[Settling, ...]
    state: str
    ionic_mmol_l: float
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StockPlan:
    """Stock solutions of a recipe, and the mix that they make once diluted."""

    factor: float  # 1:factor
    temp_c: float
    stock_l: float
    dose_ml_l: float  # of each stock, in a litre of mix
    stocks: tuple[Stock, ...]
    diluted: MixLook
    holds: bool
    most_factor: int | None  # strongest of 1:1 to 1:200 at which both stay clear; None if none does
    sentence: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MeterCheck:
    """A meter held into a standard, and what its readings are worth since."""

    standard_ms_cm: float  # at 25 °C
    read_ms_cm: float
    temp_c: float | None
    correction_factor: float  # multiply readings by this
    spread_frac: float  # what stays uncertain after it
    is_usable: bool
    text: str


@dataclass(frozen=True, slots=True)
class KeptWater:
    """A water as the book keeps it."""

    key: int
    water: SourceWater
    is_ours: bool = False  # the nursery's own: mixes are made with it unless another is said


@dataclass(frozen=True, slots=True)
class KeptTarget:
    """A target of the grower's own (with its key) or a published one (without)."""

    key: int | None
    target: Target


@dataclass(frozen=True, slots=True)
class MeterPast:
    """A meter check as it stands in the book."""

    at: datetime
    check: MeterCheck
    is_in_force: bool  # the newest usable one: it corrects readings taken from then on
