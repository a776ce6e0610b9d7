"""Local days, the evening hour, and instants as they are typed."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.deeds.clock import (
    at_hour,
    day_from_number,
    day_number,
    evening_of,
    local_day,
    read_at,
    read_day,
)
from halfwater.errors import RefusedInput
from halfwater.plain.nursery import NurseryFacts, day_begins

BERLIN = NurseryFacts("Test", "metric", "EUR", "Europe/Berlin", 20, None, None, True)
NOW = datetime(2026, 11, 20, 20, 30, tzinfo=UTC)


def test_the_day_is_the_nurserys_own() -> None:
    """A round that ends half past midnight in Berlin belongs to its evening; at four the next day begins."""
    assert local_day(datetime(2026, 11, 20, 23, 30, tzinfo=UTC), BERLIN) == date(2026, 11, 20)
    assert local_day(datetime(2026, 11, 21, 2, 59, tzinfo=UTC), BERLIN) == date(2026, 11, 20)
    assert local_day(datetime(2026, 11, 21, 3, 0, tzinfo=UTC), BERLIN) == date(2026, 11, 21)


@given(
    st.dates(date(1950, 1, 1), date(2090, 1, 1)),
    st.integers(12, 23),
    st.sampled_from(["Europe/Berlin", "America/New_York", "UTC", "Asia/Kolkata"]),
)
def test_an_evening_belongs_to_its_day(day: date, hour: int, zone: str) -> None:
    """Whatever the evening hour, that of a day falls between its beginning and the next one's."""
    nursery = replace(BERLIN, time_zone=zone, evening_hour=hour)
    assert local_day(evening_of(day, nursery), nursery) == day
    assert day_begins(day, zone) <= evening_of(day, nursery) < day_begins(day + timedelta(days=1), zone)


def test_the_evening_follows_summer_time() -> None:
    """Eight in the evening is 19 h UTC in winter and 18 h in summer."""
    assert evening_of(date(2026, 1, 10), BERLIN).hour == 19
    assert evening_of(date(2026, 7, 10), BERLIN).hour == 18


@pytest.mark.parametrize(
    ("typed", "at"),
    [
        ("", NOW),
        ("2026-11-18", datetime(2026, 11, 18, 19, 0, tzinfo=UTC)),
        ("2026-11-18 07:30", datetime(2026, 11, 18, 6, 30, tzinfo=UTC)),
        ("2026-11-18T07:30:00+00:00", datetime(2026, 11, 18, 7, 30, tzinfo=UTC)),
        ("2026-11-20", datetime(2026, 11, 20, 19, 0, tzinfo=UTC)),
        ("20261118", datetime(2026, 11, 18, 19, 0, tzinfo=UTC)),
    ],
)
def test_instants_as_typed(typed: str, at: datetime) -> None:
    """A date alone is that evening; a time is the nursery's own unless it says otherwise."""
    assert read_at(typed, BERLIN, NOW) == at


def test_today_before_the_evening_is_now() -> None:
    """Noting by date in the afternoon does not put the entry into the future."""
    afternoon = datetime(2026, 11, 20, 14, 0, tzinfo=UTC)
    assert read_at("2026-11-20", BERLIN, afternoon) == afternoon


def test_today_after_midnight_is_now() -> None:
    """Between midnight and four both dates can be meant; neither lies in the future."""
    late = datetime(2026, 11, 20, 23, 30, tzinfo=UTC)
    assert read_at("2026-11-21", BERLIN, late) == late
    assert read_at("2026-11-20", BERLIN, late) == datetime(2026, 11, 20, 19, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    "typed", ["2026-11-21", "2030-01-01 10:00", "yesterday", "2026-13-01", "20.11.2026", "9999-12-31"]
)
def test_the_future_and_nonsense_are_refused(typed: str) -> None:
    """An entry lies in the past, on a day that exists."""
    with pytest.raises(RefusedInput, match="not in the future"):
        read_at(typed, BERLIN, NOW)


def test_a_day_as_typed() -> None:
    """Days are ISO dates."""
    assert read_day(" 2026-11-20 ") == date(2026, 11, 20)
    for typed in ("banana", "0001-01-01", "9999-12-31"):
        with pytest.raises(RefusedInput, match="2026-11-20"):
            read_day(typed)


@given(
    st.integers(0, 70 * 365 * 24 * 60),
    st.sampled_from(["Europe/Berlin", "America/New_York", "UTC"]),
)
def test_day_numbers_fall_in_their_day(minutes: int, zone: str) -> None:
    """The day number's whole part is the local date, its fraction the time of day."""
    nursery = replace(BERLIN, time_zone=zone)
    instant = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    assert day_from_number(day_number(instant, nursery)) == instant.astimezone(ZoneInfo(zone)).date()


def test_noon_is_half_a_day() -> None:
    """Noons that are kept come back as the same noons."""
    noon = at_hour(date(2026, 3, 29), 12, BERLIN)
    assert day_number(noon, BERLIN) % 1 == 0.5
    assert at_hour(day_from_number(day_number(noon, BERLIN)), 12, BERLIN) == noon
    assert noon - at_hour(date(2026, 3, 28), 12, BERLIN) == timedelta(hours=23)
