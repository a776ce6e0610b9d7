"""The cutting plan: the same under other labels and units, proven by duality, told by pot and spot."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from halfwater.plain.cutting import CuttingPlan, Wish
from halfwater.plain.stock import CuttingHabit, PriceFact
from halfwater.planning.cutting import Solved
from halfwater.planning.cutting_model import cutting_desk
from halfwater.planning.cutting_stock import scenario_draws, stand_of
from halfwater.planning.cutting_weeks import plan_steps
from halfwater.planning.cutting_worth import stage_worths
from halfwater.planning.solve import solved
from tests.planning.cutting_facts import MONDAY, a_nursery, a_pot, a_taxon, doubled, some_facts, sound


@pytest.fixture(scope="module")
def usual() -> Solved:
    """The plan of the usual small nursery."""
    return sound(a_nursery(minutes_a_week=90.0, hour_minor=600))


def of_kind(plan: CuttingPlan, kind: str, week: int) -> list[int]:
    """Keys of the pots named for a kind of action in a week."""
    return [p.key for a in plan.actions if a.kind == kind and a.week == week for p in a.named]


def test_shuffled_labels_change_nothing(usual: Solved) -> None:
    """Taxa, pots and tanks in another order and under other names give the same value."""
    facts = a_nursery(minutes_a_week=90.0, hour_minor=600)
    taxa = tuple(
        replace(
            t, key=9 - t.key, name=f"Other {t.key}", draws=replace(t.draws, taxon=9 - t.key),
            pots=tuple(replace(p, key=500 - p.key, name=f"Z {500 - p.key}") for p in t.pots[::-1]),
        )
        for t in facts.taxa[::-1]
    )  # fmt: skip
    prices = tuple(replace(p, taxon=9 - p.taxon) for p in facts.prices[::-1])
    shuffled = sound(replace(facts, taxa=taxa, tanks=facts.tanks[::-1], prices=prices))
    assert shuffled.found.value == pytest.approx(usual.found.value, rel=2e-6)


def test_doubled_prices_double_the_income(usual: Solved) -> None:
    """Twice the price and twice the worth of an hour: the same pots for twice the money."""
    facts = a_nursery(minutes_a_week=90.0, hour_minor=1200)
    prices = tuple(replace(p, price_minor=2 * p.price_minor) for p in facts.prices)
    dearer = sound(replace(facts, prices=prices))
    assert dearer.found.value == pytest.approx(2 * usual.found.value, rel=2e-6)


def test_a_doubled_nursery_doubles_the_relaxed_plan() -> None:
    """Twice the pots, spots, demand, minutes and kept: twice the value where pots need not be whole."""
    facts = a_nursery(weeks=24, near_weeks=0, minutes_a_week=60.0)
    once, twice = sound(facts), sound(doubled(facts))
    assert twice.found.value == pytest.approx(2 * once.found.value, rel=1e-6)


def test_nothing_better_can_exist() -> None:
    """The limits of the relaxed problem at their worths add up to its value: nothing is better."""
    facts = a_nursery(weeks=40, scenarios=4)
    draws = scenario_draws(facts)
    stands = tuple(stand_of(facts, taxon, draws) for taxon in facts.taxa)
    steps = plan_steps(facts.on, facts.weeks, facts.near_weeks, facts.habit)
    model = cutting_desk(facts, steps, stands, tuple(map(stage_worths, stands)), len(draws)).finished()
    relaxed = replace(model.problem, is_whole=np.zeros_like(model.problem.is_whole))
    answer = solved(relaxed, way="ipm")
    rows = np.where(answer.row_worth > 0, relaxed.row_high, relaxed.row_low)
    columns = np.where(answer.reduced > 0, relaxed.high, relaxed.low)
    used, held = np.abs(answer.row_worth) > 1e-7, np.abs(answer.reduced) > 1e-7
    dual = answer.row_worth[used] @ rows[used] + answer.reduced[held] @ columns[held]
    assert dual == pytest.approx(answer.value, rel=1e-6)


def test_worths_are_what_more_would_bring() -> None:
    """One spot more, where all may be decided anew, brings what its worth says, and never more."""
    facts = a_nursery(weeks=30, near_weeks=0)
    made = sound(facts)
    spot = made.plan.worths[0].worth_minor
    more = replace(facts, tanks=(replace(facts.tanks[0], spots=11), *facts.tanks[1:]))
    gain = sound(more).found.value - made.found.value
    assert 0 <= gain <= spot * (1 + 1e-6) + 1e-6
    assert gain > 0.5 * spot


def test_the_stock_never_runs_down(usual: Solved) -> None:
    """On the mean of the scenarios each taxon's stock ends worth at least what it is worth today."""
    assert usual.decisions is not None
    for stand, made in zip(usual.stands, usual.decisions.taxa, strict=True):
        last = np.einsum("wij,wj->wi", stand.weekly, made.stock[-1])
        for _ in range(usual.decisions.steps[-1].weeks - 1):
            last = np.einsum("wij,wj->wi", stand.weekly, last)
        assert made.short_minor == pytest.approx(0.0, abs=1e-6)
        assert float((last @ made.worth_minor).mean()) >= float(made.worth_minor @ stand.counts) - 1e-3


def test_this_week_is_told_by_pot_and_spot() -> None:
    """What leaves today and what is cut is named, each pot once, and each new section has a spot."""
    facts = replace(a_nursery(), wishes=(Wish("least sold", on=MONDAY, amount=2.0),))
    made = sound(facts)
    today = [action for action in made.plan.actions if action.week == 0]
    assert {action.kind for action in today} >= {"sell", "keep"}
    for action in today:
        assert len(action.named) == action.pots, action.kind
        if action.kind == "cut":
            assert len(action.to_spots) == action.sections - action.pots
    sold, cut = of_kind(made.plan, "sell", 0), of_kind(made.plan, "cut", 0)
    assert len(sold + cut) == len(set(sold + cut))
    best = {stand.keepers[0] for stand in made.stands}
    assert not best & set(sold)


def test_slow_pots_are_sold_and_quick_ones_kept() -> None:
    """Of pots alike in size the slowest are sold, and the best parent stays."""
    pots = [a_pot(n, 12.0, 2, rate_factor=pace) for n, pace in enumerate((1.3, 0.6, 1.0, 0.8), 1)]
    wishes = (Wish("least sold", on=MONDAY, amount=2.0),)
    sold = of_kind(sound(some_facts(a_taxon(*pots), weeks=4, near_weeks=4, wishes=wishes)).plan, "sell", 0)
    assert len(sold) >= 2
    slowest = [0.6, 0.8, 1.0][: len(sold)]
    assert sorted(pot.rate_factor for pot in pots if pot.key in sold) == slowest


def test_new_sections_stay_near_their_parent() -> None:
    """Sections go to the parent's own tank while it has room."""
    pots = [a_pot(n, 30.0, 6, spot=f"A{n}") for n in (1, 2)]
    large = (PriceFact(1, "standard", 1000),)
    facts = some_facts(
        a_taxon(*pots), spots=12, weeks=30, near_weeks=2, prices=large, habit=CuttingHabit(None, 4, MONDAY, 1)
    )
    cuts = [a for a in sound(facts).plan.actions if a.kind == "cut" and a.named]
    assert cuts
    assert all(action.to_tank == "T1" for action in cuts)


def test_more_scenarios_widen_the_income() -> None:
    """With several growth scenarios the income has a range, and near offers are the same in all of them."""
    made = sound(replace(a_nursery(weeks=40), wishes=(Wish("least sold", on=MONDAY, amount=2.0),)))
    assert made.plan.income_minor.p10 < made.plan.income_minor.p90
    near = [line for line in made.plan.releases if line.offered is not None]
    assert near
    assert all(line.pots.p10 == line.pots.p90 == line.offered for line in near)
    assert all(line.offered is None for line in made.plan.releases if line.on >= MONDAY + timedelta(weeks=4))


def test_long_rhizomes_may_wait() -> None:
    """What a measured rhizome gives beyond its leaves is not lost by waiting, and is given once."""
    pots = [a_pot(n, 12.0, 5) for n in (1, 2)]
    facts = some_facts(a_taxon(*pots), spots=14, weeks=20, near_weeks=4, habit=CuttingHabit(None, 8, None, 1))
    free = sound(facts)
    assert free.decisions is not None
    stand, made = free.stands[0], free.decisions.taxa[0]
    assert max(stand.extras) == 5 - stand.sections[stand.groups[0].stage] > 0
    taken = sum(float(extra[0]) for extra in made.extra)
    left = sum(e * (g.pots - c) for e, g, c in zip(stand.extras, stand.groups, made.cut_today, strict=True))
    assert taken <= left + 1e-6
    assert sum(float(s[0]) for s in made.sections) > 0
