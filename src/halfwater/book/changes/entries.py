"""Entries: noted once, voided at most, never edited."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from halfwater.book.changes.checkpoints import forget_from
from halfwater.book.changes.pot_effects import put_back, take_effect
from halfwater.book.changes.pots_at_hand import TIED_KINDS, PotsAtHand
from halfwater.book.changes.soundness import refuse_unsound
from halfwater.book.models import Batch, Entry, Mix, Nursery, Tank
from halfwater.book.queries.nursery import nursery
from halfwater.errors import HalfwaterError, RefusedByBook, RefusedInput
from halfwater.plain.entry import NewEntry, Noted
from halfwater.plain.nursery import nursery_day

_CHUNK = 500
_REASON = 300


@dataclass(frozen=True, slots=True)
class Origin:
    """Where an entry that is brought in comes from: who noted it, and why it is void, if it is."""

    who: str = ""
    voided_because: str = ""


@transaction.atomic
def note_entries(news: Sequence[NewEntry], who: str, now: datetime | None = None) -> Noted:
    """Note entries, all or none.

    An entry whose uuid the book has, or whose kind, tank, instant and value
    stand in it already, is kept once: it comes back in `kept`, or in `void`
    when the book holds it voided.

    Raises
    ------
    RefusedInput
        If an entry holds what its kind does not take, or lies in the future.
    """
    return write_entries(news, who, now or timezone.now())


@transaction.atomic
def void_entry(uuid: UUID, reason: str, who: str, when: datetime | None = None) -> None:
    """Void an entry, with the reason; it stays in the book.

    Raises
    ------
    RefusedInput
        If no reason is given or the book has no such entry.
    RefusedByBook
        If the entry is void already.
    """
    if not reason.strip() or len(reason.strip()) > _REASON:
        raise RefusedInput("reason", reason, f"a reason of 1 to {_REASON} signs")
    row = Entry.objects.select_for_update().filter(pk=uuid).first()
    if row is None:
        raise RefusedInput("entry", str(uuid), "the id of an entry in the book")
    if row.voided_at is not None:
        raise RefusedByBook(f"This entry was voided before: {row.void_reason}.", str(uuid))
    row.voided_at = when or timezone.now()
    row.voided_by = who
    row.void_reason = reason.strip()
    row.save(update_fields=("voided_at", "voided_by", "void_reason"))
    put_back(row, who)
    forget_from(_touched((row,)))


@transaction.atomic
def rewrite_entry(uuid: UUID, new: NewEntry, reason: str, who: str, now: datetime | None = None) -> Noted:
    """Void an entry and write it anew in one step; the new one says which it corrects."""
    now = now or timezone.now()
    void_entry(uuid, reason, who, now)
    return write_entries((replace(new, corrects=uuid),), who, now)


@dataclass(slots=True)
class BroughtIn:
    """What an import knows of its entries: where each comes from, and which pots came in as they stand now.

    With it, an entry that its pot stands against is put aside in `refused` instead of raised.
    """

    origins: Mapping[UUID, Origin]
    final_pots: Collection[int] = ()
    refused: list[tuple[UUID, HalfwaterError]] = field(default_factory=list)


def write_entries(
    news: Sequence[NewEntry], who: str, now: datetime, brought: BroughtIn | None = None
) -> Noted:
    """Write entries inside a transaction that is already open; `brought` says what an import knows."""
    if not news:
        return Noted()
    origins = brought.origins if brought else {}
    rims_mm = _lock(news)
    for new in news:
        refuse_unsound(new, now, rims_mm)
    _refuse_unknown_keys(news)
    standing, void = _ids_in_book(new.uuid for new in news)
    alike = _alike_in_book(news)
    fresh: dict[UUID, NewEntry] = {}
    kept: list[UUID] = []
    for new in news:
        same = _sameness(new)
        if new.uuid in standing or new.uuid in fresh:
            kept.append(new.uuid)
        elif new.uuid in void:
            continue
        elif new.uuid in origins and origins[new.uuid].voided_because:
            fresh[new.uuid] = new
        elif same in alike:
            kept.append(new.uuid)
        else:
            fresh[new.uuid] = new
            alike.add(same)
    _insert(list(fresh.values()), who, now, brought)
    return Noted(new=tuple(fresh), kept=tuple(kept), void=tuple(void))


def _lock(news: Sequence[NewEntry]) -> dict[int, float]:
    # Where the database lets two writers in at once, those of one tank wait here for each other.
    tanks = sorted({new.tank for new in news if new.tank is not None})
    if len(tanks) < len(news) and any(new.tank is None for new in news):
        Nursery.objects.select_for_update().filter(pk=1).first()
    rows = Tank.objects.select_for_update().filter(pk__in=tanks).order_by("pk")
    return dict(rows.values_list("pk", "height_mm"))


def _refuse_unknown_keys(news: Sequence[NewEntry]) -> None:
    for noun, model in (("mix", Mix), ("batch", Batch)):
        wanted = {getattr(new, noun) for new in news} - {None}
        if wanted:
            unknown = wanted - set(model.objects.filter(pk__in=wanted).values_list("pk", flat=True))
            if unknown:
                raise RefusedInput(noun, min(unknown), f"the key of a {noun} in the book")


def _ids_in_book(uuids: Iterable[UUID]) -> tuple[set[UUID], set[UUID]]:
    standing: set[UUID] = set()
    void: set[UUID] = set()
    for some in _chunks(list(uuids)):
        for uuid, voided_at in Entry.objects.filter(pk__in=some).values_list("uuid", "voided_at"):
            (standing if voided_at is None else void).add(uuid)
    return standing, void


def _alike_in_book(news: Sequence[NewEntry]) -> set[tuple[Any, ...]]:
    """What stands in the book between the first and the last instant of `news`, tank by tank."""
    spans: dict[int | None, list[datetime]] = {}
    for new in news:
        span = spans.setdefault(new.tank, [new.at, new.at])
        span[0], span[1] = min(span[0], new.at), max(span[1], new.at)
    columns = (
        "kind",
        "tank_id",
        "at",
        "value",
        "second",
        "to_line",
        "word",
        "spot",
        "batch_id",
        "text",
        "photo",
        "pot_id",
    )
    found = set()
    for tank, (first, last) in spans.items():
        rows = Entry.objects.filter(tank=tank, at__gte=first, at__lte=last, voided_at__isnull=True)
        for *row, pot in rows.values_list(*columns).iterator(5000):
            found.add(_same(*row, pot=pot))
    return found


def _sameness(new: NewEntry) -> tuple[Any, ...]:
    return _same(
        new.kind,
        new.tank,
        new.at.astimezone(UTC),
        new.value,
        new.second,
        new.to_line,
        new.word,
        new.spot,
        new.batch,
        new.text,
        new.photo,
        pot=new.pot,
    )


def _same(kind: str, *values: Any, pot: int | None) -> tuple[Any, ...]:
    # A pot is told by its spot whatever its batch, or where none is given by itself.
    if kind in TIED_KINDS:
        values = (*values[:7], None, *values[8:]) if values[6] else (pot, *values)
    # Only a note is told apart by its words: two equal sprays at one instant are one spray.
    return (kind, *values) if kind in ("note", "sighting") else (kind, *values[:-2])


def _insert(news: Sequence[NewEntry], who: str, now: datetime, brought: BroughtIn | None) -> None:
    time_zone = nursery().time_zone
    origins = brought.origins if brought else {}
    about_pots = [new for new in news if new.kind in TIED_KINDS]
    at_hand = PotsAtHand.of(about_pots, brought.final_pots if brought else ()) if about_pots else None
    rows = []
    for new in sorted(news, key=lambda new: new.at) if at_hand else news:
        origin = origins.get(new.uuid, Origin())
        row = _row(new, origin.who or who, now, time_zone)
        if origin.voided_because:
            row.voided_at, row.voided_by, row.void_reason = now, who, origin.voided_because[:_REASON]
        if at_hand is not None:
            _tie(row, new, at_hand, who, brought)
        rows.append(row)
    Entry.objects.bulk_create(rows, batch_size=_CHUNK)
    forget_from(_touched(rows))


def _touched(rows: Iterable[Entry]) -> dict[int, datetime]:
    """The earliest instant of each tank at which something changes; a meter check concerns them all."""
    earliest: dict[int, datetime] = {}
    for row in rows:
        tanks: Iterable[int] = () if row.tank_id is None or row.kind in TIED_KINDS else (row.tank_id,)
        if row.kind == "meter":
            tanks = Tank.objects.values_list("pk", flat=True)
        for tank in tanks:
            earliest[tank] = min(row.at, earliest.get(tank, row.at))
    return earliest


def _tie(row: Entry, new: NewEntry, at_hand: PotsAtHand, who: str, brought: BroughtIn | None) -> None:
    """Give an entry its pot, and let it change the pot."""
    if row.voided_at is not None and new.pot is None:
        return
    try:
        if row.voided_at is None:
            new = at_hand.tie(new, row.day, lenient=brought is not None)
        row.pot_id, row.batch_id, row.tank_id, row.spot = new.pot, new.batch, new.tank, new.spot
        if row.voided_at is None:
            take_effect(row, at_hand, who)
    except HalfwaterError as error:
        if brought is None:
            raise
        brought.refused.append((row.uuid, error))


def _row(new: NewEntry, who: str, now: datetime, time_zone: str) -> Entry:
    return Entry(
        uuid=new.uuid,
        kind=new.kind,
        at=new.at,
        day=nursery_day(new.at, time_zone),
        tank_id=new.tank,
        value=new.value,
        second=new.second,
        to_line=new.to_line,
        word=new.word,
        text=new.text.strip(),
        typed=new.typed,
        mix_id=new.mix,
        batch_id=new.batch,
        spot=new.spot,
        photo=new.photo,
        corrects=new.corrects,
        pot_id=new.pot,
        third=new.third,
        who=who,
        noted_at=now,
    )


def _chunks(values: Sequence[Any]) -> Iterator[Sequence[Any]]:
    for start in range(0, len(values), _CHUNK):
        yield values[start : start + _CHUNK]
