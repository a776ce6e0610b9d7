"""Noting one entry: what was typed, read by its kind, and kept in the book."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import UUID, uuid4

from halfwater.book import changes, queries
from halfwater.deeds.clock import local_hour, read_at
from halfwater.deeds.note_values import NoteSetting, read_value
from halfwater.deeds.plan import planned_volume
from halfwater.errors import RefusedInput
from halfwater.plain.entry import KIND_UNITS, PLAIN_FILL, NewEntry, Noted
from halfwater.plain.mixes import MixFacts
from halfwater.plain.nursery import DAY_BEGINS_HOUR, NurseryFacts
from halfwater.plain.stock import BatchFacts
from halfwater.plain.tank import TankFacts

PLAIN_WATER = "plain water"  # typed for a mix: a spray or fill of none
MORNING_ENDS = 12  # a spray before noon belongs to the morning, once the day has begun


@dataclass(frozen=True, slots=True)
class Typed:
    """An entry as typed: kind and value as text, everything else optional."""

    kind: str
    tank: str = ""  # name; only a note may do without
    value: str = ""
    second: str | None = None  # hours, humidity or cause, where it was typed in a field of its own
    at: str = ""
    text: str = ""
    mix: str = ""  # name
    batch: str = ""  # name
    spot: str = ""
    session: str = ""  # sprays: night or morning
    photo: str = ""
    third: str | None = None  # stray light of a light reading, in a field of its own


@dataclass(frozen=True, slots=True)
class NotedEntry:
    """The entry that was noted, and whether it stood in the book already."""

    entry: NewEntry
    tank_name: str
    unit: str
    was_there: bool


def note(typed: Typed, who: str, now: datetime, uuid: UUID | None = None) -> NotedEntry:
    """Note one entry; the same uuid again is kept once."""
    entry, tank_name = read_entry(typed, now, uuid)
    _refuse_unknown_spot(entry)
    noted: Noted = changes.note_entries([entry], who=who)
    kept = queries.entry(entry.uuid)
    entry = entry if kept is None else replace(entry, pot=kept.pot)
    return NotedEntry(entry, tank_name, KIND_UNITS[entry.kind], was_there=not noted.new)


def rewrite(uuid: UUID, typed: Typed, reason: str, who: str, now: datetime) -> NotedEntry:
    """Void an entry and write it anew as typed."""
    if not reason.strip():
        raise RefusedInput("reason", reason, "a few words on why the entry is written anew")
    entry, tank_name = read_entry(typed, now, None)
    changes.rewrite_entry(uuid, replace(entry, corrects=uuid), reason.strip(), who)
    return NotedEntry(entry, tank_name, KIND_UNITS[entry.kind], was_there=False)


def read_entry(typed: Typed, now: datetime, uuid: UUID | None) -> tuple[NewEntry, str]:
    """The typed entry as the book takes it, with the name of its tank; nothing is written."""
    kind = typed.kind.strip().lower()
    if kind not in KIND_UNITS:
        raise RefusedInput("kind", typed.kind, f"one of {', '.join(KIND_UNITS)}")
    nursery = queries.nursery()
    tank = _tank(typed.tank, kind)
    at = read_at(typed.at, nursery, now)
    session = _session(typed.session, at, nursery) if kind in ("spray", "skip") else ""
    planned_l = planned_volume(tank, session or "night") if tank is not None and kind == "spray" else None
    read = read_value(
        kind, typed.value, NoteSetting(nursery.units, tank, planned_l, typed.second, typed.third)
    )
    entry = NewEntry(
        uuid=uuid or uuid4(),
        kind=kind,
        at=at,
        tank=tank.key if tank else None,
        value=read.value,
        second=_dimmer(tank, at) if kind == "light" and read.second is None else read.second,
        third=read.third,
        to_line=read.to_line,
        word=read.word or session or (PLAIN_FILL if kind == "fill" and _is_plain(typed.mix) else ""),
        text=" ".join(part for part in (read.text, typed.text.strip()) if part),
        typed=" ".join(part.strip() for part in (typed.value, typed.second or "") if part.strip()),
        mix=_mix_key(typed.mix, kind, tank, session),
        batch=_batch_key(typed.batch),
        spot=typed.spot.strip().upper() or read.spot,
        photo=typed.photo,
    )
    _refuse_incomplete(entry)
    return entry, tank.name if tank else ""


def _refuse_incomplete(entry: NewEntry) -> None:
    if entry.kind == "note" and not (entry.text or entry.photo):
        raise RefusedInput("note", "", "some words, or a photo")
    if entry.kind == "light" and not entry.spot:
        raise RefusedInput("spot", "", "the spot it was read at, such as B4")


def _tank(name: str, kind: str) -> TankFacts | None:
    if kind == "meter" or (name.strip() in ("", "-") and kind in ("note", "leaves", "loss", "work")):
        return None
    return queries.tank_named(name)


def _dimmer(tank: TankFacts | None, at: datetime) -> float:
    """How the lamp is set at an instant: as noted last, or as described."""
    if tank is None:
        return 1.0
    noted = queries.entries(tank=tank.key, kinds=("lamp",), until=at + timedelta(seconds=1), limit=1)
    setting = noted[0].value if noted else None
    return tank.lamp_dimmer_frac if setting is None else setting


def _session(typed: str, at: datetime, nursery: NurseryFacts) -> str:
    """Night or morning: as said, or by the clock."""
    said = typed.strip().lower()
    if said in ("night", "morning"):
        return said
    if said:
        raise RefusedInput("session", typed, "night or morning")
    hour = local_hour(at, nursery)
    return "morning" if DAY_BEGINS_HOUR <= hour < MORNING_ENDS else "night"


def _mix_key(name: str, kind: str, tank: TankFacts | None, session: str) -> int | None:
    """The mix that was named, or the planned one of a spray; none where plain water was."""
    if _is_plain(name):
        return None
    if name.strip():
        return _key_named("mix", "mixes", name, queries.mixes())
    if kind == "spray" and tank is not None:
        return tank.plan.morning_mix if session == "morning" else tank.plan.night_mix
    return None


def _is_plain(name: str) -> bool:
    return name.strip().casefold() == PLAIN_WATER


def _refuse_unknown_spot(entry: NewEntry) -> None:
    """A spot is one of the floor's, as it is laid out today."""
    known = [spot.name for spot in queries.spots(entry.tank)] if entry.spot and entry.tank else []
    if known and entry.spot not in known:
        raise RefusedInput("spot", entry.spot, f"a spot of this floor, {known[0]} to {known[-1]}")


def _batch_key(name: str) -> int | None:
    return _key_named("batch", "batches", name, queries.batches()) if name.strip() else None


def _key_named(noun: str, nouns: str, name: str, known: Sequence[MixFacts | BatchFacts]) -> int:
    """The key of what bears a name, however it is capitalised; the names there are stand in a refusal."""
    keys = {one.name.casefold(): one.key for one in known}
    if name.strip().casefold() not in keys:
        names = ", ".join(one.name for one in known) or "none is in the book yet"
        names += f"; or {PLAIN_WATER}" if noun == "mix" else ""
        raise RefusedInput(noun, name, f"one of your {nouns}: {names}")
    return keys[name.strip().casefold()]
