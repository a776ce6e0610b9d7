"""Parts of the cutting plan: releases, steps, sections, scenarios, and the stock at rest."""

from datetime import date, timedelta

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.stock import CuttingHabit
from halfwater.planning.cutting_stock import scenario_draws, sections_of, stand_of
from halfwater.planning.cutting_weeks import plan_steps, release_weeks
from halfwater.planning.cutting_worth import steady_yield
from tests.planning.cutting_facts import MONDAY, a_nursery


def test_releases_keep_their_rhythm() -> None:
    """A past release is moved on by whole rhythms; without a date the first is one rhythm away."""
    past = CuttingHabit(release_every_weeks=4, next_release_on=MONDAY - timedelta(weeks=3))
    assert release_weeks(MONDAY, 12, past) == (1, 5, 9)
    assert release_weeks(MONDAY, 12, CuttingHabit(release_every_weeks=4)) == (4, 8)
    assert release_weeks(MONDAY, 4, CuttingHabit(next_release_on=date(2027, 3, 1))) == ()


@pytest.mark.parametrize("every", [1, 2, 3, 4, 6, 9])
@pytest.mark.parametrize("is_coarse", [False, True])
def test_steps_cover_all_weeks_and_all_releases(every: int, is_coarse: bool) -> None:
    """Steps follow each other without a gap, near ones are single weeks, and each release is in one step."""
    habit = CuttingHabit(release_every_weeks=every, next_release_on=MONDAY + timedelta(weeks=2))
    steps = plan_steps(MONDAY, 52, 8, habit, is_coarse)
    weeks = [week for step in steps for week in range(step.start, step.start + step.weeks)]
    assert weeks == list(range(52))
    assert all(step.weeks == 1 for step in steps if step.is_near)
    assert tuple(week for step in steps for week in step.releases) == release_weeks(MONDAY, 52, habit)


def test_sections_by_rhizome_length() -> None:
    """A rhizome of 30 mm that grew 36 mm gives two sections of 30 mm, one that did not grow one."""
    assert sections_of(12.0, 3.0, 30.0, 4.0) == 2
    assert sections_of(2.0, 3.0, 30.0, 4.0) == 1
    with pytest.raises(RefusedInput, match="section_mm"):
        sections_of(5.0, 3.0, 0.0, 4.0)


def test_scenarios_have_the_spread_of_the_draws() -> None:
    """The scenarios are different draws from all parts of the range, the slowest first."""
    facts = a_nursery(scenarios=4)
    draws = scenario_draws(facts)
    assert sorted(draws) == [0, 1, 2, 3]
    speed = np.mean([np.log(np.array(t.draws.leaf_rate_per_30d)[list(draws)]) for t in facts.taxa], axis=0)
    assert (np.diff(speed) >= 0).all()


def test_steady_yield_is_a_stock_at_rest() -> None:
    """What is sold for ever can be earned for ever: no more than the spots allow, and never at a loss."""
    facts = a_nursery()
    told, worths = steady_yield(facts)
    assert sum(one.pots_standing for one in told) <= 19 + 1e-6
    assert sum(one.income_minor_a_month for one in told) > 0
    for one, worth, taxon in zip(told, worths, facts.taxa, strict=True):
        assert one.pots_now == len(taxon.pots)
        assert (worth > 0).all()


def test_a_pot_is_worth_its_sale_its_sections_and_its_next_week() -> None:
    """The worth of a stage is never below what a sale or a cut of it brings, by the worth of a section."""
    facts = a_nursery()
    _, worths = steady_yield(facts)
    for taxon, worth in zip(facts.taxa, worths, strict=True):
        stand = stand_of(facts, taxon, scenario_draws(facts))
        for stage, (rank, sections) in enumerate(zip(stand.rank, stand.sections, strict=True)):
            if rank:
                assert worth[stage] >= stand.price_minor[:rank].max() - 1e-6
            if sections > 1:
                assert worth[stage] >= sections * worth[stand.chain.entry] - 1e-6
