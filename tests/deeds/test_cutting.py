"""A cut, noted in one step and taken back in one."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from halfwater.book import queries
from halfwater.deeds.cutting import NewCut, NotedCut, ParentCut, note_cut, read_onto, undo_cut
from halfwater.deeds.lineage import lineage_of
from halfwater.errors import RefusedByBook, RefusedInput
from tests.deeds.nurseries import NOW, TODAY, WHO
from tests.deeds.stocks import a_batch, a_stock, counted, pot_on

pytestmark = pytest.mark.django_db


def a_cut(**fields: object) -> NewCut:
    """Two parents cut into three and two: three sections leave their pots."""
    usual: dict[str, object] = {
        "parents": (ParentCut(pot_on("A1").key, 3, leaves_left=4), ParentCut(pot_on("A2").key, 2)),
        "batch_name": "Nana, November",
        "onto": read_onto("South A1-A2; North B1"),
        "blade": "disinfected",
        "first_leaves": 3,
    }
    return NewCut(**(usual | fields))  # type: ignore[arg-type]


def cut_now(**fields: object) -> NotedCut:
    """That cut, noted."""
    return note_cut(a_cut(**fields), uuid4(), WHO, NOW)


def test_a_cut_makes_a_batch_with_its_lineage() -> None:
    """Parents have their entries, the new pots stand on their spots, the lineage knows both parents."""
    a_stock()
    noted = cut_now()
    new = queries.standing_pots(batch=noted.batch)
    assert [(pot.tank_name, pot.spot, pot.first_leaves, pot.state) for pot in new] == [
        ("North", "B1", 3, "settling"), ("South", "A1", 3, "settling"), ("South", "A2", 3, "settling"),
    ]  # fmt: skip
    assert (pot_on("A1").leaves, noted.spare) == (4, 0)
    cuts = queries.entries(kinds=("cut",))
    assert {(entry.pot, entry.value, entry.word) for entry in cuts} == {
        (pot_on("A1").key, 3.0, "disinfected"), (pot_on("A2").key, 2.0, "disinfected"),
    }  # fmt: skip
    tree = lineage_of("Nana, November")
    assert [(one.name, one.generation) for one in tree.batches] == [("Nana, March", 0), ("Nana, November", 1)]
    assert {parent.number for parent in tree.batches[1].parents} == {1, 2}
    assert "was cut from Nana, March" in tree.said


def test_the_same_cut_sent_twice_is_noted_once() -> None:
    """A lost connection makes no second batch."""
    a_stock()
    cut, uuid = a_cut(), uuid4()
    first = note_cut(cut, uuid, WHO, NOW)
    again = note_cut(cut, uuid, WHO, NOW)
    assert (again.batch, again.was_there) == (first.batch, True)
    assert len(queries.batches()) == 2


def test_a_cut_is_taken_back_whole() -> None:
    """After the undoing the book is as it was, but for the void entries."""
    a_stock()
    counted("A1", 12, NOW - timedelta(days=3))
    before = queries.standing_pots()
    noted = cut_now()
    undo_cut(noted.batch, WHO, NOW)
    assert queries.standing_pots() == before
    assert [batch.name for batch in queries.batches()] == ["Nana, March"]
    assert queries.entries(kinds=("cut",)) == ()


def test_a_cut_whose_pots_were_counted_is_not_taken_back() -> None:
    """What was learned of the new pots is not thrown away, and nothing is half undone."""
    a_stock()
    noted = cut_now()
    counted("B1", 4)
    with pytest.raises(RefusedByBook, match="has entries"):
        undo_cut(noted.batch, WHO, NOW)
    assert len(queries.entries(kinds=("cut",))) == 2


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"parents": ()}, "at least one pot"),
        ({"batch_name": " "}, "a name for the new batch"),
        ({"batch_name": "nana, march"}, "in the book already"),
        ({"onto": {"South": ("A1", "A2", "A3", "A4")}}, "1 to 3 spots"),
        ({"onto": {"North": ("A3",)}}, "is taken"),
        ({"onto": {}}, "1 to 3 spots"),
        ({"blade": "rusty"}, "disinfected"),
        ({"piece": "root"}, "tip"),
        ({"on": TODAY + timedelta(days=1)}, "up to today"),
        ({"on": date(2026, 2, 1)}, "2026-03-01"),
    ],
)
def test_a_cut_that_cannot_be_is_refused_and_leaves_nothing(fields: dict[str, object], sentence: str) -> None:
    """One sentence says why, and neither batch nor entry is left behind."""
    a_stock()
    with pytest.raises((RefusedInput, RefusedByBook), match=sentence):
        cut_now(**fields)
    assert len(queries.batches()) == 1
    assert queries.entries() == ()


def test_parents_of_two_taxa_are_two_cuts() -> None:
    """A batch is of one taxon."""
    a_stock()
    a_batch("Buce, March", 1, date(2026, 3, 1), "South", "Bucephalandra")
    parents = (ParentCut(pot_on("A1").key, 2), ParentCut(pot_on("A1", "South").key, 2))
    with pytest.raises(RefusedByBook, match="note two cuts"):
        cut_now(parents=parents, onto={"South": ("B1",)})


def test_where_sections_go_is_read_as_typed() -> None:
    """Tanks with their spots, parted by semicolons."""
    a_stock()
    assert read_onto("south a1-a3, b1; North B4") == {"South": ("A1", "A2", "A3", "B1"), "North": ("B4",)}
    with pytest.raises(RefusedInput, match="South A1-A4"):
        read_onto("South")
