"""Crossed effects on a rate: taxa, tanks and covariates crossed with many small clusters.

Each row has a logarithm of its rate, the sum of a few crossed effects and of its cluster's own. Clusters
(batches, parents) are many and touch each row once, so they are eliminated one by one and only the few
crossed effects need a dense matrix: cost grows with the rows, not with the cube of the clusters.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Slope = Callable[[Floats], tuple[Floats, Floats]]

_LONGEST_STEP = 1.0  # of any row's log rate in one Newton step
_CLOSE = 1e-4  # of any effect, where the steps end
_MOST_STEPS = 120
_NEAR = 0.05  # of a log rate, for the change of its curvature


@dataclass(frozen=True)
class CrossedDesign:
    """Which effects each row has: `index` and `weight` hold a row's crossed effects side by side."""

    index: Ints  # rows x effects of a row; a weight of 0 stands for none
    weight: Floats
    cluster: Ints  # one a row
    prior_log: Floats  # of the crossed effects
    prior_var: Floats
    cluster_var: Floats  # one a cluster, each around 0


@dataclass(frozen=True)
class CrossedFit:
    """The posterior of all effects as a joint normal."""

    effect_log: Floats  # crossed
    cluster_log: Floats
    root: Floats  # lower Cholesky root of the crossed effects' precision, clusters integrated out
    cross: Floats  # clusters x crossed effects, of the precision
    cluster_weight: Floats  # precision of each cluster, given the crossed effects
    steps: int


def row_rates(design: CrossedDesign, effect_log: Floats, cluster_log: Floats) -> Floats:
    """The logarithm of each row's rate from its effects.

    Parameters
    ----------
    design : CrossedDesign
        Which effects each row has.
    effect_log : ndarray
        Crossed effects. [1] Valid finite.
    cluster_log : ndarray
        Effects of the clusters. [1] Valid finite.

    Returns
    -------
    ndarray
        One value a row. [1]

    Notes
    -----
    eta_i = sum over k of weight_ik effect[index_ik] + cluster[cluster_i]. At 0 everywhere the rate is 1.
    A nan goes through.

    Source: own definition
    """
    own = np.einsum("ik,ik->i", design.weight, effect_log[design.index])
    return np.asarray(own + cluster_log[design.cluster])


def fit_crossed_effects(
    design: CrossedDesign, slope: Slope, *, begin: CrossedFit | None = None, close_log: float = _CLOSE
) -> CrossedFit:
    """The effects given what is seen, with their joint spread (Newton steps, then Laplace).

    Parameters
    ----------
    design : CrossedDesign
        Which effects each row has, and their starting values.
    slope : callable
        Given each row's log rate: slope and curvature (with its sign turned) of its log likelihood.
    begin : CrossedFit, optional
        Where the steps begin; else at the starting values.
    close_log : float
        A step smaller than this in every log rate is the last. [1] Valid above 0.

    Returns
    -------
    CrossedFit
        Centre and precision. [1]

    Raises
    ------
    RefusedInput
        If a starting value is not finite, a variance is not above 0, or the steps do not settle.

    Notes
    -----
    Precision [[A, C'], [C, B]], B diagonal: one entry a cluster. The step of the crossed effects solves
    (A - C' B^-1 C) du = g_u - C' B^-1 g_b, then db = B^-1 (g_b - C du). A step that would change a row's
    log rate by more than 1 is shortened. Without rows the answer is the starting value.
    Where the likelihood is not concave a row's curvature is kept above 0 by whoever gives `slope`. Few counts
    make a skew hill: the centre given is the mean, mode + H^-1 sum of x_i t_i v_i / 2, to third order, with t
    the third derivative and v the variance of a row's log rate. After rough steps (`close_log` above
    0.0001) it is the mode.

    Source: gelman-bda3, sections 4.1 and 15.1; tierney-kadane-1986
    """
    if not (np.isfinite(design.prior_log).all() and np.isfinite(design.prior_var).all()):
        raise RefusedInput("prior_log", design.prior_log, "starting values that are finite numbers")
    if not ((design.prior_var > 0).all() and (design.cluster_var > 0).all()):
        raise RefusedInput("prior_var", design.prior_var, "variances above 0")
    effects, clusters = design.prior_log, np.zeros(len(design.cluster_var))
    if begin is not None:
        effects, clusters = begin.effect_log, begin.cluster_log
    for step in range(1, _MOST_STEPS + 1):
        first, second = slope(row_rates(design, effects, clusters))
        root, cross, own = _precision(design, second)
        pull = _sums(design, first) + (design.prior_log - effects) / design.prior_var
        pull_own = np.bincount(design.cluster, first, len(clusters)) - clusters / design.cluster_var
        move = _solve(root, pull - cross.T @ (pull_own / own))
        move_own = (pull_own - cross @ move) / own
        change = row_rates(design, move, move_own)
        widest = float(np.max(np.abs(change), initial=0.0))
        short = min(_patience(step), _LONGEST_STEP / widest) if widest > 0 else 1.0
        effects, clusters = effects + short * move, clusters + short * move_own
        if max(widest, float(np.max(np.abs(move), initial=0.0))) < close_log:
            fit = CrossedFit(effects, clusters, root, cross, own, step)
            return fit if close_log > _CLOSE else _centred(design, slope, fit)
    raise RefusedInput("slope", widest, "a likelihood with one hill: the steps did not settle")


def row_variances(design: CrossedDesign, fit: CrossedFit) -> Floats:
    """The variance of each row's log rate.

    Parameters
    ----------
    design : CrossedDesign
        Which effects each row has.
    fit : CrossedFit
        The posterior.

    Returns
    -------
    ndarray
        One value a row. [unit2]

    Notes
    -----
    1 / B + g' S^-1 g with g = x - C' / B of the row's cluster and S the crossed effects' precision.

    Source: gelman-bda3, section 4.1
    """
    g = -(fit.cross / fit.cluster_weight[:, None])[design.cluster]
    rows = np.arange(len(g))
    for k in range(design.index.shape[1]):
        g[rows, design.index[:, k]] += design.weight[:, k]
    half = np.linalg.solve(fit.root, g.T)
    return np.asarray(np.einsum("ki,ki->i", half, half) + 1.0 / fit.cluster_weight[design.cluster])


def _centred(design: CrossedDesign, slope: Slope, fit: CrossedFit) -> CrossedFit:
    """The fit moved from its mode to its mean."""
    rate = row_rates(design, fit.effect_log, fit.cluster_log)
    third = (slope(rate - _NEAR)[1] - slope(rate + _NEAR)[1]) / (2.0 * _NEAR)
    pull = 0.5 * third * row_variances(design, fit)
    pull_own = np.bincount(design.cluster, pull, len(fit.cluster_log))
    move = _solve(fit.root, _sums(design, pull) - fit.cross.T @ (pull_own / fit.cluster_weight))
    move_own = (pull_own - fit.cross @ move) / fit.cluster_weight
    return replace(fit, effect_log=fit.effect_log + move, cluster_log=fit.cluster_log + move_own)


def _patience(step: int) -> float:
    """Share of a Newton step that is gone: shorter once it is seen that whole ones jump to and fro."""
    return 1.0 if step <= 15 else 0.5 if step <= 30 else 0.2


def draw_effects(fit: CrossedFit, draws: int, seed: int) -> tuple[Floats, Floats]:
    """Joint draws of the crossed effects and of the clusters.

    Parameters
    ----------
    fit : CrossedFit
        The posterior.
    draws : int
        How many.
    seed : int
        Of the random numbers.

    Returns
    -------
    tuple of ndarray
        (draws x crossed effects, draws x clusters). [1]

    Raises
    ------
    RefusedInput
        If fewer than one draw is asked for.

    Notes
    -----
    u = centre + R^-T z with R R' the precision; clusters given u are independent, around
    centre - B^-1 C (u - centre) with variances B^-1.
    The draws come in pairs mirrored at the centre, so that it is their mean for an even number.

    Source: gelman-bda3, section 4.1
    """
    if draws < 1:
        raise RefusedInput("draws", draws, "1 or more")
    rng = np.random.default_rng(seed)
    half = (draws + 1) // 2
    z = rng.standard_normal((half, len(fit.effect_log)))
    z_own = rng.standard_normal((half, len(fit.cluster_log)))
    move = np.linalg.solve(fit.root.T, z.T).T
    move_own = z_own / np.sqrt(fit.cluster_weight) - (move @ fit.cross.T) / fit.cluster_weight
    both = np.concatenate((move, -move))[:draws], np.concatenate((move_own, -move_own))[:draws]
    return fit.effect_log + both[0], fit.cluster_log + both[1]


def _precision(design: CrossedDesign, second: Floats) -> tuple[Floats, Floats, Floats]:
    """Root of the crossed effects' precision, the cross terms, and the clusters' own precision."""
    effects, clusters = len(design.prior_log), len(design.cluster_var)
    weighted = design.weight * second[:, None]
    dense, cross = np.zeros(effects * effects), np.zeros(clusters * effects)
    for k in range(design.index.shape[1]):
        place = design.cluster * effects + design.index[:, k]
        cross += np.bincount(place, weighted[:, k], clusters * effects)
        for other in range(design.index.shape[1]):
            pair = design.index[:, k] * effects + design.index[:, other]
            dense += np.bincount(pair, weighted[:, k] * design.weight[:, other], effects * effects)
    own = np.bincount(design.cluster, second, clusters) + 1.0 / design.cluster_var
    crossed = cross.reshape(clusters, effects)
    # einsum, for so thin a product is not worth a library's threads
    left = dense.reshape(effects, effects) - np.einsum("ci,cj->ij", crossed, crossed / own[:, None])
    return np.asarray(np.linalg.cholesky(left + np.diag(1.0 / design.prior_var))), crossed, own


def _sums(design: CrossedDesign, first: Floats) -> Floats:
    """The slope of each crossed effect."""
    return np.bincount(
        design.index.ravel(), (design.weight * first[:, None]).ravel(), len(design.prior_log)
    ).astype(np.float64)


def _solve(root: Floats, right: Floats) -> Floats:
    """The answer x of (root root') x = right."""
    return np.asarray(np.linalg.solve(root.T, np.linalg.solve(root, right)))
