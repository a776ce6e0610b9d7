"""How much of a salt dissolves in water, by the tables, between their temperatures."""

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from halfwater.science.ions import read_data
from halfwater.science.limits import Limits
from halfwater.science.salts import anhydrous, salt_mass

_TEMPERATURE = Limits("temperature", 0, 40, "C")
ROOM_TAKEN_ML_G = 0.4  # a gram of dissolved salt adds about so much to the volume


def most_dissolved(formula: str, temp_c: float) -> float | None:
    """Most of a salt that a litre of its solution holds.

    The salt alone in pure water; beside others that share an ion it is less.

    Parameters
    ----------
    formula : str
        Formula with its crystal water, as weighed.
    temp_c : float
        The coldest that the bottle gets. [C] Valid 0..40.

    Returns
    -------
    float or None
        Grams as weighed, in a litre of solution; None where no table says. [g/L]

    Raises
    ------
    RefusedInput
        If the formula cannot be read or the temperature is nan or out of range.

    Notes
    -----
    s grams of anhydrous salt to 100 g of water, linear between the tables' temperatures; a litre of solution
    taken as 1000 s / (100 + 0.4 s) grams of it, then turned to the hydrate. The double salt of calcium and
    ammonium nitrate is taken as calcium nitrate, which dissolves less.

    Source: weast-astle-1981

    Examples
    --------
    >>> round(most_dissolved("KNO3", 20))
    281
    """
    temp = _TEMPERATURE.one(temp_c)
    mass, bare = salt_mass(formula), anhydrous(formula)
    if bare.startswith("5Ca(NO3)2"):
        bare, mass = "Ca(NO3)2", mass / 5
    temps, table = _tables()
    if bare not in table:
        return None
    grams = float(np.interp(temp, temps, table[bare]))
    return 1000 * grams / (100 + ROOM_TAKEN_ML_G * grams) * mass / salt_mass(bare)


@lru_cache(maxsize=1)
def _tables() -> tuple[NDArray[np.float64], Mapping[str, NDArray[np.float64]]]:
    """Temperatures and grams to 100 g of water."""
    data = read_data("solubility.toml")
    rows = {name: np.array(figures) for name, figures in data["grams_in_100_g"].items()}
    return np.array(data["temp_c"]), MappingProxyType(rows)
