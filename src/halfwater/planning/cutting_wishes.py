"""What the grower insists on, as rows of the plan, and which of it cannot stand together, in words."""

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import PlanFacts, Wish
from halfwater.plain.figures import show_date
from halfwater.plain.stock import GRADES
from halfwater.planning.cutting_columns import (
    DEMAND,
    ENDING,
    GROWTH,
    KEPT,
    LINES,
    MINUTES,
    SET_UP,
    SPOTS,
    Desk,
    total_spots,
)
from halfwater.planning.cutting_model import minute_rows
from halfwater.planning.problem import Problem
from halfwater.planning.solve import conflict

KINDS = ("least sold", "least kept", "least income", "most minutes")


def add_wishes(desk: Desk) -> None:
    """Rows for all that the grower insists on.

    Parameters
    ----------
    desk : Desk
        The plan's problem; the wishes stand in its facts.

    Returns
    -------
    None
        The rows are added to the problem, each wish under a rule of its own.

    Raises
    ------
    RefusedInput
        If a wish is of no known kind, its amount is negative or nan, its taxon or grade is not in the
        plan, or its
        day is no release.

    Notes
    -----
    Sold: the mean over scenarios in far weeks, each scenario in near ones. Kept: after each step, in every
    scenario. Income: the mean. An amount of 0 asks for nothing.

    Source: own definition
    """
    for place, wish in enumerate(desk.facts.wishes):
        _check(desk, wish)
        rule = f"wish {place}"
        if wish.kind == "least sold":
            _least_sold(desk, wish, rule)
        elif wish.kind == "least kept":
            _least_kept(desk, wish, rule)
        elif wish.kind == "least income":
            _least_income(desk, wish, rule)
        else:
            minute_rows(desk, wish.amount, rule)


def conflicts_in_words(facts: PlanFacts, problem: Problem, seconds: float) -> tuple[str, ...]:
    """The rules that cannot stand together, each in words.

    Parameters
    ----------
    facts : PlanFacts
        Wishes, floors and habit, for the words.
    problem : Problem
        The plan's problem, which has no solution.
    seconds : float
        Time to look. [1] Valid above 0.

    Returns
    -------
    tuple of str
        Without any one of these the rest can be kept.

    Raises
    ------
    RefusedInput
        If the problem holds nan.

    Notes
    -----
    Growth and arithmetic are never named. Where only whole pots stand in the way, that is said. Nothing
    is at 0 or
    outside.

    Source: own definition
    """
    names = conflict(problem, (GROWTH, LINES, SET_UP, ENDING), seconds)
    if not names:
        wishes = tuple(_wish_words(facts, wish) for wish in facts.wishes)
        return (*wishes, "pots are sold and cut whole")
    said = tuple(_in_words(facts, name) for name in names)
    return said if len(said) > 1 else (*said, "the plants that stand there, as fast as they grow")


def _check(desk: Desk, wish: Wish) -> None:
    if wish.kind not in KINDS:
        raise RefusedInput("wish", wish.kind, "one of " + ", ".join(KINDS))
    if not 0 <= wish.amount < np.inf:
        raise RefusedInput(f"wish, {wish.kind}", wish.amount, "a number from 0 on")
    if wish.taxon is not None and wish.taxon not in {stand.taxon.key for stand in desk.stands}:
        raise RefusedInput(f"wish, {wish.kind}, taxon", wish.taxon, "a taxon of the plan")
    if wish.grade and wish.grade not in GRADES:
        raise RefusedInput(f"wish, {wish.kind}, grade", wish.grade, "one of " + ", ".join(GRADES))
    if wish.on is not None and not any(
        _falls_on(desk, wish, week) for s in desk.steps for week in s.releases
    ):
        raise RefusedInput(
            f"wish, {wish.kind}, day", wish.on.isoformat(), "the week of a release of the plan"
        )


def _falls_on(desk: Desk, wish: Wish, week: int) -> bool:
    return wish.on is None or (wish.on - desk.facts.on).days // 7 == week


def _least_sold(desk: Desk, wish: Wish, rule: str) -> None:
    for place, step in enumerate(desk.steps):
        asked = sum(_falls_on(desk, wish, week) for week in step.releases)
        if not asked:
            continue
        row = desk.draft.rows(1, rule, low=wish.amount * asked)
        for stand, columns in zip(desk.stands, desk.columns, strict=True):
            lines = columns.lines[place]
            if lines is None or wish.taxon not in (None, stand.taxon.key):
                continue
            wanted = [not wish.grade or GRADES[rank - 1] == wish.grade for rank in stand.lines]
            chosen = lines[:, np.array(wanted, dtype=bool)]
            desk.draft.put(row, chosen, 1.0 / len(lines))


def _least_kept(desk: Desk, wish: Wish, rule: str) -> None:
    for taxon, stand in enumerate(desk.stands):
        if wish.taxon not in (None, stand.taxon.key):
            continue
        for place, there in enumerate(desk.columns[taxon].young_pots):
            copies = 1 if place == 0 else desk.scenarios
            row = desk.draft.rows(copies, rule, low=(wish.amount - there)[:copies])
            desk.put_pots(row, taxon, place)


def _least_income(desk: Desk, wish: Wish, rule: str) -> None:
    row = desk.draft.rows(1, rule, low=wish.amount)
    for stand, columns in zip(desk.stands, desk.columns, strict=True):
        prices = np.array([stand.price_minor[rank - 1] for rank in stand.lines])
        for lines in columns.lines:
            if lines is not None:
                desk.draft.put(row, lines, prices / len(lines))


def _in_words(facts: PlanFacts, name: str) -> str:
    """A rule as the grower would say it."""
    if name.startswith("wish "):
        return _wish_words(facts, facts.wishes[int(name.removeprefix("wish "))])
    habit = facts.habit
    return {
        SPOTS: f"there are {total_spots(facts)} spots",
        MINUTES: f"no more than {habit.minutes_a_week or 0:g} minutes a week",
        DEMAND: "buyers take no more in a release than the most you gave for each grade",
        KEPT: f"{habit.least_kept} pots of each taxon are never sold",
    }[name]


def _wish_words(facts: PlanFacts, wish: Wish) -> str:
    """The grower's own words for a wish, or ours where there are none."""
    if wish.words:
        return wish.words
    whose = next((taxon.name for taxon in facts.taxa if taxon.key == wish.taxon), "all taxa")
    what = " ".join(part for part in (whose, wish.grade) if part)
    when = "in each release" if wish.on is None else f"on {show_date(wish.on)}"
    return {
        "least sold": f"at least {wish.amount:g} pots sold {when} ({what})",
        "least kept": f"at least {wish.amount:g} pots kept standing ({what})",
        "least income": f"an income of at least {wish.amount / 100:g}",
        "most minutes": f"no more than {wish.amount:g} minutes a week",
    }[wish.kind]
