"""Rows of standing.csv: an existing collection, pot by pot, with the batches that it tells of."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from halfwater.book.changes.tables import TableRow
from halfwater.deeds.csv_files import BadCell, CsvRow

_Read = tuple[CsvRow, dict[str, Any]]
_OF_BATCH = ("taxon", "lineage", "blade")
_DAYS = ("potted_on", "counted_on", "measured_on", "left_on")


@dataclass(frozen=True, slots=True)
class StandingTables:
    """What the rows tell: batches that are new, the pots, and which batch was cut from which."""

    batches: list[TableRow]
    pots: list[TableRow]
    lineage: list[TableRow]


def standing_tables(
    rows: Sequence[_Read], batches: Sequence[_Read], known: Mapping[str, str], today: date, bad: list[BadCell]
) -> StandingTables:
    """The pots of the rows and their batches; what cannot be used, or stands in two places, goes to `bad`.

    `batches` are the rows of batches.csv, `known` the batches of the book with their taxa, in small letters.
    """
    _refuse_later_than(today, rows, bad)
    _refuse_twice(rows, bad)
    named = {str(fields.get("name", "")).casefold() for _, fields in batches}
    by_batch: dict[str, list[_Read]] = {}
    for row, fields in rows:
        if "batch" in fields:
            by_batch.setdefault(fields["batch"].casefold(), []).append((row, fields))
    told = [_batch(some, name in named, known.get(name), bad) for name, some in by_batch.items()]
    pots = [
        TableRow(row.where, {name: value for name, value in fields.items() if name not in _OF_BATCH})
        for row, fields in rows
        if "batch" in fields
    ]
    return StandingTables(
        [row for row in told if row is not None], pots, _lineage(rows, "batch") + _lineage(batches, "name")
    )


def _batch(rows: Sequence[_Read], is_named: bool, taxon: str | None, bad: list[BadCell]) -> TableRow | None:
    """The batch that the rows of its pots tell of."""
    first = rows[0][0]
    fields: dict[str, Any] = {"name": rows[0][1]["batch"]}
    for name in ("taxon", "blade"):
        said = {row[1][name].casefold(): row for row in rows if name in row[1]}
        if len(said) > 1:
            row, other = list(said.values())[1]
            bad.append(
                BadCell(
                    row.file, row.row, name, other[name], f"the same in all rows of batch {fields['name']}"
                )
            )
        if said:
            fields[name] = next(iter(said.values()))[1][name]
    if is_named or taxon is not None:
        if taxon is not None and fields.get("taxon", taxon).casefold() != taxon.casefold():
            bad.append(BadCell(first.file, first.row, "taxon", fields["taxon"], f"{taxon}, as in the book"))
        return None if "blade" not in fields else TableRow(first.where, fields)
    days = [row[1]["potted_on"] for row in rows if "potted_on" in row[1]]
    for name, is_missing in (("taxon", "taxon" not in fields), ("potted_on", not days)):
        if is_missing:
            bad.append(BadCell(first.file, first.row, name, "", "a cell is needed, for its batch is new"))
    return TableRow(first.where, fields | {"potted_on": min(days)}) if days else None


def _lineage(rows: Sequence[_Read], name: str) -> list[TableRow]:
    parents: dict[str, dict[tuple[str, int | None], None]] = {}
    firsts: dict[str, tuple[str, str]] = {}
    for row, fields in rows:
        if "lineage" in fields and name in fields:
            batch = fields[name].casefold()
            parents.setdefault(batch, {}).update(dict.fromkeys(fields["lineage"]))
            firsts.setdefault(batch, (row.where, fields[name]))
    return [
        TableRow(where, {"batch": batch, "parents": tuple(parents[key])})
        for key, (where, batch) in firsts.items()
    ]


def _refuse_later_than(today: date, rows: Sequence[_Read], bad: list[BadCell]) -> None:
    for row, fields in rows:
        for name in _DAYS:
            if fields.get(name, today) > today:
                bad.append(BadCell(row.file, row.row, name, row.cells[name], f"a day up to today, {today}"))


def _refuse_twice(rows: Sequence[_Read], bad: list[BadCell]) -> None:
    """A pot noted in two places, or two pots on one spot: both rows are named."""
    pots: dict[tuple[str, int], CsvRow] = {}
    spots: dict[tuple[str, str], CsvRow] = {}
    for row, fields in rows:
        if "number" in fields and "batch" in fields:
            pot = (fields["batch"].casefold(), fields["number"])
            if pot in pots:
                said = (
                    f"pot {fields['batch']} {pot[1]} stands in {_place(pots[pot], row)} too: one place a pot"
                )
                bad.append(BadCell(row.file, row.row, "number", str(pot[1]), said))
            pots.setdefault(pot, row)
        if "tank" in fields and "spot" in fields:
            spot = (fields["tank"].casefold(), fields["spot"].upper())
            if spot in spots:
                said = f"{_place(spots[spot], row)} has a pot on this spot too: one pot a spot"
                bad.append(BadCell(row.file, row.row, "spot", fields["spot"], said))
            spots.setdefault(spot, row)


def _place(first: CsvRow, row: CsvRow) -> str:
    return f"row {first.row}" if first.file == row.file else first.where
