"""What a recipe misses of its target, and what stands in the way."""

import numpy as np
from numpy.typing import NDArray

from halfwater.plain.chemistry import Missed, RecipePart, Target
from halfwater.plain.figures import show_list
from halfwater.planning.recipe_problem import RecipeProblem

MISSED_FRAC = 0.03  # nearer than this is met
_INSISTED_FACTOR = 1e3


def misses_of(problem: RecipeProblem, units: NDArray[np.float64], times: float) -> tuple[Missed, ...]:
    """Strengths that a recipe does not meet, each with what stands in the way.

    More than 3 % off counts as missed.

    Parameters
    ----------
    problem : RecipeProblem
        What was solved.
    units : numpy.ndarray
        Units of each thing. [unit] Valid 0 and more.
    times : float
        How many times the target was asked for. [1] Valid above 0.

    Returns
    -------
    tuple of Missed
        Worst first.

    Notes
    -----
    Why: the water alone brings more; nothing on the shelf holds it; or, found by insisting on it a thousand
    times more, which other strength would have to give way.

    Source: own definition
    """
    wanted, got = problem.wanted * times, problem.brings @ units + problem.from_water
    off = (got - wanted) / problem.scale(times)
    found = []
    for row in np.argsort(-np.abs(off), kind="stable"):
        if abs(off[row]) > MISSED_FRAC:
            what = problem.target.wanted[row].what
            why = _why(problem, int(row), off, times)
            found.append(Missed(what, float(wanted[row]), float(got[row]), float(off[row]), why))
    return tuple(found)


def recipe_sentence(target: Target, parts: tuple[RecipePart, ...], missed: tuple[Missed, ...]) -> str:
    """The recipe in one sentence.

    What the page says first.

    Parameters
    ----------
    target : Target
        What was wanted.
    parts : tuple of RecipePart
        What is taken.
    missed : tuple of Missed
        What is not met.

    Returns
    -------
    str
        One sentence.

    Notes
    -----
    At most three misses are named.

    Source: own definition
    """
    names, is_one = show_list([part.item.name for part in parts]), len(parts) == 1
    if not parts:
        return f"Nothing on this shelf brings the water nearer to {target.name}."
    if not missed:
        return f"{names} {'gives' if is_one else 'give'} {target.name}."
    listed = ", ".join(f"{one.what} {'too much' if one.off_frac > 0 else 'too little'}" for one in missed[:3])
    more = f" and {len(missed) - 3} more" if len(missed) > 3 else ""
    if max(abs(one.off_frac) for one in missed) >= 0.5 and len(missed) == len(target.wanted):
        return f"This shelf cannot give {target.name}: {listed}{more}."
    return f"{names} {'comes' if is_one else 'come'} nearest to {target.name}; missed: {listed}{more}."


def _why(problem: RecipeProblem, row: int, off: NDArray[np.float64], times: float) -> str:
    """What stands in the way of one strength."""
    what = problem.target.wanted[row].what
    wanted = problem.wanted[row] * times
    if off[row] > 0 and problem.from_water[row] > wanted * (1 + MISSED_FRAC):
        return f"The water alone brings {problem.from_water[row]:.3g} mg/L {what}: take a purer water."
    holders = [
        one.item.name for one, brings in zip(problem.shelf, problem.brings[row], strict=True) if brings > 0
    ]
    if off[row] < 0 and not holders:
        return f"Nothing on the shelf holds {what}."
    counts = problem.counts.copy()
    counts[row] *= _INSISTED_FACTOR
    insisted = problem.solve(times, counts)
    got = problem.brings @ insisted + problem.from_water
    after = (got - problem.wanted * times) / problem.scale(times)
    worse = np.abs(after) - np.abs(off)
    worse[row] = -np.inf
    other = int(np.argmax(worse))
    name, with_what = problem.target.wanted[other].what, _joined(holders)
    if not np.isfinite(worse[other]) or worse[other] <= MISSED_FRAC:
        return f"{what} comes with {with_what} and with something else at once: no amount of it fits."
    return (
        f"{what} comes with {with_what}: right in {what}, {name} would be {got[other]:.3g} mg/L "
        f"in place of {problem.wanted[other] * times:.3g}."
    )


def _joined(names: list[str]) -> str:
    """At most three names."""
    return (
        ", ".join(names[:3]) + (" and others" if len(names) > 3 else "") if names else "nothing on the shelf"
    )
