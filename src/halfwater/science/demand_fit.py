"""The fit behind demand: Newton steps at many nodes at once, each node a plausible law of interest.

What all lines share (the law of interest, level, taxa, grades, kinds, drift, elasticity) and what the lines
of one release share (its rush, its share of rush, its level) form a matrix with an arrow's head: releases
are eliminated one by one, so that two hundred of them cost little more than twenty.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.science.demand_lines import DemandLines, LineTerms, line_terms

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

LAW = 3  # log rush_h, log-odds of rush_frac, log tail_h come first
OF_RELEASE = 3  # level, log rush_h, log-odds of rush_frac
_STEPS, _LONGEST = 40, 2.0


@dataclass(frozen=True)
class Places:
    """Where in the shared numbers each of them stands."""

    level: int
    taxon: slice
    grade: slice
    kind: slice
    drift: slice
    elasticity: int
    elasticity_taxon: slice
    count: int


@dataclass(frozen=True)
class Nodes:
    """Plausible worlds: each row one, with a normal law of the shared numbers and spreads of its own."""

    weight_log: Floats  # nodes: of each before any line
    mean: Floats  # nodes x shared
    precision: Floats  # nodes x shared x shared
    release_precision: Floats  # nodes x 3
    spread_shape: Floats  # nodes: gamma shape between lines


@dataclass(frozen=True)
class Design:
    """How lines hang together: what of the shared numbers each line's level adds up from."""

    lines: DemandLines
    places: Places
    row: Floats  # lines x shared; columns of the law and of elasticity are nought
    release_start: Ints  # first line of each release


@dataclass(frozen=True)
class DemandFit:
    """The top of each node, and the normal law around it."""

    shared: Floats  # nodes x shared
    of_release: Floats  # nodes x releases x 3
    inner: Floats  # nodes x shared x shared: information with the releases eliminated
    block: Floats  # nodes x releases x 3 x 3: information of a release given the shared numbers
    cross: Floats  # nodes x releases x 3 x shared
    evidence_log: Floats  # nodes: Laplace's, the node's own weight included


def fit_nodes(
    design: Design, nodes: Nodes, start: DemandFit | None = None, *, close_log: float = 1e-3
) -> DemandFit:
    """Top of every node with the law around it.

    Parameters
    ----------
    design : Design
        The lines.
    nodes : Nodes
        Where to look.
    start : DemandFit, optional
        Where to begin; else at the nodes' means.
    close_log : float
        A step shorter than this is the last. [1] Valid above 0.

    Returns
    -------
    DemandFit
        Tops, information, evidence. [1]

    Notes
    -----
    Fisher scoring with steps halved until the sum of log-likelihood and log prior does not fall. The steps
    end when none is longer than close_log. Evidence by Laplace. Without lines the top is the prior's mean.

    Source: rue-martino-chopin-2009, section 3; own definition of the elimination
    """
    shared = nodes.mean.copy() if start is None else start.shared.copy()
    releases = len(design.release_start)
    own = np.zeros((len(shared), releases, OF_RELEASE)) if start is None else start.of_release.copy()
    if not releases:
        nothing = np.zeros((len(shared), 0, OF_RELEASE, OF_RELEASE))
        across = np.zeros((len(shared), 0, OF_RELEASE, shared.shape[1]))
        return DemandFit(shared, own, nodes.precision, nothing, across, nodes.weight_log)
    best, terms = _objective(design, nodes, shared, own)
    live = np.arange(len(shared))
    for _ in range(_STEPS):
        part = _some(nodes, live)
        step, step_own = _newton(design, part, shared[live], own[live], _pick(terms, live))
        longest = np.maximum(np.abs(step).max(axis=1), np.abs(step_own).max(axis=(1, 2)))
        step *= np.minimum(1.0, _LONGEST / np.maximum(longest, 1e-300))[:, None]
        step_own *= np.minimum(1.0, _LONGEST / np.maximum(longest, 1e-300))[:, None, None]
        length = np.ones(len(live))
        for _ in range(12):
            tried, tried_own = (
                shared[live] + length[:, None] * step,
                own[live] + length[:, None, None] * step_own,
            )
            value, found = _objective(design, part, tried, tried_own)
            is_worse = value < best[live] - 1e-9
            if not is_worse.any():
                break
            length[is_worse] /= 3.0
        length[is_worse] = 0.0
        good = ~is_worse
        shared[live[good]], own[live[good]], best[live[good]] = tried[good], tried_own[good], value[good]
        _put(terms, live[good], found, good)
        live = live[longest * length > close_log]
        if not len(live):
            break
    return _laplace(design, nodes, shared, own, best, terms)


def line_coordinates(design: Design, shared: Floats, own: Floats) -> tuple[Floats, Floats]:
    """Of each line at each node: logarithm of all wanted, and the three numbers of its law.

    Parameters
    ----------
    design : Design
        The lines.
    shared : ndarray
        Nodes x shared. [1] Valid finite.
    own : ndarray
        Nodes x releases x 3. [1] Valid finite.

    Returns
    -------
    tuple of ndarray
        Nodes x lines, and nodes x lines x 3. [1]

    Notes
    -----
    level + taxon + grade + kind + drift + release - elasticity x log price; rush and its share differ by
    release, the tail does not.

    Source: own definition
    """
    lines, release = design.lines, design.lines.release
    total = shared @ design.row.T + own[:, release, 0] - _elasticity(design, shared) * lines.price_log
    law = np.repeat(shared[:, None, :LAW], len(release), axis=1)
    law[..., :2] += own[:, release, 1:]
    return total, law


def _elasticity(design: Design, shared: Floats) -> Floats:
    places = design.places
    each = shared[:, places.elasticity_taxon][:, design.lines.taxon]
    found: Floats = np.exp(shared[:, places.elasticity, None] + each)
    return found


def _objective(design: Design, nodes: Nodes, shared: Floats, own: Floats) -> tuple[Floats, LineTerms]:
    total, law = line_coordinates(design, shared, own)
    terms = line_terms(design.lines, nodes.spread_shape, total, law)
    away = shared - nodes.mean
    prior = np.einsum("ns,nst,nt->n", away, nodes.precision, away) + (
        own**2 * nodes.release_precision[:, None, :]
    ).sum(axis=(1, 2))
    return terms.value.sum(axis=1) - prior / 2.0, terms


def _newton(
    design: Design, nodes: Nodes, shared: Floats, own: Floats, terms: LineTerms
) -> tuple[Floats, Floats]:
    """One step in the shared numbers and in those of the releases."""
    inner, block, cross = _information(design, nodes, shared, terms)
    slope, slope_own = _slopes(design, nodes, shared, own, terms)
    through = np.linalg.solve(block, np.concatenate([cross, slope_own[..., None]], axis=3))
    pulled = slope - np.einsum("nrvs,nrv->ns", cross, through[..., -1])
    step = np.linalg.solve(inner, pulled[..., None])[..., 0]
    return step, through[..., -1] - np.einsum("nrvs,ns->nrv", through[..., :-1], step)


def _slopes(
    design: Design, nodes: Nodes, shared: Floats, own: Floats, terms: LineTerms
) -> tuple[Floats, Floats]:
    row = _rows(design, shared)
    slope = (terms.slope[:, None, :, 0] @ row)[:, 0]
    slope[:, :LAW] += terms.slope[..., 1:].sum(axis=1)
    slope -= np.einsum("nst,nt->ns", nodes.precision, shared - nodes.mean)
    slope_own = _by_release(design, terms.slope[..., :OF_RELEASE]) - own * nodes.release_precision[:, None, :]
    return slope, slope_own


def _information(
    design: Design, nodes: Nodes, shared: Floats, terms: LineTerms
) -> tuple[Floats, Floats, Floats]:
    """Information of the shared numbers with releases eliminated, of each release, and across."""
    row = _rows(design, shared)  # nodes x lines x shared
    weighed = terms.information[..., :, :1] * row[..., None, :]  # nodes x lines x 4 x shared
    weighed[..., :LAW] += terms.information[..., 1:]
    inner = np.swapaxes(row, 1, 2) @ weighed[..., 0, :]
    inner[:, :LAW] += weighed[..., 1:, :].sum(axis=1)
    inner += nodes.precision
    cross = _by_release(design, weighed[..., :OF_RELEASE, :])
    block = _by_release(design, terms.information[..., :OF_RELEASE, :OF_RELEASE])
    block = block + nodes.release_precision[:, None, :, None] * np.eye(OF_RELEASE)
    count, releases, _, places = cross.shape
    through = np.linalg.solve(block, cross).reshape(count, releases * OF_RELEASE, places)
    inner -= np.swapaxes(cross.reshape(through.shape), 1, 2) @ through
    return inner, block, cross


def _rows(design: Design, shared: Floats) -> Floats:
    """Slopes of each line's level in the shared numbers: the design, and elasticity by its logarithm."""
    places, lines = design.places, design.lines
    row = np.repeat(design.row[None], len(shared), axis=0)
    moved = -_elasticity(design, shared) * lines.price_log
    row[..., places.elasticity] = moved
    np.put_along_axis(
        row[..., places.elasticity_taxon],
        np.broadcast_to(lines.taxon[None, :, None], (*moved.shape, 1)),
        moved[..., None],
        axis=2,
    )
    return row


def _by_release(design: Design, of_lines: Floats) -> Floats:
    """Sums over the lines of each release."""
    return np.add.reduceat(of_lines, design.release_start, axis=1)


def _laplace(
    design: Design, nodes: Nodes, shared: Floats, own: Floats, best: Floats, terms: LineTerms
) -> DemandFit:
    inner, block, cross = _information(design, nodes, shared, terms)
    spread = np.linalg.slogdet(nodes.precision)[1] - np.linalg.slogdet(inner)[1]
    spread = spread + block.shape[1] * np.log(nodes.release_precision).sum(axis=1)
    spread = spread - np.linalg.slogdet(block)[1].sum(axis=1)
    return DemandFit(shared, own, inner, block, cross, nodes.weight_log + best + spread / 2.0)


def _some(nodes: Nodes, rows: Ints) -> Nodes:
    """Some of the nodes."""
    return Nodes(
        nodes.weight_log[rows],
        nodes.mean[rows],
        nodes.precision[rows],
        nodes.release_precision[rows],
        nodes.spread_shape[rows],
    )


def _pick(terms: LineTerms, rows: Ints) -> LineTerms:
    return LineTerms(terms.value[rows], terms.slope[rows], terms.information[rows])


def _put(terms: LineTerms, rows: Ints, found: LineTerms, good: NDArray[np.bool_]) -> None:
    """Write what was found at some nodes over what was known of them."""
    for old, new in (
        (terms.value, found.value),
        (terms.slope, found.slope),
        (terms.information, found.information),
    ):
        old[rows] = new[good]
