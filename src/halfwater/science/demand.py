"""How many plants buyers would have taken, also where the pots ran out first, and what a next line may meet.

Interest comes as orders at random times: all that would ever be wanted of a line is gamma about what its
taxon, grade, release and price make likely, and comes by a law of rush and tail that no one line tells. A
quick sell-out says "many, or soon": how far the two can be told apart is left to the other lines.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.arrivals import OrderSizes
from halfwater.science.demand_fit import DemandFit, Design, Nodes, Places, fit_nodes
from halfwater.science.demand_lines import DemandLines

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

# Nodes of the law of interest: places and width of each in spreads; together of mean 0 and spread 1.
_RUSH_AT, _RUSH_WIDE = np.array([-1.6, -0.8, 0.0, 0.8, 1.6]), 0.45
_TWO_AT, _TWO_WIDE = np.array([-0.8, 0.8]), 0.6
_FIVE_WEIGHT = np.array([0.09, 0.24, 0.34, 0.24, 0.09])
# How far lines, releases and their rushes may differ more or less than at the start, and how likely.
_LINE_TIMES, _LINE_WEIGHT = (0.4, 1.0, 2.0), (0.3, 0.4, 0.3)
_RELEASE_TIMES = (0.5, 1.5)
_RUSH_TIMES = (0.5, 2.0)
_FEW_LAWS, _LEAST_WEIGHT = 6, 0.004  # so many likely laws are tried at every set of spreads
_ROUGH, _FINE = 0.05, 0.01  # steps that are short enough: to choose laws, and for the answer
_KNOTS, _KNOT_DAYS = 7, 90.0  # of the drift: at most so many, no closer than that


@dataclass(frozen=True)
class DemandPosterior:
    """What is known of demand: a mixture of normal laws, one a node."""

    design: Design
    nodes: Nodes
    fit: DemandFit
    node_weight: Floats
    sizes: OrderSizes


def demand_posterior(lines: DemandLines, sizes: OrderSizes, taxa: int, grades: int) -> DemandPosterior:
    """What past lines say of the interest in a nursery's plants.

    Parameters
    ----------
    lines : DemandLines
        Past lines; none at all is fine.
    sizes : OrderSizes
        What is known of the plants in an order.
    taxa, grades : int
        How many taxa and grades the rows of the lines count. Valid 0 upward.

    Returns
    -------
    DemandPosterior
        Mixture of normal laws of levels, elasticity and the law of interest. [1]

    Raises
    ------
    RefusedInput
        If a row of a taxon or grade is not among those counted, or releases are not side by side.

    Notes
    -----
    log wanted = level + taxon + grade + kind + drift(t) + release - e log(p / p0), p0 the first price of the
    kind: between kinds price and worth cannot be told apart, so only a changed price speaks of e; without
    one e stays lognormal as it started. Drift is an Ornstein-Uhlenbeck path at knots. Each line has a gamma
    factor of its own (integrated). The law of interest is a mixture over twenty nodes of rush, share and
    tail, each with a Laplace fit; those that stay likely are fitted again at twelve sets of spreads between
    lines, releases and rushes, or at three between lines where more than six stay. Quick
    sell-outs alone fix wanted x G(t) only: the mixture keeps the range wide. Without lines everything stays
    at its starting value.

    Source: rue-martino-chopin-2009, section 3; priors, Demand; own definition of the nodes
    """
    if len(lines.taxon) and (lines.taxon.max() >= taxa or lines.grade.max() >= grades):
        raise RefusedInput("taxa", (taxa, grades), "as many taxa and grades as the lines name")
    if np.any(np.diff(lines.release) < 0):
        raise RefusedInput("release", lines.release.tolist(), "lines of one release side by side")
    design, precision = _design(lines, taxa, grades)
    first = _law_nodes(precision, design.places)
    rough = fit_nodes(design, first, close_log=_ROUGH)
    weight = _weights(rough.evidence_log)
    kept = np.flatnonzero(weight > _LEAST_WEIGHT)
    nodes, rows = _spread_nodes(first, kept)
    start = DemandFit(*(getattr(rough, name)[rows] for name in DemandFit.__dataclass_fields__))
    fit = fit_nodes(design, nodes, start, close_log=_FINE)
    return DemandPosterior(design, nodes, fit, _weights(fit.evidence_log), sizes)


def _weights(evidence_log: Floats) -> Floats:
    weight: Floats = np.exp(evidence_log - evidence_log.max())
    weight /= weight.sum()
    return weight


def _design(lines: DemandLines, taxa: int, grades: int) -> tuple[Design, Floats]:
    """How lines add up, and the prior precision of all shared numbers but the law of interest."""
    kinds = int(lines.kind.max()) + 1 if len(lines.kind) else 0
    knots = _knots(lines.release_day)
    at = np.cumsum([3, 1, taxa, grades, kinds, len(knots), 1, taxa])
    places = Places(
        int(at[0]),
        slice(at[1], at[2]),
        slice(at[2], at[3]),
        slice(at[3], at[4]),
        slice(at[4], at[5]),
        int(at[5]),
        slice(at[6], at[7]),
        int(at[7]),
    )
    row = np.zeros((len(lines.taxon), places.count))
    each = np.arange(len(row))
    row[:, places.level] = 1.0
    for where, own in ((places.taxon, lines.taxon), (places.grade, lines.grade), (places.kind, lines.kind)):
        row[each, where.start + own] = 1.0
    row[:, places.drift] = _drift_rows(lines.release_day, knots)[lines.release]
    spread = np.ones(places.count)
    spread[places.level] = starting.WANTED_SIGMA_LOG
    spread[places.taxon] = starting.WANTED_TAXON_SIGMA_LOG
    spread[places.grade] = starting.WANTED_GRADE_SIGMA_LOG
    spread[places.kind] = starting.WANTED_KIND_SIGMA_LOG
    spread[places.elasticity] = starting.ELASTICITY_SIGMA_LOG
    spread[places.elasticity_taxon] = starting.ELASTICITY_TAXON_SIGMA_LOG
    precision = np.diag(spread**-2.0)
    apart = np.abs(knots[:, None] - knots[None, :]) / starting.WANTED_DRIFT_DAYS
    precision[places.drift, places.drift] = np.linalg.inv(starting.WANTED_DRIFT_SIGMA_LOG**2 * np.exp(-apart))
    start = (
        np.flatnonzero(np.r_[True, np.diff(lines.release) > 0]) if len(lines.release) else np.zeros(0, int)
    )
    return Design(lines, places, row, start), precision


def _knots(release_day: Floats) -> Floats:
    """Days at which the drift is known: now last, the first release first."""
    span = max(0.0, -float(release_day.min())) if len(release_day) else 0.0
    count = min(_KNOTS, 1 + int(np.ceil(span / _KNOT_DAYS)))
    return np.linspace(-span, 0.0, count) if count > 1 else np.zeros(1)


def _drift_rows(release_day: Floats, knots: Floats) -> Floats:
    """What of each knot a release has: between two knots, a part of either."""
    rows = np.zeros((len(release_day), len(knots)))
    for knot in range(len(knots)):
        rows[:, knot] = np.interp(release_day, knots, np.eye(len(knots))[knot])
    return rows


def _law_nodes(precision: Floats, places: Places) -> Nodes:
    """Twenty laws of interest, with the spreads between lines and releases as they start."""
    rush, part, tail = (x.ravel() for x in np.meshgrid(range(5), range(2), range(2), indexing="ij"))
    mean = np.zeros((len(rush), places.count))
    mean[:, 0] = np.log(starting.RUSH_H) + starting.RUSH_SIGMA_LOG * _RUSH_AT[rush]
    odds = np.log(starting.RUSH_FRAC / (1.0 - starting.RUSH_FRAC))
    mean[:, 1] = odds + starting.RUSH_ODDS_SIGMA_LOG * _TWO_AT[part]
    mean[:, 2] = np.log(starting.TAIL_H) + starting.TAIL_SIGMA_LOG * _TWO_AT[tail]
    mean[:, places.level] = np.log(starting.WANTED_PLANTS)
    mean[:, places.elasticity] = np.log(starting.ELASTICITY)
    own = precision.copy()
    wide = (
        starting.RUSH_SIGMA_LOG * _RUSH_WIDE,
        starting.RUSH_ODDS_SIGMA_LOG * _TWO_WIDE,
        starting.TAIL_SIGMA_LOG * _TWO_WIDE,
    )
    own[:3, :3] = np.diag(np.array(wide) ** -2.0)
    return _with_spreads(
        np.log(_FIVE_WEIGHT[rush] / 4.0),
        mean,
        np.repeat(own[None], len(mean), axis=0),
        np.ones((len(mean), 3)),
    )


def _spread_nodes(first: Nodes, kept: Ints) -> tuple[Nodes, Ints]:
    """The kept laws, each at every set of spreads; and the row of the law each came from."""
    release_times, rush_times = (_RELEASE_TIMES, _RUSH_TIMES) if len(kept) <= _FEW_LAWS else ((1.0,), (1.0,))
    line, release, rush = (
        x.ravel()
        for x in np.meshgrid(range(3), range(len(release_times)), range(len(rush_times)), indexing="ij")
    )
    rows = np.repeat(kept, len(line))
    times = np.column_stack(
        [np.array(_LINE_TIMES)[line], np.array(release_times)[release], np.array(rush_times)[rush]]
    )
    share = np.log(np.array(_LINE_WEIGHT)[line] / (len(release_times) * len(rush_times)))
    weight_log = first.weight_log[rows] + np.tile(share, len(kept))
    return _with_spreads(
        weight_log, first.mean[rows], first.precision[rows], np.tile(times, (len(kept), 1))
    ), rows


def _with_spreads(weight_log: Floats, mean: Floats, precision: Floats, times: Floats) -> Nodes:
    """Nodes with the spreads of the start, times something: between lines, releases, rushes."""
    line = starting.WANTED_LINE_SIGMA_LOG * times[:, 0]
    release = starting.WANTED_RELEASE_SIGMA_LOG * times[:, 1]
    rush = starting.RUSH_RELEASE_SIGMA_LOG * times[:, 2]
    return Nodes(
        weight_log,
        mean,
        precision,
        np.column_stack([release, rush, rush]) ** -2.0,
        1.0 / np.expm1(line**2),
    )
