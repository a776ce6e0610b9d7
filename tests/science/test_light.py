"""Daily light: what holds for every lamp, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.light import (
    SOURCE_FACTORS,
    LightSource,
    daily_light_integral,
    light_meaning,
    lux_factor,
    photons_per_joule,
    ppfd_from_lux,
    sum_sources,
    tank_light,
)

PPFD, HOURS = st.floats(0, 2000), st.floats(0, 24)


@given(PPFD, HOURS, st.floats(0, 1))
def test_daily_light_is_linear_in_both(ppfd: float, hours: float, share: float) -> None:
    """Half the light or half the hours is half the day's light."""
    whole = float(daily_light_integral(ppfd, hours))
    assert float(daily_light_integral(share * ppfd, hours)) == pytest.approx(share * whole, rel=1e-9)
    assert float(daily_light_integral(ppfd, share * hours)) == pytest.approx(share * whole, rel=1e-9)


def test_daily_light_takes_many() -> None:
    """Readings by pots and hours by lamps broadcast; each cell is the single answer."""
    grid = daily_light_integral(np.array([[10.0], [50.0]]), np.array([8.0, 12.0, 24.0]))
    assert grid.shape == (2, 3)
    assert grid[1, 1] == daily_light_integral(50.0, 12.0)
    assert daily_light_integral([], []).shape == (0,)


def test_one_number_in_gives_one_number_out() -> None:
    """A single reading gives a plain number, which formats and serialises as one."""
    assert f"{daily_light_integral(100, 10):.1f}" == "3.6"
    assert isinstance(ppfd_from_lux(540, 54), float)


@given(st.lists(st.tuples(PPFD, HOURS), max_size=4))
def test_sources_add_in_any_order(pairs: list[tuple[float, float]]) -> None:
    """The sum over sources does not depend on their order; none give nothing."""
    sources = [LightSource("lamp", *pair) for pair in pairs]
    total = sum_sources(sources)
    assert total == pytest.approx(sum_sources(sources[::-1]), rel=1e-12)
    assert total == pytest.approx(0.0036 * sum(ppfd * hours for ppfd, hours in pairs), rel=1e-9)


@given(st.floats(0, 100_000), st.floats(5, 150))
def test_lux_goes_by_the_factor(lux: float, factor: float) -> None:
    """A reading divided by the factor and multiplied back is the reading."""
    ppfd = float(ppfd_from_lux(lux, factor))
    assert ppfd * factor == pytest.approx(lux, rel=1e-12)


@given(PPFD, st.floats(0, 1), HOURS, st.floats(0, 100), HOURS)
def test_tank_light_is_lamp_and_stray(
    ppfd: float, dimmer: float, lamp_h: float, stray: float, stray_h: float
) -> None:
    """A tank's light is its lamp at the dimmer plus the stray light, each for its hours."""
    answer = tank_light(
        lamp_ppfd_umol_m2_s=ppfd, dimmer_frac=dimmer, lamp_h=lamp_h,
        stray_ppfd_umol_m2_s=stray, stray_h=stray_h,
    )  # fmt: skip
    assert answer.dli_mol_m2_d == pytest.approx(0.0036 * (ppfd * dimmer * lamp_h + stray * stray_h), rel=1e-9)
    assert answer.why == ""
    assert answer.meaning


def test_lux_with_its_factor_is_as_good_as_ppfd() -> None:
    """A lamp known by lux and its own factor gives what its PPFD gives; PPFD is taken first."""
    by_lux = tank_light(lamp_lux=6000, lux_per_umol=60, lamp_h=10)
    assert by_lux.dli_mol_m2_d == tank_light(lamp_ppfd_umol_m2_s=100, lamp_h=10).dli_mol_m2_d
    both = tank_light(lamp_ppfd_umol_m2_s=50, lamp_lux=6000, lux_per_umol=60, lamp_h=10)
    assert both.dli_mol_m2_d == pytest.approx(1.8)


@pytest.mark.parametrize(("lamp", "why"), [({}, "PPFD"), ({"lamp_lux": 4000}, "own factor")])
def test_an_unknown_lamp_gives_no_number_but_a_reason(lamp: dict, why: str) -> None:
    """A lamp that burns without a known light gives None and what to measure; its stray light still shows."""
    answer = tank_light(**lamp, lamp_h=10, stray_ppfd_umol_m2_s=5, stray_h=8)
    assert answer.dli_mol_m2_d is None
    assert why in answer.why
    assert [source.name for source in answer.sources] == ["stray light"]


def test_a_lamp_that_is_off_needs_no_reading() -> None:
    """Without hours, or dimmed to nothing, an unknown lamp adds nothing."""
    assert tank_light(lamp_h=0, stray_ppfd_umol_m2_s=10, stray_h=10).dli_mol_m2_d == pytest.approx(0.36)
    assert tank_light(lamp_h=12, dimmer_frac=0).dli_mol_m2_d == 0.0


@pytest.mark.parametrize(
    "wrong",
    [
        {"lamp_ppfd_umol_m2_s": -1},
        {"lamp_ppfd_umol_m2_s": math.nan},
        {"lamp_lux": math.inf, "lux_per_umol": 60},
        {"lamp_lux": 100, "lux_per_umol": 0},
        {"lamp_h": 25},
        {"lamp_h": "10"},
        {"dimmer_frac": 1.1},
        {"dimmer_frac": 80},
        {"stray_ppfd_umol_m2_s": -1},
        {"stray_h": 24.5},
    ],
)
def test_nonsense_light_is_refused(wrong: dict) -> None:
    """Negative, nan, endless and textual figures, a day of 25 hours and a dimmer in per cent are refused."""
    with pytest.raises(RefusedInput):
        tank_light(**wrong)


def test_lux_without_a_factor_is_refused() -> None:
    """There is no default factor."""
    with pytest.raises(RefusedInput, match="own factor"):
        ppfd_from_lux(1000, None)


@pytest.mark.parametrize("name", ["candle", "", None, 54, "ledger"])
def test_unknown_sources_are_refused_with_the_known(name: object) -> None:
    """A source outside the table is refused with those in it."""
    with pytest.raises(RefusedInput, match="sun and sky"):
        lux_factor(name)
    with pytest.raises(RefusedInput, match="sun and sky"):
        photons_per_joule(name)


def test_table_cannot_be_written_to() -> None:
    """Nobody slips an LED into the published table."""
    with pytest.raises(TypeError):
        SOURCE_FACTORS["white LED"] = SOURCE_FACTORS["sun and sky"]  # type: ignore[index]


@given(st.floats(0, 260))
def test_every_daily_light_has_a_sentence(dli: float) -> None:
    """Each daily light that can be has one sentence."""
    assert light_meaning(dli).endswith(".")
