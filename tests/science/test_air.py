"""Moist air: limits, monotony, rivals, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.air import (
    absolute_humidity,
    dew_point,
    humidity_ratio,
    mean_saturation_vapour_pressure,
    saturation_vapour_pressure,
    saturation_vapour_pressure_fao56,
    vapour_loss,
    vapour_pressure_deficit,
)

TEMP, HUMIDITY = st.floats(-20, 60), st.floats(0.01, 1)


@given(TEMP, TEMP)
def test_warmer_air_holds_more(one_c: float, other_c: float) -> None:
    """Saturation pressure and vapour density never fall as the air warms."""
    low, high = sorted((one_c, other_c))
    assert saturation_vapour_pressure(low) <= saturation_vapour_pressure(high)
    assert absolute_humidity(low, 0.9) <= absolute_humidity(high, 0.9) * (1 + 1e-12)


@given(st.floats(0.05, 35))
def test_short_form_stays_within_its_bound(temp_c: float) -> None:
    """The short form of FAO-56 keeps within 0.1 % of ours from 0 to 35 C."""
    ours = float(saturation_vapour_pressure(temp_c))
    assert float(saturation_vapour_pressure_fao56(temp_c)) == pytest.approx(ours, rel=1e-3)


@given(TEMP, HUMIDITY)
def test_dew_point_is_where_the_vapour_saturates(temp_c: float, rh_frac: float) -> None:
    """At the dew point the air's own vapour saturates, and it is never warmer than the air."""
    dew_c = float(dew_point(temp_c, rh_frac))
    assert dew_c <= temp_c + 1e-9
    if dew_c >= -20:
        vapour_pa = rh_frac * float(saturation_vapour_pressure(temp_c))
        assert float(saturation_vapour_pressure(dew_c)) == pytest.approx(vapour_pa, rel=1e-3)


@given(TEMP, HUMIDITY)
def test_deficit_and_vapour_make_up_saturation(temp_c: float, rh_frac: float) -> None:
    """What the air holds and what it lacks are together what it could hold."""
    full = float(saturation_vapour_pressure(temp_c))
    lacking = float(vapour_pressure_deficit(temp_c, rh_frac))
    held = float(absolute_humidity(temp_c, rh_frac)) / float(absolute_humidity(temp_c, 1.0)) * full
    assert lacking + held == pytest.approx(full, rel=1e-9)


@given(st.floats(5, 40), HUMIDITY)
def test_humidity_ratio_agrees_with_density(temp_c: float, rh_frac: float) -> None:
    """Mass ratio and vapour density tell of the same vapour, dry air by the gas law of its own pressure."""
    vapour_pa = rh_frac * float(saturation_vapour_pressure(temp_c))
    dry_g_m3 = 1000 * (101_325 - vapour_pa) / (287.042 * (temp_c + 273.15))
    ratio = float(absolute_humidity(temp_c, rh_frac)) / dry_g_m3
    assert float(humidity_ratio(temp_c, rh_frac)) == pytest.approx(ratio, rel=2e-4)


def test_saturated_and_dry_air_at_their_limits() -> None:
    """Saturated air lacks nothing and has its dew point at its own temperature; dry air holds nothing."""
    assert float(vapour_pressure_deficit(24, 1)) == 0.0
    assert float(dew_point(24, 1)) == pytest.approx(24, abs=1e-6)
    assert float(absolute_humidity(24, 0)) == 0.0


def test_air_takes_many() -> None:
    """Arrays broadcast, each cell is the single answer, and empty stays empty."""
    grid = dew_point(np.array([[20.0], [25.0]]), np.array([0.5, 0.8, 1.0]))
    assert grid.shape == (2, 3)
    assert grid[1, 1] == dew_point(25, 0.8)
    assert saturation_vapour_pressure([]).shape == (0,)
    assert isinstance(saturation_vapour_pressure(20), float)


@given(st.floats(0, 500), st.floats(0, 10), st.floats(0, 3))
def test_loss_is_linear_in_air_and_changes(volume_l: float, changes: float, times: float) -> None:
    """Twice the air or twice the changes is twice the loss; none of either is none."""
    once = float(vapour_loss(volume_l, changes, 26, 0.97, 22, 0.5))
    assert float(vapour_loss(times * volume_l, changes, 26, 0.97, 22, 0.5)) == pytest.approx(
        times * once, rel=1e-9
    )
    assert float(vapour_loss(volume_l, times * changes, 26, 0.97, 22, 0.5)) == pytest.approx(
        times * once, rel=1e-9
    )


@given(TEMP, HUMIDITY, TEMP, HUMIDITY)
def test_what_one_lets_out_the_other_takes_in(in_c: float, in_rh: float, out_c: float, out_rh: float) -> None:
    """Inside and room exchanged, the loss changes its sign; alike, there is none."""
    there = float(vapour_loss(150, 0.5, in_c, in_rh, out_c, out_rh))
    back = float(vapour_loss(150, 0.5, out_c, out_rh, in_c, in_rh))
    assert there == pytest.approx(-back, abs=1e-15)
    assert float(vapour_loss(150, 0.5, in_c, in_rh, in_c, in_rh)) == 0.0


def test_loss_takes_many_tanks() -> None:
    """One call answers for every tank in the same room."""
    losses = vapour_loss([100, 150], [0.5, 0.1], [26, 25], 0.97, 22, 0.5)
    assert losses.shape == (2,)
    assert losses[0] == vapour_loss(100, 0.5, 26, 0.97, 22, 0.5)


@pytest.mark.parametrize("temp_c", [math.nan, math.inf, -20.1, 60.1, 299.0, "25", None])
def test_temperatures_outside_are_refused(temp_c: object) -> None:
    """nan, text, kelvins and deserts are refused by every function."""
    for formula in (absolute_humidity, dew_point, humidity_ratio, vapour_pressure_deficit):
        with pytest.raises(RefusedInput, match="-20 to 60 C"):
            formula(temp_c, 0.9)
    with pytest.raises(RefusedInput):
        saturation_vapour_pressure(temp_c)
    with pytest.raises(RefusedInput):
        saturation_vapour_pressure_fao56(temp_c)


@pytest.mark.parametrize("rh_frac", [95, -0.1, math.nan, "95 %", None])
def test_humidity_in_per_cent_is_refused(rh_frac: object) -> None:
    """A per cent, a negative, nan or text is refused, and the refusal says how to write it."""
    for formula in (absolute_humidity, dew_point, humidity_ratio, vapour_pressure_deficit):
        with pytest.raises(RefusedInput, match=r"95 % is 0\.95"):
            formula(24, rh_frac)


def test_bone_dry_air_has_no_dew_point() -> None:
    """At no humidity at all there is no dew point to give."""
    with pytest.raises(RefusedInput):
        dew_point(24, 0)


@pytest.mark.parametrize(
    "wrong", [(-1, 0.5), (math.nan, 0.5), (150, -0.5), (150, 101), (150, "0.5")]
)  # fmt: skip
def test_nonsense_lids_are_refused(wrong: tuple) -> None:
    """Negative, nan and textual air or air changes are refused."""
    with pytest.raises(RefusedInput):
        vapour_loss(*wrong, 26, 0.97, 22, 0.5)


def test_a_day_whose_lowest_is_above_its_highest_is_refused() -> None:
    """Highest and lowest exchanged are refused; alike they give the pressure there."""
    with pytest.raises(RefusedInput, match="highest"):
        mean_saturation_vapour_pressure(15, 24.5)
    assert mean_saturation_vapour_pressure(20, 20) == saturation_vapour_pressure_fao56(20)
