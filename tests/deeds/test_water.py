"""The baths of all tanks: states kept for the next time give the same answer as the whole past."""

from datetime import date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from halfwater.book import changes, queries
from halfwater.deeds.entries import void
from halfwater.deeds.water import reckon_baths
from halfwater.science.water_facts import MODEL
from tests.deeds.nurseries import NOW, TODAY, WHO, a_nursery, a_tank, evenings, noted

pytestmark = pytest.mark.django_db


def depth(name: str = "North", at: datetime = NOW) -> float:
    """The depth of a bath as reckoned."""
    tank = queries.tank_named(name)
    answer = reckon_baths([tank], queries.nursery(), at)[tank.key].answer
    assert answer is not None
    return answer.depth_mm


@pytest.fixture(autouse=True)
def book() -> None:
    """A nursery with three months of evenings and a reading now and then."""
    a_nursery()
    a_tank()
    for back, mm in ((90, "16 mm"), (60, "19 mm"), (30, "17 mm"), (9, "20 mm")):
        noted("waterline", value=mm, at=(TODAY - timedelta(days=back)).isoformat() + " 19:00")
    noted("siphon", value="to low line", at=(TODAY - timedelta(days=45)).isoformat() + " 19:30")
    evenings(90)


def test_from_a_kept_state_the_answer_is_the_same() -> None:
    """The first reckoning keeps states, the second goes on from them, and nothing changes."""
    first = depth()
    kept = queries.checkpoints(MODEL, NOW)
    assert [at.date() for at, _ in kept.values()] == [date(2026, 11, 1)]
    assert depth() == pytest.approx(first, abs=1e-6)


def test_states_are_kept_once_and_then_only_read() -> None:
    """Looking again writes nothing."""
    depth()
    with CaptureQueriesContext(
        connection,
    ) as seen:
        depth()
    assert not [one for one in seen.captured_queries if one["sql"].startswith(("INSERT", "UPDATE", "DELETE"))]


def test_the_first_look_reads_the_past_once() -> None:
    """However long the past, the look that keeps states goes through it a single time."""
    with CaptureQueriesContext(connection) as seen:
        depth()
    assert queries.checkpoints(MODEL, NOW)
    assert len([one for one in seen.captured_queries if "to_line" in one["sql"]]) == 1


def test_a_late_entry_counts_at_its_own_date() -> None:
    """What is noted weeks late drops the states after it, and the answer moves as if noted in time."""
    before = depth()
    noted("fill", value="1 L", at="2026-10-20")
    late = depth()
    assert late != pytest.approx(before, abs=0.01)
    fill = queries.entries(kinds=("fill",))[0]
    void(str(fill.uuid), "was another tank", WHO, NOW)
    assert depth() == pytest.approx(before, abs=1e-6)


def test_a_change_of_shape_is_reckoned_from_the_start() -> None:
    """Fewer pots leave more room for the bath, so the same past stands lower."""
    before = depth()
    changes.save_tank(queries.tank_named("North").key, who=WHO, pots=60)
    assert depth() != pytest.approx(before, abs=0.01)


def test_a_tank_without_pots_says_what_it_lacks() -> None:
    """No clay, no clay line, no forecast: the reason is a sentence."""
    a_tank("Bare", pots=0)
    tank = queries.tank_named("Bare")
    bath = reckon_baths([tank], queries.nursery(), NOW)[tank.key]
    assert bath.answer is None
    assert "pots that stand in Bare" in bath.why


def test_many_tanks_take_no_more_queries_than_one() -> None:
    """One pass for all tanks."""

    def count() -> int:
        reckon_baths(queries.tanks(), queries.nursery(), NOW)
        with CaptureQueriesContext(connection) as seen:
            reckon_baths(queries.tanks(), queries.nursery(), NOW)
        return len(seen)

    a_tank("T")
    one = count()
    for number in range(4):
        a_tank(f"T{number}")
    assert count() == one


def test_the_past_is_reckoned_as_it_stood() -> None:
    """An evening a month ago knows nothing of what came after it."""
    then = NOW - timedelta(days=32)
    before = depth(at=then)
    noted("waterline", value="24 mm", at="2026-11-18")
    assert depth(at=then) == pytest.approx(before, abs=1e-6)
