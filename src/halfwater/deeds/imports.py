"""Bringing files into the book: all of it, or nothing with every bad cell named."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from halfwater.book import changes, queries
from halfwater.book.changes.tables import TableRow, Tables, TablesDone
from halfwater.deeds import columns
from halfwater.deeds.clock import local_day
from halfwater.deeds.columns import Column, Sheet
from halfwater.deeds.csv_files import BadCell, CsvFile, CsvRow, RefusedTable, read_csv_file
from halfwater.deeds.import_entries import Known, entry_rows, keep_photos, name_photos, twice
from halfwater.deeds.import_sales import sales_tables, with_photos
from halfwater.deeds.import_standing import standing_tables
from halfwater.deeds.import_tanks import tank_tables
from halfwater.deeds.mix_sheet import label_fault
from halfwater.deeds.packing_columns import ARRIVALS, MONEY, PACKING
from halfwater.deeds.salt_label import label_of_salt
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.nursery import NurseryFacts

__all__ = ["Imported", "RefusedTable", "import_files", "import_help"]


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import brought, or would bring when it was only checked."""

    checked_only: bool
    files: tuple[tuple[str, str, int], ...]  # file, what its rows are, how many
    tanks_new: int
    tanks_changed: int
    entries_new: int
    entries_kept: int  # stood in the book already
    other_new: dict[str, int]  # feeds, mixes, pots ... by noun
    other_changed: dict[str, int]


def import_files(paths: Sequence[Path], check: bool, who: str, now: datetime) -> Imported:
    """Bring CSV files into the book; with `check` everything is tried and nothing kept.

    Raises
    ------
    RefusedTable
        If any cell cannot be used; `cells` names each by file, row and column.
    RefusedInput
        If a file cannot be opened, or none is given.
    """
    if not paths:
        raise RefusedInput("file", "", "at least one file such as tanks.csv or entries.csv")
    bad: list[BadCell] = []
    files = [file for path in paths if (file := read_csv_file(Path(path), bad)) is not None]
    nursery = _nursery_of(files, bad)
    tables = _tables(files, nursery, now, check, bad)
    if not bad and not check:
        tables = replace(tables, entries=keep_photos(tables.entries, bad))
    if bad:
        raise RefusedTable(bad)
    if check:
        tables = replace(tables, entries=name_photos(tables.entries))
    done = changes.import_tables(tables, who, now, check=check)
    if done.refused:
        raise RefusedTable([_bad_cell(error) for error in done.refused])
    return _imported(files, done, check)


def import_help() -> str:
    """Every file and column an import takes, as text for the command's help."""
    blocks = []
    for sheet in columns.SHEETS:
        lines = [
            f"  {column.name}{' (needed)' if column.needed else ''}: {column.meaning}; {column.kind.accepted}"
            for column in sheet.columns
        ]
        blocks.append("\n".join([f"{sheet.name}.csv", *lines]))
    return "\n\n".join(blocks)


def _nursery_of(files: Sequence[CsvFile], bad: list[BadCell]) -> NurseryFacts:
    """The settings the files are read by: those of the book, or of a nursery.csv among the files."""
    nursery = queries.nursery()
    for row in _rows(files, columns.NURSERY):
        nursery = replace(nursery, **read_row(row, columns.NURSERY, nursery, bad))
    return nursery


def _tables(
    files: Sequence[CsvFile], nursery: NurseryFacts, now: datetime, check: bool, bad: list[BadCell]
) -> Tables:
    read = {sheet.name: _read_rows(files, sheet, nursery, bad) for sheet in columns.SHEETS}
    tanks = tank_tables(read["tanks"], read["pots"], nursery, now, bad)
    known = {batch.name.casefold(): batch.taxon_name for batch in queries.batches()}
    stock = standing_tables(read["standing"], read["batches"], known, local_day(now, nursery), bad)
    photos = {file.path.name: file.path.parent / "photos" for file in files}
    return Tables(
        nursery=_settings(read["nursery"]),
        feeds=_labelled(_once(read["feeds"], bad), read["feeds"], bad),
        waters=_once(read["waters"], bad),
        targets=_once(read["targets"], bad),
        mixes=_mixes(read["mixes"], bad),
        taxa=_taxa(read["taxa"], bad),
        pots=[*_once(read["pots"], bad), *tanks.pots],
        lamps=[*_once(read["lamps"], bad), *tanks.lamps],
        tanks=_once(tanks.tanks, bad),
        batches=[*_without_lineage(_once(read["batches"], bad)), *stock.batches],
        spots=[_spot(row) for row in read["spots"]],
        standing=stock.pots,
        lineage=stock.lineage,
        prices=_settings(read["prices"]),
        habit=_settings(read["habit"]),
        forecasts=_settings(read["forecasts"]),
        entries=entry_rows(read["entries"], Known.of(read, nursery, now, photos), bad),
        sales=sales_tables(read, photos, not check, bad),
        packing=_packing(read, photos, not check, bad),
        money={sheet.name: _settings(read[sheet.name]) for sheet in MONEY},
    )


def _rows(files: Sequence[CsvFile], sheet: Sheet) -> list[CsvRow]:
    return [row for file in files if file.sheet is sheet for row in file.rows]


def _read_rows(
    files: Sequence[CsvFile], sheet: Sheet, nursery: NurseryFacts, bad: list[BadCell]
) -> list[tuple[CsvRow, dict[str, Any]]]:
    return [(row, read_row(row, sheet, nursery, bad)) for row in _rows(files, sheet)]


def read_row(row: CsvRow, sheet: Sheet, nursery: NurseryFacts, bad: list[BadCell]) -> dict[str, Any]:
    """The fields of a row; a cell that cannot be used is added to `bad` and left out."""
    fields: dict[str, Any] = {}
    for column in sheet.columns:
        cell = row.cells.get(column.name)
        if cell is None:
            if column.needed:
                bad.append(
                    BadCell(row.file, row.row, column.name, "", f"a cell is needed, {_example(column)}")
                )
            continue
        try:
            fields[column.field] = column.kind.read(cell, column.name, nursery)
        except RefusedInput as error:
            bad.append(BadCell(row.file, row.row, column.name, cell, error.accepted))
    return fields


def _example(column: Column) -> str:
    return (
        f"such as {column.kind.accepted}"
        if not column.kind.accepted.startswith(("a ", "one of"))
        else column.kind.accepted
    )


def _once(rows: Sequence[tuple[CsvRow, dict[str, Any]]], bad: list[BadCell]) -> list[TableRow]:
    """Rows with names, each name once; a name that comes twice is refused with both its rows."""
    seen: dict[str, CsvRow] = {}
    for row, fields in rows:
        name = str(fields.get("name", "")).casefold()
        if name and name in seen:
            bad.append(twice(row, seen[name], "name", fields["name"]))
        seen.setdefault(name, row)
    return [TableRow(row.where, fields) for row, fields in rows]


def _labelled(
    feeds: list[TableRow], rows: Sequence[tuple[CsvRow, dict[str, Any]]], bad: list[BadCell]
) -> list[TableRow]:
    """The feeds, a salt with what its formula makes of it, once what no label can say has been refused."""
    for row, fields in rows:
        if fields.get("formula"):
            _read_formula(row, fields, bad)
        fault = label_fault(fields)
        if fault is not None:
            column, accepted = fault
            bad.append(BadCell(row.file, row.row, column, row.cells.get(column, ""), accepted))
    return feeds


def _read_formula(row: CsvRow, fields: dict[str, Any], bad: list[BadCell]) -> None:
    """Give a salt the label that follows from its formula."""
    try:
        fields |= label_of_salt(fields["formula"], fields.get("purity_frac", 1.0))
    except RefusedInput as error:
        bad.append(BadCell(row.file, row.row, "formula", fields["formula"], error.accepted))


def _settings(rows: Sequence[tuple[CsvRow, dict[str, Any]]]) -> list[TableRow]:
    return [TableRow(row.where, fields) for row, fields in rows]


def _without_lineage(rows: Sequence[TableRow]) -> list[TableRow]:
    """Batches as they are written first; who was cut from whom is written once all pots are there."""
    return [
        TableRow(row.where, {name: value for name, value in row.fields.items() if name != "lineage"})
        for row in rows
    ]


def _mixes(rows: Sequence[tuple[CsvRow, dict[str, Any]]], bad: list[BadCell]) -> list[TableRow]:
    mixes: dict[str, TableRow] = {}
    for row, fields in rows:
        feed, dose = fields.get("feed"), fields.get("dose")
        if (feed is None) != (dose is None):
            column = "dose" if dose is None else "feed"
            bad.append(BadCell(row.file, row.row, column, "", "a feed and its dose go together"))
        head = {name: value for name, value in fields.items() if name not in ("feed", "dose")}
        mix = mixes.setdefault(
            str(fields.get("name", "")).casefold(), TableRow(row.where, {**head, "parts": []})
        )
        if feed is not None and dose is not None:
            if any(part["feed"].casefold() == feed.casefold() for part in mix.fields["parts"]):
                bad.append(BadCell(row.file, row.row, "feed", feed, "each feed once in a mix"))
            mix.fields["parts"].append({"feed": feed, **dose})
    return list(mixes.values())


def _taxa(rows: Sequence[tuple[CsvRow, dict[str, Any]]], bad: list[BadCell]) -> list[TableRow]:
    taxa: dict[str, TableRow] = {}
    for row, fields in rows:
        head = {name: fields[name] for name in ("name", "group", "care") if name in fields}
        taxon = taxa.setdefault(str(fields.get("name", "")).casefold(), TableRow(row.where, head))
        value = [fields.get(name) for name in ("quantity", "mean", "low", "high", "tag", "source")]
        if None not in value:
            taxon.fields.setdefault("priors", []).append(columns.prior(*value))  # type: ignore[attr-defined]
        elif any(one is not None for one in value):
            bad.append(
                BadCell(
                    row.file, row.row, "quantity", "", "quantity, mean, low, high, tag and source go together"
                )
            )
    return list(taxa.values())


def _packing(
    read: Mapping[str, Sequence[tuple[CsvRow, dict[str, Any]]]],
    photos: Mapping[str, Path],
    keep: bool,
    bad: list[BadCell],
) -> dict[str, list[TableRow]]:
    tables = {sheet.name: _settings(read[sheet.name]) for sheet in PACKING}
    came = ARRIVALS.name
    return tables | {came: with_photos(read[came], tables[came], photos, keep, bad)}


def _spot(row_and_fields: tuple[CsvRow, dict[str, Any]]) -> TableRow:
    row, fields = row_and_fields
    blank = {"tank": "", "name": "", "batch": "", "state": "", "leaves": None}
    return TableRow(row.where, blank | fields)


def _bad_cell(error: HalfwaterError) -> BadCell:
    where = error.where if isinstance(error, RefusedInput) else getattr(error, "against", "")
    file, _, row = where.rpartition(" row ")
    if not isinstance(error, RefusedInput):
        said = str(error).rstrip(".")
        return BadCell(file, int(row), "", "", said) if row.isdigit() else BadCell("book", 0, "", "", said)
    sheet = next((sheet for sheet in columns.SHEETS if f"{sheet.name}.csv" == file), None)
    value = error.value if isinstance(error.value, str) else repr(error.value)
    return BadCell(
        file, int(row or 0), sheet.column_of(error.field) if sheet else error.field, value, error.accepted
    )


def _imported(files: Sequence[CsvFile], done: TablesDone, check: bool) -> Imported:
    return Imported(
        checked_only=check,
        files=tuple((file.path.name, file.sheet.name, len(file.rows)) for file in files),
        tanks_new=done.new.get("tank", 0),
        tanks_changed=done.changed.get("tank", 0),
        entries_new=len(done.noted.new),
        entries_kept=len(done.noted.kept) + len(done.noted.void),
        other_new={noun: count for noun, count in done.new.items() if noun != "tank"},
        other_changed={noun: count for noun, count in done.changed.items() if noun != "tank"},
    )
