"""What a place costs, against the worked example of a greenhouse adviser."""

import pytest

from halfwater.planning.shares import used_space_cost

FT2_M2 = 0.09290304  # nist-sp811, exact
# fisher-costing: 40 000 square feet, 75 % full, 52 weeks, overhead 1 000 000; a crop of half a square foot
# for eight weeks.
OVERHEAD, FLOOR_FT2, FULL, WEEKS, CROP_FT2, CROP_WEEKS = 1_000_000.0, 40_000.0, 0.75, 52.0, 0.5, 8.0


def test_the_floor_used_in_a_year():
    """Three quarters of the floor for a year are 1 560 000 square feet and weeks (fisher-costing)."""
    rate = used_space_cost(OVERHEAD, FLOOR_FT2 * FT2_M2, FULL, WEEKS * 7.0) * FT2_M2 * 7.0
    assert OVERHEAD / rate == pytest.approx(1_560_000.0, abs=0.5)


def test_rate_of_a_square_foot_and_week():
    """A square foot used for a week carries 0.64 (fisher-costing)."""
    rate = used_space_cost(OVERHEAD, FLOOR_FT2 * FT2_M2, FULL, WEEKS * 7.0) * FT2_M2 * 7.0
    assert rate == pytest.approx(0.64, abs=0.005)


def test_a_pot_of_eight_weeks():
    """Half a square foot for eight weeks is 4 square foot weeks and carries 2.56 (fisher-costing)."""
    assert CROP_FT2 * CROP_WEEKS == 4.0
    a_day = used_space_cost(OVERHEAD, FLOOR_FT2 * FT2_M2, FULL, WEEKS * 7.0)
    pot = a_day * CROP_FT2 * FT2_M2 * CROP_WEEKS * 7.0
    assert pot == pytest.approx(2.56, abs=0.005)


def test_a_floor_believed_fuller_charges_too_little():
    """Whoever says 95 % of a floor that is 75 % full asks a fifth too little of a pot (vallejo-2018)."""
    true, said = (used_space_cost(OVERHEAD, FLOOR_FT2, full, 364.0) for full in (0.75, 0.95))
    assert said / true == pytest.approx(0.75 / 0.95)
