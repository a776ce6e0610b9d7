"""How parcels arrived: noted as told, and what it teaches of the next ones."""

from collections.abc import Mapping
from datetime import date, datetime
from functools import lru_cache

from halfwater.book import changes, queries
from halfwater.deeds.cells import read_quantity_once
from halfwater.deeds.clock import local_day, read_day
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.packing import ParcelFacts
from halfwater.plain.transit import ArrivalFact, TransitMargins
from halfwater.planning.shipping import margins_of

PLANTS_ACCEPTED = "a whole number of plants from 0"
LATE_ACCEPTED = "days late such as 0, 1 or 2.5"


def note_arrival(
    parcel: int, typed: Mapping[str, str], who: str, now: datetime, photo: str = ""
) -> ParcelFacts:
    """Note how a parcel came: on, alive or dead, damaged, late, low and high of a logger, note.

    What is not said is taken as well: all alive, none damaged, not late, today.
    """
    facts = known_parcel(parcel)
    nursery = queries.nursery()
    today = local_day(now, nursery)
    sheet = Sheet(typed, nursery.units)
    dead = sheet.read("dead", lambda text: _plants("dead", text), 0)
    alive = sheet.read("alive", lambda text: _plants("alive", text), facts.plants - dead)
    if sheet.text("alive") and sheet.text("dead") and alive + dead != facts.plants:
        sheet.refuse("dead", f"{max(facts.plants - alive, 0)}, for {facts.plants} plants were sent")
    if alive < 0:
        sheet.refuse("dead", f"at most the {facts.plants} plants that were sent")
    fields: dict[str, object] = {
        "on": sheet.read("on", lambda text: _past_day(text, today), today),
        "alive": max(alive, 0),
        "damaged": sheet.read("damaged", lambda text: _plants("damaged", text), 0),
        "late_days": sheet.read("late", _days, 0.0),
        "logger_low_c": _temperature(sheet, "low", nursery.units),
        "logger_high_c": _temperature(sheet, "high", nursery.units),
        "note": sheet.text("note"),
    }
    if photo:
        fields["photo"] = photo
    sheet.finish()
    with sheet.writing(late_days="late", logger_low_c="low", logger_high_c="high"):
        changes.note_arrival(parcel, who=who, now=now, **fields)
    return known_parcel(parcel)


def known_parcel(key: int) -> ParcelFacts:
    """A parcel of the book."""
    found = queries.parcel(key)
    if found is None:
        raise RefusedInput("parcel", key, "the number of a parcel in the book")
    return found


def arrival_facts() -> tuple[ArrivalFact, ...]:
    """The parcels that arrived and of which a forecast was kept, the oldest first."""
    arrived = queries.parcels(states=("arrived",))
    return tuple(_fact(one) for one in reversed(arrived) if one.arrival is not None and one.said is not None)


def margins_now(units: str = "metric") -> TransitMargins:
    """What all arrivals teach; reckoned once for the same record."""
    return _margins(arrival_facts(), units)


@lru_cache(maxsize=8)
def _margins(facts: tuple[ArrivalFact, ...], units: str) -> TransitMargins:
    return margins_of(facts, units)


def _fact(parcel: ParcelFacts) -> ArrivalFact:
    said, came = parcel.said, parcel.arrival
    if said is None or came is None or parcel.sent_at is None:
        raise RefusedByBook(f"Parcel {parcel.key} has not arrived yet.", str(parcel.key))
    return ArrivalFact(
        parcel=str(parcel.key),
        shipped_on=parcel.ship_on or parcel.sent_at.date(),
        plants=parcel.plants,
        alive=came.alive,
        damaged=came.damaged,
        late_days=came.late_days,
        coldest=said.bare_coldest,
        hottest=said.bare_hottest,
        low_limit_c=said.low_limit_c,
        high_limit_c=said.high_limit_c,
        logger_low_c=came.logger_low_c,
        logger_high_c=came.logger_high_c,
    )


def _temperature(sheet: Sheet, name: str, units: str) -> float | None:
    return sheet.read(name, lambda text: read_quantity_once(text, "temperature", units, name), None)


def _plants(name: str, text: str) -> int:
    if not text.isdecimal() or len(text) > 4:
        raise RefusedInput(name, text, PLANTS_ACCEPTED)
    return int(text)


def _days(text: str) -> float:
    try:
        days = float(text.replace(",", "."))
    except ValueError:
        days = -1.0
    if not 0.0 <= days <= 60.0:
        raise RefusedInput("late", text, LATE_ACCEPTED)
    return days


def _past_day(text: str, today: date) -> date:
    day = read_day(text, "on")
    if day > today:
        raise RefusedInput("on", text, f"a day up to today, {today.isoformat()}")
    return day
