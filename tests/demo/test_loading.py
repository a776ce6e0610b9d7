"""The demo in the book: loaded once, whole, into an empty book only."""

from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid4

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.demo import demo_book, load_demo
from halfwater.deeds.tonight import tonight
from halfwater.demo.nursery import NURSERY, PLACES
from halfwater.demo.plants import NEVER
from halfwater.demo.simulator import DemoBook
from halfwater.errors import RefusedByBook
from halfwater.plain.entry import NewEntry
from halfwater.plain.stock import GRADES

pytestmark = pytest.mark.django_db

NOW = datetime(2025, 5, 1, 17, 0, tzinfo=UTC)


def test_the_demo_fills_an_empty_book() -> None:
    """Settings, tanks, mixes, batches, pots and every entry of the simulated nursery stand in the book."""
    loaded = load_demo(NOW)
    demo = demo_book(date(2025, 5, 1))
    assert loaded.entries == len(demo.entries) == len(queries.entries())
    assert loaded.last_on == date(2025, 4, 30)
    assert queries.nursery().name == NURSERY.name
    assert [tank.name for tank in queries.tanks()] == [place.facts.name for place in PLACES]
    north = queries.tank_named("North")
    assert (north.pots, len(queries.spots(north.key))) == (119, 119)
    assert north.plan.night_volume_l == PLACES[0].facts.plan.night_volume_l
    counted = queries.counts_by_state()
    assert sum(counted.values()) == len(demo.plants)
    assert {mix.use for mix in queries.mixes()} == {"night", "weak", "fill"}


def test_entries_point_at_the_right_tank_and_batch() -> None:
    """A loss in the book names a batch that stood in its tank."""
    changes.load_starting_taxa(who="x")
    load_demo(NOW)
    demo = demo_book(date(2025, 5, 1))
    names = {place.facts.key: place.facts.name for place in PLACES}
    plans = {plan.key: plan.name for plan in demo.batches}
    want: dict[UUID, tuple[str, str]] = {
        e.uuid: (names[e.tank or 0], plans[e.batch or 0]) for e in demo.entries if e.kind == "loss"
    }
    batches = {batch.key: batch.name for batch in queries.batches()}
    got = {e.uuid: (e.tank_name, batches[e.batch or 0]) for e in queries.entries(kinds=("loss",))}
    assert got == want
    assert len(got) > 20


def test_the_stock_stands_as_the_nursery_left_it() -> None:
    """Pots, lineage and the frame of the plan, from one demo book."""
    load_demo(NOW)
    hold_pots(demo_book(date(2025, 5, 1)))
    hold_lineage()
    hold_frame()


def hold_pots(demo: DemoBook) -> None:
    """State, place, last count, rhizome and the day it left: the book tells each pot as its grower saw it."""
    told = {(pot.batch_name, pot.number): pot for pot in queries.standing_pots(gone=True)}
    assert len(told) == len(demo.plants)
    for place, plant in enumerate(demo.plants):
        pot = told[(plant.batch.name, plant.number)]
        is_here = plant.off_spot == NEVER
        assert (pot.tank_name, pot.spot) == ((plant.tank, plant.spot) if is_here else ("", ""))
        assert (pot.piece, pot.section_mm, pot.first_leaves) == (
            plant.piece,
            plant.section_mm,
            plant.first_leaves,
        )
        day, leaves = demo.stock.counted.get(place, (plant.potted, plant.first_leaves))
        assert (pot.counted_on, pot.leaves) == (demo.first_on + timedelta(days=day), leaves)
        assert pot.rhizome_mm == demo.stock.measured.get(place, (0, None))[1]
        left = None if is_here else demo.first_on + timedelta(days=plant.off_spot)
        assert pot.left_on == left
        state = "sold" if plant.sold == plant.off_spot != NEVER else "lost" if left else pot.state
        assert pot.state == state
        assert (pot.state == "kept") == (plant.is_kept and is_here)


def hold_lineage() -> None:
    """Batches name the pots they were cut from, down to grandparents, and some pots were moved."""
    steps: dict[int, int] = {}
    for batch in sorted(queries.batches(), key=lambda one: one.potted_on):
        steps[batch.key] = max((steps[parent.batch] + 1 for parent in batch.parents), default=0)
        assert all(parent.pot for parent in batch.parents)
    assert max(steps.values()) >= 2
    assert sum(step > 0 for step in steps.values()) >= 8
    moved = [stay for stay in queries.stays() if stay.to_on is None]
    assert len(queries.stays()) > len(queries.standing_pots(gone=True))
    assert {stay.pot for stay in moved} == {pot.key for pot in queries.standing_pots()}


def hold_frame() -> None:
    """Prices for every grade of what is grown, releases every four weeks, minutes, and free spots."""
    grown = {pot.taxon for pot in queries.standing_pots()}
    assert {(price.taxon, price.grade) for price in queries.prices()} >= {
        (t, g) for t in grown for g in GRADES
    }
    assert all(price.most_per_release for price in queries.prices())
    habit = queries.cutting_habit()
    assert (habit.release_every_weeks, habit.minutes_a_week) == (4, 150.0)
    assert date(2025, 5, 1) < (habit.next_release_on or date.min) < date(2025, 5, 29)
    spots = [spot for tank in queries.tanks() for spot in queries.spots(tank.key)]
    empty = sum(spot.pot is None for spot in spots)
    assert 0.05 * len(spots) < empty < 0.5 * len(spots)


def test_loading_twice_changes_nothing() -> None:
    """The second time it says that the demo was there."""
    first, second = load_demo(NOW), load_demo(NOW)
    assert (second.entries, second.was_there) == (0, True)
    assert second.last_on == first.last_on
    assert len(queries.entries()) == first.entries


@pytest.mark.parametrize("days", [1, -30])
def test_a_demo_of_another_day_is_made_anew(days: int) -> None:
    """Opened on another day, the demo ends on the evening before it, and nothing of the old one stays."""
    load_demo(NOW)
    again = load_demo(NOW + timedelta(days=days))
    today = date(2025, 5, 1) + timedelta(days=days)
    assert not again.was_there
    assert again.last_on == max(e.day for e in queries.entries()) == today - timedelta(days=1)
    assert again.entries == len(demo_book(today).entries) == len(queries.entries())
    assert [tank.name for tank in queries.tanks()] == [place.facts.name for place in PLACES]


def test_a_demo_that_is_kept_up_is_left_as_it_is() -> None:
    """What a visitor noted tonight stands tomorrow: the evening before is then noted."""
    first = load_demo(NOW)
    evening = NOW + timedelta(hours=2)
    north = queries.tank_named("North").key
    changes.note_entries((NewEntry(uuid4(), "spray", evening, north, 0.15),), "visitor", evening)
    again = load_demo(NOW + timedelta(days=1))
    assert (again.was_there, again.last_on) == (True, date(2025, 5, 1))
    assert len(queries.entries()) == first.entries + 1


def test_a_slip_is_put_right_in_the_open() -> None:
    """One reading is voided with its reason, and the one that stands says which it corrects."""
    load_demo(NOW)
    slip = demo_book(date(2025, 5, 1)).slip
    (void,) = (e for e in queries.entries(include_void=True) if e.voided_at is not None)
    assert (void.uuid, void.value, void.void_reason) == (slip.wrong.uuid, slip.wrong.value, slip.reason)
    right = queries.entry(slip.right.uuid)
    assert right is not None
    assert (right.corrects, right.value) == (void.uuid, slip.right.value)
    assert right.value != void.value


def test_a_grower_who_took_the_name_keeps_the_book() -> None:
    """A book of that name whose first entry is another's is not the demo, however old: nothing is lost."""
    load_demo(NOW)
    first = queries.entries(limit=1, newest_first=False)[0]
    older = NewEntry(uuid4(), "note", first.at - timedelta(days=1), first.tank, text="clay rinsed")
    changes.note_entries((older,), "me", NOW)
    with pytest.raises(RefusedByBook, match="empty book"):
        load_demo(NOW + timedelta(days=40))
    assert queries.entry(older.uuid) is not None


def test_tonight_in_the_demo_is_short() -> None:
    """Most tanks were looked over within the week; where algae were seen the round says so."""
    load_demo(NOW)
    looks = [job for job in tonight(None, NOW).jobs if job.kind == "look"]
    assert 1 <= len(looks) <= 3
    assert any("algae" in job.why for job in looks)


def test_a_book_of_ones_own_is_left_alone() -> None:
    """A book that holds other tanks refuses the demo and stays as it was."""
    changes.save_nursery(who="me", name="Mine", is_set_up=True)
    changes.save_tank(
        who="me",
        name="Only",
        length_mm=600.0,
        width_mm=300.0,
        height_mm=300.0,
        clay_fill_frac=0.6,
        clay_porosity_frac=0.44,
        margin_mm=6.0,
        set_up_on=date(2025, 1, 1),
    )
    with pytest.raises(RefusedByBook, match="empty book"):
        load_demo(NOW)
    assert [tank.name for tank in queries.tanks()] == ["Only"]
    assert not queries.entries()
