"""Rows of entries.csv, read by their kind as if typed one by one."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from math import inf
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, UUID, uuid5

from halfwater.book import changes, queries
from halfwater.book.changes.soundness import refuse_unsound
from halfwater.book.changes.tables import EntryRow
from halfwater.deeds.cells import read_quantity_once
from halfwater.deeds.clock import evening_of, read_at
from halfwater.deeds.csv_files import BadCell, CsvRow
from halfwater.deeds.note_values import LOW_WORDS, NoteSetting, NoteValue, read_value
from halfwater.errors import RefusedInput
from halfwater.plain.entry import KIND_UNITS, NewEntry
from halfwater.plain.nursery import NurseryFacts

_Read = tuple[CsvRow, dict[str, Any]]
_ROWS = uuid5(NAMESPACE_URL, "halfwater:entries.csv")
_PAIRS = {
    "air": ("temperature", "fraction"),
    "lamp": ("fraction", "hours"),
    "light": ("ppfd", "fraction"),
    "meter": ("ec", "ec"),
}
_COUNTED = ("loss", "sighting", "cut")  # how many or how much, and a word for what
_OWN_COLUMNS = (
    "second",
    "word",
    "tank",
    "mix",
    "batch",
    "number",
    "spot",
    "photo",
    "at",
)  # else the cell of the value
_BARE_NUMBER = re.compile(r"[^a-z%°\"'′″]*|[\d.,]+e[-+]?\d+|nan|[-+]?inf", re.IGNORECASE)
_BLANK = {"spray", "skip", "note", "move"}  # kinds whose value may be blank


@dataclass(frozen=True, slots=True)
class Known:
    """What entries may refer to: settings, and the names that the book has or the files bring."""

    nursery: NurseryFacts
    now: datetime
    photos: Mapping[str, Path]  # folder of photos beside each file
    rims_mm: Mapping[str, float]  # height of each tank, by its name in small letters
    mixes: frozenset[str]
    batches: frozenset[str]

    @classmethod
    def of(
        cls,
        read: Mapping[str, Sequence[_Read]],
        nursery: NurseryFacts,
        now: datetime,
        photos: Mapping[str, Path],
    ) -> "Known":
        """What the book and the rows of the other files know together."""
        rims_mm = {tank.name.casefold(): tank.height_mm for tank in queries.tanks(in_use=None)}
        for _, fields in read["tanks"]:
            name = _name(fields)
            rims_mm[name] = fields.get("height_mm", rims_mm.get(name, inf))
        mixes = {mix.name.casefold() for mix in queries.mixes()} | {
            _name(fields) for _, fields in read["mixes"]
        }
        batches = {batch.name.casefold() for batch in queries.batches()}
        batches |= {_name(fields) for _, fields in read["batches"]}
        batches |= {str(fields.get("batch", "")).casefold() for _, fields in read["standing"]}
        return cls(nursery, now, photos, rims_mm, frozenset(mixes), frozenset(batches))


def _name(fields: Mapping[str, Any]) -> str:
    return str(fields.get("name", "")).casefold()


def entry_rows(rows: Sequence[_Read], known: Known, bad: list[BadCell]) -> list[EntryRow]:
    """The entries of the rows; what cannot be used, or comes twice, is added to `bad`."""
    found: list[EntryRow] = []
    by_id: dict[UUID, CsvRow] = {}
    by_content: dict[UUID, CsvRow] = {}
    for row, fields in rows:
        entry_row = _entry_row(row, fields, known, bad)
        if entry_row is None:
            continue
        content = _content_id(entry_row, _said_at(fields["at"], entry_row, known.nursery))
        if entry_row.entry.uuid in by_id:
            bad.append(
                twice(
                    row,
                    by_id[entry_row.entry.uuid],
                    "uuid" if "uuid" in fields else "",
                    fields.get("uuid", ""),
                )
            )
        elif not entry_row.voided_because and content in by_content:
            bad.append(twice(row, by_content[content], "", ""))
        by_id.setdefault(entry_row.entry.uuid, row)
        if not entry_row.voided_because:
            by_content.setdefault(content, row)
        found.append(entry_row)
    return found


def keep_photos(rows: Sequence[EntryRow], bad: list[BadCell]) -> list[EntryRow]:
    """The rows with their photos kept in the book; a file that is no photo is added to `bad`."""
    kept = []
    for row in rows:
        if row.entry.photo:
            try:
                name = changes.keep_photo(Path(row.entry.photo).read_bytes())
                row = replace(row, entry=replace(row.entry, photo=name))
            except RefusedInput as error:
                file, _, number = row.where.rpartition(" row ")
                bad.append(BadCell(file, int(number), "photo", Path(row.entry.photo).name, error.accepted))
        kept.append(row)
    return kept


def name_photos(rows: Sequence[EntryRow]) -> list[EntryRow]:
    """The rows with the names of their photos alone, for a check that keeps none."""
    return [replace(row, entry=replace(row.entry, photo=Path(row.entry.photo).name)) for row in rows]


def twice(row: CsvRow, first: CsvRow, column: str, value: str) -> BadCell:
    """The refusal of a row that says again what an earlier one said."""
    place = f"row {first.row}" if first.file == row.file else first.where
    return BadCell(row.file, row.row, column, value, f"it comes twice, the first time in {place}: once only")


def _entry_row(row: CsvRow, fields: dict[str, Any], known: Known, bad: list[BadCell]) -> EntryRow | None:
    before = len(bad)
    kind = str(fields.get("kind", "")).lower()
    if kind and kind not in KIND_UNITS:
        bad.append(BadCell(row.file, row.row, "kind", kind, f"one of {', '.join(KIND_UNITS)}"))
        kind = ""
    at = _tried(row, "at", bad, lambda: read_at(fields.get("at", ""), known.nursery, known.now))
    value = _tried(row, "value", bad, lambda: _value(kind, fields, known.nursery)) if kind else None
    uuid = _tried(row, "uuid", bad, lambda: _read_id(fields.get("uuid", ""), "uuid"))
    corrects = _tried(row, "corrects", bad, lambda: _read_id(fields.get("corrects", ""), "corrects"))
    photo = _tried(row, "photo", bad, lambda: photo_file(fields.get("photo", ""), known.photos[row.file]))
    _check_names(row, fields, known, bad)
    if len(bad) > before or "at" not in fields:
        return None
    entry = NewEntry(
        uuid=uuid or UUID(int=0),
        kind=kind,
        at=at,
        tank=None,
        value=value.value,
        second=value.second,
        third=fields.get("third", value.third),
        to_line=value.to_line,
        word=value.word or str(fields.get("word", "")).lower(),
        text="\n".join(part for part in (value.text, fields.get("text", "")) if part),
        typed=_with_unit(fields.get("value", ""), fields.get("unit", ""))[:80],
        spot=fields.get("spot", "").upper() or value.spot,
        photo=photo,
        corrects=corrects,
    )
    _tried(row, "value", bad, lambda: _refuse_unsound(entry, fields.get("tank", ""), known))
    return None if len(bad) > before else _named_entry(row, fields, entry, uuid, known)


def _named_entry(
    row: CsvRow, fields: dict[str, Any], entry: NewEntry, uuid: UUID | None, known: Known
) -> EntryRow:
    """The entry with the names it is tied to, under its own id or one made of what it says."""
    names = {name: fields.get(name, "") for name in ("tank", "mix", "batch", "who")}
    names["voided_because"] = fields.get("void", "")
    made = EntryRow(row.where, entry, number=fields.get("number"), **names)
    if uuid is not None:
        return made
    said_at = _said_at(fields["at"], made, known.nursery)
    return replace(made, entry=replace(entry, uuid=_content_id(made, said_at)))


def _check_names(row: CsvRow, fields: dict[str, Any], known: Known, bad: list[BadCell]) -> None:
    """Add to `bad` every name that neither the book nor the files know."""
    if "number" in fields and "batch" not in fields:
        bad.append(BadCell(row.file, row.row, "batch", "", "the batch in which the pot has this number"))
    for column, names in (("tank", known.rims_mm), ("mix", known.mixes), ("batch", known.batches)):
        name = fields.get(column, "")
        if name and name.casefold() not in names:
            listed = ", ".join(sorted(names)[:20])
            bad.append(
                BadCell(
                    row.file, row.row, column, name, f"one of {listed}" if names else f"no {column} is known"
                )
            )


def _refuse_unsound(entry: NewEntry, tank: str, known: Known) -> None:
    """Hold an entry to what the book takes, before it has the key of its tank."""
    stand_in = 0
    rims_mm = {stand_in: known.rims_mm[tank.casefold()]} if tank else {}
    short = replace(entry, tank=stand_in if tank else None, photo="" if not entry.photo else "photo")
    refuse_unsound(short, known.now, rims_mm)


def _tried(row: CsvRow, column: str, bad: list[BadCell], read: Any) -> Any:
    try:
        return read()
    except RefusedInput as error:
        where = "note" if error.field == "text" else error.field if error.field in _OWN_COLUMNS else column
        bad.append(BadCell(row.file, row.row, where, row.cells.get(where, ""), error.accepted))
        return None


def _value(kind: str, fields: dict[str, Any], nursery: NurseryFacts) -> NoteValue:
    """The value of a row in the house unit of its kind."""
    cell = _with_unit(fields.get("value", ""), fields.get("unit", ""))
    if kind in _PAIRS and ("second" in fields or not cell):
        return _pair(kind, cell, fields, nursery)
    if kind == "state" and not cell and "word" in fields:
        return read_value(kind, fields["word"], NoteSetting(nursery.units, None, None))
    if kind == "work" and "word" in fields:
        return read_value(kind, cell, NoteSetting(nursery.units, None, None, fields["word"]))
    if kind in _COUNTED and "word" in fields:
        counted = read_quantity_once(cell, "count", nursery.units, "value") if cell else None
        return NoteValue(value=counted, word=fields["word"].lower())
    if not cell and kind not in _BLANK:
        raise RefusedInput("value", "", _wanted(kind))
    return read_value(kind, cell, NoteSetting(nursery.units, None, None))


def _with_unit(cell: str, unit: str) -> str:
    """The value with its unit, from the cell beside it or in the cell itself; both, if they are the same."""
    number = cell[: -len(unit)].rstrip() if unit and cell.casefold().endswith(unit.casefold()) else ""
    if not unit or " ".join(cell.lower().split()) in LOW_WORDS[1:] or (number and not number[-1].isalpha()):
        return cell
    if cell and not _BARE_NUMBER.fullmatch(cell):
        raise RefusedInput("value", cell, "its unit once, in the cell or in the column unit")
    return f"{cell} {unit}".strip()


def _pair(kind: str, cell: str, fields: dict[str, Any], nursery: NurseryFacts) -> NoteValue:
    first, second = _PAIRS[kind]
    if not cell and "second" not in fields:
        raise RefusedInput("value", "", _wanted(kind))
    value = read_quantity_once(cell, first, nursery.units, "value") if cell else None
    beside = (
        read_quantity_once(fields["second"], second, nursery.units, "second") if "second" in fields else None
    )
    return NoteValue(value=value, second=beside)


def _wanted(kind: str) -> str:
    try:
        read_value(kind, "?", NoteSetting("metric", None, None))
    except RefusedInput as error:
        return error.accepted
    return "a value"


def _read_id(cell: str, column: str) -> UUID | None:
    if not cell:
        return None
    try:
        return UUID(cell)
    except ValueError:
        raise RefusedInput(
            column, cell, "an id such as 123e4567-e89b-42d3-a456-426614174000, or blank"
        ) from None


def photo_file(cell: str, folder: Path) -> str:
    """The file of a photo, which lies in the folder beside the table; blank for none."""
    if not cell:
        return ""
    file = (folder / cell).resolve()
    if not file.is_relative_to(folder.resolve()) or not file.is_file():
        raise RefusedInput("photo", cell, "a file in the folder photos beside this file")
    return str(file)


def _said_at(cell: str, row: EntryRow, nursery: NurseryFacts) -> datetime:
    """The instant a row says: the evening for a date alone, though until then it is read as now."""
    try:
        return evening_of(date.fromisoformat(cell), nursery)
    except ValueError:
        return row.entry.at


def _content_id(row: EntryRow, at: datetime) -> UUID:
    """The same for two rows that say the same, so that a file brought in twice is kept once."""
    entry = row.entry
    said = (
        entry.kind, at.astimezone(UTC).isoformat(), row.tank.casefold(), entry.value, entry.second,
        entry.to_line, entry.word, entry.spot, row.batch.casefold(),
    )  # fmt: skip
    words = (entry.text, Path(entry.photo).name) if entry.kind in ("note", "sighting") else ()
    pot = () if row.number is None else (row.number,)
    return uuid5(_ROWS, repr(said + words + pot))
