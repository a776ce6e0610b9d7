"""A shelf, a water and a target as rows and columns."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import Dose, ShelfItem, SourceWater, Target
from halfwater.planning.shelf import Contents, contents_of
from halfwater.planning.source_water import DissolvedWater, dissolved_water
from halfwater.science.recipe import nearest_amounts
from halfwater.science.strengths import field_of


@dataclass(frozen=True, slots=True)
class RecipeProblem:
    """A shelf, a water and what is wanted, as rows and columns."""

    target: Target
    water: DissolvedWater
    shelf: tuple[Contents, ...]
    brings: NDArray[np.float64]  # wanted x things, mg/L of one unit in a litre
    wanted: NDArray[np.float64]
    from_water: NDArray[np.float64]
    counts: NDArray[np.float64]
    ballast: NDArray[np.float64]

    def solve(self, times: float = 1.0, counts: NDArray[np.float64] | None = None) -> NDArray[np.float64]:
        """Units of each thing for so many times the target."""
        wanted = self.wanted * times
        weights = self.counts if counts is None else counts
        return nearest_amounts(
            self.brings, wanted - self.from_water, self.scale(times), weights, self.ballast
        )

    def scale(self, times: float = 1.0) -> NDArray[np.float64]:
        """What a miss is a share of: the strength itself; for "none of it" a hundredth of the largest."""
        wanted = self.wanted * times
        return np.where(wanted > 0, wanted, wanted.max() / 100)


def pose_recipe(
    shelf: tuple[ShelfItem, ...], water: SourceWater | DissolvedWater, target: Target
) -> RecipeProblem:
    """Shelf, water and target as rows and columns.

    What `make_recipe` solves.

    Parameters
    ----------
    shelf : tuple of ShelfItem
        Feeds and salts.
    water : SourceWater or DissolvedWater
        The water.
    target : Target
        What is wanted.

    Returns
    -------
    RecipeProblem
        Rows in the order of the target, columns in that of the shelf.

    Raises
    ------
    RefusedInput
        If the shelf is empty, something on it or the water is refused, or nothing is wanted.

    Notes
    -----
    A form of nitrogen that a label does not tell counts as not there when forms are wanted.

    Source: own definition
    """
    if not shelf:
        raise RefusedInput("shelf", "", "at least one feed or salt to mix from")
    if not target.wanted or not any(one.strength_mg_l > 0 for one in target.wanted):
        raise RefusedInput("target", target.name, "at least one strength above 0, such as N 50 mg/L")
    dissolved = water if isinstance(water, DissolvedWater) else dissolved_water(water)
    contents = tuple(contents_of(item) for item in shelf)
    fields = [field_of(one.what) for one in target.wanted]
    brings = np.array([[getattr(one.strength, name) or 0.0 for one in contents] for name in fields])
    priced = all(one.cost_minor is not None for one in contents)
    salty = [one.strength.na_mg_l + one.strength.cl_mg_l for one in contents]
    ballast = [one.cost_minor or 0.0 for one in contents] if priced else salty
    return RecipeProblem(
        target=target,
        water=dissolved,
        shelf=contents,
        brings=brings,
        wanted=np.array([one.strength_mg_l for one in target.wanted]),
        from_water=np.array([getattr(dissolved.strength, name) or 0.0 for name in fields]),
        counts=np.array([one.weight for one in target.wanted]),
        ballast=np.array(ballast),
    )


def doses_for(problem: RecipeProblem, units: NDArray[np.float64]) -> tuple[Dose, ...]:
    """Doses of a solved recipe.

    Those of which there is any.

    Parameters
    ----------
    problem : RecipeProblem
        What was solved.
    units : numpy.ndarray
        Units of each thing. [unit] Valid 0 and more.

    Returns
    -------
    tuple of Dose
        In the order of the shelf.

    Notes
    -----
    By weight, or by volume for a liquid told by volume.

    Source: own definition
    """
    pairs = [(one, float(amount)) for one, amount in zip(problem.shelf, units, strict=True) if amount > 0]
    return tuple(
        Dose(one.item, dose_ml_l=amount) if one.unit == "mL" else Dose(one.item, dose_g_l=amount)
        for one, amount in pairs
    )
