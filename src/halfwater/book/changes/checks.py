"""What a value must be before the book takes it. A check gives the clean value or raises RefusedInput."""

import math
from collections.abc import Callable, Collection
from datetime import date, datetime
from typing import Any

from django.db.models import Model

from halfwater.errors import RefusedInput

Check = Callable[[str, Any], Any]


def number(
    accepted: str, low: float = 0.0, high: float = math.inf, above: bool = False, none: bool = False
) -> Check:
    """A finite number from `low` (or above it) to `high`; None too when `none`."""

    def check(field: str, value: Any) -> float | None:
        if value is None and none:
            return None
        sound = isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
        if not sound or value > high or value < low or (above and value == low):
            raise RefusedInput(field, value, accepted)
        return float(value)

    return check


def whole(accepted: str, low: int = 0, high: int = 1_000_000, none: bool = False) -> Check:
    """A whole number from `low` to `high`; None too when `none`."""
    as_number = number(accepted, low, high, none=none)

    def check(field: str, value: Any) -> int | None:
        clean = as_number(field, value)
        if clean is not None and clean != int(clean):
            raise RefusedInput(field, value, accepted)
        return None if clean is None else int(clean)

    return check


def words(accepted: str, longest: int, needed: bool = False) -> Check:
    """A text of at most `longest` signs, spaces at its ends taken off."""

    def check(field: str, value: Any) -> str:
        if not isinstance(value, str) or len(value.strip()) > longest or (needed and not value.strip()):
            raise RefusedInput(field, value, accepted)
        return value.strip()

    return check


def one_of(choices: Collection[str]) -> Check:
    """One of a closed list of words."""

    def check(field: str, value: Any) -> str:
        if value not in choices:
            raise RefusedInput(field, value, f"one of {', '.join(choices)}")
        return str(value)

    return check


def day(field: str, value: Any) -> date:
    """A date without a time."""
    if not isinstance(value, date) or isinstance(value, datetime):
        raise RefusedInput(field, value, "a date such as 2024-05-31")
    return value


def flag(field: str, value: Any) -> bool:
    """True or False."""
    if not isinstance(value, bool):
        raise RefusedInput(field, value, "yes or no")
    return value


def key_of(model: type[Model], noun: str, none: bool = True) -> Check:
    """The key of a row that the book has; None too when `none`."""

    def check(field: str, value: Any) -> int | None:
        if value is None and none:
            return None
        if not isinstance(value, int) or not model._default_manager.filter(pk=value).exists():
            raise RefusedInput(field, value, f"the key of a {noun} in the book")
        return value

    return check


def name_of(longest: int) -> Check:
    """A name: one line of signs that can be read, spaces at its ends taken off."""
    accepted = f"a name of 1 to {longest} signs on one line"
    as_words = words(accepted, longest, needed=True)

    def check(field: str, value: Any) -> str:
        clean = as_words(field, value)
        if not clean.isprintable():
            raise RefusedInput(field, value, accepted)
        return clean

    return check


NAME = name_of(80)
