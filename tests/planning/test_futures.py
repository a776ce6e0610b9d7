"""The futures: every pot accounted for, floors never overfull, the same chance for all policies."""

from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import Action, PlanFacts, ReleaseLine
from halfwater.plain.growing import Span
from halfwater.plain.stock import GRADES, CuttingHabit
from halfwater.planning.futures import run_futures
from halfwater.planning.futures_floor import Floor, world_of
from halfwater.planning.policies import FollowPlan, Policy, SellReady, played
from halfwater.planning.whole_pots import Counts
from halfwater.science.stage_chain import stage_chain
from tests.planning.floors import SIZES, empty_plan, facts_of


@dataclass(frozen=True)
class Nothing:
    """Neither sells nor cuts."""

    name: str = "nothing"
    cuts_first: bool = False

    def kept(self, floor: Floor, taxon: int) -> Counts:
        """No pot is asked for."""
        return np.zeros(floor.world.futures, dtype=np.int64)

    def wanted(self, floor: Floor, taxon: int, week: int) -> Counts:
        """No pot is wanted."""
        return np.zeros((floor.world.futures, len(GRADES)), dtype=np.int64)

    def cut(self, floor: Floor, week: int, freed: Counts) -> None:
        """No pot is cut."""
        assert not freed.any()


def _policies(facts: PlanFacts, futures: int) -> list[tuple[Policy, Floor]]:
    world = world_of(facts, futures)
    near = [
        Action(week, facts.on, "cut", taxon.key, taxon.name, "", 3, 6)
        for week in range(4) for taxon in facts.taxa
    ]  # fmt: skip
    releases = [
        ReleaseLine(
            facts.on + timedelta(weeks=week), taxon.key, taxon.name, grade, Span(2, 4, 6), offered, 900, 1.0
        )
        for week, offered in ((4, 3), (8, None), (12, None))
        for taxon in facts.taxa
        for grade in GRADES
    ]
    plan = replace(empty_plan(facts), actions=tuple(near), releases=tuple(releases))
    policies = [FollowPlan(plan, world), SellReady("all", 0.0), SellReady("fifth", 0.2), Nothing()]
    return [(policy, played(world, policy)) for policy in policies]


@given(
    pots=st.lists(st.integers(0, 45), min_size=1, max_size=3),
    spots=st.integers(1, 120), seed=st.integers(0, 99),
    minutes=st.sampled_from([None, 0.0, 30.0, 120.0]), every=st.integers(1, 6),
    most=st.sampled_from([None, 0, 5]), loss=st.sampled_from([0.0, 0.02, 0.2]),
)  # fmt: skip
@settings(max_examples=15, deadline=None)
def test_every_pot_is_standing_sold_lost_or_cut(
    pots: list[int], spots: int, seed: int, minutes: float | None, every: int, most: int | None, loss: float
) -> None:
    """In every future of every policy each pot ends in one place, and no floor is ever overfull."""
    facts = facts_of(tuple(pots), 16, seed, spots=spots, minutes=minutes, every=every, most=most, loss=loss)
    for policy, floor in _policies(facts, 20):
        made = sum(pots) + floor.made
        assert (made == floor.standing() + floor.sold + floor.lost + floor.cut).all(), policy.name
        assert (floor.pots >= 0).all()
        assert (floor.fullest <= max(spots, sum(pots))).all(), policy.name
        assert minutes != 0.0 or not (floor.made.any() or floor.sold.any())
        assert most != 0 or not floor.sold.any()


def test_doing_nothing_is_on_average_what_the_matrix_says() -> None:
    """Neither sale nor cut: the mean stock is each draw's matrix carried on, to four errors."""
    facts = facts_of((40, 25), 20)
    floor = played(world := world_of(facts, 2000), Nothing())
    for place, stand in enumerate(world.stands):
        draws = stand.taxon.draws
        chains = stage_chain(
            SIZES, 3.0, draws.leaf_rate_per_30d, draws.lag_days,
            draws.settling_loss_frac, draws.loss_per_30d_frac,
            draws.leaf_life_days, draws.tips_per_30d, 7.0 * facts.weeks,
        )  # fmt: skip
        said = (chains.matrix @ stand.counts).mean(axis=0)
        pots = floor.pots[:, world.taxon_of == place].sum(axis=1)
        error = np.sqrt(np.maximum(pots.var(axis=0), said) / world.futures)
        assert (np.abs(pots.mean(axis=0) - said) <= 4 * error + 1e-9).all()


def test_without_loss_nothing_is_lost() -> None:
    """No losses, no sale, no cut: every pot still stands in every future."""
    floor = played(world_of(facts_of((30,), 40, loss=0.0, settling_loss=0.0), 50), Nothing())
    assert (floor.standing() == 30).all()
    assert not floor.lost.any()


def test_the_same_seed_gives_the_same_futures() -> None:
    """A second run is the same to the pot; another seed is another run."""
    facts = facts_of((40,), 20)
    first, again = (played(world_of(facts, 40), SellReady("all", 0.0)) for _ in range(2))
    other = played(world_of(replace(facts, seed=2), 40), SellReady("all", 0.0))
    assert (first.pots == again.pots).all()
    assert (first.income_minor == again.income_minor).all()
    assert not (first.pots == other.pots).all()


def test_policies_that_do_the_same_fare_the_same() -> None:
    """Where no one buys and no one cuts, both rivals end with the very pots of doing nothing."""
    facts = facts_of((40, 25), 20, most=0, minutes=0.0)
    ends = [floor.pots for policy, floor in _policies(facts, 30) if policy.name != "the plan"]
    assert (ends[0] == ends[2]).all()
    assert (ends[1] == ends[2]).all()


def test_the_plan_sells_and_cuts_to_the_letter_when_the_pots_are_there() -> None:
    """With pots enough, the near weeks' sales and cuts are exactly those of the plan."""
    facts = replace(facts_of((60,), 5, spots=200, most=None, loss=0.0, settling_loss=0.0), near_weeks=5)
    line = ReleaseLine(
        facts.on + timedelta(weeks=4), 1, "Anubias nana", "small", Span(7, 7, 7), 7, 600, 4200.0
    )
    cut = Action(1, facts.on + timedelta(weeks=1), "cut", 1, "Anubias nana", "", 3, 6)
    world = world_of(facts, 60)
    plan = replace(empty_plan(facts), releases=(line,), actions=(cut,))
    floor = played(world, FollowPlan(plan, world))
    assert (floor.sold == 7).all()
    assert (floor.cut == 3).all()
    assert (floor.made == 6).all()
    assert (floor.income_minor == 7 * 600).all()


def test_parents_are_never_sold() -> None:
    """However eagerly one sells, the least number of parents still stands where nothing is lost."""
    facts = facts_of((20,), 30, most=None, minutes=None, spots=20, loss=0.0, settling_loss=0.0)
    kept = replace(facts, habit=CuttingHabit(None, 1, None, 6))
    assert (played(world_of(kept, 60), SellReady("all", 0.0)).standing() >= 6).all()


def test_keeping_a_fifth_keeps_more_and_sells_less_at_first() -> None:
    """At the first release "keep a fifth" holds back a fifth of the ready pots, rounded up."""
    facts = facts_of((60,), 5, most=None, minutes=8 * 40.0)
    world = world_of(facts, 100)
    every, fifth = (played(world, SellReady("it", share)) for share in (0.0, 0.2))
    assert (fifth.sold <= every.sold).all()
    assert fifth.sold.mean() < every.sold.mean()


def test_results_tell_income_and_end_worth() -> None:
    """Each policy has its name, ordered quantiles, and the same worth at the start."""
    facts = facts_of()
    results = run_futures(facts, empty_plan(facts), 50)
    assert [result.name for result in results] == ["the plan", "sell all that is ready", "keep a fifth"]
    assert len({result.start_worth_minor for result in results}) == 1
    for result in results:
        assert result.income_minor.p10 <= result.income_minor.p50 <= result.income_minor.p90
        assert 0.0 <= result.p_end_below_start_frac <= 1.0
    assert results[0].sold == 0.0
    assert results[1].mean_income_minor > 0.0


def test_an_empty_nursery_has_futures_too() -> None:
    """No taxa: nothing is sold and nothing is worth anything."""
    facts = facts_of(())
    for result in run_futures(facts, empty_plan(facts), 5):
        assert (result.mean_income_minor, result.end_worth_minor, result.sold) == (0.0, 0.0, 0.0)


def test_a_plan_of_other_facts_is_refused() -> None:
    """No futures, and a plan of another day, are refused by name."""
    facts = facts_of((5,), 4)
    with pytest.raises(RefusedInput, match="futures"):
        run_futures(facts, empty_plan(facts), 0)
    with pytest.raises(RefusedInput, match="plan"):
        run_futures(facts, replace(empty_plan(facts), weeks=9), 5)
