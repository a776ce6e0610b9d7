"""The plan held against its rivals in the same futures, on nurseries of several kinds.

Everything is measured outside the planner: its actions are carried out pot by pot in futures it has not seen.
"""

from dataclasses import replace
from functools import cache

import pytest

from halfwater.plain.cutting import CuttingPlan, PlanFacts, PolicyResult
from halfwater.planning.cutting import is_plan, plan_cutting
from halfwater.planning.futures import run_futures
from tests.planning.floors import facts_of

FUTURES = 150
NURSERIES: dict[str, PlanFacts] = {
    "two taxa, floors nearly full": facts_of((40, 25), 28),
    "floors full": facts_of((40, 28), 28, 2, spots=68, most=None),
    "much room": facts_of((20, 10), 28, 3, spots=90),
    "three quarters of an hour a week": facts_of((24,), 28, 4, spots=30, minutes=45.0),
    "a release every other week": facts_of((30,), 28, 5, spots=34, every=2, most=6),
    "heavy losses": facts_of((30,), 28, 6, spots=34, loss=0.05, settling_loss=0.25),
    "no losses at all": facts_of((30,), 28, 7, spots=40, loss=0.0, settling_loss=0.0),
    "more pots than spots": facts_of((40,), 30, 8, spots=30),
}


@cache
def _tried(name: str) -> tuple[CuttingPlan, tuple[PolicyResult, ...]]:
    facts = replace(NURSERIES[name], scenarios=4, near_weeks=5)
    plan = plan_cutting(facts, seconds=20.0)
    return plan, run_futures(facts, plan, FUTURES)


def _total(result: PolicyResult) -> float:
    return result.mean_income_minor + result.end_worth_minor


@pytest.mark.parametrize("name", NURSERIES)
def test_the_plan_is_worth_at_least_both_rivals(name: str) -> None:
    """On the same futures, income plus the worth of what still stands is never below that of a rival."""
    plan, (own, *rivals) = _tried(name)
    assert is_plan(plan), (plan.status, plan.faults)
    assert [_total(own) >= _total(rival) for rival in rivals] == [True, True]


@pytest.mark.parametrize("name", NURSERIES)
def test_the_plan_does_not_run_the_stock_down(name: str) -> None:
    """The stock ends worth nine tenths of today's at the least, unless the plan warned that it cannot.

    Of more pots than spots only those count that have a spot.
    """
    facts, (plan, (own, *_)) = NURSERIES[name], _tried(name)
    pots, spots = sum(len(taxon.pots) for taxon in facts.taxa), sum(tank.spots for tank in facts.tanks)
    warned = any("ends worth" in caution for caution in plan.cautions)
    assert warned or own.end_worth_minor >= 0.9 * own.start_worth_minor * min(1.0, spots / pots)


@pytest.mark.parametrize("name", NURSERIES)
def test_what_the_plan_promises_is_near_what_it_brings(name: str) -> None:
    """The income that the plan expects is at most a third above what its actions bring in the futures.

    What stands at the end beyond what was asked for is counted in.
    """
    plan, (own, *_) = _tried(name)
    brought = own.mean_income_minor + max(own.end_worth_minor - own.start_worth_minor, 0.0)
    assert plan.mean_income_minor <= 1.33 * brought + 1e-6


def test_a_rival_earns_more_only_by_eating_the_stock() -> None:
    """Where a rival takes more money than the plan, it leaves a stock worth less than the plan does."""
    for name in NURSERIES:
        _, (own, *rivals) = _tried(name)
        for rival in rivals:
            earns_more = rival.mean_income_minor > own.mean_income_minor
            assert not earns_more or rival.end_worth_minor < own.end_worth_minor, name
