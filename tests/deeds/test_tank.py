"""One tank's answer: everything the page and the command show, and why where nothing can be said."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from halfwater.book import changes, queries
from halfwater.deeds.light import light_of_named
from halfwater.deeds.tank import tank_answer, tank_answers
from halfwater.errors import RefusedInput
from tests.deeds.nurseries import NOW, TODAY, WHO, a_nursery, a_tank, evenings, noted

pytestmark = pytest.mark.django_db


def test_a_tank_without_any_entry_has_a_wide_answer() -> None:
    """On day zero there is a date, from the starting values, and a reading that would narrow it."""
    a_nursery()
    a_tank(set_up_on=TODAY)
    answer = tank_answer("north", NOW)
    assert answer.siphon_p10_on is not None
    assert answer.siphon_p50_on is not None
    assert TODAY + timedelta(days=20) < answer.siphon_p50_on < TODAY + timedelta(days=90)
    assert answer.depth_mm == pytest.approx(16.0, abs=0.1)
    assert answer.reading_gain_days is not None
    assert answer.reading_gain_days > 1.0
    assert "dli_mol_m2_d: no lamp" in (answer.why or "")


def test_entries_narrow_the_answer() -> None:
    """Two months of evenings with readings give a narrower range than the starting values."""
    a_nursery()
    a_tank()
    wide = tank_answer("North", NOW)
    for back, mm in ((60, "16 mm"), (45, "17.5 mm"), (30, "19 mm"), (15, "20.5 mm"), (1, "22 mm")):
        noted("waterline", value=mm, at=(TODAY - timedelta(days=back)).isoformat() + " 19:00")
    evenings(60)
    narrow = tank_answer("North", NOW)
    assert (narrow.catch_sd_frac or 1) < (wide.catch_sd_frac or 0)
    assert narrow.siphon_p10_on is not None
    assert narrow.siphon_p90_on is not None
    assert narrow.siphon_p90_on - narrow.siphon_p10_on < timedelta(days=40)
    assert (narrow.depth_high_mm or 99) - (narrow.depth_low_mm or 0) < 4.0
    assert (wide.depth_high_mm or 0) - (wide.depth_low_mm or 99) > 4.0
    assert [depth for _, depth in narrow.readings] == [16.0, 17.5, 19.0, 20.5, 22.0]
    assert {working.title for working in narrow.workings} >= {
        "Lines",
        "Bath",
        "Catch and loss",
        "Siphon date",
        "Light",
    }
    days = [level.on for level in narrow.past]
    assert days == sorted(set(days))
    assert all(level.low_mm <= level.depth_mm <= level.high_mm for level in narrow.past + narrow.ahead)


def test_a_tank_that_is_never_sprayed_reaches_no_line() -> None:
    """Where the bath only sinks there is no date, and the reason is told once."""
    a_nursery()
    a_tank(night_volume_l=0.0)
    noted("waterline", value="17 mm", at="2026-10-20 19:00")
    for back in range(30, 0, -1):
        noted("skip", at=(TODAY - timedelta(days=back)).isoformat())
    answer = tank_answer("North", NOW)
    assert answer.siphon_p50_on is None
    assert "siphon_p50_on" in (answer.why or "")
    assert "foreseeable" in (answer.why or "")


def test_a_reading_that_cannot_be_right_is_told() -> None:
    """A slip of the ruler is set aside and said so in a sentence."""
    a_nursery()
    a_tank()
    for back in (20, 15, 10, 5):
        noted("waterline", value="18 mm", at=(TODAY - timedelta(days=back)).isoformat() + " 19:00")
    evenings(20)
    noted("waterline", value="180 mm", at="2026-11-19 21:00")
    (told,) = tank_answer("North", NOW).misfits
    assert "Thu 19 Nov 2026 (180 mm) does not fit" in told


def test_the_lamp_is_as_it_was_last_set() -> None:
    """A noted dimmer and hours stand before those of the tank's description."""
    a_nursery()
    lamp = changes.save_lamp(who=WHO, name="Bar", ppfd_umol_m2_s=100.0)
    a_tank(lamp=lamp, lamp_dimmer_frac=1.0, lamp_hours=10.0, stray_ppfd_umol_m2_s=10.0, stray_hours=10.0)
    assert light_of_named("North").dli_mol_m2_d == pytest.approx(0.0036 * (1000 + 100))
    noted("lamp", value="50% 8h")
    assert light_of_named("North").dli_mol_m2_d == pytest.approx(0.0036 * (400 + 100))
    assert tank_answer("North", NOW).dli_mol_m2_d == pytest.approx(1.8)


def test_a_tank_without_pots_answers_with_reasons() -> None:
    """Every key is None where it must be, and why names what is missing."""
    a_nursery()
    a_tank(pots=0)
    answer = tank_answer("North", NOW)
    assert answer.depth_mm is None
    assert answer.clay_line_mm is None
    assert "clay line is known" in (answer.why or "")


def test_an_unknown_tank_is_refused_with_the_known_names() -> None:
    """The refusal lists the tanks there are."""
    a_nursery()
    a_tank()
    with pytest.raises(RefusedInput, match="one of North"):
        tank_answer("Nrth", NOW)


def test_all_tanks_take_few_queries() -> None:
    """The list of tanks is gathered at once."""
    a_nursery()
    for number in range(6):
        a_tank(f"T{number}")
    tank_answers(NOW)
    with CaptureQueriesContext(connection) as seen:
        answers = tank_answers(NOW)
    assert [answer.tank.name for answer in answers] == [tank.name for tank in queries.tanks()]
    assert len(seen) <= 8
