"""Moist air against published numbers."""

import math

import pytest

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

# iapws-95: saturation over water in Pa; ASHRAE's equation keeps within 3e-4 of it
SATURATION = [
    (20, 2339.3),
    (22, 2645.3),
    (24, 2985.8),
    (26, 3363.9),
    (28, 3783.1),
    (30, 4247.0),
]

# weast-astle-1981, table A1.1: vapour density of saturated air in g/m3
VAPOUR_DENSITY = [
    (10, 9.42),
    (14, 12.09),
    (18, 15.40),
    (20, 17.33),
    (22, 19.46),
    (24, 21.83),
    (26, 24.43),
    (28, 27.29),
    (30, 30.43),
]

# iapws-95: vapour density of saturated air, real gas, and ideal gas on the same pressure, in g/m3
REAL_AND_IDEAL = [
    (20, 17.31, 17.29),
    (24, 21.81, 21.77),
    (26, 24.41, 24.36),
    (28, 27.27, 27.21),
    (30, 30.41, 30.35),
]

# psychrolib, example in its header (25 C); ashrae-2017 equations, recomputed with a second library.
# Temperature, humidity, dew point, deficit in Pa, vapour in g/m3.
LIDDED = [
    (25, 0.80, 21.3094, 633.8, None),
    (20, 0.50, 9.272, None, None),
    (24, 0.95, 23.149, 149.3, 20.68),
    (26, 0.85, 23.281, 504.5, 20.71),
]

# priors, Air under the lid and in the room: 150 L at 26 C and 97 % in a room of 22 C and 50 %;
# air changes an hour, grams a day
LIDS = [
    (0.05, 2.5, 0.05),
    (0.5, 25, 0.5),
    (2.0, 100, 0.5),
    (5.0, 250, 5),  # printed to two figures
]


def test_saturation_at_25() -> None:
    """The handbook's table gives 3169.7 Pa at 25 C (ashrae-2017, table 3; psychrolib's test allows 3e-4)."""
    assert float(saturation_vapour_pressure(25)) == pytest.approx(3169.7, rel=3e-4)


@pytest.mark.parametrize(("temp_c", "pascal"), SATURATION)
def test_saturation_pressure(temp_c: float, pascal: float) -> None:
    """Saturation pressure agrees with the reference formulation, and the shorter rivals with it."""
    assert float(saturation_vapour_pressure(temp_c)) == pytest.approx(pascal, rel=3e-4)
    assert float(saturation_vapour_pressure_fao56(temp_c)) == pytest.approx(pascal, rel=1e-3)
    assert 611.2 * math.exp(17.62 * temp_c / (243.12 + temp_c)) == pytest.approx(pascal, rel=4e-3)  # wmo-8


def test_worked_day_of_fao56() -> None:
    """Each step of Example 3: e(24.5) = 3.075, e(15) = 1.705, mean 2.39 kPa (fao-56, chapter 3)."""
    assert float(saturation_vapour_pressure_fao56(24.5)) / 1000 == pytest.approx(3.075, abs=5e-4)
    assert float(saturation_vapour_pressure_fao56(15)) / 1000 == pytest.approx(1.705, abs=5e-4)
    # The printed 2.39 is rounded from 2.390.
    assert float(mean_saturation_vapour_pressure(24.5, 15)) / 1000 == pytest.approx(2.390, abs=5e-4)


def test_pressure_at_the_mean_temperature_is_the_classic_mistake() -> None:
    """At 19.75 C the pressure is 2.302 kPa, short of the day's mean by 4 % (fao-56, chapter 3)."""
    mistaken = float(saturation_vapour_pressure_fao56(19.75)) / 1000
    assert mistaken == pytest.approx(2.302, abs=5e-4)
    assert float(mean_saturation_vapour_pressure(24.5, 15)) / 1000 - mistaken > 0.08


@pytest.mark.parametrize(("temp_c", "grams"), VAPOUR_DENSITY)
def test_vapour_density_of_saturated_air(temp_c: float, grams: float) -> None:
    """Saturated air holds the tabled vapour; an ideal gas stays up to 0.3 % below the table, so rel 3e-3."""
    found = float(absolute_humidity(temp_c, 1.0))
    assert found == pytest.approx(grams, rel=3e-3)
    assert found < grams


@pytest.mark.parametrize(("temp_c", "real", "ideal"), REAL_AND_IDEAL)
def test_vapour_density_is_the_ideal_one(temp_c: float, real: float, ideal: float) -> None:
    """The ideal-gas figure is met to its last digit and the real gas to 3e-3.

    The last digit may differ by one: the reference pressure and ASHRAE's differ by up to 3e-4.
    """
    found = float(absolute_humidity(temp_c, 1.0))
    assert found == pytest.approx(ideal, rel=3e-4 + 0.005 / ideal)
    assert found == pytest.approx(real, rel=3e-3)


@pytest.mark.parametrize(("temp_c", "rh_frac", "dew_c", "deficit_pa", "grams"), LIDDED)
def test_air_under_a_lid(
    temp_c: float, rh_frac: float, dew_c: float, deficit_pa: float | None, grams: float | None
) -> None:
    """Dew point within 0.01 C, deficit and vapour within 1e-3 of the second library's."""
    assert float(dew_point(temp_c, rh_frac)) == pytest.approx(dew_c, abs=0.01)
    if deficit_pa is not None:
        assert float(vapour_pressure_deficit(temp_c, rh_frac)) == pytest.approx(deficit_pa, rel=1e-3)
    if grams is not None:
        assert float(absolute_humidity(temp_c, rh_frac)) == pytest.approx(grams, rel=1e-3)


def test_dew_point_of_the_library_example() -> None:
    """25 C and 80 % has its dew point at 21.3094 C (psychrolib, header example; half the last digit)."""
    assert float(dew_point(25, 0.80)) == pytest.approx(21.3094, abs=5e-5)


def test_dew_point_by_the_short_formula() -> None:
    """The short formula of wmo-8, annex 4.B, gives 21.307 C there, within 0.01 C of ours."""
    part = math.log(0.80) + 17.62 * 25 / (243.12 + 25)
    short = 243.12 * part / (17.62 - part)
    assert short == pytest.approx(21.307, abs=5e-4)
    assert float(dew_point(25, 0.80)) == pytest.approx(short, abs=0.01)


def test_humidity_ratio_under_a_lid() -> None:
    """24 C and 95 % carries 0.01791 of vapour for each of dry air (ashrae-2017, chapter 1, equation 20)."""
    assert float(humidity_ratio(24, 0.95)) == pytest.approx(0.01791, rel=1e-3)


@pytest.mark.parametrize(("ach_per_h", "grams_a_day", "half_digit"), LIDS)
def test_vapour_through_a_lid(ach_per_h: float, grams_a_day: float, half_digit: float) -> None:
    """A lid lets out what the starting values state for a usual tank."""
    loss_l_day = float(vapour_loss(150, ach_per_h, 26, 0.97, 22, 0.50))
    assert 1000 * loss_l_day == pytest.approx(grams_a_day, abs=half_digit)


def test_difference_of_vapour_behind_the_lid_example() -> None:
    """Inside and room differ by 13.9 g/m3 in that example (priors, Air under the lid and in the room).

    The tolerance is half the last digit and 0.01 for the ideal gas.
    """
    gained = float(absolute_humidity(26, 0.97)) - float(absolute_humidity(22, 0.50))
    assert gained == pytest.approx(13.9, abs=0.06)
