"""How warmth and light scale a plant's pace: stated forms, 1 at the conditions of the starting values."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting

Floats = NDArray[np.float64]


def temperature_response(
    temp_c: Any, none_c: float, best_c: float, best_to_c: float, limit_c: float
) -> Floats:
    """The pace at a temperature against the best.

    Four temperatures make a roof: no growth, best from, best to, no growth.

    Parameters
    ----------
    temp_c : array_like
        Temperature of the air at the plants, mean of day and night. [C] Valid -20..60.
    none_c : float
        No growth at and below. [C] Valid below best_c.
    best_c : float
        Best from here. [C] Valid up to best_to_c.
    best_to_c : float
        Best up to here. [C] Valid below limit_c.
    limit_c : float
        No growth at and above. [C] Valid above best_to_c.

    Returns
    -------
    ndarray
        Factor, 0 to 1. [1]

    Raises
    ------
    RefusedInput
        If a temperature is nan or outside, or the four are not in order.

    Notes
    -----
    Straight from 0 at `none` to 1 at `best`, 1 to `best_to`, straight to 0 at `limit`; 0 outside.

    Source: priors, Response to warmth and light

    Examples
    --------
    >>> temperature_response(19.0, 13.0, 25.0, 28.0, 36.0).item()
    0.5
    """
    temp = np.asarray(temp_c, dtype=float)
    if not ((temp >= -20) & (temp <= 60)).all():
        raise RefusedInput("temp_c", temp_c, "-20 to 60 C")
    if not none_c < best_c <= best_to_c < limit_c:
        raise RefusedInput("best_c", best_c, "four temperatures in order: none, best, best to, limit")
    return np.asarray(np.interp(temp, [none_c, best_c, best_to_c, limit_c], [0.0, 1.0, 1.0, 0.0]))


def light_response(dli_mol_m2_d: Any, half_mol_m2_d: float) -> Floats:
    """The pace at a daily light against that at 3 mol/m2/d.

    Parameters
    ----------
    dli_mol_m2_d : array_like
        Daily light at the leaves. [mol/m2/d] Valid 0..70.
    half_mol_m2_d : float
        Daily light at which the pace is half of what endless light would give. [mol/m2/d] Valid above 0.

    Returns
    -------
    ndarray
        Factor: 0 in the dark, 1 at 3 mol/m2/d. [1]

    Raises
    ------
    RefusedInput
        If a value is nan or outside its range.

    Notes
    -----
    f = DLI / (DLI + K) * (3 + K) / 3. Bleaching by far too much light is not in it.

    Source: priors, Response to warmth and light

    Examples
    --------
    >>> light_response(3.0, 1.5).item()
    1.0
    """
    light = np.asarray(dli_mol_m2_d, dtype=float)
    if not ((light >= 0) & (light <= 70)).all():
        raise RefusedInput("dli_mol_m2_d", dli_mol_m2_d, "0 to 70 mol/m2/d")
    if not half_mol_m2_d > 0:
        raise RefusedInput("half_mol_m2_d", half_mol_m2_d, "a daily light above 0")
    at = starting.REFERENCE_DLI_MOL_M2_D
    return np.asarray(light / (light + half_mol_m2_d) * (at + half_mol_m2_d) / at)
