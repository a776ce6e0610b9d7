"""What growers type for each kind of entry, and what is refused."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.deeds.note_values import NoteSetting, NoteValue, read_value
from halfwater.errors import RefusedInput
from halfwater.plain.entry import KIND_UNITS
from halfwater.plain.tank import SprayPlan, TankFacts

TANK = TankFacts(
    key=1, name="North", place=1, length_mm=900.0, width_mm=450.0, height_mm=400.0, pot=None, pots=0,
    clay_fill_frac=0.625, clay_porosity_frac=0.44, margin_mm=6.0, low_line_mm=None, keep_outs=(),
    plan=SprayPlan(None, 0.15), lamp=None, lamp_dimmer_frac=1.0, lamp_hours=0.0, stray_ppfd_umol_m2_s=0.0,
    stray_hours=0.0, lid_ach_per_h=None, inside_temp_c=None, inside_rh_frac=None, set_up_on=date(2026, 8, 1),
)  # fmt: skip
METRIC = NoteSetting("metric", TANK, 0.15)
US = NoteSetting("us", TANK, 0.15)


@pytest.mark.parametrize(
    ("kind", "typed", "read"),
    [
        ("spray", "180ml", NoteValue(value=0.18)),
        ("spray", "0,18 L", NoteValue(value=0.18)),
        ("spray", "", NoteValue(value=0.15)),
        ("fill", "2.5 L", NoteValue(value=2.5)),
        ("siphon", "to low line", NoteValue(to_line="low")),
        ("siphon", "Down to the Low Line", NoteValue(to_line="low")),
        ("siphon", "", NoteValue(to_line="low")),
        ("siphon", "2.5 L", NoteValue(value=2.5)),
        ("waterline", "21mm", NoteValue(value=21.0)),
        ("waterline", "1 in", NoteValue(value=25.4)),
        ("waterline", "21", NoteValue(value=21.0)),
        ("ec", "0.8", NoteValue(value=0.8)),
        ("air", "24C 92%", NoteValue(value=24.0, second=0.92)),
        ("air", "24,5 C, 92 %", NoteValue(value=24.5, second=0.92)),
        ("air", "24C", NoteValue(value=24.0)),
        ("lamp", "80% 10h", NoteValue(value=0.8, second=10.0)),
        ("ec", "420 ppm 500", NoteValue(value=0.84)),
        ("ec", "448 ppm on the 640 scale", NoteValue(value=0.7)),
        ("ph", "6.4", NoteValue(value=6.4)),
        ("ph", "pH 6,4", NoteValue(value=6.4)),
        ("meter", "1.38 of 1.413", NoteValue(value=1.38, second=1.413)),
        (
            "meter",
            "1,31 mS/cm of 1,413 at 21 C, no compensation",
            NoteValue(1.31, 1.413, word="raw", third=21.0),
        ),
        ("light", "62 at B4", NoteValue(value=62.0, spot="B4")),
        ("light", "62 at b4, dimmer 80 %, stray 5", NoteValue(62.0, 0.8, spot="B4", third=5.0)),
        ("light", "8 at B4, lamp off", NoteValue(8.0, 0.0, spot="B4")),
        ("leaves", "7", NoteValue(value=7.0)),
        ("loss", "2 rot", NoteValue(value=2.0, word="rot")),
        ("loss", "dried out", NoteValue(value=1.0, word="dried out")),
        ("loss", "", NoteValue(value=1.0, word="unknown")),
        ("sighting", "algae", NoteValue(value=1.0, word="algae")),
        ("sighting", "Shore flies much", NoteValue(value=3.0, word="shore flies")),
        ("skip", "", NoteValue()),
        ("note", "lid cracked", NoteValue(text="lid cracked")),
    ],
)
def test_values_as_growers_type_them(kind: str, typed: str, read: NoteValue) -> None:
    """Each kind is read into its house unit."""
    assert read_value(kind, typed, METRIC) == read


def test_a_bare_number_is_in_the_growers_units() -> None:
    """In a US nursery 1 1/2 is inches."""
    assert read_value("waterline", "1 1/2", US).value == pytest.approx(38.1)


@pytest.mark.parametrize(
    ("kind", "typed", "said"),
    [
        ("spray", "180", "at most 5 L"),
        ("spray", "-3 ml", "150 mL|volume"),
        ("spray", "21mm", "volume"),
        ("waterline", "401 mm", "rim of North"),
        ("waterline", "nan", "length"),
        ("siphon", "a lot", "to low line"),
        ("siphon", "400 L", "at most 162 L"),
        ("fill", "", "volume"),
        ("air", "24C 140%", "24C 92%|fraction|%"),
        ("air", "warm and wet", "24C 92%"),
        ("lamp", "80%", "80% 10h"),
        ("leaves", "7.5", "whole number"),
        ("leaves", "-1", "whole number"),
        ("loss", "2 sadness", "rot"),
        ("ec", "420 ppm", "ppm scales differ"),
        ("ph", "15", "0 to 14"),
        ("ph", "sour", "0 to 14"),
        ("meter", "1.38", "1.38 of 1.413"),
        ("light", "at B4", "62 at B4"),
        ("light", "4000 lux at B4", "own factor"),
        ("light", "62 at B4, dimmer 140 %", "from 0 to 1"),
        ("loss", "0 rot", "number of plants"),
        ("sighting", "dragons", "algae"),
        ("sighting", "", "algae"),
        ("turtles", "1", "one of spray"),
    ],
)
def test_bad_values_are_refused_with_what_would_be_taken(kind: str, typed: str, said: str) -> None:
    """One sentence, with what would be accepted."""
    with pytest.raises(RefusedInput, match=said):
        read_value(kind, typed, METRIC)


@given(st.sampled_from(sorted(KIND_UNITS)), st.text(max_size=12))
def test_any_text_is_read_or_refused(kind: str, typed: str) -> None:
    """Whatever is typed, the answer is a sound value or a refusal."""
    try:
        read = read_value(kind, typed, METRIC)
    except RefusedInput:
        return
    assert read.value is None or (read.value >= 0 or kind == "air")
    assert read.value is None or read.value < 1e9


@given(st.floats(0.001, 5.0))
def test_millilitres_and_litres_agree(litres: float) -> None:
    """A spray is the same in mL and in L."""
    in_ml = read_value("spray", f"{litres * 1000:.6f} ml", METRIC).value
    in_l = read_value("spray", f"{litres:.9f} L", METRIC).value
    assert in_ml == pytest.approx(in_l, abs=1e-8)
