"""The stock-take: walked spot by spot, or typed in from a list."""

from datetime import timedelta
from uuid import uuid4

import pytest

from halfwater.book import queries
from halfwater.deeds.said import read_said
from halfwater.deeds.sheet import RefusedSheet
from halfwater.deeds.stock_take import note_count, note_sheet, tanks_to_walk, undo_count, walk
from halfwater.errors import RefusedByBook, RefusedInput
from tests.deeds.nurseries import NOW, TODAY, WHO
from tests.deeds.stocks import a_stock, counted, pot_on

pytestmark = pytest.mark.django_db


def test_a_walk_goes_through_the_spots_in_reading_order() -> None:
    """Each pot is one stop; what was counted today is done, and the next is the first that is not."""
    a_stock()
    counted("A1", 5)
    taken = walk("north", NOW)
    assert [stop.spot for stop in taken.stops] == ["A1", "A2", "A3", "A4"]
    assert (taken.done, taken.left) == (1, 3)
    assert taken.next is not None
    assert taken.next.name == "Nana, March 2"
    assert walk("North", NOW + timedelta(days=1)).done == 0


def test_an_empty_tank_is_not_walked() -> None:
    """Where no pot stands there is nothing to count."""
    a_stock()
    with pytest.raises(RefusedByBook, match="No pot stands in South"):
        walk("South", NOW)


def test_tanks_to_walk_say_how_far_the_stock_take_is() -> None:
    """Only tanks with pots are named, with how many were counted today and the oldest count of all."""
    a_stock(pots=2)
    counted("A1", 5, NOW - timedelta(days=40))
    counted("A2", 6)
    (tank,) = tanks_to_walk(NOW)
    assert (tank.tank, tank.pots, tank.done) == ("North", 2, 1)
    assert tank.oldest_on == TODAY - timedelta(days=40)


def test_each_way_to_say_what_was_found() -> None:
    """A number, "same", a loss with its cause, a state; sent twice it is noted once; undone it never was."""
    a_stock()
    uuid = uuid4()
    first = note_count(pot_on("A1").key, "7", uuid, WHO, NOW)
    assert (first.pot.leaves, first.pot.counted_on, first.was_there) == (7, TODAY, False)
    assert first.said == "Nana, March 1: 7 leaves"
    assert note_count(first.pot.key, "9", uuid, WHO, NOW).was_there
    assert pot_on("A1").leaves == 7
    undo_count(uuid, WHO, NOW)
    assert pot_on("A1").leaves == 3
    later = NOW + timedelta(minutes=1)
    assert note_count(pot_on("A1").key, "same", uuid4(), WHO, later).pot.counted_on == TODAY
    assert note_count(pot_on("A2").key, "kept", uuid4(), WHO, NOW).pot.state == "kept"
    lost = note_count(pot_on("A3").key, "lost rot", uuid4(), WHO, NOW).pot
    assert (lost.state, lost.cause, lost.spot) == ("lost", "rot", "")
    with pytest.raises(RefusedByBook, match="was lost before"):
        note_count(lost.key, "4", uuid4(), WHO, NOW)


@pytest.mark.parametrize("typed", ["", "-3", "7.5", "many", "lost love", "sold", "12345", "lost rot 3"])
def test_what_cannot_be_said_of_a_pot_is_refused(typed: str) -> None:
    """The refusal says every form that would be taken."""
    with pytest.raises(RefusedInput, match="a number of leaves such as 7"):
        read_said(typed)


def test_a_list_is_typed_in_whole() -> None:
    """All cells of a list are noted on the day it was filled in; the same list again changes nothing."""
    a_stock()
    sheet = uuid4()
    on = TODAY - timedelta(days=2)
    cells = {"a1": "5", "A2": "", "A3": "lost melt", "A4": "ready"}
    noted = note_sheet("North", cells, sheet, WHO, NOW, on)
    assert [one.was_there for one in noted] == [False, False, False]
    assert (pot_on("A1").leaves, pot_on("A1").counted_on) == (5, on)
    assert pot_on("A4").state == "ready"
    assert len(queries.entries()) == 3
    again = note_sheet("North", {"A1": "5", "A4": "ready"}, sheet, WHO, NOW, on)
    assert [one.was_there for one in again] == [True, True]
    assert len(queries.entries()) == 3


def test_every_bad_cell_of_a_list_is_named_and_nothing_is_noted() -> None:
    """Bad words, empty spots and "same" without a count are all named at once."""
    a_stock()
    with pytest.raises(RefusedSheet) as refused:
        note_sheet("North", {"A1": "5", "A2": "lots", "B4": "3"}, uuid4(), WHO, NOW)
    assert [one.field for one in refused.value.refused] == ["A2", "B4"]
    assert queries.entries() == ()
    with pytest.raises(RefusedInput, match="at least one spot"):
        note_sheet("North", {"A1": " "}, uuid4(), WHO, NOW)
    with pytest.raises(RefusedInput, match="up to today"):
        note_sheet("North", {"A1": "5"}, uuid4(), WHO, NOW, TODAY + timedelta(days=1))


def test_a_count_from_before_potting_is_refused_with_the_day() -> None:
    """The book's own refusal is said beside the cell, and the whole list stays out."""
    a_stock()
    with pytest.raises(RefusedSheet) as refused:
        note_sheet("North", {"A1": "5"}, uuid4(), WHO, NOW, pot_on("A1").potted_on - timedelta(days=3))
    assert "2026-03-01" in refused.value.refused[0].accepted
    assert queries.entries() == ()
