"""A stock as stages that feed one another: growth, structure, and where care pays most.

A matrix holds in column j what one plant of stage j is or has become after one step. Its stages fall into
classes that lead back to themselves; what can be said in the long run depends on which class grows fastest,
whether it is alone in that, and whether it goes round in a period. A stable structure is claimed only where
one is approached.
"""

import math
from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
_SAME = 1e-10  # two growth factors that differ by less are one
_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class MatrixKind:
    """How the stages hang together."""

    classes: tuple[tuple[int, ...], ...]  # stages that lead to each other and back
    leading: tuple[int, ...]  # the class that grows fastest; empty where none is alone in that, or none grows
    period: int  # of that class; 1: it settles down; 0: there is no such class
    is_irreducible: bool  # every stage leads to every other
    is_primitive: bool  # irreducible, without a period


@dataclass(frozen=True, slots=True)
class StageView:
    """What a matrix says of the long run; None where nothing true can be said."""

    kind: MatrixKind
    growth_factor: float  # a step
    damping_factor: float  # how much faster than the next pattern a step; infinite where there is none
    structure_frac: Floats | None  # shares of the stages that grow together, whether approached or not
    reproductive_weight: Floats | None  # what a plant of each stage counts for, the first that counts = 1
    sensitivity_factor: Floats | None
    elasticity_frac: Floats | None  # of the growth factor, sums to 1
    stable_frac: Floats | None  # the structure, where it is approached
    said: str  # in words


@dataclass(frozen=True, slots=True)
class LifeCourse:
    """What becomes of one plant and of its offspring."""

    net_factor: float  # offspring in a lifetime: growth from generation to generation
    generation_days: float | None  # in which the stock grows by that; None where it cannot be said
    parent_age_days: float | None  # mean age of parents once the structure is stable
    life_days: Floats  # expected from each stage on, the step under way counted


def matrix_kind(matrix: ArrayLike) -> MatrixKind:
    """Kind of a stage matrix: classes, the leading one, its period.

    Parameters
    ----------
    matrix : array_like
        Columns to rows, one step. [1] Valid square, 0 or more, finite.

    Returns
    -------
    MatrixKind
        Stages by their place, counted from 0.

    Raises
    ------
    RefusedInput
        If the matrix is not square, is empty, or holds a negative number or nan.

    Notes
    -----
    Classes are the strongly connected parts of the graph of the entries above 0. The period of a class is
    the greatest common divisor of the lengths of its loops. At 0 everywhere no class leads.

    Source: caswell-2001, sections 4.5.1 and 4.5.4

    Examples
    --------
    >>> matrix_kind([[0.0, 0.0, 6.0], [0.5, 0.0, 0.0], [0.0, 1.0 / 3.0, 0.0]]).period
    3
    """
    a = _checked(matrix)
    classes = _classes(_reach(a))
    growth = [_radius(a[np.ix_(c, c)]) for c in classes]
    top = max(growth)
    leaders = [c for c, g in zip(classes, growth, strict=True) if g >= top * (1.0 - _SAME)]
    leading = leaders[0] if len(leaders) == 1 and top > 0.0 else ()
    period = _period(a, leading) if leading else 0
    is_irreducible = len(classes) == 1 and (a.shape == (1, 1) or top > 0.0)
    return MatrixKind(tuple(classes), leading, period, is_irreducible, is_irreducible and period == 1)


def stage_view(matrix: ArrayLike) -> StageView:
    """Long run of a stock: growth, stable structure, what each stage counts for, where care pays.

    Parameters
    ----------
    matrix : array_like
        Columns to rows, one step. [1] Valid square, 0 or more, finite.

    Returns
    -------
    StageView
        Growth factor a step, shares and elasticities by stage. [1]

    Raises
    ------
    RefusedInput
        If the matrix is not square, is empty, or holds a negative number or nan.

    Notes
    -----
    A w = lambda w, v A = lambda v; sensitivity v_i w_j / (v w), elasticity a_ij / lambda times that.
    Both vectors come from the leading class alone and are carried to the stages it feeds and is fed by, so
    that a stage that takes no part has exactly 0. `stable_frac` is None where the leading class has a period,
    where two classes grow alike, or where a stage is absent from the structure. All None at growth 0.

    Source: caswell-2001, sections 4.5 and 9.1

    Examples
    --------
    >>> round(stage_view([[0.7, 0.7], [0.35, 0.5]]).growth_factor, 7)
    1.1049752
    """
    a = _checked(matrix)
    kind = matrix_kind(a)
    moduli = np.sort(np.concatenate([_moduli(a[np.ix_(c, c)]) for c in kind.classes]))[::-1]
    growth = float(moduli[0])
    second = float(moduli[1]) if len(moduli) > 1 else 0.0
    if kind.period > 1 or not kind.leading:
        second = growth
    damping = growth / second if second > 0.0 else math.inf
    if not kind.leading:
        damping = 1.0 if growth else math.inf
        return StageView(kind, growth, damping, None, None, None, None, None, _said(kind, growth, None, None))
    w = _carried(a, growth, kind.leading)
    v = _carried(a.T, growth, kind.leading)
    sensitivity = np.outer(v, w) / float(v @ w)
    w, v = w / w.sum(), v / v[np.flatnonzero(v)[0]]
    is_approached = kind.period == 1 and bool((w > 0.0).all())
    return StageView(
        kind,
        growth,
        damping,
        w,
        v,
        sensitivity,
        a * sensitivity / growth,
        w if is_approached else None,
        _said(kind, growth, w, v),
    )


def life_course(matrix: ArrayLike, births: ArrayLike, step_days: float) -> LifeCourse:
    """Life of one plant: offspring, time between generations, days it may expect.

    Parameters
    ----------
    matrix : array_like
        Columns to rows, one step, births and survival together. [1] Valid square, 0 or more, finite.
    births : array_like
        The part of it that is new plants. [1] Valid from 0 to the matrix.
    step_days : float
        Length of a step. [d] Valid above 0.

    Returns
    -------
    LifeCourse
        net_factor [1]; generation, parents' age and life expectancy. [d]

    Raises
    ------
    RefusedInput
        If births are not a part of the matrix, if more than all of a stage survives, if some plants never
        die, or the step is not above 0.

    Notes
    -----
    U = A - F, N = 1/(1 - U). R0 is the growth of F N; T = ln R0 / ln lambda; at lambda = 1 it is its limit,
    the mean age of parents, lambda v w / (v F w); life expectancy is the column sum of N. T is None where
    nothing is born or no class leads.

    Source: caswell-2001, sections 5.1 and 5.3

    Examples
    --------
    >>> life_course([[0.5, 1.0], [0.5, 0.5]], [[0.0, 1.0], [0.0, 0.0]], 30.0).net_factor
    2.0
    """
    a = _checked(matrix)
    f = _checked(births)
    if f.shape != a.shape or (f > a * (1.0 + _SLACK)).any():
        raise RefusedInput("births", "a part larger than the whole", "numbers from 0 to those of the matrix")
    if not (math.isfinite(step_days) and step_days > 0.0):
        raise RefusedInput("step_days", step_days, "days above 0")
    u = np.maximum(a - f, 0.0)
    if (u.sum(axis=0) > 1.0 + _SLACK).any():
        stage = int(np.argmax(u.sum(axis=0))) + 1
        raise RefusedInput("matrix", float(u.sum(axis=0).max()), f"survival of stage {stage} of 1 at most")
    if max(_radius(u[np.ix_(c, c)]) for c in _classes(_reach(u))) >= 1.0 - _SLACK:
        raise RefusedInput("matrix", "plants that never die", "survival below 1 in the long run")
    lives = np.linalg.inv(np.eye(len(a)) - u)
    net = max(_radius((f @ lives)[np.ix_(c, c)]) for c in _classes(_reach(f @ lives)))
    view = stage_view(a)
    age = _parent_age(view, f)
    step = None
    if age is not None and net > 0.0:
        is_steady = abs(math.log(view.growth_factor)) < _SLACK
        step = age if is_steady else math.log(net) / math.log(view.growth_factor)
    return LifeCourse(
        net,
        None if step is None else step * step_days,
        None if age is None else age * step_days,
        lives.sum(axis=0) * step_days,
    )


def elasticity_of(matrix: ArrayLike, slope: ArrayLike, value: float) -> float:
    """Elasticity of the growth factor to a rate that several entries of the matrix are made from.

    Such as the monthly loss, which lowers every entry of its column: where an hour of care pays.

    Parameters
    ----------
    matrix : array_like
        Columns to rows, one step. [1] Valid square, 0 or more, finite.
    slope : array_like
        How each entry changes with the rate. [1] Valid finite, of the shape of the matrix.
    value : float
        The rate as it is. [1] Valid finite.

    Returns
    -------
    float
        Share by which growth changes for each share by which the rate changes. [1]

    Raises
    ------
    RefusedInput
        If the matrix or slope cannot be used, or no class of stages leads alone.

    Notes
    -----
    x / lambda times the sum of sensitivity times slope; may be negative. 0 at a rate of 0.

    Source: caswell-2001, section 9.2.5

    Examples
    --------
    >>> elasticity_of([[0.5]], [[1.0]], 0.5)
    1.0
    """
    view = stage_view(matrix)
    change = np.asarray(slope, dtype=float)
    if view.sensitivity_factor is None:
        raise RefusedInput("matrix", "no leading class", "stages of which one class grows fastest")
    if change.shape != view.sensitivity_factor.shape or not np.isfinite(change).all():
        raise RefusedInput("slope", change.shape, "finite numbers, of the shape of the matrix")
    if not math.isfinite(value):
        raise RefusedInput("value", value, "a finite number")
    return float((view.sensitivity_factor * change).sum() * value / view.growth_factor)


def project(matrix: ArrayLike, plants: ArrayLike, steps: int) -> Floats:
    """Plants by stage after each step.

    Parameters
    ----------
    matrix : array_like
        Columns to rows, one step. [1] Valid square, 0 or more, finite.
    plants : array_like
        Plants standing in each stage today. [1] Valid 0 or more, finite.
    steps : int
        How many steps. Valid 0 upward.

    Returns
    -------
    numpy.ndarray
        Shape (steps + 1, stages): today first. [1]

    Raises
    ------
    RefusedInput
        If the matrix or the plants cannot be used, or steps is negative.

    Notes
    -----
    n(t + 1) = A n(t). At 0 plants it stays 0.

    Source: caswell-2001, section 2.2

    Examples
    --------
    >>> project([[0.0, 2.0], [0.5, 0.0]], [4.0, 0.0], 2).tolist()
    [[4.0, 0.0], [0.0, 2.0], [4.0, 0.0]]
    """
    a = _checked(matrix)
    n = np.asarray(plants, dtype=float)
    if n.shape != (len(a),) or not (np.isfinite(n).all() and (n >= 0.0).all()):
        raise RefusedInput("plants", n.tolist(), f"{len(a)} numbers of 0 or more, one a stage")
    if steps < 0:
        raise RefusedInput("steps", steps, "0 or more")
    rows = [n]
    for _ in range(steps):
        rows.append(a @ rows[-1])
    return np.array(rows)


def _checked(matrix: ArrayLike) -> Floats:
    a = np.asarray(matrix, dtype=float)
    if a.ndim != 2 or a.shape[0] != a.shape[1] or not a.size:
        raise RefusedInput("matrix", a.shape, "as many rows as columns, one a stage")
    if not (np.isfinite(a).all() and (a >= 0.0).all()):
        raise RefusedInput("matrix", "a negative number, nan or infinity", "numbers of 0 or more")
    return a


def _reach(a: Floats) -> Bools:
    """Which stage (row) is ever reached from which (column), itself included."""
    reach = (a > 0.0) | np.eye(len(a), dtype=bool)
    for _ in range(max(1, math.ceil(math.log2(len(a))))):
        reach = (reach.astype(float) @ reach.astype(float)) > 0.0
    return np.asarray(reach)


def _classes(reach: Bools) -> list[tuple[int, ...]]:
    both = reach & reach.T
    return sorted({tuple(int(i) for i in np.flatnonzero(column)) for column in both.T})


def _moduli(a: Floats) -> Floats:
    return np.asarray(np.abs(np.linalg.eigvals(a)))


def _radius(a: Floats) -> float:
    return float(_moduli(a).max())


def _period(a: Floats, stages: tuple[int, ...]) -> int:
    """Greatest common divisor of the loops of a class: by the levels of a walk through it."""
    level = {stages[0]: 0}
    queue, steps = [stages[0]], []
    for stage in queue:
        for to in (int(i) for i in np.flatnonzero(a[:, stage]) if i in stages):
            if to in level:
                steps.append(level[stage] + 1 - level[to])
            else:
                level[to] = level[stage] + 1
                queue.append(to)
    return reduce(math.gcd, steps, 0)


def _carried(a: Floats, growth: float, leading: tuple[int, ...]) -> Floats:
    """The vector of the leading class, carried on to the stages it feeds; 0 elsewhere."""
    inside = list(leading)
    values, vectors = np.linalg.eig(a[np.ix_(inside, inside)])
    own = np.abs(np.real(vectors[:, int(np.argmax(values.real))]))
    whole = np.zeros(len(a))
    whole[inside] = own
    fed = [int(i) for i in np.flatnonzero(_reach(a)[:, inside[0]]) if i not in leading]
    if fed:
        rest = growth * np.eye(len(fed)) - a[np.ix_(fed, fed)]
        whole[fed] = np.linalg.solve(rest, a[np.ix_(fed, inside)] @ own)
    return whole


def _parent_age(view: StageView, births: Floats) -> float | None:
    w, v = view.structure_frac, view.reproductive_weight
    if w is None or v is None:
        return None
    born = float(v @ births @ w)
    return view.growth_factor * float(v @ w) / born if born > 0.0 else None


def _said(kind: MatrixKind, growth: float, w: Floats | None, v: Floats | None) -> str:
    if growth == 0.0:
        return "Nothing comes after: the stock is gone within a few steps."
    if w is None or v is None:
        return "Several groups of stages grow alike: where it leads hangs on what stands today."
    if kind.period > 1:
        return f"It goes round every {kind.period} steps and never settles to one structure."
    if (w == 0.0).any():
        absent = ", ".join(str(i + 1) for i in np.flatnonzero(w == 0.0))
        return f"No structure of all stages is kept: against the rest, stage {absent} fades away."
    if (v == 0.0).any():
        idle = ", ".join(str(i + 1) for i in np.flatnonzero(v == 0.0))
        return f"It settles to one structure, as long as not all plants stand in stage {idle}."
    return "It settles to one structure, whatever stands today."
