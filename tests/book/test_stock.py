"""Spots, and the pots that stand on them."""

from datetime import date

import pytest

from halfwater.book import changes, queries
from halfwater.errors import RefusedByBook, RefusedInput
from tests.book.builders import WHO, a_tank

pytestmark = pytest.mark.django_db


@pytest.fixture
def tank() -> int:
    """A tank with four spots."""
    key = a_tank()
    changes.set_spots(key, ["A1", "A2", "B1", "B2"])
    return key


@pytest.fixture
def batch() -> int:
    """A batch of one taxon."""
    taxon = changes.save_taxon(who=WHO, name="Moss fern")
    return changes.save_batch(who=WHO, name="MF-1", taxon=taxon, potted_on=date(2026, 5, 1))


def test_pots_are_placed_counted_and_found(tank: int, batch: int) -> None:
    """A batch knows how many of its pots are in each state and where they stand."""
    changes.place_pots(tank, ["A1", "B2"], batch, who=WHO)
    changes.set_pot(tank, "a1", batch, "growing", 4, who=WHO)
    (fact,) = queries.batches()
    assert fact.counts == {"growing": 1, "settling": 1}
    assert fact.where == {"North": 2}
    assert [(spot.name, spot.state, spot.leaves) for spot in queries.spots(tank)] == [
        ("A1", "growing", 4),
        ("A2", "", None),
        ("B1", "", None),
        ("B2", "settling", None),
    ]
    assert queries.counts_by_state()["growing"] == 1
    assert queries.growing_by_tank() == {"North": 2}


def test_only_batches_that_grow_are_counted_by_tank(tank: int, batch: int) -> None:
    """All standing pots of a batch with a growing pot count, wherever they stand; of others none."""
    changes.place_pots(tank, ["A1", "A2"], batch, who=WHO)
    assert queries.growing_by_tank() == {}
    south = a_tank("South")
    changes.set_spots(south, ["A1"])
    changes.place_pots(south, ["A1"], batch, "growing", who=WHO)
    assert queries.growing_by_tank() == {"North": 2, "South": 1}


def test_a_sold_or_lost_pot_frees_its_spot_and_stays_counted(tank: int, batch: int) -> None:
    """What was sold is off the floor but not out of the book."""
    changes.place_pots(tank, ["A1", "A2"], batch, who=WHO)
    changes.set_pot(tank, "A1", batch, "sold", 9, who=WHO)
    changes.set_pot(tank, "A2", batch, "lost", who=WHO)
    assert {spot.state for spot in queries.spots(tank)} == {""}
    assert queries.batches()[0].counts == {"sold": 1, "lost": 1}
    assert queries.gone_pots() == (("MF-1", "lost", None, 1), ("MF-1", "sold", 9, 1))


def test_a_taken_spot_takes_no_second_pot(tank: int, batch: int) -> None:
    """Placing on or moving to a taken spot is refused, and nothing of the hand-in is written."""
    changes.place_pots(tank, ["A1", "B1"], batch, who=WHO)
    with pytest.raises(RefusedByBook, match="A1 is taken"):
        changes.place_pots(tank, ["A2", "A1"], batch, who=WHO)
    assert queries.batches()[0].where == {"North": 2}
    with pytest.raises(RefusedByBook, match="B1 is taken"):
        changes.move_pot(_on(tank, "A1"), tank, "B1", who=WHO)


def test_a_pot_moves_with_its_state(tank: int, batch: int) -> None:
    """A moved pot is the same pot elsewhere, and the move stands in its past."""
    other = a_tank("South")
    changes.set_spots(other, ["A1"])
    changes.place_pots(tank, ["A1"], batch, "ready", 8, who=WHO)
    pot = _on(tank, "A1")
    changes.move_pot(pot, other, "A1", who="Ada")
    (spot,) = queries.spots(other)
    assert (spot.batch_name, spot.state, spot.leaves) == ("MF-1", "ready", 8)
    assert [change.who for change in queries.history("standing pot")] == ["Ada", WHO]
    (entry,) = queries.entries(kinds=("move",))
    assert (entry.pot, entry.tank_name, entry.spot, entry.text) == (pot, "South", "A1", "North A1")


def _on(tank: int, spot: str) -> int:
    """The key of the pot on a spot."""
    return next(one.pot for one in queries.spots(tank) if one.name == spot and one.pot is not None)


def test_a_spot_with_a_pot_on_it_may_not_go(tank: int, batch: int) -> None:
    """A floor laid out anew keeps its pots or is refused."""
    changes.place_pots(tank, ["B1"], batch, who=WHO)
    with pytest.raises(RefusedByBook, match="B1"):
        changes.set_spots(tank, ["A1"])
    changes.set_spots(tank, ["B1", "A1", "C1"])
    assert [(spot.name, spot.batch) for spot in queries.spots(tank)] == [
        ("B1", batch),
        ("A1", None),
        ("C1", None),
    ]


@pytest.mark.parametrize(
    ("spot", "state", "leaves", "field"),
    [
        ("Z9", "ready", 1, "spot"),
        ("A1", "asleep", 1, "state"),
        ("A1", "ready", -1, "leaves"),
        ("A1", "ready", 1.5, "leaves"),
    ],
)
def test_unsound_pots_are_refused(
    tank: int, batch: int, spot: str, state: str, leaves: float, field: str
) -> None:
    """An unknown spot, state or part of a leaf is refused by its field."""
    with pytest.raises(RefusedInput) as refused:
        changes.set_pot(tank, spot, batch, state, leaves, who=WHO)  # type: ignore[arg-type]
    assert refused.value.field == field


def test_an_emptied_spot_is_empty(tank: int, batch: int) -> None:
    """A spot without a batch holds nothing, and a spot is named once."""
    changes.place_pots(tank, ["A1"], batch, who=WHO)
    changes.set_pot(tank, "A1", None, who=WHO)
    assert queries.batches()[0].counts == {}
    with pytest.raises(RefusedInput, match="once"):
        changes.set_spots(tank, ["A1", "A1"])
