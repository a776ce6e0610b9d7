"""Minutes of a task: the page of starting values, and what timing does to them."""

import re
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.costing import TASKS, TaskDone
from halfwater.planning.task_minutes import STARTING_MINUTES, pace_factors, task_paces

PAGE = Path(__file__).parents[2] / "docs" / "starting-values.md"


def _timed(task, minutes, count=1.0, day=5):
    return TaskDone(on=date(2026, 1, day), task=task, minutes=minutes, count=count)


def test_ranges_are_those_of_the_page():
    """Median and 90 % range of each task stand in a row of the page of starting values."""
    text = PAGE.read_text(encoding="utf-8")
    rows = re.findall(r"^\| `\w+_MIN` \| ([\d.]+) \| ([\d.]+)-([\d.]+) \|", text, flags=re.M)
    said = {tuple(map(float, row)) for row in rows}
    assert set(STARTING_MINUTES) == set(TASKS) - {"other"}
    assert set(STARTING_MINUTES.values()) <= said


def test_timing_moves_the_median_and_narrows_the_range():
    """A task timed ten times at twice its starting value is told for nearly that, in a narrow range."""
    before = task_paces([])["siphon"]
    after = task_paces([_timed("siphon", 30.0 * n, n, n) for n in range(1, 11)])["siphon"]
    assert before.minutes < 25.0 < after.minutes < 30.0
    assert after.high / after.low < 1.5 < before.high / before.low
    assert (before.timed, after.timed) == (0, 10)


def test_the_rows_of_a_day_are_one_timing():
    """An evening's minutes shared among its tanks teach as much as the evening as a whole."""
    shared = task_paces([_timed("spray", 2.0), _timed("spray", 4.0, 2.0)])["spray"]
    assert shared == task_paces([_timed("spray", 6.0, 3.0)])["spray"]


def test_the_range_is_the_one_stated():
    """Nine tenths of the factors keep a task inside its starting range."""
    pace = task_paces([])["pack"]
    minutes = pace.minutes * pace_factors([pace], 20_000, 1)[0]
    assert np.mean((minutes > 1.0) & (minutes < 4.0)) == pytest.approx(0.90, abs=0.01)
    assert np.mean((minutes > pace.low) & (minutes < pace.high)) == pytest.approx(0.80, abs=0.01)
    assert (pace_factors([pace], 50, 1) == pace_factors([pace], 50, 1)).all()


def test_work_of_no_time_teaches_nothing():
    """Minutes of 0 are kept as they are and leave the usual minutes alone."""
    assert task_paces([_timed("spray", 0.0)])["spray"] == task_paces([])["spray"]


@pytest.mark.parametrize(
    "row",
    [_timed("dance", 1.0), _timed("spray", -1.0), _timed("spray", float("nan")), _timed("cut", 1.0, 0.0),
     _timed("other", None)],
)  # fmt: skip
def test_what_is_no_work_is_refused(row):
    """Unknown tasks, minutes below 0, counts of 0 and other work without minutes: refused."""
    with pytest.raises(RefusedInput):
        task_paces([row])
    with pytest.raises(RefusedInput):
        pace_factors([], 0, 1)
