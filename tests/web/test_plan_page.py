"""The Plan and the Score page, fed from plain data: the answer, the marks, the tables."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.template.loader import render_to_string
from django.test import RequestFactory

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import (
    Action,
    CuttingPlan,
    HabitView,
    PlanPot,
    PolicyResult,
    ReleaseLine,
    StagePay,
    SteadyYield,
    Worth,
)
from halfwater.plain.growing import ScoreLine, Span
from halfwater.web.fields import Form
from halfwater.web.plan.floors import marked_spots
from halfwater.web.plan.page import calendar_of, pays_of, plan_answer, plan_page
from halfwater.web.plan.weeks import weeks_of
from halfwater.web.plan.what_ifs import compared, what_ifs_typed
from halfwater.web.score.page import score_answer, score_page
from halfwater.web.stock.words import count_span, share_span

ON = date(2026, 3, 2)
POT = PlanPot(1, "June 3", "North", "B4", 12.0, 400.0, True, False, 3)
PLAN = CuttingPlan(
    on=ON,
    weeks=10,
    status="optimal",
    gap_frac=0.0,
    actions=(
        Action(0, ON, "cut", 1, "Nana", "large", 1, 3, 6.0, (POT,), "North", ("C1", "C2")),
        Action(1, ON + timedelta(days=7), "sell", 1, "Nana", "small", 2),
        Action(6, ON + timedelta(days=42), "cut", 1, "Nana", "large", 2, 6),
    ),
    releases=(ReleaseLine(ON + timedelta(days=7), 1, "Nana", "small", Span(1, 2, 3), 2, 1500, 3000.0),),
    income_minor=Span(90_000, 120_000, 150_000),
    mean_income_minor=121_000,
    worths=(Worth("one more spot", 300.0),),
    steady=(SteadyYield(1, "Nana", {"small": 3.0}, 1.0, 40.0, 30.0, 4500.0),),
    stock_ahead={"Nana": (30.0, 31.0, 32.0)},
    currency="EUR",
)
FUTURES = (PolicyResult("the plan", Span(1, 2, 3), 2.0, 5.0, 5.0, 0.1, 20.0),)


def test_the_answer_says_this_week_and_what_the_weeks_bring() -> None:
    """What to do stands before what it brings, with its range."""
    assert plan_answer(PLAN) == (
        "This week cut 1 of Nana. The next 10 weeks bring about 1200 EUR (900 to 1500 EUR)."
    )


def test_a_plan_with_rules_in_conflict_is_not_called_one() -> None:
    """Neither is one that its own check found broken."""
    assert "no plan" in plan_answer(replace(PLAN, status="infeasible", conflicts=("a", "b")))
    assert "not to be followed" in plan_answer(replace(PLAN, faults=("spots",)))
    assert "better may exist" in plan_answer(replace(PLAN, status="stopped early"))


def test_a_week_without_work_names_the_next() -> None:
    """With nothing to do now the answer looks ahead."""
    assert "next is to sell in the week of 9 March" in plan_answer(replace(PLAN, actions=PLAN.actions[1:]))


def test_the_weeks_stand_in_order_down_to_the_pots() -> None:
    """This week names its pot and where the sections go, the next is there even if empty."""
    weeks = weeks_of(PLAN)
    assert [one.title for one in weeks] == ["This week", "Next week", "Week of Mon 13 Apr"]
    assert weeks[0].lines[0].where == (("June 3: North B4", "/stock/pots/1/"),)
    assert weeks[0].lines[0].onto == ("North C1, C2",)


def test_like_cuts_of_a_week_are_one_line() -> None:
    """Two cuts of one taxon and grade add up, with all their pots and spots; a spot may name its own tank."""
    other = replace(
        PLAN.actions[0], named=(replace(POT, key=2, name="June 4"),), to_tank="", to_spots=("South: A1",)
    )
    page = plan_page(
        replace(PLAN, actions=(PLAN.actions[0], other, *PLAN.actions[1:])), (), (), (), "", Form(())
    )
    (line,) = page.weeks[0].lines
    assert line.what == "2 pots of Nana of grade large, 6 sections"
    assert line.minutes == "12 min"
    assert line.onto == ("North C1, C2", "South A1")
    assert [words for words, _ in line.where] == ["June 3: North B4", "June 4: North B4"]
    assert [week.title for week in page.later_weeks] == ["Week of Mon 13 Apr"]


def test_small_shares_are_told_apart_and_nought_has_no_sign() -> None:
    """Elasticities have three decimals; a share a hair below nought is 0.0 %."""
    pays = (
        StagePay("Nana", "small", "faster growth", 0.0041),
        StagePay("Nana", "large", "fewer losses", -0.0001),
    )
    habit = HabitView(1, "Nana", (), (), 1.0, True, (), (), (), pays)
    assert [row[-1] for row in pays_of((habit,)).rows] == ["0.004", "0.000"]
    assert share_span(Span(-0.0001, -0.0001, 0.0))[0] == "0.0 %"
    assert count_span(Span(-0.2, -0.1, 3.0)) == "0 (0 to 3)"


def test_the_calendar_marks_cuts_and_releases() -> None:
    """One mark a cut, one a release, in their weeks."""
    (band,) = calendar_of(PLAN).bands
    assert [(one.week, one.kind, one.pots) for one in band.marks] == [
        (0, "cut", 1),
        (6, "cut", 2),
        (1, "sell", 2),
    ]


def test_floors_are_marked_for_two_weeks() -> None:
    """The pot to cut and the spots for its sections are marked; later weeks are not."""
    assert marked_spots(PLAN.actions) == {"North": {"C1": "new", "C2": "new", "B4": "cut"}}


def test_the_page_shows_every_part() -> None:
    """Rivals, worth, steady yield and releases stand on the page."""
    page = plan_page(PLAN, FUTURES, (), (), "Made today.", Form(()))
    assert page.rivals.rows[0][0] == "the plan"
    assert page.worths[0].name == "One more spot"
    assert page.steady.rows[0][1] == "3 small"
    assert page.releases.rows == (("Mon 9 Mar", "Nana, small", "2 offered", "15.00 EUR", "30.00 EUR"),)


def test_the_score_says_how_many_fell_inside() -> None:
    """Share over all kinds, weighed by how many have come out; open ones are counted."""
    lines = (
        ScoreLine("leaves", 40, 30, 0.8, 0.62, 0.91, 2.0, 0.5, 0.9, "leaves", "Good."),
        ScoreLine("ready date", 12, 10, 0.6, 0.3, 0.83, 20.0, 6.0, None, "days"),
    )
    assert score_answer(lines) == (
        "Of 40 forecasts that have come out, 75 % fell inside their 80 % range; 12 are still open."
    )
    assert score_answer(()).startswith("No forecast is kept yet")
    text = render_to_string("score/page.html", {"page": score_page(lines)}, RequestFactory().get("/score/"))
    assert "same as last time: 0.9 leaves" in text
    assert "62 to 91 %" in text


def test_a_what_if_is_held_against_the_plan_that_stands() -> None:
    """More, less or as much, in money; an empty question is refused."""
    better = replace(PLAN, mean_income_minor=PLAN.mean_income_minor + 5000)
    assert compared(better, PLAN) == "It brings 50.00 EUR more than the plan that stands."
    assert compared(PLAN, better) == "It brings 50.00 EUR less than the plan that stands."
    assert compared(PLAN, PLAN) == "It brings as much as the plan that stands."
    assert what_ifs_typed({"weeks": "6", "what_if": " a \n\n b"}) == ("release every 6 weeks", "a", "b")
    with pytest.raises(RefusedInput):
        what_ifs_typed({"what_if": " "})
