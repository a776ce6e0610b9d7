"""Where habits lead and what refills do: brute force, limits, refusals."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.steady_bath import (
    bleed_for_cycles,
    ec_after_refill,
    refill_for_target,
    steady_strength,
    strength_at_siphon,
    strength_in_time,
)

EC = st.floats(0.0, 5.0)
LITRES = st.floats(0.5, 50.0)


def test_siphon_after_siphon_is_the_series():
    """Twenty siphons worked through one by one give the closed form, from a bath with salt in it."""
    strength = 90.0
    for times in range(1, 21):
        strength = (strength * 12.0 + 400.0) / 16.0
        assert strength_at_siphon(12.0, 4.0, 400.0, times, 90.0) == pytest.approx(strength, rel=1e-12)


def test_small_steps_reach_the_same_strength_in_time():
    """Ten thousand small steps of the balance agree with the closed form."""
    c, days, steps = 0.2, 40.0, 10_000
    for _ in range(steps):
        c += days / steps * (0.4 * 1.1 - 0.25 * c) / 9.0
    assert strength_in_time(9.0, 0.4, 0.15, 1.1, 0.2, days) == pytest.approx(c, rel=1e-3)


def test_all_that_runs_in_evaporates():
    """With nothing running off the salts add up in a straight line, and the two forms meet there."""
    straight = strength_in_time(10.0, 0.2, 0.2, 0.5, 0.3, 30.0)
    assert straight == pytest.approx(0.3 + 0.2 * 0.5 * 30.0 / 10.0)
    assert strength_in_time(10.0, 0.2, 0.2 - 1e-9, 0.5, 0.3, 30.0) == pytest.approx(straight, rel=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 500.0), st.floats(0.1, 20.0), st.floats(0.0, 500.0), st.floats(0.5, 30.0))
def test_the_steady_strength_balances(brought, away, uptake, half):
    """What is siphoned and what plants take is what was brought."""
    c = steady_strength(brought, away, uptake, half)
    assert c >= 0.0
    assert away * c + uptake * c / (c + half) == pytest.approx(brought, rel=1e-9, abs=1e-9)


@settings(max_examples=80, deadline=None)
@given(LITRES, EC, EC, EC, LITRES, st.floats(0.0, 3.0))
def test_a_refill_gives_what_it_promises(volume, ec, target, refill, end, held):
    """Mixed by hand, the litres give the EC told; reachable means the target, else nothing is nearer."""
    plan = refill_for_target(volume, ec, target, refill, end_l=end, held_l=held)
    assert -1e-9 <= plan.siphon_l <= volume + 1e-9
    assert plan.refill_l >= -1e-9
    assert volume - plan.siphon_l + plan.refill_l == pytest.approx(end)
    mixed = ec_after_refill(
        volume, ec, min(plan.siphon_l, volume), max(plan.refill_l, 0.0), refill, held_l=held
    )
    assert mixed == pytest.approx(plan.ec_ms_cm, abs=1e-6)
    if plan.is_reachable:
        assert mixed == pytest.approx(target, abs=1e-6)
    else:
        least = max(0.0, volume - end)
        tried = [least + k / 20.0 * (volume - least) for k in range(21)]
        others = [
            ec_after_refill(volume, ec, x, max(x + end - volume, 0.0), refill, held_l=held) for x in tried
        ]
        assert abs(mixed - target) <= min(abs(other - target) for other in others) + 1e-6


def test_a_bath_that_all_but_dried_is_still_answered():
    """An EC no meter reads, as a drying bath reckons to, is diluted like any other."""
    plan = refill_for_target(5.0, 30.0, 1.2, 0.4, held_l=1.0)
    assert plan.siphon_l == 5.0
    assert not plan.is_reachable
    assert plan.ec_ms_cm == pytest.approx((30.0 * 1.0 + 5.0 * 0.4) / 6.0)
    with pytest.raises(RefusedInput):
        refill_for_target(5.0, 1.0, 1.2, 30.0)


def test_the_same_water_changes_nothing():
    """A refill of the bath's own strength reaches its own strength and no other."""
    assert refill_for_target(10.0, 0.8, 0.8, 0.8).is_reachable
    assert not refill_for_target(10.0, 0.8, 0.5, 0.8).is_reachable


@pytest.mark.parametrize(
    "refused",
    [
        lambda: bleed_for_cycles(60.0, 1.0),
        lambda: bleed_for_cycles(math.nan, 3.0),
        lambda: strength_in_time(40.0, 0.3, 0.5, 300.0, 200.0, 30.0),
        lambda: strength_in_time(0.0, 0.5, 0.3, 300.0, 200.0, 30.0),
        lambda: strength_at_siphon(30.0, 0.0, 1500.0, 3),
        lambda: strength_at_siphon(30.0, 6.0, 1500.0, math.nan),
        lambda: steady_strength(-1.0, 2.0),
        lambda: steady_strength(1.0, 0.0),
        lambda: ec_after_refill(5.0, 1.0, 6.0, 1.0, 0.2),
        lambda: ec_after_refill(5.0, 1.0, 5.0, 0.0, 0.2),
        lambda: refill_for_target(5.0, 1.0, math.nan, 0.2),
        lambda: refill_for_target(5.0, 1.0, 0.5, 0.2, end_l=0.0),
    ],
)
def test_what_cannot_be_is_refused(refused):
    """No sum that has no end, no bath of nothing, no siphon of more than there is."""
    with pytest.raises(RefusedInput):
        refused()
