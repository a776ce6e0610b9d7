"""The example files go into an empty book as they are."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from halfwater.book import queries
from halfwater.deeds.imports import import_files

pytestmark = pytest.mark.django_db

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.csv"))
NOW = datetime(2025, 5, 1, 17, 0, tzinfo=UTC)


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


def test_a_check_alone_keeps_nothing() -> None:
    """With check everything is tried and the book stays empty."""
    tried = import_files(EXAMPLES, check=True, who="example", now=NOW)
    assert tried.entries_new > 200
    assert not queries.entries()
    assert not queries.tanks()
