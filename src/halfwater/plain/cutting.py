"""The cutting plan as plain data: what it is made from and what it says."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from halfwater.plain.growing import GrowthDraws, Span
from halfwater.plain.stock import CuttingHabit, PriceFact
from halfwater.plain.working import Working


@dataclass(frozen=True, slots=True)
class PlanPot:
    """A standing pot as the plan sees it."""

    key: int
    name: str  # batch and number
    tank: str
    spot: str
    leaves: float  # expected today
    age_days: float
    is_settled: bool  # past its lag: it makes leaves
    is_kept: bool
    sections: int  # it gives when cut today, itself included
    rate_factor: float = 1.0  # its pace against a usual pot of the taxon


@dataclass(frozen=True, slots=True)
class PlanTaxon:
    """A taxon as the plan sees it."""

    key: int
    name: str
    grade_leaves: Mapping[str, int]
    first_leaves: float
    section_mm: float
    mm_per_leaf: float  # rhizome made with each leaf
    pots: tuple[PlanPot, ...]
    draws: GrowthDraws


@dataclass(frozen=True, slots=True)
class PlanTank:
    """Spots of a tank, and how many of them are free."""

    key: int
    name: str
    spots: int
    free: tuple[str, ...]
    minutes_a_week: float = 0.0  # the tank's own round, for the worth of one more tank


@dataclass(frozen=True, slots=True)
class Wish:
    """Something the grower insists on; wishes that cannot stand together are named."""

    kind: str  # "least sold", "least kept", "least income", "most minutes"
    taxon: int | None = None
    grade: str = ""
    on: date | None = None  # a release; None: each release
    amount: float = 0.0

    words: str = ""


@dataclass(frozen=True, slots=True)
class PlanFacts:
    """All that a cutting plan is made from."""

    on: date  # a Monday or any day: week 0 begins here
    weeks: int
    taxa: tuple[PlanTaxon, ...]
    tanks: tuple[PlanTank, ...]
    prices: tuple[PriceFact, ...]
    habit: CuttingHabit
    wishes: tuple[Wish, ...] = ()
    scenarios: int = 12
    near_weeks: int = 8  # decided in whole pots; the scenarios share them
    seed: int = 1
    currency: str = ""


@dataclass(frozen=True, slots=True)
class Action:
    """One thing to do in a week, down to the pots."""

    week: int
    on: date  # the first day of the week
    kind: str  # "cut", "sell", "keep", "let go" (a kept pot that may be sold), "move"
    taxon: int
    taxon_name: str
    grade: str  # of the pots concerned; "" for "keep" and "move"
    pots: int
    sections: int = 0  # a cut makes
    minutes: float = 0.0
    named: tuple[PlanPot, ...] = ()  # for this week and the next, as far as the pots are known
    to_tank: str = ""
    to_spots: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True, slots=True)
class ReleaseLine:
    """What a release offers of a taxon and grade."""

    on: date
    taxon: int
    taxon_name: str
    grade: str
    pots: Span
    offered: int | None  # whole pots, where the week is near enough to promise
    price_minor: int
    income_minor: float  # expected


@dataclass(frozen=True, slots=True)
class Worth:
    """What a little more of something would bring, over the plan's weeks."""

    what: str  # "one more spot", "one more tank", "one more hour a week"
    worth_minor: float
    detail: str = ""


@dataclass(frozen=True, slots=True)
class KeptWorth:
    """What a pot of a grade that is not sold in the next release would still bring, by the plan."""

    taxon: int
    grade: str
    worth_minor: float  # of one pot: sold or cut later, less what its spot would bring meanwhile


@dataclass(frozen=True, slots=True)
class SteadyYield:
    """What today's floors and habit could give week after week, for ever."""

    taxon: int
    taxon_name: str
    sold_a_month: Mapping[str, float]  # grade -> pots
    cut_a_month: float
    pots_standing: float
    pots_now: float
    income_minor_a_month: float


@dataclass(frozen=True, slots=True)
class PolicyResult:
    """One way of running the nursery, over the same futures as the others."""

    name: str  # "the plan", "sell all that is ready", "keep a fifth"
    income_minor: Span
    mean_income_minor: float
    end_worth_minor: float  # mean
    start_worth_minor: float
    p_end_below_start_frac: float
    sold: float  # mean pots


@dataclass(frozen=True, slots=True)
class StagePay:
    """Where an hour of care pays most: elasticity of the growth rate, by stage and kind of care."""

    taxon_name: str
    stage: str
    care: str  # "fewer losses" or "faster growth"
    elasticity: float


@dataclass(frozen=True, slots=True)
class HabitView:
    """The stock under today's habits, as a population."""

    taxon: int
    taxon_name: str
    stages: tuple[str, ...]
    matrix: tuple[tuple[float, ...], ...]  # of four weeks, columns to rows
    growth_a_month: float  # factor
    is_settling_down: bool  # primitive: one stable structure is approached
    stable: tuple[float, ...]
    standing: tuple[float, ...]  # today's structure
    elasticities: tuple[tuple[float, ...], ...]
    pays: tuple[StagePay, ...]
    said: str = ""


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """The plan, with its proof."""

    on: date
    weeks: int
    status: str  # "optimal", "infeasible", "unbounded", "stopped early"; only the first is called a plan
    gap_frac: float | None
    actions: tuple[Action, ...]
    releases: tuple[ReleaseLine, ...]
    income_minor: Span
    mean_income_minor: float
    worths: tuple[Worth, ...]
    steady: tuple[SteadyYield, ...]
    stock_ahead: Mapping[str, tuple[float, ...]]  # taxon name -> mean pots standing, week by week
    conflicts: tuple[str, ...] = ()  # rules that cannot stand together, in words
    checked: tuple[str, ...] = ()  # what the independent verifier found to hold, in words
    faults: tuple[str, ...] = ()  # what it found broken; a plan with any is not shown as one
    cautions: tuple[str, ...] = ()
    currency: str = ""
    solve_s: float = 0.0
    all_s: float = 0.0
    workings: tuple[Working, ...] = field(default=())
    kept_worths: tuple[KeptWorth, ...] = ()  # a plan kept by an older book has none


@dataclass(frozen=True, slots=True)
class KeptPlan:
    """A plan as the book keeps it: plain JSON, when it was made, and a digest of what it was made from."""

    key: int
    made_at: datetime
    inputs_digest: str
    plan: Mapping[str, object]
