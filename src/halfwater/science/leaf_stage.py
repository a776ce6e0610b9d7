"""How far a shoot has come between two leaves, and how fast it grows for its size."""

import math

from halfwater.errors import RefusedInput


def plastochron_index(leaves: int, long_mm: float, short_mm: float, reference_mm: float) -> float:
    """Age of a shoot in leaves, with the part of the next leaf.

    Parameters
    ----------
    leaves : int
        Leaves at least as long as the reference. Valid 1 upward.
    long_mm : float
        Length of the last of them. [mm] Valid reference upward.
    short_mm : float
        Length of the next leaf. [mm] Valid above 0 to below the reference.
    reference_mm : float
        The length at which a leaf counts. [mm] Valid above 0.

    Returns
    -------
    float
        Leaves, from `leaves` to just below one more. [1]

    Raises
    ------
    RefusedInput
        If the lengths are nan or the reference does not lie between them.

    Notes
    -----
    n + (ln L_n - ln R) / (ln L_n - ln L_n+1): leaves lengthen by the same share a day while young.

    Source: erickson-michelini-1957

    Examples
    --------
    >>> plastochron_index(9, 20.0, 5.0, 10.0)
    9.5
    """
    if leaves < 1:
        raise RefusedInput("leaves", leaves, "at least one leaf as long as the reference")
    if not 0.0 < short_mm < reference_mm <= long_mm < math.inf:
        said = (long_mm, short_mm, reference_mm)
        raise RefusedInput("lengths", said, "the reference between the next leaf and the last that counts")
    return leaves + math.log(long_mm / reference_mm) / math.log(long_mm / short_mm)


def relative_growth_per_30d(first: float, second: float, span_days: float) -> float:
    """Growth for each unit of size in 30 days, from two measurements of one plant.

    Parameters
    ----------
    first : float
        Size at first: leaves, length or weight. [1] Valid above 0.
    second : float
        Size later, in the same unit. [1] Valid above 0.
    span_days : float
        Days between. [d] Valid above 0.

    Returns
    -------
    float
        Relative growth rate; below 0 where the plant shrank. [1/30d]

    Raises
    ------
    RefusedInput
        If a size or the span is not above 0.

    Notes
    -----
    30 (ln W2 - ln W1) / (t2 - t1).

    Source: hunt-1982

    Examples
    --------
    >>> round(relative_growth_per_30d(2.0, 8.0, 14.0) / 30.0, 7)
    0.099021
    """
    for name, value in (("first", first), ("second", second), ("span_days", span_days)):
        if not 0.0 < value < math.inf:
            raise RefusedInput(name, value, "a number above 0")
    return 30.0 * math.log(second / first) / span_days


def doubling_days(growth_per_30d: float) -> float | None:
    """Days in which a plant doubles at a relative growth rate.

    Parameters
    ----------
    growth_per_30d : float
        Relative growth rate. [1/30d] Valid finite.

    Returns
    -------
    float or None
        Days; None where it does not grow. [d]

    Raises
    ------
    RefusedInput
        If the rate is nan or infinite.

    Notes
    -----
    30 ln 2 / rate.

    Source: hunt-1982

    Examples
    --------
    >>> round(doubling_days(relative_growth_per_30d(2.0, 8.0, 14.0)), 9)
    7.0
    """
    if not math.isfinite(growth_per_30d):
        raise RefusedInput("growth", growth_per_30d, "a finite rate")
    return 30.0 * math.log(2.0) / growth_per_30d if growth_per_30d > 0.0 else None
