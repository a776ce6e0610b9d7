"""Does the advice on prices earn more than a price that never moves, and is it sure only where it may be?

Simulated markets with hidden visitors, made by price_markets.py. Growers begin too cheap, about right and too
dear; what a plant is worth to a visitor follows a power law in half of the markets and a bell in the others.
`python -m tests.calibration.test_price_advice 40` prints the same over more of them.
"""

import sys
from dataclasses import dataclass

import numpy as np
import pytest

from tests.calibration.price_markets import Followed, fixed_income, followed, market

BEGUN = (0.7, 1.0, 1.4)  # times a price of about 8


@dataclass(frozen=True)
class Tried:
    """A market: what its advices earned, and what the first prices earn that never move."""

    advices: list[Followed]
    fixed: float

    @property
    def more(self) -> float:
        """What the advice earned more, as a share."""
        return sum(one.earned for one in self.advices) / self.fixed - 1.0


def tried(seed: int, *, is_bell: bool, asked: float) -> Tried:
    """One market, its visitors met by both."""
    own = market(seed, bell=is_bell, asked=asked)
    return Tried(followed(own), fixed_income(own))


@pytest.fixture(scope="module")
def markets() -> list[Tried]:
    """Six markets: both kinds of visitors, each begun in three ways."""
    return [
        tried(seed, is_bell=is_bell, asked=asked)
        for is_bell in (False, True)
        for seed, asked in enumerate(BEGUN)
    ]


def test_advice_earns_more_than_a_fixed_price(markets: list[Tried]) -> None:
    """Over the markets the advice earns a tenth more at least, by more than two standard errors, paired."""
    more = np.array([one.more for one in markets])
    assert more.mean() > 0.1
    assert more.mean() > 2.0 * more.std(ddof=1) / np.sqrt(len(more))


def test_before_the_third_release_nothing_is_sure(markets: list[Tried]) -> None:
    """The advices for the first three releases rest on two at most: each says that it cannot know."""
    early = [one.advice for each in markets for one in each.advices if one.turn < 3]
    assert len(early) == 6 * 3 * 3
    assert {one.verdict for one in early} <= {"cannot know yet", "offer fewer"}
    assert all(one.offered == 0 for one in early if one.verdict == "offer fewer")


def test_sure_advice_is_mostly_right(markets: list[Tried]) -> None:
    """Where the price is moved for sure, it earns more with the visitors of that release, luck included."""
    sure = [one for each in markets for one in each.advices if one.advice.verdict in ("raise", "lower")]
    assert len(sure) > 15
    assert np.mean([one.earned > one.earned_before for one in sure]) > 0.7
    assert sum(one.earned - one.earned_before for one in sure) > 0.0


def test_trials_cost_little(markets: list[Tried]) -> None:
    """Prices that were only tried earned, all together, no less than a twentieth below the old ones."""
    trials = [one for each in markets for one in each.advices if one.advice.is_trial]
    assert len(trials) >= 6
    assert sum(one.earned for one in trials) > 0.95 * sum(one.earned_before for one in trials)


def _print_table(count: int) -> None:
    for is_bell in (False, True):
        for asked in BEGUN:
            found = [tried(seed, is_bell=is_bell, asked=asked) for seed in range(count)]
            more = np.array([one.more for one in found])
            advices = [one for each in found for one in each.advices]
            sure = [one for one in advices if one.advice.verdict in ("raise", "lower")]
            right = np.mean([one.earned > one.earned_before for one in sure])
            unknown = np.mean([one.advice.verdict == "cannot know yet" for one in advices if one.turn > 2])
            figures = (more.mean(), np.median(more), np.mean(more > 0.0), right, unknown)
            shares = " | ".join(f"{figure:.2f}" for figure in figures)
            sys.stdout.write(f"| {'bell' if is_bell else 'power law'} | {asked} | {shares} |\n")
            sys.stdout.flush()


if __name__ == "__main__":
    _print_table(int(sys.argv[1]))
