"""Stage matrices that others have printed, with what they say of them."""

import math

import numpy as np
import pytest

from halfwater.science.stages import life_course, project, stage_view

# crouse-1987, tables 4 and 5: loggerhead turtles in seven stages, a step is a year.
TURTLES = np.zeros((7, 7))
# Breeding, of crouse-1987.
TURTLES[0, 4:] = 127.0, 4.0, 80.0
# Staying and moving on, of crouse-1987 too.
TURTLES[[1, 1, 2, 2, 3, 3, 4, 5, 6, 6], [0, 1, 1, 2, 2, 3, 3, 4, 5, 6]] = (
    0.6747, 0.7370, 0.0486, 0.6610, 0.0147, 0.6907, 0.0518, 0.8091, 0.8091, 0.8089,
)  # fmt: skip
# brault-caswell-1993, equation 2: killer whales; the fourth stage no longer breeds.
WHALES = np.array(
    [[0, 0.0043, 0.1132, 0], [0.9775, 0.9111, 0, 0], [0, 0.0736, 0.9534, 0], [0, 0, 0.0452, 0.9804]]
)
WHALE_BIRTHS = np.vstack((WHALES[:1], np.zeros((3, 4))))
# bernardelli-1941: beetles that breed once, in their third year.
BEETLES = np.array([[0.0, 0.0, 6.0], [1.0 / 2.0, 0.0, 0.0], [0.0, 1.0 / 3.0, 0.0]])
# caswell-2001, chapters 2 to 4: one life cycle counted before breeding.
BEFORE = np.array([[0.7, 0.7], [0.35, 0.5]])
# The same life cycle of caswell-2001, counted after breeding.
AFTER = np.array([[0.7, 1.225, 1.75], [0.2, 0.0, 0.0], [0.0, 0.35, 0.5]])

# alberta-knapweed: seeds, rosettes, flowers; 600 seeds a flower, 72 % of them viable.
KNAPWEED = np.array([[0.23, 0.0, 600.0 * 0.72], [0.74, 0.52, 0.0], [0.0, 0.35, 0.46]])


def test_growth_of_turtles():
    """The turtles dwindle by the printed factor, at the printed damping (crouse-1987)."""
    view = stage_view(TURTLES)
    assert view.growth_factor == pytest.approx(0.945031, abs=5e-7)
    assert math.log(view.growth_factor) == pytest.approx(-0.05654, abs=5e-6)
    assert view.damping_factor == pytest.approx(1.2178, abs=5e-5)


def test_structure_of_turtles():
    """The turtles' stages settle to the printed shares of one hundred (crouse-1987, table 5)."""
    printed = [20.65, 66.98, 11.46, 0.66, 0.04, 0.03, 0.18]
    assert stage_view(TURTLES).stable_frac * 100.0 == pytest.approx(printed, abs=0.005)


def test_what_each_turtle_counts_for():
    """Reproductive values of the turtles, as printed (crouse-1987, table 5)."""
    weights = stage_view(TURTLES).reproductive_weight
    assert weights[:3] == pytest.approx([1.0, 1.401, 5.996], abs=5e-4)
    assert weights[3] == pytest.approx(115.84, abs=0.005)
    assert weights[4:] == pytest.approx([568.8, 507.4, 587.7], abs=0.05)


def test_where_care_pays_for_turtles():
    """Elasticities of the turtles' growth: staying in a stage, moving on, breeding (crouse-1987)."""
    shares = stage_view(TURTLES).elasticity_frac
    assert shares.sum() == pytest.approx(1.0, abs=1e-12)
    assert shares[[1, 2, 3, 6], [1, 2, 3, 6]] == pytest.approx([0.18069, 0.11869, 0.13851, 0.22952], abs=5e-6)
    assert shares[[1, 2, 3, 4], [0, 1, 2, 3]] == pytest.approx(0.0510, abs=5e-5)
    assert shares[[5, 6], [4, 5]] == pytest.approx([0.0390, 0.0386], abs=5e-5)
    assert shares[0].sum() == pytest.approx(0.0510, abs=5e-5)


def test_growth_and_structure_of_whales():
    """Growth, damping, shares and weights of whales; past breeding counts for 0 (brault-caswell-1993)."""
    view = stage_view(WHALES)
    assert view.growth_factor == pytest.approx(1.0254413, abs=5e-8)
    assert view.damping_factor == pytest.approx(1.04594, abs=5e-6)
    assert view.stable_frac == pytest.approx([0.03697, 0.31607, 0.32291, 0.32405], abs=5e-6)
    assert view.reproductive_weight == pytest.approx([1.0, 1.0490, 1.5713, 0.0], abs=5e-5)
    assert view.reproductive_weight[3] == 0.0
    assert not view.kind.is_irreducible


def test_where_care_pays_for_whales():
    """Elasticities of whales; nothing done to those past breeding moves growth (brault-caswell-1993)."""
    shares = stage_view(WHALES).elasticity_frac
    assert shares[[2, 1, 1], [2, 1, 0]] == pytest.approx([0.53856, 0.33633, 0.04221], abs=5e-6)
    assert shares[[2, 0], [1, 2]] == pytest.approx(0.0407, abs=5e-5)
    assert not shares[3].any()
    assert not shares[:, 3].any()


def test_lives_of_whales():
    """Offspring in a life, time between generations, age of mothers, years to live (brault-caswell-1993)."""
    life = life_course(WHALES, WHALE_BIRTHS, 1.0)
    assert life.net_factor == pytest.approx(2.0131, abs=5e-5)
    assert life.generation_days == pytest.approx(27.8508, abs=5e-5)
    assert life.parent_age_days == pytest.approx(23.692, abs=5e-4)
    assert life.life_days[0] == pytest.approx(69.411, abs=5e-4)


def test_beetles_go_round():
    """Three years bring the beetles back exactly, and no stable structure is claimed (bernardelli-1941)."""
    view = stage_view(BEETLES)
    assert view.kind.period == 3
    assert view.kind.is_irreducible
    assert not view.kind.is_primitive
    assert view.growth_factor == pytest.approx(1.0, abs=1e-12)
    assert view.damping_factor == pytest.approx(1.0, abs=1e-12)
    assert view.stable_frac is None
    assert view.structure_frac == pytest.approx([0.6, 0.3, 0.1], abs=1e-12)
    assert view.elasticity_frac[BEETLES > 0.0] == pytest.approx(1.0 / 3.0, abs=1e-12)
    assert project(BEETLES, [3000.0, 0.0, 0.0], 3)[3] == pytest.approx([3000.0, 0.0, 0.0], abs=1e-9)


def test_when_one_counts_changes_nothing():
    """Counted before or after breeding, one life cycle has one growth factor (caswell-2001, chapters 2-4)."""
    before, after = stage_view(BEFORE), stage_view(AFTER)
    assert before.growth_factor == pytest.approx(1.1049752, abs=5e-8)
    assert after.growth_factor == pytest.approx(1.1049752, abs=5e-8)
    assert before.stable_frac == pytest.approx([0.63350, 0.36650], abs=5e-6)
    assert after.stable_frac == pytest.approx([0.77778, 0.14078, 0.08144], abs=5e-6)


def test_knapweed():
    """A weed that explodes: growth 5.22, mostly seeds, three rates that matter alike (alberta-knapweed)."""
    view = stage_view(KNAPWEED)
    assert view.growth_factor == pytest.approx(5.22, abs=5e-3)
    assert view.stable_frac[:2] * 100.0 == pytest.approx([85.6, 13.5], abs=0.05)
    assert view.stable_frac[2] * 100.0 == pytest.approx(0.9, abs=0.1)  # 0.989, cut so that all make 100
    alike = view.elasticity_frac[[1, 2, 0], [0, 1, 2]]
    assert alike == pytest.approx(alike[0])
    assert alike[0] > view.elasticity_frac.diagonal().max()
