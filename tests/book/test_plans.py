"""Prices, the cutting habit, and forecasts and plans that are kept."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest

from halfwater.book import changes, queries
from halfwater.errors import RefusedInput
from halfwater.plain.growing import ForecastFact
from halfwater.plain.stock import CuttingHabit, PriceFact
from tests.book.builders import NOW, WHO

pytestmark = pytest.mark.django_db
SHOWN = ForecastFact(
    0, date(2026, 11, 1), "ready count", "Fern, small", date(2026, 12, 1), 3.0, 5.0, 8.0, 4.0
)


@pytest.fixture
def taxon() -> int:
    """A taxon to sell."""
    return changes.save_taxon(who=WHO, name="Moss fern")


def test_prices_stand_by_taxon_and_grade(taxon: int) -> None:
    """A price is written over, and taken off the list with None."""
    changes.save_price(taxon, "large", 1800, who=WHO)
    changes.save_price(taxon, "small", 700, 40, who=WHO)
    changes.save_price(taxon, "small", 750, 30, who=WHO)
    assert queries.prices() == (PriceFact(taxon, "small", 750, 30), PriceFact(taxon, "large", 1800))
    changes.save_price(taxon, "small", None, who=WHO)
    assert queries.prices() == (PriceFact(taxon, "large", 1800),)


@pytest.mark.parametrize(
    "refused",
    [
        lambda taxon: changes.save_price(taxon, "giant", 700, who=WHO),
        lambda taxon: changes.save_price(taxon, "small", -1, who=WHO),
        lambda taxon: changes.save_price(taxon, "small", 7.5, who=WHO),  # type: ignore[arg-type]
        lambda taxon: changes.save_price(10_000, "small", 700, who=WHO),
        lambda taxon: changes.save_price(taxon, "small", 700, -1, who=WHO),
        lambda taxon: changes.save_cutting_habit(who=WHO, minutes_a_week=float("nan")),
        lambda taxon: changes.save_cutting_habit(who=WHO, release_every_weeks=0),
        lambda taxon: changes.save_cutting_habit(who=WHO, least_kept=-1),
        lambda taxon: changes.save_cutting_habit(who=WHO, next_release_on="soon"),
        lambda taxon: changes.keep_forecasts([replace(SHOWN, p10=9.0)]),
        lambda taxon: changes.keep_plan({}, "", NOW),
    ],
)
def test_unsound_frames_of_a_plan_are_refused(taxon: int, refused: Callable[[int], object]) -> None:
    """Nothing is written of what cannot be."""
    with pytest.raises(RefusedInput):
        refused(taxon)
    assert queries.prices() == ()
    assert queries.cutting_habit() == CuttingHabit()
    assert queries.forecasts() == ()


def test_the_habit_is_one_row_changed_in_part() -> None:
    """What is not given stays; before anything is said the book has its usual frame."""
    changes.save_cutting_habit(who=WHO, minutes_a_week=90.0, next_release_on=date(2026, 12, 5))
    changes.save_cutting_habit(who=WHO, least_kept=4, hour_minor=2500)
    assert queries.cutting_habit() == CuttingHabit(90.0, 4, date(2026, 12, 5), 4, 2500)


def test_a_forecast_shown_twice_on_a_day_is_kept_once(taxon: int) -> None:
    """The first showing counts, with and without a day that it is about."""
    dated = replace(SHOWN, kind="ready date", about_on=None, taxon=taxon, grade="small", quantiles=(1.0, 2.5))
    for _ in range(2):
        changes.keep_forecasts([SHOWN, dated, replace(SHOWN, p50=6.0)])
    kept = queries.forecasts()
    assert [replace(one, key=0) for one in kept] == [SHOWN, dated]
    changes.keep_forecasts([replace(SHOWN, made_on=SHOWN.made_on + timedelta(days=1))])
    assert len(queries.forecasts()) == 3


def test_a_settled_forecast_is_not_settled_again(taxon: int) -> None:
    """What came of it stands; one that cannot be told yet says why and stays open."""
    changes.keep_forecasts([SHOWN, replace(SHOWN, subject="Fern, large")])
    first, second = queries.forecasts()
    on = date(2026, 12, 2)
    told = [replace(first, outcome=6.0, settled_on=on), replace(second, why_open="not counted since")]
    assert changes.settle_forecasts(told) == 2
    assert changes.settle_forecasts([replace(first, outcome=1.0, settled_on=on)]) == 0
    assert queries.forecasts()[0].outcome == 6.0
    (still,) = queries.forecasts(open_only=True)
    assert (still.subject, still.why_open) == ("Fern, large", "not counted since")


def test_the_newest_plan_is_the_one_made_last() -> None:
    """Plans are kept whole, with a digest of what they were made from."""
    assert queries.newest_plan() is None
    changes.keep_plan({"weeks": 52, "actions": [{"kind": "cut"}]}, "abc", NOW)
    changes.keep_plan({"weeks": 26}, "old", NOW - timedelta(days=3))
    plan = queries.newest_plan()
    assert plan is not None
    assert (plan.made_at, plan.inputs_digest) == (NOW, "abc")
    assert plan.plan == {"weeks": 52, "actions": [{"kind": "cut"}]}
