"""Buyers: found by their contact, kept to what is needed, erased on request."""

import unicodedata
from datetime import datetime
from typing import Any

from django.db import connection

from halfwater.book.changes import checks
from halfwater.book.changes.door import one_write
from halfwater.book.changes.lines_at_hand import free_holds, hold_lines
from halfwater.book.models import Buyer, Hold, Order
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.selling import NewBuyer

_WORDS = {
    "name": checks.words("a name of 1 to 120 signs", 120),
    "contact": checks.words("a contact of at most 200 signs", 200),
    "address": checks.words("an address of at most 1000 signs", 1000),
    "place": checks.words("a place of at most 80 signs", 80),
}
_CLEAR = ("name", "contact", "address", "place")
_ON_ITS_WAY = ("placed", "paid", "packed")


def contact_mark(contact: str) -> str:
    """A contact as it is compared: one spelling, no capitals, no spaces."""
    return "".join(unicodedata.normalize("NFKC", contact).casefold().split())


def sound_buyer(new: NewBuyer) -> dict[str, Any]:
    """The buyer's words, clean; a buyer the book does not know yet needs a name or a contact."""
    clean = {name: check(name, getattr(new, name)) for name, check in _WORDS.items()}
    if new.key is None and not clean["name"] and not clean["contact"]:
        raise RefusedInput("buyer", "", "a name or a contact")
    return clean | {"contact_mark": contact_mark(clean["contact"]) or None}


def hold_buyer(new: NewBuyer) -> Buyer:
    """The buyer's row, found or new, held until the write ends; one found is brought up to date."""
    if new.key is not None:
        return _known(new.key)
    row = Buyer(**sound_buyer(new))
    if row.contact_mark is None:
        row.save()
        return row
    # One statement: of two writers who bring the same buyer at once the second finds the first's row.
    (row,) = Buyer.objects.bulk_create(
        [row],
        update_conflicts=True,
        unique_fields=("contact_mark",),
        update_fields=[name for name in _CLEAR if getattr(row, name)],
    )
    is_told_whole = all(getattr(row, name) for name in _CLEAR)
    return row if is_told_whole else Buyer.objects.get(pk=row.pk)


def _known(key: int) -> Buyer:
    row = Buyer.objects.select_for_update(no_key=True).filter(pk=key).first()
    if row is None:
        raise RefusedInput("buyer", key, "the key of a buyer in the book")
    if row.erased_at is not None:
        raise RefusedByBook(f"Buyer {key} was erased on {row.erased_at:%Y-%m-%d}.", str(key))
    return row


@one_write
def save_buyer(key: int | None = None, *, who: str, now: datetime, **fields: Any) -> int:
    """Write a buyer's name, contact, address and place, a new one when `key` is None, and give the key.

    Raises
    ------
    RefusedByBook
        If another buyer has the contact, or the buyer was erased.
    """
    unknown = set(fields) - set(_WORDS)
    if unknown:
        raise TypeError(f"a buyer has no {', '.join(sorted(unknown))}")
    standing = Buyer() if key is None else _known(key)
    clean = sound_buyer(NewBuyer(**{name: fields.get(name, getattr(standing, name)) for name in _CLEAR}))
    other = Buyer.objects.filter(contact_mark=clean["contact_mark"]).exclude(pk=key).first()
    if clean["contact_mark"] is not None and other is not None:
        raise RefusedByBook(f"Buyer {other.name or other.pk} has this contact already.", str(other.pk))
    for name, value in clean.items():
        setattr(standing, name, value)
    standing.save()
    return standing.pk


def erase_buyer(key: int, *, who: str, now: datetime) -> None:
    """Blank a buyer's words wherever they stand, their orders' notes too; numbers and money stay.

    Backups made before keep them until they are thrown away.

    Raises
    ------
    RefusedByBook
        If an order of theirs is not sent yet: without the address it could not be.
    """
    if connection.vendor == "sqlite" and not connection.in_atomic_block:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA secure_delete=ON")
    _erase(key, who=who, now=now)
    if connection.vendor == "sqlite" and not connection.in_atomic_block:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")


@one_write
def _erase(key: int, *, who: str, now: datetime) -> None:
    buyer = Buyer.objects.select_for_update(no_key=True).filter(pk=key).first()
    if buyer is None:
        raise RefusedInput("buyer", key, "the key of a buyer in the book")
    held = Hold.objects.filter(buyer=key, state="held")
    hold_lines(held.values_list("line", flat=True), now)
    orders = Order.objects.filter(buyer=key)
    waiting = orders.filter(state__in=_ON_ITS_WAY).order_by("number").first()
    if waiting is not None:
        raise RefusedByBook(
            f"Order {waiting.number} of this buyer is not sent yet: send or cancel it first.",
            str(waiting.number),
        )
    free_holds(list(held.values_list("pk", flat=True)), "let go", now)
    Buyer.objects.filter(pk=key).update(
        name="", contact="", contact_mark=None, address="", place="", erased_at=buyer.erased_at or now
    )
    orders.update(note="", cancel_reason="", place_notes=[], digest="")
