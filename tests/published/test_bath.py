"""Baths that gain and lose salt, against numbers printed or worked out elsewhere."""

import math

import pytest

from halfwater.science.bath_facts import ION_MS_CM, Solution
from halfwater.science.bath_solution import solution_of
from halfwater.science.feed import Strength
from halfwater.science.starting import ION_ACTIVITY_FRAC
from halfwater.science.steady_bath import bleed_for_cycles, strength_at_siphon, strength_in_time


@pytest.mark.parametrize(("cycles", "bleed", "make_up"), [(3.0, 30.0, 90.0), (5.0, 15.0, 75.0)])
def test_cycles_of_concentration(cycles, bleed, make_up):
    """Evaporating 60, three cycles need a bleed of 30, five one of 15 (thermidaire-cycles): exact."""
    assert bleed_for_cycles(60.0, cycles) == pytest.approx((bleed, make_up), rel=1e-12)


def test_a_bled_bath_ends_at_its_cycles():
    """In the long run such a bath stands at cycles times its inflow (thermidaire-cycles): M / B."""
    bleed, make_up = bleed_for_cycles(60.0, 3.0)
    assert make_up / bleed == pytest.approx(3.0, rel=1e-12)
    assert strength_in_time(500.0, make_up, 60.0, 200.0, 0.0, 1e4) == pytest.approx(600.0, rel=1e-9)


# common practice, no source: a linear balance solved by a general solver of differential equations,
# 40 L, 0.5 L/d of 300 mg/L in, 0.3 L/d evaporating, 200 mg/L at the start.
@pytest.mark.parametrize(
    ("days", "printed"), [(30, 276.6106), (90, 399.3045), (180, 526.3867), (365, 661.3303), (1e5, 750.0)]
)
def test_a_bath_held_at_one_volume(days, printed):
    """Strength in time, four decimals; common practice, no source: recomputed with scipy."""
    assert strength_in_time(40.0, 0.5, 0.3, 300.0, 200.0, days) == pytest.approx(printed, abs=5e-5)


# common practice, no source: geometric series, 30 L left, 6 L of rise, 1500 mg a month.
@pytest.mark.parametrize(
    ("siphon", "printed"), [(1, 41.667), (2, 76.389), (3, 105.324), (12, 221.961), (60, 249.996)]
)
def test_a_bath_siphoned_back_each_month(siphon, printed):
    """Strength at each siphon, three decimals; common practice, no source: geometric series."""
    assert strength_at_siphon(30.0, 6.0, 1500.0, siphon) == pytest.approx(printed, abs=5e-4)


def test_the_end_of_monthly_siphons():
    """In the long run what is brought over what is taken away: 250; common practice, no source."""
    assert strength_at_siphon(30.0, 6.0, 1500.0, math.inf) == pytest.approx(250.0, rel=1e-12)


# vanysek-crc: limiting conductivities in S cm2/eq at 25 C; those of H2PO4 and NO3 from memory.
@pytest.mark.parametrize(
    ("place", "conductivity", "equivalent_mg"),
    [(1, 71.42, 14.007), (2, 36.0, 30.974), (3, 73.48, 39.098), (4, 59.47, 20.039), (5, 53.0, 12.1525)],
)
def test_what_a_milligram_adds_to_the_ec(place, conductivity, equivalent_mg):
    """Limiting ionic conductivity over equivalent mass, less what neighbours take (vanysek-crc), uS/cm."""
    assert ION_MS_CM[place] == pytest.approx(ION_ACTIVITY_FRAC * conductivity / equivalent_mg, rel=1e-12)


# hoagland-arnon-1950: No. 1 in mg/L; parkhurst-appelo-2013: EC at half and quarter strength, mS/cm.
@pytest.mark.parametrize(("share", "ec"), [(0.5, 1.142), (0.25, 0.597)])
def test_ec_of_a_known_solution_from_its_ions(share, ec):
    """The rule for a mix of unknown EC comes within its own 15 % of doubt (parkhurst-appelo-2013)."""
    full = {"n_mg_l": 210.1, "p_mg_l": 30.97, "k_mg_l": 234.6, "ca_mg_l": 200.4, "mg_mg_l": 48.61}
    mix = solution_of(Strength(**{name: share * value for name, value in full.items()}), Solution(0.0))
    assert mix.ec_ms_cm == pytest.approx(ec, rel=mix.ec_cv_frac)
