"""The likelihood of all leaf counts, given what pots share: the inner part of the growth's posterior.

Arrays run over lag nodes first and pots or spans second, so that a node's column is one piece of memory;
the Poisson terms of single spans are in single precision, which is enough for weights of nodes.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from halfwater.science.leaf_gains import GrowthPots, GrowthPriors, LeafGains, leaf_exposure

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Singles = NDArray[np.float32]

LAG_NODES = np.linspace(-2.4, 2.4, 9)  # in spreads of the lag's starting value
SHIFT_NODES = np.linspace(-1.8, 1.8, 13)  # of a whole taxon's lag
_FINE_SHIFTS = np.linspace(-1.8, 1.8, 361)
SHARED_LAG_FRAC = 0.5  # of the lag's variance: what all pots of a taxon share
_ODD_SD = 3.2
_LEAST_SHAPE_FRAC = 0.3  # however many leaves fell, a pot keeps this much of its starting shape
_CV_FRACS = np.array([0.12, 0.16, 0.21, 0.27, 0.34, 0.43, 0.55, 0.70])
_CV_SIGMA_LOG = 0.35
_CV_POTS = 4000  # enough of them to tell the spread between pots


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


@dataclass(frozen=True)
class CountedState:
    """The counted pots at one value of their shared rates; lag nodes x pots where there are both."""

    shape: Floats
    w: Floats  # how far gains are believed against their noise
    lag_weight: Floats
    likelihood_log: Floats
    shift_mean_log: Floats  # of each taxon
    shift_sd: Floats
    usual_weight: Floats  # taxa x lag nodes: of pots that nobody counted


class Counted:
    """Pots that were counted at least once after potting, and what their counts say."""

    def __init__(self, pots: GrowthPots, priors: GrowthPriors, gains: LeafGains, cv_frac: float) -> None:
        spans = np.diff(gains.begin)
        self.who = np.flatnonzero(spans > 0)
        self.begin = gains.begin[:-1][self.who]
        self.owner = np.repeat(np.arange(len(self.who)), spans[self.who])
        self.gains, self.a, self.taxa = gains, 1.0 / cv_frac**2, len(priors.rate_log)
        self.taxon = pots.taxon[self.who]
        self.noise_var = gains.pot_noise_var[self.who]
        self.lag_day = lag_days(pots, priors)
        taxon = pots.taxon[gains.pot]
        self.raw = leaf_exposure(
            gains.from_day,
            gains.to_day,
            self.lag_day[:, gains.pot],
            priors.leaf_life_days[taxon],
            priors.tips_per_30d[taxon],
        ).astype(np.float32)
        self.noise = np.maximum(gains.noise_var, 1e-6).astype(np.float32)  # no logarithm of nothing
        self.off_sd, self.trust = np.zeros(len(gains.pot)), np.ones(len(gains.pot))
        self._add_up()

    def _add_up(self) -> None:
        """Gain and exposure of each pot from its trusted spans."""
        gains = self.gains
        self.believed = self.trust.astype(np.float32)
        seen = np.maximum(gains.gain_leaves + gains.noise_var, 0.0).astype(np.float32)
        self.seen = self.believed * seen
        self.gain = self._sums(self.trust * gains.gain_leaves)
        self.exposure = self._sums(self.believed * self.raw).astype(np.float64)

    def _sums(self, each: NDArray[np.floating]) -> NDArray[np.floating]:
        """Sums over the spans of each pot."""
        return np.add.reduceat(each, self.begin, axis=-1) if len(self.begin) else each[..., :0]

    def slope(self, rate_log: Floats) -> tuple[Floats, Floats]:
        """Slope and curvature of each pot's log likelihood in its shared rate."""
        state = self.state(rate_log)
        expected = np.exp(rate_log) * self.exposure
        own = self.a * state.w / (self.a + state.w * expected)
        bends = own * expected
        slopes = own * self.gain - bends
        first = np.einsum("li,li->i", state.lag_weight, slopes)
        bend = np.einsum("li,li->i", state.lag_weight, bends)
        lost = np.einsum("li,li->i", state.lag_weight, slopes**2) - first**2
        return first, np.maximum(bend - lost, 0.2 * bend)

    def state(self, rate_log: Floats) -> CountedState:
        """Weights of the lag nodes and of the gains at these rates."""
        m = np.exp(rate_log)
        mean = m * (shift_weights(np.zeros(1))[0] @ self.exposure)
        w = mean / (mean + self.noise_var + 1e-12)
        shape = np.maximum(self.a + w * self.gain, _LEAST_SHAPE_FRAC * self.a)
        factor = (shape / (self.a + w * m * self.exposure)).astype(np.float32)
        likelihood = self._gains_log(m.astype(np.float32) * factor)
        likelihood += np.float32(self.a) * (np.log(factor) - factor)
        likelihood -= likelihood.max(axis=0, keepdims=True)
        return self._lags(shape, w, likelihood)

    def _gains_log(self, rate: Singles) -> Singles:
        """Log likelihood of each pot's spans at each lag node, as Poisson counts shifted by their noise."""
        expected = np.take(rate, self.owner, axis=1)
        expected *= self.raw
        expected += self.noise
        each = np.log(expected)
        each *= self.seen
        expected *= self.believed
        each -= expected
        return np.asarray(self._sums(each), dtype=np.float32)

    def _lags(self, shape: Floats, w: Floats, likelihood_log: Singles) -> CountedState:
        """Weights of the lag nodes of each pot, and mean and spread of each taxon's shift."""
        likelihood = np.exp(likelihood_log)
        each = np.log(shift_weights(SHIFT_NODES).astype(np.float32) @ likelihood)
        evidence = np.stack([np.bincount(self.taxon, row, self.taxa) for row in each], axis=1)
        mean, sd = _shifts(evidence.astype(np.float64))
        usual = np.zeros((self.taxa, len(LAG_NODES)))
        weight = np.zeros_like(likelihood)
        for step, share in zip((-(3.0**0.5), 0.0, 3.0**0.5), (1 / 6, 2 / 3, 1 / 6), strict=True):
            own = shift_weights(mean + step * sd)
            usual += share * own
            lags = own.astype(np.float32).T[:, self.taxon] * likelihood
            weight += np.float32(share) * lags / lags.sum(axis=0)
        return CountedState(
            shape, w, weight.astype(np.float64), likelihood_log.astype(np.float64), mean, sd, usual
        )

    def doubt(self, rate_log: Floats) -> None:
        """Weigh spans down that hardly fit, once the shared rates are known."""
        gains, state = self.gains, self.state(rate_log)
        rate = np.exp(rate_log) * state.shape / (self.a + state.w * np.exp(rate_log) * self.exposure)
        each = np.take(rate.astype(np.float32), self.owner, axis=1) * self.raw
        weight = np.take(state.lag_weight.astype(np.float32), self.owner, axis=1)
        mean = np.einsum("lj,lj->j", weight, each).astype(np.float64)
        square = np.einsum("lj,lj->j", weight, each**2).astype(np.float64)
        blur = np.maximum(square * (1.0 + 1.0 / self.a) - mean**2, 0.0)
        noise = gains.noise_var + 0.375
        seen = np.sqrt(np.maximum(gains.gain_leaves + noise, 0.0)) - np.sqrt(mean + noise)
        self.off_sd = 2.0 * seen / np.sqrt(1.0 + blur / (mean + noise))  # roots: even around small numbers
        self.trust = np.minimum(1.0, (_ODD_SD / np.maximum(np.abs(self.off_sd), 1e-9)) ** 2)
        self._add_up()

    def chance_behind(self, rate_log: Floats, lag_weight: Floats) -> Floats:
        """Chance that a pot of the batch's pace would gain as little, for pots that gained less; else 1."""
        from scipy.special import gammaincc

        weight, found = lag_weight[:, self.who], np.ones(len(self.who))
        expected = np.exp(rate_log) * self.exposure
        some = self.gain < np.einsum("li,li->i", weight, expected)  # of the others nobody asks
        noise = self.noise_var[some]
        chance = gammaincc(np.maximum(self.gain[some] + noise, 0.0) + 1.0, expected[:, some] + noise)
        found[some] = np.einsum("li,li->i", weight[:, some], chance)
        return found

    def learn_spread(self, rate_log: Floats, cv_frac: float) -> None:
        """Take the spread between pots that the counts make likeliest, around its starting value."""
        from scipy.special import gammaln

        if not len(self.who):
            return
        state = self.state(rate_log)
        some = slice(None, None, max(1, len(self.who) // _CV_POTS))
        expected = np.exp(rate_log) * np.einsum("li,li->i", state.lag_weight, self.exposure)
        expected, gain = (state.w * expected)[some], np.maximum(state.w * self.gain, 0.0)[some]
        a = 1.0 / _CV_FRACS[:, None] ** 2
        log = gammaln(a + gain) - gammaln(a) + a * np.log(a) - (a + gain) * np.log(a + expected)
        share = len(self.who) / max(len(gain), 1)
        total = share * log.sum(axis=1) - 0.5 * (np.log(_CV_FRACS / cv_frac) / _CV_SIGMA_LOG) ** 2
        chance = np.exp(total - total.max())
        self.a = 1.0 / float(np.exp(chance @ np.log(_CV_FRACS) / chance.sum())) ** 2


def _shifts(evidence_log: Floats) -> tuple[Floats, Floats]:
    """Mean and spread of each taxon's shift: the evidence is smooth, so it is read off between the nodes."""
    log = evidence_log @ _between_nodes().T
    log -= 0.5 * _FINE_SHIFTS**2 / SHARED_LAG_FRAC
    chance = np.exp(log - log.max(axis=1, keepdims=True))
    chance /= chance.sum(axis=1, keepdims=True)
    mean = chance @ _FINE_SHIFTS
    var = chance @ _FINE_SHIFTS**2 - mean**2
    return mean, np.sqrt(np.maximum(var, 1e-5))


@cache
def _between_nodes() -> Floats:
    """Values at the nodes to values at the fine shifts, by the cubic spline whose outer knots are none.

    Made here as a matrix, once: scipy's own takes half a second to load.
    """
    knots = SHIFT_NODES[2:-2]

    def basis(at: Floats) -> Floats:
        return np.hstack([at[:, None] ** np.arange(4), np.maximum(at[:, None] - knots, 0.0) ** 3])

    return np.asarray(np.linalg.solve(basis(SHIFT_NODES).T, basis(_FINE_SHIFTS).T).T)


def lag_days(pots: GrowthPots, priors: GrowthPriors) -> Floats:
    """The day on which each pot begins to make leaves, at each lag node.

    Parameters
    ----------
    pots : GrowthPots
        The pots.
    priors : GrowthPriors
        Starting values of the lag.

    Returns
    -------
    ndarray
        Lag nodes x pots, days since 1970. [d]

    Notes
    -----
    potted + factor * exp(mean + node * spread): lognormal.

    Source: own definition
    """
    spread = LAG_NODES[:, None] * priors.lag_sigma_log
    days = np.exp(priors.lag_log + spread)
    return np.asarray(pots.potted_day + days[:, pots.taxon] * pots.lag_factor)
