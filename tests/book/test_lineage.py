"""Which batch was cut from which: any number of generations, never in a circle, never from the dead."""

from datetime import UTC, date, datetime

import pytest

from halfwater.book import changes, queries
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.stock import ParentFact
from tests.book.builders import WHO, a_tank

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 7, 1, 12, 0, tzinfo=UTC)


@pytest.fixture
def tank() -> int:
    """A tank with three spots."""
    key = a_tank()
    changes.set_spots(key, ["A1", "A2", "A3"])
    return key


def _batch(name: str, potted_on: date) -> int:
    known = {one.name: one.key for one in queries.taxa()}
    taxon = known.get("Moss fern") or changes.save_taxon(who=WHO, name="Moss fern")
    return changes.save_batch(who=WHO, name=name, taxon=taxon, potted_on=potted_on, blade="disinfected")


def test_a_batch_knows_its_parents_over_generations(tank: int) -> None:
    """A batch comes from several parents, known as pots or as batches only."""
    first, second = _batch("G0", date(2026, 1, 1)), _batch("G1", date(2026, 4, 1))
    third = _batch("G2", date(2026, 8, 1))
    (pot,) = changes.place_pots(tank, ["A1"], second, who=WHO)
    changes.save_lineage(second, [(first, None)], who=WHO)
    changes.save_lineage(third, [(second, pot), (first, None), (second, pot)], who=WHO)
    assert queries.lineage() == (
        (second, ParentFact(first, "G0")),
        (third, ParentFact(first, "G0")),
        (third, ParentFact(second, "G1", pot, 1)),
    )
    assert {one.name: len(one.parents) for one in queries.batches()} == {"G0": 0, "G1": 1, "G2": 2}
    assert {one.blade for one in queries.batches()} == {"disinfected"}
    changes.save_lineage(third, [(second, pot)], who=WHO)
    assert queries.parents()[third] == (ParentFact(second, "G1", pot, 1),)


def test_no_batch_is_its_own_forebear() -> None:
    """A circle of any length is refused and nothing of it is written."""
    day = date(2026, 4, 1)
    a, b, c = _batch("A", day), _batch("B", day), _batch("C", day)
    changes.save_lineage(b, [(a, None)], who=WHO)
    changes.save_lineage(c, [(b, None)], who=WHO)
    with pytest.raises(RefusedByBook, match="A cannot be among its own forebears"):
        changes.save_lineage(a, [(c, None)], who=WHO)
    with pytest.raises(RefusedByBook):
        changes.save_lineage(a, [(a, None)], who=WHO)
    assert a not in queries.parents()


def test_a_parent_is_potted_no_later_than_its_child() -> None:
    """The day is named, also when the child's day is put right later."""
    old, young = _batch("Old", date(2026, 1, 1)), _batch("Young", date(2026, 5, 1))
    with pytest.raises(RefusedByBook, match="its parent Young later, on 2026-05-01"):
        changes.save_lineage(old, [(young, None)], who=WHO)
    changes.save_lineage(young, [(old, None)], who=WHO)
    with pytest.raises(RefusedByBook, match="2026-01-01"):
        changes.save_batch(young, who=WHO, potted_on=date(2025, 12, 1))
    with pytest.raises(RefusedByBook, match="2026-06-01"):
        changes.save_batch(old, who=WHO, potted_on=date(2026, 6, 1))
    assert {one.name: one.potted_on.month for one in queries.batches()} == {"Old": 1, "Young": 5}


@pytest.mark.parametrize("end", ["sold", "lost"])
def test_a_parent_that_is_gone_by_then_is_refused_with_the_day(tank: int, end: str) -> None:
    """A parent that was alive at the potting may have been sold or lost since."""
    mother = _batch("Mother", date(2026, 1, 1))
    (pot,) = changes.place_pots(tank, ["A1"], mother, who=WHO)
    if end == "sold":
        changes.set_state(pot, "sold", who=WHO, at=NOON)
    else:
        changes.lose_pot(pot, "rot", who=WHO, at=NOON)
    before, after = _batch("Before", date(2026, 7, 1)), _batch("After", date(2026, 7, 2))
    changes.save_lineage(before, [(mother, pot)], who=WHO)
    with pytest.raises(RefusedByBook, match=f"Mother 1 was {end} before that, on 2026-07-01"):
        changes.save_lineage(after, [(mother, pot)], who=WHO)
    with pytest.raises(RefusedByBook, match="gone before that, on 2026-07-01"):
        changes.save_lineage(after, [(mother, None)], who=WHO)
    assert after not in queries.parents()


def test_an_unknown_parent_is_refused(tank: int) -> None:
    """A pot of another batch is no parent of this one."""
    one, other = _batch("One", date(2026, 1, 1)), _batch("Other", date(2026, 1, 1))
    (pot,) = changes.place_pots(tank, ["A1"], one, who=WHO)
    child = _batch("Child", date(2026, 3, 1))
    for parent in ((other, pot), (10_000, None), (one, 10_000)):
        with pytest.raises(RefusedInput):
            changes.save_lineage(child, [parent], who=WHO)
    with pytest.raises(RefusedInput, match="key of a batch"):
        changes.save_lineage(10_000, [], who=WHO)


def test_a_batch_is_not_potted_later_than_what_was_noted_of_it(tank: int) -> None:
    """A potting day after a count is refused with the day of the count."""
    batch = _batch("One", date(2026, 1, 1))
    (pot,) = changes.place_pots(tank, ["A1"], batch, who=WHO)
    changes.count_pot(pot, 4, who=WHO, at=NOON)
    with pytest.raises(RefusedByBook, match="2026-07-01"):
        changes.save_batch(batch, who=WHO, potted_on=date(2026, 8, 1))
