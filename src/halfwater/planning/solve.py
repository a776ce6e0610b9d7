"""The one door to HiGHS: a problem in, an answer with its proof out."""

from dataclasses import dataclass, replace
from time import perf_counter
from typing import Any

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.planning.problem import Floats, Problem

OPTIMAL, INFEASIBLE, UNBOUNDED, STOPPED = "optimal", "infeasible", "unbounded", "stopped early"
WAYS = ("choose", "simplex", "ipm")
THREADS = 2  # one number for all runs of a process: HiGHS refuses to change it
_BY_ROW, _MAXIMISE = 2, -1
_DEVEX = 1  # exact steepest edges would be worked out for every row before the first step
_WORDS = {"kOptimal": OPTIMAL, "kModelEmpty": OPTIMAL, "kInfeasible": INFEASIBLE, "kUnbounded": UNBOUNDED}


@dataclass(frozen=True, slots=True)
class Answer:
    """What HiGHS says; x and the worths are empty where there is no solution."""

    status: str  # one of the four words above
    value: float  # of x; nan where there is no solution
    bound: float  # nothing can be better than this
    gap_frac: float | None  # (bound - value) / |value|; None where there is no solution
    x: Floats
    row_worth: (
        Floats  # by how much one more of a row's limit raises the value; of problems without whole numbers
    )
    reduced: Floats  # the same for the limits of columns
    in_solver_s: float = 0.0

    @property
    def has_solution(self) -> bool:
        """Whether there is an x that keeps every row."""
        return self.gap_frac is not None


def solved(
    problem: Problem,
    seconds: float = 60.0,
    gap_frac: float = 1e-6,
    way: str = "choose",
    start: Floats | None = None,
) -> Answer:
    """Best x of a problem, with the proof of how good it is.

    Stands behind every plan. A run that ends at its time limit is "stopped early" and never called a plan
    by itself: its gap says what it may be short of.

    Parameters
    ----------
    problem : Problem
        Columns, rows and their limits.
    seconds : float
        Time it may take. [1] Valid above 0.
    gap_frac : float
        Gap at which the search for whole numbers may end. [1] Valid 0..1.
    way : str
        One of WAYS: how the linear part is solved.
    start : Floats or None
        A sound x to begin from, where one is known. [1] Valid within the rows.

    Returns
    -------
    Answer
        Status, value, bound, x and, for problems without whole numbers, the worth of each row.

    Raises
    ------
    RefusedInput
        If the problem holds nan, the way is unknown, or HiGHS refuses the problem.

    Notes
    -----
    max g'x, l <= x <= u, b <= A x <= c. The worth of a row is d value / d limit: 0 for a row with slack.
    A problem without columns has the value 0. Nan anywhere is refused; there are no numbers outside the
    range of a problem but nan.

    Source: huangfu-hall-2018
    """
    if way not in WAYS:
        raise RefusedInput("way", way, "one of " + ", ".join(WAYS))
    _refuse_nan(problem)
    begun = perf_counter()
    highs = _loaded(problem, seconds, gap_frac, way)
    if start is not None:
        highs.setSolution(len(start), np.arange(len(start), dtype=np.int32), np.asarray(start, dtype=float))
    highs.run()
    return _answer(highs, problem, perf_counter() - begun)


class Kept:
    """A linear problem kept loaded: when limits of columns change, the answer is found from the last one."""

    def __init__(self, problem: Problem, way: str = "choose") -> None:
        self._problem = replace(problem, is_whole=np.zeros_like(problem.is_whole))
        _refuse_nan(self._problem)
        begun = perf_counter()
        self._highs = _loaded(self._problem, 60.0, 0.0, way)
        self._highs.setOptionValue("simplex_dual_edge_weight_strategy", _DEVEX)  # read at the first run only
        self.in_solver_s = perf_counter() - begun

    def answered(self, seconds: float, low: Floats | None = None, high: Floats | None = None) -> Answer:
        """The answer within other limits of the columns, by simplex from where the last one stands."""
        begun = perf_counter()
        columns = np.arange(len(self._problem.gain), dtype=np.int32)
        if low is not None and high is not None:
            self._highs.setOptionValue("solver", "simplex")
            self._highs.changeColsBounds(len(columns), columns, low, high)
        self._highs.setOptionValue("time_limit", float(self._highs.getRunTime() + max(seconds, 0.05)))
        self._highs.run()
        answer = _answer(self._highs, self._problem, perf_counter() - begun)
        self.in_solver_s += answer.in_solver_s
        return answer


def conflict(problem: Problem, keep: tuple[str, ...] = (), seconds: float = 60.0) -> tuple[str, ...]:
    """Rules that cannot stand together, none of them to spare.

    A deletion filter over whole rules, not single rows: each rule is left out in turn, and stays out if
    the rest cannot be kept either. What is left is a smallest set in the sense that without any one of
    them the rest can be kept.

    Parameters
    ----------
    problem : Problem
        An infeasible problem.
    keep : tuple of str
        Rules that are no wish but how plants grow and what arithmetic says: never left out, never named.
    seconds : float
        Time for all of it. [1] Valid above 0.

    Returns
    -------
    tuple of str
        Names of rules in the order of the problem; empty where the problem is feasible after all.

    Raises
    ------
    RefusedInput
        If the problem holds nan.

    Notes
    -----
    For each rule r of the set: if (set without r) is infeasible, drop r for good. Columns keep their limits.
    An unbounded problem is feasible and has no conflict; nan is refused; a rule without rows is never named.

    Source: chinneck-2008, deletion filter
    """
    feasibility = replace(problem, gain=np.zeros_like(problem.gain))
    if solved(feasibility, seconds).status != INFEASIBLE:
        return ()
    left = [name for name in problem.rules if name not in keep]
    until = perf_counter() + seconds
    for name in tuple(left):
        fewer = [other for other in left if other != name]
        rest = max(until - perf_counter(), 0.1)
        if solved(_with_rules(feasibility, (*keep, *fewer)), rest).status == INFEASIBLE:
            left = fewer
    return tuple(left)


def rows_in_conflict(problem: Problem) -> tuple[int, ...]:
    """Rows that cannot stand together, as HiGHS finds them.

    Parameters
    ----------
    problem : Problem
        An infeasible problem; whole numbers are taken as any numbers.

    Returns
    -------
    tuple of int
        Numbers of rows, the smallest first; empty where the problem is feasible.

    Raises
    ------
    RefusedInput
        If the problem holds nan.

    Notes
    -----
    An irreducible infeasible subset of rows and column limits. A conflict between limits of one column names
    no row. Nan is refused; a feasible problem, also an unbounded one, gives ().

    Source: chinneck-2008, irreducible infeasible subsets
    """
    relaxed = replace(problem, is_whole=np.zeros_like(problem.is_whole))
    _refuse_nan(relaxed)
    highs = _loaded(relaxed, 60.0, 0.0, "simplex")
    highs.setOptionValue("iis_strategy", 6)  # from the rows of an LP, made irreducible
    highs.run()
    if highs.modelStatusToString(highs.getModelStatus()) != "Infeasible":
        return ()
    _, subset = highs.getIis()
    return tuple(sorted(int(row) for row in subset.row_index_))


def _refuse_nan(problem: Problem) -> None:
    for name in ("gain", "low", "high", "row_low", "row_high", "values"):
        if np.isnan(getattr(problem, name)).any():
            raise RefusedInput(f"problem, {name}", "nan", "numbers only")


def _with_rules(problem: Problem, names: tuple[str, ...]) -> Problem:
    """The problem with the limits of all other rules taken away."""
    kept = np.isin(problem.rule, [problem.rules.index(name) for name in names if name in problem.rules])
    return replace(
        problem,
        row_low=np.where(kept, problem.row_low, -np.inf),
        row_high=np.where(kept, problem.row_high, np.inf),
    )


def _loaded(problem: Problem, seconds: float, gap_frac: float, way: str) -> Any:
    import highspy

    highs = highspy.Highs.__base__()  # type: ignore[misc]  # the class above switches callbacks on, which prints
    options = {
        "output_flag": False, "time_limit": float(max(seconds, 0.05)), "mip_rel_gap": gap_frac, "solver": way,
        "threads": THREADS, "mip_abs_gap": 0.0,
    }  # fmt: skip
    for name, value in options.items():
        highs.setOptionValue(name, value)
    rows, columns = problem.size
    none = np.zeros(0, dtype=np.int32)
    status = highs.passModel(
        columns, rows, len(problem.values), 0, _BY_ROW, 1, _MAXIMISE, 0.0,
        problem.gain, problem.low, problem.high, problem.row_low, problem.row_high,
        problem.starts[:-1].astype(np.int32), problem.columns.astype(np.int32), problem.values,
        none, none, np.zeros(0), problem.is_whole.astype(np.int32),
    )  # fmt: skip
    if status == highspy.HighsStatus.kError:
        raise RefusedInput("problem", problem.size, "limits and numbers that HiGHS takes")
    return highs


def _answer(highs: Any, problem: Problem, took_s: float) -> Answer:
    info, solution = highs.getInfo(), highs.getSolution()
    status = _WORDS.get(highs.getModelStatus().name, STOPPED)
    is_whole = bool(problem.is_whole.any())
    has_x = status == OPTIMAL or (status == STOPPED and info.primal_solution_status == 2 and is_whole)
    nothing = np.zeros(0)
    if not has_x:
        bound = np.inf if status in (UNBOUNDED, STOPPED) else np.nan
        return Answer(status, np.nan, bound, None, nothing, nothing, nothing, took_s)
    x = np.asarray(solution.col_value, dtype=float)
    value = float(problem.gain @ x)
    bound = float(info.mip_dual_bound) if is_whole else value
    gap = max(bound - value, 0.0) / max(abs(value), 1e-9) if bound > value else 0.0
    row_worth = nothing if is_whole else np.asarray(solution.row_dual, dtype=float)
    reduced = nothing if is_whole else np.asarray(solution.col_dual, dtype=float)
    return Answer(status, value, bound, gap, x, row_worth, reduced, took_s)
