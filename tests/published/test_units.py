"""Household measures against the tables of the bureaus of standards (exact)."""

import pytest

from halfwater.science.units import read_dose, read_quantity

# text, kind, house unit value, source key
EXACT = [
    ("1 tsp", "volume", 4.92892159375e-3, "nist-hb44"),
    ("1 tbsp", "volume", 14.78676478125e-3, "nist-hb44"),
    ("1 fl oz", "volume", 29.5735295625e-3, "nist-hb44"),
    ("1 gal", "volume", 3.785411784, "nist-hb44"),
    ("1 in", "length", 25.4, "nist-sp811"),
    ("1 lb", "mass", 453.59237, "nist-sp811"),
    ("1 oz", "mass", 28.349523125, "nist-sp811"),
]


@pytest.mark.parametrize(("text", "kind", "value", "source"), EXACT)
def test_household_measures(text: str, kind: str, value: float, source: str) -> None:
    """Each is exact by definition, so it must come out to the last digit of a float."""
    assert read_quantity(text, kind) == pytest.approx(value, rel=1e-15), source


def test_a_gallon_is_231_cubic_inches() -> None:
    """The definition of the US gallon, nist-hb44 Appendix C."""
    assert read_quantity("231 cu in", "volume") == read_quantity("1 gal", "volume")


@pytest.mark.parametrize(
    ("text", "dose_ml_l"), [("1 tsp/gal", 1000 / 768), ("1/4 tsp/gal", 0.25 * 1000 / 768)]
)
def test_teaspoons_to_the_gallon(text: str, dose_ml_l: float) -> None:
    """768 teaspoons make a gallon, follows from nist-hb44: exact."""
    assert read_dose(text).dose_ml_l == pytest.approx(dose_ml_l, rel=1e-15)
