"""Nursery time: local days, the evening hour, and instants as growers type them."""

from datetime import UTC, date, datetime, time, timedelta
from math import floor
from zoneinfo import ZoneInfo

from halfwater.errors import RefusedInput
from halfwater.plain.nursery import NurseryFacts, nursery_day

FIRST_YEAR, LAST_YEAR = 1900, 2100
EPOCH = date(1970, 1, 1).toordinal()
AT_ACCEPTED = "a date such as 2026-11-20, or a date and time such as 2026-11-20 21:00, not in the future"
DAY_ACCEPTED = "a date such as 2026-11-20"


def local_day(at: datetime, nursery: NurseryFacts) -> date:
    """The nursery day an instant belongs to."""
    return nursery_day(at, nursery.time_zone)


def evening_of(day: date, nursery: NurseryFacts) -> datetime:
    """The instant at which the round of a day is walked, in UTC."""
    return at_hour(day, nursery.evening_hour, nursery)


def at_hour(day: date, hour: int, nursery: NurseryFacts) -> datetime:
    """A local hour of a date as an instant in UTC."""
    return datetime.combine(day, time(hour), ZoneInfo(nursery.time_zone)).astimezone(UTC)


def read_day(text: str, field: str = "date") -> date:
    """A nursery day as typed, in this century or the last."""
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise RefusedInput(field, text, DAY_ACCEPTED) from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise RefusedInput(field, text, DAY_ACCEPTED)
    return day


def read_at(text: str, nursery: NurseryFacts, now: datetime, field: str = "at") -> datetime:
    """An instant as typed: a date alone is that day's evening, or now if that evening is still to come."""
    typed = text.strip()
    if not typed:
        return now
    try:
        at = _instant(typed, nursery, now)
    except (ValueError, OverflowError):
        raise RefusedInput(field, text, AT_ACCEPTED) from None
    if at > now + timedelta(minutes=2):
        raise RefusedInput(field, text, AT_ACCEPTED)
    return min(at, now)


def _instant(typed: str, nursery: NurseryFacts, now: datetime) -> datetime:
    zone = ZoneInfo(nursery.time_zone)
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        given = datetime.fromisoformat(typed)
        return (given if given.tzinfo else given.replace(tzinfo=zone)).astimezone(UTC)
    evening = evening_of(day, nursery)
    is_today = day in (local_day(now, nursery), now.astimezone(zone).date())
    return now if is_today and evening > now else evening


def local_hour(at: datetime, nursery: NurseryFacts) -> int:
    """The hour the nursery's clock shows."""
    return at.astimezone(ZoneInfo(nursery.time_zone)).hour


def day_number(at: datetime, nursery: NurseryFacts) -> float:
    """An instant as the nursery's clock shows it: local dates since 1970, the time of day as a fraction."""
    local = at.astimezone(ZoneInfo(nursery.time_zone))
    seconds = local.hour * 3600 + local.minute * 60 + local.second + local.microsecond / 1e6
    return local.toordinal() - EPOCH + seconds / 86400.0


def day_from_number(number: float) -> date:
    """The local date in which a local day number falls."""
    return date.fromordinal(EPOCH + floor(number))
