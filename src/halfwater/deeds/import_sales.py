"""Rows of the book of sales from files: as they are, and the photos of lines kept with the others."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from halfwater.book import changes
from halfwater.book.changes.tables import TableRow
from halfwater.deeds.csv_files import BadCell, CsvRow
from halfwater.deeds.import_entries import photo_file
from halfwater.deeds.sales_columns import LINES, SALES
from halfwater.errors import RefusedInput

Rows = Mapping[str, Sequence[tuple[CsvRow, dict[str, Any]]]]
Sales = dict[str, list[TableRow]]


def sales_tables(read: Rows, photos: Mapping[str, Path], keep: bool, bad: list[BadCell]) -> Sales:
    """The rows by table; a line's photo is kept in the book when `keep` is set and nothing is `bad`."""
    tables = {
        sheet.name: [TableRow(row.where, fields) for row, fields in read[sheet.name]] for sheet in SALES
    }
    tables[LINES.name] = with_photos(read[LINES.name], tables[LINES.name], photos, keep, bad)
    return tables


def with_photos(
    read: Sequence[tuple[CsvRow, dict[str, Any]]],
    rows: Sequence[TableRow],
    photos: Mapping[str, Path],
    keep: bool,
    bad: list[BadCell],
) -> list[TableRow]:
    """Rows with the names their photos have in the book, kept when `keep` is set and nothing is `bad`."""
    names: dict[str, str] = {}
    for row, cell in [(row, fields["photo"]) for row, fields in read if fields.get("photo")]:
        try:
            file = Path(photo_file(cell, photos[row.file]))
            names[row.where] = changes.keep_photo(file.read_bytes()) if keep and not bad else file.name[:100]
        except RefusedInput as error:
            bad.append(BadCell(row.file, row.row, "photo", cell, error.accepted))
    return [
        replace(row, fields={**row.fields, "photo": names[row.where]}) if row.where in names else row
        for row in rows
    ]
