"""Depth and volume against definitions and geometry in print."""

import pytest

from halfwater.science.vessel import Vessel, bath_volume, free_area


def test_a_millimetre_on_a_square_metre_is_a_litre() -> None:
    """The definition of rain and evaporation depth, fao-56 chapter 1: 1 mm/day = 10 m3/ha/day."""
    square = Vessel(1000.0, 1000.0, 400.0, 0, 0.0, 0.0, 0.0, 0.0, 0.0)
    assert float(bath_volume(square, 1.0)) == 1.0


def test_an_empty_floor_of_60_by_30_cm() -> None:
    """1.8 L for each centimetre; fao-56 chapter 1, exact."""
    floor = Vessel(600.0, 300.0, 400.0, 0, 0.0, 0.0, 0.0, 0.0, 0.0)
    assert float(bath_volume(floor, 10.0)) == pytest.approx(1.8, rel=1e-12)


def test_ten_solid_pots_on_it() -> None:
    """0.18 - 10 pi 0.025^2 = 0.160365 m2 and 1.6037 L/cm: geometry on fao-56 chapter 1, half a digit."""
    floor = Vessel(600.0, 300.0, 400.0, 10, 50.0, 50.0, 50.0, 1.0, 0.0)
    assert float(free_area(floor, 10.0)) == pytest.approx(0.160365, abs=5e-7)
    assert float(bath_volume(floor, 10.0)) == pytest.approx(1.6037, abs=5e-5)
