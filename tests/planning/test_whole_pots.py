"""Chance in whole pots: the right distribution, nothing made or mislaid, the same numbers for all."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from halfwater.errors import RefusedInput
from halfwater.planning.whole_pots import CommonChance, fates, grown, whole_binomial
from halfwater.science.stage_chain import stage_chain

SIZES = {"small": 5, "standard": 8, "large": 12}


@given(pots=st.integers(0, 400), probability=st.floats(0.0, 1.0), chance=st.floats(0.001, 0.999))
@settings(max_examples=80, deadline=None)
def test_the_inverse_is_that_of_the_binomial(pots: int, probability: float, chance: float) -> None:
    """The count lies where the binomial distribution function passes the number."""
    met = int(whole_binomial(np.array([pots]), np.array([probability]), np.array([chance]))[0])
    assert 0 <= met <= pots
    assert binom.cdf(met, pots, probability) >= chance - 1e-9
    assert met == 0 or binom.cdf(met - 1, pots, probability) <= chance + 1e-9


def test_many_pots_keep_mean_and_spread() -> None:
    """Two thousand pots go in blocks and still have the binomial's mean and variance."""
    chance = np.random.default_rng(3).random(20_000)
    met = whole_binomial(np.full(20_000, 2000), np.full(20_000, 0.3), chance)
    assert met.mean() == pytest.approx(600.0, abs=4 * np.sqrt(420 / 20_000))
    assert met.var() == pytest.approx(420.0, rel=0.05)


def test_more_pots_never_fare_worse_on_the_same_number() -> None:
    """On the same number more pots give at least as many that meet their fate."""
    chance = np.random.default_rng(4).random(500)
    few, more = (whole_binomial(np.full(500, n), np.full(500, 0.2), chance) for n in (10, 14))
    assert (more >= few).all()


def test_a_week_of_whole_pots_is_on_average_what_the_matrix_says() -> None:
    """The mean of many futures after a week is the matrix times the pots, to four standard errors."""
    chain = stage_chain(SIZES, 3, 1.5, 42, 0.1, 0.05, 540, 0.1, 28.0)
    start = np.arange(3, 3 + len(chain.names))
    futures = 8000
    pots = np.broadcast_to(start, (futures, len(start)))
    asked = np.broadcast_to(fates(chain.matrix).T[:, None], (len(start) + 1, futures, len(start)))
    after, lost = grown(pots, asked, CommonChance(5, pots.shape), 0)
    assert (after.sum(axis=1) + lost == start.sum()).all()
    assert (after >= 0).all()
    error = after.std(axis=0) / np.sqrt(futures)
    assert (np.abs(after.mean(axis=0) - chain.matrix @ start) <= 4 * error + 1e-12).all()


@given(seed=st.integers(0, 10_000))
@settings(max_examples=20, deadline=None)
def test_fates_tell_the_whole_matrix(seed: int) -> None:
    """Multiplied out, the questions give back every entry of any forward matrix."""
    rng = np.random.default_rng(seed)
    matrix = np.tril(rng.random((5, 5)) * (rng.random((5, 5)) < 0.7))
    matrix /= np.maximum(matrix.sum(axis=0) * (1 + rng.random(5)), 1e-9)
    asked = fates(matrix)
    for stage in range(5):
        left = asked[stage, 0] * (1 - asked[stage, 1])
        assert 1 - asked[stage, 0] == pytest.approx(matrix[stage, stage])
        for on in range(1, 5 - stage):
            assert left * asked[stage, 1 + on] == pytest.approx(matrix[stage + on, stage])
            left *= 1 - asked[stage, 1 + on]


def test_numbers_hang_on_seed_week_and_question_alone() -> None:
    """Asked again in another order the numbers are the same; another week or question has others."""
    chance = CommonChance(9, (4, 3))
    late = chance.numbers(7, 1)
    chance.numbers(2, 0)
    assert (chance.numbers(7, 1) == late).all()
    assert not (chance.numbers(7, 0) == late).any()
    assert not (CommonChance(10, (4, 3)).numbers(7, 1) == late).any()


@pytest.mark.parametrize(
    ("pots", "probability", "field"), [(-1, 0.5, "pots"), (2, np.nan, "probability"), (2, 1.1, "probability")]
)
def test_impossible_chances_are_refused(pots: int, probability: float, field: str) -> None:
    """Negative pots and probabilities outside 0 to 1 are refused by name."""
    with pytest.raises(RefusedInput) as refused:
        whole_binomial(np.array([pots]), np.array([probability]), np.array([0.5]))
    assert refused.value.field == field


def test_what_is_certain_happens_at_every_number() -> None:
    """A chance of 1 takes all pots and one of 0 takes none, at the edges of the numbers too."""
    at = np.array([0.0, 0.5, np.nextafter(1.0, 0.0)])
    pots = np.full(3, 700)
    assert (whole_binomial(pots, np.ones(3), at) == 700).all()
    assert not whole_binomial(pots, np.zeros(3), at).any()
