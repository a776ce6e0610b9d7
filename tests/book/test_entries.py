"""Entries are noted once, voided at most and never edited."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from halfwater.book import changes, queries
from halfwater.book.models import Entry
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.nursery import nursery_day
from tests.book.builders import NOW, WHO, a_tank, an_entry, note

pytestmark = pytest.mark.django_db


def test_an_entry_comes_back_as_it_was_noted() -> None:
    """Every field of an entry stands in the book unchanged."""
    tank = a_tank()
    new = an_entry("air", tank, value=24.5, second=0.92, text="lid open", typed="24.5C 92%")
    note(new)
    fact = queries.entry(new.uuid)
    assert fact is not None
    assert all(getattr(fact, name) == getattr(new, name) for name in type(new).__slots__)
    assert (fact.tank_name, fact.who, fact.noted_at) == ("North", WHO, NOW)


def test_the_same_uuid_twice_is_kept_once() -> None:
    """A phone that sends an entry again does not note it again."""
    new = an_entry(tank=a_tank())
    assert note(new) == (new.uuid,)
    noted = changes.note_entries([new, new], WHO, NOW)
    assert (noted.new, set(noted.kept)) == ((), {new.uuid})
    assert len(queries.entries()) == 1


def test_the_same_reading_under_another_uuid_is_kept_once() -> None:
    """Kind, tank, instant and value again are the same entry, within one hand-in and between two."""
    first = an_entry("waterline", a_tank())
    again = [replace(first, uuid=uuid4()), replace(first, uuid=uuid4(), typed="21mm")]
    assert note(first, *again) == (first.uuid,)
    assert note(*again) == ()


@pytest.mark.parametrize(
    "other",
    [
        {"value": 22.0},
        {"at": NOW - timedelta(minutes=1)},
        {"kind": "fill"},
    ],
)
def test_a_different_reading_is_another_entry(other: dict[str, object]) -> None:
    """Another value, instant or kind is not taken for the same entry."""
    first = an_entry("waterline", a_tank())
    second = replace(first, uuid=uuid4(), **other)
    assert note(first, second) == (first.uuid, second.uuid)


def test_two_notes_with_different_words_are_two_notes() -> None:
    """A note is told apart by its words, a morning from a night spray by its session."""
    tank = a_tank()
    notes = [an_entry("note", tank, text=text) for text in ("mould on A3", "lid cleaned", "mould on A3")]
    sprays = [an_entry("spray", tank, word=word) for word in ("night", "morning", "night")]
    assert len(note(*notes, *sprays)) == 4


def test_a_voided_entry_stays_in_the_book_with_its_reason() -> None:
    """Voiding hides an entry from every answer but not from the record."""
    new = an_entry("waterline", a_tank())
    note(new)
    changes.void_entry(new.uuid, "read on the wrong tank", "helper", NOW)
    assert queries.entries() == ()
    (fact,) = queries.entries(include_void=True)
    assert (fact.voided_by, fact.void_reason, fact.voided_at) == ("helper", "read on the wrong tank", NOW)


def test_a_voided_entry_is_not_voided_or_noted_again() -> None:
    """A second void is refused, and sending the voided entry again does not bring it back."""
    new = an_entry(tank=a_tank())
    note(new)
    changes.void_entry(new.uuid, "slip", WHO)
    with pytest.raises(RefusedByBook, match="slip"):
        changes.void_entry(new.uuid, "again", WHO)
    assert changes.note_entries([new], WHO, NOW).void == (new.uuid,)
    assert queries.entries() == ()


def test_the_same_thing_may_be_noted_anew_after_a_void() -> None:
    """What stands voided does not stand in the way of a new entry with the same value."""
    new = an_entry(tank=a_tank())
    note(new)
    changes.void_entry(new.uuid, "slip", WHO)
    assert len(note(replace(new, uuid=uuid4()))) == 1


@pytest.mark.parametrize("reason", ["", "   ", "x" * 301])
def test_a_void_needs_a_reason(reason: str) -> None:
    """Without a reason of reasonable length the entry stays."""
    new = an_entry(tank=a_tank())
    note(new)
    with pytest.raises(RefusedInput, match="reason"):
        changes.void_entry(new.uuid, reason, WHO)
    assert len(queries.entries()) == 1


def test_rewriting_voids_the_old_and_says_what_the_new_corrects() -> None:
    """A correction leaves both entries in the book, tied together."""
    old = an_entry("waterline", a_tank())
    note(old)
    new = replace(old, uuid=uuid4(), value=12.0)
    changes.rewrite_entry(old.uuid, new, "misread", WHO, NOW)
    (fact,) = queries.entries()
    assert (fact.value, fact.corrects) == (12.0, old.uuid)
    voided = queries.entry(old.uuid)
    assert voided is not None
    assert voided.void_reason == "misread"


def test_a_rewrite_that_is_refused_leaves_the_old_entry_standing() -> None:
    """Voiding and writing anew happen together or not at all."""
    old = an_entry("waterline", a_tank())
    note(old)
    with pytest.raises(RefusedInput):
        changes.rewrite_entry(old.uuid, replace(old, uuid=uuid4(), value=-1.0), "misread", WHO, NOW)
    (fact,) = queries.entries()
    assert fact.uuid == old.uuid


UNSOUND = [
    ("kind", {"kind": "rain"}),
    ("tank", {"tank": None}),
    ("tank", {"tank": 10_000}),
    ("at", {"at": NOW + timedelta(days=1)}),
    ("at", {"at": datetime(2026, 1, 1)}),  # noqa: DTZ001
    ("waterline", {"value": None}),
    ("waterline", {"value": -1.0}),
    ("waterline", {"value": float("nan")}),
    ("waterline", {"value": float("inf")}),
    ("waterline", {"value": 400.1}),
    ("waterline", {"value": "21"}),
    ("waterline", {"value": True}),
    ("waterline", {"second": 1.0}),
    ("to_line", {"to_line": "low"}),
    ("ec", {"kind": "ec", "value": 51.0}),
    ("air", {"kind": "air", "value": 24.0, "second": 92.0}),
    ("air", {"kind": "air", "value": None}),
    ("lamp", {"kind": "lamp", "value": 0.8, "second": 25.0}),
    ("siphon", {"kind": "siphon", "value": None}),
    ("skip", {"kind": "skip", "value": 1.0}),
    ("loss", {"kind": "loss", "value": 2.0, "word": "boredom"}),
    ("loss", {"kind": "loss", "value": 1.5, "word": "rot"}),
    ("sighting", {"kind": "sighting", "value": 1.0, "word": "ghost"}),
    ("spray", {"kind": "spray", "value": 0.1, "word": "noon"}),
    ("note", {"kind": "note", "value": None, "text": " "}),
    ("mix", {"kind": "spray", "value": 0.1, "mix": 10_000}),
    ("batch", {"kind": "leaves", "value": 4.0, "batch": 10_000}),
    ("spot", {"kind": "leaves", "value": 4.0, "spot": "A" * 11}),
]


@pytest.mark.parametrize(("field", "wrong"), UNSOUND)
def test_an_unsound_entry_is_refused_and_nothing_is_written(field: str, wrong: dict[str, object]) -> None:
    """One unsound entry refuses all that came with it, naming the field."""
    tank = a_tank()
    sound = an_entry("fill", tank)
    bad = replace(an_entry("waterline", tank), **wrong)
    with pytest.raises(RefusedInput) as refused:
        changes.note_entries([sound, bad], WHO, NOW)
    assert refused.value.field == field
    assert queries.entries() == ()


def test_a_siphon_down_to_the_low_line_needs_no_volume() -> None:
    """What most growers note of a siphon is enough."""
    new = an_entry("siphon", a_tank(), value=None, to_line="low")
    note(new)
    assert queries.entries()[0].to_line == "low"


def test_the_day_of_an_entry_is_the_local_date() -> None:
    """Half past midnight in Tokyo is still that evening there, half past four the next day."""
    changes.save_nursery(who=WHO, time_zone="Asia/Tokyo")
    tank = a_tank()
    note(
        an_entry(tank=tank, at=datetime(2026, 11, 19, 15, 30, tzinfo=UTC)),
        an_entry(tank=tank, at=datetime(2026, 11, 19, 19, 30, tzinfo=UTC)),
    )
    assert [entry.day for entry in queries.entries()] == [date(2026, 11, 20), date(2026, 11, 19)]


def test_another_time_zone_gives_the_entries_their_days_anew() -> None:
    """The day of an entry is told by the clock of the nursery as it is set now."""
    tank = a_tank()
    instants = [
        datetime(2026, 3, day, hour, tzinfo=UTC) for day in range(1, 30) for hour in (0, 4, 12, 20, 23)
    ]
    note(*(an_entry(tank=tank, at=at) for at in instants))
    for zone in ("Asia/Tokyo", "America/Los_Angeles", "Europe/Berlin"):
        changes.save_nursery(who=WHO, time_zone=zone)
        days = {entry.at: entry.day for entry in queries.entries()}
        assert days == {at: nursery_day(at, zone) for at in instants}


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "rain"},
        {"value": -1.0},
        {"second": -1.0},
        {"to_line": "low"},
        {"voided_at": NOW},
        {"void_reason": "because"},
    ],
)
def test_the_database_itself_stands_against_an_unsound_row(wrong: dict[str, object]) -> None:
    """Even a program that goes round the changes cannot write such a row."""
    usual: dict[str, object] = {"kind": "spray", "at": NOW, "day": NOW.date(), "noted_at": NOW}
    with pytest.raises(IntegrityError), transaction.atomic():
        Entry.objects.create(**(usual | wrong))
