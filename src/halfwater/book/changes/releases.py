"""Releases and their lines: written, opened, closed."""

from datetime import datetime
from typing import Any

from halfwater.book.changes import checks
from halfwater.book.changes.door import one_write
from halfwater.book.changes.lines_at_hand import FREE, free_holds, hold_lines
from halfwater.book.changes.sales_soundness import MONEY, instant_or_none
from halfwater.book.changes.saving import save_row
from halfwater.book.models import Hold, Line, OfferedPot, Release, Taxon
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.stock import GRADES

_RELEASE = {
    "name": checks.NAME,
    "opens_at": instant_or_none,
    "closes_at": instant_or_none,
    "note": checks.words("a note of at most 2000 signs", 2000),
}
_LINE = {
    "release": checks.key_of(Release, "release", none=False),
    "taxon": checks.key_of(Taxon, "taxon", none=False),
    "grade": checks.one_of(GRADES),
    "price_minor": MONEY,
    "limit_per_buyer": checks.whole("a whole number of plants from 1, or none", 1, 10_000, none=True),
    "text": checks.words("a text of at most 2000 signs", 2000),
    "photo": checks.words("a photo of the book", 100),
}


@one_write
def save_release(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a release (name, opens_at, closes_at, note), a new one when `key` is None, and give its key."""
    standing = (
        Release.objects.select_for_update(no_key=True).filter(pk=key).first() if key is not None else None
    )
    opens_at, closes_at = (
        instant_or_none(name, fields.get(name, getattr(standing, name, None)))
        for name in ("opens_at", "closes_at")
    )
    if opens_at is not None and closes_at is not None and closes_at <= opens_at:
        raise RefusedInput("closes_at", closes_at.isoformat(), "an instant later than the opening")
    if standing is not None and standing.state == "closed" and {"opens_at", "closes_at"} & set(fields):
        raise RefusedByBook(f"{standing.name} is closed: its instants stay as they are.", standing.name)
    return int(save_row(Release, key, fields, _RELEASE, ("name",), who))


@one_write
def save_line(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a line (release, taxon, grade, price_minor, limit_per_buyer, text, photo) and give its key.

    Raises
    ------
    RefusedByBook
        If the release has a line of this taxon and grade, is closed, or pots stand behind the line
        that is to become another.
    """
    standing = Line.objects.select_for_update(no_key=True).filter(pk=key).first() if key is not None else None
    if key is not None and standing is None:
        raise RefusedInput("line", key, "the key of a line in the book")
    meant = {
        name: fields.get(name, getattr(standing, column, None))
        for name, column in (("release", "release_id"), ("taxon", "taxon_id"), ("grade", "grade"))
    }
    release = Release.objects.filter(pk=meant["release"]).first()
    if release is not None and release.state == "closed":
        raise RefusedByBook(f"{release.name} is closed: its lines stay as they are.", release.name)
    twin = Line.objects.filter(**meant).exclude(pk=key).select_related("taxon", "release").first()
    if twin is not None:
        raise RefusedByBook(f"{twin.release} has a line of {twin.taxon}, {twin.grade} already.", str(twin.pk))
    if standing is not None and OfferedPot.objects.filter(line=standing).exists():
        before = {"release": standing.release_id, "taxon": standing.taxon_id, "grade": standing.grade}
        if meant != before:
            raise RefusedByBook(
                "Pots stand behind this line: its release, taxon and grade stay as they are.", str(key)
            )
    return int(save_row(Line, key, fields, _LINE, ("release", "taxon", "grade", "price_minor"), who))


@one_write
def open_release(key: int, *, who: str, now: datetime) -> None:
    """Open a release for orders: from its announced instant on, or at once where none is set.

    Raises
    ------
    RefusedByBook
        If no pot stands behind any of its lines, or it was closed before.
    """
    row = _held(key)
    if row.state == "open":
        return
    if row.state == "closed":
        raise RefusedByBook(f"{row.name} was closed before: make a new release.", row.name)
    if row.closes_at is not None and row.closes_at <= now:
        raise RefusedByBook(f"{row.name} would be closed already: set another closing.", row.name)
    if not OfferedPot.objects.filter(line__release=row, ended_at__isnull=True).exists():
        raise RefusedByBook(f"No pot stands behind a line of {row.name} yet.", row.name)
    row.state, row.opened_at = "open", now
    row.changed_by = who  # type: ignore[attr-defined]
    row.save()


@one_write
def close_release(key: int, *, who: str, now: datetime) -> None:
    """Close a release: its holds are let go, its free pots come off, its orders stay."""
    row = _held(key)
    if row.state == "closed":
        return
    lines = list(Line.objects.filter(release=row).values_list("pk", flat=True))
    hold_lines(lines, now)
    held = Hold.objects.filter(line__in=lines, state="held").values_list("pk", flat=True)
    free_holds(list(held), "let go", now)
    OfferedPot.objects.filter(FREE, line__in=lines).update(ended_at=now, ended_because="closed")
    row.state, row.closed_at = "closed", now
    row.changed_by = who  # type: ignore[attr-defined]
    row.save()


@one_write
def remove_line(key: int, *, who: str, now: datetime) -> None:
    """Take a line out of a release, with the free pots behind it; one that was ever ordered stays.

    Raises
    ------
    RefusedByBook
        If an order or a hold was made of it.
    """
    line = hold_lines((key,), now)[key].row
    if line.order_lines.exists() or line.holds.exists():
        raise RefusedByBook("This line was ordered or held: it stays in the book.", str(key))
    OfferedPot.objects.filter(line=line).delete()
    line.changed_by = who
    line.delete()


@one_write
def remove_release(key: int, *, who: str) -> None:
    """Take a release out of the book: one without lines."""
    row = _held(key)
    if row.lines.exists() or row.orders.exists():
        raise RefusedByBook(f"{row.name} has lines: remove them first.", row.name)
    row.changed_by = who  # type: ignore[attr-defined]
    row.delete()


def _held(key: int) -> Release:
    row = Release.objects.select_for_update(no_key=True).filter(pk=key).first()
    if row is None:
        raise RefusedInput("release", key, "the key of a release in the book")
    return row
