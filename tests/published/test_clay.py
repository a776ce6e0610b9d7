"""Starting values of expanded clay against the ranges in print (ranges, not equalities)."""

import math

from halfwater.science import starting
from halfwater.science.vessel import Vessel, tank_weight


def test_bulk_density_is_that_of_a_usual_grade() -> None:
    """Grades of 250 to 510 kg/m3 (expanded-clay-densities)."""
    assert 0.250 <= starting.CLAY_BULK_DENSITY_KG_L <= 0.510


def test_voids_are_at_least_those_of_random_close_packing() -> None:
    """Equal spheres settle to 0.634..0.64 solid, never denser than 0.7405 (random-close-packing)."""
    assert 1.0 - 0.64 <= starting.CLAY_POROSITY_FRAC < 0.5
    solid_frac = 1.0 - starting.CLAY_POROSITY_FRAC
    assert solid_frac < math.pi / math.sqrt(18.0)


def test_pellet_density_closes_the_balance() -> None:
    """Bulk over solid share gives the pellet: 450 to 850 kg/m3, priors, Clay and lines (from memory)."""
    pellet = starting.CLAY_BULK_DENSITY_KG_L / (1.0 - starting.CLAY_POROSITY_FRAC)
    assert 0.450 <= pellet <= 0.850


def test_a_litre_of_clay_weighs_what_its_density_says() -> None:
    """One straight pot of a litre of clay, soaked to 1.15 of its dry mass (priors, Clay and lines)."""
    side = math.sqrt(4e6 / (math.pi * 100.0))
    pot = Vessel(400.0, 400.0, 300.0, 1, side, side, 100.0, 1.0, 0.44)
    assert math.isclose(tank_weight(pot, 0.0).clay_kg, starting.CLAY_BULK_DENSITY_KG_L * 1.15, rel_tol=1e-9)
