"""The population view of today's habits: matrix, growth, and where care pays."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import Action, ReleaseLine
from halfwater.plain.growing import Span
from halfwater.planning.cutting_stock import stand_of
from halfwater.planning.habits import FASTER, FEWER, PastHabit, habit_of_plan, habit_views
from halfwater.science.stages import project
from tests.planning.floors import empty_plan, facts_of

PAST = PastHabit(1, 84.0, {"standard": 9.0, "large": 6.0}, 9.0, 20.0)


def test_growth_is_that_of_the_stock_carried_on() -> None:
    """Carried on three hundred times, the stock grows by what the view says, in its structure."""
    view = habit_views(facts_of((60,)), [PAST])[0]
    stand = stand_of(facts_of((60,)), facts_of((60,)).taxa[0], (0,))
    ahead = project(view.matrix, stand.counts, 300)
    assert view.is_settling_down
    assert (ahead[-1].sum() / ahead[-2].sum()) ** (30 / 28) == pytest.approx(view.growth_a_month, rel=1e-9)
    assert ahead[-1] / ahead[-1].sum() == pytest.approx(view.stable, abs=1e-9)
    assert sum(view.stable) == pytest.approx(1.0)
    assert sum(view.standing) == pytest.approx(1.0)
    assert np.sum(view.elasticities) == pytest.approx(1.0)


def test_four_weeks_without_habit_are_the_chain() -> None:
    """Nothing cut and nothing sold: the matrix is that of growth alone, over four weeks."""
    facts = facts_of((60,))
    view = habit_views(facts, ())[0]
    weekly = stand_of(facts, facts.taxa[0], (0,)).chain.matrix
    assert np.array(view.matrix) == pytest.approx(np.linalg.matrix_power(weekly, 4), abs=1e-12)
    assert view.pays == ()
    assert "none was cut" in view.said


def test_without_loss_or_sale_the_stock_gains_exactly_the_sections() -> None:
    """No loss and no sale: over four weeks each column gains what its cuts make beyond the pots they take."""
    facts = facts_of((60,), loss=0.0, settling_loss=0.0)
    view = habit_views(facts, [PastHabit(1, 28.0, {}, 5.0, 15.0)])[0]
    stand = stand_of(facts, facts.taxa[0], (0,))
    before = stand.counts
    after = np.array(view.matrix) @ before
    cut_share = 5.0 / (5.0 + before[list(stand.cut_stages)].sum())
    cut = cut_share * before[list(stand.cut_stages)].sum()
    own = np.mean(np.array(stand.sections, dtype=float)[list(stand.cut_stages)])
    least, most = (edge * 3.0 / own for edge in (2, max(stand.sections)))
    gained = after.sum() - before.sum()
    assert cut * (least - 1) - 1e-9 <= gained <= cut * (most - 1) + 1e-9
    assert view.growth_a_month > 1.0


def test_selling_more_makes_the_stock_grow_less() -> None:
    """Each pot more that is sold of what could be cut lowers growth; none lifts it."""
    facts = facts_of((60,))
    growth = [
        habit_views(facts, [replace(PAST, sold={"large": float(sold)})])[0].growth_a_month
        for sold in (0, 2, 8, 20)
    ]
    assert growth == sorted(growth, reverse=True)
    assert growth[0] > growth[-1]


def test_where_care_pays_is_what_care_does() -> None:
    """A fiftieth less loss everywhere, made by hand, lifts growth by the sum of the elasticities."""
    facts = facts_of((60,), loss=0.05)
    taxon = facts.taxa[0]
    less = replace(
        taxon.draws,
        loss_per_30d_frac=tuple(1 - (1 - x) ** 0.98 for x in taxon.draws.loss_per_30d_frac),
        settling_loss_frac=tuple(0.98 * x for x in taxon.draws.settling_loss_frac),
    )
    view = habit_views(facts, [PAST])[0]
    better = habit_views(replace(facts, taxa=(replace(taxon, draws=less),)), [PAST])[0]
    gained = np.log(better.growth_a_month / view.growth_a_month) * 28 / 30
    told = 0.02 * sum(pay.elasticity for pay in view.pays if pay.care == FEWER)
    assert gained == pytest.approx(told, rel=0.05)
    assert all(pay.elasticity >= 0 for pay in view.pays if pay.care == FEWER)
    assert {pay.care for pay in view.pays} == {FEWER, FASTER}


@given(
    days=st.floats(7.0, 400.0), sold=st.floats(0.0, 500.0), cut=st.floats(0.0, 300.0),
    each=st.floats(1.0, 5.0), pots=st.integers(0, 50),
)  # fmt: skip
@settings(max_examples=15, deadline=None)
def test_any_past_gives_a_sound_matrix(days: float, sold: float, cut: float, each: float, pots: int) -> None:
    """Whatever was cut and sold, no entry is negative and no pot is kept, cut and sold more than once."""
    past = PastHabit(1, days, {"small": sold, "large": sold}, cut, cut * each)
    view = habit_views(facts_of((pots,)), [past])[0]
    matrix = np.array(view.matrix)
    assert (matrix >= 0).all()
    assert (matrix.sum(axis=0) <= 1.0 + max(8.0 * each, 8.0)).all()
    assert np.isfinite(view.growth_a_month)
    assert view.said.startswith("Anubias nana")


def test_a_plan_is_read_as_a_habit() -> None:
    """Offers, medians of later releases, and cuts of the first twelve weeks are what the plan does."""
    facts = facts_of((60,), 30)
    weeks = [facts.on + timedelta(weeks=week) for week in (4, 8, 16)]
    lines = [
        ReleaseLine(on, 1, "Anubias nana", "small", Span(1, 5, 9), offered, 600, 1.0)
        for on, offered in zip(weeks, (3, None, 50), strict=True)
    ]
    cuts = [Action(week, facts.on + timedelta(weeks=week), "cut", 1, "", "", 2, 5) for week in (0, 3, 20)]
    plan = replace(empty_plan(facts), releases=tuple(lines), actions=tuple(cuts))
    assert habit_of_plan(facts, plan) == (PastHabit(1, 84.0, {"small": 8.0}, 4.0, 10.0),)


@pytest.mark.parametrize(
    ("field", "past"),
    [
        ("days", PastHabit(1, 0.0)), ("days", PastHabit(1, float("nan"))),
        ("cut", PastHabit(1, 7.0, {}, -1.0)),
        ("small", PastHabit(1, 7.0, {"small": float("nan")})),
        ("sections", PastHabit(1, 7.0, {}, 1.0, -2.0)),
    ],
)  # fmt: skip
def test_an_impossible_past_is_refused(field: str, past: PastHabit) -> None:
    """No days, negative pots and nan are refused by name."""
    with pytest.raises(RefusedInput) as refused:
        habit_views(facts_of((5,)), [past])
    assert refused.value.field == field
