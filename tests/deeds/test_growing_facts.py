"""The stock as the growth sees it: what a cut does to a pot's counts."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from halfwater.deeds.growing_answer import reckon_stock
from halfwater.deeds.growing_facts import StockFacts, day_of, stock_columns
from halfwater.deeds.growing_pots import pot_outlooks
from halfwater.plain.stock import LeafCount, StandingPot, TaxonFacts

POTTED, CUT, TODAY = date(2026, 1, 5), date(2026, 7, 1), date(2026, 11, 1)


@pytest.fixture
def grown() -> StockFacts:
    """Four pots of one batch, counted every month; the first was cut in July and lost half its leaves."""
    pots = tuple(
        StandingPot(key, key, 1, "Nana", 1, "Nana", "growing", POTTED, 1, "North", f"A{key}", 9, TODAY)
        for key in (1, 2, 3, 4)
    )
    counts = []
    for key in (1, 2, 3, 4):
        for month in range(2, 12):
            leaves = 2 * month + 1 if key != 1 or month < 7 else 2 * month - 10
            counts.append(LeafCount(key, date(2026, month, 1), leaves))
    return StockFacts(TODAY, (TaxonFacts(1, "Nana", "", ()),), pots, tuple(counts), (), (), ())


def test_a_cut_ends_one_life_and_begins_another(grown: StockFacts) -> None:
    """Counts before a cut are of the pot as it was, counts after it of what stayed in the pot."""
    growth = stock_columns(replace(grown, cuts=((1, CUT),))).growth
    assert growth.taxon.size == 5
    assert growth.potted_day.tolist()[0] == day_of(CUT)
    assert growth.potted_day.tolist()[4] == day_of(POTTED)
    now, before = growth.count_leaves[growth.count_pot == 0], growth.count_leaves[growth.count_pot == 4]
    assert before.tolist() == [5, 7, 9, 11, 13]
    assert now.tolist() == [6, 8, 10, 12]  # the count of the day of the cut could be of either
    assert np.isnan(growth.first_leaves[0])


def test_a_cut_pot_is_not_odd_and_not_slow(grown: StockFacts) -> None:
    """Leaves taken off with the blade are no miscount, and its batch is not thought slower for them."""
    told = {cuts: pot_outlooks(reckon_stock(replace(grown, cuts=cuts), 182)) for cuts in ((), ((1, CUT),))}
    assert told[()][0].is_odd
    assert not told[((1, CUT),)][0].is_odd
    assert not told[((1, CUT),)][0].is_slow
    assert [one.pot.key for one in told[((1, CUT),)]] == [1, 2, 3, 4]
    assert told[((1, CUT),)][1].rate_per_30d.p50 >= told[()][1].rate_per_30d.p50


def test_a_cut_that_is_noted_twice_on_a_day_is_one_cut(grown: StockFacts) -> None:
    """Two cuts of a pot on one day begin one new life."""
    once = stock_columns(replace(grown, cuts=((1, CUT),))).growth
    twice = stock_columns(replace(grown, cuts=((1, CUT), (1, CUT)))).growth
    assert once.taxon.size == twice.taxon.size
