"""Under a lid: carbon dioxide, humidity, dew."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize

from halfwater.errors import RefusedInput
from halfwater.science.air import absolute_humidity, vapour_loss
from halfwater.science.lid_air import carbon_supply, dew_margin, lid_carbon, lid_humidity


def test_the_supply_through_a_lid_is_that_of_the_starting_values() -> None:
    """150 L and 10 h: 0.9, 5, 17 and 35 g of dry mass in 30 days at 0.05, 0.3, 1 and 2 air changes (priors).

    The first figure there counts the air that is under the lid at dawn as well, hence its wider tolerance.
    """
    grams = np.asarray(carbon_supply(150, [0.05, 0.3, 1.0, 2.0], 10))
    assert grams[0] == pytest.approx(0.9, abs=0.1)
    assert grams[1:] == pytest.approx([5, 17, 35], rel=0.05)


def test_the_balance_is_the_root_that_a_general_solver_finds() -> None:
    """Carbon in equals carbon taken, by scipy's brentq on the balance written out."""
    moles = 101325 * 0.150 / (8.314462618 * 298.15)
    taken = 20 * 0.45 / 12.011 / 30

    def gap(ppm: float) -> float:
        growth = np.interp(ppm, [75, 200, 420, 1000], [0, 0.5, 1, 1.6])
        return float(0.5 * 10 * moles * 1e-6 * (420 - ppm) - taken * growth)

    air = lid_carbon(150, 0.5, 10, 20)
    assert float(air.co2_umol_mol) == pytest.approx(optimize.brentq(gap, 75, 420), abs=1e-6)
    assert float(air.dry_g_30d) == pytest.approx(float(air.growth_frac) * 20)


def test_a_sealed_lid_stops_growth_and_an_open_one_does_not_hold_it() -> None:
    """No air changes leave the air at the compensation point; many leave it as the room's (limiting laws)."""
    sealed, open_ = lid_carbon(150, [0.0, 60.0], 10, 20).growth_frac
    assert sealed == pytest.approx(0.0, abs=1e-9)
    assert open_ > 0.98
    assert float(lid_carbon(150, 0.1, 10, 0.0).co2_umol_mol) == 420.0


@settings(max_examples=25, deadline=None)
@given(st.floats(0.02, 5), st.floats(1, 80), st.floats(2, 16))
def test_more_air_never_means_less_growth(ach: float, wanted: float, hours: float) -> None:
    """Growth rises with air changes, and what is made is never more than wanted in the room's air."""
    less, more = lid_carbon(150, [ach, ach * 1.5], hours, wanted).dry_g_30d
    assert less <= more + 1e-9 <= wanted + 1e-6


def test_humidity_under_a_lid_lets_out_what_the_wet_surface_gives() -> None:
    """Vapour through the lid equals vapour from wet surfaces (conservation), written in litres a day."""
    rh = lid_humidity(150, 0.5, 0.5, 26, 22, 0.5)
    out = vapour_loss(150, 0.5, 26, rh, 22, 0.5)
    given_off = 24e-3 * 5.0 * 0.5 * (absolute_humidity(26, 1.0) - absolute_humidity(26, rh))
    assert float(out) == pytest.approx(float(given_off), rel=1e-6)


def test_a_sealed_wet_tank_is_full_of_vapour_and_a_dry_one_is_as_the_room() -> None:
    """Limits of the balance: no leak gives 1, no wet surface gives the room's vapour at the inside warmth."""
    assert float(lid_humidity(150, 0.0, 0.5, 26, 22, 0.5)) == pytest.approx(1.0)
    dry = float(lid_humidity(150, 0.5, 0.0, 26, 22, 0.5))
    assert dry == pytest.approx(float(absolute_humidity(22, 0.5) / absolute_humidity(26, 1.0)))
    assert float(lid_humidity(150, 5.0, 0.0, 10, 25, 0.9)) == 1.0  # moister than the cold tank can hold


def test_dew_falls_on_what_is_below_the_dew_point() -> None:
    """At 25 C and 80 % the dew point is 21.3094 C: a documented example of psychrolib."""
    assert float(dew_margin(25, 0.80, 21.3094)) == pytest.approx(0.0, abs=0.01)
    assert float(dew_margin(26, 0.97, 25.0)) < 0 < float(dew_margin(26, 0.97, 26.0))


@pytest.mark.parametrize("bad", [float("nan"), -1.0])
def test_air_that_cannot_be_is_refused(bad: float) -> None:
    """nan and less than nothing are refused, not clipped."""
    with pytest.raises(RefusedInput):
        carbon_supply(150, bad, 10)
    with pytest.raises(RefusedInput):
        lid_carbon(150, 0.5, 10, bad)
    with pytest.raises(RefusedInput):
        lid_humidity(150, 0.5, bad, 26, 22, 0.5)
