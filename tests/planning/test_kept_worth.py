"""What a kept pot is worth, held against the plan's problem solved anew with a little more of it."""

from dataclasses import replace

import numpy as np
import pytest

from halfwater.plain.cutting import PlanFacts
from halfwater.planning.cutting_columns import Model
from halfwater.planning.cutting_decisions import Decisions, decisions_of
from halfwater.planning.cutting_growth import first_grown, powers
from halfwater.planning.cutting_model import cutting_desk
from halfwater.planning.cutting_stock import Stand, scenario_draws, stand_of
from halfwater.planning.cutting_weeks import plan_steps
from halfwater.planning.cutting_worth import stage_worths
from halfwater.planning.kept_worth import kept_worths
from halfwater.planning.solve import Answer, solved
from tests.planning.floors import facts_of

SOME = 0.01  # of a pot
NURSERIES = {"full": {}, "with room": {"spots": 90}, "few buyers": {"spots": 90, "most": 3}}


def modelled(facts: PlanFacts) -> tuple[Decisions, tuple[Stand, ...], Model, Answer]:
    """The plan's problem with parts of pots, so that every limit has its worth, and its answer."""
    draws = scenario_draws(facts)
    steps = plan_steps(facts.on, facts.weeks, facts.near_weeks, facts.habit, False)
    stands = tuple(stand_of(facts, taxon, draws) for taxon in facts.taxa)
    worths = tuple(map(stage_worths, stands))
    model = cutting_desk(facts, steps, stands, worths, len(draws)).finished()
    parts = np.zeros_like(model.problem.is_whole)
    model = replace(model, problem=replace(model.problem, is_whole=parts))
    answer = solved(model.problem)
    return decisions_of(draws, steps, stands, model.columns, worths, answer.x), stands, model, answer


def a_nursery(**more: int) -> PlanFacts:
    """One taxon over 24 weeks in three scenarios."""
    return replace(facts_of((20,), 24, **more), scenarios=3, near_weeks=5)


@pytest.mark.parametrize("name", NURSERIES)
def test_a_little_more_kept_stock_brings_its_worth(name: str) -> None:
    """A hundredth of a pot put in after the release, on a spot of its own, raises the value by its worth."""
    decisions, (stand,), model, before = modelled(a_nursery(**NURSERIES[name]))
    told = {one.grade: one.worth_minor for one in kept_worths(decisions, (stand,), model, before.row_worth)}
    steps, grown = decisions.steps, first_grown(stand)
    at = next(place for place, step in enumerate(steps) if step.releases)
    own = [stage for stage, rank in enumerate(stand.rank) if rank == 2]
    sold = decisions.taxa[0].sold[at].mean(axis=0)[own]
    pots = sold if sold.sum() > 1e-6 else stand.counts[own]
    more = powers(stand, (steps[at],))[steps[at].weeks][:, grown:, own] @ (SOME * pots / pots.sum())
    low, high = model.problem.row_low.copy(), model.problem.row_high.copy()
    for end in (low, high):
        end[model.columns[0].balance[at + 1]] += more
    high[model.spot_rows[at]] -= SOME
    after = solved(replace(model.problem, row_low=low, row_high=high))
    gained = (after.value - before.value) / SOME
    assert max(gained, 0.0) == pytest.approx(told["standard"], rel=0.02, abs=1.0)


def test_without_buyers_a_kept_pot_is_worth_nothing_more() -> None:
    """Where a release sells one pot at most and stock abounds, one more finds neither buyer nor use."""
    decisions, stands, model, answer = modelled(a_nursery(spots=60, most=1))
    worths = kept_worths(decisions, stands, model, answer.row_worth)
    assert [one.worth_minor for one in worths] == [0.0, 0.0, 0.0]


def test_nothing_is_told_where_no_step_follows_a_release() -> None:
    """A plan that was not solved, and one whose releases lie beyond its end, tell of no kept pot."""
    decisions, stands, model, answer = modelled(a_nursery(every=52))
    assert kept_worths(decisions, stands, model, answer.row_worth) == ()
    decisions, stands, model, _ = modelled(a_nursery())
    assert kept_worths(decisions, stands, model, np.zeros(0)) == ()
