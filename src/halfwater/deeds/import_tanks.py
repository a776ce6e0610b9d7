"""Rows of tanks.csv: pots, lamps and spots that go with a tank, and whether it all fits together."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from halfwater.book import queries
from halfwater.book.changes.tables import TableRow
from halfwater.deeds.clock import local_day
from halfwater.deeds.columns import TANKS
from halfwater.deeds.csv_files import BadCell, CsvRow
from halfwater.deeds.floor import most_pots, spot_names
from halfwater.deeds.tank_sheet import read_pot
from halfwater.errors import RefusedInput
from halfwater.plain.nursery import NurseryFacts, PotFacts
from halfwater.plain.tank import TankFacts
from halfwater.science import starting
from halfwater.science.vessel import Vessel, lines

_Read = tuple[CsvRow, dict[str, Any]]
_FLOOR = {
    "length_mm",
    "width_mm",
    "height_mm",
    "pot",
    "pots",
    "keep_outs",
    "clay_fill_frac",
    "clay_porosity_frac",
    "margin_mm",
    "low_line_mm",
}


@dataclass(frozen=True, slots=True)
class TankTables:
    """Tanks to write, with the pot types and lamps their rows describe."""

    tanks: list[_Read] = field(default_factory=list)
    pots: list[TableRow] = field(default_factory=list)
    lamps: list[TableRow] = field(default_factory=list)


def tank_tables(
    rows: Sequence[_Read], pot_rows: Sequence[_Read], nursery: NurseryFacts, now: datetime, bad: list[BadCell]
) -> TankTables:
    """The tanks of the rows; whatever cannot stand in one tank is added to `bad`."""
    tables = TankTables()
    pots = {pot.name.casefold(): pot for pot in queries.pots()}
    in_files = {str(fields.get("name", "")).casefold(): fields for _, fields in pot_rows}
    pots |= {name: _pot_of(fields) for name, fields in in_files.items() if len(fields) == 4}
    standing = {tank.name.casefold(): tank for tank in queries.tanks(in_use=None)}
    for row, given in rows:
        fields = dict(given)
        known = standing.get(str(fields.get("name", "")).casefold())
        pot = _read_pot(row, fields, pots, in_files, tables, nursery, bad)
        _read_lamp(row, fields, tables, bad)
        if known is None:
            _add_starting_values(fields, local_day(now, nursery))
        if not any((one.file, one.row) == (row.file, row.row) for one in bad):
            _check_floor(row, fields, pot, known, bad)
        tables.tanks.append((row, fields))
    return tables


def _pot_of(fields: dict[str, Any]) -> PotFacts:
    return PotFacts(0, fields["name"], fields["top_mm"], fields["base_mm"], fields["height_mm"])


def _read_pot(
    row: CsvRow,
    fields: dict[str, Any],
    pots: dict[str, PotFacts],
    in_files: dict[str, dict[str, Any]],
    tables: TankTables,
    nursery: NurseryFacts,
    bad: list[BadCell],
) -> PotFacts | None:
    """The pot type of a row, known by name or described by its sizes; a new one is written with the tank."""
    cell = fields.get("pot")
    if cell is None:
        return None
    pot = pots.get(cell.casefold())
    if pot is None and cell.casefold() not in in_files:
        try:
            pot = read_pot(cell, nursery.units)
        except RefusedInput as error:
            bad.append(
                BadCell(row.file, row.row, "pot", cell, f"{error.accepted}, or the name of a pot type")
            )
            return None
        if pot.name.casefold() not in pots:
            sizes = {"top_mm": pot.top_mm, "base_mm": pot.base_mm, "height_mm": pot.height_mm}
            tables.pots.append(TableRow(row.where, {"name": pot.name, **sizes}))
            pots[pot.name.casefold()] = pot
    if pot is not None:
        fields["pot"] = pot.name
    return pot


def _read_lamp(row: CsvRow, fields: dict[str, Any], tables: TankTables, bad: list[BadCell]) -> None:
    ppfd = fields.pop("lamp_ppfd", None)
    if ppfd is None:
        return
    if "lamp" in fields:
        bad.append(
            BadCell(row.file, row.row, "lamp_ppfd", row.cells["lamp_ppfd"], "blank where a lamp is named")
        )
        return
    fields["lamp"] = f"{fields.get('name', '')} lamp"[:80]
    tables.lamps.append(TableRow(row.where, {"name": fields["lamp"], "ppfd_umol_m2_s": ppfd}))


def _add_starting_values(fields: dict[str, Any], today: Any) -> None:
    fields.setdefault("clay_fill_frac", starting.CLAY_FILL_FRAC)
    fields.setdefault("clay_porosity_frac", starting.CLAY_POROSITY_FRAC)
    fields.setdefault("margin_mm", starting.MARGIN_MM)
    fields.setdefault("set_up_on", today)


def _check_floor(
    row: CsvRow, fields: dict[str, Any], pot: PotFacts | None, known: TankFacts | None, bad: list[BadCell]
) -> None:
    """Refuse pots that do not fit and lines that cross; lay out the spots of a new or changed floor."""
    if known is not None and not _FLOOR & set(fields):
        return
    whole = {name: fields.get(name, getattr(known, name, None)) for name in _FLOOR}
    pot = pot or (known.pot if known else None)
    if pot is None:
        if whole["pots"]:
            bad.append(
                BadCell(
                    row.file, row.row, "pot", "", f"the pot that {whole['pots']} of stand there, such as 2 in"
                )
            )
        return
    try:
        _fit(fields, whole, pot)
    except RefusedInput as error:
        column = TANKS.column_of(error.field)
        value = row.cells.get(column, "")
        bad.append(BadCell(row.file, row.row, column, value, error.accepted))


def _fit(fields: dict[str, Any], whole: dict[str, Any], pot: PotFacts) -> None:
    length_mm, width_mm, keep_outs = whole["length_mm"], whole["width_mm"], whole["keep_outs"] or ()
    for side, size_mm in (
        ("length_mm", length_mm),
        ("width_mm", width_mm),
        ("height_mm", whole["height_mm"]),
    ):
        if size_mm <= 0:
            raise RefusedInput(side, size_mm, "a length above 0 such as 900 mm")
    if pot.top_mm > min(length_mm, width_mm):
        raise RefusedInput(
            "pot", pot.name, f"a pot smaller than the floor of {length_mm:g} x {width_mm:g} mm"
        )
    most = most_pots(length_mm, width_mm, pot.top_mm, keep_outs)
    if whole["pots"] is None:
        whole["pots"] = fields["pots"] = most
    if whole["pots"] > most:
        raise RefusedInput("pots", whole["pots"], f"at most {most}, which is all that this floor takes")
    if whole["pots"]:
        _refuse_lines(whole, pot)
    fields["spots"] = spot_names(length_mm, width_mm, pot.top_mm, whole["pots"], keep_outs)


def _refuse_lines(whole: dict[str, Any], pot: PotFacts) -> None:
    try:
        vessel = Vessel(
            whole["length_mm"], whole["width_mm"], whole["height_mm"], whole["pots"],
            pot.top_mm, pot.base_mm, pot.height_mm, whole["clay_fill_frac"], whole["clay_porosity_frac"],
        )  # fmt: skip
        lines(vessel, whole["margin_mm"], whole["low_line_mm"])
    except RefusedInput as error:
        by_word = {"margin": "margin_mm", "low line": "low_line_mm"}
        name = by_word.get(error.field, error.field if error.field in _FLOOR else "pot")
        raise RefusedInput(name, error.value, error.accepted) from error
