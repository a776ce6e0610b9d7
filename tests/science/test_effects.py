"""Crossed effects: held to the same sums done with one dense matrix, and to exact answers."""

import numpy as np
import pytest
from scipy.special import digamma

from halfwater.errors import RefusedInput
from halfwater.science.effects import (
    CrossedDesign,
    draw_effects,
    fit_crossed_effects,
    row_rates,
    row_variances,
)


def crossed(rows=400, seed=1):
    """Three crossed effects a row, twelve clusters, counts at random."""
    rng = np.random.default_rng(seed)
    index = np.stack((rng.integers(3, size=rows), 3 + rng.integers(4, size=rows), np.full(rows, 7)), axis=1)
    weight = np.stack((np.ones(rows), np.ones(rows), rng.normal(0, 0.3, rows)), axis=1)
    design = CrossedDesign(
        index, weight, rng.integers(12, size=rows),
        np.array([0.5, 0.2, 0.1, 0, 0, 0, 0, 1.0]), np.full(8, 0.2), np.full(12, 0.06),
    )  # fmt: skip
    exposure = rng.uniform(0.5, 4.0, rows)
    seen = rng.poisson(1.5 * exposure)
    return design, lambda log: (seen - np.exp(log) * exposure, np.exp(log) * exposure)


def dense(design, slope):
    """The same posterior by plain Newton steps with all effects in one matrix."""
    rows, effects, clusters = len(design.index), len(design.prior_log), len(design.cluster_var)
    x = np.zeros((rows, effects + clusters))
    for k in range(design.index.shape[1]):
        x[np.arange(rows), design.index[:, k]] += design.weight[:, k]
    x[np.arange(rows), effects + design.cluster] = 1.0
    start = np.concatenate((design.prior_log, np.zeros(clusters)))
    own = np.concatenate((design.prior_var, design.cluster_var))
    at = start.copy()
    for _ in range(50):
        first, second = slope(x @ at)
        matrix = x.T @ (x * second[:, None]) + np.diag(1 / own)
        at = at + np.linalg.solve(matrix, x.T @ first + (start - at) / own)
    return at, np.linalg.inv(matrix), x


def test_the_fit_is_that_of_one_dense_matrix():
    """Eliminating clusters one by one changes nothing: mode and spread are those of the full matrix."""
    design, slope = crossed()
    at, spread, x = dense(design, slope)
    fit = fit_crossed_effects(design, slope, close_log=1.01e-4)
    np.testing.assert_allclose(np.concatenate((fit.effect_log, fit.cluster_log)), at, atol=2e-4)
    np.testing.assert_allclose(row_variances(design, fit), np.einsum("ij,jk,ik->i", x, spread, x), rtol=1e-3)


def test_the_centre_is_the_mean():
    """With k events under a wide start a rate is a gamma law: the mean of its log is digamma(k)."""
    design = CrossedDesign(
        np.zeros((1, 1), dtype=int), np.ones((1, 1)), np.zeros(1, dtype=int),
        np.zeros(1), np.full(1, 1e4), np.full(1, 1e-9),
    )  # fmt: skip
    for events in (4.0, 9.0):
        fit = fit_crossed_effects(design, lambda log, k=events: (k - np.exp(log), np.exp(log)))
        assert fit.effect_log[0] == pytest.approx(digamma(events), abs=0.25 / events**2)


def test_draws_have_the_spread_of_the_fit():
    """Draws of the rows scatter as their variances say, around the centre."""
    design, slope = crossed()
    fit = fit_crossed_effects(design, slope)
    effects, clusters = draw_effects(fit, 6000, 3)
    drawn = np.stack([row_rates(design, e, c) for e, c in zip(effects, clusters, strict=True)])[:, :40]
    np.testing.assert_allclose(
        drawn.mean(axis=0), row_rates(design, fit.effect_log, fit.cluster_log)[:40], atol=1e-9
    )
    np.testing.assert_allclose(drawn.var(axis=0), row_variances(design, fit)[:40], rtol=0.12)


def test_without_rows_the_start_stays():
    """Nothing seen, nothing learned."""
    none = np.empty((0, 1), dtype=int)
    design = CrossedDesign(none, np.empty((0, 1)), none[:, 0], np.array([0.3]), np.array([0.2]), np.ones(2))
    fit = fit_crossed_effects(design, lambda log: (log, log))
    assert fit.effect_log == pytest.approx([0.3])
    assert fit.cluster_log == pytest.approx([0.0, 0.0])


def test_bad_starts_are_refused():
    """A start that is no number, a variance of nothing, no draws, a hill without end."""
    design, slope = crossed()
    for broken in ({"prior_log": design.prior_log * np.nan}, {"prior_var": design.prior_var * 0}):
        with pytest.raises(RefusedInput):
            fit_crossed_effects(CrossedDesign(**{**design.__dict__, **broken}), slope)
    with pytest.raises(RefusedInput):
        draw_effects(fit_crossed_effects(design, slope), 0, 1)
    with pytest.raises(RefusedInput, match="one hill"):
        fit_crossed_effects(design, lambda log: (np.cos(log * 400) * 400, np.full(len(log), 0.01)))
