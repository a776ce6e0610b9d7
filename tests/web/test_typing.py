"""What is typed on sheets: spots, keep-outs, bare numbers, refusals beside their fields."""

import pytest

from halfwater.deeds.sheet import RefusedSheet, Sheet
from halfwater.deeds.stock import read_spots
from halfwater.deeds.tank_sheet import read_keep_outs
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of

FLOOR = [f"{row}{place}" for row in "ABC" for place in range(1, 8)]


@pytest.mark.parametrize(
    ("typed", "spots"),
    [
        ("A1", ("A1",)),
        ("a1, a3", ("A1", "A3")),
        ("A1-A3", ("A1", "A2", "A3")),
        ("A1-3", ("A1", "A2", "A3")),
        ("A6 to B2", ("A6", "A7", "B1", "B2")),
        ("C", tuple(f"C{place}" for place in range(1, 8))),
        ("B3; B3 B2-B4", ("B3", "B2", "B4")),
    ],
)
def test_spots_are_read_as_growers_write_them(typed: str, spots: tuple[str, ...]) -> None:
    """Single spots, stretches in reading order and whole rows, each spot once."""
    assert read_spots(typed, FLOOR) == spots


@pytest.mark.parametrize("typed", ["D", "A0", "A8", "A3-A1", "A1-Z9", "?", "A1--A3"])
def test_spots_that_the_floor_lacks_are_refused(typed: str) -> None:
    """The refusal says which spots there are."""
    with pytest.raises(RefusedInput, match="this floor has A1 to C7"):
        read_spots(typed, FLOOR)


def test_keep_outs_are_read_a_line_each() -> None:
    """Four lengths, each with its own unit if wanted, then what stands there."""
    outs = read_keep_outs("0, 0, 60, 4 cm, siphon corner\n10 in, 0, 1 in, 1 in", "metric")
    assert [(out.x_mm, out.length_mm, out.width_mm, out.why) for out in outs] == [
        (0.0, 60.0, 40.0, "siphon corner"),
        (pytest.approx(254.0), pytest.approx(25.4), pytest.approx(25.4), ""),
    ]


def test_a_bare_number_takes_the_unit_beside_its_field() -> None:
    """A written unit wins; a bare number, a fraction and a size take the field's own."""
    field = Field("spray", "Spray", unit="mL")
    assert [field.typed(text) for text in ("150", "1/2", "2 ½", "0.2 L", "drench", "")] == [
        "150 mL", "1/2 mL", "2 ½ mL", "0.2 L", "drench", "",
    ]  # fmt: skip


def test_every_refusal_of_a_sheet_is_kept() -> None:
    """Reading goes on after the first slip; at the end all are raised together."""
    sheet = Sheet({"height": "x", "clay_fill": "2", "margin": "6 mm"})
    sheet.quantity("height", "length")
    sheet.quantity("clay_fill", "fraction")
    assert sheet.quantity("margin", "length") == 6.0
    with pytest.raises(RefusedSheet) as caught:
        sheet.finish()
    assert [one.field for one in caught.value.refused] == ["height", "clay_fill"]


def test_a_refusal_stands_beside_its_field_or_above_the_form() -> None:
    """A field of the form carries its refusal; what no field is about stands above them all."""
    form = Form((Field("height", "Height"),))
    assert (
        form.with_refusal(RefusedInput("height", "x", "a length")).fields[0].refusal
        == "“x” cannot be used here. A length."
    )
    assert form.with_refusal(RefusedInput("glass", "x", "a weight")).refusal.startswith("glass cannot be")
    assert form.with_refusal(RefusedByBook("A pot stands on it.")).refusal == "A pot stands on it."


def test_a_value_in_a_field_is_a_plain_number() -> None:
    """Four digits at most, no trailing noughts, in the grower's unit."""
    assert unit_of("length", "us").text(914.4) == "36"
    assert unit_of("small_volume", "metric").text(0.15) == "150"
    assert unit_of("temperature", "us").text(25.0) == "77"
    assert unit_of("length", "metric").text(None) == ""
