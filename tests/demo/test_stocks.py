"""Simulated stocks: plausible nurseries, honest about their truth, the same from the same seed."""

from collections import Counter
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest

from halfwater.book.profiles import profiles
from halfwater.demo.stock_worlds import WORLDS, climate_factor, drawn_breed, drawn_paces
from halfwater.demo.stocks import LAST_DAY, SimulatedStock, simulated_stocks
from halfwater.plain.stock import PIECES, TaxonFacts

TAXA = [TaxonFacts(i, name, name, priors) for i, (name, priors) in enumerate(profiles().items(), 1)][:8]


@pytest.fixture(scope="module")
def stocks() -> tuple[SimulatedStock, ...]:
    """Twenty nurseries of the usual kind."""
    return simulated_stocks(np.random.default_rng(7), TAXA, nurseries=20)


def test_a_pot_in_the_truth_stands_in_the_book(stocks: tuple[SimulatedStock, ...]) -> None:
    """The rows of the truth are the pots that are neither sold nor lost, and each stands in a tank."""
    for stock in stocks:
        here = [pot for pot in stock.pots if pot.state not in ("sold", "lost")]
        assert tuple(pot.key for pot in here) == stock.truth.keys
        assert all(pot.tank is not None and pot.left_on is None for pot in here)
        assert [(LAST_DAY - pot.potted_on).days for pot in here] == stock.truth.age_days.tolist()


def test_batches_come_from_earlier_batches_over_generations(stocks: tuple[SimulatedStock, ...]) -> None:
    """A parent batch is older and of the same taxon; the longest line has three steps or more."""
    for stock in stocks:
        batch = {pot.batch: pot for pot in stock.pots}
        depth = Counter[int]()
        for child, parent in stock.parents:
            assert batch[parent.batch].potted_on < batch[child].potted_on
            assert batch[parent.batch].taxon == batch[child].taxon
            depth[child] = max(depth[child], depth[parent.batch] + 1)
        assert max(depth.values()) == 3


def test_counts_lie_between_potting_and_leaving(stocks: tuple[SimulatedStock, ...]) -> None:
    """Nothing is counted before it was potted or after it left, and counts are in order of time."""
    for stock in stocks:
        pots = {pot.key: pot for pot in stock.pots}
        for count in stock.counts:
            pot = pots[count.pot]
            assert pot.potted_on < count.on <= (pot.left_on or stock.on)
        assert [count.on for count in stock.counts] == sorted(count.on for count in stock.counts)


def test_stays_follow_each_other_without_a_gap(stocks: tuple[SimulatedStock, ...]) -> None:
    """A pot's stays run from potting to its leaving, and the last one names the tank it stands in."""
    moves = 0
    for stock in stocks:
        for pot in stock.pots:
            own = [stay for stay in stock.stays if stay.pot == pot.key]
            assert own[0].from_on == pot.potted_on
            assert own[-1].to_on == pot.left_on
            assert all(one.to_on == two.from_on for one, two in pairwise(own))
            assert pot.tank in (None, own[-1].tank)
            moves += len(own) - 1
    assert moves > 20


def test_miscounts_are_as_often_as_the_world_says(stocks: tuple[SimulatedStock, ...]) -> None:
    """Of pots counted on the last evening about a fifth are off, never by more than one leaf."""
    made = simulated_stocks(np.random.default_rng(3), TAXA, nurseries=120)
    off = []
    for stock in made:
        rows = {key: row for row, key in enumerate(stock.truth.keys)}
        fresh = [count for count in stock.counts if count.on >= stock.on - timedelta(days=1)]
        off += [
            count.leaves - int(stock.truth.leaves[rows[count.pot], 0]) for count in fresh if count.pot in rows
        ]
    assert len(off) > 100
    assert 0.1 < np.mean(np.array(off) != 0) < 0.3


def test_losses_come_together_by_tank_and_parent() -> None:
    """Early losses differ between batches far more than independent coins would."""
    made = simulated_stocks(np.random.default_rng(11), TAXA, nurseries=60)
    spread, coins = 0.0, 0.0
    for stock in made:
        for taxon in stock.taxa:
            lost = {}
            for pot in stock.pots:
                if pot.taxon == taxon.key:
                    is_early = pot.state == "lost" and (pot.left_on or date.max) < pot.potted_on + timedelta(
                        63
                    )
                    lost.setdefault(pot.batch, []).append(is_early)
            shares = np.array([np.mean(one) for one in lost.values()])
            sizes = np.array([len(one) for one in lost.values()])
            mean = np.average(shares, weights=sizes)
            spread += float(np.sum(sizes * (shares - mean) ** 2))
            coins += float(mean * (1 - mean) * (sizes.size - 1))
    assert spread > 1.4 * coins


def test_the_truth_of_a_lost_pot_is_no_leaves() -> None:
    """From the day it is lost a pot has no leaves and reaches no grade any more."""
    truth = simulated_stocks(np.random.default_rng(5), TAXA, nurseries=1)[0].truth
    lost = np.flatnonzero(np.isfinite(truth.lost_day))
    assert lost.size
    for row in lost:
        day = max(0, int(truth.lost_day[row]))
        assert not truth.leaves[row, day:].any()
    waits = truth.first_day_at(np.full(len(truth.keys), 3))
    assert np.all((waits < np.maximum(truth.lost_day, 0)) | np.isinf(waits))


def test_a_grade_is_reached_no_earlier_than_it_stands() -> None:
    """On the first day at a grade the pot has its leaves and is rooted, and on no day before."""
    truth = simulated_stocks(np.random.default_rng(6), TAXA, nurseries=1)[0].truth
    rule = np.full(len(truth.keys), 8)
    there = truth.standing_at(rule)
    for row, day in enumerate(truth.first_day_at(rule)):
        if np.isfinite(day):
            assert truth.leaves[row, int(day)] >= 8
            assert truth.age_days[row] + day >= 42
        assert not there[row, : int(min(day, there.shape[1]))].any()


@pytest.mark.parametrize("kind", WORLDS)
def test_every_kind_of_world_can_be_made(kind: str) -> None:
    """Each kind gives pots of every state and pieces from the closed list."""
    made = simulated_stocks(np.random.default_rng(2), TAXA, kind, nurseries=8)
    pots = [pot for stock in made for pot in stock.pots]
    assert {pot.state for pot in pots} == {"settling", "growing", "kept", "sold", "lost"}
    assert {pot.piece for pot in pots} == {"", *PIECES}
    assert {stock.kind for stock in made} == {kind}


def test_worlds_break_what_they_say_they_break() -> None:
    """On a plateau pots stay small; unnoted cuts take leaves; paces are 1 on average."""
    rng = np.random.default_rng(0)
    made = {
        kind: simulated_stocks(np.random.default_rng(4), TAXA, kind, nurseries=25)
        for kind in ("usual", "plateau", "cuts")
    }
    large = {kind: max(int(one.truth.leaves.max()) for one in stocks) for kind, stocks in made.items()}
    assert large["plateau"] < 40 < large["usual"]
    falls = {
        kind: sum(int((np.diff(one.truth.leaves) < -4).sum()) for one in stocks)
        for kind, stocks in made.items()
    }
    assert falls["cuts"] > falls["usual"]
    for kind in ("usual", "spread"):
        paces = drawn_paces(rng, WORLDS[kind], 40_000)
        assert np.mean(paces) == pytest.approx(1.0, abs=0.02)
        assert np.std(paces) == pytest.approx({"usual": 0.3, "spread": 0.45}[kind], abs=0.06)


def test_a_climate_at_its_best_changes_nothing() -> None:
    """At 3 mol of light and 25.5 degrees the factor is 1; colder or darker it is less, if warmth counts."""
    breed = drawn_breed(np.random.default_rng(1), TAXA[0])
    assert climate_factor(breed, 25.5, 3.0) == pytest.approx(1.0)
    assert climate_factor(breed, 18.0, 3.0) < 1.0


def test_the_same_seed_gives_the_same_nurseries() -> None:
    """Everything random comes from the generator that is handed in."""
    one, two = (simulated_stocks(np.random.default_rng(8), TAXA, nurseries=3) for _ in range(2))
    assert [stock.counts for stock in one] == [stock.counts for stock in two]
    assert all(np.array_equal(a.truth.leaves, b.truth.leaves) for a, b in zip(one, two, strict=True))
