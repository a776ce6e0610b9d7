"""Every small plan against all that could have been done instead."""

from dataclasses import replace
from itertools import combinations_with_replacement, product

import numpy as np
import pytest
from scipy.optimize import linprog

from halfwater.plain.cutting import PlanFacts, PlanPot
from halfwater.plain.stock import CuttingHabit
from halfwater.planning import cutting_model
from halfwater.planning.cutting import solved_cutting
from halfwater.planning.cutting_stock import scenario_draws, stand_of
from halfwater.planning.cutting_worth import stage_worths
from halfwater.science.stage_chain import stage_of
from tests.planning.cutting_facts import MONDAY, a_pot, a_taxon, some_draws, some_facts

KINDS = ((3.0, 1, False), (6.0, 1, True), (9.0, 3, True), (16.0, 4, True))
PRICES = np.array([510.0, 810.0, 1210.0])
SELL_MIN, CUT_MIN, BATCH_MIN = 5.0, 2.5, 20.0
CASES = [kinds for size in (0, 1, 2) for kinds in combinations_with_replacement(range(4), size)]
LARGER = [(1, 2, 3), (2, 2, 3), (0, 3, 3)]


def pots_of(kinds: tuple[int, ...]) -> tuple[PlanPot, ...]:
    """Pots of the kinds named."""
    return tuple(
        a_pot(key, KINDS[kind][0], KINDS[kind][1], is_settled=KINDS[kind][2], age_days=10.0)
        for key, kind in enumerate(kinds, start=1)
    )


def best_by_trial(facts: PlanFacts) -> float:
    """The best value among all whole decisions of two weeks, stages of the second week shared out at best."""
    taxon = facts.taxa[0]
    stand = stand_of(facts, taxon, scenario_draws(facts))
    ranks = np.array([("", "small", "standard", "large").index(grade) for grade in stand.chain.grade])
    gives = np.array([int((30 + max(leaves - 3, 0) * 6) / 30 + 1e-9) for leaves in stand.chain.lowest_leaves])
    worth = stage_worths(stand)
    best = -np.inf
    for deeds in product(("stay", "sell", "cut"), repeat=len(taxon.pots)):
        today = _today(facts, deeds, stand.chain, ranks, gives)
        if today is None:
            continue
        income, minutes_value, stock, extras = today
        best = max(
            best, income + minutes_value + _next_week(facts, stand, stock, ranks, gives, worth, extras)
        )
    return best


def _today(facts, deeds, chain, ranks, gives):  # type: ignore[no-untyped-def]
    """Income and stock after one way of treating each pot, or None where a rule forbids it."""
    taxon, habit = facts.taxa[0], facts.habit
    order = sorted(
        taxon.pots, key=lambda p: (not p.is_kept, -p.sections, -p.rate_factor, -p.leaves, p.name, p.key)
    )
    keepers = {pot.key for pot in order[: habit.least_kept]}
    stock, income, sold, sections, extras = np.zeros(len(ranks)), 0.0, 0, 0, [0]
    for pot, deed in zip(taxon.pots, deeds, strict=True):
        stage = stage_of(chain, pot.leaves, pot.is_settled, pot.age_days)
        if deed == "stay":
            stock[stage] += 1
            extras.append(max(pot.sections - gives[stage], 0))
        elif deed == "sell":
            if pot.key in keepers or ranks[stage] == 0:
                return None
            income, sold = income + PRICES[ranks[stage] - 1], sold + 1
        elif pot.sections < 2:
            return None
        else:
            stock[chain.entry] += pot.sections
            sections += pot.sections
    if stock.sum() > facts.tanks[0].spots + 1e-9:
        return None
    minutes = sold * SELL_MIN + sections * CUT_MIN + BATCH_MIN * (sections > 0)
    if habit.minutes_a_week is not None and minutes > habit.minutes_a_week:
        return None
    stages = [stage_of(chain, pot.leaves, pot.is_settled, pot.age_days) for pot in taxon.pots]
    most = max((pot.sections - gives[at] for pot, at in zip(taxon.pots, stages, strict=True)), default=0)
    return income, -minutes * (habit.hour_minor or 0) / 60, stock, (sum(extras), max(most, 0))


def _next_week(facts, stand, stock, ranks, gives, worth, extras):  # type: ignore[no-untyped-def]
    """The best of the second week, over whole numbers of pots sold by grade and cut by sections."""
    before = stand.weekly[0] @ stock
    sellable, cuttable = np.flatnonzero(ranks > 0), np.flatnonzero(gives > 1)
    kinds = sorted(set(gives[cuttable]))
    most = int(before.sum() + 1e-9)
    best = -np.inf
    for amounts in product(range(most + 1), repeat=3 + len(kinds)):
        if sum(amounts) > most:
            continue
        lines, cuts = np.array(amounts[:3]), np.array(amounts[3:])
        sections = int(cuts @ np.array(kinds, dtype=int)) if len(kinds) else 0
        places = (sellable, cuttable, kinds, ranks, gives, worth)
        for more in range(min(extras[0], extras[1] * int(cuts.sum())) + 1):
            best = max(best, _second(facts, stand, before, lines, cuts, sections + more, places))
    return best


def _second(facts, stand, before, lines, cuts, sections, places):  # type: ignore[no-untyped-def]
    """Value of one whole decision of the second week, or minus infinity where it cannot be done."""
    sellable, cuttable, kinds, ranks, gives, worth = places
    habit = facts.habit
    minutes = lines.sum() * SELL_MIN + sections * CUT_MIN + BATCH_MIN * (sections > 0)
    if habit.minutes_a_week is not None and minutes > habit.minutes_a_week + 1e-9:
        return -np.inf
    idle = (stand.weekly[0] @ stand.counts).sum()
    after = before.sum() - lines.sum() - cuts.sum() + sections
    if after > max(facts.tanks[0].spots, idle) + 1e-9:
        return -np.inf
    if after < min(habit.least_kept, idle) - 1e-9:
        return -np.inf
    count = len(sellable) + len(cuttable)
    equal, equal_to = [np.r_[np.ones(len(sellable)), np.zeros(len(cuttable))]], [lines.sum()]
    for kind, pots in zip(kinds, cuts, strict=True):
        equal.append(np.r_[np.zeros(len(sellable)), (gives[cuttable] == kind).astype(float)])
        equal_to.append(pots)
    upper, upper_to = [], []
    for rank in (2, 3):
        upper.append(-np.r_[(ranks[sellable] >= rank).astype(float), np.zeros(len(cuttable))])
        upper_to.append(-lines[rank - 1 :].sum())
    for stage in range(len(before)):
        upper.append(np.r_[(sellable == stage).astype(float), (cuttable == stage).astype(float)])
        upper_to.append(before[stage])
    lost = worth @ stand.weekly[0]
    cost = np.r_[lost[sellable], lost[cuttable]] if count else np.zeros(0)
    answer = linprog(cost, np.array(upper), upper_to, np.array(equal), equal_to) if count else None
    if answer is None or not answer.success:
        return -np.inf
    end = lost @ before - answer.fun + lost[stand.chain.entry] * sections
    short = max(float(worth @ stand.counts) - end, 0.0)
    return float(PRICES @ lines) - minutes * (habit.hour_minor or 0) / 60 - cutting_model.SHORT_FACTOR * short


@pytest.mark.parametrize("spots", [2, 6])
@pytest.mark.parametrize("minutes", [None, 30.0])
@pytest.mark.parametrize(("short_factor", "kept"), [(5.0, 1), (0.6, 0), (0.3, 0)])
def test_no_small_plan_could_be_better(
    spots: int, minutes: float | None, short_factor: float, kept: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Up to two pots of four kinds, two weeks: the plan is the best of all whole decisions, exactly.

    With the end worth at its full price little is sold in two weeks; at a lower one much is sold and cut.
    """
    monkeypatch.setattr(cutting_model, "SHORT_FACTOR", short_factor)
    habit = CuttingHabit(minutes, 1, MONDAY, least_kept=kept)
    deeds = 0.0
    for kinds in CASES:
        facts = some_facts(a_taxon(*pots_of(kinds)), spots=spots, habit=habit)
        answer = solved_cutting(facts)
        assert answer.plan.status == "optimal", kinds
        assert answer.plan.faults == (), kinds
        assert answer.found.value == pytest.approx(best_by_trial(facts), rel=1e-6, abs=1e-3), kinds
        deeds += sum(action.pots for action in answer.plan.actions if action.kind in ("sell", "cut"))
    assert deeds >= (8 if short_factor < 0.5 else 0)


@pytest.mark.parametrize("kinds", LARGER)
@pytest.mark.parametrize("short_factor", [5.0, 0.7])
def test_no_plan_of_three_pots_could_be_better(
    kinds: tuple[int, ...], short_factor: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three pots with a worth of the hour: again the best of all whole decisions."""
    monkeypatch.setattr(cutting_model, "SHORT_FACTOR", short_factor)
    habit = CuttingHabit(None, 1, MONDAY, least_kept=1, hour_minor=900)
    facts = some_facts(a_taxon(*pots_of(kinds)), spots=7, habit=habit)
    answer = solved_cutting(facts)
    assert answer.plan.faults == ()
    assert answer.found.value == pytest.approx(best_by_trial(facts), rel=1e-6, abs=1e-3)


def test_two_scenarios_share_what_both_can_keep() -> None:
    """With a slow and a quick scenario the plan is no better than with the mean income of each alone."""
    draws = some_draws(count=2)
    taxon = a_taxon(*pots_of((1, 2, 3)), draws=draws)
    both = solved_cutting(some_facts(taxon, scenarios=2))
    alone = [
        solved_cutting(some_facts(replace(taxon, draws=one_draw(draws, place)))).found.value
        for place in (0, 1)
    ]
    assert both.plan.faults == ()
    assert both.plan.income_minor.p10 == pytest.approx(both.plan.income_minor.p90)
    assert np.isfinite(alone).all()


def one_draw(draws, place):  # type: ignore[no-untyped-def]
    """One of the draws alone."""
    return replace(
        draws, leaf_rate_per_30d=(draws.leaf_rate_per_30d[place],), lag_days=(draws.lag_days[place],),
        settling_loss_frac=(draws.settling_loss_frac[place],),
        loss_per_30d_frac=(draws.loss_per_30d_frac[place],),
    )  # fmt: skip
