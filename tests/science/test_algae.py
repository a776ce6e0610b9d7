"""The hazard of algae: what is believed at first, and what sightings teach."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, special

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.algae import LEVERS, algae_chance, learn_algae, pull_levers, start_algae

MONTHS = (
    np.array([1.5, 2.0, 3.0, 4.0, 2.5, 5.0, 1.0, 3.5]),
    np.array([0.4, 0.8, 1.0, 1.2, 0.6, 0.9, 0.5, 1.5]),
    np.array([0.0, 0.0, 1.0, 0.5, 0.0, 1.0, 0.0, 0.2]),
    np.array([0, 0, 1, 1, 0, 1, 0, 0]),
)


def test_learning_finds_the_top_that_a_general_optimiser_finds() -> None:
    """The same penalised likelihood, maximised by scipy's BFGS from elsewhere, has the same top."""
    light, salts, wet, seen = MONTHS
    rows = np.column_stack((np.ones(8), light - 2, (salts - 0.6) / 0.4, wet))
    means, spreads = np.array(starting.ALGAE_MEANS), np.array(starting.ALGAE_SDS)

    def loss(at: np.ndarray) -> float:
        z = rows @ at
        return float((np.logaddexp(0, z) - seen * z).sum() + 0.5 * (((at - means) / spreads) ** 2).sum())

    rival = optimize.minimize(loss, np.zeros(4), method="BFGS", options={"gtol": 1e-8})
    learned = learn_algae(*MONTHS)
    assert learned.mean == pytest.approx(rival.x, abs=1e-5)
    assert (learned.months, learned.seen) == (8, 3)


def test_nothing_heard_leaves_the_starting_hazard() -> None:
    """No months in, the starting beliefs out."""
    start, learned = start_algae(), learn_algae([], [], [], [])
    assert learned.mean == pytest.approx(start.mean)
    assert learned.cov == pytest.approx(start.cov)


def test_many_months_overrule_the_starting_beliefs() -> None:
    """With 4000 months of a hidden hazard of another size the chance comes within 3 points of the truth."""
    rng = np.random.default_rng(5)
    light, salts, wet = rng.uniform(0.5, 6, 4000), rng.uniform(0.2, 1.6, 4000), rng.integers(0, 2, 4000)
    hidden = special.expit(-1.0 + 0.2 * (light - 2) + 0.1 * (salts - 0.6) / 0.4 + 2.0 * wet)
    learned = learn_algae(light, salts, wet, rng.random(4000) < hidden)
    asked = algae_chance(learned, [1.0, 4.0], 0.8, [0.0, 1.0])
    truth = special.expit([-1.0 - 0.2 + 0.05, -1.0 + 0.4 + 0.05 + 2.0])
    assert asked.p_frac == pytest.approx(truth, abs=0.03)
    assert np.all(asked.high_frac - asked.low_frac < 0.08)


@settings(max_examples=25, deadline=None)
@given(st.floats(0, 8), st.floats(0, 3), st.floats(0, 1))
def test_more_light_salts_or_wet_never_lowers_the_starting_chance(dli: float, ec: float, wet: float) -> None:
    """The starting hazard rises with each of its three causes, and its range holds it."""
    here = algae_chance(start_algae(), dli, ec, wet)
    more = algae_chance(start_algae(), dli + 0.5, ec + 0.1, min(wet + 0.1, 1.0))
    assert here.low_frac <= here.p_frac <= here.high_frac
    assert more.p_frac >= here.p_frac


def test_the_waterline_is_the_first_lever() -> None:
    """Levers come in their order, each lowers the chance; hours and intensity take the same light away."""
    told = dict(pull_levers(start_algae(), 60, 12, 0.1, 0.9, 1.0))
    assert tuple(told) == ("as it is", *LEVERS)
    assert max(told[name] for name in LEVERS) < told["as it is"]
    assert told["hours"] == pytest.approx(told["intensity"])


def test_sightings_that_are_no_answer_are_refused() -> None:
    """A sighting is 0 or 1; months have all their figures."""
    with pytest.raises(RefusedInput, match="0 or 1"):
        learn_algae([1.0], [0.5], [0.0], [0.5])
    with pytest.raises(RefusedInput, match="same months"):
        learn_algae([1.0, 2.0], [0.5], [0.0], [1])
    with pytest.raises(RefusedInput):
        algae_chance(start_algae(), float("nan"), 0.5, 0.0)
