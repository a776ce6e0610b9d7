"""A pot's way from section to large plant as a chain of stages that it passes one after another.

What the cutting plan and the futures share: time spent in each stage has no memory, so that one matrix a
week carries the whole stock on. The stages are cut so that the time to each grade has the mean, and about
the spread, that leaves coming one by one give.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput

Floats = NDArray[np.float64]
POT_SIGMA_LOG = 0.30  # spread of pace between pots of a batch
SETTLING_STAGES = 4  # the lag's spread is then half its mean: pieces from tip and middle mixed
PAST_LARGE_FACTOR = 1.5  # a parent goes on growing: one stage more than the largest grade asks for
_MONTH_DAYS = 30.0
_NEAR_LEAVES = 0.05  # fewer than this below a grade is at the grade: no count tells them apart
_BRANCHING_DAYS = 3650.0  # tips are added for ten years at most: a pot that hardly grows must not explode
_MOST_JUMPS = 8.0  # in one piece of the series; longer spans are squared up from it


@dataclass(frozen=True, slots=True)
class StageChain:
    """Stages of one taxon with the matrix that carries pots on; leading axes of `matrix` are draws."""

    names: tuple[str, ...]
    grade: tuple[str, ...]  # "" below the smallest grade
    leaves: Floats  # mean of the stage
    matrix: Floats  # from column to row; what a column lacks to 1 is lost
    entry: int  # stage of a fresh section
    lowest_leaves: Floats  # with which a settled pot enters the stage
    settling: int  # stages before the first new leaf
    lag_days: Floats
    days: float
    move_per_day: Floats  # to the next stage
    loss_per_day: Floats


def stage_chain(
    grade_leaves: Mapping[str, int],
    first_leaves: float,
    leaf_rate_per_30d: ArrayLike,
    lag_days: ArrayLike,
    settling_loss_frac: ArrayLike,
    loss_per_30d_frac: ArrayLike,
    leaf_life_days: float,
    tips_per_30d: float,
    days: float = 7.0,
    *,
    pot_sigma_log: float = POT_SIGMA_LOG,
) -> StageChain:
    """Stages of a taxon and the matrix that carries its pots on by some days.

    The stages hang on the size rules and the section alone, so that all draws of a taxon share them; the
    matrix hangs on the draw. A longer span is a power of a shorter one: 28 days are the fourth power of 7.

    Parameters
    ----------
    grade_leaves : Mapping
        Leaves that each grade asks for.
    first_leaves : float
        Leaves on a fresh section. [leaf] Valid > 0.
    leaf_rate_per_30d : array_like
        New leaves of a usual pot that has settled. [1/30d] Valid > 0.
    lag_days : array_like
        Mean time to the first new leaf. [d] Valid > 0.
    settling_loss_frac : array_like
        Share of sections lost before they settle. [1] Valid 0 to under 1.
    loss_per_30d_frac : array_like
        Share of settled pots lost in 30 days. [1] Valid 0 to under 1.
    leaf_life_days : float
        Mean life of a leaf. [d] Valid > 0.
    tips_per_30d : float
        Growing tips that a settled pot adds, each as fast as the first. [1/30d] Valid >= 0.
    days : float
        Span of the matrix. [d] Valid > 0.
    pot_sigma_log : float
        Spread of pace between pots. [1] Valid 0..1.

    Returns
    -------
    StageChain
        Stages and matrices; the matrix has the shape of the draws, then stages x stages.

    Raises
    ------
    RefusedInput
        If a value is nan or outside its range, or no grade is given, or two ask for the same leaves.

    Notes
    -----
    A leaf comes at rate b(age) = r (1 + tips age), each leaf dies at rate 1/life. Mean time from i leaves to
    i + 1 is T(i) = 1/b + (i/life)/b T(i - 1), the first passage of that birth and death, b taken at the mean
    age, ten years at most; it is longer by exp(sigma^2) for pots of mixed pace. The number of stages up to a
    grade m leaves away is 1/(1/m + sigma^2), rounded: that many equal exponential times have the spread of m
    leaves one by one in pots of mixed pace. A stage is left at one over its mean time; losses are a steady
    hazard. matrix = exp(Q days), summed as a uniformised series, so that no entry is negative. A loss of 0
    gives columns that sum to 1. nan is refused. Pots never fall back a stage.

    Source: own definition

    Examples
    --------
    >>> chain = stage_chain({"small": 5, "standard": 8}, 3, 1.5, 42, 0.0, 0.0, 540, 0.1)
    >>> chain.grade
    ('', '', '', '', '', '', 'small', 'standard', 'standard')
    """
    grades = _grades_in_order(grade_leaves)
    first = _number("first_leaves", first_leaves, above=0.0)
    life = _number("leaf_life_days", leaf_life_days, above=0.0)
    tips = _number("tips_per_30d", tips_per_30d, least=0.0)
    sigma = _number("pot_sigma_log", pot_sigma_log, least=0.0, most=1.0)
    rate, lag, settling_loss, loss = np.broadcast_arrays(
        _numbers("leaf_rate_per_30d", leaf_rate_per_30d, above=0.0),
        _numbers("lag_days", lag_days, above=0.0),
        _numbers("settling_loss_frac", settling_loss_frac, least=0.0, below=1.0),
        _numbers("loss_per_30d_frac", loss_per_30d_frac, least=0.0, below=1.0),
    )
    edges = _edges(grades, first, sigma)
    move, hazard = _flows(_leaf_times(edges, rate, life, tips) * np.exp(sigma**2), lag, settling_loss, loss)
    return StageChain(
        names=_names(edges),
        grade=("",) * SETTLING_STAGES + tuple(_grade_at(grades, edge) for edge in edges),
        leaves=_mean_leaves(edges),
        matrix=chain_matrix(move, hazard, days),
        entry=0,
        lowest_leaves=np.concatenate([np.full(SETTLING_STAGES, edges[0]), edges]),
        settling=SETTLING_STAGES,
        lag_days=np.asarray(lag, dtype=np.float64),
        days=float(days),
        move_per_day=move,
        loss_per_day=hazard,
    )


def chain_matrix(move_per_day: ArrayLike, loss_per_day: ArrayLike, days: float) -> Floats:
    """Matrix of a chain that only moves forward, over some days.

    Parameters
    ----------
    move_per_day, loss_per_day : array_like
        Rates of moving on from each stage, and of being lost there; last axis stages. [1/d] Valid >= 0.
    days : float
        Span. [d] Valid > 0.

    Returns
    -------
    numpy.ndarray
        Shape of the rates with one axis of stages more: from column to row. [1]

    Raises
    ------
    RefusedInput
        If a rate or the span is nan or outside its range.

    Notes
    -----
    exp(Q days), summed as a uniformised series over 8 jumps at most and squared up from there, so that no
    entry is negative. With all rates 0 it is the identity. The last stage's rate of moving on is left out.

    Source: own definition

    Examples
    --------
    >>> chain_matrix([0.0, 0.0], [0.0, 0.0], 7.0).tolist()
    [[1.0, 0.0], [0.0, 1.0]]
    """
    move = _numbers("move_per_day", move_per_day, least=0.0)
    move = np.where(np.arange(move.shape[-1]) < move.shape[-1] - 1, move, 0.0)
    hazard = _numbers("loss_per_day", loss_per_day, least=0.0)
    _number("days", days, above=0.0)
    leaving = move + hazard
    jumps = float(leaving.max()) * days
    halvings = max(0, int(np.ceil(np.log2(max(jumps, 1e-12) / _MOST_JUMPS))))
    mean = max(jumps / 2**halvings, 1e-12)
    stay = (1.0 - leaving * days / 2**halvings / mean)[..., None]
    on = (move * days / 2**halvings / mean)[..., :-1, None]
    stages = move.shape[-1]
    term = np.broadcast_to(np.eye(stages), (*move.shape, stages)).copy()
    weight = float(np.exp(-mean))
    total = weight * term
    for jump in range(1, int(mean + 12.0 * np.sqrt(mean)) + 25):
        fresh = stay * term
        fresh[..., 1:, :] += on * term[..., :-1, :]
        term = fresh
        weight *= mean / jump
        total += weight * term
    for _ in range(halvings):
        total = total @ total
    return np.asarray(total)


def stage_of(chain: StageChain, leaves: float, is_settled: bool, age_days: float = 0.0) -> int:
    """Stage that a standing pot is in.

    Parameters
    ----------
    chain : StageChain
        Stages of the pot's taxon.
    leaves : float
        Leaves on the pot, counted or expected. [leaf] Valid >= 0.
    is_settled : bool
        Whether the pot is past its lag.
    age_days : float
        Days since the section was potted, for a pot that has not settled. [d] Valid >= 0.

    Returns
    -------
    int
        Place of the stage in the chain.

    Raises
    ------
    RefusedInput
        If leaves or age are negative or nan.

    Notes
    -----
    Settled: the last stage that starts with no more leaves than the pot has; a pot with fewer leaves than a
    section had is in the first stage after settling. Not settled: the likeliest of the settling stages at
    that age, floor(k age / lag), the last one when it is overdue; lag is the median of the draws.

    Source: own definition
    """
    on_it = _number("leaves", leaves, least=0.0)
    age = _number("age_days", age_days, least=0.0)
    if not is_settled:
        passed = int(chain.settling * age / float(np.median(chain.lag_days)))
        return min(passed, chain.settling - 1)
    starts = chain.lowest_leaves[chain.settling :]
    return chain.settling + max(int(np.searchsorted(starts, on_it + 1e-9)) - 1, 0)


def _grades_in_order(grade_leaves: Mapping[str, int]) -> list[tuple[str, int]]:
    grades = sorted(grade_leaves.items(), key=lambda grade: grade[1])
    sizes = [size for _, size in grades]
    if not sizes or sizes[0] < 1 or any(late <= early for early, late in pairwise(sizes)):
        accepted = "at least one grade, each with whole leaves of its own"
        raise RefusedInput("grade_leaves", dict(grade_leaves), accepted)
    return grades


def _edges(grades: list[tuple[str, int]], first: float, sigma: float) -> Floats:
    """Leaves at which each stage after settling starts."""
    near = (size for _, size in grades if 0.0 < size - first < _NEAR_LEAVES)
    first = float(
        next(near, first)
    )  # a stage a hair wide would be left at no speed that can be reckoned with
    edges, stages = [first], 0
    for goal in [*(size for _, size in grades), PAST_LARGE_FACTOR * max(first, grades[-1][1])]:
        way = goal - edges[-1]
        if way <= 0.0:
            continue
        is_last = goal > grades[-1][1] and goal > first
        wanted = round(1.0 / (1.0 / (goal - first) + sigma**2)) - stages
        count = 1 if is_last else max(1, min(wanted, int(np.ceil(way))))
        stages += count
        start = edges[-1]
        edges += [start + way * (place + 1) / count for place in range(count - 1)] + [float(goal)]
    return np.asarray(edges, dtype=np.float64)


def _grade_at(grades: list[tuple[str, int]], leaves: float) -> str:
    return next((grade for grade, size in reversed(grades) if leaves >= size - 1e-9), "")


def _names(edges: Floats) -> tuple[str, ...]:
    settling = tuple(f"settling {place + 1}" for place in range(SETTLING_STAGES))
    return settling + tuple(f"from {edge:.3g} leaves" for edge in edges)


def _mean_leaves(edges: Floats) -> Floats:
    middles = np.append((edges[:-1] + edges[1:]) / 2.0, edges[-1])
    return np.concatenate([np.full(SETTLING_STAGES, edges[0]), middles])


def _leaf_times(edges: Floats, rate: Floats, life: float, tips: float) -> Floats:
    """Mean days from one edge to the next, draws first."""
    birth, first = rate / _MONTH_DAYS, float(edges[0])
    levels = np.arange(int(np.ceil(edges[-1])))
    age = np.zeros(rate.shape)  # mean age at which the level is reached, from the first leaves on
    step = np.zeros(rate.shape)
    steps = []
    for level in levels:
        share = min(1.0, max(0.0, level + 1.0 - first))  # of this step that lies above the first leaves
        before, step = step, step
        for _ in range(2):  # births at the age half way through the step
            branched = np.minimum(age + share * step / 2.0, _BRANCHING_DAYS)
            step = (1.0 + level / life * before) / (birth * (1.0 + tips * branched / _MONTH_DAYS))
        age = age + share * step
        steps.append(step)
    ends, starts = np.minimum(edges[1:], levels[:, None] + 1.0), np.maximum(edges[:-1], levels[:, None])
    return np.asarray(np.stack(steps, axis=-1) @ np.maximum(ends - starts, 0.0))


def _flows(times: Floats, lag: Floats, settling_loss: Floats, loss: Floats) -> tuple[Floats, Floats]:
    """Rate of moving on and hazard of loss, a day, for each stage."""
    stages = SETTLING_STAGES + times.shape[-1] + 1
    move = np.zeros((*lag.shape, stages))
    hazard = np.empty_like(move)
    leaving = (SETTLING_STAGES / lag)[..., None]
    kept = ((1.0 - settling_loss) ** (1.0 / SETTLING_STAGES))[..., None]
    move[..., :SETTLING_STAGES] = leaving * kept
    hazard[..., :SETTLING_STAGES] = leaving * (1.0 - kept)
    move[..., SETTLING_STAGES:-1] = 1.0 / times
    hazard[..., SETTLING_STAGES:] = -np.log1p(-loss)[..., None] / _MONTH_DAYS
    return move, hazard


def _number(
    name: str,
    value: float,
    *,
    above: float | None = None,
    least: float | None = None,
    most: float | None = None,
) -> float:
    return float(_numbers(name, value, above=above, least=least, most=most))


def _numbers(
    name: str,
    value: ArrayLike,
    *,
    above: float | None = None,
    least: float | None = None,
    below: float | None = None,
    most: float | None = None,
) -> Floats:
    given = np.asarray(value, dtype=np.float64)
    good = np.isfinite(given)
    good &= True if above is None else given > above
    good &= True if least is None else given >= least
    good &= True if below is None else given < below
    good &= True if most is None else given <= most
    if not good.all():
        said = [("above", above), ("at least", least), ("below", below), ("at most", most)]
        accepted = " and ".join(f"{word} {limit:g}" for word, limit in said if limit is not None)
        wrong = given[~good].flat[0] if given.ndim else given
        raise RefusedInput(name, f"{float(wrong):g}", f"a number {accepted}")
    return given
