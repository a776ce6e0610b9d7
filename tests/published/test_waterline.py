"""The water filter and the first passage against numbers printed elsewhere."""

import numpy as np
import pytest
import statsmodels.api as sm

from halfwater.science.passage import inverse_gaussian_cdf
from halfwater.science.waterline import WaterEvents, WaterNoise, WaterState, filter_water, gather_stretches

# durbin-koopman-2012, sections 2.2 to 2.10: the Nile at Aswan as a level that wanders, variances as printed.
NILE_OBSERVATION_VAR, NILE_LEVEL_VAR = 15099.0, 1469.1


@pytest.fixture(scope="module")
def nile():
    """A bath without sprays or losses is the local level model: one reading a year."""
    flow = sm.datasets.nile.load_pandas().data
    year = flow["year"].to_numpy(dtype=float)
    reading = flow["volume"].to_numpy(dtype=float)
    noise = WaterNoise(NILE_LEVEL_VAR, 0.0, 0.0)
    start = WaterState(year[0], 0.0, 0.0, 0.0, (1e7, 0.0, 0.0, 0.0, 0.0, 0.0))
    events = WaterEvents(
        reading_day=year, reading_l=reading, reading_var=np.full(len(year), NILE_OBSERVATION_VAR)
    )
    stretches = gather_stretches(events, year[0], year[-1] + 1.0, noise)
    return filter_water([start], [stretches], noise, doubts_readings=False)


# Relative 1e-5: the check list states it, as the variances are themselves rounded.
@pytest.mark.parametrize(
    ("what", "row", "column", "printed"),
    [
        ("filtered level 1871 = predicted 1872", 0, "volume", 1118.311),
        ("filtered level 1872", 1, "volume", 1140.108),
        ("its variance", 1, "variance", 7894.56),
        ("filtered variance once steady", 99, "variance", 4032.158),
        ("level forecast for 1971", 100, "volume", 798.370),
        ("variance of the level predicted for 1971", 100, "variance", 5501.258),
    ],
)
def test_local_level_of_the_nile(nile, what, row, column, printed):
    """The filter gives the textbook's levels and variances for the Nile (durbin-koopman-2012, 2.2-2.10)."""
    value = nile.volume_l[row] if column == "volume" else nile.cov[row, 0]
    assert value == pytest.approx(printed, rel=1e-5), what


def test_forecast_variance_of_the_nile(nile):
    """The variance of next year's flow is level variance plus reading variance (durbin-koopman-2012, 2.6)."""
    assert nile.cov[-1, 0] + NILE_OBSERVATION_VAR == pytest.approx(20600.26, rel=1e-5)


# chhikara-folks-1989 / cox-miller-1965 section 5.7: drift 0.1 a week, sd 0.2, distance 1; six digits printed.
@pytest.mark.parametrize(
    ("time", "printed"), [(5, 0.190862), (8, 0.470380), (10, 0.616163), (15, 0.833369), (20, 0.927309)]
)
def test_first_passage_of_a_steady_drift(time, printed):
    """The closed form gives the printed passage probabilities (chhikara-folks-1989)."""
    assert float(inverse_gaussian_cdf(time, 1.0, 0.1, 0.2)) == pytest.approx(printed, abs=5e-7)


# Quantiles of the same case, four decimals printed.
@pytest.mark.parametrize(
    ("probability", "printed"),
    [(0.05, 3.2793), (0.10, 3.9835), (0.50, 8.3656), (0.90, 18.0660), (0.95, 22.2906)],
)
def test_quantiles_of_a_steady_drift(probability, printed):
    """At the printed quantile the closed form gives the probability back (chhikara-folks-1989)."""
    around = inverse_gaussian_cdf([printed - 5e-5, printed + 5e-5], 1.0, 0.1, 0.2)
    assert around[0] <= probability <= around[1]


def test_steady_gain_of_the_nile(nile):
    """Once steady a year moves the level by 0.267048 of its surprise (durbin-koopman-2012, 2.11)."""
    before = nile.cov[98, 0] + NILE_LEVEL_VAR
    assert before / (before + NILE_OBSERVATION_VAR) == pytest.approx(0.267048, rel=1e-5)
    flow = sm.datasets.nile.load_pandas().data["volume"].to_numpy(dtype=float)
    moved = (nile.volume_l[99] - nile.volume_l[98]) / (flow[99] - nile.volume_l[98])
    assert moved == pytest.approx(0.267048, rel=1e-5)


def test_moments_of_a_steady_drift():
    """Mean 10, variance 40, mode 5.6619: integrals and slope of the closed form (chhikara-folks-1989)."""
    time = np.arange(0.0, 600.0, 0.01)
    still = 1.0 - inverse_gaussian_cdf(time, 1.0, 0.1, 0.2)
    mean = np.trapezoid(still, time)
    assert mean == pytest.approx(10.0, abs=1e-4)
    assert 2.0 * np.trapezoid(time * still, time) - mean**2 == pytest.approx(40.0, abs=1e-3)
    steepest = np.argmax(-np.diff(still[:2000]))
    assert time[steepest] + 0.005 == pytest.approx(5.6619, abs=0.01)  # the grid's own step


def test_the_mean_is_no_even_chance():
    """By the mean time of 10 the chance is 0.616, not a half (chhikara-folks-1989)."""
    assert float(inverse_gaussian_cdf(10.0, 1.0, 0.1, 0.2)) == pytest.approx(0.616163, abs=5e-7)
