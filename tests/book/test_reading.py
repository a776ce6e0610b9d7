"""Reads are few, plain and served by an index."""

import random
from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from halfwater.book import changes, queries
from halfwater.errors import RefusedInput
from halfwater.plain.entry import EntryFact, NewEntry
from tests.book.builders import NOW, WHO, a_tank, an_entry, note

pytestmark = pytest.mark.django_db


def _many(tanks: list[int], rng: random.Random) -> list[NewEntry]:
    news = []
    for tank in tanks:
        for hours in range(60):
            kind = rng.choice(["spray", "waterline", "siphon", "ec"])
            news.append(an_entry(kind, tank, at=NOW - timedelta(hours=rng.choice([hours, hours + 1]))))
    return news


def test_last_entries_agree_with_a_walk_through_all() -> None:
    """The newest standing entry of each kind and tank is the one a slow search finds."""
    rng = random.Random(7)
    news = _many([a_tank(f"Tank {place}") for place in range(4)], rng)
    note(*news)
    for new in rng.sample(news, 60):
        fact = queries.entry(new.uuid)
        if fact is not None and fact.voided_at is None:
            changes.void_entry(new.uuid, "test", WHO)
    slow: dict[tuple[int | None, str], EntryFact] = {}
    for fact in queries.entries(newest_first=False):
        slow[fact.tank, fact.kind] = fact
    quick = queries.last_entries()
    assert {key: fact.at for key, fact in quick.items()} == {key: fact.at for key, fact in slow.items()}
    assert set(queries.last_entries(("ec",))) == {key for key in slow if key[1] == "ec"}


def test_reads_of_tonight_take_one_query_each() -> None:
    """What the Tonight page asks for costs one query a question, however many tanks there are."""
    tanks = [a_tank(f"Tank {place}") for place in range(5)]
    note(*(an_entry(tank=tank) for tank in tanks))
    asked = [
        queries.nursery,
        queries.tanks,
        queries.last_entries,
        lambda: queries.water_rows(dict.fromkeys(tanks)),
        lambda: queries.checkpoints("water", NOW),
        lambda: queries.sightings(NOW),
        lambda: queries.entries(limit=10),
        queries.counts_by_state,
    ]
    for question in asked:
        with CaptureQueriesContext(
            connection,
        ) as caught:
            question()
        assert len(caught) == 1


@pytest.mark.skipif("connection.vendor != 'sqlite'", reason="asks SQLite for its query plan")
def test_no_read_of_tonight_walks_through_all_entries() -> None:
    """SQLite's own plan shows an index search on the entries, never a scan of them."""
    tanks = [a_tank(f"Tank {place}") for place in range(3)]
    note(*_many(tanks, random.Random(1)))
    asked = [
        queries.last_entries,
        lambda: queries.water_rows({tank: NOW - timedelta(days=1) for tank in tanks}),
        lambda: queries.sightings(NOW),
        lambda: queries.entries(tank=tanks[0], limit=20),
        lambda: queries.entries(tank=tanks[0], kinds=("waterline",), limit=20),
    ]
    for question in asked:
        with CaptureQueriesContext(connection) as caught:
            question()
        sql = caught.captured_queries[0]["sql"]
        with connection.cursor() as cursor:
            cursor.execute(f"EXPLAIN QUERY PLAN {sql}")
            plan = [row[3] for row in cursor.fetchall()]
        assert any("SEARCH" in step and "entry" in step for step in plan), plan
        assert not [step for step in plan if step.startswith("SCAN book_entry")]


def test_water_rows_are_those_after_the_instant_oldest_first() -> None:
    """A tank's rows start after its own instant and hold only what moves or measures the bath."""
    north, south = a_tank("North"), a_tank("South")
    hours = {hour: NOW - timedelta(hours=hour) for hour in range(4)}
    note(
        an_entry("spray", north, at=hours[3], word="night"),
        an_entry("siphon", north, at=hours[2], value=None, to_line="low"),
        an_entry("ec", north, at=hours[1]),
        an_entry("waterline", north, at=hours[0]),
        an_entry("fill", south, at=hours[3]),
    )
    rows = queries.water_rows({north: hours[3], south: None})
    assert rows[north] == [
        (hours[2], "siphon", None, "low", ""),
        (hours[0], "waterline", 21.0, "", ""),
    ]
    assert rows[south] == [(hours[3], "fill", 2.0, "", "")]
    assert queries.water_rows({}) == {}


def test_void_entries_are_no_water_rows() -> None:
    """The filter never sees what was struck out."""
    tank = a_tank()
    new = an_entry(tank=tank)
    note(new)
    changes.void_entry(new.uuid, "slip", WHO)
    assert queries.water_rows({tank: None}) == {tank: []}


def test_entries_are_found_by_tank_kind_and_time() -> None:
    """The instants include the first and leave out the last."""
    north, south = a_tank("North"), a_tank("South")
    for hour in range(4):
        for tank in (north, south):
            note(an_entry("spray", tank, at=NOW - timedelta(hours=hour)))
    found = queries.entries(tank=north, kinds=["spray"], since=NOW - timedelta(hours=2), until=NOW)
    assert [fact.at for fact in found] == [NOW - timedelta(hours=1), NOW - timedelta(hours=2)]
    assert len(queries.entries(limit=3)) == 3


def test_an_unknown_tank_is_refused_with_the_known_names() -> None:
    """The sentence names every tank there is, and a known one is found in any capitals."""
    a_tank("North")
    a_tank("South")
    assert queries.tank_named(" north ").name == "North"
    with pytest.raises(RefusedInput, match="one of North, South"):
        queries.tank_named("East")
    assert queries.entry(uuid4()) is None
