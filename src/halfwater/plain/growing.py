"""How the stock grows, as plain data: what pages, commands, pictures and the cutting plan read."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from halfwater.plain.stock import StandingPot
from halfwater.plain.working import Working


@dataclass(frozen=True, slots=True)
class Span:
    """A median with its 80 % range."""

    p10: float
    p50: float
    p90: float


@dataclass(frozen=True, slots=True)
class GradeDate:
    """When a grade is reached; None where the date lies past the horizon (`horizon_on` of the outlook)."""

    grade: str
    leaves: int  # the size rule
    p10_on: date | None
    p50_on: date | None
    p90_on: date | None
    is_reached: bool = False  # by the last count, and rooted
    p_by_horizon_frac: float = 0.0  # chance of reaching it by the horizon, loss included


@dataclass(frozen=True, slots=True)
class PotOutlook:
    """One standing pot: how fast it grows and when it is ready."""

    pot: StandingPot
    rate_per_30d: Span  # new leaves in 30 days, once it grows
    leaves: Span  # leaves now
    dates: tuple[GradeDate, ...]  # one a grade, the smallest first
    p_ready_frac: float  # chance of standing at the small grade or better today
    p_lost_per_30d_frac: float
    is_slow: bool = False  # surely slower than its batch
    is_odd: bool = False  # a count that hardly fits what was counted before
    why: str = ""  # in words, where slow or odd


@dataclass(frozen=True, slots=True)
class ReadyCount:
    """How many pots of a taxon (or batch) stand at a grade or better on a day."""

    taxon: int
    taxon_name: str
    grade: str
    on: date
    p10: float
    p50: float
    p90: float
    mean: float
    batch: int | None = None  # None: all batches of the taxon


@dataclass(frozen=True, slots=True)
class BatchOutlook:
    """One batch that has pots standing."""

    batch: int
    batch_name: str
    taxon: int
    taxon_name: str
    pots: int  # standing, kept ones included
    rate_per_30d: Span
    loss_per_30d_frac: Span
    half_ready: tuple[GradeDate, ...]  # when half of the pots that stand today have the grade
    counts: tuple[ReadyCount, ...]
    last_counted_on: date | None
    slow: tuple[int, ...] = ()  # keys of slow pots


@dataclass(frozen=True, slots=True)
class TaxonOutlook:
    """One taxon with pots standing."""

    taxon: int
    taxon_name: str
    pots: int
    kept: int
    rate_per_30d: Span
    prior_rate_per_30d: Span  # the starting value, to be seen beside it
    settling_loss_frac: Span
    loss_per_30d_frac: Span
    ready_now: Mapping[str, Span]  # grade -> pots at exactly this grade, kept ones left out
    counts: tuple[ReadyCount, ...]  # by grade and date, at this grade or better, kept ones left out
    counted_pots: int  # pots with at least one count after potting


@dataclass(frozen=True, slots=True)
class StockOutlook:
    """The whole stock, from today to the horizon."""

    on: date
    horizon_on: date
    taxa: tuple[TaxonOutlook, ...]
    batches: tuple[BatchOutlook, ...]
    pots: tuple[PotOutlook, ...]
    count_next: str = ""  # the one count that would narrow the forecast most, in words
    workings: tuple[Working, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class GrowthDraws:
    """Joint draws of how a taxon grows, for scenarios and futures: each array-like one value a draw."""

    taxon: int
    leaf_rate_per_30d: tuple[float, ...]  # of a usual pot of the taxon today, all taxa drawn together
    lag_days: tuple[float, ...]
    settling_loss_frac: tuple[float, ...]
    loss_per_30d_frac: tuple[float, ...]
    pot_sigma_log: float  # spread between pots of a batch
    leaf_life_days: float
    tips_per_30d: float


@dataclass(frozen=True, slots=True)
class ForecastFact:
    """A forecast that was shown, as kept, and what came of it."""

    key: int
    made_on: date
    kind: str  # "ready count", "ready date", "leaves"
    subject: str  # in words, such as "Bucephalandra, standard or better"
    about_on: date | None  # the date a count is about
    p10: float  # a count, or a date as its ordinal
    p50: float
    p90: float
    naive: float | None  # "same as last time"
    outcome: float | None = None
    settled_on: date | None = None
    why_open: str = ""  # what is missing for it to be scored
    taxon: int | None = None  # keys of what it is about
    batch: int | None = None
    pot: int | None = None
    grade: str = ""
    quantiles: tuple[float, ...] = ()  # evenly spaced, for the score of the whole distribution


@dataclass(frozen=True, slots=True)
class ScoreLine:
    """The record of one kind of forecast."""

    kind: str
    forecasts: int
    scored: int
    inside_frac: float | None  # share of outcomes inside the 80 % range
    inside_low_frac: float | None  # 95 % range of that share, from the count alone
    inside_high_frac: float | None
    width: float | None  # mean width of the range
    crps: float | None
    naive_crps: float | None  # of "same as last time"
    unit: str = ""  # "pots", "days", "leaves"
    verdict: str = ""
