"""First passage by drawn futures against the closed form and limiting laws."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.passage import (
    SprayAhead,
    draw_futures,
    inverse_gaussian_cdf,
    passage_cdf,
    passage_quantile,
)
from halfwater.science.waterline import WaterNoise, WaterState


def steady(volume_l=0.0):
    """A bath of which everything is known."""
    return WaterState(0.0, volume_l, 1.0, 0.0, (0.0,) * 6)


@pytest.mark.parametrize(("drift", "sd"), [(0.1 / 7, 0.2 / 7**0.5), (0.05, 0.1), (0.02, 0.15)])
def test_agrees_with_the_inverse_gaussian(drift, sd):
    """With a steady drift the draws give the closed form, within three of their standard errors."""
    noise = WaterNoise(sd**2, 0.0, 0.0)
    futures = draw_futures(steady(), SprayAhead(drift, 0.0, 1.0), noise, draws=20_000)
    drawn = passage_cdf(futures, 1.0)[1:]
    three_errors = 3.0 * (0.25 / 20_000) ** 0.5
    np.testing.assert_allclose(drawn, inverse_gaussian_cdf(futures.day, 1.0, drift, sd), atol=three_errors)


def test_without_noise_the_date_is_arithmetic():
    """A known bath passes the line on the evening that division says."""
    futures = draw_futures(steady(1.0), SprayAhead(0.1, 0.0, 1.0), WaterNoise(0.0, 0.0, 0.0))
    cdf = passage_cdf(futures, 1.95)
    assert cdf[9] == 0.0
    assert cdf[10] == pytest.approx(1.0)
    assert 9.0 < passage_quantile(futures, cdf, 0.5) <= 10.0


def test_a_bath_above_the_line_is_due_now():
    """Past the limit line the answer is today."""
    futures = draw_futures(steady(3.0), SprayAhead(0.1, 0.0, 1.0), WaterNoise(1e-6, 0.0, 0.0))
    cdf = passage_cdf(futures, 2.0)
    assert cdf[0] == pytest.approx(1.0)
    assert passage_quantile(futures, cdf, 0.1) == 0.0


def test_a_falling_bath_never_passes_upward_but_runs_dry():
    """Loss above catch gives no siphon date and a date of running dry."""
    falling = WaterState(0.0, 1.0, 0.5, 0.1, (0.0,) * 6)
    futures = draw_futures(falling, SprayAhead(0.05, 0.0, 1.0), WaterNoise(1e-6, 0.0, 0.0))
    assert np.isnan(passage_quantile(futures, passage_cdf(futures, 5.0), 0.1))
    dry = passage_quantile(futures, passage_cdf(futures, 0.0, upward=False), 0.5)
    assert dry == pytest.approx(1.025 / 0.075, rel=0.05)


@settings(max_examples=20)
@given(st.floats(0.5, 4.0), st.floats(0.05, 0.3), st.floats(0.0, 0.05))
def test_dates_move_the_right_way(line, spray, loss):
    """A higher line is passed no sooner, and probabilities never fall with time."""
    state = WaterState(0.0, 0.3, 0.55, loss, (0.01, 0.0, 0.0, 0.02, 0.0, 0.0004))
    futures = draw_futures(state, SprayAhead(spray, 0.02, 0.5), WaterNoise())
    near, far = passage_cdf(futures, line), passage_cdf(futures, line * 1.2)
    assert (np.diff(near) >= -1e-12).all()
    assert (far <= near + 1e-12).all()
    assert 0.0 <= near[0] <= near[-1] <= 1.0 + 1e-9


def test_the_same_seed_gives_the_same_dates():
    """Two askings of one question get one answer."""
    state = WaterState(0.0, 2.0, 0.55, 0.03, (0.04, 0.0, 0.0, 0.02, 0.0, 0.0004))
    one, two = (draw_futures(state, SprayAhead(0.15, 0.03, 0.3), WaterNoise()) for _ in range(2))
    np.testing.assert_array_equal(one.volume_l, two.volume_l)


@pytest.mark.parametrize("wrong", [-1.0, float("nan"), float("inf")])
def test_impossible_times_are_refused(wrong):
    """A negative or unfinite time is refused with what would be accepted."""
    with pytest.raises(RefusedInput, match="days from 0 on"):
        inverse_gaussian_cdf(wrong, 1.0, 0.1, 0.2)


def test_impossible_questions_are_refused():
    """Odd draws, a nan line and a probability of 1 are refused."""
    ahead = SprayAhead(0.1, 0.0, 1.0)
    with pytest.raises(RefusedInput, match="even number"):
        draw_futures(steady(), ahead, WaterNoise(), draws=7)
    futures = draw_futures(steady(), ahead, WaterNoise(), draws=10)
    with pytest.raises(RefusedInput, match="finite volume"):
        passage_cdf(futures, float("nan"))
    with pytest.raises(RefusedInput, match="between 0 and 1"):
        passage_quantile(futures, passage_cdf(futures, 1.0), 1.0)


@pytest.mark.parametrize("volume_l", [0.5, 1.9, 3.0])
def test_chances_are_chances(volume_l):
    """No rounding takes a probability below 0 or above 1: a round refuses such numbers."""
    state = WaterState(0.0, volume_l, 0.577, 0.030, (1e-3, 0.0, 0.0, 0.018, 3e-4, 6e-4))
    for line in np.linspace(0.3, 9.0, 30):
        cdf = passage_cdf(draw_futures(state, SprayAhead(0.15, 0.03, 0.4), WaterNoise()), float(line))
        assert cdf.min() >= 0.0
        assert cdf.max() <= 1.0


@pytest.mark.parametrize(("loss", "sd"), [(-0.004, 0.004), (-0.02, 0.005), (-0.09, 0.003)])
def test_a_loss_the_filter_puts_below_nought_is_drawn_above_it(loss, sd):
    """The draws follow the part of the normal above 0, and catch goes with the loss as tied."""
    tie = 2.0 * sd**2
    state = WaterState(0.0, 5.0, 0.4, loss, (0.01, 0.0, 0.0, 5.0 * sd**2, tie, sd**2))
    futures = draw_futures(state, SprayAhead(0.1, 0.01, 1.0), WaterNoise(), draws=4000)
    far = -loss / sd
    above = math.erfc(far / 2**0.5) / 2.0
    mean = loss + sd * math.exp(-far * far / 2.0) / (2.0 * math.pi) ** 0.5 / above if above else 0.0
    live = futures.weight > 0.0
    assert live.mean() > 0.95
    assert futures.loss_l_day[live].min() >= 0.0
    assert float(futures.weight @ futures.loss_l_day) == pytest.approx(mean, abs=0.05 * sd)
    expected = 0.4 + 2.0 * (mean - loss)
    assert float(futures.weight @ futures.catch_frac) == pytest.approx(expected, abs=0.1 * sd)
