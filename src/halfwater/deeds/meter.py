"""The EC meter: its checks in a standard, and readings put right by them."""

from bisect import bisect_right
from collections.abc import Callable
from datetime import datetime
from functools import lru_cache

from halfwater.book import queries
from halfwater.deeds.note_readings import MeterTyped, read_meter
from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import MeterCheck, MeterPast
from halfwater.planning.meter import judge_meter

MeterRow = tuple[datetime, float, float, float | None, str]  # at, read, standard, its temperature, "raw"


def meter_checks() -> tuple[MeterPast, ...]:
    """The checks of the book, newest first."""
    found = [(at, check) for at, check in _judged(queries.meter_checks()) if check is not None]
    in_force = next((i for i in range(len(found) - 1, -1, -1) if found[i][1].is_usable), None)
    past = [MeterPast(at, check, i == in_force) for i, (at, check) in enumerate(found)]
    return tuple(reversed(past))


def judged(text: str) -> MeterCheck:
    """What a check as typed says of the meter, without keeping it."""
    return _judge(read_meter(text))


def corrections(checks: tuple[MeterRow, ...] | None = None) -> Callable[[datetime], float]:
    """What a reading of an instant is to be multiplied by, as the newest usable check before it says."""
    rows = queries.meter_checks() if checks is None else checks
    usable = [(at, check) for at, check in _judged(rows) if check and check.is_usable]
    instants = [at for at, _ in usable]

    def factor(at: datetime) -> float:
        place = bisect_right(instants, at)
        return usable[place - 1][1].correction_factor if place else 1.0

    return factor


@lru_cache(maxsize=4)
def _judged(
    rows: tuple[MeterRow, ...],
) -> tuple[tuple[datetime, MeterCheck | None], ...]:
    found = []
    for at, read, standard, temp_c, word in rows:
        try:
            check = _judge(MeterTyped(read, standard, temp_c, word == "raw"))
        except RefusedInput:  # a standard no meter is checked in: noted, but no correction
            check = None
        found.append((at, check))
    return tuple(found)


def _judge(typed: MeterTyped) -> MeterCheck:
    return judge_meter(
        typed.standard_ms_cm, typed.read_ms_cm, typed.temp_c, has_compensation=not typed.is_raw
    )
