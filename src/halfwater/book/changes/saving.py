"""How a row of reference data is saved: checked field by field, once, with who did it."""

from collections.abc import Collection, Mapping
from typing import Any

from django.db import IntegrityError, models, transaction

from halfwater.book.changes.checks import Check
from halfwater.book.models.kept import key_named
from halfwater.errors import RefusedByBook, RefusedInput


class Saved(int):
    """The key of a saved row, with the names of the fields that became different."""

    changed: frozenset[str]

    def __new__(cls, key: int, changed: Collection[str]) -> "Saved":
        """The key as an int, the changed fields beside it."""
        made = super().__new__(cls, key)
        made.changed = frozenset(changed)
        return made


def save_row(
    model: type[models.Model],
    key: int | None,
    fields: Mapping[str, Any],
    checks: Mapping[str, Check],
    needed: Collection[str],
    who: str,
) -> Saved:
    """Write `fields` to the row `key`, or a new row when it is None; an unchanged row is left alone."""
    noun = model._meta.model_name or ""
    unknown = set(fields) - set(checks)
    if unknown:
        raise TypeError(f"a {noun} has no {', '.join(sorted(unknown))}")
    row = model() if key is None else _standing(model, key, noun)
    if key is None:
        for name in needed:
            if fields.get(name) is None:
                raise RefusedInput(name, "", f"a new {noun} needs it")
    changed = _apply(row, fields, checks)
    if "name" in changed:
        _refuse_second(model, row, noun)
    if key is None or changed:
        row.changed_by = who  # type: ignore[attr-defined]
        _write(row, noun)
    return Saved(row.pk, changed)


def _standing(model: type[models.Model], key: int, noun: str) -> models.Model:
    row = model._default_manager.select_for_update().filter(pk=key).first()
    if row is None:
        raise RefusedInput(noun, key, f"the key of a {noun} in the book")
    return row


def _apply(row: models.Model, fields: Mapping[str, Any], checks: Mapping[str, Check]) -> set[str]:
    changed = set()
    for name, value in fields.items():
        clean = checks[name](name, value)
        column = row._meta.get_field(name).attname  # type: ignore[union-attr]
        if getattr(row, column) != clean:
            setattr(row, column, clean)
            changed.add(name)
    return changed


def _refuse_second(model: type[models.Model], row: models.Model, noun: str) -> None:
    name = row.name  # type: ignore[attr-defined]
    if key_named(model, name) not in (None, row.pk):
        raise RefusedInput("name", name, f"a name that no other {noun} has")


def _write(row: models.Model, noun: str) -> None:
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError as error:
        raise RefusedByBook(
            f"The {noun} was not saved: the book's own rules stand against it.", str(error)
        ) from error
