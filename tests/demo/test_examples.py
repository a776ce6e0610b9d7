"""The example files go into an empty book as they are."""

import csv
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.imports import import_files

pytestmark = pytest.mark.django_db

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.csv"))
NOW = datetime(2025, 5, 1, 17, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def taxa() -> None:
    """The plants a new book starts with."""
    changes.load_starting_taxa(who="halfwater")


def test_every_example_is_read_and_kept_once() -> None:
    """All files go in together; a second time nothing is new."""
    first = import_files(EXAMPLES, check=False, who="example", now=NOW)
    rows = {path.name: len(path.read_text("utf-8").splitlines()) - 1 for path in EXAMPLES}
    assert first.tanks_new == rows["tanks.csv"] == len(queries.tanks()) == 4
    assert first.entries_new == rows["entries.csv"] == len(queries.entries())
    again = import_files(EXAMPLES, check=False, who="example", now=NOW)
    assert (again.tanks_new, again.entries_new) == (0, 0)


def test_cells_with_units_come_out_right() -> None:
    """Centimetres, per cent and millilitres of the files stand in the book as mm, fractions and litres."""
    import_files(EXAMPLES, check=False, who="example", now=NOW)
    window = queries.tank_named("Window")
    assert (window.length_mm, window.width_mm) == pytest.approx((800.0, 350.0))
    assert window.clay_fill_frac == pytest.approx(0.62)
    assert window.plan.night_volume_l == pytest.approx(0.11)
    assert window.plan.morning_volume_l == pytest.approx(0.08)
    assert queries.tank_named("Shelf").keep_outs[0].x_mm == pytest.approx(560.0)


def test_the_collection_comes_in_with_its_lineage() -> None:
    """Pots stand where the file says, batches name the pots they were cut from."""
    import_files(EXAMPLES, check=False, who="example", now=NOW)
    rows = list(csv.DictReader((EXAMPLES[0].parent / "standing.csv").read_text("utf-8").splitlines()))
    pots = {(pot.batch_name, str(pot.number)): pot for pot in queries.standing_pots(gone=True)}
    assert len(rows) == len(pots)
    for row in rows:
        pot = pots[row["batch"], row["number"]]
        assert (pot.tank_name, pot.spot, pot.state) == (row["tank"], row["spot"], row["state"])
        assert (str(pot.leaves or ""), pot.cause) == (row["leaves"], row["cause"])
        assert f"{pot.section_mm:g} mm" == row["section"]
    (nana,) = (batch for batch in queries.batches() if batch.name == "N-1")
    assert [(parent.batch_name, parent.number) for parent in nana.parents] == [
        ("Old nana", 1),
        ("Old nana", 2),
        ("Old nana", 3),
    ]


def test_prices_and_habit_come_in() -> None:
    """Three taxa have a price for every grade, in cents, and the plan knows its minutes and next release."""
    import_files(EXAMPLES, check=False, who="example", now=NOW)
    prices = queries.prices()
    assert [price.grade for price in prices] == 3 * ["small", "standard", "large"]
    assert (prices[0].price_minor, prices[0].most_per_release) == (590, 8)
    habit = queries.cutting_habit()
    assert (habit.minutes_a_week, habit.hour_minor, habit.least_kept) == (150.0, 1400, 4)
    assert habit.next_release_on == date(2025, 5, 17)


def test_a_check_alone_keeps_nothing() -> None:
    """With check everything is tried and the book stays empty."""
    tried = import_files(EXAMPLES, check=True, who="example", now=NOW)
    assert tried.entries_new > 200
    assert not queries.entries()
    assert not queries.tanks()
