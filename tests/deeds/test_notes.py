"""Noting one entry: what is filled in, what is kept once, what is refused with nothing written."""

from datetime import UTC, datetime
from uuid import uuid4

import pytest

from halfwater.book import queries
from halfwater.deeds.notes import Typed, note, rewrite
from halfwater.errors import RefusedInput
from tests.deeds.nurseries import NOW, WHO, a_mix, a_nursery, a_tank, noted

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def book() -> None:
    """A nursery with one tank and its night mix."""
    a_nursery()
    a_tank(night_mix=a_mix())


def test_a_spray_without_a_value_is_as_planned() -> None:
    """One word notes the planned amount with the planned mix, as tonight's."""
    entry = noted("spray").entry
    assert (entry.value, entry.word, entry.at) == (0.15, "night", NOW)
    assert queries.entries()[0].mix_name == "Night"


def test_a_spray_in_the_morning_is_a_morning_spray() -> None:
    """By the clock, or as said."""
    assert noted("spray", value="60ml", at="2026-11-20 07:30").entry.word == "morning"
    assert noted("spray", value="60ml", at="2026-11-19 07:30", session="night").entry.word == "night"


def test_the_same_uuid_is_kept_once() -> None:
    """Sent twice, noted once, and the second answer says so."""
    uuid = uuid4()
    typed = Typed(kind="waterline", tank="north", value="21 mm")
    assert not note(typed, WHO, NOW, uuid).was_there
    assert note(typed, WHO, NOW, uuid).was_there
    assert len(queries.entries()) == 1


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (Typed("waterline", "Nowhere", "21 mm"), "one of North"),
        (Typed("spray", "North", "150 ml", mix="Tea"), "one of your mixes: Night"),
        (Typed("leaves", "North", "7", batch="B9"), "none is in the book yet"),
        (Typed("spray", "North", "150 ml", at="2026-12-01"), "not in the future"),
        (Typed("spray", "North", "150 ml", session="noon"), "night or morning"),
        (Typed("note", "North"), "some words"),
        (Typed("dance", "North"), "one of spray"),
        (Typed("spray", ""), "one of North"),
    ],
)
def test_refused_and_nothing_written(typed: Typed, said: str) -> None:
    """Bad input is one sentence and leaves the book as it was."""
    with pytest.raises(RefusedInput, match=said):
        note(typed, WHO, NOW)
    assert queries.entries() == ()


def test_a_light_reading_takes_the_lamp_as_it_is_set() -> None:
    """Without a dimmer beside it the reading is at the setting noted last; the spot stands in the line."""
    noted("lamp", value="70% 10h", at="2026-11-19 12:00")
    entry = noted("light", value="62 at B4").entry
    assert (entry.value, entry.second, entry.spot) == (62.0, 0.7, "B4")
    with pytest.raises(RefusedInput, match="the spot it was read at"):
        noted("light", value="62")


def test_a_meter_check_is_about_no_tank() -> None:
    """What the meter showed and what the standard is."""
    entry = noted("meter", "", "1.38 of 1.413").entry
    assert (entry.tank, entry.value, entry.second) == (None, 1.38, 1.413)


def test_a_note_needs_no_tank() -> None:
    """Words about the whole nursery."""
    assert noted("note", "-", "new bulbs everywhere").entry.tank is None


def test_written_anew_the_old_one_is_void() -> None:
    """A wrong reading is voided with its reason, and the right one says what it corrects."""
    wrong = noted("waterline", value="51 mm", at="2026-11-19").entry
    right = rewrite(wrong.uuid, Typed("waterline", "North", "21 mm", at="2026-11-19"), "misread", WHO, NOW)
    standing = queries.entries(kinds=("waterline",))
    assert [entry.value for entry in standing] == [21.0]
    assert standing[0].corrects == wrong.uuid
    old = queries.entry(wrong.uuid)
    assert old is not None
    assert (old.void_reason, old.voided_by) == ("misread", WHO)
    assert right.entry.at == datetime(2026, 11, 19, 19, 0, tzinfo=UTC)
    with pytest.raises(RefusedInput, match="few words"):
        rewrite(right.entry.uuid, Typed("waterline", "North", "22 mm"), " ", WHO, NOW)


def test_plain_water_is_sprayed_and_poured_by_its_name() -> None:
    """A spray of no mix keeps its session; a fill says that it was plain, for else it is the usual mix."""
    spray = noted("spray", mix="Plain water").entry
    fill = noted("fill", value="2 L", mix="plain water").entry
    assert (spray.mix, spray.word) == (None, "night")
    assert (fill.mix, fill.word) == (None, "plain")
    assert noted("fill", value="1 L").entry.word == ""
    with pytest.raises(RefusedInput, match="plain water"):
        noted("fill", value="2 L", mix="Soup")
