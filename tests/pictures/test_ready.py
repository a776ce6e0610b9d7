"""The ready picture: each grade has its fan, its line and its word; the table tells the same."""

import json
from datetime import date, timedelta

import vl_convert

from halfwater.pictures.ready import ReadyPicture, ready_sentence, ready_spec, ready_table
from halfwater.plain.growing import ReadyCount

START = date(2026, 3, 2)


def _week(week: int) -> date:
    return START + timedelta(days=7 * week)


def _counts() -> tuple[ReadyCount, ...]:
    return tuple(
        ReadyCount(
            1,
            "Nana",
            grade,
            START + timedelta(days=7 * week),
            low + week,
            low + 2 * week,
            low + 3 * week,
            low,
        )
        for grade, low in (("large", 1.0), ("small", 9.0))
        for week in range(20)
    )


PICTURE = ReadyPicture("Nana", _counts(), (START + timedelta(days=28), START - timedelta(days=1)))


def test_each_grade_has_fan_line_and_word() -> None:
    """Two grades: two areas, two lines, and their words twice, once as a halo."""
    layers = ready_spec(PICTURE)["layer"]
    styles = [layer["mark"]["style"] for layer in layers]
    assert styles == ["fan-small", "fan-large", "release", "grade-small", "grade-large",
                      "halo", "grade-small-word", "halo", "grade-large-word"]  # fmt: skip


def test_the_spec_carries_no_colour_of_its_own() -> None:
    """Colours come from the page or the paper."""
    assert "#" not in json.dumps({**ready_spec(PICTURE), "$schema": ""})


def test_only_releases_inside_the_days_are_ruled() -> None:
    """A release before the first day would widen the axis: it is left out."""
    text = json.dumps(ready_spec(PICTURE))
    assert (START - timedelta(days=1)).isoformat() not in text


def test_the_spec_is_drawn_by_the_library_that_the_pages_serve() -> None:
    """The library makes an SVG of it with the words in it."""
    drawn = vl_convert.vegalite_to_svg({**ready_spec(PICTURE), "width": 600})
    assert ">large</text>" in drawn


def test_the_table_has_a_column_a_grade() -> None:
    """The first and the last day stand in it, each with median and range."""
    table = ready_table(PICTURE)
    assert table.heads == ("day", "small or better", "large")
    assert table.rows[0] == ("2 Mar 2026", "9", "1")
    assert table.rows[-1] == ("13 Jul 2026", "47 (28 to 66)", "39 (20 to 58)")
    assert len(table.rows) <= 8


def test_the_sentence_says_now_and_then() -> None:
    """Whoever cannot see the picture hears its two ends."""
    assert ready_sentence(PICTURE) == (
        "Ready pots of Nana: small or better 9 today, 47 on 13 July; large 1 today, 39 on 13 July"
    )
