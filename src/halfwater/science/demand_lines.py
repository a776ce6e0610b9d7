"""What one line of a release says of the interest in it: its log-likelihood, slopes and information.

A line is seen through four numbers: the logarithm of all the plants that would ever be wanted, and the
law by which interest comes (logarithm of the rush's hours, log-odds of its share, logarithm of the tail's).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Truths = NDArray[np.bool_]

_LEAST = 1e-280  # keeps a cell that no law reaches from dividing by nought


@dataclass(frozen=True)
class DemandLines:
    """Past lines as arrays, those of one release side by side, and the cells of time they were offered in."""

    taxon: Ints  # row of each line's taxon, grade, kind (taxon and grade) and release, from 0
    grade: Ints
    kind: Ints
    release: Ints  # never falling
    release_day: Floats  # of each release: days from its opening to now, below 0 for the past
    price_log: Floats  # of each line: its price over the reference of its kind
    offset_log: Floats  # plants of an order under the line's limit over those without one
    taken_weight: Floats  # plants taken over the ratio of variance to mean, orders cut short made whole
    dispersion_factor: Floats  # that ratio
    is_least: Truths  # sold out with no instant known: at least as many were wanted
    is_cut: Truths  # sold out by an order that may have wanted more
    limit: Floats  # most plants a buyer could take, 0 for no limit
    held_frac: float  # share of all interest that came before the opening
    cell_line: Ints  # line of each cell, never falling; each line has one at least
    cell_from_h: Floats
    cell_to_h: Floats
    cell_orders: Floats  # orders seen in the cell; all nought where no instant is known


@dataclass(frozen=True)
class LineTerms:
    """Log-likelihood of each line at each node, its slope and information in the four numbers."""

    value: Floats  # nodes x lines
    slope: Floats  # nodes x lines x 4
    information: Floats  # nodes x lines x 4 x 4


@dataclass(frozen=True)
class Seen:
    """Share of all interest that came while a line was on offer, with its slopes."""

    frac: Floats  # nodes x lines, holds before the opening included
    log_slope: Floats  # nodes x lines x 3, of its logarithm
    timing: Floats  # nodes x lines: log-likelihood of when orders came
    timing_slope: Floats  # nodes x lines x 3
    timing_information: Floats  # nodes x lines x 3 x 3


def line_terms(lines: DemandLines, spread_shape: Floats, total_log: Floats, law: Floats) -> LineTerms:
    """Log-likelihood of each line, with slopes and information.

    Parameters
    ----------
    lines : DemandLines
        The lines.
    spread_shape : ndarray
        Of each node: shape of the gamma law between lines, of mean 1. [1] Valid above 0.
    total_log : ndarray
        Nodes x lines: logarithm of all plants ever wanted. [1] Valid finite.
    law : ndarray
        Nodes x lines x 3: log rush_h, log-odds of rush_frac, log tail_h. [1] Valid finite.

    Returns
    -------
    LineTerms
        Values, slopes, information. [1]

    Notes
    -----
    y = taken / dispersion has mean m = exp(total) F / dispersion, F = held + (1 - held) E, E the interest
    that came while on offer. The line's own factor integrated: negative binomial, log Gamma(k + y) / Gamma(k)
    + k log k + y log m - (k + y) log(k + m), or the chance of y or more where only that is known. When
    orders came: sum of n_b log(M_b / E) over cells of time, M_b the interest in a cell. Information: of the
    mean k m / (k + m), of the cells that of a multinomial. At y = 0 the line speaks by m alone.

    Source: gelman-bda3, section 2.6; own definition of the quasi count and the cells
    """
    seen = _seen(lines, law)
    k = spread_shape[:, None]
    mean = np.exp(total_log + lines.offset_log + np.log(seen.frac)) / lines.dispersion_factor
    value, slope, weight = _counted(lines.taken_weight, k, mean)
    if lines.is_least.any():
        rows = lines.is_least
        value[:, rows], slope[:, rows], weight[:, rows] = _at_least(
            lines.taken_weight[rows], k, mean[:, rows]
        )
    ray = np.concatenate([np.ones((*mean.shape, 1)), seen.log_slope], axis=2)
    slopes = slope[..., None] * ray
    slopes[..., 1:] += seen.timing_slope
    information = weight[..., None, None] * ray[..., :, None] * ray[..., None, :]
    information[..., 1:, 1:] += seen.timing_information
    return LineTerms(value + seen.timing, slopes, information)


def seen_frac(lines: DemandLines, law: Floats) -> Floats:
    """Share of all interest that came before the opening or while each line was on offer.

    Parameters
    ----------
    lines : DemandLines
        The lines.
    law : ndarray
        Draws x lines x 3: log rush_h, log-odds of rush_frac, log tail_h. [1] Valid finite.

    Returns
    -------
    ndarray
        Draws x lines. [1]

    Notes
    -----
    F = held + (1 - held) sum over the line's cells of G(to) - G(from).

    Source: own definition
    """
    line, begins = lines.cell_line, lines.cell_from_h
    is_new = np.r_[True, (line[1:] != line[:-1]) | (begins[1:] != lines.cell_to_h[:-1])]
    is_last = np.r_[is_new[1:], True]  # cells side by side are one spell
    own = law[:, line[is_new]]
    rush, part, tail = np.exp(own[..., 0]), 1.0 / (1.0 + np.exp(-own[..., 1])), np.exp(own[..., 2])
    spell = part * (np.exp(-begins[is_new] / rush) - np.exp(-lines.cell_to_h[is_last] / rush))
    spell += (1.0 - part) * (np.exp(-begins[is_new] / tail) - np.exp(-lines.cell_to_h[is_last] / tail))
    start = np.flatnonzero(np.r_[True, np.diff(line[is_new]) > 0])
    came: Floats = lines.held_frac + (1.0 - lines.held_frac) * np.add.reduceat(spell, start, axis=1)
    return came


def _counted(taken: Floats, k: Floats, mean: Floats) -> tuple[Floats, Floats, Floats]:
    """Negative binomial with a real count: value, slope and expected information in log mean."""
    from scipy.special import gammaln

    value = gammaln(k + taken) - gammaln(k) + k * np.log(k / (k + mean)) + taken * np.log(mean / (k + mean))
    return value, k * (taken - mean) / (k + mean), k * mean / (k + mean)


def _at_least(taken: Floats, k: Floats, mean: Floats) -> tuple[Floats, Floats, Floats]:
    """Chance that at least so many were wanted: value, slope and information in log mean."""
    from scipy.special import betainc, betaln

    x = mean / (k + mean)
    chance = np.maximum(betainc(taken, k, x), _LEAST)
    slope = np.exp(taken * np.log(x) + k * np.log(k / (k + mean)) - betaln(taken, k)) / chance
    return np.log(chance), slope, np.maximum(slope * slope - slope * (taken - (taken + k) * x), 0.0)


def _seen(lines: DemandLines, law: Floats) -> Seen:
    own = law[:, lines.cell_line]  # nodes x cells x 3
    rush, part, tail = np.exp(own[..., 0]), 1.0 / (1.0 + np.exp(-own[..., 1])), np.exp(own[..., 2])
    ahead, early_slope = _ahead(lines.cell_from_h, rush, part, tail)
    still, late_slope = _ahead(lines.cell_to_h, rush, part, tail)
    cell = np.maximum(ahead - still, _LEAST)
    cell_slope = late_slope - early_slope  # nodes x cells x 3
    start = np.flatnonzero(np.r_[True, np.diff(lines.cell_line) > 0])
    total = np.add.reduceat(cell, start, axis=1)
    slope = np.add.reduceat(cell_slope, start, axis=1)
    orders = np.add.reduceat(lines.cell_orders, start)
    frac = lines.held_frac + (1.0 - lines.held_frac) * total
    timing = np.add.reduceat(lines.cell_orders * np.log(cell), start, axis=1) - orders * np.log(total)
    seen_slope = slope / total[..., None]
    pull = np.add.reduceat((lines.cell_orders / cell)[..., None] * cell_slope, start, axis=1)
    square = np.add.reduceat(
        cell_slope[..., :, None] * (cell_slope / cell[..., None])[..., None, :], start, axis=1
    )
    information = square / total[..., None, None] - seen_slope[..., :, None] * seen_slope[..., None, :]
    return Seen(
        frac,
        (1.0 - lines.held_frac) * slope / frac[..., None],
        timing,
        pull - orders[:, None] * seen_slope,
        orders[:, None, None] * information,
    )


def _ahead(after_h: Floats, rush: Floats, part: Floats, tail: Floats) -> tuple[Floats, Floats]:
    """Share of interest still to come, which keeps its digits late; slopes of what has come."""
    in_rush, in_tail = after_h / rush, after_h / tail
    stay_rush, stay_tail = np.exp(-in_rush), np.exp(-in_tail)
    slopes = np.stack(
        [
            -part * in_rush * stay_rush,
            part * (1.0 - part) * (stay_tail - stay_rush),
            -(1.0 - part) * in_tail * stay_tail,
        ],
        axis=-1,
    )
    return part * stay_rush + (1.0 - part) * stay_tail, slopes
