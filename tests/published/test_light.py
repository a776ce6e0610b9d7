"""Daily light and meters against published numbers."""

import pytest

from halfwater.errors import RefusedInput
from halfwater.science.light import (
    FOOT_CANDLE_LUX,
    daily_light_integral,
    light_meaning,
    lux_factor,
    photons_per_joule,
    ppfd_from_lux,
)

# purdue-ho-238: umol/m2/s, hours, mol/m2/d; exact products
DAYS = [
    (1, 24, 0.0864),
    (1, 1, 0.0036),
    (100, 16, 5.76),
    (50, 12, 2.16),
    (30, 10, 1.08),
    (200, 18, 12.96),
]

# thimijan-heins-1983, table 3: lux per umol/m2/s, and umol per joule of PAR
LAMPS = [
    ("sun and sky", 54, 4.57),
    ("blue sky", 52, None),
    ("cool-white fluorescent", 74, 4.59),
    ("high-pressure sodium", 82, 4.98),
    ("metal halide", 71, 4.59),
    ("incandescent", 50, 5.0),
]

# thimijan-heins-1983: a lux reading, its source and its PPFD
READINGS = [
    (108_000, "sun and sky", 2000),
    (5400, "sun and sky", 100),
    (7400, "cool-white fluorescent", 100),
]

# priors, Light: PPFD over 10 hours, and the rounded daily light
TEN_HOURS = [
    (15, 0.54, 0.005),
    (30, 1.1, 0.05),
    (50, 1.8, 0.05),
    (75, 2.7, 0.05),
    (100, 3.6, 0.05),
    (150, 5.4, 0.05),
]


@pytest.mark.parametrize(("ppfd", "hours", "dli"), DAYS)
def test_daily_light(ppfd: float, hours: float, dli: float) -> None:
    """A steady light gives the published daily sum, exactly."""
    assert float(daily_light_integral(ppfd, hours)) == pytest.approx(dli, rel=1e-12)


@pytest.mark.parametrize(("ppfd", "dli", "half_digit"), TEN_HOURS)
def test_daily_light_of_ten_hours(ppfd: float, dli: float, half_digit: float) -> None:
    """Ten hours of a small lamp give what the starting values state."""
    assert float(daily_light_integral(ppfd, 10)) == pytest.approx(dli, abs=half_digit + 1e-12)


@pytest.mark.parametrize(("source", "lux_per_umol", "umol_per_j"), LAMPS)
def test_table_of_sources(source: str, lux_per_umol: float, umol_per_j: float | None) -> None:
    """Each source has the published factors, and none where the table has none."""
    assert lux_factor(source) == lux_per_umol
    if umol_per_j is None:
        with pytest.raises(RefusedInput, match="one of"):
            photons_per_joule(source)
    else:
        assert photons_per_joule(source) == umol_per_j


@pytest.mark.parametrize(("lux", "source", "ppfd"), READINGS)
def test_lux_to_photons(lux: float, source: str, ppfd: float) -> None:
    """Lux readings turn into the published PPFD."""
    assert float(ppfd_from_lux(lux, lux_factor(source))) == pytest.approx(ppfd, rel=1e-12)


def test_misprinted_table_row_is_not_copied() -> None:
    """200 umol of sun is 10 800 lux: the 40 800 of a much-copied page is a slip (thimijan-heins-1983)."""
    assert float(ppfd_from_lux(10_800, lux_factor("sun and sky"))) == pytest.approx(200, rel=1e-12)
    assert float(ppfd_from_lux(16_200, lux_factor("sun and sky"))) == pytest.approx(300, rel=1e-12)
    assert float(ppfd_from_lux(40_800, lux_factor("sun and sky"))) > 700


def test_foot_candle() -> None:
    """A foot-candle is 10.7639 lux (thimijan-heins-1983; half the last digit)."""
    assert pytest.approx(10.7639, abs=5e-5) == FOOT_CANDLE_LUX


@pytest.mark.parametrize("name", ["white LED", "LED", "led", "White led 6500 K"])
def test_white_led_has_no_default(name: str) -> None:
    """A white LED is not in thimijan-heins-1983: its own factor is asked for, never assumed."""
    with pytest.raises(RefusedInput, match="own factor"):
        lux_factor(name)


# korczynski-2002 (outdoors 5 to 60, greenhouses rarely over 30); runkle-msu (most crops poor below 10,
# African violet 4 to 6, unlit winter greenhouse 2 to 4): words only, no equality
WORDS = [
    (3.0, "Low light"),
    (5.0, "stems"),
    (20.0, "greenhouse crop"),
    (40.0, "check the reading"),
    (70.0, "open sky"),
]


@pytest.mark.parametrize(("dli", "words"), WORDS)
def test_words_agree_with_published_ranges(dli: float, words: str) -> None:
    """The sentence on a daily light does not contradict the published ranges."""
    assert words in light_meaning(dli)
