"""Prices, against textbooks and a paper."""

import math

import pytest

from halfwater.planning.dynamic_price import exponential_season
from halfwater.planning.static_price import (
    best_price_elastic,
    best_price_exponential,
    best_price_linear,
)


def test_one_best_price_of_each_shape():
    """Exponential 15 and 223.130, elastic 10, linear 30 and 800 (talluri-van-ryzin-2004, chapter 7)."""
    exponential = best_price_exponential(100.0, 0.1, 5.0)
    assert exponential.price_minor == pytest.approx(15.0, abs=1e-9)
    assert exponential.earned_minor == pytest.approx(223.130, abs=5e-4)
    assert best_price_elastic(40.0, 8.0, 2.5, 6.0).price_minor == pytest.approx(10.0, abs=1e-9)
    linear = best_price_linear(100.0, 2.0, 10.0)
    assert linear.price_minor == pytest.approx(30.0, abs=1e-9)
    assert linear.earned_minor == pytest.approx(800.0, abs=1e-9)


@pytest.mark.parametrize(
    ("pots", "interest", "earned", "price"),
    # gallego-van-ryzin-1994: a = e, steepness 1; one pot over a time of 1, five pots over a time of 4
    [(1, math.e, 0.693147, 1.693147), (5, 4.0 * math.e, 3.758095, 1.221978)],
)
def test_price_that_moves(pots, interest, earned, price):
    """What is still earned, and the price to ask, of the closed form (gallego-van-ryzin-1994)."""
    season = exponential_season(pots, interest, 1.0)
    assert season.earned_minor[-1] == pytest.approx(earned, rel=1e-5)
    assert season.price_minor[-1] == pytest.approx(price, rel=1e-5)
