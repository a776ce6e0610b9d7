"""Do the ranges of ready dates and ready counts hold what they promise?

Simulated nurseries with a hidden truth, made by halfwater.demo.stocks, which knows nothing of the growth
model: leaves come and go day by day, losses come in patches, counts are irregular, partial and at times
wrong. Some worlds break what the model assumes; for those a wider band is stated and held.
"""

from dataclasses import dataclass

import numpy as np
import pytest

from halfwater.book.profiles import profiles
from halfwater.deeds.growing_answer import reckon_stock
from halfwater.deeds.growing_facts import Climate, StockFacts
from halfwater.deeds.growing_pots import pot_outlooks
from halfwater.demo.stock_worlds import WORLDS
from halfwater.demo.stocks import AHEAD_DAYS, ROOTED_DAYS, simulated_stocks
from halfwater.plain.stock import GRADES, TaxonFacts

TAXA = [TaxonFacts(i, name, name, priors) for i, (name, priors) in enumerate(profiles().items(), 1)][:8]
NURSERIES, OTHERS = 100, 8
DAYS_AHEAD = (28, 56, 91, 182)
# Share of the 80 % ranges that must hold the truth where the world is not as the model thinks: dates, counts.
BANDS = {
    "lag": ((0.70, 0.90), (0.65, 0.88)),
    "season": ((0.68, 0.90), (0.52, 0.82)),
    "spread": ((0.66, 0.88), (0.68, 0.90)),
    "plateau": ((0.65, 0.95), (0.62, 0.90)),
    "miscounts": ((0.70, 0.92), (0.70, 0.92)),
    "tanks": ((0.68, 0.92), (0.68, 0.92)),
    "clones": ((0.72, 0.95), (0.72, 0.95)),
    "cuts": ((0.72, 0.95), (0.68, 0.92)),
}


@dataclass
class Held:
    """What came of many forecasts: dates as early, inside or late; counts by their place in the forecast."""

    early: np.ndarray
    late: np.ndarray
    is_counted: np.ndarray
    place: np.ndarray  # of the true number in the drawn ones, 0 to 1; evenly spread if all is well
    ahead_days: np.ndarray

    @property
    def dates(self) -> float:
        """Share of dates inside their 80 % range."""
        return float(1 - np.mean(self.early | self.late))

    def counts(self, ahead_days: int | None = None) -> float:
        """Share of numbers inside the 80 % range."""
        own = self.place if ahead_days is None else self.place[self.ahead_days == ahead_days]
        return float(np.mean((own > 0.1) & (own < 0.9)))


def held(kind: str, nurseries: int, seed: int) -> Held:
    """Forecasts for many nurseries of a kind, held against what became of their pots."""
    dates: list[tuple[bool, bool, bool]] = []
    numbers: list[tuple[float, int]] = []
    luck = np.random.default_rng(seed)
    for stock in simulated_stocks(np.random.default_rng(seed), TAXA, kind, nurseries):
        climates = tuple(Climate(one.tank, one.temp_c, one.dli_mol_m2_d) for one in stock.climates)
        facts = StockFacts(
            stock.on, stock.taxa, stock.pots, stock.counts, stock.stays, stock.parents, climates
        )
        answer = reckon_stock(facts, AHEAD_DAYS)
        dates += dates_of(stock, pot_outlooks(answer))
        numbers += numbers_of(stock, answer, luck)
    early, late, is_counted = np.array(dates).T
    place, ahead_days = np.array(numbers).T
    return Held(early, late, is_counted, place, ahead_days)


def dates_of(stock, outlooks):
    """For each range of a date that lies ahead and within the horizon: too early, too late, ever counted."""
    truth, found = stock.truth, []
    rows = {key: row for row, key in enumerate(truth.keys)}
    for place, _ in enumerate(GRADES):
        rule = np.zeros(len(rows), dtype=np.int64)
        for outlook in outlooks:
            rule[rows[outlook.pot.key]] = outlook.dates[place].leaves
        waits = truth.first_day_at(rule, if_alive=True)
        for outlook in outlooks:
            told, row = outlook.dates[place], rows[outlook.pot.key]
            if told.is_reached or told.p10_on is None or told.p90_on is None or truth.lost_day[row] < 0:
                continue
            low, high = (told.p10_on - stock.on).days, (told.p90_on - stock.on).days
            if low > max(0, ROOTED_DAYS - int(truth.age_days[row])):
                is_counted = outlook.pot.counted_on is not None
                found.append((waits[row] < low, waits[row] > high, is_counted))
    return found


def numbers_of(stock, answer, luck):
    """For each taxon, grade and day: where the true number lies among the drawn ones, ties broken by lot."""
    truth, found = stock.truth, []
    taxon = {pot.key: pot.taxon for pot in stock.pots}
    kept = {pot.key for pot in stock.pots if pot.state == "kept"}
    own = [
        (place, [row for row, key in enumerate(truth.keys) if taxon[key] == one.key and key not in kept])
        for place, one in enumerate(stock.taxa)
    ]
    ahead = answer.chances.ahead_days
    for place, rows in own:
        for grade in range(len(GRADES)):
            rule = np.full(len(truth.keys), int(answer.columns.rule_leaves[place, grade]))
            standing = truth.standing_at(rule)[rows]
            for days in DAYS_AHEAD if rows else ():
                drawn = answer.by_taxon.counts[place, :, int(np.searchsorted(ahead, days)), grade]
                really = int(standing[:, days].sum())
                below, same = float(np.mean(drawn < really)), float(np.mean(drawn == really))
                found.append((below + luck.random() * same, days))
    return found


@pytest.fixture(scope="module")
def usual() -> Held:
    """Nurseries as the model thinks they are, every cause drawn from the starting values."""
    return held("usual", NURSERIES, 3)


def test_ready_dates_hold_eighty_per_cent(usual: Held) -> None:
    """Over many nurseries 75 to 85 % of the 80 % ranges hold the day the grade was really reached."""
    assert usual.early.size > 500
    assert 0.75 <= usual.dates <= 0.85


def test_ready_dates_err_on_either_side(usual: Held) -> None:
    """Dates fall before the range about as often as after it."""
    assert 0.04 <= usual.early.mean() <= 0.16
    assert 0.04 <= usual.late.mean() <= 0.16


def test_pots_that_nobody_counted_are_covered_too(usual: Held) -> None:
    """A pot that was never counted has a range as honest as that of its neighbours."""
    own = usual.is_counted == 0
    assert own.sum() > 100
    assert 0.72 <= np.mean(~(usual.early[own] | usual.late[own])) <= 0.90


def test_ready_counts_hold_eighty_per_cent(usual: Held) -> None:
    """The true number of pots ready lies in the 80 % range in 75 to 85 % of taxa, grades and dates."""
    assert 0.75 <= usual.counts() <= 0.85


@pytest.mark.parametrize("days", DAYS_AHEAD)
def test_near_and_far_counts_are_held_alike(usual: Held, days: int) -> None:
    """One month or half a year ahead, the range of the number ready holds about what it says."""
    assert 0.72 <= usual.counts(days) <= 0.89


def test_every_broken_assumption_has_its_band() -> None:
    """Each kind of world but the usual one is held to a band."""
    assert set(BANDS) == set(WORLDS) - {"usual"}


@pytest.mark.parametrize("kind", BANDS)
def test_other_worlds_are_held_to_a_wider_band(kind: str) -> None:
    """Where nature does not keep to the model the ranges hold less, or more, but not nothing."""
    found = held(kind, OTHERS, 2)
    for share, (low, high) in zip((found.dates, found.counts()), BANDS[kind], strict=True):
        assert low <= share <= high
