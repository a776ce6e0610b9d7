"""Plants that die: rates while settling and later, alike within a tank and among sisters of one parent."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.effects import CrossedDesign, CrossedFit, draw_effects, fit_crossed_effects
from halfwater.science.leaf_gains import PERIOD_DAYS

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class LossPriors:
    """Starting values, one row a taxon: low and high ends of 90 % ranges."""

    settling_low_frac: Floats  # lost in the first eight weeks
    settling_high_frac: Floats
    later_low_per_30d: Floats  # lost in 30 days afterwards
    later_high_per_30d: Floats


@dataclass(frozen=True)
class LossPots:
    """Pots as losses see them, the gone ones too."""

    taxon: Ints
    tank: Ints
    family: Ints  # the parent the section was cut from, or the batch where that is not known
    lived_days: Floats  # since potting, until now or until it left
    was_lost: Ints  # 1 or 0; a sold pot was not
    families: int
    tanks: int


@dataclass(frozen=True)
class LossPosterior:
    """What is known of the losses."""

    fit: CrossedFit
    taxa: int
    tanks: int


def loss_posterior(pots: LossPots, priors: LossPriors) -> LossPosterior:
    """What the past says of losses, by taxon, tank and parent.

    Parameters
    ----------
    pots : LossPots
        Every pot there ever was.
    priors : LossPriors
        The starting values of their taxa.

    Returns
    -------
    LossPosterior
        Joint normal of the logarithms of the loss rates. [1]

    Raises
    ------
    RefusedInput
        If a share is not between 0 and 1, or a pot lived less than 0 days.

    Notes
    -----
    Losses are Poisson in the pot-days of each phase (settling: the first 56 days) with the log rate taxon and
    phase + tank + parent, the latter two around 0 with sd 0.55 each: for a share of a tenth that is a
    beta-binomial with a correlation near 0.07. The starting values are meant over tanks and parents, so their
    logarithm is lowered by half the variance of both. Without pots the answer is the starting value.

    Source: priors, How plants grow; gelman-bda3, section 4.1
    """
    ends = (
        priors.settling_low_frac,
        priors.settling_high_frac,
        priors.later_low_per_30d,
        priors.later_high_per_30d,
    )
    if not all(((end > 0) & (end < 1)).all() for end in ends):
        raise RefusedInput("settling_low_frac", ends[0], "shares above 0 and below 1")
    if not (pots.lived_days >= 0).all():
        raise RefusedInput("lived_days", pots.lived_days, "0 days or more")
    taxa = len(ends[0])
    settled = np.minimum(pots.lived_days, starting.SETTLING_DAYS)
    days = np.concatenate((settled, pots.lived_days - settled))
    late = pots.lived_days > starting.SETTLING_DAYS
    lost = np.concatenate((pots.was_lost * ~late, pots.was_lost * late))
    phase_taxon = np.concatenate((pots.taxon, taxa + pots.taxon))
    rows = np.stack((phase_taxon, np.tile(pots.tank, 2), np.tile(pots.family, 2)), axis=1)
    code = (rows[:, 0] * pots.tanks + rows[:, 1]) * pots.families + rows[:, 2]
    _, first, row = np.unique(code, return_index=True, return_inverse=True)
    exposure = np.bincount(row, days, len(first)) / PERIOD_DAYS
    deaths = np.bincount(row, lost, len(first))
    design = _design(pots, ends, rows[first])

    def slope(rate_log: Floats) -> tuple[Floats, Floats]:
        expected = np.exp(rate_log) * exposure
        return deaths - expected, expected

    return LossPosterior(fit_crossed_effects(design, slope), taxa, pots.tanks)


def _design(pots: LossPots, ends: tuple[Floats, ...], rows: Ints) -> CrossedDesign:
    """Taxon in its phase, and tank, crossed with parents."""
    settle_days = starting.SETTLING_DAYS / PERIOD_DAYS
    low = np.concatenate((np.log(-np.log1p(-ends[0]) / settle_days), np.log(-np.log1p(-ends[2]))))
    high = np.concatenate((np.log(-np.log1p(-ends[1]) / settle_days), np.log(-np.log1p(-ends[3]))))
    places = starting.LOSS_TANK_SIGMA_LOG**2, starting.LOSS_PARENT_SIGMA_LOG**2
    effects = len(low)
    return CrossedDesign(
        index=np.stack((rows[:, 0], effects + rows[:, 1]), axis=1),
        weight=np.ones((len(rows), 2)),
        cluster=rows[:, 2],
        prior_log=np.concatenate(((low + high) / 2.0 - sum(places) / 2.0, np.zeros(pots.tanks))),
        prior_var=np.concatenate((((high - low) / 3.29) ** 2 + 1e-6, np.full(pots.tanks, places[0]))),
        cluster_var=np.full(pots.families, places[1]),
    )


@dataclass(frozen=True)
class LossDraws:
    """Draws of loss rates: draws x taxa, tanks, families; rates are logs per 30 days."""

    settling_log: Floats
    later_log: Floats
    tank_log: Floats
    family_log: Floats


def draw_losses(posterior: LossPosterior, draws: int, seed: int) -> LossDraws:
    """Joint draws of the loss rates.

    Parameters
    ----------
    posterior : LossPosterior
        What is known.
    draws : int
        How many.
    seed : int
        Of the random numbers.

    Returns
    -------
    LossDraws
        Logarithms of rates, and what tanks and parents add. [1]

    Notes
    -----
    From the joint normal around the mode.

    Source: gelman-bda3, section 4.1
    """
    effects, families = draw_effects(posterior.fit, draws, seed)
    taxa = posterior.taxa
    return LossDraws(effects[:, :taxa], effects[:, taxa : 2 * taxa], effects[:, 2 * taxa :], families)


def survival(
    draws: LossDraws, taxon: Ints, tank: Ints, family: Ints, age_days: Floats, ahead_days: Floats
) -> Floats:
    """The share of pots that live to each day, draw by draw.

    Parameters
    ----------
    draws : LossDraws
        Drawn loss rates.
    taxon : Ints
        Of each kind of pot asked about.
    tank : Ints
        Where it stands.
    family : Ints
        Its parent.
    age_days : ndarray
        Days since potting. [d] Valid 0 or more.
    ahead_days : ndarray
        Days from now. [d] Valid 0 or more.

    Returns
    -------
    ndarray
        Draws x kinds of pot x days. [1]

    Notes
    -----
    exp(-(settling rate * days still settling + later rate * other days) / 30). 1 today.

    Source: own definition
    """
    place = draws.tank_log[:, tank] + draws.family_log[:, family]
    still = np.maximum(starting.SETTLING_DAYS - age_days, 0.0)[:, None]
    settling = np.minimum(still, ahead_days)
    early = np.exp(draws.settling_log[:, taxon] + place)[:, :, None]
    later = np.exp(draws.later_log[:, taxon] + place)[:, :, None]
    return np.asarray(np.exp(-(early * settling + later * (ahead_days - settling)) / PERIOD_DAYS))
