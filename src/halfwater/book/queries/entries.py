"""Entries as they were noted."""

from collections.abc import Collection, Iterator
from datetime import date, datetime
from uuid import UUID

from django.db.models import QuerySet
from django.db.models.expressions import RawSQL

from halfwater.book.models import Entry
from halfwater.plain.entry import KIND_UNITS, EntryFact

# In plain SQL, for the ORM takes longer to write it than the book to answer it.
_NEWEST = """
SELECT (
  SELECT e.uuid FROM book_entry e
  WHERE e.tank_id = t.id AND e.kind = k.kind AND e.voided_at IS NULL
  ORDER BY e.at DESC, e.noted_at DESC LIMIT 1
) FROM book_tank t CROSS JOIN ({kinds}) k
"""
# In the order of the fields of EntryFact.
_COLUMNS = (
    "uuid",
    "kind",
    "at",
    "tank_id",
    "value",
    "second",
    "to_line",
    "word",
    "text",
    "typed",
    "mix_id",
    "batch_id",
    "spot",
    "photo",
    "corrects",
    "pot_id",
    "third",
    "day",
    "who",
    "noted_at",
    "voided_at",
    "voided_by",
    "void_reason",
    "tank__name",
    "mix__name",
)


def entries(
    tank: int | None = None,
    kinds: Collection[str] | None = None,
    since: datetime | None = None,
    until: datetime | None = None,
    include_void: bool = False,
    limit: int | None = None,
    newest_first: bool = True,
    skip: int = 0,
    pot: int | None = None,
) -> tuple[EntryFact, ...]:
    """Entries with `since <= at < until`, of one tank, pot or kind or all, less the first `skip`."""
    rows = Entry.objects.all()
    if pot is not None:
        rows = rows.filter(pot=pot)
    if tank is not None:
        rows = rows.filter(tank=tank)
    if kinds is not None:
        rows = rows.filter(kind__in=tuple(kinds))
    if since is not None:
        rows = rows.filter(at__gte=since)
    if until is not None:
        rows = rows.filter(at__lt=until)
    if not include_void:
        rows = rows.filter(voided_at__isnull=True)
    sign = "-" if newest_first else ""
    rows = rows.order_by(f"{sign}at", f"{sign}noted_at", "uuid")
    return tuple(_facts(rows[skip:] if limit is None else rows[skip : skip + limit]))


def entry(uuid: UUID) -> EntryFact | None:
    """One entry by its id, void or not; None when the book has no such entry."""
    return next(_facts(Entry.objects.filter(pk=uuid)), None)


def entry_days(tank: int, kinds: Collection[str], since: date) -> tuple[tuple[date, str], ...]:
    """The nursery days on which a tank has standing entries of these kinds, oldest first."""
    rows = Entry.objects.filter(tank=tank, kind__in=tuple(kinds), day__gte=since, voided_at__isnull=True)
    return tuple(rows.order_by("day", "kind").values_list("day", "kind").distinct())


def last_entries(kinds: Collection[str] | None = None) -> dict[tuple[int, str], EntryFact]:
    """The newest standing entry of each kind for each tank, by (tank, kind).

    One query: for each tank and kind the newest id is looked up in the index
    of standing entries, however many entries there are.
    """
    wanted = tuple(KIND_UNITS) if kinds is None else tuple(kinds)
    if not wanted:
        return {}
    kinds_sql = " UNION ALL ".join(["SELECT %s AS kind"] * len(wanted))
    rows = Entry.objects.filter(pk__in=RawSQL(_NEWEST.format(kinds=kinds_sql), wanted))
    return {(fact.tank, fact.kind): fact for fact in _facts(rows) if fact.tank is not None}


def sightings(since: datetime) -> tuple[EntryFact, ...]:
    """What was sighted at or after an instant, newest first."""
    rows = Entry.objects.filter(kind="sighting", at__gte=since, voided_at__isnull=True)
    return tuple(_facts(rows.order_by("-at", "-noted_at")))


def _facts(rows: QuerySet[Entry]) -> Iterator[EntryFact]:
    for *values, tank_name, mix_name in rows.values_list(*_COLUMNS):
        yield EntryFact(*values, tank_name or "", mix_name or "")
