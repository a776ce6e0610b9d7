"""The waterline picture: the lines, the fan and the readings stand in the spec and in the table."""

import json
from dataclasses import replace
from datetime import date, timedelta

import vl_convert

from halfwater.pictures.gauge import GaugePicture, draw_gauge
from halfwater.pictures.waterline import (
    LevelDay,
    WaterlinePicture,
    waterline_sentence,
    waterline_spec,
    waterline_table,
)

START = date(2026, 3, 1)


def _days(first: date, count: int, depth_mm: float) -> tuple[LevelDay, ...]:
    return tuple(
        LevelDay(
            first + timedelta(days=i), depth_mm + 0.2 * i, depth_mm + 0.2 * i - 1, depth_mm + 0.2 * i + 1
        )
        for i in range(count)
    )


PICTURE = WaterlinePicture(
    tank="North",
    units="metric",
    known=_days(START, 20, 16.0),
    ahead=_days(START + timedelta(days=20), 30, 20.0),
    readings=((START + timedelta(days=5), 17.0),),
    siphons=(START,),
    clay_line_mm=31.25,
    limit_line_mm=25.25,
    low_line_mm=16.7,
)


def test_the_spec_names_every_line_in_words() -> None:
    """Clay, limit and low line carry their words and depths, the siphon its word."""
    text = json.dumps(waterline_spec(PICTURE))
    for word in ("clay line 31.3 mm", "limit line 25.3 mm", "low line 16.7 mm", '"siphon"'):
        assert word in text


def test_the_spec_carries_no_colour_of_its_own() -> None:
    """Colours come from the page or the paper: the spec only names styles."""
    assert "#" not in json.dumps({**waterline_spec(PICTURE), "$schema": ""})


def test_the_spec_is_drawn_by_the_library_that_the_pages_serve() -> None:
    """The same library that draws in the browser makes an SVG of the spec, with the words in it."""
    drawn = vl_convert.vegalite_to_svg({**waterline_spec(PICTURE), "width": 600})
    assert "limit line 25.3 mm" in drawn


def test_inches_are_shown_as_inches() -> None:
    """The US page has its depths in inches, in words and in the figures."""
    picture = replace(PICTURE, units="us")
    assert "0.99 in" in waterline_sentence(picture)
    assert "31.25" not in json.dumps(waterline_spec(picture))


def test_the_table_tells_the_same_as_the_picture() -> None:
    """The last known day with its range, then the forecast week by week."""
    table = waterline_table(PICTURE)
    kinds = [row[1] for row in table.rows]
    assert kinds == ["worked out"] * 3 + ["ahead"] * 4
    assert table.rows[2][:4] == ("20 Mar 2026", "worked out", "19.8 mm", "18.8 mm to 20.8 mm")
    assert [row[4] for row in table.rows] == ["17 mm", *[""] * 6]


def test_the_gauge_holds_its_level_inside_the_walls() -> None:
    """A bath far above the rim of the drawing is drawn at the rim; without a level there is no water."""
    high = draw_gauge(GaugePicture(400.0, 31.0, 25.0, 16.0, "high"))
    assert 'y="6.0"' in high
    assert "gauge-water" not in draw_gauge(GaugePicture(None, 31.0, 25.0, 16.0, "unknown"))


def test_siphons_close_together_share_one_word() -> None:
    """Five siphons in ten weeks have five rules, and only as many words as fit side by side."""
    often = replace(PICTURE, siphons=tuple(START + timedelta(days=14 * i) for i in range(5)))
    text = json.dumps(waterline_spec(often))
    assert text.count('"word": "siphon"') == 2
    assert all((START + timedelta(days=14 * i)).isoformat() in text for i in range(5))
