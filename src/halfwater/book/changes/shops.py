"""Web shops' columns, and the keys of programs."""

import secrets
from collections.abc import Mapping
from datetime import date, datetime

from halfwater.book.changes import checks
from halfwater.book.changes.door import one_write
from halfwater.book.models import ApiKey, ShopColumns
from halfwater.book.models.kept import key_named
from halfwater.book.queries.selling import secret_digest
from halfwater.errors import RefusedByBook, RefusedInput

_WORD = checks.words("a word of 1 to 200 signs", 200, needed=True)
_MOST_WORDS = 1000


@one_write
def save_shop_columns(
    name: str, columns: Mapping[str, str], lines: Mapping[str, str] | None = None, *, who: str
) -> int:
    """Remember what the columns of a shop's file mean, and its articles; the shop is known by its name."""
    clean = checks.NAME("name", name)
    key = key_named(ShopColumns, clean)
    row = ShopColumns(name=clean) if key is None else ShopColumns.objects.select_for_update().get(pk=key)
    row.columns = _words("columns", columns)
    if lines is not None:
        row.lines = _words("lines", lines)
    row.changed_by = who
    row.save()
    return row.pk


@one_write
def make_api_key(name: str, *, who: str, now: datetime) -> tuple[int, str]:
    """Make a key for a program and give it with its secret, which is told this once and not kept.

    Raises
    ------
    RefusedByBook
        If a key of this name is in use.
    """
    clean = checks.NAME("name", name)
    if ApiKey.objects.filter(name__iexact=clean, revoked_at__isnull=True).exists():
        raise RefusedByBook(f"A key called {clean} is in use: revoke it, or take another name.", clean)
    secret = f"hw_{secrets.token_urlsafe(32)}"
    row = ApiKey.objects.create(name=clean, digest=secret_digest(secret), made_at=now)
    return row.pk, secret


@one_write
def revoke_api_key(key: int, *, who: str, now: datetime) -> None:
    """Let a key open nothing any more."""
    row = ApiKey.objects.select_for_update().filter(pk=key).first()
    if row is None:
        raise RefusedInput("key", key, "the key of a program in the book")
    row.revoked_at = row.revoked_at or now
    row.save(update_fields=("revoked_at",))


def note_key_used(key: int, on: date) -> None:
    """Note the day a program came last: one write a day."""
    rows = ApiKey.objects.filter(pk=key).exclude(last_used_on=on)
    if rows.exists():
        _note_used(key, on)


@one_write
def _note_used(key: int, on: date) -> None:
    ApiKey.objects.filter(pk=key).update(last_used_on=on)


def _words(field: str, words: Mapping[str, str]) -> dict[str, str]:
    if not isinstance(words, Mapping) or len(words) > _MOST_WORDS:
        raise RefusedInput(field, str(words), f"at most {_MOST_WORDS} words, each with what it means")
    return {_WORD(field, name): _WORD(field, value) for name, value in words.items()}
