"""The picture of the salts: limit, fan, readings and siphons stand in the spec and in the table."""

import json
from dataclasses import replace
from datetime import date, timedelta

import vl_convert

from halfwater.pictures.bath import BathPicture, bath_sentence, bath_spec, bath_table
from halfwater.plain.bath import BathMark, EcLimit, EcOn, EcRead

START = date(2026, 3, 1)


def _days(first: date, count: int, ec: float) -> tuple[EcOn, ...]:
    return tuple(
        EcOn(first + timedelta(days=i), ec + 0.01 * i - 0.1, ec + 0.01 * i, ec + 0.01 * i + 0.1)
        for i in range(count)
    )


PICTURE = BathPicture(
    tank="North",
    past=_days(START, 30, 0.6),
    ahead=_days(START + timedelta(days=30), 60, 0.9),
    readings=(
        EcRead(START + timedelta(days=10), 0.72),
        EcRead(START + timedelta(days=20), 2.4, is_odd=True),
    ),
    marks=(BathMark(START + timedelta(days=3), "siphon", 3.0), BathMark(START, "fill", 4.0)),
    limit=EcLimit(0.4, 1.0, 1.5, 2.0),
)


def test_the_limit_and_the_aim_stand_in_words() -> None:
    """Every line carries what it means and its EC; a siphon its word."""
    text = json.dumps(bath_spec(PICTURE))
    for word in ("siphon or thin above 1.5 mS/cm", "aim below 1 mS/cm", '"word": "siphon"'):
        assert word in text


def test_the_alarm_is_drawn_only_where_it_is_in_sight() -> None:
    """A bath far below the alarm has its axis for itself."""
    calm = replace(PICTURE, readings=PICTURE.readings[:1])
    assert "plants suffer above" not in json.dumps(bath_spec(calm))
    assert "plants suffer above 2 mS/cm" in json.dumps(bath_spec(PICTURE))


def test_a_reading_set_aside_has_another_shape() -> None:
    """A cross in the picture, and words in the table."""
    assert '"cross"' in json.dumps(bath_spec(PICTURE))
    reads = [row[4] for row in bath_table(PICTURE).rows if row[4]]
    assert reads == ["0.72 mS/cm", "2.4 mS/cm, set aside"]


def test_the_spec_is_drawn_and_has_no_colour_of_its_own() -> None:
    """The library that the pages serve draws it; colours come from the page."""
    spec = bath_spec(PICTURE)
    assert "#" not in json.dumps({**spec, "$schema": ""})
    assert "aim below" in vl_convert.vegalite_to_svg({**spec, "width": 600})


def test_an_empty_bath_has_a_picture_too() -> None:
    """No readings, no past: the sentence says so and nothing breaks."""
    bare = replace(PICTURE, past=(), readings=(), marks=())
    assert "not known yet" in bath_sentence(bare)
    assert "0 readings" in bath_sentence(bare)
    assert vl_convert.vegalite_to_svg({**bath_spec(bare), "width": 300}).startswith("<svg")


def test_the_table_goes_from_the_past_into_the_fan() -> None:
    """Fortnights ahead follow the days worked out, in order of time."""
    rows = bath_table(PICTURE).rows
    kinds = [row[1] for row in rows]
    assert kinds == sorted(kinds, reverse=True)
    assert kinds.count("ahead") == 4
