"""How many equal circles can at most stand in a rectangle."""

import math

from halfwater.errors import RefusedInput

SLACK = 1e-9  # relative: what rounding of inches to millimetres may add up to


def most_pots(length_mm: float, width_mm: float, pot_mm: float, gap_mm: float = 0.0) -> int:
    """Number of pots that no arrangement on a floor can exceed.

    The centres of the pots lie in a rectangle smaller than the floor by half a
    pot on every side, and no two are nearer than a pot and a gap. Oler's
    inequality, which Groemer proved first, bounds their number.

    Parameters
    ----------
    length_mm : float
        Inside length of the floor. [mm] Valid above 0.
    width_mm : float
        Inside width of the floor. [mm] Valid above 0.
    pot_mm : float
        Widest outside diameter of a pot. [mm] Valid above 0, up to the shorter side.
    gap_mm : float
        Least clear distance between two pots; none is kept to the walls. [mm] Valid 0 upward.

    Returns
    -------
    int
        The bound, rounded down.

    Raises
    ------
    RefusedInput
        If a length is nan, infinite or not above nought, the gap is negative,
        or the pot is larger than the floor.

    Notes
    -----
    N <= 2/sqrt(3) A/d2 + P/(2 d) + 1 for centres in a convex set of area A and
    perimeter P, d apart. It holds for any number of pots, also when the set
    shrinks to a line or a point, where it is exact.

    Source: oler-1961; groemer-1960

    Examples
    --------
    >>> most_pots(914.4, 457.2, 50.8)
    183
    """
    check_floor(length_mm, width_mm, pot_mm, gap_mm)
    inner_length, inner_width = length_mm - pot_mm, width_mm - pot_mm
    apart = pot_mm + gap_mm
    area = 2.0 / math.sqrt(3.0) * inner_length * inner_width / apart**2
    return math.floor((area + (inner_length + inner_width) / apart + 1.0) * (1.0 + SLACK))


def check_floor(length_mm: float, width_mm: float, pot_mm: float, gap_mm: float) -> None:
    """Refusal of a floor that cannot take a single pot.

    Parameters
    ----------
    length_mm : float
        Inside length of the floor. [mm] Valid above 0.
    width_mm : float
        Inside width of the floor. [mm] Valid above 0.
    pot_mm : float
        Widest outside diameter of a pot. [mm] Valid above 0, up to the shorter side.
    gap_mm : float
        Least clear distance between two pots. [mm] Valid 0 upward.

    Returns
    -------
    None
        Nothing, when the floor takes a pot.

    Raises
    ------
    RefusedInput
        If a length is nan, infinite or not above nought, the gap is negative,
        or the pot is larger than the floor.

    Notes
    -----
    A pot exactly as wide as the floor is taken.

    Source: own definition
    """
    for field, value in (("floor length", length_mm), ("floor width", width_mm), ("pot", pot_mm)):
        if not (math.isfinite(value) and value > 0):
            raise RefusedInput(field, value, "a length above nought, in mm")
    if not (math.isfinite(gap_mm) and gap_mm >= 0):
        raise RefusedInput("gap", gap_mm, "a length of nought or more, in mm")
    if pot_mm > min(length_mm, width_mm):
        shorter = f"{min(length_mm, width_mm):.4g}"
        raise RefusedInput("pot", f"{pot_mm:.4g} mm", f"a pot no wider than the floor, here {shorter} mm")
