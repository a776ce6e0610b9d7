"""The cutting plan as a linear problem: stock by stage and scenario, common near decisions in whole pots.

What stands after an action is the variable, so that nothing can be sold or cut that is not there. Week 0 is
the
same in all scenarios and is written once.
"""

import numpy as np

from halfwater.plain.cutting import PlanFacts
from halfwater.planning.cutting_columns import (
    ENDING,
    HAIR,
    KEPT,
    MINUTES,
    SELL_MIN,
    SHORT_FACTOR,
    SPOTS,
    Desk,
    TaxonColumns,
    far_section_min,
    total_spots,
)
from halfwater.planning.cutting_growth import first_grown, grow, powers
from halfwater.planning.cutting_stock import Stand
from halfwater.planning.cutting_weeks import Step
from halfwater.planning.problem import Floats, Whole
from halfwater.science import starting


def cutting_desk(
    facts: PlanFacts,
    steps: tuple[Step, ...],
    stands: tuple[Stand, ...],
    worths: tuple[Floats, ...],
    scenarios: int,
) -> Desk:
    """The cutting plan as a problem to which wishes can still be added.

    Parameters
    ----------
    facts : PlanFacts
        Spots, habit and prices.
    steps : tuple of Step
        Weeks of the plan.
    stands : tuple of Stand
        The taxa as the plan counts them.
    worths : tuple of numpy.ndarray
        What a pot of each stage is worth, one array a taxon.
    scenarios : int
        How many growth scenarios there are. Valid from 1 on.

    Returns
    -------
    Desk
        The problem, and where each decision stands in it.

    Notes
    -----
    y(t) = A y(t-1) - sold - cut + e sum(m cut), y >= 0; sum y <= spots; near decisions whole and common;
    far ones
    by scenario. Maximised: mean of price · sold - minutes · their worth - 5 · (what is missing of the end
    worth).
    Doing nothing keeps every rule: limits give way where even that would break them. No taxa give a problem
    without columns. Nan was refused before.

    Source: own definition
    """
    desk = Desk(facts, steps, stands, scenarios)
    for stand in stands:
        grow(desk, stand)
    _share_spots(desk)
    if facts.habit.minutes_a_week is not None:
        desk.minute_rows += minute_rows(desk, facts.habit.minutes_a_week, MINUTES)
    for place, (stand, worth) in enumerate(zip(stands, worths, strict=True)):
        _keep(desk, place)
        _end(desk, stand, place, worth)
    return desk


def minute_rows(desk: Desk, limit: float, rule: str) -> list[Whole]:
    """Rows that hold the minutes of each step: cutting, setting up, harvest and packing.

    Parameters
    ----------
    desk : Desk
        The problem, its columns written.
    limit : float
        Minutes a week. [min] Valid from 0 on.
    rule : str
        What the rows are called.

    Returns
    -------
    list
        Numbers of the rows, one array a step.

    Notes
    -----
    2.5 min a section, 20 min a batch, 5 min a plant sold; spread over the weeks of a far step. A limit of
    0 lets
    nothing be done; nan was refused before.

    Source: priors, Minutes
    """
    made = []
    for place, step in enumerate(desk.steps):
        copies = 1 if step.is_near or place == 0 else desk.scenarios
        row = desk.draft.rows(copies, rule, high=limit * step.weeks)
        for stand, columns in zip(desk.stands, desk.columns, strict=True):
            _minutes_of(desk, stand, columns, place, row)
        made.append(row)
    return made


def _share_spots(desk: Desk) -> None:
    """No more pots than spots; where more stand today, no more than would stand untouched."""
    for place in range(len(desk.steps)):
        copies = 1 if place == 0 else desk.scenarios
        idle = sum((each[place] for each in desk.idle), np.zeros(desk.scenarios))[:copies]
        there = sum((each.young_pots[place] for each in desk.columns), np.zeros(desk.scenarios))[:copies]
        row = desk.draft.rows(
            copies, SPOTS, high=np.maximum(float(total_spots(desk.facts)), idle) - there + HAIR
        )
        for taxon in range(len(desk.columns)):
            desk.put_pots(row, taxon, place)
        desk.spot_rows.append(row)


def _minutes_of(desk: Desk, stand: Stand, columns: TaxonColumns, place: int, row: Whole) -> None:
    draft, is_near = desk.draft, desk.steps[place].is_near
    lines, cut, classes, set_up = (
        columns.lines[place], columns.cut[place], columns.classes[place], columns.set_up[place],
    )  # fmt: skip
    if lines is not None:
        draft.put(row[:, None], lines, SELL_MIN)
    if set_up is not None:
        draft.put(row, set_up, starting.BATCH_MIN)
    each = starting.CUT_MIN if is_near else far_section_min()
    extra = columns.extra[place]
    if extra is not None:
        draft.put(row, extra, each)
    if classes is not None:
        draft.put(row, classes, each * np.array(sorted({stand.sections[s] for s in stand.cut_stages})))
    elif place == 0 and cut is not None:
        draft.put(row, cut, each * np.array([group.sections for group in stand.groups]))
    elif cut is not None:
        draft.put(row[:, None], cut, each * np.array([stand.sections[s] for s in stand.cut_stages]))


def _keep(desk: Desk, taxon: int) -> None:
    """After each release the least number of pots stands, or as many as would stand untouched."""
    least, columns = float(max(desk.facts.habit.least_kept, 0)), desk.columns[taxon]
    for place, sold in enumerate(columns.sold):
        if sold is not None and least > 0:
            copies = 1 if place == 0 else desk.scenarios
            low = np.minimum(least, desk.idle[taxon][place]) - columns.young_pots[place] - HAIR
            desk.put_pots(desk.draft.rows(copies, KEPT, low=low[:copies]), taxon, place)


def _end(desk: Desk, stand: Stand, taxon: int, worth: Floats) -> None:
    """The stock at the end is worth at least what it is worth today, on the mean of the scenarios."""
    columns, grown = desk.columns[taxon], first_grown(stand)
    matrix = powers(stand, desk.steps[-1:])[desk.steps[-1].weeks]
    value = np.einsum("s,wst->wt", worth, matrix) / desk.scenarios
    short = desk.draft.columns(1, gain=-SHORT_FACTOR)
    still = float((value[:, :grown] * columns.still[-1]).sum())
    row = desk.draft.rows(1, ENDING, low=float(worth @ stand.counts) - still)
    desk.draft.put(row, columns.stock[-1], value[:, grown:])
    for young in columns.young[-1]:
        desk.draft.put(row, young.column, (value[:, :grown] * young.pots).sum(axis=1))
    desk.draft.put(row, short, 1.0)
    columns.short = int(short[0])
