"""Entries as plain data: what was noted, when, by whom."""

from dataclasses import dataclass, field
from datetime import date, datetime
from uuid import UUID

# The closed list of kinds. `value` is always in the house unit given here.
KIND_UNITS: dict[str, str] = {
    "spray": "l",  # value; mix: which mix; session: "night" or "morning"
    "skip": "",  # an evening on which the tank was not sprayed
    "fill": "l",  # solution poured into the bath; mix; word: PLAIN_FILL where it was plain water
    "siphon": "l",  # litres taken out, or value None and to_line "low"
    "waterline": "mm",  # depth of the bath
    "ec": "ms_cm",  # electrical conductivity of the bath at 25 C, as the meter showed it
    "ph": "",  # of the bath
    "meter": "ms_cm",  # a meter held into a standard: value read, second the standard, third its C
    "light": "umol_m2_s",  # at a spot; second: the lamp's dimmer then, 0 off; third: stray light there
    "air": "c",  # value: temperature inside; second: relative humidity, a fraction
    "lamp": "frac",  # value: dimmer; second: hours a day
    "leaves": "",  # value: leaf count; spot or batch
    "loss": "",  # value: plants lost; word: cause; spot or batch
    "move": "",  # a pot was moved: tank and spot are where to, text where from; pot
    "cut": "",  # a parent was cut: value: sections; word: blade; pot
    "rhizome": "mm",  # length of a pot's rhizome; pot
    "state": "",  # word: the new state; pot
    "sighting": "",  # word: what (algae, rot, ...); value: 1 little .. 3 much
    "work": "min",  # minutes somebody noted; word: the task
    "note": "",  # text, photo
}
POT_KINDS = ("move", "cut", "rhizome", "state")  # always of one pot; leaves and loss may be
PLAIN_FILL = "plain"  # a fill that says neither mix nor this is taken to be the fill mix
CAUSES = ("rot", "melt", "dried out", "pest", "broken", "unknown")
SIGHTINGS = ("algae", "rot", "gnats", "shore flies", "snails", "aphids", "scale", "mould", "other")


@dataclass(frozen=True, slots=True)
class NewEntry:
    """An entry on its way into the book."""

    uuid: UUID
    kind: str
    at: datetime  # aware, UTC
    tank: int | None  # key
    value: float | None = None  # house unit of the kind
    second: float | None = None
    to_line: str = ""  # "low" for a siphon down to the low line
    word: str = ""  # cause of a loss, thing sighted, session of a spray
    text: str = ""
    typed: str = ""  # the quantity as the grower typed it
    mix: int | None = None
    batch: int | None = None
    spot: str = ""
    photo: str = ""  # path inside the book's photo folder
    corrects: UUID | None = None  # the voided entry this one was written anew for
    pot: int | None = None  # key; found from tank and spot where it is not given
    third: float | None = None  # a kind's third figure


@dataclass(frozen=True, slots=True)
class EntryFact(NewEntry):
    """An entry as the book holds it."""

    day: date = date.min  # the nursery day it belongs to
    who: str = ""
    noted_at: datetime | None = None
    voided_at: datetime | None = None
    voided_by: str = ""
    void_reason: str = ""
    tank_name: str = ""
    mix_name: str = ""


@dataclass(frozen=True, slots=True)
class Noted:
    """What became of entries handed in: written now, or there already."""

    new: tuple[UUID, ...] = field(default=())
    kept: tuple[UUID, ...] = field(default=())
    void: tuple[UUID, ...] = field(default=())  # in the book already, but voided: not written again
