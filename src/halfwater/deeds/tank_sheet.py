"""A tank as described on a sheet: read, checked against itself, written with its spots."""

import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.clock import local_day, read_day
from halfwater.deeds.floor import most_pots, spot_names
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput
from halfwater.plain.nursery import PotFacts
from halfwater.plain.tank import KeepOut, TankFacts
from halfwater.science import starting
from halfwater.science.units import read_quantity, read_size
from halfwater.science.vessel import Vessel, lines

POT_ACCEPTED = "the width at the rim such as 5 cm or 2 in, or rim x foot x height such as 50 x 38 x 50 mm"
FLOOR_ACCEPTED = "the inside length and width such as 90 x 45 cm or 36 x 18 in"
_FOOT_FRAC = 0.76  # foot and height of a pot known by its rim alone
_HEIGHT_FRAC = 1.0
_TICKED = "yes"
_LONGEST_MM = 10_000


@transaction.atomic
def save_tank_sheet(typed: Mapping[str, str], who: str, now: datetime, key: int | None = None) -> TankFacts:
    """Write a tank as described, a new one when `key` is None; its spots follow its floor."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    fields = read_tank(sheet)
    today = local_day(now, nursery)
    fields["set_up_on"] = sheet.read("set_up_on", lambda text: read_day(text, "set_up_on"), today)
    if fields["set_up_on"] > today:
        sheet.refuse("set_up_on", "a day up to today")
    if key is not None:
        fields |= read_care(sheet)
    sheet.finish()
    return write_tank(sheet, fields, who, key)


def read_tank(sheet: Sheet) -> dict[str, Any]:
    """The fields of a tank that every sheet has; refusals stay on the sheet."""
    length_mm, width_mm = sheet.sides("floor", 2, FLOOR_ACCEPTED)
    if not 0 < min(length_mm, width_mm) <= max(length_mm, width_mm) <= _LONGEST_MM:
        sheet.refuse("floor", f"sides above 0 and up to {_LONGEST_MM} mm")
    height_mm = sheet.needed(
        "height",
        lambda text: _above_zero("height", text, sheet.units),
        1.0,
        "the inside height such as 45 cm or 18 in",
    )
    pot = sheet.needed("pot", lambda text: read_pot(text, sheet.units), None, POT_ACCEPTED)
    fields: dict[str, Any] = {
        "name": sheet.needed("name", lambda text: _name("name", text), "", "a name such as North or Shelf 2"),
        "length_mm": length_mm,
        "width_mm": width_mm,
        "height_mm": height_mm,
        "pot": pot,
        "keep_outs": sheet.read("keep_outs", lambda text: read_keep_outs(text, sheet.units), ()),
        "clay_fill_frac": sheet.number("clay_fill", "fraction", starting.CLAY_FILL_FRAC),
        "clay_porosity_frac": starting.CLAY_POROSITY_FRAC,
        "margin_mm": sheet.number("margin", "length", starting.MARGIN_MM),
        "low_line_mm": sheet.quantity("low_line", "length"),
        "night_volume_l": sheet.quantity("night_spray", "volume"),
    }
    if not sheet.refused:
        fields["pots"] = _read_pots(sheet, fields)
        _refuse_lines(sheet, fields)
    return fields


def read_care(sheet: Sheet) -> dict[str, Any]:
    """Plan, light and air: the fields that only a standing tank's sheet has."""
    return {
        "night_mix": sheet.key("night_mix"),
        "morning_mix": sheet.key("morning_mix"),
        "morning_volume_l": sheet.quantity("morning_spray", "volume"),
        "lamp": sheet.key("lamp"),
        "lamp_dimmer_frac": sheet.number("lamp_dimmer", "fraction", 1.0),
        "lamp_hours": sheet.number("lamp_hours", "hours", 0.0),
        "stray_ppfd_umol_m2_s": sheet.number("stray_ppfd", "ppfd", 0.0),
        "stray_hours": sheet.number("stray_hours", "hours", 0.0),
        "lid_ach_per_h": _air_changes(sheet),
        "inside_temp_c": sheet.quantity("inside_temp", "temperature"),
        "inside_rh_frac": sheet.quantity("inside_rh", "fraction"),
        "place": int(sheet.number("place", "count", 0)),
        "is_in_use": sheet.text("is_in_use") == _TICKED,
    }


def write_tank(sheet: Sheet, fields: dict[str, Any], who: str, key: int | None = None) -> TankFacts:
    """Write read fields: the pot type is found or made, the spots laid out."""
    pot: PotFacts = fields["pot"]
    with sheet.writing(**dict.fromkeys(("name", "top_mm", "base_mm", "height_mm"), "pot")):
        fields = fields | {"pot": _pot_key(pot, who)}
    with sheet.writing(
        length_mm="floor",
        width_mm="floor",
        night_volume_l="night_spray",
        morning_volume_l="morning_spray",
    ):
        tank = changes.save_tank(key, who=who, **fields)
    names = spot_names(
        fields["length_mm"], fields["width_mm"], pot.top_mm, fields["pots"], tuple(fields["keep_outs"])
    )
    changes.set_spots(tank, names)
    return queries.tank_named(fields["name"])


def read_pot(text: str, units: str) -> PotFacts:
    """A pot type: by the name of one in the book, by its rim, or by rim x foot x height."""
    for known in queries.pots():
        if known.name.casefold() == text.casefold():
            return known
    try:
        if re.search(r"[x×✕✖*]|\bby\b", text, re.IGNORECASE):
            top_mm, base_mm, height_mm = read_size(text, 3, "pot", system=units)
        else:
            top_mm = read_quantity(text, "length", system=units, field="pot")
            base_mm, height_mm = _FOOT_FRAC * top_mm, _HEIGHT_FRAC * top_mm
    except RefusedInput as refused:
        raise RefusedInput("pot", text, POT_ACCEPTED) from refused
    if top_mm <= 0:
        raise RefusedInput("pot", text, POT_ACCEPTED)
    name = f"{top_mm:.3g} x {base_mm:.3g} x {height_mm:.3g} mm"
    return PotFacts(0, name, top_mm, base_mm, height_mm)


def read_keep_outs(text: str, units: str) -> tuple[KeepOut, ...]:
    """Keep-outs, one a line: from the left, from the front, length, width, then what it is."""
    outs = []
    accepted = (
        "one a line: from the left, from the front, length, width and what it is, "
        "such as 0, 0, 60, 40, siphon corner"
    )
    for line in filter(str.strip, text.splitlines()):
        parts = [part.strip() for part in line.split(",", 4)]
        if len(parts) < 4:
            raise RefusedInput("keep_outs", line, accepted)
        x, y, length, width = (
            read_quantity(part, "length", system=units, field="keep_outs") for part in parts[:4]
        )
        outs.append(KeepOut(x, y, length, width, parts[4] if len(parts) > 4 else ""))
    return tuple(outs)


def _read_pots(sheet: Sheet, fields: dict[str, Any]) -> int:
    """How many pots stand on the floor: as said, or as many as fit."""
    try:
        most = most_pots(fields["length_mm"], fields["width_mm"], fields["pot"].top_mm, fields["keep_outs"])
    except RefusedInput:
        sheet.refuse("pot", "a pot smaller than the floor")
        return 0
    pots = int(sheet.number("pots", "count", most))
    if pots < 1 and not sheet.refused:
        sheet.refuse("pots", f"1 to {most} pots, since the lines are measured on them")
    if pots > most:
        sheet.refuse(
            "pots", f"at most {most}, which is all that this floor takes; left empty it means {most}"
        )
    return pots


def _refuse_lines(sheet: Sheet, fields: dict[str, Any]) -> None:
    pot: PotFacts = fields["pot"]
    if sheet.refused:
        return
    if fields["clay_fill_frac"] <= 0:
        sheet.refuse("clay_fill", "a share above 0, such as 62.5 %")
        return
    if pot.height_mm > fields["height_mm"]:
        sheet.refuse("height", f"a height of at least {pot.height_mm:.4g} mm, that of the pots")
        return
    try:
        vessel = Vessel(
            fields["length_mm"],
            fields["width_mm"],
            fields["height_mm"],
            fields["pots"],
            pot.top_mm,
            pot.base_mm,
            pot.height_mm,
            fields["clay_fill_frac"],
            fields["clay_porosity_frac"],
        )
        lines(vessel, fields["margin_mm"], fields["low_line_mm"])
    except RefusedInput as refused:
        said = refused.field.removesuffix("_mm").removesuffix("_frac").replace(" ", "_")
        name = said if said in ("height", "clay_fill", "margin", "low_line") else "pot"
        sheet.refused.append(RefusedInput(name, sheet.text(name), refused.accepted))


def _pot_key(pot: PotFacts, who: str) -> int:
    for known in queries.pots():
        if known.key == pot.key or known.name == pot.name:
            return known.key
    return changes.save_pot(
        who=who, name=pot.name, top_mm=pot.top_mm, base_mm=pot.base_mm, height_mm=pot.height_mm
    )


def _above_zero(field: str, text: str, units: str) -> float:
    length_mm = read_quantity(text, "length", system=units, field=field)
    if length_mm <= 0:
        raise RefusedInput(field, text, "a length above 0 such as 45 cm or 18 in")
    return length_mm


def _name(field: str, text: str) -> str:
    if len(text) > 80:
        raise RefusedInput(field, text, "a name of at most 80 signs")
    return text


def _air_changes(sheet: Sheet) -> float | None:
    def read(text: str) -> float:
        try:
            changes_h = float(text.replace(",", "."))
        except ValueError:
            changes_h = -1.0
        if not 0 <= changes_h <= 100:
            raise RefusedInput("lid_ach", text, "air changes an hour from 0 to 100, such as 0.5")
        return changes_h

    return sheet.read("lid_ach", read, None)
