"""The law by which interest comes, and the plants in an order."""

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.science.arrivals import OrderSizes, come_frac, hours_until, order_moments, sizes_after
from halfwater.science.sell_out import selling_rate


def test_all_interest_comes_in_the_end() -> None:
    """Nothing has come at the opening, all in the end, and never less than before."""
    hours = np.r_[0.0, np.logspace(-3, 5, 60)]
    come = come_frac(hours, 0.5, 0.7, 48.0)
    assert come[0] == 0.0
    assert come[-1] == pytest.approx(1.0)
    assert np.all(np.diff(come) >= 0.0)


def test_hours_until_undoes_come() -> None:
    """The instant by which a share has come, and the share that has come by it, are each other's inverse."""
    share = np.linspace(0.01, 0.99, 15)
    for rush, part, tail in ((0.05, 0.9, 30.0), (20.0, 0.2, 3.0), (1.0, 1.0, 5.0)):
        assert come_frac(hours_until(share, rush, part, tail), rush, part, tail) == pytest.approx(share)
    assert hours_until([0.0, 1.0], 1.0, 0.5, 9.0).tolist() == [0.0, np.inf]


@pytest.mark.parametrize(("chance", "limit"), [(0.5, 0), (0.4, 3), (0.0, 0), (0.3, 1), (0.8, 5)])
def test_moments_of_an_order_are_its_sums(chance: float, limit: int) -> None:
    """Mean plants and the ratio of variance to mean agree with the sums over all sizes."""
    size = np.arange(1, (limit or 400) + 1)
    p = chance ** (size - 1.0) * (1.0 - chance)
    if limit:
        p[-1] = chance ** (limit - 1.0)
    mean, ratio = order_moments(chance, limit)
    assert mean == pytest.approx((p * size).sum())
    assert ratio == pytest.approx((p * size**2).sum() / (p * size).sum())


def test_orders_at_the_limit_tell_of_no_stop() -> None:
    """Buyers who took all they could say nothing of when they would have stopped."""
    prior = OrderSizes(1.0, 3.0)
    held_down = sizes_after([2, 2, 2], [False] * 3, prior, limits=[2, 2, 2])
    assert (held_down.a, held_down.b) == (4.0, 3.0)
    assert held_down.mean_chance > sizes_after([2, 2, 2], [False] * 3, prior).mean_chance


def test_a_shop_among_buyers_makes_totals_uneven() -> None:
    """Where a few orders are large, the ratio of variance to mean is what the orders show."""
    plants = [1] * 40 + [8] * 10
    law = sizes_after(plants, [False] * 50, OrderSizes(1.0, 3.0))
    shown = sum(n * n for n in plants) / sum(plants)
    assert float(order_moments(law.mean_chance, 0)[1]) == pytest.approx(shown, rel=0.1)


@pytest.mark.parametrize(
    "call",
    [
        lambda: come_frac(-1.0, 1.0, 0.5, 9.0),
        lambda: come_frac(1.0, 0.0, 0.5, 9.0),
        lambda: come_frac(1.0, 1.0, 1.5, 9.0),
        lambda: come_frac(1.0, 1.0, 0.5, float("nan")),
        lambda: hours_until(1.2, 1.0, 0.5, 9.0),
        lambda: sizes_after([0], [False], OrderSizes(1.0, 1.0)),
        lambda: sizes_after([3], [False], OrderSizes(1.0, 1.0), limits=[2]),
        lambda: order_moments(1.0, 0),
        lambda: order_moments(0.5, -1),
        lambda: selling_rate(1, 3.0),
        lambda: selling_rate(4, 0.0),
        lambda: selling_rate(4, 3.0, 1.0),
    ],
)
def test_what_cannot_be_is_refused(call) -> None:
    """Hours below nought, shares above one, orders without plants: each is named and refused."""
    with pytest.raises(RefusedInput):
        call()
