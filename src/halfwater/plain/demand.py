"""What buyers wanted in past releases, and what they may want in the next one, as plain data."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from halfwater.plain.growing import Span
from halfwater.plain.working import Working


@dataclass(frozen=True, slots=True)
class Sale:
    """One order's share of a line: when it came and how many plants it took."""

    at: datetime  # a hold given before the opening keeps its own, earlier instant
    plants: int
    cancelled_at: datetime | None = None  # from then on its plants were on offer again


@dataclass(frozen=True, slots=True)
class PastLine:
    """One line of a past or open release. Instants are UTC; any of them may be known to the minute only."""

    release: int
    release_name: str
    taxon: int
    taxon_name: str
    grade: str
    price_minor: int  # of one plant
    offered: int  # plants, holds before the opening included
    opened_at: datetime
    closed_at: datetime | None  # None: open still, or closed by selling out
    sales: tuple[Sale, ...]  # empty where only the totals are known
    sold: int  # plants that stayed sold
    sold_out_at: datetime | None = None  # None: not sold out, or nobody knows when
    most_per_buyer: int | None = None
    line: int | None = None  # its key in the book

    @property
    def is_sold_out(self) -> bool:
        """Whether nothing was left in the end."""
        return self.sold >= self.offered


@dataclass(frozen=True, slots=True)
class LineOutlook:
    """What a past line's sales say of all who would have bought."""

    line: PastLine
    sold_out_after_h: float | None  # None: not sold out, or not known when
    wanted: Span  # plants that would have been taken until it closed, had there been enough
    unmet: Span  # of them, those that found nothing
    mean_wanted: float
    mean_unmet: float
    until_at: datetime  # the instant up to which wanted is counted
    why: str = ""  # in words: what the answer rests on, where it is wide or odd


@dataclass(frozen=True, slots=True)
class KindOutlook:
    """One taxon in one grade: what the next release may want at the price asked last."""

    taxon: int
    taxon_name: str
    grade: str
    lines: int  # past ones
    prices: int  # different prices asked so far
    sold: int
    price_minor: int  # asked last
    wanted: Span
    mean_wanted: float


@dataclass(frozen=True, slots=True)
class PriceResponse:
    """How much fewer are wanted when the price goes up: wanted falls as price to the power -elasticity."""

    elasticity: Span
    prior_elasticity: Span  # the starting value, to be seen beside it
    price_changes: int  # lines sold at another price than the first of their kind
    is_learned: bool  # False: the starting value, hardly narrowed by any price change
    why: str = ""


@dataclass(frozen=True, slots=True)
class Interest:
    """How interest comes after an opening: a rush that fades, and a slow tail."""

    half_h: Span  # by then half of all who would buy have come
    rush_h: Span  # time constant of the rush
    rush_frac: Span  # share of all that comes with the rush
    tail_h: Span  # time constant of the tail
    plants_per_order: float
    is_learned: bool  # False: hardly narrower than the starting values


@dataclass(frozen=True, slots=True)
class DemandOutlook:
    """Demand as it is known now."""

    now_at: datetime
    lines: tuple[LineOutlook, ...]  # in the order they were given
    kinds: tuple[KindOutlook, ...]
    price_response: PriceResponse
    interest: Interest
    open_days: float  # how long a line is taken to stay open where nothing else is said
    learn_next: str = ""  # the one thing that would narrow the answer most, in words
    workings: tuple[Working, ...] = field(default=())
    unmet: Span = field(default_factory=lambda: Span(0.0, 0.0, 0.0))  # of all lines together, drawn together
    unmet_by_release: Mapping[int, Span] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class DemandDraws:
    """Joint draws of what a next line would meet: each tuple has one value a draw.

    With one seed, draw i is the same world at every price, offer and limit: compare prices draw by draw.
    """

    taxon: int
    taxon_name: str
    grade: str
    price_minor: int
    offered: int
    open_days: float
    most_per_buyer: int | None
    wanted: tuple[int, ...]  # plants asked for while it is open, had there been enough
    mean: tuple[float, ...]  # what wanted is drawn around
    sell_out_h: tuple[float, ...]  # after the opening; inf where it does not sell out while open
    elasticity: tuple[float, ...]  # mean at another price = mean x (price / this price)^-elasticity
    rush_h: tuple[float, ...]  # how interest comes in this draw: share come by t hours is
    rush_frac: tuple[float, ...]  # 1 - rush_frac exp(-t / rush_h) - (1 - rush_frac) exp(-t / tail_h)
    tail_h: tuple[float, ...]
    plants_per_order: float
    lines: int  # past lines of this taxon and grade
    releases: int  # past releases with it
    prices: int  # different prices it was asked at
    prices_tried: int  # lines of any kind sold at another price than the first of their kind
    last_price_minor: int | None  # None: never offered
