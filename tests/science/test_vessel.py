"""The vessel: closed form against integration, its inverse, the lines, refusals."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from halfwater.errors import RefusedInput
from halfwater.science.vessel import Vessel, bath_depth, bath_volume, free_area, lines, tank_weight

TYPICAL = Vessel(914.4, 457.2, 300.0, 119, 50.8, 38.0, 50.0, 0.625, 0.44)


@st.composite
def vessels(draw: st.DrawFn) -> Vessel:
    """Draw a tank with pots of any taper, also wider at the foot."""
    top, base = draw(st.floats(20, 90)), draw(st.floats(20, 90))
    high = draw(st.floats(20, 120))
    fill, porosity = draw(st.floats(0, 1)), draw(st.floats(0, 1))
    return Vessel(900.0, 450.0, 300.0, draw(st.integers(0, 45)), top, base, high, fill, porosity)


def by_integration(vessel: Vessel, depth_mm: float) -> float:
    """Volume by adding up the free area slice by slice, from the definition."""

    def free(z: float) -> float:
        radius = (
            vessel.pot_base_mm / 2 + (vessel.pot_top_mm - vessel.pot_base_mm) / 2 * z / vessel.pot_height_mm
        )
        clay = z < vessel.clay_fill_frac * vessel.pot_height_mm
        solid = vessel.pots * math.pi * radius**2 * (1 - vessel.clay_porosity_frac) if clay else 0.0
        return vessel.length_mm * vessel.width_mm - solid

    edge = min(depth_mm, vessel.clay_fill_frac * vessel.pot_height_mm)
    return (quad(free, 0, edge)[0] + quad(free, edge, depth_mm)[0]) * 1e-6


@pytest.mark.parametrize("depth_mm", [0.0, 1.0, 16.7, 31.24, 31.26, 49.0, 200.0, 300.0])
def test_closed_form_is_the_integral(depth_mm: float) -> None:
    """The cubic gives what integrating the free area gives."""
    assert float(bath_volume(TYPICAL, depth_mm)) == pytest.approx(by_integration(TYPICAL, depth_mm), rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(vessels(), st.floats(0, 300))
def test_depth_and_volume_undo_each_other(vessel: Vessel, depth_mm: float) -> None:
    """A depth turned into a volume and back is the same depth, for any taper."""
    volume_l = bath_volume(vessel, depth_mm)
    assert float(bath_depth(vessel, volume_l)) == pytest.approx(depth_mm, abs=1e-7)


@settings(max_examples=40, deadline=None)
@given(vessels(), st.lists(st.floats(0, 300), min_size=2, max_size=20))
def test_more_depth_is_more_volume(vessel: Vessel, depths: list[float]) -> None:
    """Volume rises with depth, and never faster than over an empty floor."""
    ordered = np.sort(np.array(depths))
    steps = np.diff(bath_volume(vessel, ordered))
    assert (steps >= -1e-12).all()
    assert (steps <= np.diff(ordered) * vessel.floor_mm2 * 1e-6 + 1e-9).all()


@settings(max_examples=40, deadline=None)
@given(vessels(), st.floats(0.5, 299))
def test_free_area_is_the_slope_of_the_volume(vessel: Vessel, depth_mm: float) -> None:
    """A small rise brings free area times rise, on either side of the clay line."""
    step = 1e-4
    if abs(depth_mm - vessel.clay_mm) < 2 * step:
        return
    rise = float(bath_volume(vessel, depth_mm + step) - bath_volume(vessel, depth_mm - step)) / (2 * step)
    assert float(free_area(vessel, depth_mm)) == pytest.approx(rise, rel=1e-5)


def test_nearly_straight_pots_are_as_exact_as_straight_ones() -> None:
    """The root of the cubic does not lose its digits as the taper goes to nought."""
    for taper in (0.0, 1e-9, 1e-7, 1e-5, 1e-3, 0.1):
        vessel = Vessel(914.4, 457.2, 300.0, 119, 50.0 + taper, 50.0, 50.0, 0.625, 0.44)
        depths = np.linspace(0.0, 31.0, 40)
        assert np.allclose(bath_depth(vessel, bath_volume(vessel, depths)), depths, atol=1e-9)


def test_first_fill_is_of_the_usual_order() -> None:
    """Half a US gallon stands below half the pot and is no mere film (common practice, no source)."""
    depth_mm = float(bath_depth(TYPICAL, 1.892705892))
    assert 4.0 < depth_mm < 25.0


def test_lines_stand_in_order() -> None:
    """Low line under limit line under clay line, each where its definition puts it."""
    found = lines(TYPICAL, 6.0, None)
    assert found.clay_line_mm == pytest.approx(31.25)
    assert found.limit_line_mm == pytest.approx(25.25)
    assert found.low_line_mm == pytest.approx(50.0 / 3)


@pytest.mark.parametrize(
    ("margin_mm", "low_mm"), [(31.25, None), (-1.0, None), (16.0, None), (6.0, 25.25), (6.0, -1.0)]
)
def test_lines_that_contradict_each_other_are_refused(margin_mm: float, low_mm: float | None) -> None:
    """No margin that eats the clay, no low line at or above the limit line."""
    with pytest.raises(RefusedInput):
        lines(TYPICAL, margin_mm, low_mm)


@pytest.mark.parametrize("depth_mm", [-0.1, 300.1, math.nan, math.inf, "deep", [10.0, math.nan]])
def test_impossible_depths_are_refused(depth_mm: object) -> None:
    """Below the floor, above the rim, no number: refused with the range that would be taken."""
    with pytest.raises(RefusedInput, match="from 0 to 300 mm"):
        bath_volume(TYPICAL, depth_mm)  # type: ignore[arg-type]


def test_more_than_the_tank_holds_is_refused() -> None:
    """A volume above the rim has no depth."""
    with pytest.raises(RefusedInput, match="volume"):
        bath_depth(TYPICAL, 200.0)


@pytest.mark.parametrize(
    "change",
    [
        {"length_mm": 0.0},
        {"width_mm": math.nan},
        {"pots": -1},
        {"pots": 200},
        {"pots": 2.5},
        {"pots": math.nan},
        {"clay_fill_frac": 1.1},
        {"clay_porosity_frac": math.nan},
        {"pot_height_mm": 301.0},
        {"pot_top_mm": 0.0},
    ],
)
def test_tanks_that_cannot_be_are_refused(change: dict[str, float]) -> None:
    """Sizes of nought, shares above one, more pots than any floor of that size takes."""
    sizes = {name: getattr(TYPICAL, name) for name in Vessel.__dataclass_fields__}
    with pytest.raises(RefusedInput):
        Vessel(**(sizes | change))


def test_weight_adds_up() -> None:
    """The parts make the total, the load is the total over the floor, and a heavy tank is cautioned."""
    weight = tank_weight(TYPICAL, 20.0)
    assert weight.total_kg == pytest.approx(weight.bath_kg + weight.clay_kg + weight.glass_kg)
    assert weight.load_kg_m2 == pytest.approx(weight.total_kg / (0.9144 * 0.4572))
    assert weight.bath_kg == pytest.approx(float(bath_volume(TYPICAL, 20.0)))
    assert "homes" not in weight.caution
    assert "homes" in tank_weight(TYPICAL, 250.0).caution
    with pytest.raises(RefusedInput):
        tank_weight(TYPICAL, 20.0, glass_kg=-1.0)
