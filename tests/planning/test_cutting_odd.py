"""Cutting plans of odd nurseries, and wishes that can and cannot stand together."""

from dataclasses import replace
from datetime import timedelta

import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import Wish
from halfwater.plain.stock import CuttingHabit
from halfwater.planning.cutting import plan_cutting
from tests.planning.cutting_facts import MONDAY, a_nursery, a_pot, a_taxon, some_facts, sound


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
    """An overfull floor is planned as it stands: nothing is cut until there is room, and that is said."""
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
