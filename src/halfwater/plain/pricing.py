"""What a line of a release is sold for: what the grower says of it, and the advice that comes back."""

from dataclasses import dataclass

from halfwater.plain.working import Working

VERDICTS = ("raise", "lower", "offer more", "offer fewer", "hold", "cannot know yet")


@dataclass(frozen=True, slots=True, kw_only=True)
class LineToPrice:
    """A line of the next release before its price is settled."""

    taxon: int
    taxon_name: str
    grade: str
    price_minor: int  # asked last, or meant to be asked
    offered: int  # plants meant to be offered
    ready: int  # plants that could be offered at most
    reserve_minor: int  # what a plant that is kept is worth: by the cutting plan, or what it has cost so far
    sale_cost_minor: int = 0  # what selling one costs: lifting, packing, what the postage paid does not cover
    fee_frac: float = 0.0  # share of the price that goes to the shop or the bank
    left_cost_minor: int = 0  # what a plant loses by being offered and not sold (one-time lots)


@dataclass(frozen=True, slots=True, kw_only=True)
class PricingRules:
    """The grower's own rules; they stand above every advice."""

    price_step_minor: int = 50  # prices are multiples of it
    most_move_frac: float | None = None  # so far a price moves from release to release; None: starting value
    least_price_minor: int | None = None
    most_price_minor: int | None = None
    lines_on_trial: int = 1  # how many lines of a release may carry a price that is tried only to learn


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceChoice:
    """One price that could be asked, with the best number of plants for it."""

    price_minor: int
    offered: int
    wanted_p10: int
    wanted_p50: int
    wanted_p90: int
    p_sold_out: float
    gain_minor: float  # mean, over keeping every plant
    gain_p10_minor: float
    gain_p90_minor: float
    p_better: float  # chance that it earns more than today's price and number


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceAdvice:
    """What to ask and how many to offer, how sure that is, and what would make it surer."""

    taxon: int
    taxon_name: str
    grade: str
    verdict: str  # one of VERDICTS
    price_minor: int  # to ask at this release
    offered: int  # to offer at this release
    best_price_p10_minor: int  # where the best price lies, as far as is known: 80 % range
    best_price_p90_minor: int
    is_best_price_open: bool  # the upper end is only where the search ended
    offered_p10: int  # how many would be the right number at that price: 80 % range
    offered_p90: int
    now: PriceChoice  # today's price and number
    then: PriceChoice  # the suggested ones
    more_minor: float  # what the advice earns more than now: mean and 80 % range
    more_p10_minor: float
    more_p90_minor: float
    releases: int  # past releases that taught something about this line
    is_trial: bool  # the price is tried to learn from it
    sentence: str = ""  # what to do
    reason: str = ""  # why
    to_learn: str = ""  # what to try to know more
    cautions: tuple[str, ...] = ()
    choices: tuple[PriceChoice, ...] = ()  # price by price, for the picture
    workings: tuple[Working, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceTable:
    """Which price to ask with so many pots left and so many hours to go."""

    hours_left_h: tuple[float, ...]  # columns, the most first
    pots_left: tuple[int, ...]  # rows, the most first
    price_minor: tuple[tuple[int, ...], ...]  # a row for each of pots_left
    earned_minor: tuple[tuple[float, ...], ...]  # what is then still to be earned, over keeping them
    fixed_price_minor: int  # the best price for someone who never moves it
    fixed_earned_minor: float
    workings: tuple[Working, ...] = ()
    cautions: tuple[str, ...] = ()
