"""Cutting and moving jobs on the evening's round, from the newest plan that is kept."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.kept_plan import as_stored
from halfwater.deeds.tonight import lines_as_planned, note_round, tonight
from halfwater.plain.cutting import Action, CuttingPlan, PlanPot
from halfwater.plain.growing import Span
from tests.deeds.nurseries import NOW, TODAY, WHO
from tests.deeds.stocks import NANA, a_stock, pot_on

pytestmark = pytest.mark.django_db


def plan_pot(spot: str) -> PlanPot:
    """The pot on a spot of North as a plan names it."""
    pot = pot_on(spot)
    return PlanPot(pot.key, pot.name, "North", spot, 14.0, 300.0, True, False, 3)


def keep(*actions: Action, on: date = TODAY) -> None:
    """Keep a plan with these actions."""
    plan = CuttingPlan(
        on=on,
        weeks=8,
        status="optimal",
        gap_frac=0.0,
        actions=actions,
        releases=(),
        income_minor=Span(1, 2, 3),
        mean_income_minor=2.0,
        worths=(),
        steady=(),
        stock_ahead={},
    )
    stored = {"plan": as_stored(plan), "futures": [], "habits": []}
    made_at = NOW - (TODAY - on) - timedelta(hours=2)
    changes.keep_plan(plan=stored, inputs_digest="abc", made_at=made_at)


def a_cut(*spots: str, on: date = TODAY) -> Action:
    """Cut these pots into three each, the sections to South."""
    pots = tuple(plan_pot(spot) for spot in spots)
    return Action(
        week=0,
        on=on,
        kind="cut",
        taxon=1,
        taxon_name=NANA,
        grade="standard",
        pots=len(pots),
        sections=3 * len(pots),
        minutes=10.0 * len(pots),
        named=pots,
        to_tank="South",
        to_spots=("A1", "A2"),
    )


def test_without_a_plan_nothing_is_cut() -> None:
    """The round is as it was before there were plans."""
    a_stock()
    assert not [job for job in tonight(None, NOW).jobs if job.kind in ("cut", "move")]


def test_a_cut_of_this_week_stands_on_the_round() -> None:
    """With its pots, sections, spots and last day; its minutes are not the evening's."""
    a_stock()
    bare = tonight(None, NOW)
    keep(a_cut("A1"))
    planned = tonight(None, NOW)
    (job,) = [job for job in planned.jobs if job.kind == "cut"]
    assert (job.tank, job.sections, job.minutes) == ("North", 3, 10.0)
    assert job.what == "Nana, March 1 (A1) into 3 sections, to South A1, A2"
    assert job.by_on == TODAY + timedelta(days=6)
    assert planned.minutes == bare.minutes


def test_the_job_goes_once_it_is_done_and_stays_where_half_is_done() -> None:
    """Each pot leaves the job with its own cut entry; a pot that was moved or lost is not cut there."""
    a_stock()
    keep(a_cut("A1", "A2", "A3"))
    changes.cut_pot(pot_on("A1").key, 3, who=WHO, at=NOW, now=NOW)
    (job,) = [job for job in tonight(None, NOW).jobs if job.kind == "cut"]
    assert (job.pots, job.minutes) == (("Nana, March 2 (A2)", "Nana, March 3 (A3)"), 20.0)
    changes.move_pot(pot_on("A2").key, queries.tank_named("South").key, "B4", who=WHO, at=NOW, now=NOW)
    changes.lose_pot(pot_on("A3").key, "rot", who=WHO, at=NOW, now=NOW)
    assert not [job for job in tonight(None, NOW).jobs if job.kind == "cut"]


def test_each_week_has_its_own_work() -> None:
    """Next week's cut comes on its first day; on past evenings and after the plan got old there is none."""
    a_stock()
    keep(a_cut("A1"), a_cut("A2", on=TODAY + timedelta(days=7)))
    ahead = [job for job in tonight(TODAY + timedelta(days=8), NOW).jobs if job.kind == "cut"]
    assert [job.pots for job in ahead] == [("Nana, March 2 (A2)",)]
    past = tonight(TODAY - timedelta(days=1), NOW)
    assert not [job for job in past.jobs if job.kind == "cut"]
    later = NOW + timedelta(days=15)
    late = tonight(None, later)
    assert not [job for job in late.jobs if job.kind == "cut"]
    assert any("it was made 15 days ago" in line for line in late.not_needed)


def test_a_move_says_where_to() -> None:
    """A move has no sections."""
    a_stock()
    move = replace(a_cut("A1"), kind="move", sections=0, to_spots=("B4",), grade="")
    keep(move)
    (job,) = [job for job in tonight(None, NOW).jobs if job.kind == "move"]
    assert (job.what, job.sections) == ("Nana, March 1 (A1), to South B4", None)


def test_one_tap_does_not_note_a_cut() -> None:
    """A cut needs its numbers: the round's one tap leaves it open."""
    a_stock()
    keep(a_cut("A1"))
    planned = tonight(None, NOW)
    note_round(lines_as_planned(planned), planned.on, WHO, NOW)
    assert queries.entries(kinds=("cut",)) == ()
    assert [job.kind for job in tonight(None, NOW).jobs if job.kind == "cut"] == ["cut"]
