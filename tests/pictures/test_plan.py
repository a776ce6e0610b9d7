"""The calendar: a band a taxon, a mark a deed, cuts and sales told apart without colour."""

import xml.etree.ElementTree as ET
from datetime import date

from halfwater.pictures.floor import MARKS, FloorPlan, FloorSpot, draw_does, draw_floor
from halfwater.pictures.plan import (
    CalendarBand,
    CalendarMark,
    CalendarPicture,
    calendar_sentence,
    draw_calendar,
    draw_mark,
)

SVG = "{http://www.w3.org/2000/svg}"
PICTURE = CalendarPicture(
    date(2026, 3, 2),
    4,
    (CalendarBand("Nana", (10.0, 12.0, 11.0, 13.0), (CalendarMark(0, "cut", 2), CalendarMark(3, "sell", 5))),
     CalendarBand("Petite & co", (), ())),
    ((0, "Mar"),),
)  # fmt: skip


def test_each_mark_says_what_and_how_many() -> None:
    """A title a mark, its number beside it."""
    tree = ET.fromstring(draw_calendar(PICTURE))
    assert [one.text for one in tree.iter(f"{SVG}title")] == ["cut 2", "sell 5"]
    assert [one.text for one in tree.iter(f"{SVG}text") if one.get("class") == "calendar-number"] == [
        "2",
        "5",
    ]


def test_the_calendar_is_said_in_one_sentence() -> None:
    """Cut, sold, and the pots at both ends, taxon by taxon."""
    assert calendar_sentence(PICTURE) == (
        "Calendar of 4 weeks from 2 March 2026: Nana 2 cut, 5 sold, 10 to 13 pots; "
        "Petite & co 0 cut, 0 sold, no pots"
    )


def test_numbers_of_neighbouring_weeks_do_not_overlap() -> None:
    """The second of two weeks side by side in a year keeps its mark and its title, not its number."""
    marks = (CalendarMark(0, "cut", 10), CalendarMark(1, "cut", 13), CalendarMark(8, "cut", 4))
    band = CalendarBand("Nana", (1.0,) * 52, marks)
    tree = ET.fromstring(draw_calendar(CalendarPicture(date(2026, 3, 2), 52, (band,), ())))
    assert [one.text for one in tree.iter(f"{SVG}title")] == ["cut 10", "cut 13", "cut 4"]
    numbers = [one.text for one in tree.iter(f"{SVG}text") if one.get("class") == "calendar-number"]
    assert numbers == ["10", "4"]


def test_cut_and_sale_differ_in_shape() -> None:
    """Without colour a cut is still not a sale, and no two deeds on a floor look alike."""
    assert draw_mark("cut").replace("cut", "") != draw_mark("sell").replace("sell", "")
    shapes = {ET.fromstring(draw_does(mark)).find(f".//{SVG}path").get("d") for mark in MARKS}  # type: ignore[union-attr]
    assert len(shapes) == len(MARKS)


def test_a_spot_with_something_to_do_says_so() -> None:
    """The mark stands in the title in words, and as a shape in place of the state's."""
    plan = FloorPlan("North", 400.0, 200.0, 50.0, (FloorSpot("A1", 25.0, 25.0, "ready", "Nana", "cut"),))
    tree = ET.fromstring(draw_floor(plan))
    assert [one.text for one in tree.iter(f"{SVG}title")] == ["A1: Nana: cut"]
    assert "is-cut" in draw_floor(plan)
