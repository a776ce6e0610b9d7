"""The outlook of the stock from a book: pots, batches, taxa, and what the plan asks for."""

from datetime import timedelta

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from halfwater.book import changes, queries
from halfwater.deeds.growing import gather_stock, growth_draws, plan_pots, stock_outlook
from halfwater.plain.stock import GRADES
from tests.deeds.nurseries import NOW, TODAY, WHO, a_nursery, a_tank

pytestmark = pytest.mark.django_db
NANA = "Anubias barteri var. nana"


@pytest.fixture
def batch():
    """Eight nana pots potted five months ago in one tank, four of them counted twice."""
    a_nursery()
    tank = a_tank(inside_temp_c=25.0)
    taxon = changes.save_taxon(who=WHO, name=NANA, group=NANA)
    changes.set_spots(tank, [f"A{k}" for k in range(1, 25)])
    key = changes.save_batch(who=WHO, name="Nana, June", taxon=taxon, potted_on=TODAY - timedelta(days=150))
    changes.place_pots(tank, [f"A{k}" for k in range(1, 9)], key, "growing", who=WHO, first_leaves=3)
    for place, pot in enumerate(queries.standing_pots()[:4]):
        for back, leaves in ((70, 4), (5, (6, 7, 6, 9)[place])):
            count(pot.key, leaves, back)
    return key


def count(pot, leaves, back):
    """Count a pot some days ago."""
    changes.count_pot(pot, leaves, who=WHO, at=NOW - timedelta(days=back), now=NOW)


def test_an_empty_book_has_an_empty_outlook():
    """No taxa, no pots: no answer, and no fault."""
    a_nursery()
    outlook = stock_outlook(NOW)
    assert (outlook.pots, outlook.batches, outlook.taxa, outlook.count_next) == ((), (), (), "")
    assert plan_pots(NOW) == ()
    assert growth_draws(NOW) == ()


def test_a_taxon_without_pots_has_draws(batch):
    """The plan can ask for a taxon that stands nowhere yet: its starting values."""
    changes.save_taxon(who=WHO, name="Bucephalandra", group="Bucephalandra")
    drawn = {one.taxon: one for one in growth_draws(NOW, 300)}
    assert len(drawn) == 2
    rates = next(one for taxon, one in drawn.items() if taxon != queries.batches()[0].taxon).leaf_rate_per_30d
    assert np.median(rates) == pytest.approx(1.32, rel=0.15)
    assert len(rates) == 300


def test_counts_narrow_the_pace(batch):
    """The taxon's pace is told with its starting value beside it, and is narrower."""
    taxon = stock_outlook(NOW).taxa[0]
    told, start = taxon.rate_per_30d, taxon.prior_rate_per_30d
    assert (taxon.pots, taxon.kept, taxon.counted_pots) == (8, 0, 4)
    assert told.p90 / told.p10 < 0.85 * start.p90 / start.p10


def test_numbers_ready_are_in_order(batch):
    """Ranges are in order, larger grades are fewer, no more than stand; dates come grade by grade."""
    outlook = stock_outlook(NOW)
    counts = outlook.taxa[0].counts
    assert {one.grade for one in counts} == set(GRADES)
    assert max(one.on for one in counts) == outlook.horizon_on
    assert all(0 <= one.p10 <= one.p50 <= one.p90 <= 8 for one in counts)
    by_grade = {one.grade: one.mean for one in counts if one.on == outlook.horizon_on}
    assert by_grade["small"] >= by_grade["standard"] >= by_grade["large"]
    for pot in outlook.pots:
        dates = [one.p50_on for one in pot.dates if one.p50_on is not None]
        assert dates == sorted(dates)


def test_a_counted_pot_is_reached_by_its_count(batch):
    """Nine leaves: small and standard are reached, large is not; an uncounted pot has no reached grade."""
    by_spot = {one.pot.spot: one for one in stock_outlook(NOW).pots}
    assert [one.is_reached for one in by_spot["A4"].dates] == [True, True, False]
    assert [one.is_reached for one in by_spot["A8"].dates] == [False, False, False]
    assert by_spot["A8"].leaves.p90 - by_spot["A8"].leaves.p10 > 2


def test_a_young_pot_is_not_ready_however_many_leaves(batch):
    """Potted a week ago with ten leaves: nothing before it is rooted."""
    taxon = queries.batches()[0].taxon
    young = changes.save_batch(who=WHO, name="New", taxon=taxon, potted_on=TODAY - timedelta(days=7))
    changes.place_pots(queries.tanks()[0].key, ["A20"], young, who=WHO, first_leaves=10)
    pot = next(one for one in stock_outlook(NOW).pots if one.pot.batch == young)
    assert pot.dates[0].is_reached is False
    assert pot.dates[0].p10_on >= TODAY + timedelta(days=35)
    assert pot.p_ready_frac == 0


def test_kept_pots_are_told_but_not_for_sale(batch):
    """A kept pot keeps its dates and leaves the numbers."""
    for pot in queries.standing_pots():
        changes.set_state(pot.key, "kept", who=WHO, at=NOW, now=NOW)
    outlook = stock_outlook(NOW)
    assert outlook.taxa[0].kept == 8
    assert all(one.p90 == 0 for one in outlook.taxa[0].counts)
    assert outlook.pots[3].dates[0].is_reached
    assert outlook.count_next == ""


def test_a_grade_given_by_hand_holds(batch):
    """The grower says small where the count says standard: small it is, from today."""
    pot = next(one for one in queries.standing_pots() if one.spot == "A4")
    changes.set_grade(pot.key, "small", who=WHO)
    dates = next(one for one in stock_outlook(NOW).pots if one.pot.key == pot.key).dates
    assert [one.is_reached for one in dates] == [True, False, False]


def test_slow_and_odd_pots_are_named(batch):
    """A pot that stands still among its batch is slow; one that fell from nine leaves to two is odd."""
    pots = queries.standing_pots()
    for pot in pots[4:7]:
        for back, leaves in ((60, 9), (10, 13)):
            count(pot.key, leaves, back)
    for back in (100, 60, 30, 2):
        count(pots[7].key, 3, back)
    count(pots[3].key, 2, 1)
    by_key = {one.pot.key: one for one in stock_outlook(NOW).pots}
    assert by_key[pots[7].key].is_slow
    assert "where its batch makes" in by_key[pots[7].key].why
    assert by_key[pots[3].key].is_odd
    assert by_key[pots[3].key].leaves.p50 == pytest.approx(2, abs=0.6)
    assert not by_key[pots[5].key].is_odd
    assert stock_outlook(NOW).batches[0].slow == (pots[7].key,)


def test_the_count_worth_most_is_the_uncounted_batch(batch):
    """Of a counted batch and one that nobody counted, the latter is to be counted next."""
    taxon = queries.batches()[0].taxon
    other = changes.save_batch(who=WHO, name="August", taxon=taxon, potted_on=TODAY - timedelta(days=90))
    tank = queries.tanks()[0].key
    changes.place_pots(tank, [f"A{k}" for k in range(10, 22)], other, "growing", who=WHO)
    assert "batch August, not counted yet" in stock_outlook(NOW).count_next


def test_lost_pots_teach_losses(batch):
    """After half the batch died, more is feared for the rest."""
    before = stock_outlook(NOW).batches[0].loss_per_30d_frac.p50
    for pot in queries.standing_pots()[4:]:
        changes.lose_pot(pot.key, "rot", who=WHO, at=NOW, now=NOW)
    outlook = stock_outlook(NOW)
    assert outlook.batches[0].pots == 4
    assert outlook.batches[0].loss_per_30d_frac.p50 > 2 * before


def test_the_plan_is_told_of_each_pot(batch):
    """Expected leaves near the counts, all settled after five months, the fast one ahead of the slow."""
    told = {one.pot.spot: one for one in plan_pots(NOW)}
    assert told["A4"].leaves == pytest.approx(9, abs=0.7)
    assert all(one.is_settled for one in told.values())
    assert told["A4"].rate_factor > told["A1"].rate_factor


def test_a_cold_tank_slows_the_forecast(batch):
    """The same pots in a tank at 18 degrees would be slower by the stated response."""
    warm = {one.pot.key: one.rate_per_30d.p50 for one in stock_outlook(NOW).pots}
    cold = changes.save_tank(who=WHO, name="Cold", **_like_north(), inside_temp_c=18.0)
    changes.set_spots(cold, ["A1"])
    pot = queries.standing_pots()[7]
    changes.move_pot(pot.key, cold, "A1", who=WHO, at=NOW, now=NOW)
    assert (
        next(one for one in stock_outlook(NOW).pots if one.pot.key == pot.key).rate_per_30d.p50
        < 0.7 * warm[pot.key]
    )


def _like_north():
    tank = queries.tanks()[0]
    return {
        "length_mm": tank.length_mm, "width_mm": tank.width_mm, "height_mm": tank.height_mm,
        "pot": tank.pot.key, "pots": 119, "clay_fill_frac": 0.625, "clay_porosity_frac": 0.44,
        "margin_mm": 6.0, "set_up_on": tank.set_up_on,
    }  # fmt: skip


def test_a_few_queries_and_one_reckoning(batch):
    """The book is asked a dozen times however many pots stand, and not reckoned twice as it is."""
    with CaptureQueriesContext(connection) as asked:
        first = stock_outlook(NOW)
    assert len(asked) <= 14
    assert stock_outlook(NOW) is first
    assert gather_stock(NOW) == gather_stock(NOW)
