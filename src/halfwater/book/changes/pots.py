"""Pots on their spots: placed, counted, moved, cut, sold and lost."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid4

from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from halfwater.book.changes import checks
from halfwater.book.changes.entries import write_entries
from halfwater.book.changes.promises import forget_offers, turn_state
from halfwater.book.models import Batch, Spot, StandingPot, Tank
from halfwater.book.queries.nursery import nursery
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import NewEntry
from halfwater.plain.nursery import nursery_day
from halfwater.plain.stock import BLADES, GONE_STATES, GRADES, PIECES, POT_STATES

LEAVES = checks.whole("a whole number of leaves from 0 to 10000", 0, 10_000, none=True)
_LENGTH = checks.number("a length above 0 and up to 2000 mm", 0, 2000, above=True, none=True)


def _day_or_none(field: str, value: Any) -> date | None:
    return None if value is None else checks.day(field, value)


POT_FIELDS: dict[str, checks.Check] = {
    "state": checks.one_of(POT_STATES),
    "leaves": LEAVES,
    "counted_on": _day_or_none,
    "potted_on": _day_or_none,
    "piece": checks.one_of(("", *PIECES)),
    "section_mm": _LENGTH,
    "first_leaves": LEAVES,
    "rhizome_mm": _LENGTH,
    "measured_on": _day_or_none,
    "grade": checks.one_of(("", *GRADES)),
    "left_on": _day_or_none,
    "cause": checks.words("a cause of at most 40 signs", 40),
}


@transaction.atomic
def set_pot(
    tank: int,
    spot: str,
    batch: int | None,
    state: str = "",
    leaves: int | None = None,
    *,
    who: str,
    on: date | None = None,
) -> int | None:
    """Say what stands on a spot: a pot of a batch in a state, or nothing when `batch` is None.

    A pot of the same batch on the spot is changed; "sold" and "lost" take it
    off the spot and keep it counted, gone since `on` (today). Gives the pot's key.
    """
    place = spot_named(tank, spot)
    pot = StandingPot.objects.filter(spot=place).select_related("batch").first()
    if pot is not None and pot.batch_id != batch:
        _take_away(pot, who)
        pot = None
    if batch is None:
        return None
    fields: dict[str, Any] = {"state": state, "leaves": leaves}
    if state in GONE_STATES:
        fields["left_on"] = on or nursery_day(timezone.now(), nursery().time_zone)
    return write_pot(pot or a_new_pot(batch), place, fields, who)


@transaction.atomic
def place_pots(
    tank: int,
    spots: Sequence[str] | int,
    batch: int,
    state: str = "settling",
    leaves: int | None = None,
    *,
    who: str,
    piece: str = "",
    section_mm: float | None = None,
    first_leaves: int | None = None,
    potted_on: date | None = None,
) -> tuple[int, ...]:
    """Stand new pots of a batch on empty spots, or so many on the first empty ones, and give their keys.

    `leaves` and `first_leaves` stand for each other where only one is given.

    Raises
    ------
    RefusedByBook
        If a spot is taken, or fewer are free than are wanted.
    """
    first_leaves = leaves if first_leaves is None else first_leaves
    fields = {
        "state": state,
        "leaves": first_leaves if leaves is None else leaves,
        "piece": piece,
        "section_mm": section_mm,
        "first_leaves": first_leaves,
        "potted_on": potted_on,
    }
    places = first_free(tank, spots) if isinstance(spots, int) else [spot_named(tank, one) for one in spots]
    if fields["leaves"] is not None and places:
        fields["counted_on"] = potted_on or Batch.objects.values_list("potted_on", flat=True).get(pk=batch)
    for place in places:
        refuse_taken(place)
    keys = []
    number = last_number(batch)
    for place in places:
        number += 1
        keys.append(write_pot(StandingPot(batch_id=batch, number=number), place, fields, who))
    return tuple(keys)


def move_pot(
    pot: int,
    to_tank: int,
    to_spot: str,
    *,
    who: str,
    at: datetime | None = None,
    uuid: UUID | None = None,
    now: datetime | None = None,
) -> UUID:
    """Move a pot to an empty spot: the move is an entry, whose id is given; its text says where from."""
    row = StandingPot.objects.select_related("spot__tank", "batch").filter(pk=pot).first()
    where = f"{row.spot.tank.name} {row.spot.name}" if row is not None and row.spot is not None else ""
    return _note("move", pot, who, at, uuid, now, tank=to_tank, spot=to_spot.strip().upper(), text=where)


def count_pot(
    pot: int,
    leaves: int,
    *,
    who: str,
    at: datetime | None = None,
    uuid: UUID | None = None,
    now: datetime | None = None,
    text: str = "",
) -> UUID:
    """Note the leaves counted on a pot; the same id again is noted once."""
    return _note("leaves", pot, who, at, uuid, now, value=leaves, text=text)


def lose_pot(
    pot: int,
    cause: str,
    *,
    who: str,
    at: datetime | None = None,
    uuid: UUID | None = None,
    now: datetime | None = None,
    text: str = "",
) -> UUID:
    """Note that a pot died; it leaves its spot and stays counted."""
    return _note("loss", pot, who, at, uuid, now, value=1, word=cause, text=text)


def set_state(
    pot: int,
    state: str,
    *,
    who: str,
    at: datetime | None = None,
    uuid: UUID | None = None,
    now: datetime | None = None,
    text: str = "",
) -> UUID:
    """Note a pot's new state; a sold one leaves its spot. A lost one is noted by `lose_pot`."""
    return _note("state", pot, who, at, uuid, now, word=state, text=text)


def measure_rhizome(
    pot: int,
    rhizome_mm: float,
    *,
    who: str,
    at: datetime | None = None,
    uuid: UUID | None = None,
    now: datetime | None = None,
    text: str = "",
) -> UUID:
    """Note the length of a pot's rhizome."""
    return _note("rhizome", pot, who, at, uuid, now, value=rhizome_mm, text=text)


def cut_pot(
    pot: int,
    sections: int,
    blade: str = "",
    *,
    who: str,
    at: datetime | None = None,
    uuid: UUID | None = None,
    now: datetime | None = None,
    text: str = "",
) -> UUID:
    """Note that a parent was cut into sections, and whether the blade was disinfected before."""
    checks.one_of(("", *BLADES))("blade", blade)
    return _note("cut", pot, who, at, uuid, now, value=sections, word=blade, text=text)


@transaction.atomic
def set_grade(pot: int, grade: str, *, who: str) -> None:
    """Give a pot a grade by hand, or "" to let the leaf count tell it."""
    row = StandingPot.objects.select_for_update().filter(pk=pot).first()
    if row is None:
        raise RefusedInput("pot", pot, "the key of a pot in the book")
    row.grade = POT_FIELDS["grade"]("grade", grade)
    row.changed_by = who  # type: ignore[attr-defined]
    row.save()


@transaction.atomic
def _note(
    kind: str,
    pot: int,
    who: str,
    at: datetime | None,
    uuid: UUID | None,
    now: datetime | None,
    **fields: Any,
) -> UUID:
    now = now or timezone.now()
    fields = {"tank": None} | fields
    new = NewEntry(uuid=uuid or uuid4(), kind=kind, at=at or now, pot=pot, **fields)
    write_entries((new,), who, now)
    return new.uuid


def spot_named(tank: int, name: str) -> Spot:
    """The spot of this name on a floor; another is refused, with the ends of the floor."""
    row = Spot.objects.select_for_update().filter(tank=tank, name__iexact=name.strip()).first()
    if row is None:
        ends = list(Spot.objects.filter(tank=tank).order_by("place").values_list("name", flat=True))
        known = f"a spot from {ends[0]} to {ends[-1]}" if ends else "this floor has no spots yet"
        raise RefusedInput("spot", name, known)
    return row


def first_free(tank: int, pots: int) -> list[Spot]:
    """The first empty spots of a floor in reading order; more than there are is refused."""
    free = list(Spot.objects.filter(tank=tank, pot__isnull=True).order_by("place")[: max(pots, 1)])
    if not 1 <= pots <= len(free):
        name = Tank.objects.values_list("name", flat=True).get(pk=tank)
        raise RefusedByBook(
            f"{pots} pots do not fit: {name} has {len(free)} empty spots.".replace(
                "1 empty spots", "1 empty spot"
            ),
            name,
        )
    return free


def refuse_taken(place: Spot) -> None:
    """Refuse a spot that a pot stands on."""
    taken = StandingPot.objects.filter(spot=place).select_related("batch").first()
    if taken is not None:
        raise RefusedByBook(
            f"Spot {place.name} is taken: a pot of batch {taken.batch.name} stands on it.", place.name
        )


def a_new_pot(batch: int) -> StandingPot:
    """A pot of a batch that is not in the book yet, with the next number."""
    return StandingPot(batch_id=batch, number=last_number(batch) + 1)


def last_number(batch: int) -> int:
    """The highest number of a batch's pots; whoever else numbers its pots waits."""
    if not isinstance(batch, int) or Batch.objects.select_for_update().filter(pk=batch).first() is None:
        raise RefusedInput("batch", batch, "the key of a batch in the book")
    return StandingPot.objects.filter(batch=batch).aggregate(last=Max("number"))["last"] or 0


def write_pot(pot: StandingPot, place: Spot | None, fields: dict[str, Any], who: str) -> int:
    """Write a pot's fields and its spot, which a pot that is gone loses; one unchanged stays alone."""
    before = None if pot.pk is None else _values(pot)
    if pot.pk is not None and fields.get("state", pot.state) != pot.state:
        turn_state(pot, fields["state"], timezone.now())
    for name, value in fields.items():
        setattr(pot, name, POT_FIELDS[name](name, value))
    if pot.state in GONE_STATES:
        place = None if place is None else _remember(pot, place)
    elif place is not None:
        _remember(pot, place)
        pot.left_on, pot.cause = None, ""
    pot.spot = place
    if before is None or _values(pot) != before:
        pot.changed_by = who  # type: ignore[attr-defined]
        pot.save()
    return pot.pk


def _values(pot: StandingPot) -> tuple[Any, ...]:
    return tuple(getattr(pot, column.attname) for column in pot._meta.concrete_fields)


def _remember(pot: StandingPot, place: Spot) -> None:
    if not pot.potted_spot:
        pot.potted_tank_id, pot.potted_spot = place.tank_id, place.name


def _take_away(pot: StandingPot, who: str) -> None:
    if pot.entries.exists() or pot.children.exists():
        raise RefusedByBook(
            f"Pot {pot} has entries of its own: note it as sold, lost or moved before its spot is used anew.",
            str(pot),
        )
    forget_offers(pot, timezone.now())
    pot.changed_by = who  # type: ignore[attr-defined]
    pot.delete()
