"""The leaves picture: counts as points, each grade as a level with its range of days."""

import json
from datetime import date

import vl_convert

from halfwater.pictures.leaves import LeavesPicture, leaves_sentence, leaves_spec, leaves_table
from halfwater.pictures.score import draw_share
from halfwater.plain.growing import GradeDate

PICTURE = LeavesPicture(
    "June 3",
    ((date(2026, 1, 5), 3), (date(2026, 2, 5), 4)),
    (
        GradeDate("small", 5, date(2026, 3, 1), date(2026, 3, 20), date(2026, 4, 20)),
        GradeDate("standard", 8, date(2026, 5, 1), None, None),
        GradeDate("large", 12, None, None, None),
    ),
    date(2026, 8, 1),
)


def test_a_grade_beyond_the_horizon_ends_at_it() -> None:
    """A range without an end is drawn to the last day; a grade that is out of sight is not drawn."""
    text = json.dumps(leaves_spec(PICTURE))
    assert '"until": "2026-08-01"' in text
    assert '"large"' not in text
    assert "#" not in json.dumps({**leaves_spec(PICTURE), "$schema": ""})


def test_the_library_draws_it() -> None:
    """The spec is sound, with counts and without."""
    assert ">standard</text>" in vl_convert.vegalite_to_svg({**leaves_spec(PICTURE), "width": 500})
    bare = LeavesPicture("June 4", (), PICTURE.dates, PICTURE.horizon_on)
    assert ">small</text>" in vl_convert.vegalite_to_svg({**leaves_spec(bare), "width": 500})


def test_the_words_tell_the_counts() -> None:
    """First and last count in the sentence, the newest first in the table."""
    assert leaves_sentence(PICTURE) == "June 3: 3 leaves on 5 January 2026, 4 on 5 February 2026, 2 counts"
    assert leaves_table(PICTURE).rows[0] == ("Thu 5 Feb 2026", "4")


def test_the_share_stands_where_it_is() -> None:
    """Half way is half way, the aim at four fifths, and the drawing says both."""
    drawn = draw_share(0.4, 0.5, 0.6, 0.8, "half & half")
    assert 'cx="160.0"' in drawn
    assert "M250.0 6V30" in drawn
    assert "half &amp; half" in drawn
