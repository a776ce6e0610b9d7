"""The cutting plan from the book: gathered, solved, kept, read back, and seen to be out of date."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from halfwater.book import changes, queries
from halfwater.deeds import plan_cutting as deed
from halfwater.deeds.growing import stock_outlook
from halfwater.deeds.kept_plan import as_stored, from_stored
from halfwater.deeds.past_habits import past_habits
from halfwater.deeds.plan_cutting import plan
from halfwater.deeds.plan_facts import gather_facts
from halfwater.deeds.prices import set_for_plan
from halfwater.deeds.standing_plan import newest_plan
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.cutting import CuttingPlan, PlanFacts, PolicyResult
from halfwater.plain.selling import NewBuyer, NewOrder
from halfwater.planning.cutting import plan_cutting
from tests.deeds.nurseries import NOW, TODAY, WHO
from tests.deeds.stocks import a_batch, a_stock, counted, pot_on

pytestmark = pytest.mark.django_db


def a_priced_stock(leaves: int = 14) -> None:
    """Four well-grown pots, one price, releases every four weeks."""
    a_stock(potted_on=date(2025, 3, 1))
    for spot in ("A1", "A2", "A3", "A4"):
        counted(spot, leaves)
    set_for_plan(("price nana standard 9.50", "least_kept 1"), WHO)


def test_without_a_price_or_a_pot_there_is_no_plan() -> None:
    """The refusal says what is missing and how to give it."""
    a_stock()
    with pytest.raises(RefusedByBook, match="No price is in the book yet"):
        plan(NOW)
    for spot in ("A1", "A2", "A3", "A4"):
        changes.lose_pot(pot_on(spot).key, "rot", who=WHO, at=NOW, now=NOW)
    set_for_plan(("price anubias barteri var. nana standard 9.50",), WHO)
    with pytest.raises(RefusedByBook, match="No pot stands"):
        plan(NOW)


def test_a_promised_pot_is_neither_cut_nor_sold_again() -> None:
    """It holds its spot, and is neither among the ready ones nor in the plan."""
    a_priced_stock()
    pots = ("A1", "A2")
    for spot in pots:
        changes.set_state(pot_on(spot).key, "ready", who=WHO, at=NOW, now=NOW)
    before = ready_now()
    sold = tuple((pot_on(spot).key, 950) for spot in pots)
    changes.place_order(NewOrder("k", NewBuyer("Anna"), pots=sold), who=WHO, now=NOW)
    assert ready_now() == before - 2
    (taxon,) = gather_facts(NOW, 26).taxa
    assert sorted(pot.spot for pot in taxon.pots) == ["A3", "A4"]
    assert [len(tank.free) for tank in gather_facts(NOW, 26).tanks] == [4, 8]
    rest = tuple((pot_on(spot).key, 950) for spot in ("A3", "A4"))
    changes.place_order(NewOrder("l", NewBuyer("Ben"), pots=rest), who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match="all are promised"):
        gather_facts(NOW, 26)


def ready_now() -> float:
    """The median of the pots that are ready now, in every grade."""
    (taxon,) = (one for one in stock_outlook(NOW).taxa if one.pots)
    return sum(span.p50 for span in taxon.ready_now.values())


def test_the_facts_are_the_stock_as_it_stands() -> None:
    """Pots with their leaves and sections, floors with their free spots, prices and habit."""
    a_priced_stock()
    changes.set_state(pot_on("A2").key, "kept", who=WHO, at=NOW, now=NOW)
    changes.measure_rhizome(pot_on("A3").key, 95.0, who=WHO, at=NOW, now=NOW)
    facts = gather_facts(NOW, 26)
    (taxon,) = facts.taxa
    pots = {pot.spot: pot for pot in taxon.pots}
    assert pots["A1"].leaves == pytest.approx(14, abs=1.5)
    assert [pots[spot].is_kept for spot in ("A1", "A2")] == [False, True]
    assert pots["A3"].sections == int(95.0 / taxon.section_mm)
    assert pots["A1"].sections == 2  # 30 mm and eleven leaves of 4 mm each, in sections of 30 mm
    assert {tank.name: (tank.spots, len(tank.free)) for tank in facts.tanks} == {
        "North": (8, 4),
        "South": (8, 8),
    }
    assert (facts.on, facts.weeks, facts.currency) == (TODAY, 26, queries.nursery().currency)
    assert len(taxon.draws.leaf_rate_per_30d) == 200


def test_a_plan_is_made_kept_and_read_back() -> None:
    """What the book gives back is the plan that was made, to the last figure."""
    a_priced_stock()
    assert newest_plan(NOW) is None
    made = plan(NOW, weeks=16)
    assert (made.plan.status, made.plan.faults) == ("optimal", ())
    assert {one.name for one in made.futures} >= {"the plan", "sell all that is ready", "keep a fifth"}
    kept = newest_plan(NOW)
    assert kept is not None
    assert kept.plan == made.plan
    assert kept.futures == made.futures
    assert kept.habits == made.habits
    assert not kept.is_stale


def test_a_plan_that_was_stopped_early_and_holds_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """What passed its check is worth keeping though the search ran out of time; what has no plan is not."""
    a_priced_stock()

    def stopped(facts: PlanFacts) -> CuttingPlan:
        return replace(plan_cutting(facts), status="stopped early", gap_frac=0.02)

    monkeypatch.setattr(deed, "plan_cutting", stopped)
    plan(NOW, weeks=8)
    kept = newest_plan(NOW)
    assert kept is not None
    assert (kept.plan.status, kept.plan.gap_frac, len(kept.futures)) == ("stopped early", 0.02, 3)
    monkeypatch.setattr(deed, "plan_cutting", lambda facts: replace(stopped(facts), checked=()))
    assert plan(NOW + timedelta(hours=1), weeks=8).futures == ()
    assert newest_plan(NOW + timedelta(hours=1)) == kept


def test_a_plan_gets_out_of_date() -> None:
    """A price, a count or two weeks, and the plan says why it is to be made anew."""
    a_priced_stock()
    plan(NOW, weeks=8)
    later = newest_plan(NOW + timedelta(days=15))
    assert later is not None
    assert later.why_stale == "it was made 15 days ago"
    set_for_plan(("price nana large 14",), WHO)
    now = newest_plan(NOW)
    assert now is not None
    assert now.is_stale
    assert "has changed" in now.why_stale


def test_a_what_if_is_shown_and_not_kept() -> None:
    """The kept plan stays; what is not understood is refused with examples."""
    a_priced_stock()
    plan(NOW, weeks=8)
    kept = queries.newest_plan()
    shown = plan(NOW, ("release every 2 weeks",), weeks=8)
    assert shown.what_ifs == ("release every 2 weeks",)
    assert queries.newest_plan() == kept
    with pytest.raises(RefusedInput, match="release every 6 weeks"):
        plan(NOW, ("pigs fly",), weeks=8)
    with pytest.raises(RefusedInput, match="8 to 104"):
        plan(NOW, weeks=2)


def test_past_habits_are_what_was_cut_and_sold() -> None:
    """Over the last year: pots cut, sections made, pots sold by their grade."""
    a_priced_stock()
    changes.cut_pot(pot_on("A1").key, 3, who=WHO, at=NOW - timedelta(days=30), now=NOW)
    changes.set_state(pot_on("A2").key, "sold", who=WHO, at=NOW - timedelta(days=20), now=NOW)
    a_batch("Nana, May", 1, date(2026, 5, 1), "South")
    counted("A1", 9, tank="South")
    changes.set_state(pot_on("A1", "South").key, "sold", who=WHO, at=NOW, now=NOW)
    (habit,) = past_habits(NOW)
    assert (habit.days, habit.cut, habit.sections) == (364.0, 1.0, 3.0)
    assert habit.sold == {"standard": 1.0, "large": 1.0}


def test_plain_data_comes_back_from_json_as_it_was() -> None:
    """Nested tuples, days, maps and what is None."""
    a_priced_stock()
    made = plan(NOW, weeks=8)
    assert from_stored(CuttingPlan, as_stored(made.plan)) == made.plan
    assert [from_stored(PolicyResult, as_stored(one)) for one in made.futures] == list(made.futures)
