"""Dimmer and hours for a wanted daily light, what they cost, and whom a spot suits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.planning.light_choices import light_choices, spot_word


def test_power_and_money_of_a_month() -> None:
    """30 W at 60 % for 10 h burns 0.18 kWh a day: 5.4 kWh and, at 32 cents, 172.8 cents in 30 days."""
    choices = light_choices(100.0, 2.16, power_w=30.0, kwh_minor=32.0)
    (ten,) = [one for one in choices if one.lamp_h == 10.0]
    assert ten.dimmer_frac == pytest.approx(0.6)
    assert ten.month_kwh == pytest.approx(5.4)
    assert ten.month_cost_minor == pytest.approx(172.8)


@given(
    st.floats(20, 400),
    st.floats(0.5, 8),
    st.floats(0, 1),
    st.one_of(st.none(), st.tuples(st.floats(0, 1), st.floats(0, 24))),
)
def test_every_choice_gives_what_is_wanted(
    full: float, wanted: float, stray: float, now: tuple[float, float] | None
) -> None:
    """Each offered setting is a step of the dimmer, six to sixteen hours, and within a twentieth."""
    choices = light_choices(full, wanted, stray, now=now)
    assert [one.is_now for one in choices if one.is_now] == ([True] if now else [])
    for one in choices:
        assert one.dli_mol_m2_d == pytest.approx(0.0036 * full * one.dimmer_frac * one.lamp_h + stray)
        if not one.is_now:
            assert 6.0 <= one.lamp_h <= 16.0
            assert one.dimmer_frac / 0.05 == pytest.approx(round(one.dimmer_frac / 0.05))
            lamp = one.dli_mol_m2_d - stray
            assert abs(lamp / (wanted - stray) - 1.0) <= 0.05 + 1e-6


def test_too_weak_a_lamp_or_enough_stray_light_leaves_today_only() -> None:
    """A lamp that sixteen hours do not help, and a window that is enough, offer nothing."""
    assert light_choices(10.0, 3.0) == ()
    assert light_choices(100.0, 1.0, 1.2) == ()
    (today,) = light_choices(10.0, 3.0, now=(1.0, 12.0))
    assert today.is_now
    assert "under what is wanted" in today.note


@pytest.mark.parametrize("bad", [float("nan"), -1.0, 5000.0])
def test_impossible_light_is_refused(bad: float) -> None:
    """Neither nan nor a light no lamp gives."""
    with pytest.raises(RefusedInput):
        light_choices(bad, 2.0)


@pytest.mark.parametrize(
    ("light", "word"),
    [
        ((0.8, 1.0, 1.3), "too dim"),
        ((1.5, 2.0, 2.5), "good"),
        ((3.5, 4.4, 5.5), "too bright"),
        ((0.9, 2.0, 4.5), "not known"),
        ((1.2, 1.2, 1.2), "good"),
    ],
)
def test_whom_a_spot_suits(light: tuple[float, float, float], word: str) -> None:
    """For a taxon that takes 1.2 to 4 mol a day."""
    assert spot_word(*light, (1.2, 4.0)) == word


def test_a_range_turned_round_is_refused() -> None:
    """What a taxon takes goes from the least to the most."""
    with pytest.raises(RefusedInput):
        spot_word(1.0, 2.0, 3.0, (4.0, np.pi))
