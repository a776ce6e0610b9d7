"""Spoons a grower owns, and what they do to an amount."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.spoons import SIMPLER_FRAC, TEASPOON_ML, spoons


@pytest.mark.parametrize(
    ("teaspoons", "text"),
    [
        (0, "none"),
        (1 / 8, "1/8 tsp"),
        (1 / 4, "1/4 tsp"),
        (3 / 8, "1/4 tsp + 1/8 tsp"),
        (3 / 4, "1/2 tsp + 1/4 tsp"),
        (1, "1 tsp"),
        (1.5, "1 1/2 tsp"),
        (1.75, "1 1/2 tsp + 1/4 tsp"),
        (3, "1 tbsp"),
        (7, "2 tbsp + 1 tsp"),
        (7.5, "2 tbsp + 1 1/2 tsp"),
    ],
)
def test_whole_spoons_are_named_without_error(teaspoons: float, text: str) -> None:
    """An amount that real spoons hold is named by them, largest first."""
    spoonful = spoons(volume_ml=teaspoons * TEASPOON_ML)
    assert spoonful.text == text
    assert spoonful.error_frac == pytest.approx(0, abs=1e-12)


@given(st.floats(0.62, 10_000))
def test_error_is_what_rounding_does(volume_ml: float) -> None:
    """The stated error is exactly that of the spoons, and within half an eighth or 3 %."""
    spoonful = spoons(volume_ml=volume_ml)
    assert spoonful.volume_ml == pytest.approx(volume_ml * (1 + spoonful.error_frac), rel=1e-12)
    most = max(TEASPOON_ML / 16 / volume_ml, SIMPLER_FRAC)
    assert abs(spoonful.error_frac) <= most + 1e-12


@given(st.floats(0, 200), st.floats(0, 200))
def test_more_is_never_fewer_spoons(one_ml: float, other_ml: float) -> None:
    """A larger amount never gets a smaller spoonful."""
    low, high = sorted((one_ml, other_ml))
    assert spoons(volume_ml=low).volume_ml <= spoons(volume_ml=high).volume_ml


@given(st.floats(0, 200))
def test_text_adds_up_to_the_volume(volume_ml: float) -> None:
    """The spoons named in the text hold the stated volume."""
    spoonful = spoons(volume_ml=volume_ml)
    assert _read(spoonful.text) * TEASPOON_ML == pytest.approx(spoonful.volume_ml, abs=1e-9)


@given(st.floats(0.5, 500), st.floats(1, 10))
def test_dry_spoons_weigh_what_the_grower_weighed(mass_g: float, teaspoon_g: float) -> None:
    """A dry feed's spoons are those of its volume, with their weight and a quarter of doubt."""
    dry = spoons(mass_g=mass_g, teaspoon_g=teaspoon_g)
    wet = spoons(volume_ml=mass_g / teaspoon_g * TEASPOON_ML)
    assert dry.mass_g == pytest.approx(dry.volume_ml / TEASPOON_ML * teaspoon_g, rel=1e-12)
    assert dry.volume_ml == pytest.approx(wet.volume_ml, abs=TEASPOON_ML / 8 + 0.07 * wet.volume_ml)
    assert dry.spread_frac == (0.25 if dry.volume_ml else 0.0)
    assert wet.spread_frac == 0.0


@pytest.mark.parametrize("volume_ml", [1e-300, 0.01, 0.3])
def test_too_little_for_a_spoon_says_so(volume_ml: float) -> None:
    """Under a sixteenth of a teaspoon no spoon is named, and the error is the whole amount."""
    spoonful = spoons(volume_ml=volume_ml)
    assert spoonful.text == "too little for a spoon"
    assert spoonful.error_frac == -1.0


def test_too_much_for_spoons_says_so() -> None:
    """Nobody counts forty tablespoons: over twenty the text says so, and the error still stands."""
    assert spoons(volume_ml=60 * TEASPOON_ML).text == "20 tbsp"
    spoonful = spoons(volume_ml=120 * TEASPOON_ML)
    assert spoonful.text == "too much for spoons"
    assert spoonful.error_frac == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    "wrong",
    [
        {},
        {"volume_ml": 1, "mass_g": 1},
        {"volume_ml": -1},
        {"volume_ml": math.nan},
        {"volume_ml": "1"},
        {"mass_g": 3},
        {"mass_g": 3, "teaspoon_g": 0},
        {"mass_g": math.inf, "teaspoon_g": 5},
    ],
)
def test_no_amount_no_spoon(wrong: dict) -> None:
    """Missing, double, negative and nan amounts are refused, and grams without a spoon's weight."""
    with pytest.raises(RefusedInput):
        spoons(**wrong)


def _read(text: str) -> float:
    """Teaspoons in a spoon text, read by a second hand."""
    if text in ("none", "too little for a spoon"):
        return 0.0
    total = 0.0
    for part in text.split(" + "):
        *figures, unit = part.split()
        amount = 0.0
        for figure in figures:
            top, _, bottom = figure.partition("/")
            amount += int(top) / int(bottom or 1)
        total += amount * (3 if unit == "tbsp" else 1)
    return total
