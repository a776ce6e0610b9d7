"""Markets with hidden buyers to try prices on; nothing here knows the model of demand or of prices.

Every visitor is drawn: the minute at which he comes, what a plant is worth to him, how many he takes. Both
prices meet the same visitors. What a plant is worth to them follows a power law, or a bell on the log scale,
which no constant price response describes.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np

from halfwater.plain.demand import PastLine, Sale
from halfwater.plain.pricing import LineToPrice, PriceAdvice, PricingRules
from halfwater.planning.demand import learn_demand, predict
from halfwater.planning.price import advise_release

FIRST = datetime(2026, 1, 10, 18, tzinfo=UTC)
EVERY = timedelta(days=28)
OPEN_H = 168.0
RESERVE, SALE_COST, FEE = 300, 60, 0.03
RULES = PricingRules(price_step_minor=25)


@dataclass(frozen=True)
class Visitors:
    """All who come to look at one line of one release."""

    after_h: np.ndarray
    worth_minor: np.ndarray  # what a plant is worth to each
    plants: np.ndarray  # how many each would take


@dataclass(frozen=True)
class Market:
    """A nursery's releases: visitors and plants ready, release by line."""

    visitors: tuple[tuple[Visitors, ...], ...]
    ready: np.ndarray
    first_price: tuple[int, ...]


def market(seed, *, bell=False, lines=3, releases=7, asked=1.0):
    """A market whose grower began at `asked` times a price of about 8."""
    rng = np.random.default_rng([seed, 17])
    elasticity = float(np.exp(rng.normal(np.log(1.7), 0.3)))
    wanted = np.exp(rng.normal(np.log(20.0), 0.5, lines))  # at a price of 8
    first = tuple(round(800 * asked * float(np.exp(rng.normal(0.0, 0.2))) / 25) * 25 for _ in range(lines))
    rush_h = float(np.exp(rng.normal(np.log(1.0), 0.8)))
    all_visitors = []
    for _ in range(releases):
        day = float(np.exp(rng.normal(0.0, 0.25)))
        all_visitors.append(tuple(_visitors(rng, day * one, elasticity, rush_h, bell) for one in wanted))
    return Market(tuple(all_visitors), rng.integers(8, 26, (releases, lines)), first)


def _visitors(rng, wanted, elasticity, rush_h, bell):
    """Visitors of whom so many find a price of 8 worth it."""
    low = 150.0  # nobody comes for whom a plant is worth less
    share = 0.5 if bell else (800.0 / low) ** -elasticity
    count = rng.poisson(wanted * np.exp(rng.normal(0.0, 0.2)) / share)
    is_rush = rng.random(count) < 0.6
    after = np.where(is_rush, rng.exponential(rush_h, count), rng.uniform(0.0, 200.0, count))
    if bell:
        worth = 800.0 * np.exp(rng.normal(0.0, 0.8 / elasticity, count))
    else:
        worth = low * rng.random(count) ** (-1.0 / elasticity)
    order = np.argsort(after)
    plants = 1 + (rng.random(count) < 0.2)
    return Visitors(after[order], worth[order], plants)


def sell(visitors, price_minor, offered):
    """Sales as they come: hours and plants, until nothing is left or it closes."""
    left, sales = offered, []
    buys = (visitors.worth_minor >= price_minor) & (visitors.after_h < OPEN_H)
    for after, plants in zip(visitors.after_h[buys], visitors.plants[buys], strict=True):
        if left == 0:
            break
        taken = min(int(plants), left)
        left -= taken
        sales.append((float(after), taken))
    return sales


def gain(visitors, price_minor, offered):
    """What a line earns over keeping its plants."""
    sold = sum(plants for _, plants in sell(visitors, price_minor, offered))
    return (price_minor * (1.0 - FEE) - SALE_COST - RESERVE) * sold


def fixed_income(own):
    """What never moving the prices earns."""
    return sum(
        gain(one, own.first_price[place], int(own.ready[turn, place]))
        for turn, release in enumerate(own.visitors)
        for place, one in enumerate(release)
    )


@dataclass(frozen=True)
class Followed:
    """One advice that was followed: what it earned, and the price before with its visitors."""

    turn: int
    advice: PriceAdvice
    earned: float
    earned_before: float


def followed(own, draws=100):
    """Every advice of a market whose grower follows them all."""
    prices, past, given = list(own.first_price), [], []
    for turn, release in enumerate(own.visitors):
        opened = FIRST + turn * EVERY
        advices = _advice(past, prices, own.ready[turn], opened, draws)
        for place, (advice, visitors) in enumerate(zip(advices, release, strict=True)):
            before = gain(visitors, prices[place], int(own.ready[turn, place]))
            now = gain(visitors, advice.price_minor, advice.offered)
            given.append(Followed(turn, advice, now, before))
            prices[place] = advice.price_minor
            if advice.offered:
                sales = sell(visitors, advice.price_minor, advice.offered)
                past.append(_past(turn, place, advice, sales, opened))
    return given


def _advice(past, prices, ready, opened, draws):
    learned = learn_demand(past, opened - timedelta(days=1), open_days=OPEN_H / 24.0)
    lines = [
        LineToPrice(
            taxon=place,
            taxon_name=f"Taxon {place}",
            grade="standard",
            price_minor=price,
            offered=int(ready[place]),
            ready=int(ready[place]),
            reserve_minor=RESERVE,
            sale_cost_minor=SALE_COST,
            fee_frac=FEE,
        )
        for place, price in enumerate(prices)
    ]
    forecasts = [
        predict(
            learned,
            one.taxon,
            "standard",
            price_minor=one.price_minor,
            offered=one.ready,
            taxon_name=one.taxon_name,
            draws=draws,
        )
        for one in lines
    ]
    return advise_release(lines, forecasts, RULES, "EUR")


def _past(turn, place, advice, sales, opened):
    sold = sum(plants for _, plants in sales)
    is_out = sold == advice.offered and sold > 0
    return PastLine(
        release=turn,
        release_name=f"Release {turn}",
        taxon=place,
        taxon_name=f"Taxon {place}",
        grade="standard",
        price_minor=advice.price_minor,
        offered=advice.offered,
        opened_at=opened,
        closed_at=None if is_out else opened + timedelta(hours=OPEN_H),
        sales=tuple(Sale(opened + timedelta(hours=after), plants) for after, plants in sales),
        sold=sold,
        sold_out_at=opened + timedelta(hours=sales[-1][0]) if is_out else None,
    )
