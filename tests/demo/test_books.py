"""Simulated books: plausible, honest about their truth, the same from the same seed."""

from datetime import timedelta

import numpy as np
import pytest

from halfwater.demo.books import simulated_book
from halfwater.demo.curve import bath_curve
from halfwater.demo.habit import HABITS, drawn_habit
from halfwater.demo.truth import passage, volume_if_left

SEEDS = range(25)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_bath_balances(seed: int) -> None:
    """Between two evenings the bath changes by its net and its siphon, and by a fill where one is noted."""
    _, entries, truth = simulated_book(np.random.default_rng(seed), days=200)
    change = np.diff(truth.volume_l)
    left_over = change - truth.net_l[1:200] + truth.siphoned_l[1:]
    filled = {e.at.date() for e in entries if e.kind == "fill"}
    for day, litres in enumerate(left_over, start=1):
        is_dry = truth.volume_l[day] == 0.0
        is_filled = truth.first_on + timedelta(days=day) in filled
        assert abs(litres) < 1e-9 or is_filled or is_dry


@pytest.mark.parametrize("name", HABITS)
def test_every_habit_gives_its_kind_of_book(name: str) -> None:
    """A grower who never reads notes no waterline; a daily one notes more of them than a rare one."""
    _, entries, truth = simulated_book(np.random.default_rng(3), HABITS[name], days=300)
    readings = sum(e.kind == "waterline" for e in entries)
    bounds = {"none": (0, 0), "rare": (4, 10), "weekly": (20, 43), "daily": (200, 300), "careless": (3, 18)}
    assert bounds[name][0] <= readings <= bounds[name][1]
    assert [e.at for e in entries] == sorted(e.at for e in entries)
    assert truth.last_on == truth.first_on + timedelta(days=299)


def test_the_siphon_date_is_the_first_evening_at_the_limit_line() -> None:
    """Left alone, the waterline is under the limit line until the true date and at it then."""
    seen = 0
    for seed in SEEDS:
        _, _, truth = simulated_book(np.random.default_rng(seed), days=60)
        if truth.passes_on is None:
            continue
        days = (truth.passes_on - truth.last_on).days
        depth = truth.curve.depth_of(volume_if_left(truth, truth.last_on))
        assert depth[days] >= truth.curve.limit_line_mm - 1e-6
        assert np.all(depth[:days] < truth.curve.limit_line_mm + 1e-6)
        seen += 1
    assert seen >= 15


def test_a_passage_never_comes_before_the_day_it_is_asked_from() -> None:
    """Seen from any day of the book the true date lies on or after that day."""
    _, _, truth = simulated_book(np.random.default_rng(5), HABITS["weekly"], days=120)
    asked = [truth.first_on + timedelta(days=d) for d in range(120)]
    found = [(day, passage(truth, day)) for day in asked]
    assert all(on >= day for day, on in found if on is not None)


def test_causes_stay_in_the_range_of_the_starting_values() -> None:
    """Over many books the catch is near 0.55 and the siphon comes round in one to three months."""
    books = [simulated_book(np.random.default_rng(seed)) for seed in range(150)]
    catch = np.array([truth.catch_frac.mean() for _, _, truth in books])
    waits = [(t.passes_on - t.last_on).days for _, _, t in books if t.passes_on]
    assert 0.42 < np.median(catch) < 0.62
    assert np.mean((catch > 0.25) & (catch < 0.85)) > 0.85
    assert 20 < np.median(waits) < 90
    assert len(waits) > 110


def test_the_same_seed_gives_the_same_book() -> None:
    """Everything random comes from the generator that is handed in."""
    one, two = (simulated_book(np.random.default_rng(8)) for _ in range(2))
    assert one[0] == two[0]
    assert one[1] == two[1]


def test_slices_agree_with_the_frustum() -> None:
    """The sliced bath of a tank equals floor less clay, worked out by the frustum formula."""
    tank, _, _ = simulated_book(np.random.default_rng(2))
    pot = tank.pot
    assert pot is not None
    curve = bath_curve(tank)
    height = 10.0
    foot, rim = pot.base_mm / 2, pot.top_mm / 2
    radius = foot + (rim - foot) * height / pot.height_mm
    frustum = np.pi * height / 3 * (foot**2 + foot * radius + radius**2)
    exact = tank.length_mm * tank.width_mm * height - tank.pots * 0.56 * frustum
    assert float(curve.volume_of(height)) == pytest.approx(exact / 1e6, rel=1e-5)


def test_drawn_habits_differ() -> None:
    """Two draws from one generator are two growers."""
    rng = np.random.default_rng(0)
    assert drawn_habit(rng) != drawn_habit(rng)
