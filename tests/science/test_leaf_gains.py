"""Leaf counts as gains: exposure by quadrature, and counts that are wrong, wild or falling."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from halfwater.errors import RefusedInput
from halfwater.science.leaf_gains import gather_gains, leaf_exposure
from tests.science.nurseries_of_leaves import one_pot, priors


@settings(max_examples=30, deadline=None)
@given(
    begin=st.floats(0, 300), span=st.floats(0, 300), start=st.floats(0, 400),
    life=st.floats(40, 2000), tips=st.floats(0, 1),
)  # fmt: skip
def test_exposure_is_its_integral(begin, span, start, life, tips):
    """The closed form is the integral it stands for."""
    end, since = begin + span, min(max(begin, start), begin + span)
    whole, _ = quad(lambda u: (1 + tips / 30 * (u - start)) * np.exp(-(end - u) / life) / 30, since, end)
    assert leaf_exposure(begin, end, start, life, tips) == pytest.approx(whole, rel=1e-7, abs=1e-9)


def test_exposure_adds_up_over_spans():
    """Two spans in a row are as good as one: what the first made dies at the same pace afterwards."""
    first, second = leaf_exposure(0, 80, 20, 500, 0.1), leaf_exposure(80, 200, 20, 500, 0.1)
    whole = leaf_exposure(0, 200, 20, 500, 0.1)
    assert first * np.exp(-120 / 500) + second == pytest.approx(whole)


def test_exposure_refuses_what_cannot_be():
    """A leaf lives more than nothing, and tips are not lost."""
    with pytest.raises(RefusedInput):
        leaf_exposure(0, 1, 0, 0.0, 0.1)
    with pytest.raises(RefusedInput):
        leaf_exposure(0, 1, 0, 100.0, -0.1)


def test_gains_are_what_is_there_beyond_the_leaves_left():
    """From 3 to 7 leaves in 54 days, of which a tenth of the three has died: a gain of 4.3."""
    gains = gather_gains(one_pot([54.0], [7.0]), priors(1))
    left = np.exp(-54 / 540)
    assert gains.gain_leaves == pytest.approx([7 - 3 * left])
    assert gains.noise_var == pytest.approx([3 * left * (1 - left) + 0.25 * (1 + left**2)])
    assert (gains.last_day[0], gains.last_leaves[0]) == (54.0, 7.0)


def test_the_order_of_counts_does_not_matter():
    """Counts come as they were noted, not as they were made; the later one of a day holds."""
    straight = gather_gains(one_pot([30, 60, 90], [4, 5, 7]), priors(1))
    mixed = gather_gains(one_pot([90, 60, 30, 60], [7, 9, 4, 5]), priors(1))
    np.testing.assert_allclose(straight.gain_leaves, mixed.gain_leaves)


def test_a_wild_count_is_bridged_and_named():
    """A count of another pot between two that agree is left out, and told; a steady climb is not touched."""
    gains = gather_gains(one_pot([40, 70, 100, 130], [4, 5, 17, 7]), priors(1))
    assert (gains.wild_leaves[0], gains.wild_day[0]) == (17.0, 100.0)
    assert len(gains.gain_leaves) == 3
    steady = gather_gains(one_pot([40, 70, 100, 130], [4, 8, 13, 17]), priors(1))
    assert np.isnan(steady.wild_leaves[0])


def test_falling_numbers_are_gains_below_nought():
    """Leaves that fell give a gain below 0; nothing breaks."""
    gains = gather_gains(one_pot([60, 120], [6, 2]), priors(1))
    assert gains.gain_leaves[1] < -3


def test_unsound_counts_are_refused():
    """No number, fewer than none, or before the potting."""
    for days, leaves in (([5.0], [np.nan]), ([5.0], [-1.0]), ([-2.0], [4.0])):
        with pytest.raises(RefusedInput):
            gather_gains(one_pot(days, leaves), priors(1))
    with pytest.raises(RefusedInput):
        gather_gains(one_pot([5.0], [4.0]), priors(1), -1.0)


def test_no_pots_have_no_gains():
    """An empty nursery is no error."""
    pots = one_pot([], [])
    none = replace(pots, taxon=pots.taxon[:0], batch=pots.batch[:0], tank=pots.tank[:0],
                   potted_day=pots.potted_day[:0], first_leaves=pots.first_leaves[:0],
                   lag_factor=pots.lag_factor[:0])  # fmt: skip
    assert len(gather_gains(none, priors(1)).last_leaves) == 0


@pytest.mark.parametrize("typed", [60.0, 10_000.0])
def test_a_last_count_beyond_any_pace_is_named_and_left_out(typed):
    """Ten thousand leaves typed for a pot of seven are no growth: the count before stands till one agrees."""
    gains = gather_gains(one_pot([30, 60, 90], [5, 7, typed]), priors(1))
    assert (gains.last_leaves[0], gains.wild_leaves[0], gains.wild_day[0]) == (7.0, typed, 90.0)
    twice = gather_gains(one_pot([30, 60, 90, 120], [5, 7, typed, typed]), priors(1))
    assert twice.last_leaves[0] == typed
    grown = gather_gains(one_pot([30, 60, 90], [5, 7, 10]), priors(1))
    assert grown.last_leaves[0] == 10.0
    assert np.isnan(grown.wild_leaves[0])
