"""The verifier passes sound plans and finds each kind of broken one."""

from dataclasses import replace

import numpy as np
import pytest

from halfwater.plain.cutting import Wish
from halfwater.planning.cutting import Solved
from halfwater.planning.cutting_check import check_plan
from halfwater.planning.cutting_decisions import Decisions
from tests.planning.cutting_facts import MONDAY, a_nursery, a_pot, sound


@pytest.fixture(scope="module")
def usual() -> Solved:
    """The plan of the usual small nursery."""
    return sound(a_nursery(minutes_a_week=90.0, hour_minor=600))


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
    """Pots sold that are not there, sections from nowhere, near fractions, a false income: all found."""
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
    found = check_plan(facts, broken(usual, 1, extra=first.extra[1] + 40.0))
    assert any("today's rhizomes" in fault for fault in found)
    early = first.lines[1] + 1.0
    assert any("without a release" in fault for fault in check_plan(facts, broken(usual, 1, lines=early)))


def test_the_verifier_finds_a_stock_run_down(usual: Solved) -> None:
    """A plan that sells what its end worth needs, and does not say so, is found."""
    facts = a_nursery(minutes_a_week=90.0, hour_minor=600)
    assert usual.decisions is not None
    dearer = tuple(
        replace(
            t, worth_minor=t.worth_minor + 1e4 * (np.arange(len(t.worth_minor)) >= len(t.worth_minor) - 2)
        )
        for t in usual.decisions.taxa
    )
    found = check_plan(facts, replace(usual.decisions, taxa=dearer))
    assert any("worth less than today's" in fault for fault in found)


def test_the_verifier_finds_wrong_names(usual: Solved) -> None:
    """A pot named twice, a pot that is not there, and a spot given twice are found."""
    facts = replace(a_nursery(), wishes=(Wish("least sold", on=MONDAY, amount=2.0),))
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
