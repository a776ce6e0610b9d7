"""Quantities as growers write them."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.plain.figures import show
from halfwater.science.unit_words import KINDS
from halfwater.science.units import Dose, read_dose, read_quantity, read_size

READ = [
    ("450 mm", "length", 450.0),
    ("45cm", "length", 450.0),
    ("1 1/2 in", "length", 38.1),
    ('1½"', "length", 38.1),
    ("1-1/2 inch", "length", 38.1),
    ("1 and 1/2 in.", "length", 38.1),
    ("1,5 in", "length", 38.1),
    ("5 ft 6 in", "length", 1676.4),
    ("5′ 6″", "length", 1676.4),
    ("21mm", "length", 21.0),
    (" 18 IN ", "length", 457.2),
    ("180 ml", "volume", 0.18),
    ("2,6", "volume", 2.6),
    ("1/2 gal", "volume", 1.892705892),
    ("half a gallon", "volume", 1.892705892),
    ("a gallon", "volume", 3.785411784),
    ("1 200 mL", "volume", 1.2),
    ("1,200.5 ml", "volume", 1.2005),
    ("1.200,5 ml", "volume", 1.2005),
    ("0,125 L", "volume", 0.125),
    ("6 fl. oz.", "volume", 0.177441177375),
    ("1e-3 l", "volume", 0.001),
    ("12 cc", "volume", 0.012),
    ("2 lb, 3 oz", "mass", 992.233309375),
    ("1.5 kg", "mass", 1500.0),
    ("72 F", "temperature", 200 / 9),
    ("22.5°C", "temperature", 22.5),
    ("-5 C", "temperature", -5.0),
    ("62 %", "fraction", 0.62),
    ("0.62", "fraction", 0.62),
    ("90% RH", "fraction", 0.9),
    ("5/8", "fraction", 0.625),
    ("800 µS/cm", "ec", 0.8),
    ("0.8", "ec", 0.8),
    ("0,8 dS/m", "ec", 0.8),
    ("800 us / cm", "ec", 0.8),
    ("40 µmol m⁻² s⁻¹", "ppfd", 40.0),
    ("40 umol/m²/s", "ppfd", 40.0),
    ("40 µmol·m⁻²·s⁻¹", "ppfd", 40.0),
    ("2.5 klux", "lux", 2500.0),
    ("10:30", "hours", 10.5),
    ("1 h 30 min", "hours", 1.5),
    ("45 min", "hours", 0.75),
    ("1.2 g/mL", "density", 1.2),
    ("1200 kg/m³", "density", 1.2),
    ("30 W", "power", 30.0),
    ("0.03 kW", "power", 30.0),
    ("17 pots", "count", 17.0),
    (21, "length", 21.0),
    (0.5, "volume", 0.5),
]


@pytest.mark.parametrize(("text", "kind", "value"), READ)
def test_what_growers_write_is_read(text: str | float, kind: str, value: float) -> None:
    """Units, fractions, commas and signs of every habit come out right."""
    assert read_quantity(text, kind) == pytest.approx(value, rel=1e-14)


REFUSED = [
    ("", "length"),
    ("   ", "volume"),
    ("nan", "length"),
    ("inf", "volume"),
    ("1e999", "length"),
    ("-3 mm", "length"),
    ("−3 mm", "length"),
    ("12 gal", "length"),
    ("3 dollars", "length"),
    ("2-3 mm", "length"),
    ("2 to 3 mm", "length"),
    ("36 18 in", "length"),
    ("12mm12", "length"),
    ("mm", "length"),
    ("1/0 in", "length"),
    ("2.5.1 mm", "length"),
    ("5 oz", "volume"),
    ("62", "fraction"),
    ("101 %", "fraction"),
    ("-1 %", "fraction"),
    ("700 ppm", "ec"),
    ("200 C", "temperature"),
    ("1.5", "count"),
    ("-1", "count"),
    (math.nan, "length"),
    (-1.0, "volume"),
    (math.inf, "mass"),
    (True, "count"),
    (None, "length"),
    (10**400, "length"),
    ("twenty mm", "length"),
]


@pytest.mark.parametrize(("text", "kind"), REFUSED)
def test_what_cannot_be_meant_is_refused(text: object, kind: str) -> None:
    """Whatever is no such quantity is refused with examples of what would be taken."""
    with pytest.raises(RefusedInput) as refused:
        read_quantity(text, kind, field="the field")  # type: ignore[arg-type]
    assert KINDS[kind].accepted.split(" such as ")[0] in refused.value.accepted
    assert refused.value.field == "the field"
    assert refused.value.value is text or refused.value.value == text


def test_an_ambiguous_comma_is_refused_with_both_readings() -> None:
    """1,200 is twelve hundred to some and one and a fifth to others."""
    with pytest.raises(RefusedInput, match=r"write 1200 or 1\.2"):
        read_quantity("1,200 ml", "volume")


def test_bare_numbers_follow_the_system() -> None:
    """Inches, gallons and Fahrenheit in a US nursery, millimetres, litres and Celsius elsewhere."""
    assert read_quantity("18", "length", system="us") == pytest.approx(457.2)
    assert read_quantity("18", "length") == 18.0
    assert read_quantity(1, "volume", system="us") == pytest.approx(3.785411784)
    assert read_quantity("50", "temperature", system="us") == pytest.approx(10.0)
    with pytest.raises(RefusedInput):
        read_quantity("18", "length", system="imperial")
    with pytest.raises(RefusedInput):
        read_quantity("18", "colour")


@pytest.mark.parametrize(
    ("text", "dose"),
    [
        ("2 tsp/gal", Dose(2000 / 768, None)),
        ("2.6 ml/l", Dose(2.6, None)),
        ("2,6ml/L", Dose(2.6, None)),
        ("1/4 tsp per gal", Dose(250 / 768, None)),
        ("half a tsp per gallon", Dose(500 / 768, None)),
        ("2 tsp a gallon", Dose(2000 / 768, None)),
        ("5 ml in 1 l", Dose(5.0, None)),
        ("2 fl oz / 10 gal", Dose(1.5625, None)),
        ("0.5 g/L", Dose(None, 0.5)),
        ("13.5 oz/100 gal", Dose(None, 13.5 * 28.349523125 / 378.5411784)),
        ("1 kg/m3", Dose(None, 1.0)),
        ("0 ml/l", Dose(0.0, None)),
    ],
)
def test_doses(text: str, dose: Dose) -> None:
    """A dose is by volume or by mass, by the unit above its line."""
    found = read_dose(text)
    assert found.dose_ml_l == (None if dose.dose_ml_l is None else pytest.approx(dose.dose_ml_l, rel=1e-14))
    assert found.dose_g_l == (None if dose.dose_g_l is None else pytest.approx(dose.dose_g_l, rel=1e-14))


@pytest.mark.parametrize(
    "text",
    ["", "2 tsp", "5 ml/", "/l", "ml/l", "-2 ml/l", "nan ml/l", "2 in/gal", "3 ml/0 l", "5 per gal", 3],
)
def test_no_doses(text: object) -> None:
    """Half a dose, a length over a volume and a dose in no water are refused."""
    with pytest.raises(RefusedInput, match="a dose such as 2 tsp/gal"):
        read_dose(text)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "sides"),
    [
        ("36 x 18 in", (914.4, 457.2)),
        ("90x45 cm", (900, 450)),
        ("91.4 × 45.7 cm", (914, 457)),
        ('36" x 18"', (914.4, 457.2)),
        ("36 in x 18 in", (914.4, 457.2)),
        ("3 ft by 18 in", (914.4, 457.2)),
        ("36 in x 18", (914.4, 457.2)),
        ("91,4 x 45,7 cm", (914, 457)),
        ("50x38x50 mm", (50, 38, 50)),
        ("900 * 450", (900, 450)),
        ("2 in", (50.8,)),
    ],
)
def test_sizes(text: str, sides: tuple[float, ...]) -> None:
    """Sides share the unit at the end or carry their own."""
    assert read_size(text, len(sides), "floor") == pytest.approx(sides, rel=1e-14)


@pytest.mark.parametrize(
    "text", ["", "900", "900 450", "36 x in", "0 x 3 mm", "3 x 4 x 5 mm", "3 x -4 mm", "3 x 4 gal", "x", 36]
)
def test_no_sizes(text: object) -> None:
    """A missing, empty or impossible side is refused with the whole of what was typed."""
    with pytest.raises(RefusedInput) as refused:
        read_size(text, 2, "floor")  # type: ignore[arg-type]
    assert refused.value.value == text


SHOWN = {
    "length": "mm",
    "volume": "l",
    "mass": "g",
    "temperature": "c",
    "fraction": "frac",
    "ec": "ms_cm",
    "ppfd": "umol_m2_s",
    "lux": "lux",
    "hours": "h",
    "density": "kg_l",
    "power": "w",
}


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(sorted(SHOWN)), st.floats(1.0, 5000.0), st.sampled_from(["metric", "us"]))
def test_what_is_shown_can_be_typed_back(kind: str, amount: float, units: str) -> None:
    """A shown figure reads back as itself within the rounding of what was shown."""
    value = {"fraction": amount / 5000, "temperature": amount / 50}.get(kind, amount)
    text = show(value, SHOWN[kind], units)
    again = read_quantity(text, kind, system=units)
    assert again == pytest.approx(value, rel=0.006, abs=0.15)
    assert show(again, SHOWN[kind], units) == text


@settings(max_examples=60, deadline=None)
@given(st.floats(0.05, 50.0), st.sampled_from(["metric", "us"]))
def test_shown_doses_can_be_typed_back(amount: float, units: str) -> None:
    """So do doses of liquid and dry feeds."""
    liquid, dry = read_dose(show(amount, "ml_l", units)), read_dose(show(amount, "g_l", units))
    assert liquid.dose_ml_l == pytest.approx(amount, rel=0.01, abs=0.001)
    assert dry.dose_g_l == pytest.approx(amount, rel=0.01, abs=0.001)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=14), st.sampled_from(sorted(KINDS)))
def test_any_text_is_read_or_refused(text: str, kind: str) -> None:
    """Nothing typed brings the reader down: it gives a number in range or one sentence."""
    try:
        value = read_quantity(text, kind)
    except RefusedInput:
        return
    assert KINDS[kind].lowest <= value <= KINDS[kind].highest
    assert math.isfinite(value)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 40), st.integers(0, 15), st.sampled_from([2, 4, 8, 16]))
def test_fractions_add_up(whole: int, above: int, below: int) -> None:
    """A mixed number of inches is its whole and its part, however it is set out."""
    expected = (whole + above / below) * 25.4
    for text in (f"{whole} {above}/{below} in", f"{whole}-{above}/{below}in", f'{whole} {above} / {below}"'):
        assert read_quantity(text, "length") == pytest.approx(expected, abs=1e-9)
