"""Films on leaves, and what plants take by their groups."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.foliar import film_on_leaves, left_on_leaf, nights_of_salt, spray_to_run_off
from halfwater.science.uptake import HALF_MG_L, SHARES, is_tender, leaf_area, plant_uptake, tank_uptake


@settings(max_examples=50, deadline=None)
@given(st.floats(0.0, 5.0), st.floats(0.0, 10.0), st.floats(1.0, 500.0), st.floats(0.0, 1.0))
def test_a_spray_goes_to_leaves_or_bath(spray, leaves, hold, beside):
    """All of it is accounted for, and no leaf holds more than it can."""
    film = film_on_leaves(spray, leaves, hold_ml_m2=hold, beside_frac=beside)
    assert film.on_leaves_l + film.run_off_l == pytest.approx(spray)
    assert film.film_ml_m2 <= hold
    assert 0.0 <= film.run_off_frac <= 1.0


def test_more_than_leaves_hold_runs_off():
    """A drench wets leaves to what they hold; the rest is the bath's."""
    film = film_on_leaves(1.0, 1.2)
    assert film.film_ml_m2 == 100.0
    assert film.run_off_l == pytest.approx(0.88)


def test_no_leaves_no_film():
    """An unplanted tank catches all of the spray."""
    assert film_on_leaves(0.15, 0.0).run_off_frac == 1.0


def test_run_off_of_a_planted_tank():
    """1.2 m2 of leaf take 60 to 240 mL before they drip, by how they stand."""
    assert spray_to_run_off(1.2, hold_ml_m2=50.0) == pytest.approx(0.060)
    assert spray_to_run_off(1.2, hold_ml_m2=200.0) == pytest.approx(0.240)


def test_salt_on_a_leaf_night_after_night():
    """Added up by hand: each night washes off seven tenths and leaves one night's worth."""
    salt = 0.0
    for nights in range(1, 12):
        salt = salt * 0.3 + 1.0
        assert nights_of_salt(nights) == pytest.approx(salt)
    assert nights_of_salt(0) == 0.0
    assert left_on_leaf(100.0, 50.0) == 5.0


def test_groups_are_found_by_name_or_profile():
    """The profile first, then the plant's own name, else what slow plants take."""
    assert plant_uptake("Anubias, petite and mini types").n_mg_a_month == 4.0
    assert plant_uptake("Anubias, large types").n_mg_a_month == 17.0
    assert plant_uptake("", "Anubias barteri var. nana").n_mg_a_month == 8.0
    assert plant_uptake("something else").n_mg_a_month == 8.0
    assert is_tender("Leptochilus pteropus")
    assert not is_tender("Anubias barteri var. nana")


def test_what_a_tank_takes():
    """Sixty nana take about half a gram of nitrogen a month; settling and small ones less; none nothing."""
    grown, spread = tank_uptake([("Anubias barteri var. nana", 60, 0)])
    assert grown * 30.0 == pytest.approx(480.0)
    assert 0.4 < spread < 0.7
    mixed, _ = tank_uptake([("Anubias barteri var. nana", 30, 30), ("Bucephalandra", 10, 0)])
    assert mixed == pytest.approx((8.0 * 30.0 + 8.0 * 0.3 * 30.0 + 3.0 * 10.0) / 30.0)
    assert tank_uptake([])[0] == 0.0
    assert leaf_area([("Anubias barteri var. nana", 600)]) == pytest.approx(1.2)


def test_each_salt_has_its_share_and_half():
    """Seven salts: the rest and urea are not taken, halves go with the shares."""
    assert len(SHARES) == len(HALF_MG_L) == 7
    assert SHARES[:3] == (0.0, 0.0, 1.0)
    assert all(h == pytest.approx(HALF_MG_L[2] * s) for s, h in zip(SHARES, HALF_MG_L, strict=True))


@pytest.mark.parametrize(
    "refused",
    [
        lambda: film_on_leaves(-0.1, 1.0),
        lambda: film_on_leaves(0.1, math.nan),
        lambda: film_on_leaves(0.1, 1.0, beside_frac=1.2),
        lambda: spray_to_run_off(-1.0),
        lambda: left_on_leaf(math.inf, 50.0),
        lambda: nights_of_salt(-1),
        lambda: nights_of_salt(3, washed_frac=0.0),
        lambda: tank_uptake([("Anubias", -1, 0)]),
        lambda: leaf_area([("Anubias", math.nan)]),
    ],
)
def test_what_cannot_be_is_refused(refused):
    """Negative, nan and impossible shares are named, not worked with."""
    with pytest.raises(RefusedInput):
        refused()
