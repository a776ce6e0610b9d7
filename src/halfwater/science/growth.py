"""How fast the plants grow: taxon, batch, tank and pot learned together from uneven leaf counts.

A pot makes leaves at random at a rate that is the product of its taxon's, batch's and tank's pace, of
warmth and light, and of a gamma factor of its own; it begins after a lag. The pot's factor is integrated
in closed form, the lag over nine nodes, the rest by Newton steps around its mode.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from halfwater.science import starting
from halfwater.science.effects import CrossedDesign, CrossedFit, fit_crossed_effects, row_rates
from halfwater.science.leaf_gains import (
    GrowthPots,
    GrowthPriors,
    LeafGains,
    gather_gains,
    leaf_exposure,
)

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Truths = NDArray[np.bool_]

LAG_NODES = np.linspace(-2.4, 2.4, 9)  # in spreads of the lag's starting value
SHIFT_NODES = np.linspace(-1.6, 1.6, 7)  # of a whole taxon's lag
SHARED_LAG_FRAC = 0.5  # of the lag's variance: what all pots of a taxon share
_ODD_SD = 3.5
_LEAST_SHAPE_FRAC = 0.3  # however many leaves fell, a pot keeps this much of its starting shape


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
    counted_factor: Floats  # pots of each taxon that were counted


def shift_weights(shift: Floats) -> Floats:
    """Weights of the lag nodes for shifts of a taxon's whole lag.

    Parameters
    ----------
    shift : ndarray
        In spreads of the starting value. [1] Valid any finite.

    Returns
    -------
    ndarray
        One row a shift, one column a lag node; rows sum to 1. [1]

    Notes
    -----
    Normal weights around the shift with the part of the variance that pots do not share.

    Source: own definition
    """
    apart = LAG_NODES - np.asarray(shift, dtype=float)[..., None]
    weight = np.exp(-0.5 * apart**2 / (1.0 - SHARED_LAG_FRAC))
    return np.asarray(weight / weight.sum(axis=-1, keepdims=True))


def growth_posterior(
    pots: GrowthPots, priors: GrowthPriors, *, pot_cv_frac: float = starting.POT_CV_FRAC
) -> GrowthPosterior:
    """What the counts say of every pot's pace, and of the pace of taxa, batches and tanks.

    Parameters
    ----------
    pots : GrowthPots
        The pots with their counts.
    priors : GrowthPriors
        The starting values of their taxa.
    pot_cv_frac : float
        Spread between pots of a batch. [1] Valid above 0.

    Returns
    -------
    GrowthPosterior
        Joint normal of the shared effects; shape and rate of each pot's factor. [1]

    Notes
    -----
    A pot's gain D over exposure E has mean m E r and variance m E r + V, m the shared rate, r the pot's
    factor (gamma, shape a, mean 1), V from miscounts and deaths. With w = m E / (m E + V) the slope in
    log m is a w (D - m E) / (a + w m E), the quasi-score of that mean and variance, and r has the shape
    a + w D and the rate a + w m E: exactly the Gamma-Poisson answer where V = 0. A gain below nought
    lowers the shape, never below three tenths of a. Each lag node is weighed by a Poisson likelihood of the
    gains shifted by their noise; what pots of a taxon share of the lag by seven nodes. A span more than
    3.5 standard deviations off weighs (3.5 / off)^2. Without counts everything stays at its starting value.

    Source: gelman-bda3, section 2.6; own definition of the weights
    """
    gains = gather_gains(pots, priors)
    row = _rows(pots, priors, None)
    past = _rows(pots, priors, gains)
    model = _Counted(pots, priors, gains, past, 1.0 / pot_cv_frac**2)
    fit = fit_crossed_effects(past, model.slope)
    model.doubt(row_rates(past, fit.effect_log, fit.cluster_log))
    fit = fit_crossed_effects(past, model.slope)
    return model.posterior(fit, row_rates(past, fit.effect_log, fit.cluster_log), row)


@dataclass(frozen=True)
class _State:
    """The counted pots at one value of their shared rates."""

    shape: Floats
    w: Floats
    lag_weight: Floats
    likelihood_log: Floats
    shift_mean_log: Floats
    shift_sd: Floats


class _Counted:
    """The likelihood of all counts, given each pot's shared rate."""

    def __init__(
        self, pots: GrowthPots, priors: GrowthPriors, gains: LeafGains, past: CrossedDesign, a: float
    ) -> None:
        self.pots, self.priors, self.gains, self.a = pots, priors, gains, a
        self.taxa = len(priors.rate_log)
        spread = priors.lag_sigma_log[pots.taxon][:, None] * LAG_NODES
        lag_days = np.exp(priors.lag_log[pots.taxon][:, None] + spread) * pots.lag_factor[:, None]
        self.lag_day = pots.potted_day[:, None] + lag_days
        taxon = pots.taxon[gains.pot]
        self.raw_exposure = leaf_exposure(
            gains.from_day[:, None],
            gains.to_day[:, None],
            self.lag_day[gains.pot],
            priors.leaf_life_days[taxon][:, None],
            priors.tips_per_30d[taxon][:, None],
        )
        self.off_sd = np.zeros(len(gains.pot))
        self.trust = np.ones(len(gains.pot))
        self._add_up()

    def _add_up(self) -> None:
        """Gain and exposure of each pot from its trusted spans."""
        gains = self.gains
        self.gain = np.bincount(gains.pot, self.trust * gains.gain_leaves, len(self.pots.taxon))
        summed = np.zeros((len(gains.pot) + 1, len(LAG_NODES)))
        np.cumsum(self.trust[:, None] * self.raw_exposure, axis=0, out=summed[1:])
        self.exposure = summed[gains.begin[1:]] - summed[gains.begin[:-1]]

    def slope(self, rate_log: Floats) -> tuple[Floats, Floats]:
        """Slope and curvature of each pot's log likelihood in its shared rate."""
        state, m = self.state(rate_log), np.exp(rate_log)[:, None]
        expected = m * self.exposure
        own = self.a + state.w[:, None] * expected
        slopes = self.a * state.w[:, None] * (self.gain[:, None] - expected) / own
        bends = self.a * state.w[:, None] * expected / own
        first = np.sum(state.lag_weight * slopes, axis=1)
        bend = np.sum(state.lag_weight * bends, axis=1)
        lost = np.sum(state.lag_weight * (slopes - first[:, None]) ** 2, axis=1)
        return first, np.maximum(bend - lost, 0.2 * bend)

    def state(self, rate_log: Floats) -> _State:
        """Weights of the lag nodes and of the gains at these rates."""
        m = np.exp(rate_log)[:, None]
        prior = shift_weights(np.zeros(1))[0]
        mean = np.exp(rate_log) * (self.exposure @ prior)
        w = mean / (mean + self.gains.pot_noise_var + 1e-12)
        shape = np.maximum(self.a + w * self.gain, _LEAST_SHAPE_FRAC * self.a)
        factor = shape[:, None] / (self.a + w[:, None] * m * self.exposure)
        likelihood = self._gains_log(m * factor) + self.a * (np.log(factor) - factor)
        likelihood -= likelihood.max(axis=1, keepdims=True)
        weight, mean_shift, sd_shift = self._lags(np.exp(likelihood))
        return _State(shape, w, weight, likelihood, mean_shift, sd_shift)

    def _gains_log(self, rate: Floats) -> Floats:
        """Log likelihood of each pot's spans at each lag node, as Poisson counts shifted by their noise."""
        gains = self.gains
        noise = gains.noise_var[:, None]
        seen = np.maximum(gains.gain_leaves + gains.noise_var, 0.0)[:, None]
        expected = rate[gains.pot] * self.raw_exposure + noise
        each = self.trust[:, None] * (seen * np.log(expected) - expected)
        summed = np.zeros((len(gains.pot) + 1, len(LAG_NODES)))
        np.cumsum(each, axis=0, out=summed[1:])
        return np.asarray(summed[gains.begin[1:]] - summed[gains.begin[:-1]])

    def _lags(self, likelihood: Floats) -> tuple[Floats, Floats, Floats]:
        """Weights of the lag nodes of each pot, and mean and spread of each taxon's shift."""
        by_shift = shift_weights(SHIFT_NODES)
        total = likelihood @ by_shift.T
        evidence = np.stack(
            [np.bincount(self.pots.taxon, np.log(column), self.taxa) for column in total.T], axis=1
        )
        log = evidence - 0.5 * SHIFT_NODES**2 / SHARED_LAG_FRAC
        chance = np.exp(log - log.max(axis=1, keepdims=True))
        chance /= chance.sum(axis=1, keepdims=True)
        mean = chance @ SHIFT_NODES
        sd = np.sqrt(np.maximum(chance @ SHIFT_NODES**2 - mean**2, 1e-4))
        weight = likelihood * ((chance[self.pots.taxon] / total) @ by_shift)
        return weight / weight.sum(axis=1, keepdims=True), mean, sd

    def doubt(self, rate_log: Floats) -> None:
        """Weigh spans down that hardly fit, once the shared rates are known."""
        gains, state = self.gains, self.state(rate_log)
        own = self.a + state.w[:, None] * np.exp(rate_log)[:, None] * self.exposure
        rate = np.exp(rate_log)[:, None] * state.shape[:, None] / own
        weight = state.lag_weight[gains.pot]
        each = rate[gains.pot] * self.raw_exposure
        mean = np.sum(weight * each, axis=1)
        blur = np.sum(weight * each**2, axis=1) * (1.0 + 1.0 / self.a) - mean**2
        self.off_sd = (gains.gain_leaves - mean) / np.sqrt(mean + gains.noise_var + np.maximum(blur, 0.0))
        self.trust = np.minimum(1.0, (_ODD_SD / np.maximum(np.abs(self.off_sd), 1e-9)) ** 2)
        self._add_up()

    def posterior(self, fit: CrossedFit, past_log: Floats, row: CrossedDesign) -> GrowthPosterior:
        """All that is known, at the mode of what pots share."""
        state, gains, pots = self.state(past_log), self.gains, self.pots
        spans = np.diff(gains.begin)
        worst = np.zeros(len(spans))
        order = np.argsort(np.abs(self.off_sd), kind="stable")
        worst[gains.pot[order]] = self.off_sd[order]  # the furthest is written last
        return GrowthPosterior(
            pots=pots,
            priors=self.priors,
            fit=fit,
            rate_log=row_rates(row, fit.effect_log, fit.cluster_log),
            row=row,
            shape=state.shape,
            prior_weight=self.a,
            past_factor=state.w[:, None] * self.exposure,
            past_rate_log=past_log,
            lag_weight=state.lag_weight,
            lag_day=self.lag_day,
            lag_likelihood_log=state.likelihood_log,
            shift_mean_log=state.shift_mean_log,
            shift_sd=state.shift_sd,
            last_day=gains.last_day,
            last_leaves=gains.last_leaves,
            last_var=gains.last_var,
            odd_sd=worst,
            wild_leaves=gains.wild_leaves,
            wild_day=gains.wild_day,
            spans=spans.astype(np.float64),
            counted_factor=np.bincount(pots.taxon, spans > 0, self.taxa).astype(np.float64),
        )


def _rows(pots: GrowthPots, priors: GrowthPriors, gains: LeafGains | None) -> CrossedDesign:
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
    "last_day", "last_leaves", "last_var", "odd_sd", "wild_leaves", "wild_day", "spans",
)  # fmt: skip


def pot_paces(posterior: GrowthPosterior) -> tuple[Floats, Floats]:
    """Mean and relative spread of each pot's own factor: its pace against its batch where it stands.

    Parameters
    ----------
    posterior : GrowthPosterior
        What is known.

    Returns
    -------
    tuple of ndarray
        Mean, and standard deviation over mean. [1]

    Notes
    -----
    Gamma with shape a + w D and rate a + w E m at each lag node. 1 and the starting spread without counts.

    Source: gelman-bda3, section 2.6
    """
    rate = posterior.prior_weight + np.exp(posterior.past_rate_log)[:, None] * posterior.past_factor
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
