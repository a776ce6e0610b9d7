"""The cutting plan: same under other labels and units, proven by duality, sound for odd nurseries, checked always."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import CuttingPlan, PlanFacts, Wish
from halfwater.plain.stock import CuttingHabit
from halfwater.planning.cutting import Solved, plan_cutting, solved_cutting
from halfwater.planning.cutting_check import check_plan
from halfwater.planning.cutting_decisions import Decisions
from halfwater.planning.cutting_stock import scenario_draws, sections_of, stand_of
from halfwater.planning.cutting_weeks import plan_steps, release_weeks
from halfwater.planning.cutting_worth import stage_worths, steady_yield
from tests.planning.cutting_facts import MONDAY, a_nursery, a_pot, a_taxon, doubled, some_facts


def sound(facts: PlanFacts) -> Solved:
    """The plan of the facts, found optimal and without a fault."""
    made = solved_cutting(facts)
    assert made.plan.status == "optimal"
    assert made.plan.faults == ()
    assert made.plan.checked
    assert made.decisions is not None
    return made


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
    """Twice the pots, spots, demand, minutes and kept parents: twice the value where pots need not be whole."""
    facts = a_nursery(weeks=24, near_weeks=0, minutes_a_week=60.0)
    once, twice = sound(facts), sound(doubled(facts))
    assert twice.found.value == pytest.approx(2 * once.found.value, rel=1e-6)


def test_nothing_better_can_exist() -> None:
    """The limits of the relaxed problem at their worths add up to its value: the bound is proven by duality."""
    from halfwater.planning.cutting_model import cutting_desk
    from halfwater.planning.solve import solved

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
        assert float((last @ made.worth).mean()) >= float(made.worth @ stand.counts) - 1e-3


def test_this_week_is_told_by_pot_and_spot() -> None:
    """What leaves today and what is cut is named, each pot once, and each new section has a free spot of its own."""
    facts = a_nursery()
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
    pots = [a_pot(n, 16.0, 3, spot=f"A{n}") for n in (1, 2)]
    facts = some_facts(
        a_taxon(*pots), spots=12, weeks=30, near_weeks=2, habit=CuttingHabit(None, 4, MONDAY, 1)
    )
    cuts = [a for a in sound(facts).plan.actions if a.kind == "cut" and a.named]
    assert cuts
    assert all(action.to_tank == "T1" for action in cuts)


def test_more_scenarios_widen_the_income() -> None:
    """With several growth scenarios the income has a range, and near offers are the same in all of them."""
    made = sound(a_nursery(weeks=40))
    assert made.plan.income_minor.p10 < made.plan.income_minor.p90
    near = [line for line in made.plan.releases if line.offered is not None]
    assert near
    assert all(line.pots.p10 == line.pots.p90 == line.offered for line in near)
    assert all(line.offered is None for line in made.plan.releases if line.on >= MONDAY + timedelta(weeks=4))


# --- odd nurseries ------------------------------------------------------------------------------------------------


def test_no_pots_give_a_plan_that_does_nothing() -> None:
    """An empty floor earns nothing and needs nothing."""
    made = sound(some_facts(a_taxon(), weeks=8))
    assert made.plan.actions == ()
    assert made.plan.mean_income_minor == 0.0


def test_no_taxa_give_a_plan_that_does_nothing() -> None:
    """A nursery without plants has an empty plan."""
    plan = plan_cutting(some_facts(weeks=8))
    assert plan.status == "optimal"
    assert plan.actions == ()


def test_no_prices_sell_nothing() -> None:
    """Without any price nothing is sold, that is said, and the stock does not run down."""
    made = sound(some_facts(a_taxon(a_pot(1, 9.0, 2), a_pot(2, 16.0, 3)), weeks=8, prices=()))
    assert not [action for action in made.plan.actions if action.kind == "sell"]
    assert any("price" in caution for caution in made.plan.cautions)


def test_no_demand_sells_nothing() -> None:
    """A most of nought in every grade sells nothing."""
    facts = some_facts(a_taxon(a_pot(1, 9.0, 2), a_pot(2, 16.0, 3)), weeks=8)
    none = sound(replace(facts, prices=tuple(replace(p, most_per_release=0) for p in facts.prices)))
    assert none.plan.mean_income_minor == 0.0


def test_no_free_spots_cut_nothing_without_a_sale() -> None:
    """On a full floor a section finds a spot only where a pot is sold."""
    pots = [a_pot(n, 16.0, 3) for n in (1, 2, 3)]
    facts = some_facts(a_taxon(*pots), spots=3, weeks=6, near_weeks=6)
    made = sound(facts)
    week = [action for action in made.plan.actions if action.week == 0]
    new = sum(action.sections - action.pots for action in week if action.kind == "cut")
    sold = sum(action.pots for action in week if action.kind == "sell")
    assert new <= sold


def test_more_pots_than_spots_are_told() -> None:
    """A floor that is overfull is planned as it stands: nothing is cut until there is room, and that is said."""
    pots = [a_pot(n, 16.0, 3) for n in (1, 2, 3, 4)]
    made = sound(some_facts(a_taxon(*pots), spots=2, weeks=6, near_weeks=6))
    assert any("4 pots stand on 2 spots" in caution for caution in made.plan.cautions)


def test_overfull_minutes_do_nothing() -> None:
    """No minutes, no deeds."""
    made = sound(a_nursery(minutes_a_week=0.0))
    assert made.plan.mean_income_minor == 0.0


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"weeks": 0}, "weeks"),
        ({"near_weeks": -1}, "near_weeks"),
        ({"scenarios": 0}, "scenarios"),
        ({"habit": CuttingHabit(release_every_weeks=0)}, "release_every_weeks"),
        ({"wishes": (Wish("most pots"),)}, "wish"),
        ({"wishes": (Wish("least sold", amount=float("nan")),)}, "wish, least sold"),
        (
            {"wishes": (Wish("least sold", on=MONDAY + timedelta(weeks=1), amount=1.0),)},
            "wish, least sold, day",
        ),
        ({"wishes": (Wish("least kept", taxon=77, amount=1.0),)}, "wish, least kept, taxon"),
        ({"wishes": (Wish("least sold", grade="huge", amount=1.0),)}, "wish, least sold, grade"),
    ],
)
def test_odd_facts_are_refused(change: dict[str, object], field: str) -> None:
    """A fact outside its range is refused by its name."""
    with pytest.raises(RefusedInput) as refused:
        plan_cutting(replace(a_nursery(), **change))  # type: ignore[arg-type]
    assert refused.value.field == field


def test_negative_prices_and_no_time_are_refused() -> None:
    """A price or a cap below nought, or no time to plan, is refused."""
    facts = a_nursery()
    with pytest.raises(RefusedInput, match="price_minor"):
        plan_cutting(replace(facts, prices=(replace(facts.prices[0], price_minor=-1),)))
    with pytest.raises(RefusedInput, match="most_per_release"):
        plan_cutting(replace(facts, prices=(replace(facts.prices[0], most_per_release=-1),)))
    with pytest.raises(RefusedInput, match="seconds"):
        plan_cutting(facts, seconds=0.0)


# --- wishes -------------------------------------------------------------------------------------------------------


def test_a_wish_that_can_be_kept_is_kept() -> None:
    """At least one small plant in each near release is sold, though large ones pay more."""
    facts = replace(a_nursery(), wishes=(Wish("least sold", taxon=1, grade="small", on=MONDAY, amount=1.0),))
    lines = [x for x in sound(facts).plan.releases if (x.taxon, x.grade, x.on) == (1, "small", MONDAY)]
    assert [line.offered for line in lines] >= [1]


def test_wishes_that_cannot_stand_together_are_named() -> None:
    """Twenty pots sold today stand against the pots there are; the other wish is not named."""
    wishes = (
        Wish("least sold", on=MONDAY, amount=9.0, words="sell nine today"),
        Wish("least kept", taxon=1, amount=6.0, words="keep six of the first"),
        Wish("least kept", taxon=2, amount=6.0, words="keep six of the second"),
        Wish("least income", amount=1.0, words="earn something"),
    )
    facts = a_nursery()
    generous = tuple(replace(p, most_per_release=None) for p in facts.prices)
    plan = plan_cutting(replace(facts, wishes=wishes, prices=generous, near_weeks=1, weeks=4))
    assert plan.status == "infeasible"
    assert plan.actions == ()
    assert "sell nine today" in plan.conflicts
    assert "earn something" not in plan.conflicts


def test_demand_and_minutes_are_named_as_rules() -> None:
    """A wish against the minutes names the minutes; one against the demand names the demand."""
    busy = replace(a_nursery(minutes_a_week=5.0), wishes=(Wish("least sold", on=MONDAY, amount=3.0),))
    assert any("5 minutes" in words for words in plan_cutting(busy).conflicts)
    facts = a_nursery()
    prices = tuple(replace(price, most_per_release=1) for price in facts.prices)
    wish = Wish("least sold", taxon=1, grade="small", on=MONDAY, amount=2.0)
    conflicts = plan_cutting(replace(facts, prices=prices, wishes=(wish,))).conflicts
    assert any("buyers" in words for words in conflicts)
    assert any("small" in words for words in conflicts)


def test_a_wish_against_what_stands_there_says_so() -> None:
    """More large plants wanted today than there are: no rule stands against it but the plants themselves."""
    wish = Wish("least sold", taxon=1, grade="large", on=MONDAY, amount=9.0)
    facts = a_nursery()
    generous = tuple(replace(p, most_per_release=None) for p in facts.prices)
    conflicts = plan_cutting(replace(facts, prices=generous, wishes=(wish,))).conflicts
    assert len(conflicts) == 2
    assert "plants" in conflicts[1]


# --- the verifier -------------------------------------------------------------------------------------------------


def broken(made: Solved, step: int, **change: object) -> Decisions:
    """The decisions with one array of the first taxon made wrong in one step."""
    assert made.decisions is not None
    first = made.decisions.taxa[0]
    arrays = {
        name: tuple(value if n == step else old for n, old in enumerate(getattr(first, name)))
        for name, value in change.items()
    }
    return replace(made.decisions, taxa=(replace(first, **arrays), *made.decisions.taxa[1:]))  # type: ignore[arg-type]


def test_the_verifier_finds_what_is_broken(usual: Solved) -> None:
    """Pots sold that do not stand there, sections from nowhere, fractions near, and a false income are all found."""
    facts = a_nursery(minutes_a_week=90.0, hour_minor=600)
    assert usual.decisions is not None
    first = usual.decisions.taxa[0]
    assert check_plan(facts, usual.decisions, usual.plan.actions) == ()
    more = first.sold[0] + 50.0
    assert any("more is sold" in fault for fault in check_plan(facts, broken(usual, 0, sold=more)))
    made = first.sections[1] + 30.0
    found = check_plan(facts, broken(usual, 1, sections=made))
    assert any("not those that the cut pots give" in fault for fault in found)
    assert any("more pots than spots" in fault for fault in found)
    assert any("more minutes" in fault for fault in found)
    half = first.lines[0] + np.array([0.5, 0.0, 0.0])
    found = check_plan(facts, broken(usual, 0, lines=half))
    assert any("whole pots" in fault for fault in found)
    assert any("not what leaves" in fault for fault in found)
    assert any("income" in fault for fault in found)
    many = first.lines[0] + np.array([0.0, 0.0, 40.0])
    found = check_plan(facts, broken(usual, 0, lines=many))
    assert any("buyers take" in fault for fault in found)
    assert any("above its grade" in fault for fault in found)
    early = first.lines[1] + 1.0
    assert any("without a release" in fault for fault in check_plan(facts, broken(usual, 1, lines=early)))


def test_the_verifier_finds_a_stock_run_down(usual: Solved) -> None:
    """A plan that sells what its end worth needs, and does not say so, is found."""
    facts = a_nursery(minutes_a_week=90.0, hour_minor=600)
    assert usual.decisions is not None
    dearer = tuple(
        replace(t, worth=t.worth + 1e4 * (np.arange(len(t.worth)) >= len(t.worth) - 2))
        for t in usual.decisions.taxa
    )
    found = check_plan(facts, replace(usual.decisions, taxa=dearer))
    assert any("worth less than today's" in fault for fault in found)


def test_the_verifier_finds_wrong_names(usual: Solved) -> None:
    """A pot named twice, a pot that is not there, and a spot given twice are found."""
    facts = a_nursery()
    made = sound(facts)
    assert made.decisions is not None
    actions = made.plan.actions
    place = next(n for n, a in enumerate(actions) if a.kind == "sell" and a.named)
    twice = replace(actions[place], named=actions[place].named * 2)
    found = check_plan(facts, made.decisions, (*actions[:place], twice, *actions[place + 1 :]))
    assert any("named twice" in fault for fault in found)
    strange = replace(actions[place], named=(a_pot(999, 9.0),))
    found = check_plan(facts, made.decisions, (*actions[:place], strange, *actions[place + 1 :]))
    assert any("does not stand there" in fault for fault in found)
    taken = replace(actions[place], kind="cut", named=(), to_tank="T1", to_spots=("A8", "A8"))
    found = check_plan(facts, made.decisions, (taken,))
    assert any("not free" in fault for fault in found)


# --- parts --------------------------------------------------------------------------------------------------------


def test_releases_keep_their_rhythm() -> None:
    """A next release in the past is moved on by whole rhythms; without a date the first is one rhythm away."""
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
                assert worth[stage] >= stand.price[:rank].max() - 1e-6
            if sections > 1:
                assert worth[stage] >= sections * worth[stand.chain.entry] - 1e-6
