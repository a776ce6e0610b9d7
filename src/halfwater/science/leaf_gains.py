"""Leaf counts as gains: what each pot made between two counts, and the growing time it had for it.

A leaf lives for a while; of c leaves some are expected to be left at the next count, and what is there
beyond those is the gain. A count can be one leaf off, and now and then it is another pot's: a wild count
between two that agree is bridged and named.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Truths = NDArray[np.bool_]

PERIOD_DAYS = 30.0  # rates are told for thirty days
_WILD_SD = 4.0  # a count this far from the line between its neighbours, and
_FASTEST_SD = 3.0  # above the starting value: no pot of the taxon is thought to be faster
_WILD_LEAVES = 3.0  # this many leaves off, is taken for another pot's


@dataclass(frozen=True)
class GrowthPriors:
    """Starting values, one row a taxon."""

    rate_log: Floats  # log of new leaves in 30 days of one growing tip
    rate_sigma_log: Floats
    lag_log: Floats  # log of days to the first new leaf
    lag_sigma_log: Floats
    first_leaves: Floats
    first_leaves_var: Floats
    leaf_life_days: Floats
    tips_per_30d: Floats
    tips_sigma_log: Floats
    warmth_log: Floats  # taxa x tanks: log of the stated response, 0 where nothing is known
    light_log: Floats


@dataclass(frozen=True)
class GrowthPots:
    """Pots as the growth sees them, with counts and stays as columns; days are local days since 1970."""

    taxon: Ints
    batch: Ints
    tank: Ints  # where it stands now
    potted_day: Floats
    first_leaves: Floats  # nan where nobody counted
    lag_factor: Floats  # 1.5 for middle pieces
    count_pot: Ints
    count_day: Floats
    count_leaves: Floats
    stay_pot: Ints
    stay_tank: Ints
    stay_from_day: Floats
    stay_to_day: Floats
    now_day: float
    batches: int


@dataclass(frozen=True)
class LeafGains:
    """Spans between two counts, ordered by pot and day; and the last count of each pot."""

    pot: Ints
    begin: Ints  # first span of each pot; one more at the end
    from_day: Floats
    to_day: Floats
    gain_leaves: Floats
    noise_var: Floats  # of a gain, from miscounts and deaths
    pot_noise_var: Floats  # of a pot's whole gain
    last_day: Floats  # one a pot
    last_leaves: Floats
    last_var: Floats
    wild_leaves: Floats  # of each pot, the count that was bridged, or nan
    wild_day: Floats


def leaf_exposure(
    from_day: Any, to_day: Any, start_day: Any, leaf_life_days: Any, tips_per_30d: Any
) -> Floats:
    """Growing time between two days, in which a pot of rate 1 makes one leaf that lasts to the second.

    Before its start a pot makes nothing; from then on growing tips are added steadily.

    Parameters
    ----------
    from_day : array_like
        First day. [d] Valid any finite.
    to_day : array_like
        Second day. [d] Valid from from_day on; nothing is gained in less.
    start_day : array_like
        When the first new leaf came. [d] Valid any finite.
    leaf_life_days : array_like
        Mean life of a leaf. [d] Valid above 0.
    tips_per_30d : array_like
        Growing tips added in 30 days. [1/30d] Valid 0 or more.

    Returns
    -------
    ndarray
        Exposure, in units of 30 days. [1]

    Raises
    ------
    RefusedInput
        If a life is not above 0 or a rate of tips below 0.

    Notes
    -----
    (1/30) * integral from u = max(from, start) to `to` of (1 + k (u - start)) exp(-(to - u) / life) du,
    k = tips / 30; 0 where `to` is not after `start`. A nan goes through.

    Source: own definition
    """
    life, tips = np.asarray(leaf_life_days, dtype=float), np.asarray(tips_per_30d, dtype=float)
    if not (life > 0).all():
        raise RefusedInput("leaf_life_days", leaf_life_days, "days above 0")
    if not (tips >= 0).all():
        raise RefusedInput("tips_per_30d", tips_per_30d, "0 or more")
    added = tips / PERIOD_DAYS
    grown = np.maximum(np.subtract(to_day, start_day), 0.0)
    span = np.minimum(grown, np.maximum(np.subtract(to_day, from_day), 0.0))
    gone = -np.expm1(-span / life)
    later = life * gone - span * (1.0 - gone)
    return np.asarray((life * gone * (1.0 + added * grown) - added * life * later) / PERIOD_DAYS)


def gather_gains(
    pots: GrowthPots, priors: GrowthPriors, count_sd_leaves: float = starting.COUNT_SD_LEAVES
) -> LeafGains:
    """What each pot gained from count to count.

    Parameters
    ----------
    pots : GrowthPots
        The pots with their counts.
    priors : GrowthPriors
        For the leaves a section has, where nobody counted them.
    count_sd_leaves : float
        How far off a count is. [leaf] Valid 0 or more.

    Returns
    -------
    LeafGains
        Spans, and each pot's last count. [leaf]

    Raises
    ------
    RefusedInput
        If a count is nan or below 0, or lies before its pot was potted; or counts are off by less than 0.

    Notes
    -----
    Of c leaves p = exp(-dt / life) are expected to last: gain D = c' - p c, its variance
    c p (1 - p) + p^2 v + v', with v the variance of a count. Over several spans the miscounts between
    cancel: only the first and the last stay. Two counts on one day: the later one in the order given holds.
    A pot without counts has no span.

    Source: own definition
    """
    if not (np.isfinite(pots.count_leaves).all() and (pots.count_leaves >= 0).all()):
        raise RefusedInput("count_leaves", pots.count_leaves, "leaves, 0 or more")
    if not (pots.count_day >= pots.potted_day[pots.count_pot]).all():
        raise RefusedInput("count_day", pots.count_day, "days from the potting on")
    if not count_sd_leaves >= 0:
        raise RefusedInput("count_sd_leaves", count_sd_leaves, "0 or more")
    n = len(pots.taxon)
    pot, day, leaves, var, wild_leaves, wild_day = _counts(pots, priors, count_sd_leaves**2)
    same = pot[1:] == pot[:-1]
    before, after = np.flatnonzero(same), np.flatnonzero(same) + 1
    life = priors.leaf_life_days[pots.taxon[pot[before]]]
    left = np.exp(-(day[after] - day[before]) / life)
    deaths = leaves[before] * left * (1.0 - left)
    owner = pot[before]
    begin = np.searchsorted(owner, np.arange(n + 1))
    firsts = np.searchsorted(pot, np.arange(n))
    ends = np.searchsorted(pot, np.arange(n), side="right") - 1
    whole = np.bincount(owner, deaths, n) + var[firsts] + np.where(ends > firsts, var[ends], 0.0)
    return LeafGains(
        pot=owner,
        begin=begin,
        from_day=day[before],
        to_day=day[after],
        gain_leaves=leaves[after] - left * leaves[before],
        noise_var=deaths + left**2 * var[before] + var[after],
        pot_noise_var=whole,
        last_day=day[ends],
        last_leaves=leaves[ends],
        last_var=var[ends],
        wild_leaves=wild_leaves,
        wild_day=wild_day,
    )


def _counts(pots: GrowthPots, priors: GrowthPriors, count_var: float) -> tuple[Any, ...]:
    """All counts in order, the leaves at potting first, without wild ones; and those, by pot."""
    n, known = len(pots.taxon), np.isfinite(pots.first_leaves)
    first = np.where(known, pots.first_leaves, priors.first_leaves[pots.taxon])
    first_var = np.where(known, count_var, priors.first_leaves_var[pots.taxon])
    pot = np.concatenate((np.arange(n), pots.count_pot))
    day = np.concatenate((pots.potted_day, pots.count_day))
    leaves = np.concatenate((first, pots.count_leaves))
    var = np.concatenate((first_var, np.full(len(pots.count_pot), count_var)))
    order = np.lexsort((np.arange(len(pot)), day, pot))
    pot, day, leaves, var = pot[order], day[order], leaves[order], var[order]
    last_of_day = np.append((pot[1:] != pot[:-1]) | (day[1:] != day[:-1]), True)[: len(pot)]
    pot, day, leaves, var = pot[last_of_day], day[last_of_day], leaves[last_of_day], var[last_of_day]
    wild_leaves, wild_day = np.full(n, np.nan), np.full(n, np.nan)
    rows: tuple[Any, ...] = (pot, day, leaves, var)
    for is_last in (True, False):  # a wild last count first: it would make the one before it look wild
        found = _beyond(rows[0], rows[1], rows[2], pots, priors) if is_last else _wild(*rows)
        wild_leaves[rows[0][found]], wild_day[rows[0][found]] = rows[2][found], rows[1][found]
        rows = tuple(column[~found] for column in rows)
    return *rows, wild_leaves, wild_day


def _wild(pot: Ints, day: Floats, leaves: Floats, var: Floats) -> Truths:
    """Counts that lie far off the line between their neighbours of the same pot."""
    off = np.zeros(len(pot))
    if len(pot) < 3:
        return off > 0
    span = np.where(day[2:] > day[:-2], day[2:] - day[:-2], 1.0)
    into = (day[1:-1] - day[:-2]) / span
    gain = leaves[2:] - leaves[:-2]
    apart = leaves[1:-1] - leaves[:-2] - gain * into
    spread = np.maximum(np.abs(gain), 1.0) * 2.0 * into * (1.0 - into) + 0.05 * leaves[1:-1]
    spread = spread + (1 - into) ** 2 * var[:-2] + into**2 * var[2:] + var[1:-1]
    inside = (pot[1:-1] == pot[:-2]) & (pot[1:-1] == pot[2:]) & (np.abs(apart) >= _WILD_LEAVES)
    off[1:-1] = np.where(inside, np.abs(apart) / np.sqrt(np.where(inside, spread, 1.0)), 0.0)
    next_off, last_off = np.append(off[1:], 0.0), np.append(0.0, off[:-1])
    return (off > _WILD_SD) & (off >= next_off) & (off > last_off)


def _beyond(pot: Ints, day: Floats, leaves: Floats, pots: GrowthPots, priors: GrowthPriors) -> Truths:
    """Last counts with more new leaves than the fastest pot of its kind could have made."""
    is_beyond = np.zeros(len(pot), dtype=bool)
    last = np.flatnonzero((pot[1:] == pot[:-1]) & np.append(pot[2:] != pot[1:-1], True)) + 1
    taxon = pots.taxon[pot[last]]
    fastest = np.exp(priors.rate_log[taxon] + _FASTEST_SD * priors.rate_sigma_log[taxon])
    age = (day[last] - pots.potted_day[pot[last]]) / PERIOD_DAYS
    most = fastest * (1.0 + priors.tips_per_30d[taxon] * age) * (day[last] - day[last - 1]) / PERIOD_DAYS
    beyond = leaves[last] - leaves[last - 1] - most
    spread = np.sqrt(most + priors.first_leaves_var[taxon] + 1.0)
    is_beyond[last] = (beyond >= _WILD_LEAVES) & (beyond > _WILD_SD * spread)
    return is_beyond
