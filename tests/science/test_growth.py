"""The posterior of the pace: exact where it can be, and sound where counts are odd."""

from dataclasses import replace

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.science.growth import growth_posterior, pot_paces, some_pots, with_prior_only
from halfwater.science.growth_counts import LAG_NODES, shift_weights
from halfwater.science.leaf_gains import leaf_exposure
from tests.science.nurseries_of_leaves import one_pot, priors, simulate


def paces(pots, start):
    """Each pot's pace in 30 days."""
    posterior = growth_posterior(pots, start)
    return np.exp(posterior.rate_log) * pot_paces(posterior)[0]


def known(rate=1.5):
    """Starting values that leave nothing open but the pot's own factor: no lag to speak of, no deaths."""
    return replace(
        priors(1), rate_log=np.log([rate]), rate_sigma_log=np.array([1e-4]), lag_log=np.array([-3.0]),
        lag_sigma_log=np.array([1e-3]), leaf_life_days=np.array([1e9]), tips_per_30d=np.zeros(1),
    )  # fmt: skip


def test_one_pot_is_the_gamma_poisson_answer():
    """Nothing open but the pot's factor, and batch and tank pinned by many pots: (a + D) / (a + m E)."""
    many = simulate(3, taxa=1, tanks=1, batches=1, size=400, counts=0)
    start = replace(known(), warmth_log=np.zeros((1, 1)), light_log=np.zeros((1, 1)))
    n, rng = 400, np.random.default_rng(5)
    pots = replace(
        many.pots, potted_day=np.full(n, many.pots.now_day - 200.0), first_leaves=np.full(n, 3.0),
        count_pot=np.arange(n), count_day=np.full(n, many.pots.now_day),
        count_leaves=3.0 + rng.poisson(10.0 * rng.gamma(11, 1 / 11, n)),
    )  # fmt: skip
    posterior = growth_posterior(pots, start, pot_cv_frac=0.3, is_spread_known=True, count_sd_leaves=0.0)
    m = np.exp(posterior.rate_log[0])
    gain = pots.count_leaves - 3.0
    exact = (1 / 0.09 + gain) / (1 / 0.09 + m * leaf_exposure(0, 200.0, np.exp(-3.0), 1e9, 0.0))
    np.testing.assert_allclose(pot_paces(posterior)[0], exact, rtol=1e-3)
    assert m * 200 / 30 == pytest.approx(gain.mean(), rel=0.02)


def test_without_counts_the_starting_values_hold():
    """Nobody has counted: each pot has its taxon's pace, with the starting spread."""
    pots, start = with_prior_only(simulate(4).pots), priors()
    posterior = growth_posterior(pots, start)
    mean, spread = pot_paces(posterior)
    np.testing.assert_allclose(posterior.rate_log, start.rate_log[pots.taxon], atol=1e-6)
    np.testing.assert_allclose(mean, 1.0)
    np.testing.assert_allclose(spread, 0.3)
    assert posterior.shift_mean_log == pytest.approx(0.0, abs=1e-6)


def test_counts_bring_the_paces_near_the_truth():
    """With counts the error of pots' paces is well below that of the starting values."""
    with_counts, without = [], []
    for seed in range(8):
        nursery = simulate(seed, counts=4)
        with_counts.append(np.log(paces(nursery.pots, priors()) / nursery.rate))
        without.append(np.log(paces(with_prior_only(nursery.pots), priors()) / nursery.rate))
    assert np.std(np.concatenate(with_counts)) < 0.75 * np.std(np.concatenate(without))
    assert abs(np.mean(np.concatenate(with_counts))) < 0.08


def test_a_pot_without_counts_learns_from_its_batch():
    """A pot that nobody counted goes with its batch, its tank and its taxon."""
    nursery = simulate(11, taxa=1, batches=4, size=20, counts=4)
    pots = nursery.pots
    keep = pots.count_pot % 5 != 0
    fewer = replace(
        pots, count_pot=pots.count_pot[keep], count_day=pots.count_day[keep],
        count_leaves=pots.count_leaves[keep],
    )  # fmt: skip
    posterior = growth_posterior(fewer, priors(1))
    lone = np.flatnonzero(posterior.spans == 0)
    assert len(lone) == 16
    assert pot_paces(posterior)[0][lone] == pytest.approx(1.0)
    learned = np.abs(posterior.rate_log[lone] - np.log(nursery.rate[lone])).mean()
    assert learned < np.abs(priors(1).rate_log[0] - np.log(nursery.rate[lone])).mean() + 0.02


def test_names_and_order_do_not_matter():
    """Batches under other numbers and counts in another order: the same paces."""
    pots, rng = simulate(7).pots, np.random.default_rng(1)
    other, mixed = rng.permutation(pots.batches), rng.permutation(len(pots.count_pot))
    shuffled = replace(
        pots, batch=other[pots.batch], count_pot=pots.count_pot[mixed], count_day=pots.count_day[mixed],
        count_leaves=pots.count_leaves[mixed],
    )  # fmt: skip
    np.testing.assert_allclose(paces(pots, priors()), paces(shuffled, priors()), rtol=2e-3)


def test_fallen_leaves_neither_break_nor_mislead():
    """A pot that once lost most leaves stays a pot of its batch, is named, and starts from what it has."""
    days, leaves = [60, 120, 180, 240], [5, 8, 2, 5]
    posterior = growth_posterior(replace(one_pot(days, leaves), now_day=240.0), priors(1))
    mean, _ = pot_paces(posterior)
    assert 0.6 < mean[0] < 1.3
    assert posterior.odd_sd[0] < -3.2
    assert posterior.last_leaves[0] == 5


@pytest.mark.parametrize("leaves", [[0], [0, 0, 0], [3, 0, 3, 0], [60], [3, 3, 3, 3], [500, 1]])
def test_any_counts_give_a_pace(leaves):
    """Nothing but noughts, jumps, a hundred too many: always a pace that is a number above nought."""
    days = 30.0 * np.arange(1, len(leaves) + 1)
    assert 0 < paces(one_pot(days, leaves), priors(1))[0] < 60


def test_one_wild_count_hardly_moves_the_pace():
    """A count of another pot in between is bridged: the pace stays where it was."""
    days = [60, 90, 120, 150, 180]
    plain = paces(one_pot(days, [4, 5, 6, 7, 9]), priors(1))[0]
    wild = paces(one_pot(days, [4, 5, 19, 7, 9]), priors(1))[0]
    assert wild == pytest.approx(plain, rel=0.1)


def test_the_spread_between_pots_is_learned():
    """Pots that differ more than the starting value says get more room, pots that differ less, less."""
    told = {cv: growth_posterior(simulate(5, batches=10, size=40, counts=4, pot_cv=cv).pots, priors())
            for cv in (0.1, 0.6)}  # fmt: skip
    assert told[0.1].prior_weight > 1 / 0.27**2
    assert told[0.6].prior_weight < 1 / 0.40**2


def test_a_move_counts_for_both_tanks():
    """A pot that stood half the time in another tank has half of each tank's pace in its past."""
    pots = simulate(2, taxa=1, tanks=2, batches=2, size=30, counts=3).pots
    half = (pots.potted_day + pots.now_day) / 2
    every = np.arange(len(pots.taxon))
    moved = replace(
        pots, stay_pot=np.tile(every, 2), stay_tank=np.concatenate((1 - pots.tank, pots.tank)),
        stay_from_day=np.concatenate((pots.potted_day, half)),
        stay_to_day=np.concatenate((half, np.full(len(every), pots.now_day))),
    )  # fmt: skip
    a, b = growth_posterior(pots, priors(1, 2)), growth_posterior(moved, priors(1, 2))
    apart_a, apart_b = (abs(one.fit.effect_log[1] - one.fit.effect_log[2]) for one in (a, b))
    assert apart_b < apart_a + 0.05


def test_some_pots_are_told_as_among_all():
    """Asking for a few pots gives what they have among all."""
    posterior = growth_posterior(simulate(6).pots, priors())
    few = some_pots(posterior, np.array([5, 2]))
    np.testing.assert_allclose(pot_paces(few)[0], pot_paces(posterior)[0][[5, 2]])
    assert few.pots.batch.tolist() == posterior.pots.batch[[5, 2]].tolist()


def test_lag_weights_follow_the_shift():
    """Weights sum to 1, and a later taxon weighs later nodes."""
    early, late = shift_weights(np.array([-1.0, 1.0]))
    assert early.sum() == pytest.approx(1.0)
    assert early @ LAG_NODES < -0.9 < 0.9 < late @ LAG_NODES


def test_a_spread_beyond_reason_is_refused():
    """The spread between pots has a range."""
    with pytest.raises(RefusedInput):
        growth_posterior(one_pot([], []), priors(1), pot_cv_frac=3.0)
