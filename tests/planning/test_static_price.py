"""One best price: against a numerical search, and what has no best price."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.planning.static_price import (
    best_price_elastic,
    best_price_exponential,
    best_price_linear,
)

factors = np.array([0.5, 0.9, 0.99, 1.01, 1.1, 2.0])


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 500.0), st.floats(1e-4, 0.1), st.floats(0.0, 2000.0))
def test_no_other_price_earns_more_exponential(wanted, steepness, cost):
    """With a share of the buyers lost by each coin, every other price earns less."""
    best = best_price_exponential(wanted, steepness, cost)
    prices = best.price_minor * factors
    others = (prices - cost) * wanted * np.exp(-steepness * prices)
    assert (others < best.earned_minor).all()
    assert best.wanted == pytest.approx(wanted * math.exp(-steepness * best.price_minor))


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 500.0), st.floats(100.0, 5000.0), st.floats(1.05, 6.0), st.floats(10.0, 2000.0))
def test_no_other_price_earns_more_elastic(wanted, asked, elasticity, cost):
    """With an elasticity above 1, every other price earns less."""
    best = best_price_elastic(wanted, asked, elasticity, cost)
    prices = best.price_minor * factors
    others = (prices - cost) * wanted * (prices / asked) ** -elasticity
    assert (others < best.earned_minor).all()


@settings(max_examples=40, deadline=None)
@given(st.floats(10.0, 500.0), st.floats(0.01, 2.0), st.floats(0.0, 0.99))
def test_no_other_price_earns_more_linear(wanted, slope, share):
    """With a number of buyers lost by each coin, every other price earns less."""
    cost = share * wanted / slope
    best = best_price_linear(wanted, slope, cost)
    prices = best.price_minor * factors
    assert ((prices - cost) * (wanted - slope * prices) < best.earned_minor).all()
    assert best.wanted > 0.0


@pytest.mark.parametrize("elasticity", [1.0, 0.6, 0.0, -1.0, math.nan, math.inf])
def test_without_a_best_price_there_is_a_refusal(elasticity):
    """At an elasticity of 1 or less every higher price earns more: refused, saying so."""
    with pytest.raises(RefusedInput, match="every higher price earns more"):
        best_price_elastic(50.0, 800.0, elasticity, 300.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: best_price_exponential(0.0, 0.1, 5.0),
        lambda: best_price_exponential(10.0, math.nan, 5.0),
        lambda: best_price_exponential(10.0, 0.1, -1.0),
        lambda: best_price_elastic(10.0, 0.0, 2.0, 5.0),
        lambda: best_price_elastic(10.0, 800.0, 2.0, 0.0),
        lambda: best_price_linear(100.0, 2.0, 50.0),
        lambda: best_price_linear(100.0, math.inf, 5.0),
    ],
)
def test_what_is_no_market_is_refused(call):
    """Nobody who wants it, no slope, a cost that nobody pays: refused."""
    with pytest.raises(RefusedInput):
        call()
