"""Boxes, walls and lumped bodies against textbooks and makers' sheets."""

import math

import pytest

from halfwater.science.insulation import (
    MATERIALS,
    biot_number,
    conductivity_from_k_factor,
    heat_through_wall,
    resistance_from_r_value,
    time_constant,
    time_to_reach,
)


def _ball(diameter_mm: float, density_kg_m3: float, heat_j_kgk: float, film_w_m2k: float):
    """Heat capacity and conductance of a ball."""
    radius = diameter_mm / 2000.0
    mass = density_kg_m3 * 4.0 / 3.0 * math.pi * radius**3
    return mass * heat_j_kgk, film_w_m2k * 4.0 * math.pi * radius**2


def test_thermocouple_in_a_gas_stream():
    """A bead of 1 mm: Biot number 0.001, time constant 2.16 s, 99 % in 9.94 s, "10 s" (cengel-heat, 4-1)."""
    heat, through = _ball(1.0, 8500.0, 320.0, 210.0)
    assert biot_number(210.0, 1.0 / 6.0, 35.0) == pytest.approx(0.001, abs=5e-4)
    constant = time_constant(heat, through)
    assert constant * 3600.0 == pytest.approx(2.159, abs=5e-4)
    assert time_to_reach(0.99, constant) * 3600.0 == pytest.approx(9.94, abs=5e-3)


def test_thermocouple_junction():
    """A junction of 0.706 mm has 1 s, and takes 5.2 s from 25 to 199 in 200 C (incropera-dewitt, 5.1)."""
    constant = time_constant(*_ball(0.706, 8500.0, 400.0, 400.0))
    assert constant * 3600.0 == pytest.approx(1.0, abs=5e-3)
    share = (199.0 - 25.0) / (200.0 - 25.0)
    assert time_to_reach(share, constant) * 3600.0 == pytest.approx(5.2, abs=0.05)


def test_ice_box():
    """A foam box loses 13.3 W and melts 3.44 kg of ice in a day (openstax-physics, example 14.5)."""
    heat_w = heat_through_wall(0.950, 25.0, 0.010, 35.0)
    assert heat_w == pytest.approx(13.3, abs=0.05)
    assert heat_w * 86_400.0 / 1e6 == pytest.approx(1.149, abs=1e-3)  # the book multiplies 13.3 W on
    assert heat_w * 86_400.0 / 334e3 == pytest.approx(3.44, abs=5e-3)


def test_units_on_foam_sheets():
    """One k-factor is 0.144228 W/(m K), one R-value 0.176110 m2 K/W (nist-sp811, appendix B)."""
    assert conductivity_from_k_factor(1.0) == pytest.approx(0.144228, abs=5e-7)
    assert resistance_from_r_value(1.0) == pytest.approx(0.176110, abs=5e-7)


# astm-c578, makers' sheets: type, k-factor at 40 F, R-value an inch at 40 F, k at 75 F, R at 75 F
FOAM = [
    ("EPS I", 0.24, 4.17, 0.26, 3.85),
    ("EPS VIII", 0.235, 4.25, 0.255, 3.92),
    ("EPS II", 0.22, 4.55, 0.24, 4.17),
    ("EPS IX", 0.21, 4.76, 0.23, 4.35),
]


@pytest.mark.parametrize(("name", "cold_k", "cold_r", "warm_k", "warm_r"), FOAM)
def test_expanded_polystyrene(name, cold_k, cold_r, warm_k, warm_r):
    """An inch of each type has the R-value printed beside its k-factor, at both temperatures."""
    inch_m = 0.0254
    last_digit = resistance_from_r_value(0.006)  # one sheet cuts 4.2553 off to 4.25 instead of rounding
    for k_factor, r_value in ((cold_k, cold_r), (warm_k, warm_r)):
        own = inch_m / conductivity_from_k_factor(k_factor)
        assert own == pytest.approx(resistance_from_r_value(r_value), abs=last_digit)
    of_table = inch_m / MATERIALS[name].conductivity_w_mk
    assert of_table == pytest.approx(resistance_from_r_value(cold_r), abs=last_digit)


def test_metric_figures_of_the_first_type():
    """Type I: 0.0375 W/(m K) and 0.678 m2 K/W an inch at 75 F (astm-c578, turned by nist-sp811)."""
    assert conductivity_from_k_factor(0.26) == pytest.approx(0.037499, abs=5e-7)
    assert resistance_from_r_value(3.85) == pytest.approx(0.67802, abs=5e-6)
