"""A cutting plan as the book keeps it: plain JSON of its dataclasses, and back."""

import hashlib
import json
import types
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from halfwater.plain.stock import CuttingHabit, PriceFact, StandingPot

Read = TypeVar("Read")


def as_stored(value: Any) -> Any:
    """The value in what JSON knows; days and instants as ISO text, what is not a number as null."""
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: as_stored(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): as_stored(item) for key, item in value.items()}
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, str | bool | int) or value is None:
        return value
    if isinstance(value, Sequence):
        return [as_stored(item) for item in value]
    return float(value)


def from_stored(kind: type[Read], stored: Any) -> Read:
    """What `as_stored` made of a dataclass, turned back into it."""
    return _read(kind, stored)  # type: ignore[no-any-return]


def _read(kind: Any, stored: Any) -> Any:
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        return None if stored is None else _read(next(one for one in inner if one is not type(None)), stored)
    if origin is tuple:
        kinds = [inner[0]] * len(stored) if inner[-1] is Ellipsis else inner
        return tuple(_read(one, item) for one, item in zip(kinds, stored, strict=True))
    if origin is not None and issubclass(origin, Mapping):
        return {inner[0](key): _read(inner[1], item) for key, item in stored.items()}
    if is_dataclass(kind):
        hints = _hints(kind)
        return kind(**{name: _read(hints[name], item) for name, item in stored.items() if name in hints})
    if kind in (date, datetime):
        return kind.fromisoformat(stored)
    return stored if kind is Any else kind(stored)


@lru_cache(maxsize=64)
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)


def inputs_digest(
    pots: Sequence[StandingPot], prices: Sequence[PriceFact], habit: CuttingHabit, spots: Mapping[str, int]
) -> str:
    """A mark of all a plan rests on: another mark says that the stock, a price or the habit has changed."""
    told = [
        sorted(_told(pot) for pot in pots),
        sorted((one.taxon, one.grade, one.price_minor, one.most_per_release) for one in prices),
        as_stored(habit),
        sorted(spots.items()),
    ]
    text = json.dumps(told, sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _told(pot: StandingPot) -> tuple[Any, ...]:
    own = (pot.key, pot.state, pot.tank_name, pot.spot, pot.leaves)
    return own if pot.promised_to is None else (*own, pot.promised_to)
