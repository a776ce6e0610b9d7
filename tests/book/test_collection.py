"""A whole collection in one step: pots as they stand, entries that change nothing of them."""

from dataclasses import replace
from datetime import UTC, date, datetime
from uuid import uuid4

import pytest

from halfwater.book import changes, queries
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import NewEntry
from halfwater.plain.stock import StandingPot

pytestmark = pytest.mark.django_db

NOW = datetime(2025, 5, 1, 17, 0, tzinfo=UTC)
AT = datetime(2025, 3, 1, 20, 0, tzinfo=UTC)


@pytest.fixture
def floor() -> tuple[int, int]:
    """A tank with three spots and a batch."""
    changes.load_starting_taxa(who="x")
    tank = changes.save_tank(
        who="x", name="T", length_mm=600.0, width_mm=300.0, height_mm=300.0, clay_fill_frac=0.6,
        clay_porosity_frac=0.44, margin_mm=6.0, set_up_on=date(2025, 1, 1),
    )  # fmt: skip
    changes.set_spots(tank, ["A1", "A2", "A3"])
    taxon = queries.taxa()[0].key
    batch = changes.save_batch(who="x", name="B", taxon=taxon, potted_on=date(2025, 1, 5))
    return tank, batch


def pot(key: int, tank: int, batch: int, spot: str) -> StandingPot:
    """A growing pot as its grower has it."""
    return StandingPot(
        key=key, number=key, batch=batch, batch_name="B", taxon=0, taxon_name="", state="growing",
        potted_on=date(2025, 1, 5), tank=tank, tank_name="T", spot=spot, leaves=6,
        counted_on=date(2025, 4, 1), piece="tip", section_mm=30.0, first_leaves=3,
    )  # fmt: skip


def test_pots_stand_as_given_and_entries_leave_them_alone(floor: tuple[int, int]) -> None:
    """An older count becomes part of the past; the pot keeps its last one, its place and its history."""
    tank, batch = floor
    sold = replace(pot(2, tank, batch, ""), state="sold", tank=None, left_on=date(2025, 3, 20))
    older = NewEntry(uuid4(), "leaves", AT, tank, 4.0, batch=batch, spot="A1", pot=1)
    first = {2: (tank, "A2")}
    keys, noted = changes.bring_collection(
        (pot(1, tank, batch, "A1"), sold), first, (older,), who="me", now=NOW
    )
    assert noted.new == (older.uuid,)
    here, gone = (one for one in queries.standing_pots(gone=True))
    assert (here.key, here.leaves, here.counted_on, here.spot) == (keys[1], 6, date(2025, 4, 1), "A1")
    assert (gone.key, gone.state, gone.left_on) == (keys[2], "sold", date(2025, 3, 20))
    assert [(count.on, count.leaves) for count in queries.leaf_counts(pots=(keys[1],))] == [
        (date(2025, 3, 1), 4),
        (date(2025, 4, 1), 6),
    ]
    assert {(stay.pot, stay.spot, stay.to_on) for stay in queries.stays()} == {
        (keys[1], "A1", None),
        (keys[2], "A2", date(2025, 3, 20)),
    }


def test_two_pots_on_one_spot_are_refused_whole(floor: tuple[int, int]) -> None:
    """Nothing is written when a spot is taken, unknown, or the batch is."""
    tank, batch = floor
    good = pot(1, tank, batch, "A1")
    with pytest.raises(RefusedByBook, match="A1 is taken"):
        changes.bring_collection((good, pot(2, tank, batch, "A1")), {}, (), who="me", now=NOW)
    with pytest.raises(RefusedInput, match="spot"):
        changes.bring_collection((good, pot(2, tank, batch, "Z9")), {}, (), who="me", now=NOW)
    with pytest.raises(RefusedInput, match="batch"):
        changes.bring_collection((good, pot(2, tank, batch + 9, "A2")), {}, (), who="me", now=NOW)
    assert not queries.standing_pots(gone=True)


def test_an_entry_that_its_pot_stands_against_is_refused(floor: tuple[int, int]) -> None:
    """A count from before the potting day brings nothing in."""
    tank, batch = floor
    early = NewEntry(uuid4(), "leaves", datetime(2025, 1, 2, 20, tzinfo=UTC), tank, 4.0, batch=batch, pot=1)
    with pytest.raises(RefusedByBook, match="potted on"):
        changes.bring_collection((pot(1, tank, batch, "A1"),), {}, (early,), who="me", now=NOW)
    assert not queries.standing_pots(gone=True)
