"""The door to HiGHS: status words, proofs by duality, whole numbers, and rules in conflict."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.planning.problem import Draft, Problem
from halfwater.planning.solve import Answer, Kept, conflict, rows_in_conflict, solved


def a_problem(
    gain: list[float], rows: list[list[float]], high: list[float], is_whole: bool = False
) -> Problem:
    """max gain · x, rows · x <= high, each row a rule of its own."""
    draft = Draft()
    columns = draft.columns(len(gain), gain, is_whole=is_whole)
    for number, (row, limit) in enumerate(zip(rows, high, strict=True)):
        draft.put(draft.rows(1, f"rule {number}", high=limit), columns, row)
    return draft.finished()


def dual_value(problem: Problem, answer: Answer) -> float:
    """Value of the dual at the worths told: what the limits alone would allow."""
    rows = np.where(answer.row_worth > 0, problem.row_high, problem.row_low)
    columns = np.where(answer.reduced > 0, problem.high, problem.low)
    used_rows = np.abs(answer.row_worth) > 1e-9
    used_columns = np.abs(answer.reduced) > 1e-9
    return float(
        answer.row_worth[used_rows] @ rows[used_rows] + answer.reduced[used_columns] @ columns[used_columns]
    )


@given(st.integers(0, 10_000))
@settings(max_examples=20, deadline=None)
def test_worths_prove_the_value(seed: int) -> None:
    """The limits at their worths add up to the value, so that nothing better can exist."""
    rng = np.random.default_rng(seed)
    problem = a_problem(
        rng.uniform(1, 5, 6).tolist(), rng.uniform(0.1, 2, (4, 6)).tolist(), rng.uniform(5, 20, 4).tolist()
    )
    answer = solved(problem)
    assert answer.status == "optimal"
    assert dual_value(problem, answer) == pytest.approx(answer.value, rel=1e-9)


@given(st.integers(0, 10_000))
@settings(max_examples=20, deadline=None)
def test_whole_numbers_are_the_best_of_all(seed: int) -> None:
    """Two whole numbers: no point of the grid within the rows is better."""
    rng = np.random.default_rng(seed)
    gain, rows, high = rng.uniform(1, 5, 2), rng.uniform(0.3, 2, (2, 2)), rng.uniform(3, 9, 2)
    answer = solved(a_problem(gain.tolist(), rows.tolist(), high.tolist(), is_whole=True))
    grid = np.stack(np.meshgrid(np.arange(40), np.arange(40)), axis=-1).reshape(-1, 2)
    inside = grid[(grid @ rows.T <= high + 1e-9).all(axis=1)]
    assert answer.value == pytest.approx(float((inside @ gain).max()), rel=1e-7)
    assert answer.gap_frac == pytest.approx(0.0, abs=1e-6)


def test_status_words() -> None:
    """A problem without a limit is unbounded, one without a solution infeasible, and neither has an x."""
    free = a_problem([1.0], [[-1.0]], [0.0])
    assert solved(free).status == "unbounded"
    impossible = a_problem([1.0], [[1.0]], [-1.0])
    assert solved(impossible).status == "infeasible"
    assert not solved(impossible).has_solution


def test_a_kept_problem_answers_as_a_fresh_one() -> None:
    """Other limits of columns give the answer that the problem would give anew."""
    problem = a_problem([3.0, 5.0], [[1.0, 0.0], [0.0, 2.0], [3.0, 2.0]], [4.0, 12.0, 18.0])
    kept = Kept(problem, "ipm")
    assert kept.answered(5.0).value == pytest.approx(36.0)
    high = np.array([1.0, 5.0])
    assert kept.answered(5.0, problem.low, high).value == pytest.approx(28.0)
    assert solved(replace(problem, high=high)).value == pytest.approx(28.0)


def test_rules_in_conflict_are_named_and_no_others() -> None:
    """Of three rules two cannot stand together; the third is not named."""
    draft = Draft()
    x = draft.columns(2, 1.0)
    draft.put(draft.rows(1, "at most three", high=3.0), x, 1.0)
    draft.put(draft.rows(1, "at least four", low=4.0), x, 1.0)
    draft.put(draft.rows(1, "the first at most one", high=1.0), x[0], 1.0)
    problem = draft.finished()
    assert conflict(problem) == ("at most three", "at least four")
    assert rows_in_conflict(problem) == (0, 1)


def test_a_sound_problem_has_no_conflict() -> None:
    """Nothing is in conflict where there is a solution."""
    problem = a_problem([1.0], [[1.0]], [3.0])
    assert conflict(problem) == ()
    assert rows_in_conflict(problem) == ()


def test_nan_and_unknown_ways_are_refused() -> None:
    """A problem with nan in it, or a way that does not exist, is refused before it is tried."""
    problem = a_problem([1.0], [[1.0]], [3.0])
    with pytest.raises(RefusedInput, match="numbers only"):
        solved(replace(problem, gain=np.array([np.nan])))
    with pytest.raises(RefusedInput, match="choose"):
        solved(problem, way="guess")
