"""The demo in the book: loaded once, whole, into an empty book only."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.demo import demo_book, load_demo
from halfwater.demo.nursery import NURSERY, PLACES
from halfwater.errors import RefusedByBook

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
    assert sum(counted.values()) == len(demo.standing)
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


def test_loading_twice_changes_nothing() -> None:
    """The second time it says that the demo was there."""
    first, second = load_demo(NOW), load_demo(NOW)
    assert (second.entries, second.was_there) == (0, True)
    assert second.last_on == first.last_on
    assert len(queries.entries()) == first.entries


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
