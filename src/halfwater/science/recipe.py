"""The amounts of several things that come nearest to several strengths, none of them less than nought."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science.limits import Limits

LEAST_SCALE_MG_L = 0.01  # a strength of nought is missed by so much as if it were wanted
BALLAST_WEIGHT = 1e-3  # what nobody wants counts so little that it only decides between equals
_BRINGS = Limits("what a unit brings", 0, 1e7, "mg/L")
_WANTED = Limits("strength wanted", -1e6, 1e6, "mg/L")
_WEIGHT = Limits("weight", 0, 1e6)


def nearest_amounts(
    brings_mg_l: Any, wanted_mg_l: Any, scale_mg_l: Any, weight: Any, ballast_weight: Any
) -> NDArray[np.float64]:
    """Amounts that come nearest to the strengths wanted, each miss counted as a share of what is wanted.

    A recipe: how much of each thing on the shelf. Being 10 % off in iron weighs as much as being 10 % off
    in potassium, unless weights say otherwise.

    Parameters
    ----------
    brings_mg_l : array_like
        What a unit of each thing brings to a litre, elements by things. [mg/L] Valid 0..1e7.
    wanted_mg_l : array_like
        Wanted beyond what the water brings, by element; below 0 where the water brings too much. [mg/L]
        Valid -1e6..1e6.
    scale_mg_l : array_like
        What a miss is a share of, by element. [mg/L] Valid 0..1e7, counted as 0.01 at least.
    weight : array_like
        How much each element counts. [1] Valid 0..1e6.
    ballast_weight : array_like
        How little each unit of a thing is liked, by thing (its cost, its sodium); decides between equals.
        [1] Valid 0..1e6.

    Returns
    -------
    numpy.ndarray
        Units of each thing, 0 or more. [unit]

    Raises
    ------
    RefusedInput
        If shapes do not fit, or a number is nan or out of range.

    Notes
    -----
    Non-negative least squares on w_i (sum_j b_ij x_j - t_i) / s_i, with a last row 0.001 c.x / |c.x| for
    what is not liked. Nothing wanted gives nought of all.

    Source: lawson-hanson-1974, chapter 23

    Examples
    --------
    >>> nearest_amounts([[100.0]], [250.0], [250.0], [1.0], [0.0]).tolist()
    [2.5]
    """
    from scipy.optimize import nnls  # scipy is slow to load: at the door that needs it

    brings, wanted, scale = _BRINGS.many(brings_mg_l), _WANTED.many(wanted_mg_l), _BRINGS.many(scale_mg_l)
    counts, ballast = _WEIGHT.many(weight), _WEIGHT.many(ballast_weight)
    rows = brings.shape[0] if brings.ndim == 2 else -1
    if wanted.shape != (rows,) or scale.shape != (rows,) or counts.shape != (rows,):
        raise RefusedInput("recipe", brings.shape, "a row for each strength wanted")
    if ballast.shape != (brings.shape[1],) or not ballast.size:
        raise RefusedInput("recipe", ballast.shape, "a column for each thing on the shelf")
    shares = counts / np.maximum(scale, LEAST_SCALE_MG_L)
    matrix = brings * shares[:, None]
    sizes = np.linalg.norm(matrix, axis=0)
    useful = sizes > 0  # a thing that brings nothing wanted is never taken
    amounts = np.zeros(len(sizes))
    if useful.any():
        scaled = matrix[:, useful] / sizes[useful]
        dislike = ballast[useful] / sizes[useful]
        largest = dislike.max()
        row = BALLAST_WEIGHT * dislike / largest if largest > 0 else np.zeros_like(dislike)
        solved, _ = nnls(np.vstack([scaled, row]), np.append(wanted * shares, 0.0))
        amounts[useful] = solved / sizes[useful]
    return amounts
