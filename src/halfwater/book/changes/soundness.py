"""What each kind of entry must hold before the book takes it."""

import math
from collections.abc import Mapping
from datetime import datetime, timedelta

from halfwater.book.changes.clock import said_at
from halfwater.errors import RefusedInput
from halfwater.plain.costing import TASKS
from halfwater.plain.entry import CAUSES, KIND_UNITS, SIGHTINGS, NewEntry
from halfwater.plain.stock import BLADES, POT_STATES

# A phone's clock may run a little ahead of this machine's.
CLOCK_SLACK = timedelta(minutes=5)

_STATES = tuple(
    state for state in POT_STATES if state != "lost"
)  # a loss is an entry of its own, with its cause
_TANK_KINDS = ("spray", "skip", "fill", "siphon", "waterline", "ec", "ph", "light", "lamp")
_NO_TANK_KINDS = ("meter",)
# Kind -> lowest, highest and what to say otherwise; kinds not named here have no value.
_VALUES: dict[str, tuple[float, float, str]] = {
    "spray": (0, 100, "a volume from 0 to 100 L"),
    "fill": (0, 10_000, "a volume from 0 to 10000 L"),
    "siphon": (0, 10_000, "a volume from 0 to 10000 L, or “to low line”"),
    "waterline": (0, 10_000, "a depth from 0 mm up to the rim"),
    "ec": (0, 50, "an EC from 0 to 50 mS/cm"),
    "ph": (0, 14, "a pH from 0 to 14"),
    "meter": (0, 50, "what the meter showed, from 0 to 50 mS/cm"),
    "light": (0, 3000, "a PPFD from 0 to 3000 umol/m2/s"),
    "air": (-20, 60, "a temperature from -20 C to 60 C"),
    "lamp": (0, 1, "a dimmer from 0 to 1"),
    "leaves": (0, 10_000, "a whole number of leaves"),
    "loss": (1, 100_000, "a whole number of plants from 1"),
    "cut": (1, 1000, "a whole number of sections from 1"),
    "rhizome": (1, 2000, "a length from 1 to 2000 mm"),
    "sighting": (1, 3, "1 for little, 2 for some, 3 for much"),
    "work": (0, 1440, "minutes from 0 to 1440"),
}
_NEEDS_VALUE = ("fill", "waterline", "ec", "ph", "meter", "light", "leaves", "loss", "cut", "rhizome", "work")
_WHOLE = ("leaves", "loss", "cut", "sighting")
_SECONDS = {
    "air": (1.0, "a relative humidity from 0 to 1"),
    "lamp": (24.0, "hours a day from 0 to 24"),
    "light": (1.0, "a dimmer from 0 (off) to 1"),
    "meter": (50.0, "the standard's EC from 0 to 50 mS/cm"),
}
_THIRDS = {
    "light": (3000.0, "a stray light from 0 to 3000 umol/m2/s"),
    "meter": (60.0, "the standard's temperature from 0 to 60 C"),
}
_WORDS = {
    "loss": CAUSES,
    "sighting": SIGHTINGS,
    "spray": ("", "night", "morning"),
    "state": _STATES,
    "cut": ("", *BLADES),
    "work": TASKS,
    "meter": ("", "raw"),  # raw: read without the meter's own compensation
}
_LENGTHS = {"text": 5000, "to_line": 10, "word": 40, "typed": 80, "spot": 10, "photo": 100}


def refuse_unsound(new: NewEntry, now: datetime, rims_mm: Mapping[int, float]) -> None:
    """Raise RefusedInput when an entry holds anything its kind does not take.

    `rims_mm` is the height of every tank in the book, by its key.
    """
    if new.kind not in KIND_UNITS:
        raise RefusedInput("kind", new.kind, f"one of {', '.join(KIND_UNITS)}")
    _refuse_instant(new.at, now)
    _refuse_tank(new, rims_mm)
    _refuse_value(new)
    _refuse_above_rim(new, rims_mm)
    _refuse_second(new)
    _refuse_third(new)
    _refuse_words(new)


def _refuse_instant(at: datetime, now: datetime) -> None:
    if not isinstance(at, datetime) or at.utcoffset() is None:
        raise RefusedInput("at", str(at), "an instant with its time zone")
    if at > now + CLOCK_SLACK:
        raise RefusedInput("at", said_at(at), f"a time not later than now, {said_at(now)}")
    if at.year < 1900:
        raise RefusedInput("at", said_at(at), "a time after 1900")


def _refuse_tank(new: NewEntry, rims_mm: Mapping[int, float]) -> None:
    if new.tank is None:
        if new.kind in (*_TANK_KINDS, "move"):
            raise RefusedInput("tank", "", f"a tank, for a {new.kind} always belongs to one")
        return
    if new.kind in _NO_TANK_KINDS:
        raise RefusedInput("tank", new.tank, f"none: a {new.kind} check is about no tank")
    if new.tank not in rims_mm:
        raise RefusedInput("tank", new.tank, "the key of a tank in the book")


def _refuse_above_rim(new: NewEntry, rims_mm: Mapping[int, float]) -> None:
    if new.kind != "waterline" or new.tank is None or new.value is None:
        return
    rim_mm = rims_mm[new.tank]
    if new.value > rim_mm:
        raise RefusedInput(
            "waterline", f"{new.value:g} mm", f"a depth from 0 mm up to the rim at {rim_mm:g} mm"
        )


def _refuse_value(new: NewEntry) -> None:
    if new.value is None:
        if new.kind in _NEEDS_VALUE or (new.kind == "siphon" and not new.to_line):
            raise RefusedInput(new.kind, "", _VALUES[new.kind][2])
        if new.kind in ("air", "lamp") and new.second is None:
            raise RefusedInput(new.kind, "", f"{_VALUES[new.kind][2]}, or {_SECONDS[new.kind][1]}, or both")
        return
    if new.kind not in _VALUES:
        raise RefusedInput(new.kind, new.value, f"no value: a {new.kind} has none")
    low, high, accepted = _VALUES[new.kind]
    if not _is_number(new.value) or not low <= new.value <= high:
        raise RefusedInput(new.kind, new.value, accepted)
    if new.kind in _WHOLE and new.value != int(new.value):
        raise RefusedInput(new.kind, new.value, accepted)


def _refuse_second(new: NewEntry) -> None:
    if new.second is None:
        if new.kind == "meter":
            raise RefusedInput(new.kind, "", _SECONDS[new.kind][1])
        return
    if new.kind not in _SECONDS:
        raise RefusedInput(new.kind, new.second, f"one value: a {new.kind} has no second")
    high, accepted = _SECONDS[new.kind]
    if not _is_number(new.second) or not 0 <= new.second <= high:
        raise RefusedInput(new.kind, new.second, accepted)


def _refuse_third(new: NewEntry) -> None:
    if new.third is None:
        return
    if new.kind not in _THIRDS:
        raise RefusedInput(new.kind, new.third, f"no third figure: a {new.kind} has none")
    high, accepted = _THIRDS[new.kind]
    if not _is_number(new.third) or not 0 <= new.third <= high:
        raise RefusedInput(new.kind, new.third, accepted)


def _refuse_words(new: NewEntry) -> None:
    choices = _WORDS.get(new.kind)
    if choices is not None and new.word not in choices:
        raise RefusedInput(new.kind, new.word, f"one of {', '.join(one for one in choices if one)}")
    if new.to_line and (new.kind, new.to_line) != ("siphon", "low"):
        raise RefusedInput("to_line", new.to_line, "“low”, and only for a siphon")
    if new.kind == "note" and not new.text.strip() and not new.photo:
        raise RefusedInput("note", "", "a text or a photo")
    for field, longest in _LENGTHS.items():
        if len(getattr(new, field)) > longest:
            raise RefusedInput(field, getattr(new, field), f"at most {longest} signs")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
