"""How the plan's problem is solved: exactly where it is small, else relaxed, rounded, proven by the gap."""

from dataclasses import dataclass, replace
from time import perf_counter

import numpy as np

from halfwater.planning.cutting_columns import Model
from halfwater.planning.problem import Floats, Problem
from halfwater.planning.solve import INFEASIBLE, OPTIMAL, STOPPED, Answer, Kept, solved
from halfwater.science import starting

SMALL_COLUMNS = 2500  # up to here the search for whole numbers is quick
EXACT_GAP_FRAC = 1e-6
_WHOLE = 1e-6  # a number this close below a whole one is that one
PLAN_GAP_FRAC = 0.01  # a plan is called one from here on
SEARCH_GAP_FRAC = 0.0075  # asked of the search; the solver's own gap can stand beside ours by a tenth
SEARCH_HARDER_FRAC = 0.004  # asked where that was not enough


@dataclass(frozen=True, slots=True)
class Found:
    """The best x found, its proof, and the worths of the limits with the whole numbers held."""

    status: str
    x: Floats
    value: float
    bound: float
    gap_frac: float | None
    row_worth: Floats
    in_solver_s: float


def best_found(model: Model, seconds: float) -> Found:
    """The best plan for a model within a time, with its gap.

    Small problems are searched to the end. Large ones are relaxed, which gives the bound. Then, one after the
    other and each time with all the rest solved anew, the weeks in which a batch is set up are chosen, near
    sales are rounded down to whole pots, and near cuts are.

    Parameters
    ----------
    model : Model
        The plan's problem.
    seconds : float
        Time it may take. [1] Valid above 0.

    Returns
    -------
    Found
        Status, x, gap, and what one more of each limit is worth.

    Raises
    ------
    RefusedInput
        If the problem holds nan.

    Notes
    -----
    gap = (bound - value) / |value|. A gap over 1 % is "stopped early". A problem without columns is
    optimal at 0.

    Source: own definition
    """
    problem, until = model.problem, perf_counter() + seconds
    if len(problem.gain) <= SMALL_COLUMNS or not problem.is_whole.any():
        return _held(problem, solved(problem, seconds, EXACT_GAP_FRAC), until)
    kept = Kept(problem, way="ipm")
    relaxed = kept.answered(seconds)
    if relaxed.status != OPTIMAL:
        return _without(relaxed, kept.in_solver_s)
    best = _dived(model, kept, relaxed, until)
    if best is not None:
        found = _with_gap(best, relaxed.bound, kept.in_solver_s)
        if found.status == OPTIMAL:
            return found
    return _searched(problem, relaxed, best, until, kept.in_solver_s)


def _dived(model: Model, kept: Kept, relaxed: Answer, until: float) -> Answer | None:
    """Whole numbers one kind after the other; where that ends nowhere, near weeks without any of them."""
    low, high = model.problem.low.copy(), model.problem.high.copy()
    answer = relaxed
    for hold in (_hold_set_ups, _hold_lines, _hold_cuts):
        hold(model, answer.x, low, high)
        answer = kept.answered(until - perf_counter(), low, high)
        if answer.status != OPTIMAL:
            break
    else:
        return answer
    whole = model.problem.is_whole
    low[whole] = high[whole] = 0.0
    answer = kept.answered(until - perf_counter(), low, high)
    return answer if answer.status == OPTIMAL else None


def _hold_set_ups(model: Model, x: Floats, low: Floats, high: Floats) -> None:
    """Weeks in which a batch is set up: as many as the sections fill, each in the midst of its sections."""
    for columns in model.columns:
        weeks = [place for place, column in enumerate(columns.set_up) if column is not None]
        amounts = np.array([columns.sections_cut(place, x) for place in weeks])
        total = float(amounts.sum())
        batches = 0 if total < 1.0 else max(1, round(total / starting.BATCH_SECTIONS))
        middles = total * (np.arange(batches) + 0.5) / max(batches, 1)
        chosen = set(np.searchsorted(np.cumsum(amounts), middles).tolist())
        for place, week in enumerate(weeks):
            column = columns.set_up[week]
            low[column] = high[column] = float(place in chosen)


def _hold_lines(model: Model, x: Floats, low: Floats, high: Floats) -> None:
    """Near sales in whole pots, none above the relaxed ones.

    Today's are held group by group; which line each of these pots goes to is then whole by itself.
    """
    whole = model.problem.is_whole
    for columns in model.columns:
        today = columns.sold[0]
        if today is not None and whole[today].all():
            low[today] = high[today] = np.floor(x[today] + _WHOLE)
        for lines in columns.lines[1:]:
            if lines is not None and whole[lines].all():
                low[lines] = high[lines] = np.floor(x[lines] + _WHOLE)


def _hold_cuts(model: Model, x: Floats, low: Floats, high: Floats) -> None:
    """Near cuts in whole pots, none above the relaxed ones."""
    for columns in model.columns:
        for cuts in (columns.cut[0], *columns.classes):
            if cuts is not None and model.problem.is_whole[cuts].all():
                low[cuts] = high[cuts] = np.floor(x[cuts] + _WHOLE)
        for extra, cuts in zip(columns.extra, columns.classes, strict=True):
            if extra is not None and cuts is not None:
                within = columns.most_extra * low[cuts].sum()
                low[extra] = high[extra] = min(float(np.floor(x[extra] + _WHOLE).sum()), within)


def _searched(problem: Problem, relaxed: Answer, start: Answer | None, until: float, spent: float) -> Found:
    """The search for whole numbers, from the best known x, as long as there is time."""
    best, bound = start, relaxed.bound
    for gap_frac in (SEARCH_GAP_FRAC, SEARCH_HARDER_FRAC):
        left = until - perf_counter()
        if left < 1.0:
            break
        whole = solved(problem, left, gap_frac, start=None if best is None else best.x)
        spent += whole.in_solver_s
        if not whole.has_solution:
            return _without(whole, spent) if best is None else _with_gap(best, bound, spent)
        bound = min(whole.bound, bound)
        if best is None or whole.value > best.value + _WHOLE * abs(best.value):
            best = whole
        if bound - best.value <= PLAN_GAP_FRAC * abs(best.value):
            break
    if best is None:
        return _without(relaxed, spent)
    if best is start:
        return _with_gap(best, bound, spent)
    found = _held(problem, replace(best, bound=bound, in_solver_s=0.0), until + 5.0)
    return replace(found, in_solver_s=spent + found.in_solver_s)


def _held(problem: Problem, whole: Answer, until: float) -> Found:
    """The whole numbers held, so that the limits have worths."""
    if not whole.has_solution:
        return _without(whole, whole.in_solver_s)
    if not problem.is_whole.any():
        return _with_gap(whole, whole.bound, whole.in_solver_s)
    fixed = np.round(whole.x)
    low = np.where(problem.is_whole, fixed, problem.low)
    high = np.where(problem.is_whole, fixed, problem.high)
    held = replace(problem, low=low, high=high, is_whole=np.zeros_like(problem.is_whole))
    answer = solved(held, max(until - perf_counter(), 1.0))
    spent = whole.in_solver_s + answer.in_solver_s
    if answer.status == OPTIMAL:
        return _with_gap(answer, whole.bound, spent)
    unknown = replace(whole, row_worth=np.zeros(problem.size[0]))
    return _with_gap(unknown, whole.bound, spent)


def _with_gap(answer: Answer, bound: float, spent_s: float) -> Found:
    missing = max(bound - answer.value, 0.0)
    gap = missing / max(abs(answer.value), 1e-9) if missing > 1e-7 * max(abs(bound), 1.0) else 0.0
    status = OPTIMAL if gap <= PLAN_GAP_FRAC else STOPPED
    return Found(status, answer.x, answer.value, bound, gap, answer.row_worth, spent_s)


def _without(answer: Answer, spent_s: float) -> Found:
    status = STOPPED if answer.status == OPTIMAL else answer.status
    empty = np.zeros(0)
    return Found(status, empty, np.nan, answer.bound, None, empty, spent_s)


def is_hopeless(found: Found) -> bool:
    """Whether no plan exists at all.

    Parameters
    ----------
    found : Found
        What the search gave.

    Returns
    -------
    bool
        True where the rules cannot be kept together.

    Notes
    -----
    A search that was stopped early is not hopeless. Nothing is at 0, nan or outside.

    Source: own definition
    """
    return found.status == INFEASIBLE
