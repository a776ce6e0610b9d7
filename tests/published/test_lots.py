"""How many at once, against the exercises of two textbooks."""

import pytest

from halfwater.planning.lots import economic_lot, offer_for_normal, offer_for_poisson


def test_offer_for_one_opening():
    """Demand 200 with spread 80, margin 8, loss 4 (cachon-terwiesch, Q12.1); the book rounds z up to 0.44."""
    offer = offer_for_normal(200.0, 80.0, 8.0, 4.0)
    assert offer.sold_out_frac == pytest.approx(0.6667, abs=5e-5)
    assert offer.amount == pytest.approx(234.46, abs=5e-3)
    assert offer.amount == pytest.approx(235.2, abs=80.0 * 0.01)  # a step of its table
    assert offer.missed == pytest.approx(17.60, abs=5e-3)
    assert offer.left_over == pytest.approx(52.06, abs=5e-3)
    assert offer.profit == pytest.approx(1250.94, abs=5e-3)


def test_a_ratio_below_one_half():
    """Mean 80, spread 30, margin 60, loss 110: less than the mean (newsvendor-answer, its sign put right)."""
    offer = offer_for_normal(80.0, 30.0, 60.0, 110.0)
    assert offer.sold_out_frac == pytest.approx(0.35, abs=5e-3)
    assert offer.amount == pytest.approx(68.7, abs=0.05)
    wrong_way = 80.0 + 0.3853 * 30.0  # as printed there: z of the rounded ratio, without its sign
    assert wrong_way > 80.0 > offer.amount
    assert offer.amount == pytest.approx(80.0 - 0.3853 * 30.0, abs=30.0 * 0.01)  # a step of z tables


@pytest.mark.parametrize(
    ("mean", "short_cost", "over_cost", "amount"), [(5.0, 3.0, 1.0, 6.0), (12.0, 0.6, 0.4, 13.0)]
)
def test_offer_to_buyers_one_by_one(mean, short_cost, over_cost, amount):
    """Ratios 0.75 and 0.6 for buyers that come one by one (cachon-terwiesch, chapter 12)."""
    assert offer_for_poisson(mean, short_cost, over_cost).amount == amount


def test_economic_order():
    """1000 a year, 10 a go, 0.50 for one that waits: 200 in 5 goes, 50 working days apart (heizer-render)."""
    lot = economic_lot(1000.0, 10.0, 0.5, 250.0)
    assert lot.amount == pytest.approx(200.0, abs=1e-9)
    assert lot.goes == pytest.approx(5.0, abs=1e-12)
    assert lot.every_days == pytest.approx(50.0, abs=1e-9)
    assert (lot.setup_cost, lot.waiting_cost) == pytest.approx((50.0, 50.0))
    assert lot.cost == pytest.approx(100.0)
