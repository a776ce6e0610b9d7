"""Nursery time: local days, the evening hour, and instants as growers type them."""

from datetime import UTC, date, datetime, time, timedelta
from math import floor
from zoneinfo import ZoneInfo

from halfwater.errors import RefusedInput
from halfwater.plain.nursery import NurseryFacts

EPOCH = date(1970, 1, 1).toordinal()
AT_ACCEPTED = "a date such as 2026-11-20, or a date and time such as 2026-11-20 21:00, not in the future"
DAY_ACCEPTED = "a date such as 2026-11-20"


def local_day(at: datetime, nursery: NurseryFacts) -> date:
    """The nursery day an instant belongs to."""
    return at.astimezone(ZoneInfo(nursery.time_zone)).date()


def evening_of(day: date, nursery: NurseryFacts) -> datetime:
    """The instant at which the round of a day is walked, in UTC."""
    return at_hour(day, nursery.evening_hour, nursery)


def at_hour(day: date, hour: int, nursery: NurseryFacts) -> datetime:
    """A local hour of a nursery day as an instant in UTC."""
    return datetime.combine(day, time(hour), ZoneInfo(nursery.time_zone)).astimezone(UTC)


def read_day(text: str, field: str = "date") -> date:
    """A nursery day as typed."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise RefusedInput(field, text, DAY_ACCEPTED) from None


def read_at(text: str, nursery: NurseryFacts, now: datetime, field: str = "at") -> datetime:
    """An instant as typed: a date alone is that day's evening, or now if that evening is still to come."""
    typed = text.strip()
    if not typed:
        return now
    try:
        if len(typed) == 10:
            day = date.fromisoformat(typed)
            evening = evening_of(day, nursery)
            at = now if day == local_day(now, nursery) and evening > now else evening
        else:
            given = datetime.fromisoformat(typed)
            zone = ZoneInfo(nursery.time_zone)
            at = (given if given.tzinfo else given.replace(tzinfo=zone)).astimezone(UTC)
    except (ValueError, OverflowError):
        raise RefusedInput(field, text, AT_ACCEPTED) from None
    if at > now + timedelta(minutes=2):
        raise RefusedInput(field, text, AT_ACCEPTED)
    return min(at, now)


def local_hour(at: datetime, nursery: NurseryFacts) -> int:
    """The hour the nursery's clock shows."""
    return at.astimezone(ZoneInfo(nursery.time_zone)).hour


def day_number(at: datetime, nursery: NurseryFacts) -> float:
    """An instant as the nursery's clock shows it: local days since 1970, the time of day as a fraction."""
    local = at.astimezone(ZoneInfo(nursery.time_zone))
    seconds = local.hour * 3600 + local.minute * 60 + local.second + local.microsecond / 1e6
    return local.toordinal() - EPOCH + seconds / 86400.0


def day_from_number(number: float) -> date:
    """The nursery day in which a local day number falls."""
    return date.fromordinal(EPOCH + floor(number))
