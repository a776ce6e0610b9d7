"""Rows of tables on their way in: where each stood, what became of it, and who is meant by a name."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import models, transaction

from halfwater.book.models import Batch, Feed, Lamp, Mix, Pot, Tank, Target, Taxon, Water
from halfwater.book.models.kept import key_named
from halfwater.errors import HalfwaterError, RefusedByBook, RefusedInput
from halfwater.plain.entry import Noted


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row of a table: where it stood, and its fields, other rows named by their names."""

    where: str  # such as "tanks.csv row 3"
    fields: Mapping[str, Any]


@dataclass(slots=True)
class TablesDone:
    """What became of tables: rows new, rows that changed something, and what was refused."""

    new: dict[str, int] = field(default_factory=dict)
    changed: dict[str, int] = field(default_factory=dict)
    noted: Noted = field(default_factory=Noted)
    refused: list[HalfwaterError] = field(default_factory=list)
    unwritten: set[tuple[str, str]] = field(default_factory=set)  # noun and name of rows that were refused

    def drop_consequences(self) -> None:
        """Leave out refusals of a name that is unknown only because its own row was refused."""
        self.refused = [error for error in self.refused if not self._is_consequence(error)]

    def _is_consequence(self, error: HalfwaterError) -> bool:
        if not isinstance(error, RefusedInput) or not isinstance(error.value, str):
            return False
        noun = "batch" if error.field == "lineage" else error.field
        return (noun, error.value.partition(" #")[0].strip().casefold()) in self.unwritten


MODELS: dict[str, type[models.Model]] = {
    "pot": Pot,
    "lamp": Lamp,
    "feed": Feed,
    "water": Water,
    "target": Target,
    "mix": Mix,
    "night_mix": Mix,
    "morning_mix": Mix,
    "taxon": Taxon,
    "batch": Batch,
    "tank": Tank,
}


def one(done: TablesDone, row: TableRow, save: Callable[[Any], Any]) -> Any:
    """Save one row; a refusal is put aside with where the row stood."""
    try:
        with transaction.atomic():
            return save(row.fields)
    except HalfwaterError as error:
        done.refused.append(placed(error, row.where))
    return None


def placed(error: HalfwaterError, where: str) -> HalfwaterError:
    """A refusal that says where the row stood."""
    if isinstance(error, RefusedInput) and not error.where:
        return RefusedInput(error.field, error.value, error.accepted, where)
    if isinstance(error, RefusedByBook):
        return RefusedByBook(error.sentence, where)
    return error


def with_keys(fields: Mapping[str, Any]) -> dict[str, Any]:
    """The fields with keys where they name rows."""
    return {
        name: key_meant(name, value) if name in MODELS and isinstance(value, str) else value
        for name, value in fields.items()
    }


def key_meant(noun: str, name: str) -> int | None:
    """The key of what a name means; None for a blank one. An unknown name is refused."""
    if not name.strip():
        return None
    model = MODELS[noun]
    key = key_named(model, name)
    if key is None:
        names = model._default_manager.order_by("name").values_list("name", flat=True)[:20]
        known = ", ".join(f"“{known}”" if "," in known else known for known in names)
        another = "; a new one comes in by taxa.csv" if noun == "taxon" else ""
        accepted = f"one of {known}" if known else "none is in the book or the files yet"
        raise RefusedInput(noun, name, f"{accepted}{another}")
    return key
