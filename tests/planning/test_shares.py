"""Coins that are dealt: none lost, none made, nobody off by more than one."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.planning.shares import deal_coins, to_coins, used_space_cost

amounts = st.integers(-(10**9), 10**9)


@settings(max_examples=60, deadline=None)
@given(amounts, st.lists(st.integers(0, 10**6), min_size=1, max_size=40).filter(any))
def test_every_coin_is_dealt(amount, weights):
    """Shares add up to the amount, each within a coin of its exact share, nought for weight nought."""
    dealt = deal_coins(amount, weights).tolist()
    assert sum(dealt) == amount
    for coins, weight in zip(dealt, weights, strict=True):
        exact = Fraction(amount * weight, sum(weights))
        assert abs(coins - exact) < 1
        assert weight or coins == 0
        assert exact.denominator != 1 or coins == exact


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=30))
def test_shares_of_either_sign_add_up(exact):
    """Money spent and money given back in one column: whole coins that add up, none off by one or more."""
    amount = round(math.fsum(exact))
    exact[0] += amount - math.fsum(exact)
    coins = to_coins(exact, amount)
    assert coins.sum() == amount
    assert np.abs(coins - np.array(exact)).max() < 1.0


def test_the_largest_remainders_get_the_coins_left():
    """Of 10 coins by 1, 2 and 3 the two with the larger remainders get one more; of equals the first."""
    assert deal_coins(10, [1, 2, 3]).tolist() == [2, 3, 5]
    assert deal_coins(2, [1, 1, 1]).tolist() == [1, 1, 0]
    assert deal_coins(0, [0.0, 0.0]).tolist() == [0, 0]


def test_a_larger_floor_costs_less_a_metre():
    """The same money over twice the floor, twice the use or twice the days is half as much a metre."""
    once = used_space_cost(500.0, 4.0, 0.4, 30.0)
    doubled = ((500.0, 8.0, 0.4, 30.0), (500.0, 4.0, 0.8, 30.0), (500.0, 4.0, 0.4, 60.0))
    assert [used_space_cost(*each) for each in doubled] == pytest.approx([once / 2.0] * 3)


@pytest.mark.parametrize(
    "call",
    [
        lambda: deal_coins(5, [0.0, 0.0]),
        lambda: deal_coins(5, []),
        lambda: deal_coins(5, [1.0, -1.0]),
        lambda: deal_coins(5, [math.nan]),
        lambda: to_coins([0.5, 0.5], 3),
        lambda: to_coins([math.inf], 3),
        lambda: to_coins([], 3),
        lambda: used_space_cost(1.0, 1.0, 0.0, 1.0),
        lambda: used_space_cost(math.nan, 1.0, 1.0, 1.0),
    ],
)
def test_money_that_nobody_can_carry_is_refused(call):
    """No weights, weights below 0, nan, shares that do not add up, a floor unused: refused."""
    with pytest.raises(RefusedInput):
        call()
