"""From past lines to answers: what was wanted, by taxon and grade, and what a next line meets."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.plain.demand import (
    DemandDraws,
    DemandOutlook,
    Interest,
    KindOutlook,
    LineOutlook,
    PastLine,
    PriceResponse,
)
from halfwater.plain.growing import Span
from halfwater.planning.demand_facts import DemandFacts, LineTimes, demand_facts
from halfwater.planning.demand_words import demand_workings, learn_next, why_line, why_price
from halfwater.science import starting
from halfwater.science.arrivals import hours_until, order_moments
from halfwater.science.demand import DemandPosterior, demand_posterior
from halfwater.science.demand_draws import (
    NextDraws,
    NextLine,
    SharedDraws,
    next_draws,
    past_draws,
    sell_out_hours,
    shared_draws,
)

Floats = NDArray[np.float64]

DRAWS = 1000
_PAST_DRAWS = 400  # are enough for the range of a line that is over
_FURTHEST = 100  # times: nobody knows what buyers do at such a price
_Z90 = 1.2815515655446004  # the 90 % place of the normal law
_NARROWED = 0.8  # a law is learned once its spread is below this share of the starting one


@dataclass(frozen=True)
class LearnedDemand:
    """What past lines taught, to be asked about next lines as often as one likes."""

    past: tuple[PastLine, ...]
    now_at: datetime
    facts: DemandFacts
    posterior: DemandPosterior


def learn_demand(past: Sequence[PastLine], now: datetime, *, open_days: float | None = None) -> LearnedDemand:
    """What past lines teach of demand; fitted once, asked often.

    Parameters
    ----------
    past : sequence of PastLine
        Lines that were opened by now, in any order; none is fine.
    now : datetime
        The instant of the answer.
    open_days : float, optional
        How long a line is taken to stay open; else what past lines did. [d] Valid above 0.

    Returns
    -------
    LearnedDemand
        The fit, with the lines it is from. [1]

    Notes
    -----
    See demand_posterior for the model and demand_facts for how a line is read.

    Source: own definition
    """
    facts = demand_facts(past, now, open_days)
    posterior = demand_posterior(facts.lines, facts.sizes, len(facts.taxa), len(facts.grades))
    return LearnedDemand(tuple(past), now, facts, posterior)


def demand_outlook(
    past: Sequence[PastLine] | LearnedDemand,
    now: datetime,
    *,
    open_days: float | None = None,
    draws: int = DRAWS,
    seed: int = 0,
) -> DemandOutlook:
    """Demand as it is known: of each past line, of each taxon and grade, in price and in time.

    Parameters
    ----------
    past : sequence of PastLine, or LearnedDemand
        Lines that were opened by now, or what was learned from them.
    now : datetime
        The instant of the answer.
    open_days : float, optional
        How long a line is taken to stay open; else what past lines did. [d] Valid above 0.
    draws : int
        How many worlds are drawn. Valid 1 upward.
    seed : int
        Of the chance. Valid 0 upward.

    Returns
    -------
    DemandOutlook
        Lines in the order they were given; medians with 80 % ranges. [1]

    Notes
    -----
    Quantiles of joint draws. A line that closed with plants left has wanted what it sold. An open line's
    wanted counts to its usual closing, its unmet only what its plants left cannot cover.

    Source: own definition
    """
    learned = past if isinstance(past, LearnedDemand) else learn_demand(past, now, open_days=open_days)
    rng = np.random.default_rng(seed)
    common = shared_draws(learned.posterior, rng, draws)
    more = _more_draws(learned, common, rng)
    unmet = _unmet(learned, more)
    lines = _line_outlooks(learned, more, unmet)
    price = _price_response(learned, common)
    interest = _interest(learned, common)
    kinds = tuple(_kind_outlook(learned, common, taxon, grade, seed) for taxon, grade in learned.facts.kinds)
    return DemandOutlook(
        now,
        lines,
        kinds,
        price,
        interest,
        learned.facts.open_days,
        learn_next(learned.past, price, interest),
        demand_workings(lines, price, interest, learned.facts.open_days),
        _span(unmet.sum(axis=1)),
        _unmet_by_release(learned.past, unmet),
    )


def predict(
    learned: LearnedDemand,
    taxon: int,
    grade: str,
    *,
    price_minor: int,
    offered: int,
    taxon_name: str = "",
    open_days: float | None = None,
    most_per_buyer: int | None = None,
    draws: int = DRAWS,
    seed: int = 0,
) -> DemandDraws:
    """Draws of what a next line would meet at a price.

    Parameters
    ----------
    learned : LearnedDemand
        What past lines taught.
    taxon : int
        Its key; one that was never sold is fine.
    grade : str
        Its grade.
    price_minor : int
        Price of one plant. [minor] Valid above 0.
    offered : int
        Plants on offer. [1] Valid 1 upward.
    taxon_name : str
        Its name, where no past line tells it.
    open_days : float, optional
        How long it stays open; else as past lines did. [d] Valid above 0.
    most_per_buyer : int, optional
        Most plants a buyer can take; none for no limit. Valid 1 upward.
    draws : int
        How many. Valid 1 upward.
    seed : int
        Of the chance: draw i is the same world at every price, offer and limit. Valid 0 upward.

    Returns
    -------
    DemandDraws
        Whole plants wanted, their mean, hours to the sell-out, elasticity, law of interest. [1]

    Raises
    ------
    RefusedInput
        If price, offer, days or limit are out of their range, or the price is more than a hundred times
        away from those asked so far.

    Notes
    -----
    See next_draws and sell_out_hours. A kind that was never offered has no price to compare with: its
    wanted is drawn from what other kinds and the starting values say, at any price alike.

    Source: own definition
    """
    _refuse_terms(learned, taxon, grade, price_minor, most_per_buyer)
    rng = np.random.default_rng(seed)
    common = shared_draws(learned.posterior, rng, draws)
    days = learned.facts.open_days if open_days is None else open_days
    drawn = _next(learned, common, taxon, grade, price_minor, days, most_per_buyer, rng)
    hours = sell_out_hours(drawn, offered, days * 24.0, learned.posterior.design.lines.held_frac)
    return _as_draws(
        learned, drawn, hours, (taxon, taxon_name, grade, price_minor, offered, days, most_per_buyer)
    )


Terms = tuple[int, str, str, int, int, float, int | None]


def _refuse_terms(
    learned: LearnedDemand, taxon: int, grade: str, price_minor: int, most_per_buyer: int | None
) -> None:
    if price_minor <= 0:
        raise RefusedInput("price_minor", price_minor, "a price above 0")
    asked = [line.price_minor for line in learned.past if (line.taxon, line.grade) == (taxon, grade)]
    if asked and not min(asked) / _FURTHEST <= price_minor <= max(asked) * _FURTHEST:
        accepted = f"a price no further than {_FURTHEST} times from those asked so far"
        raise RefusedInput("price_minor", price_minor, accepted)
    if most_per_buyer is not None and most_per_buyer < 1:
        raise RefusedInput("most_per_buyer", most_per_buyer, "one plant or more, or no limit")


def _as_draws(learned: LearnedDemand, drawn: NextDraws, hours: Floats, terms: Terms) -> DemandDraws:
    taxon, taxon_name, grade, price_minor, offered, days, most_per_buyer = terms
    own = [line for line in learned.past if (line.taxon, line.grade) == (taxon, grade)]
    names = [line.taxon_name for line in learned.past if line.taxon == taxon] or [taxon_name]
    return DemandDraws(
        taxon=taxon,
        taxon_name=names[-1],
        grade=grade,
        price_minor=price_minor,
        offered=offered,
        open_days=days,
        most_per_buyer=most_per_buyer,
        wanted=tuple(int(plants) for plants in drawn.wanted.tolist()),
        mean=tuple(drawn.mean.tolist()),
        sell_out_h=tuple(hours.tolist()),
        elasticity=tuple(drawn.elasticity.tolist()),
        rush_h=tuple(drawn.rush_h.tolist()),
        rush_frac=tuple(drawn.rush_frac.tolist()),
        tail_h=tuple(drawn.tail_h.tolist()),
        plants_per_order=_plants_per_order(learned, most_per_buyer),
        lines=len(own),
        releases=len({line.release for line in own}),
        prices=len({line.price_minor for line in own}),
        prices_tried=int(np.count_nonzero(learned.posterior.design.lines.price_log)),
        last_price_minor=max(own, key=lambda line: line.opened_at).price_minor if own else None,
    )


def _plants_per_order(learned: LearnedDemand, most_per_buyer: int | None) -> float:
    return float(order_moments(learned.facts.sizes.mean_chance, most_per_buyer or 0)[0])


def _next(
    learned: LearnedDemand,
    common: SharedDraws,
    taxon: int,
    grade: str,
    price_minor: int,
    days: float,
    most: int | None,
    rng: np.random.Generator,
) -> NextDraws:
    facts = learned.facts
    kind = facts.kinds.index((taxon, grade)) if (taxon, grade) in facts.kinds else -1
    line = NextLine(
        facts.taxa.index(taxon) if taxon in facts.taxa else -1,
        facts.grades.index(grade) if grade in facts.grades else -1,
        kind,
        float(np.log(price_minor / facts.reference_minor[kind])) if kind >= 0 else 0.0,
        days * 24.0,
        most or 0,
    )
    return next_draws(learned.posterior, common, line, rng)


def _more_draws(learned: LearnedDemand, common: SharedDraws, rng: np.random.Generator) -> Floats:
    """Plants wanted beyond what each past line sold: a row a world, a column a line as it was given."""
    facts = learned.facts
    if not learned.past:
        return np.zeros((1, 0))
    until = np.array([time.until_h for time in facts.times])
    every = max(1, len(common.node) // _PAST_DRAWS)
    some = SharedDraws(common.node[::every], common.shared[::every], common.add_chance[::every])
    drawn = past_draws(learned.posterior, some, until, rng).more
    return np.asarray(drawn[:, list(facts.place)], dtype=np.float64)


def _unmet(learned: LearnedDemand, more: Floats) -> Floats:
    """Of them, those that find nothing: an open line has plants left for some."""
    left = [line.offered - line.sold if _is_open(line, learned.now_at) else 0 for line in learned.past]
    return np.maximum(more - np.array(left, dtype=np.float64), 0.0)


def _is_open(line: PastLine, now: datetime) -> bool:
    return not line.is_sold_out and (line.closed_at is None or line.closed_at > now)


def _unmet_by_release(past: Sequence[PastLine], unmet: Floats) -> dict[int, Span]:
    releases = np.array([line.release for line in past])
    return {int(key): _span(unmet[:, releases == key].sum(axis=1)) for key in np.unique(releases)}


def _line_outlooks(learned: LearnedDemand, more: Floats, unmet: Floats) -> tuple[LineOutlook, ...]:
    facts = learned.facts
    return tuple(
        _line_outlook(line, facts.times[facts.place[at]], more[:, at], unmet[:, at])
        for at, line in enumerate(learned.past)
    )


def _line_outlook(line: PastLine, time: LineTimes, more: Floats, unmet: Floats) -> LineOutlook:
    wanted = line.sold + more
    span = _span(unmet)
    return LineOutlook(
        line,
        time.out_h,
        _span(wanted),
        span,
        float(wanted.mean()),
        float(unmet.mean()),
        line.opened_at + timedelta(hours=time.until_h),
        why_line(line, time, span),
    )


def _kind_outlook(
    learned: LearnedDemand, common: SharedDraws, taxon: int, grade: str, seed: int
) -> KindOutlook:
    own = [line for line in learned.past if (line.taxon, line.grade) == (taxon, grade)]
    last = max(own, key=lambda line: line.opened_at)
    drawn = _next(
        learned,
        common,
        taxon,
        grade,
        last.price_minor,
        learned.facts.open_days,
        last.most_per_buyer,
        np.random.default_rng([seed, taxon]),
    )
    return KindOutlook(
        taxon,
        last.taxon_name,
        grade,
        len(own),
        len({line.price_minor for line in own}),
        sum(line.sold for line in own),
        last.price_minor,
        _span(drawn.wanted),
        float(drawn.wanted.mean()),
    )


def _price_response(learned: LearnedDemand, common: SharedDraws) -> PriceResponse:
    bend = common.shared[:, learned.posterior.design.places.elasticity]
    wide = _Z90 * starting.ELASTICITY_SIGMA_LOG
    prior = Span(*(float(starting.ELASTICITY * np.exp(place * wide)) for place in (-1.0, 0.0, 1.0)))
    changes = int(np.count_nonzero(learned.posterior.design.lines.price_log))
    is_learned = changes > 0 and float(bend.std()) < _NARROWED * starting.ELASTICITY_SIGMA_LOG
    elasticity = _span(np.exp(bend)) if changes else prior
    return PriceResponse(elasticity, prior, changes, is_learned, why_price(elasticity, changes, is_learned))


def _interest(learned: LearnedDemand, common: SharedDraws) -> Interest:
    rush, tail = np.exp(common.shared[:, 0]), np.exp(common.shared[:, 2])
    part = 1.0 / (1.0 + np.exp(-common.shared[:, 1]))
    half = hours_until(0.5, rush, part, tail)
    is_learned = float(np.log(half).std()) < _NARROWED * _prior_half_sigma_log()
    return Interest(
        _span(half), _span(rush), _span(part), _span(tail), _plants_per_order(learned, None), is_learned
    )


def _prior_half_sigma_log() -> float:
    """Spread of the logarithm of the hours by which half has come, before any line."""
    places = np.linspace(-1.5, 1.5, 7)
    rush = starting.RUSH_H * np.exp(starting.RUSH_SIGMA_LOG * places)[:, None]
    odds = np.log(starting.RUSH_FRAC / (1.0 - starting.RUSH_FRAC)) + starting.RUSH_ODDS_SIGMA_LOG * places
    return float(np.log(hours_until(0.5, rush, 1.0 / (1.0 + np.exp(-odds)), starting.TAIL_H)).std())


def _span(values: Floats) -> Span:
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9))
    return Span(float(low), float(middle), float(high))
