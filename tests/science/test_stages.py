"""Stage matrices: classes, periods, vectors and elasticities, against brute force and one another."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from halfwater.errors import RefusedInput
from halfwater.science.stages import elasticity_of, life_course, matrix_kind, project, stage_view

# Each entry 0 or a plain size: what the two tests below ask is lost in rounding between 1e-300 and 1.
sparse = arrays(float, st.tuples(st.just(4), st.just(4)), elements=st.sampled_from([0.0, 0.0, 0.3, 0.8, 1.7]))


@settings(max_examples=60, deadline=None)
@given(sparse)
def test_primitive_as_by_powers(a):
    """A matrix is primitive exactly if its power (n - 1)2 + 1 has no 0, as Wielandt found."""
    is_full = bool((np.linalg.matrix_power((a > 0).astype(int), 10) > 0).all())
    assert matrix_kind(a).is_primitive == is_full


@settings(max_examples=60, deadline=None)
@given(sparse)
def test_a_claimed_structure_is_reached(a):
    """Where a stable structure is claimed, plants of every stage that counts come to it, and only there."""
    view = stage_view(a)
    if view.stable_frac is None or view.damping_factor < 1.05:
        return
    late = np.linalg.matrix_power(a / view.growth_factor, 600)
    for start, weight in enumerate(view.reproductive_weight):
        plants = late[:, start]
        if weight == 0.0:
            assert plants.sum() < 1e-6
        else:
            assert plants / plants.sum() == pytest.approx(view.stable_frac, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(arrays(float, (5, 5), elements=st.floats(0.05, 2.0)))
def test_vectors_and_elasticities(a):
    """Both vectors solve their equation, elasticities sum to 1, sensitivities are slopes."""
    view = stage_view(a)
    growth = view.growth_factor
    assert a @ view.structure_frac == pytest.approx(growth * view.structure_frac)
    assert view.reproductive_weight @ a == pytest.approx(growth * view.reproductive_weight)
    assert view.elasticity_frac.sum() == pytest.approx(1.0)
    bumped = a.copy()
    bumped[1, 2] += 1e-6
    slope = (stage_view(bumped).growth_factor - growth) / 1e-6
    assert view.sensitivity_factor[1, 2] == pytest.approx(slope, rel=1e-3, abs=1e-6)
    assert elasticity_of(a, a, 1.0) == pytest.approx(1.0)


@settings(max_examples=30, deadline=None)
@given(arrays(float, (4, 4), elements=st.floats(0.05, 2.0)), st.permutations(range(4)))
def test_shuffled_stages_change_nothing(a, order):
    """Other names for the stages: the same growth, the shares in the new order."""
    order = list(order)
    plain, shuffled = stage_view(a), stage_view(a[np.ix_(order, order)])
    assert shuffled.growth_factor == pytest.approx(plain.growth_factor)
    assert shuffled.stable_frac == pytest.approx(plain.stable_frac[order])


def test_no_structure_is_claimed_where_a_stage_fades():
    """Where the last stage grows fastest and feeds no other, the first fades: no claim, and it is named."""
    view = stage_view([[0.9, 0.0], [0.1, 1.1]])
    assert view.stable_frac is None
    assert view.structure_frac.tolist() == [0.0, 1.0]
    assert "stage 1 fades" in view.said


def test_no_structure_is_claimed_where_two_grow_alike():
    """Two classes that grow alike: nothing but their growth is said."""
    for a in ([[1.1, 0.0], [0.0, 1.1]], [[1.1, 0.0], [0.2, 1.1]]):
        view = stage_view(a)
        assert view.growth_factor == pytest.approx(1.1)
        assert view.kind.leading == ()
        assert view.stable_frac is None
        assert view.structure_frac is None
        assert view.elasticity_frac is None
        assert view.damping_factor == 1.0


def test_a_stock_without_comers_dies():
    """Where nothing comes back, growth is 0 and the sentence says so."""
    view = stage_view([[0.0, 0.0], [0.5, 0.0]])
    assert view.growth_factor == 0.0
    assert "gone" in view.said
    assert project([[0.0, 0.0], [0.5, 0.0]], [8.0, 0.0], 2)[-1].tolist() == [0.0, 0.0]


def test_a_fed_period_is_no_structure():
    """A period that feeds a last stage is still a period."""
    view = stage_view([[0.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.1, 0.0, 0.5]])
    assert view.kind.period == 2
    assert not view.kind.is_irreducible
    assert view.stable_frac is None


def test_lives_as_by_simulation():
    """Days to expect and offspring equal the sums over a long life, in days of the step."""
    keep, born = np.array([[0.3, 0.0], [0.4, 0.8]]), np.array([[0.0, 0.6], [0.0, 0.0]])
    life = life_course(keep + born, born, 28.0)
    standing = project(keep, [1.0, 0.0], 400)
    assert life.life_days[0] == pytest.approx(standing.sum() * 28.0)
    assert life.net_factor == pytest.approx((standing @ born.T).sum())


def test_generation_where_the_stock_stands_still():
    """At growth 1 the time between generations is the mean age of parents, as its limit just beside."""
    born = np.array([[0.0, 0.25], [0.0, 0.0]])
    keep = np.array([[0.0, 0.0], [0.8, 0.8]])
    still, beside = (
        life_course(keep + born, born, 28.0),
        life_course(keep + born * 1.0001, born * 1.0001, 28.0),
    )
    assert stage_view(keep + born).growth_factor == pytest.approx(1.0)
    assert still.generation_days == pytest.approx(still.parent_age_days)
    assert still.generation_days == pytest.approx(beside.generation_days, rel=1e-3)


def test_nothing_born_has_no_generation():
    """Without births there are no offspring and no time between generations."""
    life = life_course([[0.0, 0.0], [0.5, 0.5]], [[0.0, 0.0], [0.0, 0.0]], 28.0)
    assert life.net_factor == 0.0
    assert life.generation_days is None
    assert life.parent_age_days is None


@pytest.mark.parametrize(
    "call",
    [
        lambda: stage_view([]),
        lambda: stage_view([[1.0, 2.0]]),
        lambda: stage_view([[math.nan]]),
        lambda: stage_view([[-0.1]]),
        lambda: project([[1.0]], [1.0, 2.0], 1),
        lambda: project([[1.0]], [-1.0], 1),
        lambda: project([[1.0]], [1.0], -1),
        lambda: life_course([[0.5]], [[0.6]], 1.0),
        lambda: life_course([[0.5]], [[0.1]], 0.0),
        lambda: life_course([[1.5]], [[0.1]], 1.0),
        lambda: life_course([[1.0]], [[0.0]], 1.0),
        lambda: elasticity_of([[1.0, 0.0], [0.0, 1.0]], np.ones((2, 2)), 1.0),
        lambda: elasticity_of([[1.0]], np.ones((2, 2)), 1.0),
        lambda: elasticity_of([[1.0]], [[1.0]], math.nan),
    ],
)
def test_what_is_no_stock_is_refused(call):
    """Not square, negative, nan, plants that never die: refused."""
    with pytest.raises(RefusedInput):
        call()
