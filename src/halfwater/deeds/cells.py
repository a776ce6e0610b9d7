"""Cells of import files: how each kind is read, and how the same value is written out again."""

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from halfwater.errors import RefusedInput
from halfwater.plain.figures import read_money
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.tank import KeepOut
from halfwater.science.units import read_dose, read_quantity, read_size

Reader = Callable[[str, str, NurseryFacts], Any]  # cell, column, settings -> value
Shower = Callable[[Any], str]

_UNITS = {
    "length": "mm",
    "volume": "L",
    "mass": "g",
    "temperature": "C",
    "fraction": "",
    "ec": "mS/cm",
    "ppfd": "umol/m2/s",
    "lux": "lux",
    "hours": "h",
    "density": "kg/L",
    "power": "W",
}
_DRENCH = ("drench", "-")
_YES, _NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")
_KEEP_OUT = re.compile(r"(?P<size>.+?)\s+at\s+(?P<corner>[^()]+?)\s*(?:\((?P<why>[^()]*)\))?")


@dataclass(frozen=True, slots=True)
class CellKind:
    """How the cells of a column are read and written."""

    read: Reader
    show: Shower
    accepted: str  # an example or two, for the guide


def quantity(kind: str, examples: str) -> CellKind:
    """Cells with a quantity and its unit; a bare number is in the nursery's usual unit."""
    unit = _UNITS[kind]

    def read(cell: str, column: str, nursery: NurseryFacts) -> float:
        return read_quantity_once(cell, kind, nursery.units, column)

    def show(value: Any) -> str:
        return f"{value!r} {unit}".strip()

    return CellKind(read, show, examples)


def volume_or_drench(examples: str) -> CellKind:
    """Cells with a volume, or the word drench for "until everything is wet"."""
    plain = quantity("volume", examples)

    def read(cell: str, column: str, nursery: NurseryFacts) -> float | None:
        return None if cell.lower() in _DRENCH else plain.read(cell, column, nursery)

    return CellKind(read, plain.show, examples)


@lru_cache(maxsize=4096)
def read_quantity_once(cell: str, kind: str, units: str, column: str) -> float:
    """A quantity as typed; the same cell is read once only, for most evenings are alike."""
    return read_quantity(cell, kind, system=units, field=column)


def number(examples: str, low: float, high: float, per: str = "") -> CellKind:
    """Cells with a number that has no unit of its own."""

    def read(cell: str, column: str, nursery: NurseryFacts) -> float:
        bare = cell.lower().removesuffix(per).strip() if per else cell
        if not re.fullmatch(r"[-+]?(\d+([.,]\d*)?|[.,]\d+)(e[-+]?\d+)?", bare, re.IGNORECASE):
            raise RefusedInput(column, cell, examples)
        value = float(bare.replace(",", "."))
        if not low <= value <= high:
            raise RefusedInput(column, cell, examples)
        return value

    return CellKind(read, lambda value: f"{value!r}{per}", examples)


def whole(examples: str, high: int = 1_000_000, low: int = 0) -> CellKind:
    """Cells with a whole number, from nought where nothing else is said."""

    def read(cell: str, column: str, nursery: NurseryFacts) -> int:
        if not re.fullmatch(r"\d{1,9}", cell) or not low <= int(cell) <= high:
            raise RefusedInput(column, cell, examples)
        return int(cell)

    return CellKind(read, str, examples)


def words(examples: str, longest: int = 300) -> CellKind:
    """Cells with a text."""

    def read(cell: str, column: str, nursery: NurseryFacts) -> str:
        if len(cell) > longest:
            raise RefusedInput(column, f"{cell[:20]}…", f"at most {longest} signs")
        return cell

    return CellKind(read, str, examples)


def one_of(*choices: str) -> CellKind:
    """Cells with one of a closed list of words."""
    listed = f"one of {', '.join(choices)}"

    def read(cell: str, column: str, nursery: NurseryFacts) -> str:
        if cell.lower() not in choices:
            raise RefusedInput(column, cell, listed)
        return cell.lower()

    return CellKind(read, str, listed)


def _read_day(cell: str, column: str, nursery: NurseryFacts) -> date:
    try:
        day = date.fromisoformat(cell)
    except ValueError:
        day = date.min
    if day.year < 1900:
        raise RefusedInput(column, cell, DAY.accepted)
    return day


def _read_flag(cell: str, column: str, nursery: NurseryFacts) -> bool:
    if cell.lower() not in _YES + _NO:
        raise RefusedInput(column, cell, FLAG.accepted)
    return cell.lower() in _YES


def _read_dose(cell: str, column: str, nursery: NurseryFacts) -> dict[str, Any]:
    dose = read_dose(cell, column)
    if not (dose.dose_ml_l or dose.dose_g_l):
        raise RefusedInput(column, cell, DOSE.accepted)
    return {"dose_ml_l": dose.dose_ml_l, "dose_g_l": dose.dose_g_l, "typed": cell}


def _show_dose(dose: dict[str, Any]) -> str:
    try:
        typed = read_dose(dose["typed"])
    except RefusedInput:
        typed = None
    if typed is not None and (typed.dose_ml_l, typed.dose_g_l) == (dose["dose_ml_l"], dose["dose_g_l"]):
        return str(dose["typed"])
    by_volume = dose["dose_ml_l"] is not None
    return f"{dose['dose_ml_l']!r} ml/l" if by_volume else f"{dose['dose_g_l']!r} g/l"


def _read_keep_outs(cell: str, column: str, nursery: NurseryFacts) -> tuple[KeepOut, ...]:
    return tuple(_read_keep_out(one.strip(), column, nursery) for one in cell.split(";") if one.strip())


def _read_keep_out(text: str, column: str, nursery: NurseryFacts) -> KeepOut:
    found = _KEEP_OUT.fullmatch(text)
    corner = re.split(r"\s*[x×]\s*", found["corner"]) if found else []
    if found is None or len(corner) != 2:
        raise RefusedInput(column, text, KEEP_OUTS.accepted)
    try:
        length_mm, width_mm = read_size(found["size"], 2, column, system=nursery.units)
        x_mm, y_mm = (read_quantity_once(side, "length", nursery.units, column) for side in corner)
    except RefusedInput:
        raise RefusedInput(column, text, KEEP_OUTS.accepted) from None
    return KeepOut(x_mm, y_mm, length_mm, width_mm, (found["why"] or "").strip())


def _show_keep_outs(keep_outs: tuple[KeepOut, ...]) -> str:
    return "; ".join(
        f"{one.length_mm!r} mm x {one.width_mm!r} mm at {one.x_mm!r} mm x {one.y_mm!r} mm"
        + (f" ({re.sub(r'[();]', ' ', one.why).strip()})" if one.why else "")
        for one in keep_outs
    )


def _read_shares(cell: str, column: str, nursery: NurseryFacts) -> dict[str, float]:
    shares = {}
    for one in cell.split(";"):
        name, _, share = one.strip().partition(" ")
        if not name or not share.strip():
            raise RefusedInput(column, one.strip(), SHARES.accepted)
        shares[name] = read_quantity_once(share.strip(), "fraction", nursery.units, column)
    return shares


_PARENT = re.compile(
    r'\s*(?:"(?P<quoted>(?:[^"]|"")+)"|(?P<bare>[^";#]+?))\s*(?:#\s*(?P<number>\d{1,9}))?\s*(?:;|$)'
)


def _read_lineage(cell: str, column: str, nursery: NurseryFacts) -> tuple[tuple[str, int | None], ...]:
    parents, end = [], 0
    while end < len(cell):
        found = _PARENT.match(cell, end)
        if found is None:
            raise RefusedInput(column, cell[end:].strip(), LINEAGE.accepted)
        name = found["bare"] or found["quoted"].replace('""', '"')
        parents.append((name, int(found["number"]) if found["number"] else None))
        end = found.end()
    return tuple(parents)


def _show_lineage(parents: tuple[tuple[str, int | None], ...]) -> str:
    return "; ".join(
        (f'"{name.replace(chr(34), chr(34) * 2)}"' if re.search('[";#]', name) else name)
        + (f" #{number}" if number is not None else "")
        for name, number in parents
    )


def _read_numbers(cell: str, column: str, nursery: NurseryFacts) -> tuple[float, ...]:
    try:
        return tuple(float(one) for one in cell.split(";"))
    except ValueError:
        raise RefusedInput(column, cell, NUMBERS.accepted) from None


def _read_instant(cell: str, column: str, nursery: NurseryFacts) -> datetime:
    try:
        at = datetime.fromisoformat(cell)
        at = at if at.tzinfo is not None else at.replace(tzinfo=ZoneInfo(nursery.time_zone))
        if at.year < 1900:
            raise ValueError
        return at.astimezone(UTC)
    except (ValueError, OverflowError):
        raise RefusedInput(column, cell, INSTANT.accepted) from None


def _read_json(cell: str, column: str, nursery: NurseryFacts) -> Any:
    try:
        return json.loads(cell)
    except ValueError:
        raise RefusedInput(column, cell, JSON.accepted) from None


INSTANT = CellKind(
    _read_instant,
    lambda at: at.astimezone(UTC).isoformat(),
    "2026-11-20 21:00, nursery time, or with its zone",
)
JSON = CellKind(
    _read_json, lambda value: json.dumps(value, ensure_ascii=False), "JSON, as an export writes it"
)
MONEY = CellKind(
    lambda cell, column, nursery: read_money(cell, nursery.currency, column),
    str,
    "12.50 or 12.50 EUR",
)
LINEAGE = CellKind(
    _read_lineage,
    _show_lineage,
    "a batch, with a pot's number where it is known, such as “Nana, June #3; Nana, May”",
)
NUMBERS = CellKind(_read_numbers, lambda some: ";".join(repr(one) for one in some), "numbers with semicolons")
DAY = CellKind(_read_day, date.isoformat, "a date such as 2026-11-20")
FLAG = CellKind(_read_flag, lambda value: "yes" if value else "no", "yes or no")
DOSE = CellKind(_read_dose, _show_dose, "a dose above nought such as 2 tsp/gal, 2.6 ml/l or 0.5 g/l")
KEEP_OUTS = CellKind(
    _read_keep_outs,
    _show_keep_outs,
    "rectangles such as “100 x 60 mm at 0 mm x 390 mm (brace)”: length x width, then the corner"
    " from the front left; several with semicolons",
)
SHARES = CellKind(
    _read_shares,
    lambda shares: "; ".join(f"{name} {share!r}" for name, share in shares.items()),
    "names with shares such as “MgO 2 %; Fe 0.1 %”",
)
