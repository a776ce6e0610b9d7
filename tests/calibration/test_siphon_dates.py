"""Do the ranges hold what they promise? Simulated books with a hidden truth, growers of many habits.

The books come from halfwater.demo.books, which knows nothing of the filter: vapour by six-hour
steps of air inside and outside, drips, strokes, forgotten notes, rulers read askew.
"""

import math
from datetime import UTC, datetime, time

import numpy as np
import pytest

from halfwater.deeds.water import describe_waters
from halfwater.demo.books import simulated_book
from halfwater.plain.nursery import NurseryFacts
from halfwater.science.evenings import WaterRow
from halfwater.science.reckoning import reckon_water

BOOKS = 240
NURSERY = NurseryFacts("Trial bench", "metric", "EUR", "UTC", 20, None, None, True)
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def days(instant):
    """An instant as days since 1970."""
    return (instant - EPOCH).total_seconds() / 86_400.0


def evenings_until(now, ahead):
    """Whole days from now's date to the date of a forecast; inf where none."""
    return math.inf if math.isnan(ahead) else math.floor(now + ahead) - math.floor(now)


@pytest.fixture(scope="module")
def outcomes():
    """For each book: true days to the limit line, range forecast, range of the starting values, readings."""
    found = []
    for seed in range(BOOKS):
        tank, entries, truth = simulated_book(np.random.default_rng(seed))
        waters, _ = describe_waters([tank], NURSERY)
        now = days(datetime.combine(truth.last_on, time(23), UTC))
        rows = [
            WaterRow(days(e.at), e.kind, e.value, e.to_line, e.word)
            for e in entries
            if e.kind in ("spray", "skip", "fill", "siphon", "waterline")
        ]
        told = reckon_water([waters[tank.key]], [rows], now)[0]
        blank = reckon_water([waters[tank.key]], [[]], now)[0]
        passes = truth.passes_on
        found.append(
            (
                (passes - truth.last_on).days if passes else math.inf,
                evenings_until(now, told.siphon_p10_day),
                evenings_until(now, told.siphon_p90_day),
                evenings_until(now, blank.siphon_p10_day),
                evenings_until(now, blank.siphon_p90_day),
                sum(row.kind == "waterline" for row in rows),
            )
        )
    return np.array(found)


def test_the_eighty_per_cent_range_holds_about_eighty_per_cent(outcomes):
    """Over all habits the true siphon date lies in the 80 % range in 75 to 85 % of the books."""
    truth, low, high = outcomes[:, 0], outcomes[:, 1], outcomes[:, 2]
    covered = np.mean((truth >= low) & (truth <= high))
    assert 0.75 <= covered <= 0.85


def test_entries_narrow_the_range(outcomes):
    """With readings the range is less than half as wide as the starting values alone; without, no wider."""
    _, low, high, low_blank, high_blank, readings = np.minimum(outcomes, 400.0).T
    width, blank = high - low, high_blank - low_blank
    assert np.mean(width) < np.mean(blank)
    often = readings >= 8
    assert np.median(width[often]) < 0.5 * np.median(blank[often])


def test_the_starting_values_alone_cover_too(outcomes):
    """A book without a single entry still gets a range that holds the truth in at least 75 % of cases."""
    truth, low, high = outcomes[:, 0], outcomes[:, 3], outcomes[:, 4]
    assert np.mean((truth >= low) & (truth <= high)) >= 0.75
