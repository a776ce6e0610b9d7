"""Price and number of a line for the next release: raise, lower, offer more or fewer, hold, or learn."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.plain.demand import DemandDraws
from halfwater.plain.pricing import LineToPrice, PriceAdvice, PricingRules
from halfwater.planning.line_sales import Market, market_of
from halfwater.planning.price_words import told
from halfwater.science.starting import MOST_PRICE_MOVE_FRAC

Floats = NDArray[np.float64]
SURE_FRAC = 0.8  # so many worlds must agree before an advice is sure
SURE_UNTRIED_FRAC = 0.95  # and so many while no price was ever changed: the response is then a guess
LEAST_RELEASES = 3  # from fewer nothing is sure, whatever they were like
WORTH_MOVING_FRAC = 0.01  # of what is earned now: for less nothing is changed
WORTH_KNOWING_FRAC = 0.05  # of what is earned now: if knowing everything brought less, enough is known
TRIAL_LOSS_FRAC = 0.05  # of what is earned now: a trial may cost so much on the mean
WIDEST = (0.5, 2.5)  # the best price is looked for from half to two and a half times today's
COLUMNS = 36


@dataclass(frozen=True, slots=True)
class _Weighed:
    """Every price of a line weighed against today's."""

    market: Market
    numbers: tuple[int, ...]  # the best number at each price
    gains_minor: Floats  # worlds x prices, each with its best number
    now: int  # the column of today's price
    now_number: int
    now_minor: Floats  # today's price and number, in each world
    allowed: tuple[int, ...]  # columns within the grower's rules

    @property
    def more(self) -> Floats:
        """What each price earns more than now, in each world."""
        more: Floats = self.gains_minor - self.now_minor[:, None]
        return more

    @property
    def scale_minor(self) -> float:
        """What is earned now, and never less than one plant's price: shares are of it."""
        return max(float(self.now_minor.mean()), float(self.market.price_minor[self.now]))


def advise_price(
    line: LineToPrice,
    draws: DemandDraws,
    rules: PricingRules,
    currency: str,
    seed: int = 0,
) -> PriceAdvice:
    """Advice for the price and number of one line.

    Parameters
    ----------
    line : LineToPrice
        What is ready, what was asked, what a plant costs and is worth if kept.
    draws : DemandDraws
        Forecast of its demand at any one price, with the price response of each world.
    rules : PricingRules
        The grower's own: steps, most move, least and most price.
    currency : str
        For the sentences.
    seed : int
        For the luck of a release. [1] Valid 0 upward.

    Returns
    -------
    PriceAdvice
        Price, number, ranges, verdict, sentences and working. [minor]

    Raises
    ------
    RefusedInput
        If a number of the line or the rules cannot be used, or the draws are of another line.

    Notes
    -----
    The price with the greatest mean gain over keeping the plants, among those that are sure: at least 80 of
    100 worlds agree (95 while no price was ever changed), by 1 % or more, and three releases taught it. Hold
    if knowing everything would bring less than 5 % more; else it cannot be known yet and today's price
    stands. Where a kept plant is worth more than any allowed price brings, none is offered, and no release is
    needed to know that.

    Source: own definition
    """
    _check_line(line)
    _check_rules(rules)
    weighed = _weigh(line, draws, rules, seed)
    verdict, column, number = _verdict(weighed, draws)
    return _advice(weighed, draws, verdict, column, number, currency, is_trial=False)


def advise_release(
    lines: Sequence[LineToPrice],
    draws: Sequence[DemandDraws],
    rules: PricingRules,
    currency: str,
    seed: int = 0,
) -> tuple[PriceAdvice, ...]:
    """Advice for all lines of a release, with the one line whose price is worth trying.

    Parameters
    ----------
    lines : sequence of LineToPrice
        The lines.
    draws : sequence of DemandDraws
        The forecast for each, in the same order.
    rules : PricingRules
        The grower's own.
    currency : str
        For the sentences.
    seed : int
        For the luck of a release. [1] Valid 0 upward.

    Returns
    -------
    tuple of PriceAdvice
        In the order of the lines. [minor]

    Raises
    ------
    RefusedInput
        If the lengths differ, or a line, its draws or the rules cannot be used.

    Notes
    -----
    Of the lines that cannot be known yet, those for which knowing would bring most carry a trial: the allowed
    move with the greatest mean gain, if it costs at most 5 % of what is earned now. The others keep their
    price, so that a good or bad day is told apart from the price.

    Source: own definition
    """
    _check_rules(rules)
    if len(lines) != len(draws):
        raise RefusedInput("draws", len(draws), f"one forecast for each of {len(lines)} lines")
    for line in lines:
        _check_line(line)
    weighed = [_weigh(line, one, rules, seed) for line, one in zip(lines, draws, strict=True)]
    found = [_verdict(one, draw) for one, draw in zip(weighed, draws, strict=True)]
    open_ones = [place for place, (verdict, _, _) in enumerate(found) if verdict == "cannot know yet"]
    trials: dict[int, int] = {}
    for place in sorted(open_ones, key=lambda place: -_worth_knowing(weighed[place])):
        column = (
            _trial(weighed[place]) if draws[place].releases else None
        )  # nothing to compare the first with
        if column is not None and len(trials) < rules.lines_on_trial:
            trials[place] = column
    advices = []
    for place, (verdict, column, number) in enumerate(found):
        if place in trials:
            column, number = trials[place], weighed[place].numbers[trials[place]]
        advices.append(
            _advice(weighed[place], draws[place], verdict, column, number, currency, is_trial=place in trials)
        )
    return tuple(advices)


def _weigh(line: LineToPrice, draws: DemandDraws, rules: PricingRules, seed: int) -> _Weighed:
    prices = _prices(line.price_minor, rules)
    market = market_of(line, draws, prices, seed)
    numbers = tuple(market.best_number(column) for column in range(len(prices)))
    gains = np.column_stack([market.expected_gain(column, number) for column, number in enumerate(numbers)])
    now = market.column(line.price_minor)
    low, high = _bounds(line.price_minor, rules)
    allowed = tuple(int(one) for one in np.flatnonzero((prices >= low) & (prices <= high)))
    now_minor = market.expected_gain(now, line.offered)
    return _Weighed(market, numbers, gains, now, line.offered, now_minor, allowed)


def _verdict(weighed: _Weighed, draws: DemandDraws) -> tuple[str, int, int]:
    """What to do: verdict, column of the price, number."""
    stay = min(weighed.allowed, key=lambda one: abs(one - weighed.now))
    number = weighed.now_number if stay == weighed.now else weighed.numbers[stay]
    if not weighed.market.line.ready:
        return "hold", stay, 0
    if not any(weighed.numbers[one] for one in weighed.allowed):
        return "offer fewer", stay, 0
    if draws.releases < LEAST_RELEASES:
        return "cannot know yet", stay, number
    agree = SURE_FRAC if draws.prices_tried else SURE_UNTRIED_FRAC
    best_here = weighed.gains_minor[:, stay] if stay == weighed.now else weighed.now_minor
    moves = [one for one in weighed.allowed if one != weighed.now]
    sure = [one for one in moves if _is_sure(weighed, weighed.gains_minor[:, one] - best_here, agree)]
    if sure:
        column = max(sure, key=lambda one: float(weighed.gains_minor[:, one].mean()))
        return ("raise" if column > weighed.now else "lower"), column, weighed.numbers[column]
    if stay == weighed.now and _is_sure(weighed, weighed.more[:, stay], SURE_FRAC):
        more_or_fewer = "offer more" if weighed.numbers[stay] > weighed.now_number else "offer fewer"
        return more_or_fewer, stay, weighed.numbers[stay]
    is_known = _worth_knowing(weighed) < WORTH_KNOWING_FRAC * weighed.scale_minor
    return ("hold" if is_known else "cannot know yet"), stay, number


def _is_sure(weighed: _Weighed, more: Floats, agree_frac: float) -> bool:
    """Whether it earns more, by enough, in nearly all worlds."""
    is_enough = float(more.mean()) > WORTH_MOVING_FRAC * weighed.scale_minor
    return is_enough and float((more > 0.0).mean()) >= agree_frac


def _worth_knowing(weighed: _Weighed) -> float:
    """What knowing the demand for certain would bring on the mean, within the allowed prices. [minor]"""
    gains = weighed.gains_minor[:, weighed.allowed]
    best_known = np.maximum(gains.max(axis=1), weighed.now_minor)
    return float(best_known.mean() - max(float(gains.mean(axis=0).max()), float(weighed.now_minor.mean())))


def _trial(weighed: _Weighed) -> int | None:
    """The price to try: an end of what is allowed, the better one on the mean, unless it costs much."""
    ends = {min(weighed.allowed), max(weighed.allowed)} - {weighed.now}
    sound = [one for one in ends if weighed.numbers[one]]
    if not sound:
        return None
    best = max(sound, key=lambda one: (float(weighed.gains_minor[:, one].mean()), one))
    is_dear = float(weighed.more[:, best].mean()) < -TRIAL_LOSS_FRAC * weighed.scale_minor
    return None if is_dear else best


def _advice(
    weighed: _Weighed,
    draws: DemandDraws,
    verdict: str,
    column: int,
    number: int,
    currency: str,
    *,
    is_trial: bool,
) -> PriceAdvice:
    market, line = weighed.market, weighed.market.line
    low, high, is_open = _best_prices(weighed)
    few, many = np.quantile(np.minimum(market.wanted[:, column], line.ready), (0.1, 0.9))
    more = market.drawn_gain(column, number) - market.drawn_gain(weighed.now, weighed.now_number)
    less, much = (float(one) for one in np.quantile(more, (0.1, 0.9)))
    advice = PriceAdvice(
        taxon=line.taxon,
        taxon_name=line.taxon_name,
        grade=line.grade,
        verdict=verdict,
        price_minor=int(market.price_minor[column]),
        offered=number,
        best_price_p10_minor=low,
        best_price_p90_minor=high,
        is_best_price_open=is_open,
        offered_p10=int(few),
        offered_p90=int(many),
        now=market.choice(weighed.now, weighed.now_number, weighed.now_minor),
        then=market.choice(column, number, weighed.now_minor),
        more_minor=float((market.expected_gain(column, number) - weighed.now_minor).mean()),
        more_p10_minor=less,
        more_p90_minor=much,
        releases=draws.releases,
        is_trial=is_trial,
        choices=tuple(market.choice(one, weighed.numbers[one], weighed.now_minor) for one in weighed.allowed),
    )
    column_to_try = None if is_trial or not draws.releases else _trial(weighed)
    to_try = None if column_to_try is None else int(market.price_minor[column_to_try])
    return told(advice, line, draws, to_try, LEAST_RELEASES, currency)


def _best_prices(weighed: _Weighed) -> tuple[int, int, bool]:
    """Where the best price lies, far and wide; and whether the upper end is only that of the search."""
    prices = weighed.market.price_minor
    best = prices[weighed.gains_minor.argmax(axis=1)]
    low, high = (int(one) for one in np.quantile(best, (0.1, 0.9), method="inverted_cdf"))
    return low, high, high == int(prices[-1])


def _bounds(price_minor: int, rules: PricingRules) -> tuple[int, int]:
    """How far the price may move now: the most move, or one step; the grower's own ends stand above it."""
    step = rules.price_step_minor
    most = MOST_PRICE_MOVE_FRAC if rules.most_move_frac is None else rules.most_move_frac
    move = int(max(most * price_minor, step)) if most else 0
    low, high = max(price_minor - move, 1), price_minor + move
    if rules.least_price_minor is not None:
        low, high = max(low, rules.least_price_minor), max(high, rules.least_price_minor)
    if rules.most_price_minor is not None:
        low, high = min(low, rules.most_price_minor), min(high, rules.most_price_minor)
    return low, high


def _prices(price_minor: int, rules: PricingRules) -> Floats:
    """Today's price, the steps that are allowed next (not too many), and others far and wide."""
    step = rules.price_step_minor
    low, high = _bounds(price_minor, rules)
    near = np.arange(math.ceil(low / step), math.floor(high / step) + 1) * step
    keep = np.unique(np.linspace(0, len(near) - 1, min(len(near), COLUMNS)).round().astype(int))
    ours = near[keep] if len(near) else np.array([min(max(price_minor, low), high)])
    far = np.geomspace(WIDEST[0] * price_minor, WIDEST[1] * price_minor, COLUMNS)
    stepped = np.maximum(np.rint(far / step), 1) * step
    outside = stepped[(stepped < low) | (stepped > high)]
    return np.unique(np.concatenate([[price_minor], ours, outside])).astype(float)


def _check_line(line: LineToPrice) -> None:
    if line.price_minor <= 0:
        raise RefusedInput("price_minor", line.price_minor, "a price above 0")
    if line.ready < 0:
        raise RefusedInput("ready", line.ready, "plants from 0")
    if not 0 <= line.offered <= line.ready:
        raise RefusedInput("offered", line.offered, f"from 0 to the {line.ready} that are ready")
    for name in ("reserve_minor", "sale_cost_minor", "left_cost_minor"):
        if getattr(line, name) < 0:
            raise RefusedInput(name, getattr(line, name), "0 or more")
    if not 0.0 <= line.fee_frac < 1.0:
        raise RefusedInput("fee_frac", line.fee_frac, "a share from 0 up to below 1")


def _check_rules(rules: PricingRules) -> None:
    if rules.price_step_minor <= 0:
        raise RefusedInput("price_step_minor", rules.price_step_minor, "one coin or more")
    if rules.most_move_frac is not None and not 0.0 <= rules.most_move_frac <= 0.5:
        raise RefusedInput("most_move_frac", rules.most_move_frac, "a share from 0 to 0.5")
    if rules.lines_on_trial < 0:
        raise RefusedInput("lines_on_trial", rules.lines_on_trial, "lines from 0")
    ends = (rules.least_price_minor, rules.most_price_minor)
    if ends[0] is not None and ends[1] is not None and ends[0] > ends[1]:
        raise RefusedInput("least_price_minor", ends[0], f"at most the most price, {ends[1]}")
