"""Minutes of a task: starting values, and what timed work makes of them."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.plain.costing import TASKS, TaskDone
from halfwater.science import starting

_Z90 = NormalDist().inv_cdf(0.95)
_Z80 = NormalDist().inv_cdf(0.90)
# task -> starting minutes for a count of one, with the 90 % range of docs/starting-values.md
STARTING_MINUTES: Mapping[str, tuple[float, float, float]] = {
    "mix": (starting.MIX_MIN, 2.0, 8.0),
    "spray": (starting.SPRAY_MIN, 0.4, 1.8),
    "look": (starting.LOOK_MIN, 0.3, 2.0),
    "read": (starting.READING_MIN, 1.0, 4.0),
    "siphon": (starting.SIPHON_MIN, 8.0, 30.0),
    "algae": (starting.ALGAE_MIN, 4.0, 25.0),
    "clay": (starting.CLAY_MIN, 8.0, 30.0),
    "count": (starting.COUNT_MIN, 0.05, 0.167),
    "batch": (starting.BATCH_MIN, 10.0, 40.0),
    "cut": (starting.CUT_MIN, 1.2, 5.0),
    "cut stem": (starting.STEM_CUT_MIN, 0.25, 1.2),
    "harvest": (starting.HARVEST_MIN, 1.5, 6.0),
    "listing": (starting.LISTING_MIN, 4.0, 15.0),
    "pack": (starting.PACK_MIN, 1.0, 4.0),
    "parcel": (starting.PARCEL_MIN, 8.0, 30.0),
    "trip": (starting.TRIP_MIN, 15.0, 60.0),
    "messages": (starting.MESSAGE_MIN, 1.0, 12.0),
}


@dataclass(frozen=True, slots=True)
class TaskPace:
    """How long a task usually takes, for a count of one."""

    task: str
    minutes: float  # median
    low: float  # 80 % range
    high: float
    sigma_log: float
    timed: int  # how often it was timed


def task_paces(work: Iterable[TaskDone]) -> dict[str, TaskPace]:
    """Usual minutes of every task that has a starting value, narrowed by what was timed.

    Parameters
    ----------
    work : iterable of TaskDone
        What was done; rows with minutes teach.

    Returns
    -------
    dict of str to TaskPace
        By task.

    Raises
    ------
    RefusedInput
        If a task is unknown, a count is not above 0, minutes are below 0 or nan, or a task without a
        starting value has no minutes.

    Notes
    -----
    The logarithm of a task's minutes is normal: the starting value is its median, a 90 % range sets its
    spread; each timed day, its rows taken together, counts with a spread of TASK_SIGMA_LOG. Work of 0
    minutes is kept and teaches nothing.

    Source: priors, Minutes; own definition

    Examples
    --------
    >>> task_paces([])["siphon"].minutes
    15.0
    """
    timed: dict[str, dict[date, list[float]]] = {}
    for row in work:
        _check(row)
        if row.minutes:
            day = timed.setdefault(row.task, {}).setdefault(row.on, [0.0, 0.0])
            day[0], day[1] = day[0] + row.minutes, day[1] + row.count
    logs = {task: [math.log(took / count) for took, count in days.values()] for task, days in timed.items()}
    return {
        task: _pace(task, usual, math.log(high / low) / (2.0 * _Z90), logs.get(task, []))
        for task, (usual, low, high) in STARTING_MINUTES.items()
    }


def pace_factors(paces: Iterable[TaskPace], draws: int, seed: int) -> NDArray[np.float64]:
    """How much longer or shorter each task may take than assumed, in many draws.

    Parameters
    ----------
    paces : iterable of TaskPace
        One a row.
    draws : int
        Columns.
    seed : int
        Of the draws: the same seed gives the same range.

    Returns
    -------
    ndarray
        Factors, tasks by draws. [1]

    Raises
    ------
    RefusedInput
        If there are no draws.

    Notes
    -----
    exp(sigma z), z normal, once a task and draw: who is slow at a task is slow at all of it. A task of
    spread 0 has factor 1.

    Source: own definition
    """
    if draws < 1:
        raise RefusedInput("draws", draws, "at least one")
    sigma_log = np.array([pace.sigma_log for pace in paces])
    z = np.random.default_rng(seed).standard_normal((len(sigma_log), draws))
    return np.asarray(np.exp(sigma_log[:, None] * z))


def _check(row: TaskDone) -> None:
    if row.task not in TASKS:
        raise RefusedInput("task", row.task, "one of " + ", ".join(TASKS))
    where = f"{row.task} on {row.on}"
    if not 0.0 < row.count < math.inf:
        raise RefusedInput("count", row.count, "a number above 0", where)
    if row.minutes is None:
        if row.task not in STARTING_MINUTES:
            raise RefusedInput("minutes", "", "a number from 0: this task has no starting value", where)
    elif not 0.0 <= row.minutes < math.inf:
        raise RefusedInput("minutes", row.minutes, "a number from 0", where)


def _pace(task: str, usual: float, sigma_log: float, timed: list[float]) -> TaskPace:
    before, each = sigma_log**-2, starting.TASK_SIGMA_LOG**-2
    exactness = before + each * len(timed)
    shift = each * sum(one - math.log(usual) for one in timed) / exactness
    spread = exactness**-0.5
    minutes = usual * math.exp(shift)
    low, high = minutes * math.exp(-_Z80 * spread), minutes * math.exp(_Z80 * spread)
    return TaskPace(task, minutes, low, high, spread, len(timed))
