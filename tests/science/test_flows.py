"""Siphons and open water at their edges."""

import math

import pytest

from halfwater.errors import RefusedInput
from halfwater.science.open_water import duct_transfer, open_water_loss, still_air_loss, vapour_diffusion
from halfwater.science.siphon import crest_pressure, friction_factor, siphon_minutes


@pytest.mark.parametrize("hose_mm", [0.0, 500.0, 2000.0, 20_000.0])
def test_a_real_hose_is_slower(hose_mm: float) -> None:
    """No hose runs faster than one that holds nothing back."""
    assert siphon_minutes(5, 400, 9, hose_mm) > siphon_minutes(5, 400, 9)


def test_a_slow_hose_is_laminar() -> None:
    """A thin hose under little head follows Poiseuille: v = g h d2 / (32 nu L), ends left out."""
    by_hand = 9.80665 * 0.02 * 0.002**2 / (32 * 1.004e-6 * 5)
    litres_a_minute = 60_000 * by_hand * math.pi * 0.001**2
    assert 1 / siphon_minutes(1, 20, 2, 5000, 20) == pytest.approx(litres_a_minute, rel=0.01)


def test_laminar_friction() -> None:
    """Below 2300 the factor is 64 over Reynolds, whatever the wall."""
    assert friction_factor(1000, 0.03) == 0.064


@pytest.mark.parametrize(
    "ask",
    [
        lambda: siphon_minutes(5, 0, 9),
        lambda: siphon_minutes(5, math.nan, 9),
        lambda: siphon_minutes(-1, 500, 9),
        lambda: crest_pressure(10_000, 2.0),
        lambda: duct_transfer(50, 15, 20),
        lambda: still_air_loss(0, 100, 20),
        lambda: open_water_loss(25, 25, 50),
        lambda: vapour_diffusion(math.nan),
    ],
)
def test_what_cannot_be_is_refused(ask) -> None:
    """No head, no gap, a column too high, a gale in a duct, per cent for a fraction: a sentence."""
    with pytest.raises(RefusedInput):
        ask()


def test_saturated_air_takes_nothing() -> None:
    """Into saturated air of the same warmth nothing leaves, and a moister room adds nothing below 0."""
    assert still_air_loss(100, 1000, 22, 1.0) == 0.0
    assert open_water_loss(22, 22, 1.0) == 0.0
    assert open_water_loss(18, 28, 0.9) == 0.0
