"""The hazard of nuisance algae in a tank, a month: starting beliefs, and what the grower's sightings teach.

A logistic regression with a normal prior: few sightings move it little, many move it as far as they say.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.limits import Limits

_DAILY_LIGHT = Limits("daily light", 0, 60, "mol/m2/d")
_EC = Limits("EC", 0, 10_000, "mS/cm")  # reckoned: of a bath that dries, too
_SHARE = Limits("share of the month with a wet surface", 0, 1, "")
_Z80 = 1.2815515655446004
_MOST_STEPS = 60
Array = NDArray[np.float64]

# Levers in the order in which to pull them (common practice, no source): first the waterline.
LEVERS = ("waterline", "hours", "intensity")


@dataclass(frozen=True, slots=True)
class AlgaeHazard:
    """What is believed of algae: coefficients of (1, daily light, salts, wet surface), their covariance."""

    mean: Array  # (4,)
    cov: Array  # (4, 4)
    months: int  # tank-months heard
    seen: int  # of them with algae


@dataclass(frozen=True, slots=True)
class AlgaeChance:
    """Chance that algae become a nuisance in a month, with its 80 % range."""

    p_frac: Array
    low_frac: Array
    high_frac: Array


def start_algae() -> AlgaeHazard:
    """The hazard before the grower has seen anything.

    Returns
    -------
    AlgaeHazard
        Mean and covariance of the four coefficients; 15 % of ordinary tank-months with nuisance algae.

    Notes
    -----
    logit p = b0 + b1 (DLI - 2) + b2 (EC - 0.6) / 0.4 + b3 wet. All four are guesses, with spreads as wide.

    Source: priors, Algae

    Examples
    --------
    >>> round(float(algae_chance(start_algae(), 2.0, 0.6, 0.0).p_frac), 3)
    0.076
    """
    spreads = np.array(starting.ALGAE_SDS)
    return AlgaeHazard(np.array(starting.ALGAE_MEANS), np.diag(spreads**2), 0, 0)


def learn_algae(dli_mol_m2_d: Any, ec_ms_cm: Any, wet_frac: Any, seen: Any) -> AlgaeHazard:
    """The hazard after months in which algae were seen or not.

    Parameters
    ----------
    dli_mol_m2_d : array_like
        Daily light of each tank-month, shape (n,). [mol/m2/d] Valid 0..60.
    ec_ms_cm : array_like
        EC of its bath. [mS/cm] Valid 0..10000.
    wet_frac : array_like
        Share of the month in which the clay's surface was wet: the bath above the limit line. [1] Valid 0..1.
    seen : array_like
        1 where algae were noted as a nuisance, 0 where it was looked over and had none. [1] Valid 0..1.

    Returns
    -------
    AlgaeHazard
        Mode of the posterior with the curvature there as its spread (Laplace).

    Raises
    ------
    RefusedInput
        If a value is nan or out of range, or the lengths differ.

    Notes
    -----
    Maximises sum_i [s_i log p_i + (1 - s_i) log(1 - p_i)] + log N(b; b_start, S_start) by Newton's method;
    it is concave and has one top. No months give the starting hazard back. Coefficients are not held to be
    positive: a grower whose dim tanks have the algae is believed in the end.

    Source: gelman-bda3, section 16.3 (normal approximation); priors, Algae

    Examples
    --------
    >>> learned = learn_algae([2.0] * 24, [0.6] * 24, [0.0] * 24, [0] * 24)
    >>> float(algae_chance(learned, 2.0, 0.6, 0.0).p_frac) < 0.076
    True
    """
    start = start_algae()
    rows, answers = _rows(dli_mol_m2_d, ec_ms_cm, wet_frac), np.atleast_1d(np.asarray(seen, dtype=float))
    if not np.isin(answers, (0.0, 1.0)).all() or answers.shape != (len(rows),):
        raise RefusedInput("seen", _in_words(answers), "0 or 1 for every tank-month")
    precision = np.linalg.inv(start.cov)
    at = start.mean.copy()
    for _ in range(_MOST_STEPS):
        p = _chance(rows @ at)
        slope = rows.T @ (answers - p) - precision @ (at - start.mean)
        bend = (rows * (p * (1 - p))[:, None]).T @ rows + precision
        step = np.linalg.solve(bend, slope)
        at = at + step * min(1.0, 2.0 / max(float(np.abs(step).max()), 1e-12))
        if float(np.abs(step).max()) < 1e-10:
            break
    p = _chance(rows @ at)
    bend = (rows * (p * (1 - p))[:, None]).T @ rows + precision
    return AlgaeHazard(at, np.linalg.inv(bend), len(rows), int(answers.sum()))


def algae_chance(hazard: AlgaeHazard, dli_mol_m2_d: Any, ec_ms_cm: Any, wet_frac: Any) -> AlgaeChance:
    """Chance of nuisance algae in a month, for one tank or many.

    Parameters
    ----------
    hazard : AlgaeHazard
        What is believed.
    dli_mol_m2_d : array_like
        Daily light. [mol/m2/d] Valid 0..60.
    ec_ms_cm : array_like
        EC of the bath; broadcasts, as all do. [mS/cm] Valid 0..10000.
    wet_frac : array_like
        Share of the month with a wet surface. [1] Valid 0..1.

    Returns
    -------
    AlgaeChance
        Broadcast shape of all: the chance at the mode and its 80 % range. [1]

    Raises
    ------
    RefusedInput
        If a value is nan or out of range.

    Notes
    -----
    p = expit(x'b); the range is expit(x'b -+ 1.28 sqrt(x'Sx)). Beyond the months that were heard the range
    grows with the distance from them.

    Source: own definition

    Examples
    --------
    >>> wet = algae_chance(start_algae(), 2.5, 0.9, 1.0)
    >>> bool(wet.low_frac < wet.p_frac < wet.high_frac)
    True
    """
    light, salts, wet = np.broadcast_arrays(dli_mol_m2_d, ec_ms_cm, wet_frac)
    rows = _rows(light.ravel(), salts.ravel(), wet.ravel())
    middle = rows @ hazard.mean
    spread = np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", rows, hazard.cov, rows), 0.0))
    ends = (middle, middle - _Z80 * spread, middle + _Z80 * spread)
    p, low, high = (_chance(end).reshape(light.shape) for end in ends)
    return AlgaeChance(p, low, high)


def pull_levers(
    hazard: AlgaeHazard,
    ppfd_umol_m2_s: float,
    lamp_h: float,
    stray_mol_m2_d: float,
    ec_ms_cm: float,
    wet_frac: float,
) -> tuple[tuple[str, float], ...]:
    """What each lever alone does to the chance of algae, in the order in which to pull them.

    Parameters
    ----------
    hazard : AlgaeHazard
        What is believed.
    ppfd_umol_m2_s : float
        The lamp's light at the pots as it is set. [umol/m2/s] Valid 0..3000.
    lamp_h : float
        Hours a day. [h] Valid 0..24.
    stray_mol_m2_d : float
        Daily light from elsewhere. [mol/m2/d] Valid 0..60.
    ec_ms_cm : float
        EC of the bath. [mS/cm] Valid 0..10000.
    wet_frac : float
        Share of the month with a wet surface. [1] Valid 0..1.

    Returns
    -------
    tuple of (str, float)
        "as it is", "waterline", "hours", "intensity": the chance a month with that lever pulled. [1]

    Raises
    ------
    RefusedInput
        If a value is nan or out of range.

    Notes
    -----
    waterline: the bath is kept below the limit line, wet = 0. hours: two thirds of them. intensity: two
    thirds of it, which takes the same light away and slows plants as much; hours come first because
    algae and plants lose alike, and a lamp's hours are set by one knob.

    Source: own definition

    Examples
    --------
    >>> [name for name, _ in pull_levers(start_algae(), 60, 12, 0.0, 0.8, 1.0)]
    ['as it is', 'waterline', 'hours', 'intensity']
    """
    ppfd = Limits("PPFD", 0, 3000, "umol/m2/s").one(ppfd_umol_m2_s)
    hours = Limits("hours of light", 0, 24, "hours a day").one(lamp_h)
    stray = _DAILY_LIGHT.one(stray_mol_m2_d)

    def chance(lit_h: float, light: float, wet: float) -> float:
        return float(algae_chance(hazard, 0.0036 * lit_h * light + stray, ec_ms_cm, wet).p_frac)

    return (
        ("as it is", chance(hours, ppfd, wet_frac)),
        (LEVERS[0], chance(hours, ppfd, 0.0)),
        (LEVERS[1], chance(hours * 2 / 3, ppfd, wet_frac)),
        (LEVERS[2], chance(hours, ppfd * 2 / 3, wet_frac)),
    )


def _chance(odds_log: Array) -> Array:
    """The logistic function, without its exponential running over."""
    return np.asarray(0.5 + 0.5 * np.tanh(0.5 * odds_log))


def _in_words(values: Array) -> str:
    """Some values as they are shown in a refusal."""
    return ", ".join(f"{value:g}" for value in values.ravel()[:5])


def _rows(dli: Any, ec: Any, wet: Any) -> Array:
    light = np.atleast_1d(_DAILY_LIGHT.many(dli))
    salts = np.atleast_1d(_EC.many(ec))
    surface = np.atleast_1d(_SHARE.many(wet))
    if not light.shape == salts.shape == surface.shape or light.ndim != 1:
        raise RefusedInput("tank-months", light.shape, "light, salts and wet surface of the same months")
    return np.column_stack((np.ones(len(light)), light - 2.0, (salts - 0.6) / 0.4, surface))
