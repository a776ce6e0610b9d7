"""Tonight from end to end: gathered, planned, noted with one tap, undone, noted again."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from halfwater.book import changes, queries
from halfwater.deeds.notes import Typed, note
from halfwater.deeds.tonight import RoundLine, lines_as_planned, note_round, tonight, undo_round
from halfwater.errors import RefusedByBook, RefusedInput
from tests.deeds.nurseries import NOW, TODAY, WHO, a_mix, a_nursery, a_tank, evenings, noted

pytestmark = pytest.mark.django_db


@pytest.fixture
def book() -> None:
    """Two tanks, one of them with a fortnight of entries."""
    a_nursery()
    mix = a_mix()
    a_tank(night_mix=mix)
    a_tank("South", night_mix=mix, night_volume_l=None)
    noted("waterline", value="16 mm", at=(TODAY - timedelta(days=14)).isoformat() + " 19:00")
    evenings(14)


def test_an_empty_book_tells_how_to_begin() -> None:
    """No tank, no round: the refusal says what to do."""
    with pytest.raises(RefusedByBook, match="halfwater demo"):
        tonight(None, NOW)


@pytest.mark.usefixtures("book")
def test_one_tap_notes_the_round_once() -> None:
    """Tapped twice, everything is in the book once, and tonight says it is done."""
    planned = tonight(None, NOW)
    lines = lines_as_planned(planned)
    first = note_round(lines, TODAY, WHO, NOW)
    again = note_round(lines, TODAY, WHO, NOW + timedelta(minutes=3))
    assert set(first.new) == set(again.kept)
    assert again.new == ()
    sprays = [entry for entry in queries.entries(kinds=("spray",)) if entry.day == TODAY]
    assert sorted(entry.tank_name for entry in sprays) == ["North", "South"]
    after = tonight(None, NOW)
    assert not [job for job in after.jobs if job.kind in ("spray", "mix", "look")]
    assert len(after.done) == 2


@pytest.mark.usefixtures("book")
def test_a_round_undone_can_be_noted_again() -> None:
    """Undo voids what one tap noted and nothing else; the next tap notes it anew."""
    reading = noted("waterline", value="20 mm").entry
    lines = lines_as_planned(tonight(None, NOW))
    count = len(note_round(lines, TODAY, WHO, NOW).new)
    assert undo_round(TODAY, WHO, NOW) == count
    standing = queries.entry(reading.uuid)
    assert standing is not None
    assert standing.voided_at is None
    assert len(note_round(lines, TODAY, WHO, NOW).new) == count
    assert undo_round(TODAY, WHO, NOW) == count
    with pytest.raises(RefusedByBook, match="nothing is undone"):
        undo_round(TODAY, WHO, NOW)


@pytest.mark.usefixtures("book")
def test_lines_can_be_changed_skipped_and_read() -> None:
    """Another amount, an evening skipped, a reading typed beside its line."""
    jobs = {job.key: job for job in tonight(None, NOW).jobs}
    north, south = queries.tank_named("North").key, queries.tank_named("South").key
    lines = [
        RoundLine(jobs[f"spray-{north}-night"], typed="200 ml"),
        RoundLine(jobs[f"spray-{south}-night"], is_done=False),
        RoundLine(replace(jobs[f"spray-{north}-night"], kind="read", key="read"), typed="19 mm"),
        RoundLine(replace(jobs[f"spray-{south}-night"], kind="read", key="read"), typed=""),
    ]
    note_round(lines, TODAY, WHO, NOW)
    today = {(e.kind, e.tank_name): e.value for e in queries.entries() if e.day == TODAY}
    assert today == {("spray", "North"): 0.2, ("skip", "South"): None, ("waterline", "North"): 19.0}


@pytest.mark.usefixtures("book")
def test_one_bad_line_and_nothing_is_noted() -> None:
    """All of the round or nothing of it."""
    first, *rest = lines_as_planned(tonight(None, NOW))
    before = len(queries.entries())
    with pytest.raises(RefusedInput):
        note_round([*rest, replace(first, typed="lots")], TODAY, WHO, NOW)
    assert len(queries.entries()) == before


@pytest.mark.usefixtures("book")
def test_a_coming_evening_is_foreseen_but_not_noted() -> None:
    """Weeks ahead the bath stands higher and the siphon comes due; noting it is refused."""
    ahead = tonight(TODAY + timedelta(days=90), NOW)
    assert ("siphon", "North") in [(job.kind, job.tank) for job in ahead.jobs]
    with pytest.raises(RefusedInput, match="not done yet"):
        note_round(lines_as_planned(ahead), ahead.on, WHO, NOW)


@pytest.mark.usefixtures("book")
def test_a_siphon_that_is_due_is_noted_down_to_the_low_line() -> None:
    """A reading above the limit line asks for a siphon; one tap notes it, and the next day is calm."""
    noted("waterline", value="25 mm", at="2026-11-20 20:00")
    noted("waterline", value="25 mm", at="2026-11-20 20:05")
    planned = tonight(None, NOW)
    job = next(job for job in planned.jobs if job.kind == "siphon")
    assert (job.tank, job.to_line) == ("North", "low")
    assert 1.5 < job.volume_l < 3.2  # 25 mm by the ruler alone would be 2.8 L
    note_round(lines_as_planned(planned), TODAY, WHO, NOW)
    assert queries.entries(kinds=("siphon",))[0].to_line == "low"
    tomorrow = tonight(None, NOW + timedelta(days=1))
    assert not [job for job in tomorrow.jobs if job.kind == "siphon"]


@pytest.mark.usefixtures("book")
def test_a_drench_takes_what_it_took_last() -> None:
    """Without a planned amount the last noted one is mixed for."""
    noted("spray", "South", "220 ml", at="2026-11-19")
    job = next(job for job in tonight(None, NOW).jobs if job.kind == "spray" and job.tank == "South")
    assert job.volume_l == 0.22
    assert "usually" in job.why


@pytest.mark.usefixtures("book")
def test_a_sighting_is_watched_until_it_is_gone() -> None:
    """Much algae asks for a look every evening; noted as little, it no longer does."""
    noted("sighting", value="algae much", at="2026-11-18")
    assert [job for job in tonight(None, NOW).jobs if job.key.startswith("look") and "algae" in job.why]
    noted("sighting", value="algae little", at="2026-11-20")
    assert not [job for job in tonight(None, NOW).jobs if job.kind == "look" and job.tank == "North"]


@pytest.mark.usefixtures("book")
def test_a_past_round_is_planned_as_it_stood() -> None:
    """A week ago's evening knows its own spray and not what came later."""
    past = tonight(date(2026, 11, 13), NOW)
    assert past.on == date(2026, 11, 13)
    assert "North: the night spray is noted." in past.done


@pytest.mark.usefixtures("book")
def test_the_round_takes_few_queries_however_many_tanks() -> None:
    """Twenty tanks are gathered in as many queries as two."""

    def count() -> int:
        tonight(None, NOW)
        with CaptureQueriesContext(connection) as seen:
            tonight(None, NOW)
        return len(seen)

    two = count()
    for number in range(18):
        a_tank(f"T{number}", night_mix=queries.mixes()[0].key)
    assert count() == two
    assert two <= 20


@pytest.mark.usefixtures("book")
def test_a_morning_mist_is_its_own_line() -> None:
    """A tank with a morning plan has two sprays, noted apart."""
    weak = a_mix("Weak", "weak")
    changes.save_tank(queries.tank_named("South").key, who=WHO, morning_mix=weak, morning_volume_l=0.05)
    planned = tonight(None, NOW)
    assert {(made.mix, made.volume_l) for made in planned.mixes_to_make} == {("Weak", 0.05), ("Night", 0.3)}
    note_round(lines_as_planned(planned), TODAY, WHO, NOW)
    south = [(e.word, e.value) for e in queries.entries(kinds=("spray",)) if e.tank_name == "South"]
    assert sorted(south) == [("morning", 0.05), ("night", 0.15)]


@pytest.mark.usefixtures("book")
def test_a_round_that_ends_after_midnight_belongs_to_its_evening() -> None:
    """Half past midnight the round is still yesterday's; noted then, by tap or by hand, tonight's is open."""
    late = NOW + timedelta(hours=3)
    assert tonight(None, late).on == TODAY
    note(Typed("spray", "North", "150ml"), WHO, late)
    note_round(lines_as_planned(tonight(None, late)), TODAY, WHO, late)
    sprays = queries.entries(kinds=("spray",), since=NOW - timedelta(hours=12))
    assert {(entry.tank_name, entry.day, entry.word) for entry in sprays} == {
        ("North", TODAY, "night"),
        ("South", TODAY, "night"),
    }
    next_evening = tonight(None, NOW + timedelta(days=1))
    assert [job.tank for job in next_evening.jobs if job.kind == "spray"] == ["North", "South"]


@pytest.mark.usefixtures("book")
def test_a_round_can_be_undone_and_noted_as_often_as_it_takes() -> None:
    """Each noting after an undoing has ids of its own, and each can be undone."""
    for _ in range(23):
        assert note_round(lines_as_planned(tonight(None, NOW)), TODAY, WHO, NOW).new
        assert undo_round(TODAY, WHO, NOW)


@pytest.mark.usefixtures("book")
def test_an_evening_beyond_what_is_foreseen_is_refused() -> None:
    """Two years ahead nobody knows where a bath stands."""
    with pytest.raises(RefusedInput, match="2027"):
        tonight(TODAY + timedelta(days=800), NOW)
