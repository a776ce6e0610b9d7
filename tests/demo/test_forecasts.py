"""The demo's forecasts held against its hidden truth."""

import math
from datetime import UTC, date, datetime, time, timedelta

import pytest

from halfwater.deeds.demo import READ, demo_book
from halfwater.deeds.water import describe_waters
from halfwater.demo.nursery import NURSERY
from halfwater.demo.simulator import DemoBook
from halfwater.demo.truth import passage
from halfwater.science.evenings import WaterRow
from halfwater.science.reckoning import reckon_water

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
WATER_KINDS = ("spray", "skip", "fill", "siphon", "waterline")
STEP_DAYS = 31

Case = tuple[float, float, float, float]  # true evenings to the limit line, then p10, p50, p90


def days(at: datetime) -> float:
    """An instant as days since 1970."""
    return (at - EPOCH).total_seconds() / 86_400


def held_frac(cases: list[Case]) -> float:
    """The share of cases whose range holds the true date."""
    return sum(low <= true <= high for true, low, _, high in cases) / len(cases)


@pytest.fixture(scope="module")
def demo() -> DemoBook:
    """The demo of one day."""
    return demo_book(date(2025, 5, 1))


@pytest.fixture(scope="module")
def cases(demo: DemoBook) -> list[Case]:
    """Every tank about once a month from its second month: what was told then, and what came."""
    waters, _ = describe_waters(list(demo.tanks), NURSERY)
    found = []
    for tank in demo.tanks:
        truth = demo.truths[tank.name]
        rows = [
            WaterRow(days(e.at), e.kind, e.value, e.to_line, e.word)
            for e in demo.entries
            if e.tank == tank.key and e.kind in WATER_KINDS
        ]
        for back in range(0, truth.volume_l.size - 40, STEP_DAYS):
            on = truth.last_on - timedelta(days=back)
            now = days(datetime.combine(on, time(22), UTC))
            known = [row for row in rows if row.day <= now]
            told = reckon_water([waters[tank.key]], [known], now)[0]
            ends = (told.siphon_p10_day, told.siphon_p50_day, told.siphon_p90_day)
            ahead = [math.inf if math.isnan(one) else math.floor(now + one) - math.floor(now) for one in ends]
            came = passage(truth, on)
            found.append((float((came - on).days) if came else math.inf, *ahead))
    return found


def test_the_range_holds_most_true_dates(cases: list[Case]) -> None:
    """The 80 % range of the siphon date holds the true one in most months of the demo."""
    assert len(cases) >= 45
    assert held_frac(cases) >= 0.65


def test_the_range_would_not_hold_another_truth(cases: list[Case]) -> None:
    """The range is narrow enough to be wrong: dates two weeks off fall outside most of them."""
    for off in (-14, 14):
        assert held_frac([(true + off, *told) for true, *told in cases]) < 0.5


def test_the_median_is_near_the_truth(cases: list[Case]) -> None:
    """Half of the medians are within ten days of what came."""
    off = sorted(abs(true - middle) for true, _, middle, _ in cases if true < math.inf)
    assert off[len(off) // 2] <= 10


def test_a_siphon_stands_at_the_door(demo: DemoBook) -> None:
    """Tonight has something to say: a tank that is read is at its limit line, another is not."""
    over_mm = {t.tank: float(t.depth_mm[-1]) - t.curve.limit_line_mm for t in demo.truths.values()}
    assert max(over_mm[name] for name in READ) > -0.6
    assert min(over_mm.values()) < -3
