"""Patterns of rows on a bare rectangle: square, staggered, and staggered with some square steps."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from halfwater.science.bound import SLACK
from halfwater.science.room import Points


@dataclass(frozen=True, slots=True)
class RowPlan:
    """Rows that run along the length.

    `full` pots stand in a full row; every second row of a staggered plan is
    shifted by half a spacing and holds `full` (is_even) or one fewer. Of the
    steps from row to row `square_steps` keep the shift, the others change it.
    """

    full: int
    rows: int
    square_steps: int
    is_even: bool
    step_mm: float  # least distance of two rows with different shift
    count: int

    @property
    def is_square(self) -> bool:
        """Whether no row is shifted."""
        return self.square_steps == self.rows - 1

    def is_turned(self, apart_mm: float) -> bool:
        """Whether its pots touch across the rows: it is better named after the other side."""
        return not self.is_square and self.step_mm < apart_mm / math.sqrt(2.0)

    @property
    def is_mixed(self) -> bool:
        """Whether some steps are square and some staggered."""
        return 0 < self.square_steps < self.rows - 1


def steps_that_fit(side: float, step: float) -> int:
    """Number of steps that go into a side.

    Parameters
    ----------
    side : number
        What is stepped along, in any unit, 0 or more.
    step : number
        A step, in the same unit, above 0.

    Returns
    -------
    int
        Whole steps.

    Notes
    -----
    A step that is too long by rounding only, 1e-9 of the side, still goes in.

    Source: own definition

    Examples
    --------
    >>> steps_that_fit(863.6, 50.8)
    17
    """
    return math.floor(side / step + SLACK * (1.0 + side / step))


def row_plans(inner_length_mm: float, inner_width_mm: float, apart_mm: float) -> Iterator[RowPlan]:
    """Plans of rows for centres in a rectangle, every one, rows along its length.

    A full row of k spreads over the whole length, so its spacing is wider than
    need be and shifted rows come nearer: that is how fewer pots in a row can
    make more pots in all. Each number in a row is tried.

    Parameters
    ----------
    inner_length_mm : float
        Side of the rectangle the centres lie in, along the rows. [mm] Valid 0 upward.
    inner_width_mm : float
        Its other side. [mm] Valid 0 upward.
    apart_mm : float
        Least distance of two centres. [mm] Valid above 0.

    Returns
    -------
    iterator of RowPlan
        Each plan with its count.

    Notes
    -----
    Pots of shifted rows are half a spacing s apart along the row, so rows may
    be sqrt(d2 - s2/4) apart, and never nearer than d/2, since rows two apart
    stand behind each other. Square steps take d.

    Source: own definition

    Examples
    --------
    >>> max(plan.count for plan in row_plans(34.0, 16.0, 2.0))
    176
    """
    widest = steps_that_fit(inner_length_mm, apart_mm) + 1
    square_rows = steps_that_fit(inner_width_mm, apart_mm) + 1
    yield RowPlan(widest, square_rows, square_rows - 1, True, apart_mm, widest * square_rows)
    for full in range(1, widest + 1):
        if full > 1:
            yield from _uneven_plans(full, inner_length_mm, inner_width_mm, apart_mm)
        spacing = inner_length_mm / (full - 0.5)
        if spacing >= apart_mm * (1.0 - SLACK):
            step = _row_step(spacing, apart_mm)
            rows = steps_that_fit(inner_width_mm, step) + 1
            yield RowPlan(full, rows, 0, True, step, full * rows)


def centres(plan: RowPlan, inner_length_mm: float, inner_width_mm: float, apart_mm: float) -> Points:
    """Centres of a plan, spread over the whole rectangle, front row first.

    Parameters
    ----------
    plan : RowPlan
        A plan made for this rectangle.
    inner_length_mm : float
        Side of the rectangle the centres lie in, along the rows. [mm] Valid 0 upward.
    inner_width_mm : float
        Its other side. [mm] Valid 0 upward.
    apart_mm : float
        Least distance of two centres. [mm] Valid above 0.

    Returns
    -------
    array of x and y
        One centre a row, from the corner of the rectangle, in mm.

    Notes
    -----
    Spare width is shared among the steps in proportion.

    Source: own definition
    """
    spacing = _spacing(plan, inner_length_mm)
    shifts, heights = _row_places(plan, apart_mm)
    if heights[-1] > 0.0:
        heights = heights * (inner_width_mm / heights[-1])
    rows = []
    for is_shifted, height in zip(shifts, heights, strict=True):
        number = plan.full - (1 if is_shifted and not plan.is_even else 0)
        x = spacing * (np.arange(number) + (0.5 if is_shifted else 0.0))
        rows.append(np.column_stack([x, np.full(number, height)]))
    return np.concatenate(rows)


def _uneven_plans(
    full: int, inner_length_mm: float, inner_width_mm: float, apart_mm: float
) -> Iterator[RowPlan]:
    """Rows of k and k-1 by turns, with as many square steps as the width allows."""
    step = _row_step(inner_length_mm / (full - 1), apart_mm)
    for rows in range(2, steps_that_fit(inner_width_mm, step) + 2):
        spare = inner_width_mm - (rows - 1) * step
        most = rows - 2
        squares = min(most, steps_that_fit(max(spare, 0.0), apart_mm - step)) if step < apart_mm else most
        for chosen in {0, squares}:
            short = (rows - chosen) // 2
            yield RowPlan(full, rows, chosen, False, step, full * rows - short)


def _row_step(spacing: float, apart_mm: float) -> float:
    """Least distance of shifted rows: the pots between them, and rows two apart_mm, must clear."""
    return max(math.sqrt(max(apart_mm**2 - spacing**2 / 4.0, 0.0)), apart_mm / 2.0)


def _spacing(plan: RowPlan, inner_length_mm: float) -> float:
    if plan.is_even and not plan.is_square:
        return inner_length_mm / (plan.full - 0.5)
    return inner_length_mm / (plan.full - 1) if plan.full > 1 else 0.0


def _row_places(plan: RowPlan, apart_mm: float) -> tuple[list[bool], Points]:
    """Which rows are shifted, and how high each lies; square steps double full rows, spread evenly."""
    changes = plan.rows - 1 - plan.square_steps
    full_runs = changes // 2 + 1
    shifts, heights, shifted, height = [False], [0.0], False, 0.0
    for run in range(changes + 1):
        if run:
            shifted, height = not shifted, height + plan.step_mm
            shifts.append(shifted)
            heights.append(height)
        if not shifted:
            place = run // 2
            share = plan.square_steps * (place + 1) // full_runs - plan.square_steps * place // full_runs
            for _ in range(share):
                height += apart_mm
                shifts.append(False)
                heights.append(height)
    return shifts, np.array(heights)
