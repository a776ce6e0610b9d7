"""When pots reach their grades: each pot's chance day by day, and the sums that joint numbers come from."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science.effects import draw_effects
from halfwater.science.growth import GrowthPosterior
from halfwater.science.growth_counts import LAG_NODES, shift_weights
from halfwater.science.leaf_gains import leaf_exposure
from halfwater.science.waiting import gamma_poisson_tail

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Truths = NDArray[np.bool_]
Work = Callable[[Ints], tuple[Floats, Floats, Floats]]

PACE_NODES = np.linspace(-2.4, 2.4, 5)  # of what pots share, in its standard deviations
SHIFT_STEPS = np.linspace(-1.6, 1.6, 3)  # of what a taxon's pots share of their lag
_THREADS = 2
_BLOCK = 2048  # pots at a time: the tables of a block stay in the processor's cache


@dataclass(frozen=True)
class ReadyChances:
    """The chance of each pot to stand at each grade on each day, if it lives; and sums by cell.

    Pots of one batch in one tank are a cell: they share everything but their own pace.
    """

    ahead_days: Floats
    p_ready: Floats  # pots x days x grades
    mean_leaves: Floats  # pots x days
    sd_leaves: Floats
    cell: Ints  # of each pot
    cell_pot: Ints  # the first pot of each cell
    pots: Floats  # for sale, of each cell
    p_ready_sum: Floats  # cells x pace nodes x lag steps x days x grades, of the pots for sale
    p_lump: Floats  # cells x days x grades: mean chance of the ready ones, for their scatter
    pace_log: Floats  # draws x cells, around the mode
    pace_sigma_log: Floats  # cells
    grown_days: Floats  # cells: mean time since growth began


def ready_chances(
    posterior: GrowthPosterior,
    ahead_days: Floats,
    grade_leaves: Floats,
    rooted_days: Floats,
    is_for_sale: Truths,
    *,
    draws: int = 400,
    seed: int = 1,
) -> ReadyChances:
    """Each pot's chance to have reached each grade, on days from today on.

    Parameters
    ----------
    posterior : GrowthPosterior
        What is known of the growth.
    ahead_days : ndarray
        Days from now. [d] Valid 0 or more, in order.
    grade_leaves : ndarray
        Pots x grades: leaves a grade asks of a pot; 0 or less where it has it already. [leaf] Valid finite.
    rooted_days : ndarray
        One a taxon: age below which nothing is ready. [d] Valid 0 or more.
    is_for_sale : Truths
        Whether each pot counts in the sums.
    draws : int
        Of what pots share.
    seed : int
        Of the random numbers.

    Returns
    -------
    ReadyChances
        Chances, and the sums that joint counts are drawn from. [1]

    Raises
    ------
    RefusedInput
        If a day lies before now.

    Notes
    -----
    Leaves on a day: those of the last count that live on, and a gamma-Poisson number of new ones. Mean and
    variance over the lag nodes are matched by a gamma law of the rate, deaths and miscounts by a shift, and
    the tail P((G_k / k) / (G_A / A) <= M / k) is taken by cube roots (Wilson-Hilferty). What pots share is
    not averaged away: chances are told at nodes of the shared pace and of the shared lag. A pot younger
    than `rooted_days` has none.

    Source: wilson-hilferty-1931; own definition of the match
    """
    if not (np.asarray(ahead_days) >= 0).all():
        raise RefusedInput("ahead_days", ahead_days, "days from now on")
    pots = posterior.pots
    code = pots.batch * posterior.priors.warmth_log.shape[1] + pots.tank
    _, first, cell = np.unique(code, return_index=True, return_inverse=True)
    pace = _drawn_pace(posterior, first, draws, seed)
    spread = np.maximum(pace.std(axis=0), 1e-6)
    tables = _Tables(len(first), len(cell), len(ahead_days), grade_leaves.shape[1])

    def work(some: Ints) -> tuple[Floats, Floats, Floats]:
        table, mean, sd = _block(posterior, some, ahead_days, spread[cell[some]], grade_leaves)
        return table * _rooted(posterior, some, ahead_days, rooted_days), mean, sd

    tables.fill(np.asarray(cell, dtype=np.intp), is_for_sale, work)
    return ReadyChances(
        ahead_days=np.asarray(ahead_days, dtype=float),
        p_ready=tables.each,
        mean_leaves=tables.mean,
        sd_leaves=tables.sd,
        cell=np.asarray(cell, dtype=np.intp),
        cell_pot=first,
        pots=np.bincount(cell, is_for_sale, len(first)).astype(np.float64),
        p_ready_sum=tables.sums,
        p_lump=tables.lumps(),
        pace_log=pace,
        pace_sigma_log=spread,
        grown_days=_grown(posterior, cell),
    )


def _rooted(
    posterior: GrowthPosterior, some: Ints, ahead_days: Floats, rooted_days: Floats
) -> NDArray[np.float32]:
    """1 on days on which a pot is old enough, else 0; shaped as a block's table."""
    pots = posterior.pots
    age = pots.now_day + ahead_days - pots.potted_day[some][:, None]
    is_old = age >= rooted_days[pots.taxon[some]][:, None]
    return is_old[:, None, None, :, None].astype(np.float32)


def _grown(posterior: GrowthPosterior, cell: Ints) -> Floats:
    """Mean time since growth began, by cell."""
    each = np.sum(posterior.lag_weight * (posterior.pots.now_day - posterior.lag_day), axis=1)
    return np.asarray(np.bincount(cell, each) / np.bincount(cell))


class _Tables:
    """Chances of all pots and sums of all cells, filled block by block."""

    def __init__(self, cells: int, pots: int, days: int, grades: int) -> None:
        self.sums = np.zeros((cells, len(PACE_NODES), len(SHIFT_STEPS), days, grades))
        self.squares = np.zeros((cells, days, grades))
        self.each = np.empty((pots, days, grades))
        self.mean, self.sd = np.empty((pots, days)), np.empty((pots, days))
        self.weight = node_weights(PACE_NODES)[:, None] * node_weights(SHIFT_STEPS)

    def fill(self, cell: Ints, is_for_sale: Truths, work: Work) -> None:
        """All blocks, two side by side, taken in in order: the sums are always the same."""
        order = np.argsort(cell, kind="stable")
        blocks = [order[start : start + _BLOCK] for start in range(0, len(order), _BLOCK)]
        with ThreadPoolExecutor(_THREADS) as pool:
            for some, found in zip(blocks, pool.map(work, blocks), strict=True):
                self.take(some, cell[some], is_for_sale[some], *found)

    def take(
        self, some: Ints, cell: Ints, is_for_sale: Truths, table: Floats, mean: Floats, sd: Floats
    ) -> None:
        """Take in a block of pots, in the order of their cells."""
        self.mean[some], self.sd[some] = mean, sd
        self.each[some] = np.einsum("izqdg,zq->idg", table, self.weight)
        starts = np.flatnonzero(np.append(True, cell[1:] != cell[:-1]))
        table *= is_for_sale[:, None, None, None, None]
        self.sums[cell[starts]] += np.add.reduceat(table, starts, axis=0)
        middle = table[:, len(PACE_NODES) // 2, len(SHIFT_STEPS) // 2]
        self.squares[cell[starts]] += np.add.reduceat(middle**2, starts, axis=0)

    def lumps(self) -> Floats:
        """Mean chance of the ready ones, at the middle of what pots share."""
        middle = self.sums[:, len(PACE_NODES) // 2, len(SHIFT_STEPS) // 2]
        return np.asarray(self.squares / np.maximum(middle, 1e-12))


def node_weights(z: Floats) -> Floats:
    """Weights of nodes so that a curve, straight between them, is averaged over a standard normal.

    Parameters
    ----------
    z : ndarray
        The nodes, in order. [1] Valid finite.

    Returns
    -------
    ndarray
        One a node; they sum to 1. [1]

    Notes
    -----
    Each node weighs the mean of its hat function; beyond the outer nodes the curve stays flat.

    Source: own definition
    """
    fine = np.linspace(-6.0, 6.0, 2401)
    density = np.exp(-0.5 * fine**2)
    hats = np.stack([np.interp(fine, z, row) for row in np.eye(len(z))])
    return np.asarray(hats @ density / density.sum())


def _drawn_pace(posterior: GrowthPosterior, first: Ints, draws: int, seed: int) -> Floats:
    """Draws of each cell's shared pace around the mode, draws x cells."""
    effects, clusters = draw_effects(posterior.fit, draws, seed)
    row = posterior.row
    own = np.zeros((draws, len(first)))
    for k in range(row.index.shape[1]):
        own += effects[:, row.index[first, k]] * row.weight[first, k]
    return np.asarray(own + clusters[:, row.cluster[first]] - posterior.rate_log[first])


def _block(
    posterior: GrowthPosterior, some: Ints, ahead_days: Floats, spread: Floats, grade_leaves: Floats
) -> tuple[Floats, Floats, Floats]:
    """Chances of some pots at all nodes, and mean and spread of their leaves."""
    pots, priors = posterior.pots, posterior.priors
    taxon, n = pots.taxon[some], len(some)
    life = priors.leaf_life_days[taxon][:, None]
    day = pots.now_day + ahead_days
    exposure = leaf_exposure(
        posterior.last_day[some][:, None, None],
        day,
        posterior.lag_day[some][:, :, None],
        life[:, :, None],
        priors.tips_per_30d[taxon][:, None, None],
    )
    made, blur = _births(posterior, some, spread, exposure)
    left = np.exp(-np.maximum(day - posterior.last_day[some][:, None], 0.0) / life)
    still = posterior.last_leaves[some][:, None] * left
    noise = still * (1.0 - left) + 0.5 * left**2 * posterior.last_var[some][:, None]
    need = grade_leaves[some][:, None, :] - still[:, :, None] + noise[:, :, None]
    shift = noise[:, None, None, :]
    inverse = blur * made**2 / (made + shift) ** 2  # 1 / shape of the shifted law
    table = gamma_poisson_tail((made + shift)[..., None], inverse[..., None], need[:, None, None, :, :])
    weight = node_weights(PACE_NODES)[:, None] * node_weights(SHIFT_STEPS)
    mean = np.einsum("izqd,zq->id", made, weight)
    var = np.einsum("izqd,zq->id", made + made**2 * (1.0 + blur), weight) - mean**2 + noise
    full = (n, len(PACE_NODES), len(SHIFT_STEPS), *need.shape[1:])
    return np.array(np.broadcast_to(table, full)), still + mean, np.sqrt(np.maximum(var, 0.0))


def _births(
    posterior: GrowthPosterior, some: Ints, spread: Floats, exposure: Floats
) -> tuple[Floats, Floats]:
    """Mean of the new leaves at all nodes, and the squared coefficient of variation of their rate."""
    taxon = posterior.pots.taxon[some]
    z = spread[:, None] * PACE_NODES
    own_rate = (
        posterior.prior_weight
        + np.exp(posterior.past_rate_log[some][:, None] + z)[:, :, None]
        * posterior.past_factor[some][:, None, :]
    )
    shape = posterior.shape[some][:, None, None]
    pace = np.exp(posterior.rate_log[some][:, None] + z)[:, :, None] * shape / own_rate  # pots, z, lags
    steps = posterior.shift_mean_log[:, None] + posterior.shift_sd[:, None] * SHIFT_STEPS
    weight = np.exp(posterior.lag_likelihood_log[some])[:, None, :] * shift_weights(steps)[taxon]
    weight /= weight.sum(axis=2, keepdims=True)  # pots, q, lags
    both = pace[:, :, None, :] * weight[:, None, :, :]
    flat = both.reshape(len(some), -1, len(LAG_NODES))
    made = np.matmul(flat, exposure)
    second = np.matmul((pace[:, :, None, :] * both).reshape(flat.shape), exposure**2)
    full = (len(some), len(PACE_NODES), len(SHIFT_STEPS), exposure.shape[2])
    made, second = made.reshape(full) + 1e-9, second.reshape(full)
    return made, np.maximum(second * (1.0 + 1.0 / shape[..., None]) / made**2 - 1.0, 1e-9)
