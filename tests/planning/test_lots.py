"""How many at once: against trying every amount, mirror images and limits."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import poisson

from halfwater.errors import RefusedInput
from halfwater.planning.lots import economic_lot, offer_for_draws, offer_for_normal, offer_for_poisson

costs = st.floats(0.05, 20.0)


def test_below_one_half_less_than_the_mean_is_offered():
    """A ratio below one half lies as far below the mean as its mirror image lies above."""
    dear, cheap = offer_for_normal(80.0, 20.0, 3.0, 7.0), offer_for_normal(80.0, 20.0, 7.0, 3.0)
    assert dear.amount < 80.0 < cheap.amount
    assert dear.amount + cheap.amount == pytest.approx(160.0)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.1, 40.0), costs, costs)
def test_no_other_whole_amount_earns_more(mean, short_cost, over_cost):
    """For buyers one by one, every other amount earns as much or less; the means are the sums."""
    offer = offer_for_poisson(mean, short_cost, over_cost)
    demand = np.arange(200)
    chance = poisson.pmf(demand, mean)

    def earned(amount):
        left = np.maximum(amount - demand, 0)
        return float(chance @ (short_cost * np.minimum(demand, amount) - over_cost * left))

    assert offer.profit == pytest.approx(earned(offer.amount), abs=1e-8)
    assert offer.profit >= max(earned(amount) for amount in range(150)) - 1e-9
    assert offer.missed == pytest.approx(float(chance @ np.maximum(demand - offer.amount, 0)), abs=1e-8)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.integers(0, 30), min_size=1, max_size=15), costs, costs)
def test_no_other_amount_earns_more_on_the_draws(wanted, short_cost, over_cost):
    """On drawn demands, no amount earns more than the one that is offered."""
    offer = offer_for_draws(wanted, short_cost, over_cost)
    demand = np.array(wanted, dtype=float)

    def earned(amount):
        left = np.maximum(amount - demand, 0.0)
        return float((short_cost * np.minimum(demand, amount) - over_cost * left).mean())

    assert offer.profit == pytest.approx(earned(offer.amount))
    assert offer.profit >= max(earned(amount) for amount in range(32)) - 1e-9


def test_normal_offer_is_that_of_its_draws():
    """Many draws of a normal demand lead to the offer of the closed form."""
    draws = np.random.default_rng(3).normal(200.0, 30.0, 200_000)
    by_draws, closed = offer_for_draws(draws, 2.0, 5.0), offer_for_normal(200.0, 30.0, 2.0, 5.0)
    assert by_draws.amount == pytest.approx(closed.amount, abs=0.5)
    assert by_draws.profit == pytest.approx(closed.profit, rel=5e-3)


def test_certain_demand_is_offered_as_it_is():
    """Without spread the mean is offered, with nothing missed and nothing left over."""
    offer = offer_for_normal(12.0, 0.0, 3.0, 1.0)
    assert (offer.amount, offer.missed, offer.left_over, offer.profit) == (12.0, 0.0, 0.0, 36.0)


@settings(max_examples=30, deadline=None)
@given(st.floats(1.0, 1e5), costs, costs, st.floats(0.2, 5.0))
def test_no_other_lot_costs_less(wanted, setup, waiting, factor):
    """Any other lot costs as much or more: twice the lot a quarter more."""
    lot = economic_lot(wanted, setup, waiting)

    def cost(amount):
        return wanted / amount * setup + amount / 2.0 * waiting

    assert cost(lot.amount) == pytest.approx(lot.cost)
    assert cost(lot.amount * factor) >= lot.cost * (1.0 - 1e-12)
    assert cost(lot.amount * 2.0) == pytest.approx(lot.cost * 1.25)


@pytest.mark.parametrize(
    "call",
    [
        lambda: offer_for_normal(math.nan, 1.0, 1.0, 1.0),
        lambda: offer_for_normal(10.0, -1.0, 1.0, 1.0),
        lambda: offer_for_normal(10.0, 1.0, 0.0, 1.0),
        lambda: offer_for_poisson(0.0, 1.0, 1.0),
        lambda: offer_for_poisson(5.0, 1.0, math.inf),
        lambda: offer_for_draws([], 1.0, 1.0),
        lambda: offer_for_draws([-1.0], 1.0, 1.0),
        lambda: economic_lot(0.0, 1.0, 1.0),
        lambda: economic_lot(1.0, 1.0, math.nan),
    ],
)
def test_what_is_no_demand_is_refused(call):
    """Nan, negative spread, costs of 0, no draws: refused."""
    with pytest.raises(RefusedInput):
        call()
