"""How fast the plants grow: taxon, batch, tank and pot learned together from uneven leaf counts.

A pot makes leaves at random at a rate that is the product of its taxon's, batch's and tank's pace, of
warmth and light, and of a gamma factor of its own; it begins after a lag. The pot's factor is integrated
in closed form, the lag over nine nodes, the rest by Newton steps around its mode.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.effects import CrossedDesign, CrossedFit, fit_crossed_effects, row_rates
from halfwater.science.growth_counts import Counted
from halfwater.science.leaf_gains import GrowthPots, GrowthPriors, LeafGains, gather_gains

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Truths = NDArray[np.bool_]

_ROUGH = 0.02  # near enough for doubting counts


@dataclass(frozen=True)
class GrowthPosterior:
    """What is known of the pace of every pot, and of what pots share."""

    pots: GrowthPots
    priors: GrowthPriors
    fit: CrossedFit
    rate_log: Floats  # of each pot where it stands now, its own factor left out
    row: CrossedDesign  # of every pot as it stands now
    shape: Floats  # of the gamma law of each pot's own factor
    prior_weight: float  # shape of that law before any count, in leaves
    past_factor: Floats  # pots x lag nodes: w E, to be times exp(rate of the past)
    past_rate_log: Floats
    lag_weight: Floats  # pots x lag nodes
    lag_day: Floats  # pots x lag nodes: when growth began
    lag_likelihood_log: Floats  # pots x lag nodes
    shift_mean_log: Floats  # of each taxon's lag, in spreads of its logarithm
    shift_sd: Floats
    last_day: Floats  # of each pot: its last count, or its potting
    last_leaves: Floats
    last_var: Floats
    odd_sd: Floats  # of each pot: its span that was furthest off, 0 without
    wild_leaves: Floats  # of each pot: a count that was bridged, or nan
    wild_day: Floats
    spans: Floats  # of each pot: between counts
    p_behind: Floats  # chance that a pot of its batch's pace would have gained as little; 1 without counts
    counted_factor: Floats  # pots of each taxon that were counted


def growth_posterior(
    pots: GrowthPots,
    priors: GrowthPriors,
    *,
    pot_cv_frac: float = starting.POT_CV_FRAC,
    is_spread_known: bool = False,
    count_sd_leaves: float = starting.COUNT_SD_LEAVES,
) -> GrowthPosterior:
    """What the counts say of every pot's pace, and of the pace of taxa, batches and tanks.

    Parameters
    ----------
    pots : GrowthPots
        The pots with their counts.
    priors : GrowthPriors
        The starting values of their taxa.
    pot_cv_frac : float
        Spread between pots of a batch before any count. [1] Valid 0.05..1.
    is_spread_known : bool
        Whether that spread is taken as it is; else the counts have their say.
    count_sd_leaves : float
        How far off a count is. [leaf] Valid 0 or more.

    Returns
    -------
    GrowthPosterior
        Joint normal of the shared effects; shape and rate of each pot's factor. [1]

    Raises
    ------
    RefusedInput
        If the spread is outside its range.

    Notes
    -----
    A pot's gain D over exposure E has mean m E r and variance m E r + V, m the shared rate, r the pot's
    factor (gamma, shape a, mean 1), V from miscounts and deaths. With w = m E / (m E + V) the slope in
    log m is a w (D - m E) / (a + w m E), the quasi-score of that mean and variance, and r has the shape
    a + w D and the rate a + w m E: exactly the Gamma-Poisson answer where V = 0. A gain below nought
    lowers the shape, never below three tenths of a. Each lag node is weighed by a Poisson likelihood of the
    gains shifted by their noise; what pots of a taxon share of the lag
    is a normal read off the evidence at thirteen nodes. A span more than
    3.2 standard deviations off weighs (3.2 / off)^2. The spread between pots is the mean over a grid of eight
    around its starting value. Without counts everything stays at its starting value.

    Source: gelman-bda3, section 2.6; own definition of the weights
    """
    if not 0.05 <= pot_cv_frac <= 1.0:
        raise RefusedInput("pot_cv_frac", pot_cv_frac, "0.05 to 1")
    gains = gather_gains(pots, priors, count_sd_leaves)
    counted = Counted(pots, priors, gains, pot_cv_frac)
    past, own_row = _alike(_rows(pots, priors, gains), counted.who, pots)

    def slope(rate_log: Floats) -> tuple[Floats, Floats]:
        first, second = counted.slope(rate_log[own_row])
        sums = [np.bincount(own_row, each, len(rate_log)).astype(np.float64) for each in (first, second)]
        return sums[0], sums[1]

    fit = fit_crossed_effects(past, slope, close_log=_ROUGH)
    rough = row_rates(past, fit.effect_log, fit.cluster_log)[own_row]
    if not is_spread_known:
        counted.learn_spread(rough, pot_cv_frac)
    counted.doubt(rough)
    fit = fit_crossed_effects(past, slope, begin=fit)
    return _told(pots, priors, counted, fit, row_rates(past, fit.effect_log, fit.cluster_log)[own_row])


def _told(
    pots: GrowthPots, priors: GrowthPriors, counted: Counted, fit: CrossedFit, past_log: Floats
) -> GrowthPosterior:
    """All that is known of all pots, at the mode of what they share."""
    n, gains, state = len(pots.taxon), counted.gains, counted.state(past_log)
    row = _rows(pots, priors)
    worst = np.zeros(n)
    order = np.argsort(np.abs(counted.off_sd), kind="stable")
    worst[gains.pot[order]] = counted.off_sd[order]  # the furthest is written last
    spans = np.diff(gains.begin)
    rate_log = row_rates(row, fit.effect_log, fit.cluster_log)
    usual = state.usual_weight.T[:, pots.taxon]
    return GrowthPosterior(
        pots=pots,
        priors=priors,
        fit=fit,
        rate_log=rate_log,
        row=row,
        shape=_filled(np.full(n, counted.a), counted.who, state.shape),
        prior_weight=counted.a,
        past_factor=_filled(np.zeros_like(usual), counted.who, state.w * counted.exposure).T,
        past_rate_log=_filled(rate_log, counted.who, past_log),
        lag_weight=_filled(usual, counted.who, state.lag_weight).T,
        lag_day=counted.lag_day.T,
        lag_likelihood_log=_filled(np.zeros_like(usual), counted.who, state.likelihood_log).T,
        shift_mean_log=state.shift_mean_log,
        shift_sd=state.shift_sd,
        last_day=gains.last_day,
        last_leaves=gains.last_leaves,
        last_var=gains.last_var,
        odd_sd=worst,
        wild_leaves=gains.wild_leaves,
        wild_day=gains.wild_day,
        spans=spans.astype(np.float64),
        p_behind=_filled(np.ones(n), counted.who, counted.chance_behind(past_log, usual)),
        counted_factor=np.bincount(pots.taxon, spans > 0, len(priors.rate_log)).astype(np.float64),
    )


def _filled(usual: Floats, who: Ints, own: Floats) -> Floats:
    """What holds for all, with what the counted ones have of their own."""
    found = np.array(usual, dtype=np.float64)
    found[..., who] = own
    return found


def _alike(design: CrossedDesign, who: Ints, pots: GrowthPots) -> tuple[CrossedDesign, Ints]:
    """The rows of the counted pots, those with the same effects as one row; and each pot's row."""
    index, weight = design.index[who], design.weight[who]
    tanks = weight[:, 1:-2]
    is_single = np.count_nonzero(tanks, axis=1) == 1
    where = index[np.arange(len(who)), 1 + np.argmax(tanks, axis=1)]
    most = len(design.prior_log)
    code = pots.batch[who] * most + where
    code = np.where(is_single, code, pots.batches * most + np.arange(len(who)))
    _, first, row = np.unique(code, return_index=True, return_inverse=True)
    cluster = design.cluster[who][first]
    return replace(design, index=index[first], weight=weight[first], cluster=cluster), row


def _rows(pots: GrowthPots, priors: GrowthPriors, gains: LeafGains | None = None) -> CrossedDesign:
    """The effects of each pot: of where it stands now, or (with gains) of where it was counted."""
    n, taxa, tanks = len(pots.taxon), len(priors.rate_log), priors.warmth_log.shape[1]
    tank, share = pots.tank[:, None], np.ones((n, 1))
    if gains is not None and len(pots.stay_pot):
        tank, share = _shares(pots, gains)
    own = pots.taxon[:, None]
    warmth = np.sum(share * priors.warmth_log[own, tank], axis=1)
    light = np.sum(share * priors.light_log[own, tank], axis=1)
    after = np.full((n, 1), taxa + tanks)
    index = np.concatenate((own, taxa + tank, after, after + 1), axis=1)
    weight = np.concatenate((np.ones((n, 1)), share, warmth[:, None], light[:, None]), axis=1)
    response = starting.RESPONSE_POWER_SD**2
    tank_var = np.full(tanks, starting.TANK_SIGMA_LOG**2)
    return CrossedDesign(
        index=index,
        weight=weight,
        cluster=pots.batch,
        prior_log=np.concatenate((priors.rate_log, np.zeros(tanks), [1.0, 1.0])),
        prior_var=np.concatenate((priors.rate_sigma_log**2, tank_var, [response, response])),
        cluster_var=np.full(pots.batches, starting.BATCH_SIGMA_LOG**2),
    )


def _shares(pots: GrowthPots, gains: LeafGains) -> tuple[Ints, Floats]:
    """The tanks each pot stood in while it was counted, side by side, with their shares of the time."""
    begin, end = pots.potted_day[pots.stay_pot], gains.last_day[pots.stay_pot]
    days = np.maximum(np.minimum(pots.stay_to_day, end) - np.maximum(pots.stay_from_day, begin), 0.0)
    order = np.argsort(pots.stay_pot, kind="stable")
    owner = pots.stay_pot[order]
    place = np.arange(len(owner)) - np.searchsorted(owner, owner)
    tank = np.repeat(pots.tank[:, None], int(place.max()) + 2, axis=1)
    spent = np.zeros(tank.shape)
    tank[owner, place + 1], spent[owner, place + 1] = pots.stay_tank[order], days[order]
    total = spent.sum(axis=1)
    spent[:, 0] = np.where(total > 0, 0.0, 1.0)
    return tank, spent / np.where(total > 0, total, 1.0)[:, None]


def some_pots(posterior: GrowthPosterior, which: Ints) -> GrowthPosterior:
    """The posterior of some of the pots: learned from all, told of these.

    Parameters
    ----------
    posterior : GrowthPosterior
        Of all pots.
    which : Ints
        Which pots are kept.

    Returns
    -------
    GrowthPosterior
        Of those pots, in the order asked for.

    Notes
    -----
    What pots share stays as it is. No pot asked for gives an empty answer.

    Source: own definition
    """
    own = {name: getattr(posterior, name)[which] for name in _EACH_POT}
    pots, row = posterior.pots, posterior.row
    kept = {name: getattr(pots, name)[which] for name in _EACH_PLACE}
    rows = replace(row, index=row.index[which], weight=row.weight[which], cluster=row.cluster[which])
    return replace(posterior, pots=replace(pots, **kept), row=rows, **own)


_EACH_PLACE = ("taxon", "batch", "tank", "potted_day", "first_leaves", "lag_factor")
_EACH_POT = (
    "rate_log", "shape", "past_factor", "past_rate_log", "lag_weight", "lag_day", "lag_likelihood_log",
    "last_day", "last_leaves", "last_var", "odd_sd", "wild_leaves", "wild_day", "spans", "p_behind",
)  # fmt: skip


def pot_paces(posterior: GrowthPosterior, shift_log: Floats | float = 0.0) -> tuple[Floats, Floats]:
    """Mean and relative spread of each pot's own factor: its pace against its batch where it stands.

    Parameters
    ----------
    posterior : GrowthPosterior
        What is known.
    shift_log : ndarray or float
        Added to each pot's shared rate. [1] Valid finite.

    Returns
    -------
    tuple of ndarray
        Mean, and standard deviation over mean. [1]

    Notes
    -----
    Gamma with shape a + w D and rate a + w E m at each lag node. Where a pot's own
    counts say much, a faster batch makes its factor smaller. 1 and the starting spread without counts.

    Source: gelman-bda3, section 2.6
    """
    m = np.exp(posterior.past_rate_log + shift_log)[:, None]
    rate = posterior.prior_weight + m * posterior.past_factor
    each = posterior.shape[:, None] / rate
    mean = np.sum(posterior.lag_weight * each, axis=1)
    second = np.sum(posterior.lag_weight * each**2, axis=1) * (1.0 + 1.0 / posterior.shape)
    return mean, np.sqrt(np.maximum(second / mean**2 - 1.0, 0.0))


def with_prior_only(pots: GrowthPots) -> GrowthPots:
    """The same pots as if nobody had counted them after potting.

    Parameters
    ----------
    pots : GrowthPots
        The pots.

    Returns
    -------
    GrowthPots
        Without counts.

    Notes
    -----
    For the rule to hold forecasts against: what starting values alone would say.

    Source: own definition
    """
    none = np.empty(0)
    return replace(pots, count_pot=np.empty(0, dtype=np.intp), count_day=none, count_leaves=none)
