"""Bars of a mix: what is there, what was wanted, from the water."""

import re

from halfwater.pictures.strengths import EcBar, StrengthBar, draw_ecs, draw_strengths


def test_the_mark_of_what_was_wanted_stands_where_a_full_bar_would_end() -> None:
    """A strength that is met reaches its mark, one half met ends half way."""
    drawn = draw_strengths([StrengthBar("N", 50.0, 5.0, 50.0), StrengthBar("K", 20.0, 0.0, 40.0)], "a mix")
    marks = [float(x) for x in re.findall(r'strength-wanted" d="M([\d.]+)', drawn)]
    bars = [float(x) for x in re.findall(r'strength-bar" x="62" y="[\d.]+" width="([\d.]+)', drawn)]
    assert marks[0] == marks[1] == 62.0 + bars[0]
    assert bars[1] * 2 == bars[0]
    assert "20 of 40" in drawn


def test_too_much_does_not_leave_the_drawing() -> None:
    """A strength far above what was wanted ends at the edge, its number stays true."""
    drawn = draw_strengths([StrengthBar("Mg", 90.0, 0.0, 10.0)], "a mix")
    assert 'width="210.0"' in drawn
    assert "90 of 10" in drawn


def test_without_a_target_the_bars_share_one_scale() -> None:
    """The strongest fills the line; nothing at all draws nothing and does not fail."""
    drawn = draw_strengths([StrengthBar("N", 40.0), StrengthBar("P", 10.0), StrengthBar("Mo", 0.0)], "a mix")
    bars = [float(x) for x in re.findall(r'strength-bar" x="62" y="[\d.]+" width="([\d.]+)', drawn)]
    assert bars == [210.0, 52.5, 0.0]
    assert draw_strengths([StrengthBar("N", 0.0)], "plain water").startswith("<svg")


def test_mixes_side_by_side_are_on_one_scale() -> None:
    """The EC of twice the strength has a bar twice as long; range and word stand with it."""
    drawn = draw_ecs([EcBar("Night", 0.5, 0.4, 0.6), EcBar("<Bath>", 1.0, 0.9, 1.0, "settles")], "two mixes")
    bars = [float(x) for x in re.findall(r'strength-bar" x="0" y="[\d.]+" width="([\d.]+)', drawn)]
    assert bars == [105.0, 210.0]
    assert "&lt;Bath&gt; · settles" in drawn
    assert "0.5 mS/cm" in drawn
