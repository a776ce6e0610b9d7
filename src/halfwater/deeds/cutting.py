"""A cut: parents cut into sections, the sections potted as a new batch, all of it in one step."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID, uuid5

from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.clock import evening_of, local_day
from halfwater.deeds.stock import read_spots
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import NewEntry
from halfwater.plain.stock import BLADES, GONE_STATES, PIECES, StandingPot

CUT_UNDONE = "cut undone"
MOST_SECTIONS = 50
_ONTO = re.compile(r"^(?P<tank>.+?)\s+(?P<spots>[A-Za-z]+\d+.*)$")


@dataclass(frozen=True, slots=True)
class ParentCut:
    """A parent and what it gave: all its sections, and the leaves on the piece that stays in its pot."""

    pot: int  # key
    sections: int  # the piece that stays included
    leaves_left: int | None = None  # None: not counted


@dataclass(frozen=True, slots=True)
class NewCut:
    """A cut as it was done."""

    parents: tuple[ParentCut, ...]
    batch_name: str
    onto: Mapping[str, tuple[str, ...]]  # tank name -> spots of the new sections
    blade: str = ""  # one of BLADES or ""
    piece: str = ""  # one of PIECES or ""
    section_mm: float | None = None
    first_leaves: int | None = None
    on: date | None = None  # None: today


@dataclass(frozen=True, slots=True)
class NotedCut:
    """What a cut became in the book."""

    batch: int
    batch_name: str
    pots: tuple[int, ...]  # keys of the new pots
    entries: tuple[UUID, ...]
    was_there: bool = False
    spare: int = 0  # sections that were cut and not potted


@transaction.atomic
def note_cut(cut: NewCut, uuid: UUID, who: str, now: datetime) -> NotedCut:
    """Note a cut: the parents' entries, the new batch with its lineage, its pots on their spots.

    All of it or nothing; the same uuid again is noted once.
    """
    if queries.entry(uuid5(uuid, "0")) is not None:
        return _was_there(cut, uuid)
    parents = _parents(cut)
    day, at = _day(cut.on, now)
    sections = sum(one.sections - 1 for one in cut.parents)
    potted = sum(len(spots) for spots in cut.onto.values())
    _refuse_unfit(cut, sections, potted)
    batch = changes.save_batch(
        None, who=who, name=cut.batch_name.strip(), taxon=parents[0].taxon, potted_on=day, blade=cut.blade
    )
    changes.save_lineage(batch, [(pot.batch, pot.key) for pot in parents], who=who)
    pots: list[int] = []
    for tank_name, spots in cut.onto.items():
        pots += changes.place_pots(
            queries.tank_named(tank_name).key, spots, batch, who=who, piece=cut.piece,
            section_mm=cut.section_mm, first_leaves=cut.first_leaves, potted_on=day,
        )  # fmt: skip
    entries = _cut_entries(cut, uuid, who, at, now)
    return NotedCut(batch, cut.batch_name.strip(), tuple(pots), entries, spare=sections - potted)


@transaction.atomic
def undo_cut(batch: int, who: str, now: datetime) -> None:
    """Take a cut back: its entries void, its pots and its batch out of the book.

    Refused once anything was noted of the new pots.
    """
    found = next((one for one in queries.batches() if one.key == batch), None)
    if found is None:
        raise RefusedInput("batch", batch, "the key of a batch in the book")
    parents = {parent.pot for parent in found.parents if parent.pot is not None}
    if not parents:
        raise RefusedByBook(f"No cut stands behind {found.name}, so that there is none to undo.", found.name)
    for entry in queries.entries(kinds=("cut", "leaves")):
        if entry.pot in parents and entry.day == found.potted_on and entry.text == _mark(found.name):
            changes.void_entry(entry.uuid, CUT_UNDONE, who, now)
    changes.remove_batch(batch, who=who)


def read_onto(typed: str) -> dict[str, tuple[str, ...]]:
    """Where the sections go, as typed: “South A1-A4; North B2”."""
    found: dict[str, tuple[str, ...]] = {}
    for part in filter(None, (part.strip() for part in typed.split(";"))):
        match = _ONTO.match(part)
        if match is None:
            raise RefusedInput("to", part, "a tank and its spots such as “South A1-A4”")
        tank = queries.tank_named(match["tank"])
        known = [spot.name for spot in queries.spots(tank.key)]
        found[tank.name] = found.get(tank.name, ()) + read_spots(match["spots"], known)
    return found


def _parents(cut: NewCut) -> list[StandingPot]:
    """The pots that were cut: standing ones of one taxon, each named once."""
    if not cut.parents:
        raise RefusedInput("parents", "none", "at least one pot that was cut")
    keys = [one.pot for one in cut.parents]
    twice = next((key for key in keys if keys.count(key) > 1), None)
    if twice is not None:
        raise RefusedInput("parents", twice, "each pot named once")
    pots = []
    for one in cut.parents:
        pot = queries.standing_pot(one.pot)
        if pot is None:
            raise RefusedInput("parents", one.pot, "the key of a pot in the book")
        if pot.state in GONE_STATES:
            raise RefusedByBook(f"{pot.name} was {pot.state} before, so that it cannot be cut.", pot.name)
        if not 2 <= one.sections <= MOST_SECTIONS:
            accepted = f"2 to {MOST_SECTIONS} sections, the piece that stays in the pot included"
            raise RefusedInput("sections", one.sections, accepted, pot.name)
        pots.append(pot)
    other = next((pot for pot in pots if pot.taxon != pots[0].taxon), None)
    if other is not None:
        raise RefusedByBook(
            f"{pots[0].name} is {pots[0].taxon_name} and {other.name} is {other.taxon_name}: "
            "a batch is of one taxon, so note two cuts.",
            other.name,
        )
    return pots


def _day(on: date | None, now: datetime) -> tuple[date, datetime]:
    nursery = queries.nursery()
    today = local_day(now, nursery)
    if on is None or on == today:
        return today, now
    if on > today:
        raise RefusedInput("on", on.isoformat(), "the day of the cut, up to today")
    return on, evening_of(on, nursery)


def _refuse_unfit(cut: NewCut, sections: int, potted: int) -> None:
    if cut.blade not in ("", *BLADES):
        raise RefusedInput("blade", cut.blade, f"one of {', '.join(BLADES)}")
    if cut.piece not in ("", *PIECES):
        raise RefusedInput("piece", cut.piece, f"one of {', '.join(PIECES)}")
    if not cut.batch_name.strip():
        raise RefusedInput("batch", "", "a name for the new batch such as “Nana, December”")
    if any(one.name.casefold() == cut.batch_name.strip().casefold() for one in queries.batches()):
        raise RefusedByBook(
            f"A batch {cut.batch_name.strip()} is in the book already: name the new one anew."
        )
    if not 1 <= potted <= sections:
        accepted = f"1 to {sections} spots, for so many sections leave their parents' pots"
        raise RefusedInput("to", f"{potted} spots", accepted)


def _cut_entries(cut: NewCut, uuid: UUID, who: str, at: datetime, now: datetime) -> tuple[UUID, ...]:
    """One entry a parent, and one for the leaves that stay on it where they were counted."""
    text = _mark(cut.batch_name.strip())
    news = []
    for place, one in enumerate(cut.parents):
        news.append(
            NewEntry(
                uuid=uuid5(uuid, str(place)), kind="cut", at=at, tank=None, pot=one.pot,
                value=float(one.sections), word=cut.blade, text=text,
            )
        )  # fmt: skip
        if one.leaves_left is not None:
            news.append(
                NewEntry(
                    uuid=uuid5(uuid, f"{place} leaves"), kind="leaves", at=at, tank=None, pot=one.pot,
                    value=float(one.leaves_left), text=text,
                )
            )  # fmt: skip
    return changes.note_entries(news, who, now).new


def _mark(batch_name: str) -> str:
    """What a cut's entries say of the batch they made."""
    return f"cut for {batch_name}"


def _was_there(cut: NewCut, uuid: UUID) -> NotedCut:
    name = cut.batch_name.strip()
    batch = next((one for one in queries.batches() if one.name.casefold() == name.casefold()), None)
    if batch is None:
        raise RefusedByBook(f"This cut was noted and undone before: the book has no batch {name}.", name)
    pots = tuple(pot.key for pot in queries.standing_pots(batch=batch.key, gone=True))
    own = tuple(uuid5(uuid, str(place)) for place in range(len(cut.parents)))
    return NotedCut(batch.key, batch.name, pots, own, was_there=True)
