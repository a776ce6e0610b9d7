"""CSV files: text in, rows out, with every cell named by file, row and column."""

import csv
import re
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

from halfwater.deeds.columns import SHEETS, Sheet
from halfwater.errors import RefusedInput, in_short

_NO_UTF8 = "it has a sign that is not in UTF-8: save the sheet as “CSV UTF-8”"
MOST_BYTES = 100_000_000
_MOST_NAMED = 20
_HEADERS = (
    "a header as in tanks.csv (name,length,width,height,…) or entries.csv (at,tank,kind,value,unit,note)"
)


@dataclass(frozen=True, slots=True)
class BadCell:
    """One cell that cannot be used."""

    file: str
    row: int  # as a spreadsheet counts: the header is row 1
    column: str  # empty when the whole row is meant
    value: str
    accepted: str

    @property
    def sentence(self) -> str:
        """Where it stands and what would be accepted."""
        where = f"{self.file} row {self.row}" + (f", column {self.column}" if self.column else "")
        return (
            f"{where}: “{in_short(self.value)}” cannot be used, {self.accepted}"
            if self.value
            else f"{where}: {self.accepted}"
        )


class RefusedTable(RefusedInput):
    """Files that cannot be used: nothing of them was written. `cells` names every bad cell."""

    def __init__(self, cells: list[BadCell]) -> None:
        self.cells = tuple(cells)
        super().__init__("import", "", "; ".join(cell.sentence for cell in cells))

    @property
    def sentence(self) -> str:
        """Every bad cell, or the first twenty and how many more."""
        named = "; ".join(cell.sentence for cell in self.cells[:_MOST_NAMED])
        more = len(self.cells) - _MOST_NAMED
        rest = f"; and {more} more" if more > 0 else ""
        return f"Nothing was imported. {named}{rest}."


@dataclass(frozen=True, slots=True)
class CsvRow:
    """One row: where it stands, and its cells that are not blank, by column."""

    file: str
    row: int
    cells: dict[str, str]

    @property
    def where(self) -> str:
        """Such as "tanks.csv row 3"."""
        return f"{self.file} row {self.row}"


@dataclass(frozen=True, slots=True)
class CsvFile:
    """A file that was read, with the sheet its header shows it to be."""

    path: Path
    sheet: Sheet
    rows: tuple[CsvRow, ...]


def read_csv_file(path: Path, bad: list[BadCell]) -> CsvFile | None:
    """The rows of a file; what cannot be read is added to `bad`."""
    name = path.name
    table = _table(path, bad)
    if table is None:
        return None
    header = [cell.strip().lower().replace(" ", "_") for cell in without_blank_end(table[0], 0)]
    sheet = _sheet_of(name, header, bad)
    if sheet is None:
        return None
    rows = []
    for number, cells in enumerate(table[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        cells = without_blank_end(cells, len(header))
        if len(cells) != len(header):
            bad.append(
                BadCell(name, number, "", "", f"it has {len(cells)} cells where the header has {len(header)}")
            )
            continue
        filled = {column: cell.strip() for column, cell in zip(header, cells, strict=True) if cell.strip()}
        rows.append(CsvRow(name, number, filled))
    return CsvFile(path, sheet, tuple(rows))


def _table(path: Path, bad: list[BadCell]) -> list[list[str]] | None:
    try:
        data = path.read_bytes() if path.stat().st_size <= MOST_BYTES else None
    except OSError as error:
        raise RefusedInput("file", str(path), f"a CSV file that can be read ({error.strerror})") from error
    if data is None:
        raise RefusedInput("file", str(path), "a CSV file of at most 100 MB")
    return table_of(path.name, data, bad)


def table_of(name: str, data: bytes, bad: list[BadCell]) -> list[list[str]] | None:
    """The cells of a CSV file, whatever sign stands between them; what cannot be read is added to `bad`."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        bad.append(BadCell(name, data.count(b"\n", 0, error.start) + 1, "", "", _NO_UTF8))
        return None
    delimiter, text = _delimiter(text)
    try:
        table = list(csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True))
    except csv.Error as error:
        bad.append(BadCell(name, 1, "", "", f"it is no CSV file that can be read ({error})"))
        return None
    if "\0" in text or not table or not any(table[0]):
        bad.append(BadCell(name, 1, "", "", "it has no header row with the names of its columns"))
        return None
    return table


def without_blank_end(cells: list[str], keep: int) -> list[str]:
    """The cells without the blank ones that a spreadsheet writes after the last; at least `keep` of them."""
    end = len(cells)
    while end > keep and not cells[end - 1].strip():
        end -= 1
    return cells[:end]


def _delimiter(text: str) -> tuple[str, str]:
    """The sign between cells, and the text without the line that some spreadsheets tell it in."""
    first, _, rest = text.partition("\n")
    told = re.fullmatch(r"sep=([,;\t])", first.strip("\r"), re.IGNORECASE)
    return (told[1], rest) if told else (max(",;\t", key=first.count), text)


def _named(name: str, header: list[str]) -> Sheet | None:
    """The sheet of a file's own name, where all its columns are of that sheet."""
    found = next((sheet for sheet in SHEETS if f"{sheet.name}.csv" == name.lower()), None)
    return found if found and set(header) <= {column.name for column in found.columns} else None


def _sheet_of(name: str, header: list[str], bad: list[BadCell]) -> Sheet | None:
    sheet = next((sheet for sheet in SHEETS if sheet.mark <= set(header)), None) or _named(name, header)
    if sheet is None:
        bad.append(BadCell(name, 1, "", ", ".join(header), _HEADERS))
        return None
    known = [column.name for column in sheet.columns]
    problems = [
        (one, "a column once only") for one in sorted({one for one in header if header.count(one) > 1})
    ]
    problems += [(one, f"one of {', '.join(known)}") for one in header if one not in known]
    bad.extend(BadCell(name, 1, one or "(no name)", one, accepted) for one, accepted in problems)
    missing = [column.name for column in sheet.columns if column.needed and column.name not in header]
    bad.extend(BadCell(name, 1, one, "", "this column is needed") for one in missing)
    return None if problems or missing else sheet
