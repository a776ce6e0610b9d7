"""The salts in a bath as plain data: what pages, commands and Tonight read of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from halfwater.plain.growing import Span
from halfwater.plain.working import Working

TRENDS = ("rising", "falling", "steady")
CAUSES_OF_EC = ("overfed", "evaporating", "diluted", "hungry")  # why it rises, rises, falls, falls


@dataclass(frozen=True, slots=True)
class EcOn:
    """EC of the bath on one day: 10, 50 and 90 %; or its reading."""

    on: date
    p10_ms_cm: float
    p50_ms_cm: float
    p90_ms_cm: float


@dataclass(frozen=True, slots=True)
class EcRead:
    """One reading by the meter, corrected by its checks."""

    on: date
    ec_ms_cm: float
    is_odd: bool = False  # set aside: it cannot be right, or something was done and not noted


@dataclass(frozen=True, slots=True)
class BathMark:
    """A siphon or fill, for the picture."""

    on: date
    kind: str  # "siphon" or "fill"
    volume_l: float | None  # None: down to the low line
    mix_name: str = ""


@dataclass(frozen=True, slots=True)
class EcLimit:
    """What the plants in the tank bear, whole solution; the tenderest taxon decides."""

    target_low_ms_cm: float
    target_high_ms_cm: float
    action_ms_cm: float  # siphon or dilute above it
    alarm_ms_cm: float
    taxon_name: str = ""  # whose limit it is; "": of any plant
    source: str = ""


@dataclass(frozen=True, slots=True)
class NutrientOutlook:
    """One nutrient in the bath. "urea N" is nitrogen that no EC meter sees."""

    name: str  # "N" (without urea), "urea N", "P", "K", "Ca", "Mg"
    mg_l: Span
    at_siphon_mg_l: Span | None  # None: no siphon is in sight
    steady_mg_l: float | None  # where today's habit leads in the end


@dataclass(frozen=True, slots=True)
class EcCause:
    """What moves the EC, in mS/cm a month; above 0 it raises."""

    name: str  # "spray", "fills", "water leaving", "water added", "plants"
    text: str
    ms_cm_a_month: Span


@dataclass(frozen=True, slots=True)
class EcVerdict:
    """Why the EC moves, and the reading that would tell."""

    trend: str  # one of TRENDS
    word: str  # one of CAUSES_OF_EC, "steady" or "not known yet"
    p_trend_frac: float  # how sure the trend is
    ms_cm_a_month: Span
    said: str  # one plain sentence
    to_tell: str = ""  # the reading that would tell causes apart; "" where they are told apart
    causes: tuple[EcCause, ...] = ()


@dataclass(frozen=True, slots=True)
class RefillAdvice:
    """Siphon x litres and refill with y."""

    is_due: bool
    siphon_l: float
    refill_l: float
    refill_name: str
    ec_before: Span
    ec_after: Span
    target_ms_cm: float
    said: str
    is_reachable: bool = True  # False: `said` names the best that can be had


@dataclass(frozen=True, slots=True)
class PhVerdict:
    """pH as read, judged."""

    ph: float
    on: date
    word: str  # "good", "tolerated", "too low", "too high"
    trend_a_month: float | None  # None: one reading only
    said: str
    to_tell: str = ""


@dataclass(frozen=True, slots=True)
class FilmAdvice:
    """A spray judged as leaves feel it."""

    film_ml_m2: float  # mL on each m2 of leaf, one-sided
    film_range: Span
    run_off_frac: float  # of the spray: reaches the bath at once
    n_mg_m2: float  # nitrogen left on the leaf by one night
    ec_on_leaf: str  # "mild", "usual", "strong", "too strong"
    strength: str  # by nitrogen: "weak", "usual", "strong"
    plain_night: str  # which evening gets plain water; "" where tonight is none
    is_plain_night: bool
    said: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BathOutlook:
    """The bath of one tank: its salts now, at the siphon date, in ninety days, and where the habit leads."""

    tank: int
    tank_name: str
    on: date
    ec_now: Span
    ec_at_siphon: Span | None  # None: no siphon is in sight
    siphon_p50_on: date | None
    ec_in_90_days: Span  # under today's habit, its siphons and refills included
    steady_ms_cm: float | None  # at the siphon, in the long run; None: there is no habit yet
    low_steady_ms_cm: float | None  # just after siphon and refill
    p_past_action_now_frac: float
    p_past_action_at_siphon_frac: float | None
    limit: EcLimit
    nutrients: tuple[NutrientOutlook, ...]
    verdict: EcVerdict
    refill: RefillAdvice
    ph: PhVerdict | None
    last_reading_on: date | None
    odd: tuple[EcRead, ...]  # readings set aside
    readings: tuple[EcRead, ...]
    marks: tuple[BathMark, ...]
    past: tuple[EcOn, ...]  # worked out from the entries
    ahead: tuple[EcOn, ...]  # the fan, under today's habit
    said: str  # the page's one sentence
    narrows_most: str  # the one measurement that would narrow the answer most
    learned: Mapping[str, Span] = field(default_factory=dict)  # "salts that arrive", "taken up" (mg N a day)
    cautions: tuple[str, ...] = ()
    workings: tuple[Working, ...] = ()
