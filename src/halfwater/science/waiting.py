"""How long a pot takes for its next leaves: the waiting time of a Gamma-Poisson count, exact and fast."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput

Floats = NDArray[np.float64]


def waiting_chance(exposure: Any, more_leaves: Any, shape: Any, rate: Any) -> Floats:
    """The chance that a pot has made some more leaves after a growing time.

    Parameters
    ----------
    exposure : array_like
        Growing time, in units of 30 days of one growing tip. [1] Valid 0 or more.
    more_leaves : array_like
        Leaves still missing. [leaf] Valid any; nothing is missing at 0 and below.
    shape : array_like
        Of the gamma law of the pot's rate. [1] Valid above 0.
    rate : array_like
        Of that law; its mean is shape / rate. [1] Valid above 0.

    Returns
    -------
    ndarray
        Chance, 0 to 1. [1]

    Raises
    ------
    RefusedInput
        If a value is nan or outside its range.

    Notes
    -----
    The waiting time for m leaves at a Poisson rate that is itself gamma is rate times a beta-prime
    (m, shape): P(T <= E) = I_x(m, shape), x = E / (E + rate). At E = 0 the chance
    is 0, with nothing missing it is 1.

    Source: johnson-kotz-1995, chapter 27

    Examples
    --------
    >>> round(float(waiting_chance(2.0, 1.0, 1.0, 2.0)), 6)
    0.5
    """
    from scipy.special import betainc

    time, need = np.asarray(exposure, dtype=float), np.asarray(more_leaves, dtype=float)
    own, slow = np.asarray(shape, dtype=float), np.asarray(rate, dtype=float)
    if not ((time >= 0).all() and np.isfinite(need).all()):
        raise RefusedInput("exposure", exposure, "growing time of 0 or more, for a number of leaves")
    if not ((own > 0).all() and (slow > 0).all()):
        raise RefusedInput("shape", shape, "a shape and a rate above 0")
    chance = betainc(np.where(need > 0, need, 1.0), own, time / (time + slow))
    return np.asarray(np.where(need > 0, chance, 1.0))


def waiting_exposure(probability: Any, more_leaves: Any, shape: Any, rate: Any) -> Floats:
    """The growing time after which a pot has made some more leaves with a given chance.

    Parameters
    ----------
    probability : array_like
        The chance. [1] Valid above 0 and below 1.
    more_leaves : array_like
        Leaves still missing. [leaf] Valid above 0.
    shape : array_like
        Of the gamma law of the pot's rate. [1] Valid above 0.
    rate : array_like
        Of that law. [1] Valid above 0.

    Returns
    -------
    ndarray
        Growing time, in units of 30 days of one growing tip. [1]

    Raises
    ------
    RefusedInput
        If a value is nan or outside its range.

    Notes
    -----
    rate x / (1 - x) with x the quantile of Beta(m, shape): a scaled beta-prime.

    Source: johnson-kotz-1995, chapter 27

    Examples
    --------
    >>> round(float(waiting_exposure(0.5, 1.0, 1.0, 2.0)), 6)
    2.0
    """
    from scipy.special import betaincinv

    p, need = np.asarray(probability, dtype=float), np.asarray(more_leaves, dtype=float)
    own, slow = np.asarray(shape, dtype=float), np.asarray(rate, dtype=float)
    if not ((p > 0) & (p < 1)).all():
        raise RefusedInput("probability", probability, "above 0 and below 1")
    if not ((need > 0).all() and (own > 0).all() and (slow > 0).all()):
        raise RefusedInput("more_leaves", more_leaves, "leaves, a shape and a rate above 0")
    x = betaincinv(need, own, p)
    return np.asarray(slow * x / (1.0 - x))


def gamma_poisson_tail(births: Any, blur_var: Any, more_leaves: Any) -> Floats:
    """The chance that a gamma-Poisson number reaches a threshold, by cube roots.

    Parameters
    ----------
    births : array_like
        Mean. [1] Valid above 0.
    blur_var : array_like
        Squared coefficient of variation of the gamma part. [unit2] Valid 0 or more.
    more_leaves : array_like
        Threshold; need not be whole. [leaf] Valid any; at 0 and below the chance is 1.

    Returns
    -------
    ndarray
        Chance, within 0.012 of the incomplete beta function for thresholds from 1 on. [1]

    Notes
    -----
    With k the threshold, c the squared coefficient of variation and w = (M / k)^(1/3):
    z = (w (1 - c / 9) - (1 - 1 / (9 k))) / sqrt(w^2 c / 9 + 1 / (9 k)), chance = Phi(z). A nan goes through.

    Source: wilson-hilferty-1931
    """
    from scipy.special import ndtr

    need = np.maximum(np.asarray(more_leaves, dtype=np.float32), np.float32(1e-3))
    w = np.cbrt(np.asarray(births, dtype=np.float32)) * (1.0 / np.cbrt(need))
    ninth = (1.0 / 9.0) / need
    var = np.asarray(blur_var, dtype=np.float32) * np.float32(1.0 / 9.0)
    below = w * w
    below *= var
    below += ninth
    w *= 1.0 - var
    w -= 1.0 - ninth
    w /= np.sqrt(below)
    return np.where(np.asarray(more_leaves) > 0, ndtr(w), np.float32(1.0))
