"""Entries about one pot, as typed in one line: counted, lost, moved, cut, measured, kept."""

import re
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid4, uuid5

from halfwater.book import changes, queries
from halfwater.deeds.clock import local_day, read_at
from halfwater.deeds.cutting import NewCut, ParentCut, note_cut, read_onto
from halfwater.deeds.pot import pot_named
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import CAUSES, EntryFact
from halfwater.plain.stock import BLADES, GONE_STATES, POT_STATES, StandingPot
from halfwater.science.units import read_quantity

STATES = tuple(state for state in POT_STATES if state != "lost")
_SECTIONS = re.compile(r"(\d{1,2})(?:\s*sections?)?(?:\s*,\s*(\d{1,3})\s*(?:leaves\s*)?left)?")


@dataclass(frozen=True, slots=True)
class TypedPotNote:
    """What was typed about a pot; the pot by its name, or by its tank and spot."""

    kind: str
    value: str
    pot: str = ""
    tank: str = ""
    spot: str = ""
    at: str = ""
    text: str = ""
    to: str = ""  # of a cut: where its sections go
    batch: str = ""  # of a cut: the name of the new batch
    blade: str = ""


def note_pot(typed: TypedPotNote, who: str, now: datetime) -> EntryFact:
    """Note one thing about one pot, and give its entry."""
    if typed.kind not in _WRITERS:
        raise RefusedInput("kind", typed.kind, f"one of {', '.join(_WRITERS)}, for these are about one pot")
    pot = which_pot(typed)
    at = read_at(typed.at, queries.nursery(), now)
    if typed.kind == "cut" and (typed.to or typed.batch):
        return _entry(_cut_and_pot_up(pot, typed, who, at, now))
    uuid = _WRITERS[typed.kind](pot, typed, who, at, now)
    return _entry(uuid)


def which_pot(typed: TypedPotNote) -> StandingPot:
    """The pot that is meant."""
    if typed.pot.strip():
        named, spot = pot_named(typed.pot), typed.spot.strip().upper()
        if spot and named.spot and spot != named.spot:
            stands = f"{named.spot}, where {named.name} stands, or no spot beside a pot's name"
            raise RefusedInput("spot", typed.spot, stands)
        return named
    if not typed.spot.strip() or typed.tank.strip() in ("", "-"):
        raise RefusedInput("pot", typed.spot, "a pot: its tank with --spot B4, or --pot “Nana, June 3”")
    tank = queries.tank_named(typed.tank)
    spot = typed.spot.strip().upper()
    found = next((pot for pot in queries.standing_pots(tank=tank.key) if pot.spot == spot), None)
    if found is None:
        known = [one.name for one in queries.spots(tank.key)]
        if spot not in known:
            ends = f"a spot of this floor, {known[0]} to {known[-1]}" if known else "a tank with spots"
            raise RefusedInput("spot", typed.spot, ends)
        raise RefusedByBook(f"No pot stands on {tank.name} {spot}.", spot)
    return found


def _entry(uuid: UUID) -> EntryFact:
    found = queries.entry(uuid)
    if found is None:
        raise RefusedByBook("The entry is gone from the book.", str(uuid))
    return found


def _leaves(pot: StandingPot, typed: TypedPotNote, who: str, at: datetime, now: datetime) -> UUID:
    leaves = _whole(typed.value, "leaves", "a whole number of leaves such as 7, up to 10000")
    return changes.count_pot(pot.key, leaves, who=who, at=at, now=now, text=typed.text)


def _loss(pot: StandingPot, typed: TypedPotNote, who: str, at: datetime, now: datetime) -> UUID:
    cause = re.sub(r"^1\s*", "", typed.value.strip().lower()) or "unknown"
    if cause not in CAUSES:
        raise RefusedInput("loss", typed.value, f"a cause, one of {', '.join(CAUSES)}")
    return changes.lose_pot(pot.key, cause, who=who, at=at, now=now, text=typed.text)


def _state(pot: StandingPot, typed: TypedPotNote, who: str, at: datetime, now: datetime) -> UUID:
    state = typed.value.strip().lower()
    if state not in STATES:
        raise RefusedInput("state", typed.value, f"one of {', '.join(STATES)}; a lost pot is noted as a loss")
    return changes.set_state(pot.key, state, who=who, at=at, now=now, text=typed.text)


def _rhizome(pot: StandingPot, typed: TypedPotNote, who: str, at: datetime, now: datetime) -> UUID:
    length_mm = read_quantity(typed.value, "length", system=queries.nursery().units, field="rhizome")
    return changes.measure_rhizome(pot.key, length_mm, who=who, at=at, now=now, text=typed.text)


def _move(pot: StandingPot, typed: TypedPotNote, who: str, at: datetime, now: datetime) -> UUID:
    """A move to a spot of the same tank, or to a tank and its spot."""
    front, _, spot = typed.value.strip().rpartition(" ")
    if not spot:
        raise RefusedInput(
            "move", typed.value, "an empty spot such as B4, or a tank and spot such as “South B4”"
        )
    if not front and pot.tank is None:
        raise RefusedByBook(f"{pot.name} was {pot.state} before, so that it cannot be moved.", pot.name)
    tank = queries.tank_named(front or pot.tank_name)
    if (pot.tank, pot.spot) == (tank.key, spot.strip().upper()):
        raise RefusedByBook(f"{pot.name} stands on {tank.name} {pot.spot} already.", pot.name)
    return changes.move_pot(pot.key, tank.key, spot, who=who, at=at, now=now)


def _cut(pot: StandingPot, typed: TypedPotNote, who: str, at: datetime, now: datetime) -> UUID:
    if pot.state in GONE_STATES:
        raise RefusedByBook(f"{pot.name} was {pot.state} before, so that it cannot be cut.", pot.name)
    sections, left = _sections(typed.value)
    uuid = changes.cut_pot(pot.key, sections, _blade(typed.blade), who=who, at=at, now=now, text=typed.text)
    if left is not None:
        changes.count_pot(pot.key, left, who=who, at=at, now=now, uuid=uuid5(uuid, "leaves"))
    return uuid


def _cut_and_pot_up(pot: StandingPot, typed: TypedPotNote, who: str, at: datetime, now: datetime) -> UUID:
    """A cut with its sections potted as a new batch."""
    if not (typed.to.strip() and typed.batch.strip()):
        raise RefusedInput(
            "cut", typed.value, "both --batch “Nana, December” and --to “South A1-A2”, or neither"
        )
    sections, left = _sections(typed.value)
    cut = NewCut(
        parents=(ParentCut(pot.key, sections, left),),
        batch_name=typed.batch,
        onto=read_onto(typed.to),
        blade=_blade(typed.blade),
        on=local_day(at, queries.nursery()),
    )
    return note_cut(cut, uuid4(), who, now).entries[0]


def _sections(typed: str) -> tuple[int, int | None]:
    match = _SECTIONS.fullmatch(typed.strip().lower())
    if match is None or int(match[1]) < 1:
        accepted = "the sections it gave, the piece in the pot included, such as 3, or “3, 4 leaves left”"
        raise RefusedInput("cut", typed, accepted)
    return int(match[1]), None if match[2] is None else int(match[2])


def _blade(typed: str) -> str:
    blade = typed.strip().lower()
    if blade not in ("", *BLADES):
        raise RefusedInput("blade", typed, f"one of {', '.join(BLADES)}")
    return blade


def _whole(typed: str, field: str, accepted: str) -> int:
    if not re.fullmatch(r"\d{1,4}", typed.strip(), flags=re.ASCII):
        raise RefusedInput(field, typed, accepted)
    return int(typed.strip())


_WRITERS = {
    "leaves": _leaves, "loss": _loss, "state": _state, "rhizome": _rhizome, "move": _move, "cut": _cut,
}  # fmt: skip
