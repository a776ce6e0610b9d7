"""How many pots stand ready on a day: joint draws of what pots share, then the luck of single pots."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.science import starting
from halfwater.science.growth import GrowthPosterior
from halfwater.science.leaf_gains import PERIOD_DAYS
from halfwater.science.losses import LossDraws, survival
from halfwater.science.ready import PACE_NODES, SHIFT_STEPS, ReadyChances

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
_BLOCK = 256  # cells at a time
_HALF_YEAR_DAYS = 182.0
_TIPS_COUNT = 3.0  # counted pots after which the past tells of the tips already


@dataclass(frozen=True)
class ReadyDraws:
    """Joint draws of mean numbers ready, by group: groups x draws x days x grades, lives counted."""

    mean: Floats
    lump_frac: Floats  # groups x days x grades: mean chance of the ready ones
    pots: Floats  # for sale today, by group


def ready_draws(
    posterior: GrowthPosterior,
    chances: ReadyChances,
    losses: LossDraws,
    family: Ints,
    group: Ints,
    groups: int,
    *,
    seed: int = 2,
) -> ReadyDraws:
    """Draws of how many pots are expected at each grade on each day, what pots share being drawn.

    Parameters
    ----------
    posterior : GrowthPosterior
        The growth.
    chances : ReadyChances
        Chances at the nodes of what pots share.
    losses : LossDraws
        As many draws of losses as of the pace.
    family : Ints
        Of each pot, for its losses.
    group : Ints
        Of each pot: its taxon, its batch, whatever is to be counted; pots of a cell share it.
    groups : int
        How many.
    seed : int
        Of the random numbers.

    Returns
    -------
    ReadyDraws
        Expected numbers of each draw. [1]

    Notes
    -----
    Between nodes chances are straight lines. Growing tips that come faster or slower than the starting value
    shift the pace of later days by log((1 + t g') / (1 + t0 g')), less the same for today as far as counts
    have told today's pace. Pace also wanders, all pots of a taxon alike, by a variance that grows with
    the days. Beyond the outer nodes the chance stays what it is there.

    Source: own definition
    """
    rng = np.random.default_rng(seed)
    draws, cells = chances.pace_log.shape
    pot = chances.cell_pot
    taxon = posterior.pots.taxon[pot]
    own = rng.standard_normal((3, draws, len(posterior.priors.rate_log)))
    halves = np.sqrt(chances.ahead_days / _HALF_YEAR_DAYS) * starting.PACE_DRIFT_SIGMA_LOG
    days, grades = chances.p_ready_sum.shape[3:]
    mean = np.zeros((groups, draws, days, grades))
    lump, weight = np.zeros((groups, days, grades)), np.full((groups, days, grades), 1e-12)
    age = posterior.pots.now_day - posterior.pots.potted_day[pot]
    for start in range(0, cells, _BLOCK):
        some = np.arange(start, min(start + _BLOCK, cells))
        later = _tips_shift(posterior, chances, own[1], some) + own[2][:, taxon[some], None] * halves
        z = (chances.pace_log[:, some, None] + later) / chances.pace_sigma_log[some][:, None]
        ready = _between(chances.p_ready_sum[some], z, own[0][:, taxon[some]])
        tank, kin = posterior.pots.tank[pot[some]], family[pot[some]]
        alive = survival(losses, taxon[some], tank, kin, age[some], chances.ahead_days)
        ready *= alive[..., None]
        own_lump = chances.p_lump[some] * alive.mean(axis=0)[..., None]
        middle = ready.mean(axis=0)
        np.add.at(lump, group[pot[some]], own_lump * middle)
        np.add.at(weight, group[pot[some]], middle)
        for place, to in enumerate(group[pot[some]]):
            mean[to] += ready[:, place]
    sizes = np.bincount(group[pot], chances.pots, groups).astype(np.float64)
    return ReadyDraws(mean, lump / weight, sizes)


def merged_draws(ready: ReadyDraws, group: Ints, groups: int) -> ReadyDraws:
    """Draws of larger groups from those of smaller ones, such as of taxa from those of batches.

    Parameters
    ----------
    ready : ReadyDraws
        Of the smaller groups.
    group : Ints
        The larger group of each of them.
    groups : int
        How many larger ones.

    Returns
    -------
    ReadyDraws
        Sums of the means, and means of the lumps weighed by them. [1]

    Notes
    -----
    What was drawn together stays together. A larger group without smaller ones has no pots.

    Source: own definition
    """
    shape = (groups, *ready.mean.shape[1:])
    mean, middle = np.zeros(shape), ready.mean.mean(axis=1)
    np.add.at(mean, group, ready.mean)
    lump, weight = np.zeros((groups, *middle.shape[1:])), np.full((groups, *middle.shape[1:]), 1e-12)
    np.add.at(lump, group, ready.lump_frac * middle)
    np.add.at(weight, group, middle)
    return ReadyDraws(mean, lump / weight, np.bincount(group, ready.pots, groups).astype(np.float64))


def some_days(ready: ReadyDraws, which: Ints) -> ReadyDraws:
    """The draws of some of the days.

    Parameters
    ----------
    ready : ReadyDraws
        Of all days.
    which : Ints
        Places of the days.

    Returns
    -------
    ReadyDraws
        Of those days. [1]

    Notes
    -----
    Nothing is drawn anew.

    Source: own definition
    """
    return ReadyDraws(ready.mean[:, :, which], ready.lump_frac[:, which], ready.pots)


def _tips_shift(posterior: GrowthPosterior, chances: ReadyChances, z: Floats, some: Ints) -> Floats:
    """What uncertain growing tips add to the log pace of some cells: draws x cells x days."""
    priors = posterior.priors
    taxon = posterior.pots.taxon[chances.cell_pot[some]]
    known = posterior.counted_factor / (posterior.counted_factor + _TIPS_COUNT)
    usual = priors.tips_per_30d[taxon]
    drawn = (priors.tips_per_30d * np.exp(priors.tips_sigma_log * z))[:, taxon]
    grown = chances.grown_days[some]
    today = np.maximum(grown, 0.0) / (2 * PERIOD_DAYS)
    then = np.maximum(grown[:, None] + chances.ahead_days / 2, 0.0) / PERIOD_DAYS
    now = np.log1p(drawn * today) - np.log1p(usual * today)
    later = np.log1p(drawn[:, :, None] * then) - np.log1p(usual[:, None] * then)
    return np.asarray(later - (known[taxon] * now)[:, :, None])


def _between(table: Floats, z: Floats, shift: Floats) -> Floats:
    """Sums of cells between the nodes: draws x cells x days x grades."""
    at, part = _place(z, PACE_NODES)
    step, share = _place(shift, SHIFT_STEPS)
    cells, _, steps, days, grades = table.shape
    rows = table.astype(np.float32).reshape(-1, grades)
    first = np.arange(cells)[:, None] * len(PACE_NODES) * steps * days + np.arange(days)
    first = first + at * (steps * days) + (step * days)[:, :, None]
    part32, share32 = part.astype(np.float32)[..., None], share.astype(np.float32)[:, :, None, None]
    low = rows[first] * (1 - part32) + rows[first + steps * days] * part32
    high = rows[first + days] * (1 - part32) + rows[first + (steps + 1) * days] * part32
    return np.asarray(low + (high - low) * share32, dtype=np.float64)


def _place(value: Floats, nodes: Floats) -> tuple[Ints, Floats]:
    """Between which nodes a value lies, and how far along; outside, at the outer node."""
    along = (value - nodes[0]) / (nodes[1] - nodes[0])
    along = np.minimum(np.maximum(along, 0.0), len(nodes) - 1.0)
    at = np.minimum(along.astype(np.intp), len(nodes) - 2)
    return at, along - at


def drawn_counts(ready: ReadyDraws, seed: int) -> NDArray[np.int64]:
    """Whole numbers of pots ready, one a draw.

    Parameters
    ----------
    ready : ReadyDraws
        Expected numbers of each draw.
    seed : int
        Of the random numbers.

    Returns
    -------
    ndarray
        Groups x draws x days x grades. [1]

    Notes
    -----
    Given what they share, pots are independent with unlike chances p: their number has the mean sum p and the
    variance sum p (1 - p). A binomial with chance sum p2 / sum p has both.

    Source: own definition
    """
    rng = np.random.default_rng(seed)
    lump = np.maximum(ready.lump_frac, 1e-3)[:, None]
    size = np.floor(ready.mean / lump + rng.random(ready.mean.shape))
    size = np.minimum(size, ready.pots[:, None, None, None])
    size = np.maximum(size, np.ceil(ready.mean))
    chance = np.where(size > 0, ready.mean / np.maximum(size, 1.0), 0.0)
    return np.asarray(rng.binomial(size.astype(np.int64), np.minimum(chance, 1.0)))


def half_ready_days(ready: ReadyDraws, ahead_days: Floats, seed: int) -> Floats:
    """Days until half of each group's pots have each grade, one a draw.

    Parameters
    ----------
    ready : ReadyDraws
        Expected numbers of each draw.
    ahead_days : ndarray
        The days they are for. [d] Valid in order.
    seed : int
        Of the random numbers.

    Returns
    -------
    ndarray
        Groups x draws x grades; inf where not within the days, nan for a group without pots. [d]

    Notes
    -----
    With n pots and F(t) the drawn share that is ready, the k-th of them (k = n / 2, upwards) is ready at
    F^-1(U), U from Beta(k, n - k + 1), as if the pots were alike.

    Source: own definition
    """
    rng = np.random.default_rng(seed)
    sizes = ready.pots[:, None, None]
    share = np.maximum.accumulate(ready.mean / np.maximum(sizes[..., None], 1.0), axis=2)
    k = np.ceil(np.maximum(sizes, 1.0) / 2.0)
    level = rng.beta(k, np.maximum(sizes, 1.0) - k + 1.0, (*share.shape[:2], 1))
    level = np.broadcast_to(level, (*share.shape[:2], share.shape[3]))
    found = crossing_days(np.moveaxis(share, 3, 2), level[..., None], ahead_days)[..., 0]
    return np.where(sizes > 0, found, np.nan)


def crossing_days(cdf: Floats, probability: Floats, ahead_days: Floats) -> Floats:
    """The days on which rising curves reach levels.

    Parameters
    ----------
    cdf : ndarray
        Last axis: days; never falling. [1] Valid 0..1.
    probability : ndarray
        As cdf, last axis: levels. [1] Valid 0..1.
    ahead_days : ndarray
        The days. [d] Valid in order.

    Returns
    -------
    ndarray
        As probability; the first day where the curve begins above, inf where it never gets there. [d]

    Notes
    -----
    Straight lines between the days.

    Source: own definition
    """
    level = np.asarray(probability, dtype=float)
    curve = np.broadcast_to(cdf, (*level.shape[:-1], cdf.shape[-1]))
    at = np.sum(curve[..., None, :] < level[..., None], axis=-1)
    last = len(ahead_days) - 1
    upper, lower = np.minimum(at, last), np.minimum(np.maximum(at - 1, 0), last)
    high, low = np.take_along_axis(curve, upper, -1), np.take_along_axis(curve, lower, -1)
    part = np.where(high > low, (level - low) / np.where(high > low, high - low, 1.0), 1.0)
    day = ahead_days[lower] + np.where(at > 0, part, 0.0) * (ahead_days[upper] - ahead_days[lower])
    return np.asarray(np.where(at > last, np.inf, day))
