"""When pots are ready: waiting times in closed form, chances by day, and joint numbers."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import betaprime, nbinom

from halfwater.errors import RefusedInput
from halfwater.science.growth import growth_posterior
from halfwater.science.losses import LossDraws
from halfwater.science.ready import node_weights, ready_chances
from halfwater.science.ready_counts import (
    ReadyDraws,
    crossing_days,
    drawn_counts,
    half_ready_days,
    merged_draws,
    ready_draws,
    some_days,
)
from halfwater.science.waiting import gamma_poisson_tail, waiting_chance, waiting_exposure
from tests.science.nurseries_of_leaves import one_pot, priors, simulate

DAYS = np.arange(0.0, 183.0, 14.0)


def no_losses(draws, taxa, tanks, families):
    """Draws in which nothing dies."""
    none = [np.full((draws, size), -40.0) for size in (taxa, taxa)]
    return LossDraws(*none, np.zeros((draws, tanks)), np.zeros((draws, families)))


@settings(max_examples=40, deadline=None)
@given(m=st.floats(0.5, 15), shape=st.floats(0.5, 40), rate=st.floats(0.2, 30), time=st.floats(0.01, 60))
def test_waiting_is_a_scaled_beta_prime(m, shape, rate, time):
    """The chance is that of the general library's beta-prime, and the quantile takes it back."""
    chance = float(waiting_chance(time, m, shape, rate))
    assert chance == pytest.approx(betaprime.cdf(time / rate, m, shape), abs=1e-9)
    if 1e-6 < chance < 1 - 1e-6:
        assert waiting_exposure(chance, m, shape, rate) == pytest.approx(time, rel=1e-5)


def test_waiting_is_what_drawing_gives():
    """Drawn rates and drawn leaves: the share that is there in time is the chance."""
    rng = np.random.default_rng(2)
    rate = rng.gamma(6.0, 1 / 4.0, 200_000)
    share = np.mean(rng.gamma(3, 1 / rate) <= 2.5)
    assert waiting_chance(2.5, 3, 6.0, 4.0) == pytest.approx(share, abs=0.004)


def test_waiting_for_nothing_and_in_no_time():
    """Nothing missing is there at once; with no time nothing comes."""
    assert waiting_chance(0.0, 0.0, 5.0, 5.0) == 1.0
    assert waiting_chance(0.0, 2.0, 5.0, 5.0) == 0.0


def test_bad_waits_are_refused():
    """Time below nought, a shape of nothing, a chance that is none."""
    for values in ((-1.0, 2, 5, 5), (1.0, 2, 0.0, 5), (1.0, np.nan, 5, 5)):
        with pytest.raises(RefusedInput):
            waiting_chance(*values)
    for values in ((0.0, 2, 5, 5), (1.0, 2, 5, 5), (0.5, 0, 5, 5)):
        with pytest.raises(RefusedInput):
            waiting_exposure(*values)


@settings(max_examples=60, deadline=None)
@given(k=st.integers(1, 20), mean=st.floats(0.05, 40), cv=st.floats(0.1, 0.8))
def test_cube_roots_are_near_the_exact_tail(k, mean, cv):
    """The fast tail stays within 0.012 of the negative binomial's."""
    shape = 1 / cv**2
    exact = nbinom.sf(k - 1, shape, shape / (shape + mean))
    assert float(gamma_poisson_tail(mean, cv**2, float(k))) == pytest.approx(exact, abs=0.012)


def test_node_weights_average_a_normal():
    """Weights sum to 1 and take a straight line to its middle."""
    nodes = np.linspace(-2.4, 2.4, 5)
    weight = node_weights(nodes)
    assert weight.sum() == pytest.approx(1.0)
    assert weight @ nodes == pytest.approx(0.0, abs=1e-12)


def chances_of(pots, taxa=1, needs=(5.0, 8.0, 12.0), rooted=42.0, for_sale=None, draws=300):
    """Chances on every fortnight of half a year."""
    posterior = growth_posterior(pots, priors(taxa))
    n = len(pots.taxon)
    sale = np.ones(n, dtype=bool) if for_sale is None else for_sale
    grades = np.tile(np.array(needs), (n, 1))
    return posterior, ready_chances(posterior, DAYS, grades, np.full(taxa, rooted), sale, draws=draws)


def test_chances_rise_with_time_and_fall_with_the_grade():
    """Later is likelier; a larger grade is less likely; all within 0 and 1."""
    _, chances = chances_of(simulate(1).pots, taxa=2)
    assert ((chances.p_ready >= 0) & (chances.p_ready <= 1)).all()
    assert (np.diff(chances.p_ready, axis=1) > -0.02).all()
    assert (np.diff(chances.p_ready, axis=2) <= 1e-6).all()


def test_a_pot_with_its_leaves_is_ready_unless_it_is_not_rooted():
    """Nine leaves today: small surely, large not; potted three weeks ago: not before six weeks are over."""
    old = replace(one_pot([400.0], [9.0]), now_day=400.0)
    _, chances = chances_of(old)
    assert chances.p_ready[0, 0, 0] > 0.97
    assert chances.p_ready[0, 0, 2] < 0.05
    young = replace(one_pot([21.0], [9.0], first=9.0), now_day=21.0)
    _, chances = chances_of(young)
    assert chances.p_ready[0, :2, 0].tolist() == [0.0, 0.0]
    assert chances.p_ready[0, 2, 0] > 0.9


def test_kept_pots_do_not_count():
    """The sums are of the pots for sale; chances are told of all."""
    pots = simulate(1, taxa=1, batches=1, tanks=3).pots
    _, chances = chances_of(pots, for_sale=np.zeros(len(pots.taxon), dtype=bool))
    assert chances.p_ready_sum.sum() == 0
    assert chances.p_ready.max() > 0.5


def test_days_past_are_refused():
    """Nothing is foretold for yesterday."""
    posterior = growth_posterior(one_pot([], []), priors(1))
    with pytest.raises(RefusedInput):
        ready_chances(posterior, np.array([-1.0]), np.ones((1, 1)), np.ones(1), np.ones(1, dtype=bool))


def test_joint_numbers_scatter_more_than_coins():
    """What pots share makes numbers scatter more than independent pots would; the means agree."""
    pots = simulate(9, taxa=1, tanks=1, batches=1, size=60, counts=0).pots
    posterior, chances = chances_of(pots, draws=2000)
    group = np.zeros(60, dtype=int)
    ready = ready_draws(posterior, chances, no_losses(2000, 1, 3, 1), pots.batch, group, 1)
    counts = drawn_counts(ready, 1)[0, :, 9, 1]
    p = chances.p_ready[:, 9, 1]
    assert counts.mean() == pytest.approx(p.sum(), rel=0.08)
    assert counts.std() > 1.5 * np.sqrt((p * (1 - p)).sum())
    assert counts.max() <= 60


def test_losses_take_their_share():
    """With a tenth lost in thirty days the number in three times that is down by as much."""
    pots = simulate(9, taxa=1, tanks=1, batches=1, size=60, counts=2).pots
    posterior, chances = chances_of(pots, draws=200)
    group, dying = np.zeros(60, dtype=int), np.log(-np.log(0.9))
    losses = [LossDraws(np.full((200, 1), x), np.full((200, 1), x), np.zeros((200, 3)), np.zeros((200, 1)))
              for x in (-40.0, dying)]  # fmt: skip
    alive, lossy = (ready_draws(posterior, chances, one, pots.batch, group, 1).mean for one in losses)
    np.testing.assert_allclose(lossy, alive * 0.9 ** (DAYS / 30)[:, None], rtol=1e-6)


def test_drawn_numbers_have_the_mean_and_scatter_of_unlike_pots():
    """Pots with chances 0.95 and 0.3: the binomial stands for their sum in mean and variance."""
    p = np.array([0.95] * 20 + [0.3] * 10)
    draws = 20_000
    ready = ReadyDraws(
        np.full((1, draws, 1, 1), p.sum()), np.full((1, 1, 1), (p**2).sum() / p.sum()), np.full(1, 30.0)
    )
    counts = drawn_counts(ready, 3)
    assert counts.mean() == pytest.approx(p.sum(), rel=0.005)
    assert counts.var() == pytest.approx((p * (1 - p)).sum(), rel=0.06)


def test_half_of_a_batch_is_the_middle_pot():
    """Four alike pots on a straight line: the second of them, as drawing four shows."""
    draws, days = 40_000, np.array([0.0, 100.0])
    line = np.array([0.0, 4.0])[None, None, :, None] * np.ones((1, draws, 1, 1))
    found = half_ready_days(ReadyDraws(line, np.ones((1, 2, 1)), np.full(1, 4.0)), days, 1)
    second = np.sort(np.random.default_rng(4).uniform(0, 100, (draws, 4)), axis=1)[:, 1]
    np.testing.assert_allclose(
        np.percentile(found, [10, 50, 90]), np.percentile(second, [10, 50, 90]), atol=1.0
    )


def test_crossings_are_found_between_days():
    """Halfway is crossed halfway, what is there already is there at once, and what never is, never."""
    days, curve = np.array([0.0, 10.0, 20.0]), np.array([[0.2, 0.4, 0.6]])
    assert crossing_days(curve, np.array([[0.1, 0.5, 0.9]]), days)[0].tolist() == [0.0, 15.0, np.inf]


def test_taxa_are_sums_of_their_batches():
    """Told by batch and put together, the numbers of a taxon are those told by taxon at once."""
    pots = simulate(1, taxa=2, tanks=3).pots
    posterior, chances = chances_of(pots, taxa=2)
    losses = no_losses(300, 2, 3, pots.batches)
    batches = ready_draws(posterior, chances, losses, pots.batch, pots.batch, pots.batches)
    whole = ready_draws(posterior, chances, losses, pots.batch, pots.taxon, 2)
    taxon_of = np.zeros(pots.batches, dtype=int)
    taxon_of[pots.batch] = pots.taxon
    merged = merged_draws(batches, taxon_of, 2)
    np.testing.assert_allclose(merged.mean, whole.mean)
    np.testing.assert_allclose(merged.lump_frac, whole.lump_frac, atol=0.02)
    assert some_days(merged, np.array([0, 3])).mean.shape[2] == 2
