"""The stage chain against leaves drawn one by one, and its limits."""

from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.linalg import expm

from halfwater.errors import RefusedInput
from halfwater.science.stage_chain import StageChain, stage_chain, stage_of

NANA: Mapping[str, int] = {"small": 5, "standard": 8, "large": 12}
MINI: Mapping[str, int] = {"small": 7, "standard": 12, "large": 20}
DAY = 30.0


def _first_passage(
    size: int, first: int, rate: float, life: float, tips: float, sigma: float, pots: int = 20_000
) -> NDArray[np.float64]:
    """Days from settling until a pot first has `size` leaves, each leaf born and dying by itself."""
    rng = np.random.default_rng(7)
    pace = rng.gamma(1 / max(sigma, 1e-9) ** 2, max(sigma, 1e-9) ** 2, pots) if sigma else np.ones(pots)
    leaves, time, done = np.full(pots, first), np.zeros(pots), np.zeros(pots, bool)
    while not done.all():
        at = ~done
        birth = pace[at] * rate / DAY * (1.0 + tips * time[at] / DAY)
        leaving = birth + leaves[at] / life
        time[at] += rng.exponential(1.0 / leaving)
        leaves[at] += np.where(rng.random(at.sum()) < birth / leaving, 1, -1)
        done[at] = leaves[at] >= size
    return time


def _chain_passage(chain: StageChain, grade: str, start: int) -> tuple[float, float]:
    """Mean and spread of the days until the chain's pot stands at a grade or better, none lost."""
    below = [place for place in range(start, len(chain.grade)) if place < chain.grade.index(grade)]
    inside = chain.matrix[np.ix_(below, below)]
    stay = np.linalg.inv(np.eye(len(below)) - inside)
    visits = stay.sum(axis=0)[0]
    square = ((2 * stay - np.eye(len(below))) @ stay).sum(axis=0)[0]
    return (visits - 0.5) * chain.days, float(np.sqrt(square - visits**2)) * chain.days


@pytest.mark.parametrize(
    ("grade", "size", "share"), [("small", 5, 0.01), ("standard", 8, 0.015), ("large", 12, 0.015)]
)
def test_mean_time_is_that_of_leaves_one_by_one(grade: str, size: int, share: float) -> None:
    """Pots of one pace, leaves that never die: the mean time to each grade is leaves over rate, as drawn."""
    chain = stage_chain(NANA, 3, 1.5, 42, 0.0, 0.0, 1e9, 0.0, 1.0, pot_sigma_log=0.0)
    mean, _ = _chain_passage(chain, grade, chain.settling)
    assert mean == pytest.approx((size - 3) / 1.5 * DAY, rel=1e-3)
    assert mean == pytest.approx(_first_passage(size, 3, 1.5, 1e9, 0.0, 0.0).mean(), rel=share)


def test_spread_is_that_of_leaves_one_by_one() -> None:
    """Pots of one pace: a grade m leaves away has the spread of m single steps, sqrt(m) leaves' time."""
    chain = stage_chain(NANA, 3, 1.5, 42, 0.0, 0.0, 1e9, 0.0, 1.0, pot_sigma_log=0.0)
    for grade, size in (("small", 5), ("standard", 8), ("large", 12)):
        _, spread = _chain_passage(chain, grade, chain.settling)
        assert spread == pytest.approx(np.sqrt(size - 3) / 1.5 * DAY, rel=1e-3)


@pytest.mark.parametrize(("sizes", "first"), [(NANA, 3), (MINI, 5)])
@pytest.mark.parametrize(("rate", "life", "tips"), [(1.5, 540, 0.10), (1.0, 400, 0.2)])
def test_mixed_paces_and_dying_leaves(
    sizes: Mapping[str, int], first: int, rate: float, life: float, tips: float
) -> None:
    """With mixed paces, dying leaves and new tips, means are within 8 %, spreads within 35 %.

    The spread is too wide where tips speed growth up: the late leaves then take less of the time.
    """
    chain = stage_chain(sizes, first, rate, 42, 0.0, 0.0, life, tips, 1.0)
    for grade, size in sizes.items():
        drawn = _first_passage(size, first, rate, life, tips, 0.30)
        mean, spread = _chain_passage(chain, grade, chain.settling)
        assert mean == pytest.approx(drawn.mean(), rel=0.08), grade
        assert spread == pytest.approx(drawn.std(), rel=0.35), grade


def test_the_lag_has_its_mean_and_the_settling_loss_its_share() -> None:
    """Sections settle after the lag on average, and the share that never does is the settling loss."""
    chain = stage_chain(NANA, 3, 1.5, 42, 0.0, 0.0, 540, 0.1, 1.0)
    below = slice(0, chain.settling)
    mean = np.linalg.inv(np.eye(chain.settling) - chain.matrix[below, below]).sum(axis=0)[0] - 0.5
    assert mean == pytest.approx(42, rel=1e-3)
    lossy = stage_chain(NANA, 3, 1.5, 42, 0.08, 0.0, 540, 0.1)
    ever = np.linalg.matrix_power(lossy.matrix, 2000)[:, lossy.entry]
    assert ever[: lossy.settling].sum() < 1e-12
    assert ever.sum() == pytest.approx(0.92, abs=1e-9)


def test_a_settled_pot_is_lost_at_its_monthly_share() -> None:
    """Over thirty days each settled stage keeps exactly what the monthly loss leaves."""
    chain = stage_chain(NANA, 3, 1.5, 42, 0.08, 0.02, 540, 0.1, 30.0)
    assert chain.matrix.sum(axis=0)[chain.settling :] == pytest.approx(0.98, abs=1e-12)


def test_the_matrix_is_the_exponential_of_its_flows() -> None:
    """The series agrees with a general matrix exponential, for slow plants and for fast ones over a year."""
    for lag, rate, days in ((42.0, 1.5, 7.0), (10.0, 11.0, 364.0)):
        chain = stage_chain(NANA, 3, rate, lag, 0.1, 0.02, 540, 0.1, days)
        short = stage_chain(NANA, 3, rate, lag, 0.1, 0.02, 540, 0.1, 1e-3)
        flows = (short.matrix - np.eye(len(short.names))) / 1e-3
        assert chain.matrix == pytest.approx(expm(flows * days), abs=2e-3)
        assert (chain.matrix >= 0.0).all()


@given(
    rate=st.floats(0.1, 20.0), lag=st.floats(3.0, 120.0), loss=st.floats(0.0, 0.5), late=st.floats(0.0, 0.3),
    first=st.floats(1.0, 30.0), life=st.floats(60.0, 2000.0), tips=st.floats(0.0, 0.6),
)  # fmt: skip
@settings(max_examples=30, deadline=None)
def test_any_chain_is_sound(
    rate: float, lag: float, loss: float, late: float, first: float, life: float, tips: float
) -> None:
    """Pots are never made nor turned back; four weeks are four times one week; stages stay few."""
    chain = stage_chain(NANA, first, rate, lag, loss, late, life, tips)
    month = stage_chain(NANA, first, rate, lag, loss, late, life, tips, 28.0)
    assert len(chain.names) == len(chain.grade) == len(chain.leaves) == len(chain.matrix) <= 14
    assert (chain.matrix >= 0).all()
    assert (chain.matrix.sum(axis=0) <= 1 + 1e-12).all()
    assert not np.triu(chain.matrix, 1).any()
    assert month.matrix == pytest.approx(np.linalg.matrix_power(chain.matrix, 4), abs=1e-11)
    assert (np.diff(chain.lowest_leaves[chain.settling :]) > 0).all()


@pytest.mark.parametrize(("first", "rate", "life"), [(7.999999, 18.0, 2000.0), (10.236, 0.1, 60.0)])
def test_pots_at_a_grade_and_pots_that_hardly_grow_are_sound(first: float, rate: float, life: float) -> None:
    """A hair below a grade counts as at it, and where leaves die as fast as they come nobody moves on."""
    chain = stage_chain(NANA, first, rate, 42.0, 0.1, 0.02, life, 0.5)
    assert (chain.matrix.sum(axis=0) <= 1 + 1e-12).all()
    assert (chain.move_per_day[..., :-1] > 0.0).all()
    assert chain.move_per_day[chain.settling] < (1e-9 if rate < 1.0 else 1.0)


def test_draws_are_each_their_own_chain() -> None:
    """Many draws at once give the matrices that each draw gives by itself, on the same stages."""
    rates, lags = np.array([0.8, 1.5, 2.6]), np.array([20.0, 42.0, 75.0])
    many = stage_chain(NANA, 3, rates, lags, [0.1, 0.0, 0.2], 0.01, 540, 0.1)
    for place, loss in enumerate((0.1, 0.0, 0.2)):
        one = stage_chain(NANA, 3, rates[place], lags[place], loss, 0.01, 540, 0.1)
        assert one.names == many.names
        assert many.matrix[place] == pytest.approx(one.matrix, abs=1e-12)


def test_a_pot_stands_in_the_stage_its_leaves_and_age_say() -> None:
    """Settled pots by leaves, with the grade of the size rule; others by the share of the lag they waited."""
    chain = stage_chain(NANA, 3, 1.5, 40, 0.08, 0.01, 540, 0.1)
    grades = [chain.grade[stage_of(chain, leaves, True)] for leaves in (1, 4.9, 5, 7.9, 8, 11, 12, 60)]
    assert grades == ["", "", "small", "small", "standard", "standard", "large", "large"]
    assert [stage_of(chain, 3, False, age) for age in (0, 9, 10, 25, 39, 400)] == [0, 0, 1, 2, 3, 3]
    assert stage_of(chain, 12, False) == chain.entry


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("leaf_rate_per_30d", 0.0), ("leaf_rate_per_30d", [1.0, np.nan]), ("lag_days", -1.0),
        ("settling_loss_frac", 1.0), ("loss_per_30d_frac", -0.1), ("leaf_life_days", np.inf),
        ("first_leaves", 0), ("tips_per_30d", np.nan), ("days", 0), ("grade_leaves", {}),
        ("grade_leaves", {"small": 0}), ("grade_leaves", {"small": 5, "standard": 5}),
    ],
)  # fmt: skip
def test_what_makes_no_chain_is_refused(field: str, change: object) -> None:
    """A value outside its range is refused by its name, with what would be accepted."""
    usual: dict[str, object] = {
        "grade_leaves": NANA, "first_leaves": 3, "leaf_rate_per_30d": 1.5, "lag_days": 42,
        "settling_loss_frac": 0.08, "loss_per_30d_frac": 0.01, "leaf_life_days": 540, "tips_per_30d": 0.1,
    }  # fmt: skip
    with pytest.raises(RefusedInput) as refused:
        stage_chain(**{**usual, field: change})  # type: ignore[arg-type]
    assert refused.value.field == field
