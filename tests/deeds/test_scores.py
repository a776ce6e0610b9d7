"""The record of forecasts: kept once a day, settled by counts, scored honestly."""

from datetime import date, datetime, timedelta
from uuid import uuid4

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.came import gather_past, half_reached_on, ready_on
from halfwater.deeds.growing import stock_outlook
from halfwater.deeds.scores import keep_shown, record, settle
from halfwater.deeds.stock_take import note_count
from halfwater.plain.figures import show_date
from halfwater.plain.growing import ForecastFact, ScoreLine
from tests.deeds.nurseries import NOW, TODAY, WHO
from tests.deeds.stocks import NANA, a_stock, counted, pot_on

pytestmark = pytest.mark.django_db


def ago(days: int) -> datetime:
    """The instant so many days before the round of today."""
    return NOW - timedelta(days=days)


def lines() -> dict[str, ScoreLine]:
    """The record by kind."""
    return {line.kind: line for line in record()}


def a_forecast(kind: str, about_on: date | None, **fields: object) -> ForecastFact:
    """A forecast made twenty-eight days ago about the pots of North."""
    taxon = next(one.key for one in queries.taxa() if one.name == NANA)
    usual: dict[str, object] = {
        "key": 0,
        "made_on": TODAY - timedelta(days=28),
        "kind": kind,
        "subject": "Nana",
        "about_on": about_on,
        "p10": 1.0,
        "p50": 2.0,
        "p90": 3.0,
        "naive": 0.0,
        "taxon": taxon,
        "grade": "standard",
    }
    return ForecastFact(**(usual | fields))  # type: ignore[arg-type]


def test_without_a_forecast_the_record_says_so() -> None:
    """Three kinds, none kept, no number made up."""
    a_stock()
    for line in record():
        assert (line.forecasts, line.scored, line.inside_frac, line.crps) == (0, 0, None, None)
        assert line.verdict.startswith("None is kept yet")


def test_what_was_shown_is_kept_once_a_day() -> None:
    """Looked at twice on a day it is kept once, with its date and the naive rival."""
    a_stock()
    for spot in ("A1", "A2", "A3", "A4"):
        counted(spot, 6)
    keep_shown(stock_outlook(NOW))
    first = queries.forecasts()
    keep_shown(stock_outlook(NOW + timedelta(minutes=5)))
    assert queries.forecasts() == first
    counts = [one for one in first if one.kind == "ready count"]
    assert {one.about_on for one in counts} == {TODAY + timedelta(days=days) for days in (28, 56, 91)}
    small = next(one for one in counts if one.grade == "small")
    assert small.naive == 4.0
    assert lines()["ready count"].verdict.startswith("None is scored yet: the first comes due")


def test_leaves_are_foretold_before_they_are_counted_and_scored_after() -> None:
    """The first count of the day keeps the forecast of the whole tank; each count then settles its own."""
    a_stock()
    for spot in ("A1", "A2", "A3", "A4"):
        counted(spot, 6, ago(40))
    note_count(pot_on("A1").key, "8", uuid4(), WHO, NOW)
    note_count(pot_on("A2").key, "7", uuid4(), WHO, NOW)
    kept = [one for one in queries.forecasts() if one.kind == "leaves"]
    assert [one.naive for one in kept] == [6.0] * 4
    assert settle(NOW) == 2
    line = lines()["leaves"]
    assert (line.forecasts, line.scored, line.unit) == (4, 2, "leaves")
    assert line.naive_crps == pytest.approx((2 + 1) / 2)
    assert settle(NOW + timedelta(days=5)) == 2
    assert lines()["leaves"].scored == 2


def test_a_count_is_settled_when_its_pots_are_counted() -> None:
    """Between two counts a pot's leaves are told by both; lost is not ready, sold is as it was sold."""
    a_stock()
    on = TODAY - timedelta(days=5)
    changes.keep_forecasts([a_forecast("ready count", on)])
    for spot, before, after in (("A1", 7, 10), ("A2", 7, 7), ("A3", 9, None), ("A4", 9, None)):
        counted(spot, before, ago(20))
        if after is not None:
            counted(spot, after)
    changes.lose_pot(pot_on("A3").key, "rot", who=WHO, at=ago(10), now=NOW)
    changes.set_state(pot_on("A4").key, "sold", who=WHO, at=ago(9), now=NOW)
    assert settle(NOW) == 1
    (told,) = queries.forecasts()
    assert told.outcome == 2.0
    line = lines()["ready count"]
    assert (line.scored, line.inside_frac, line.naive_crps) == (1, 1.0, 2.0)


def test_a_count_that_nobody_took_stays_open_and_says_why() -> None:
    """Nothing is guessed: the sentence says how many pots are missing; in the end it is given up."""
    a_stock()
    changes.keep_forecasts([a_forecast("ready count", TODAY - timedelta(days=5))])
    assert settle(NOW) == 0
    since = show_date(TODAY - timedelta(days=5), TODAY)
    assert lines()["ready count"].verdict == (
        f"None is scored yet: 4 of 4 pots are not counted since {since}."
    )
    settle(NOW + timedelta(days=90))
    line = lines()["ready count"]
    assert (line.forecasts, line.scored) == (1, 0)
    assert "not counted in time" in line.verdict


def test_a_date_is_told_by_the_counts_around_it() -> None:
    """Half of four pots is two: the second to get there tells the day, halfway between its counts."""
    batch = a_stock()
    for spot, after in (("A1", 9), ("A2", 9), ("A3", 7), ("A4", 7)):
        counted(spot, 7, ago(20))
        counted(spot, after)
    reached_on, pots, _ = half_reached_on(gather_past(TODAY), batch, "standard", TODAY - timedelta(days=28))
    assert (reached_on, pots) == (TODAY - timedelta(days=10), 4)
    ends = [float((TODAY + timedelta(days=days)).toordinal()) for days in (-25, -15, -3)]
    changes.keep_forecasts(
        [a_forecast("ready date", None, batch=batch, p10=ends[0], p50=ends[1], p90=ends[2], naive=None)]
    )
    assert settle(NOW) == 1
    line = lines()["ready date"]
    assert (line.scored, line.inside_frac, line.width, line.naive_crps) == (1, 1.0, 22.0, None)


def test_a_date_that_passed_without_the_grade_counts_as_outside() -> None:
    """Counted after the range and not there: the forecast was too early, and the record says so."""
    batch = a_stock()
    for spot in ("A1", "A2", "A3", "A4"):
        counted(spot, 4)
    ends = [float((TODAY + timedelta(days=days)).toordinal()) for days in (-25, -15, -3)]
    changes.keep_forecasts(
        [a_forecast("ready date", None, batch=batch, p10=ends[0], p50=ends[1], p90=ends[2])]
    )
    assert settle(NOW) == 1
    assert lines()["ready date"].inside_frac == 0.0


def test_kept_and_later_pots_are_not_in_the_count() -> None:
    """A count is about the pots that were for sale when it was made."""
    a_stock()
    changes.set_state(pot_on("A1").key, "kept", who=WHO, at=ago(30), now=NOW)
    for spot in ("A1", "A2", "A3", "A4"):
        counted(spot, 12)
    taxon = pot_on("A1").taxon
    assert ready_on(gather_past(TODAY), taxon, "large", TODAY - timedelta(days=28), TODAY) == (3, 3, 0)


def test_a_parent_that_was_cut_counts_as_it_was_before() -> None:
    """A cut takes leaves away; the forecast knew nothing of it."""
    a_stock()
    for spot in ("A1", "A2", "A3", "A4"):
        counted(spot, 9, ago(20))
    changes.cut_pot(pot_on("A1").key, 2, who=WHO, at=ago(10), now=NOW)
    for spot, leaves in (("A1", 4), ("A2", 9), ("A3", 9), ("A4", 9)):
        counted(spot, leaves)
    taxon = pot_on("A1").taxon
    assert ready_on(gather_past(TODAY), taxon, "standard", TODAY - timedelta(days=28), TODAY) == (4, 4, 0)
