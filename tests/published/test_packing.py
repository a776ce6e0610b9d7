"""Pots on a floor against the packings and bounds in print."""

import math

import pytest

from halfwater.errors import RefusedInput
from halfwater.science.bound import most_pots
from halfwater.science.packing import pack_floor

# circles, radius of the largest n equal circles in a unit square; szabo-2007
RADII = [
    (1, 0.5),
    (2, 1 / (2 + math.sqrt(2))),
    (3, (8 - 5 * math.sqrt(2) + 4 * math.sqrt(3) - 3 * math.sqrt(6)) / 2),
    (4, 0.25),
    (5, (math.sqrt(2) - 1) / 2),
    (6, (6 * math.sqrt(13) - 13) / 46),
    (7, (4 - math.sqrt(3)) / 13),
    (8, (1 + math.sqrt(2) - math.sqrt(3)) / 4),
    (9, 1 / 6),
]
# most circles of unit area in a square of area 1, 2, 3 ...; oeis-a337020
UNIT_CIRCLES = [0, 1, 1, 2, 3, 4, 4, 5, 5, 6, 8, 9, 9, 9, 10, 11, 12, 13, 13, 15]
# length, width, pot, square rows, staggered along length and width (tight), Oler's bound; oler-1961
FLOORS = [
    (8, 8, 1, 64, 68, 68, 71),
    (10, 10, 1, 100, 105, 105, 112),
    (5, 5, 1, 25, 23, 23, 27),
    (60, 30, 5.5, 50, 60, 54, 66),
    (100, 50, 10, 50, 48, 50, 55),
    (76, 31, 5, 90, 102, 94, 105),
]


@pytest.mark.parametrize(("circles", "radius"), RADII)
def test_best_known_packings_in_a_square_are_found(circles: int, radius: float) -> None:
    """A pot a hair smaller than szabo-2007 prints lets n stand."""
    assert pack_floor(1000.0, 1000.0, 2000.0 * radius * (1 - 1e-6)).count == circles


@pytest.mark.parametrize(("circles", "radius"), RADII[1:])
def test_proven_packings_in_a_square_are_not_outdone(circles: int, radius: float) -> None:
    """A pot a hair larger than szabo-2007 prints leaves fewer than n standing."""
    assert pack_floor(1000.0, 1000.0, 2000.0 * radius * (1 + 1e-5)).count < circles


@pytest.mark.parametrize(("area", "most"), list(enumerate(UNIT_CIRCLES, start=1))[1:])
def test_circles_of_unit_area(area: int, most: int) -> None:
    """Every count to 15 is that of oeis-a337020: never more, and none missed."""
    side = math.sqrt(area) * 100.0
    assert pack_floor(side, side, 200.0 / math.sqrt(math.pi)).count == most


@pytest.mark.parametrize(("length", "width", "pot", "square", "along", "across", "bound"), FLOORS)
def test_finite_floors(
    length: float, width: float, pot: float, square: int, along: int, across: int, bound: int
) -> None:
    """At least the best of the plain row patterns, at most the bound of oler-1961."""
    packing = pack_floor(length * 10.0, width * 10.0, pot * 10.0)
    counts = dict(packing.alternatives)
    assert counts["square"] == square
    assert counts["staggered along the length"] >= along
    assert counts["staggered along the width"] >= across
    assert packing.bound_count == bound
    assert max(square, along, across) <= packing.count <= bound


def test_square_and_diagonal_spacing_on_a_wide_bench() -> None:
    """400 and 462 six-inch pots on 100 square feet (gpn-grower-101): the densities of the plane.

    A bench of finite size loses a strip at its edges, so a very wide one is
    taken and 2 % allowed.
    """
    bench = 50 * 304.8
    counts = dict(pack_floor(bench, bench, 152.4).alternatives)
    assert counts["square"] / 25.0 == 400
    assert counts["staggered along the length"] / 25.0 == pytest.approx(462, rel=0.02)


def test_ten_inch_pots_and_the_gain_of_staggering() -> None:
    """144 ten-inch pots on 100 sq ft, 100 sq in each; 2/sqrt 3 more at most (gpn-grower-101)."""
    bench = 10 * 304.8
    straight = dict(pack_floor(bench, bench, 254.0).alternatives)["square"]
    assert straight == 144
    assert bench**2 / straight / 25.4**2 == pytest.approx(100.0)
    wide = pack_floor(100 * 254.0, 100 * 254.0, 254.0)
    covered = math.pi / 4 * wide.count / 100**2
    assert math.pi / 4 < covered < math.pi / math.sqrt(12)  # 0.785398 and 0.906900, densities of the plane
    assert 1.12 < wide.count / 100**2 < 2 / math.sqrt(3)  # 1.1547, less what the edges cost


def test_no_circle_of_unit_area_in_a_square_of_it() -> None:
    """In a square of area 1 there stands none (oeis-a337020): the pot is refused as wider than the floor."""
    with pytest.raises(RefusedInput, match="no wider than the floor"):
        pack_floor(100.0, 100.0, 200.0 / math.sqrt(math.pi))


def test_the_bound_holds_for_every_best_packing() -> None:
    """Oler's bound (oler-1961) is never below what szabo-2007 shows to fit."""
    assert all(most_pots(1000.0, 1000.0, 2000.0 * radius) >= circles for circles, radius in RADII)
