"""Losses: what is assumed, what is learned, and how they cluster."""

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.science.losses import LossPots, LossPriors, draw_losses, loss_posterior, survival

PRIORS = LossPriors(np.array([0.02]), np.array([0.20]), np.array([0.003]), np.array([0.03]))


def pots(lived, lost, tank=None, family=None, families=2, tanks=2):
    """Pots of one taxon."""
    n = len(lived)
    zeros = np.zeros(n, dtype=int)
    return LossPots(
        zeros, zeros if tank is None else tank, zeros if family is None else family, np.asarray(lived, float),
        np.asarray(lost, dtype=int), families, tanks,
    )  # fmt: skip


def settled_lost(found, tank=0, family=0):
    """Mean share lost in the first eight weeks."""
    draws = draw_losses(found, 4000, 1)
    one = np.zeros(1, dtype=int)
    alive = survival(draws, one, one + tank, one + family, np.zeros(1), np.array([56.0]))
    return 1 - alive.mean()


def test_without_pots_the_starting_value_holds():
    """Over tanks and parents the mean loss is near the starting value: 8 % of 2 to 20 %."""
    assert settled_lost(loss_posterior(pots([], []), PRIORS)) == pytest.approx(0.08, abs=0.015)


def test_many_pots_overrule_the_start():
    """Of 400 sections a quarter died at about four weeks: losses near a quarter are foreseen."""
    rng = np.random.default_rng(1)
    lost = np.arange(400) % 4 == 0
    lived = np.where(lost, rng.uniform(5, 55, 400), 60.0)
    found = loss_posterior(pots(lived, lost), PRIORS)
    assert settled_lost(found) == pytest.approx(0.25, abs=0.06)


def test_losses_cluster_by_tank_and_parent():
    """Where sisters died, more is feared for the next of them than for others."""
    lost = np.array([1] * 12 + [0] * 28 + [0] * 40)
    family = np.array([0] * 40 + [1] * 40)
    found = loss_posterior(pots(np.where(lost, 30.0, 60.0), lost, family=family, families=3), PRIORS)
    bad, good, unknown = (settled_lost(found, family=k) for k in range(3))
    assert bad > 1.8 * good
    assert good < unknown < bad


def test_settling_and_later_are_apart():
    """Deaths of old pots say little of young ones."""
    found = loss_posterior(pots([100.0] * 50, [1] * 25 + [0] * 25), PRIORS)
    draws = draw_losses(found, 2000, 2)
    one = np.zeros(1, dtype=int)
    later = 1 - survival(draws, one, one, one, np.array([90.0]), np.array([30.0])).mean()
    assert later > 0.1 > settled_lost(found) * 0.5


def test_survival_begins_at_one_and_falls():
    """Today all live; each day fewer."""
    draws = draw_losses(loss_posterior(pots([], []), PRIORS), 50, 3)
    one = np.zeros(1, dtype=int)
    alive = survival(draws, one, one, one, np.array([20.0]), np.arange(0.0, 200.0, 20.0))
    assert (alive[..., 0] == 1).all()
    assert (np.diff(alive, axis=2) < 0).all()


def test_bad_shares_are_refused():
    """Shares lie between nought and one, and nobody lived before the potting."""
    wrong = LossPriors(np.array([0.0]), np.array([0.2]), np.array([0.003]), np.array([0.03]))
    with pytest.raises(RefusedInput):
        loss_posterior(pots([], []), wrong)
    with pytest.raises(RefusedInput):
        loss_posterior(pots([-1.0], [0]), PRIORS)
