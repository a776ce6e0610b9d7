"""A price that moves: against the equation it solves, against its simulation, and in its limits."""

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from halfwater.errors import RefusedInput
from halfwater.planning.dynamic_price import elastic_season, exponential_season, price_table
from halfwater.planning.static_price import best_price_exponential


def _prices(low, high, step):
    return np.arange(low, high + step, step)


def test_elastic_season_solves_its_equation():
    """The closed form is what a numerical solution of dJ/dA = max w(p) (p - dJ) reaches."""
    elasticity, pots, interest = 2.2, 6, 9.0
    pace = (elasticity - 1.0) ** (elasticity - 1.0) / elasticity**elasticity

    def slope(_, worth):
        return pace * np.diff(worth, prepend=0.0) ** (1.0 - elasticity)

    begin = elastic_season(pots, 0.01, 1.0, elasticity).earned_minor[1:]
    solved = solve_ivp(slope, (0.01, interest), begin, rtol=1e-9, atol=1e-12)
    season = elastic_season(pots, interest, 1.0, elasticity)
    assert season.earned_minor[1:] == pytest.approx(solved.y[:, -1], rel=1e-6)
    assert elastic_season(pots, interest, 800.0, elasticity).price_minor == pytest.approx(
        800.0 * season.price_minor
    )


def test_one_pot_of_elastic_demand_by_a_direct_search():
    """Next to the end, the price for one pot is the one that a search over prices finds."""
    elasticity, interest = 1.8, 3.0
    now = elastic_season(1, interest, 1.0, elasticity)
    soon = elastic_season(1, interest - 1e-4, 1.0, elasticity).earned_minor[1]
    prices = np.linspace(0.2, 12.0, 20_001)
    chance = 1e-4 * prices**-elasticity
    earned = chance * prices + (1.0 - chance) * soon
    assert prices[int(earned.argmax())] == pytest.approx(now.price_minor[0], abs=0.05)
    assert earned.max() == pytest.approx(now.earned_minor[1], rel=1e-6)


def test_table_meets_the_closed_form_with_fine_prices():
    """With every coin allowed, the table earns what the exponential closed form says, and asks its prices."""
    steepness, cost, pots = 0.002, 300.0, 12
    prices = _prices(320, 4000, 10)
    hours, interest = [48.0, 24.0, 6.0], np.array([80.0, 40.0, 12.0])
    table = price_table(pots, hours, interest, prices, np.exp(-steepness * prices), cost)
    for column, left in enumerate(interest):
        closed = exponential_season(pots, left, steepness, cost)
        earned = [row[column] for row in table.earned_minor][::-1]
        asked = np.array([row[column] for row in table.price_minor][::-1])
        assert earned == pytest.approx(closed.earned_minor[1:], rel=1e-4)
        within = closed.price_minor < 4000
        assert np.abs(asked - closed.price_minor)[within].max() <= 10.0


def test_table_earns_what_it_says_when_it_is_followed():
    """Buyers drawn one by one at the table's prices pay, on the mean, what the table promised."""
    rng = np.random.default_rng(11)
    pots, prices = 6, _prices(500, 1500, 100)
    weights = (prices / 900.0) ** -1.7
    interest = np.linspace(14.0, 0.0, 71)
    table = price_table(pots, np.linspace(70.0, 0.0, 71), interest, prices, weights, 250.0, 0.05)
    best = np.array(table.price_minor)[::-1]
    runs = 20_000
    left, earned = np.full(runs, pots), np.zeros(runs)
    for column in range(70):
        asked = best[np.maximum(left, 1) - 1, column]
        sells = rng.random(runs) < (interest[column] - interest[column + 1]) * (asked / 900.0) ** -1.7
        sells &= left > 0
        earned += sells * (asked * 0.95 - 250.0)
        left -= sells
    error = earned.std() / math.sqrt(runs)
    promised = table.earned_minor[0][0]
    assert abs(earned.mean() - promised) < 3.0 * error + 0.012 * promised  # one buyer a step, at most
    assert promised > table.fixed_earned_minor > 0.0


def test_prices_rise_with_time_and_with_fewer_pots():
    """With more buyers to come, or fewer pots left, the price asked is never lower."""
    prices = _prices(500, 2000, 50)
    table = price_table(20, [0, 2, 10, 40], [0.0, 5.0, 20.0, 60.0], prices, (prices / 900.0) ** -2.0, 200.0)
    asked = np.array(table.price_minor)
    assert table.hours_left_h == (40.0, 10.0, 2.0, 0.0)
    assert table.pots_left == tuple(range(20, 0, -1))
    assert (np.diff(asked, axis=0) >= 0).all()  # downward: fewer pots
    assert (np.diff(asked, axis=1) <= 0).all()  # to the right: less time
    assert set(asked.ravel().tolist()) <= set(prices.tolist())


def test_moving_never_earns_less_and_little_more_with_many_pots():
    """A moving price beats the best fixed one, by less than 1 / (2 √pots): hardly where pots are many."""
    prices = _prices(400, 2000, 20)
    losses = []
    for pots in (4, 16, 64):
        table = price_table(pots, [1.0], [2.0 * pots], prices, (prices / 900.0) ** -2.0, 200.0)
        losses.append(1.0 - table.fixed_earned_minor / table.earned_minor[0][0])
        assert 0.0 < losses[-1] < 0.5 / math.sqrt(pots)
    assert losses[0] > losses[1] > losses[2]


def test_more_pots_than_buyers_ask_the_static_price():
    """Where pots never run out, the price is the textbook's one best price."""
    steepness, cost = 0.002, 300.0
    best = best_price_exponential(5.0, steepness, cost)
    season = exponential_season(60, 5.0, steepness, cost)
    assert season.price_minor[-1] == pytest.approx(best.price_minor)
    assert season.earned_minor[-1] == pytest.approx(best.earned_minor)


def test_without_a_margin_the_dearest_is_asked():
    """Where every price lies below the cost, nothing is earned and the dearest price stands."""
    table = price_table(3, [5.0], [10.0], [100, 200], [2.0, 1.0], 500.0)
    assert {price for row in table.price_minor for price in row} == {200}
    assert {one for row in table.earned_minor for one in row} == {0.0}


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"pots": 0}, "pots"),
        ({"pots": 2.0}, "pots"),
        ({"hours_left_h": [math.nan, 1.0]}, "hours_left_h"),
        ({"hours_left_h": [1.0]}, "interest_left"),
        ({"interest_left": [3.0, 9.0]}, "interest_left"),
        ({"interest_left": [9.0, -1.0]}, "interest_left"),
        ({"price_minor": [0, 100]}, "price_minor"),
        ({"price_minor": [99.5, 100]}, "price_minor"),
        ({"response_weight": [1.0, 2.0]}, "response_weight"),
        ({"response_weight": [1.0]}, "response_weight"),
        ({"response_weight": [math.inf, 1.0]}, "response_weight"),
        ({"cost_minor": -1.0}, "cost_minor"),
        ({"fee_frac": 1.0}, "fee_frac"),
    ],
)
def test_what_makes_no_table_is_refused(change, field):
    """Each input out of its range is refused by its own name."""
    sound = {
        "pots": 3,
        "hours_left_h": [8.0, 2.0],
        "interest_left": [9.0, 3.0],
        "price_minor": [100, 200],
        "response_weight": [1.0, 0.5],
    }
    with pytest.raises(RefusedInput) as refused:
        price_table(**(sound | change))
    assert refused.value.field == field


@pytest.mark.parametrize(
    "call",
    [
        lambda: exponential_season(0, 1.0, 1.0),
        lambda: exponential_season(3, math.nan, 1.0),
        lambda: exponential_season(3, 1.0, 0.0),
        lambda: exponential_season(3, 1.0, 1.0, -1.0),
        lambda: elastic_season(3, 0.0, 800.0, 2.0),
        lambda: elastic_season(3, 5.0, 0.0, 2.0),
        lambda: elastic_season(3, 5.0, 800.0, 1.0),
    ],
)
def test_what_is_no_season_is_refused(call):
    """No pots, no interest, no slope, an elasticity of 1: refused."""
    with pytest.raises(RefusedInput):
        call()
