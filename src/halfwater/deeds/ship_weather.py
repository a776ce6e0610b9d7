"""The weather on a way: typed leg by leg, or brought as a table of legs or of places and days."""

import re
from collections.abc import Mapping, Sequence
from datetime import date

from halfwater.deeds.cells import read_quantity_once
from halfwater.deeds.clock import read_day
from halfwater.deeds.csv_files import BadCell, RefusedTable, table_of
from halfwater.errors import RefusedInput
from halfwater.plain.transit import LEG_KINDS, Leg, PlaceDay

LEGS_ACCEPTED = (
    "one leg a line: its name, hours, lowest to highest temperature, and outside, vehicle or indoors, such "
    "as “Depot 12 h, 3 to 9 C, indoors”"
)
TABLE = "a table with the columns leg, hours, min, max (and kind, clock)"
FORECAST = "a table with the columns place, date, min, max"
HAND_OVER_H = 16.0
_NUMBER = r"[-−]?\d+(?:[.,]\d+)?"
_LEG = re.compile(
    rf"(?P<name>.+?)[\s,:]+(?P<hours>\d+(?:[.,]\d+)?)\s*(?:h|hours?|hrs?)\b[\s,:]*"
    rf"(?P<low>{_NUMBER})\s*(?P<one>°?\s*[CF])?\s*(?:to|\.\.\.?|…|–|/)\s*(?P<high>{_NUMBER})\s*(?P<two>°?\s*[CF])?"
    rf"(?:[\s,]+(?P<kind>{'|'.join(LEG_KINDS)}))?(?:[\s,]+(?:from|at)\s+(?P<clock>\d{{1,2}}(?::\d\d)?))?",
    re.IGNORECASE,
)
_HEADS: Mapping[str, tuple[str, ...]] = {
    "leg": ("leg", "name", "place", "stop"),
    "hours": ("hours", "h", "span"),
    "min": ("min", "low", "lowest", "min_c", "min_f"),
    "max": ("max", "high", "highest", "max_c", "max_f"),
    "kind": ("kind",),
    "clock": ("clock", "from", "start"),
    "date": ("date", "on", "day"),
    "place": ("place", "leg", "name", "stop"),
}


def weather_of(
    typed: str | bytes, units: str = "metric", hand_over_h: float = HAND_OVER_H, ahead_days: float = 1.0
) -> tuple[Leg, ...]:
    """The legs of a way with their weather, from lines as typed or from a table with a header.

    Legs follow one another from the hour of handing over; a leg that says its own hour begins then.

    Raises
    ------
    RefusedInput
        If a line or a cell cannot be used; a table names every bad cell.
    """
    text = typed.decode("utf-8-sig", errors="replace") if isinstance(typed, bytes) else typed
    if not text.strip():
        raise RefusedInput("legs", "", LEGS_ACCEPTED)
    rows = _table_rows(text) if _is_table(text, ("hours", "min", "max")) else _typed_rows(text)
    legs: list[Leg] = []
    bad: list[BadCell] = []
    after_h = 0.0
    for number, row in rows:
        leg = _leg(row, number, units, (hand_over_h + after_h) % 24.0, ahead_days + after_h / 24.0, bad)
        if leg is not None:
            legs.append(leg)
            after_h += leg.span_h
    if bad:
        raise _refused(bad)
    return tuple(legs)


def forecast_of(typed: str | bytes, units: str = "metric") -> tuple[PlaceDay, ...]:
    """The forecast of places and days from a table with the columns place, date, min, max."""
    text = typed.decode("utf-8-sig", errors="replace") if isinstance(typed, bytes) else typed
    if not _is_table(text, ("date", "min", "max")):
        raise RefusedInput("forecast", text[:40], FORECAST)
    bad: list[BadCell] = []
    found = []
    for number, row in _table_rows(text):
        low, high = _temp(row, "min", number, units, bad), _temp(row, "max", number, units, bad)
        on = _day(row, number, bad)
        if None not in (low, high, on) and _in_order(low, high, number, bad):
            found.append(PlaceDay(row.get("place", "").strip(), on, low, high))  # type: ignore[arg-type]
    if bad:
        raise RefusedTable(bad)
    return tuple(found)


def show_legs(legs: Sequence[Leg], units: str = "metric") -> str:
    """Legs as they would be typed, one a line."""
    sign = "F" if units == "us" else "C"

    def degrees(value: float) -> str:
        return f"{value * 9.0 / 5.0 + 32.0 if units == 'us' else value:.3g}"

    return "\n".join(
        f"{one.name} {one.span_h:g} h, {degrees(one.low_c)} to {degrees(one.high_c)} {sign}, {one.kind}"
        for one in legs
    )


def _refused(bad: Sequence[BadCell]) -> RefusedInput:
    """What cannot be used: cells of a table each by its place, a typed line by itself."""
    if any(cell.file for cell in bad):
        return RefusedTable(list(bad))
    return RefusedInput("legs", bad[0].value, bad[0].accepted)


def _is_table(text: str, needed: Sequence[str]) -> bool:
    """Whether the first line names the columns."""
    heads = [_word(cell) for cell in re.split(r"[,;\t]", text.lstrip("\ufeff").strip().splitlines()[0])]
    return all(any(head in _HEADS[word] for head in heads) for word in needed)


def _table_rows(text: str) -> list[tuple[int, dict[str, str]]]:
    """The rows of a table by our words, each with its number; 0 for none."""
    bad: list[BadCell] = []
    table = table_of("weather", text.encode(), bad)
    if table is None:
        raise RefusedTable(bad)
    heads = [_word(cell) for cell in table[0]]
    where = {
        word: next((heads.index(name) for name in names if name in heads), None)
        for word, names in _HEADS.items()
    }
    rows = []
    for number, cells in enumerate(table[1:], start=2):
        if any(cell.strip() for cell in cells):
            rows.append(
                (
                    number,
                    {
                        word: cells[at].strip()
                        for word, at in where.items()
                        if at is not None and at < len(cells)
                    }
                    | {"unit": _unit_of(heads)},
                )
            )
    return rows


def _unit_of(heads: Sequence[str]) -> str:
    return "F" if any(head.endswith("_f") for head in heads) else "C" if "min_c" in heads else ""


def _typed_rows(text: str) -> list[tuple[int, dict[str, str]]]:
    rows = []
    for part in re.split(r"[;\n]", text):
        if not part.strip():
            continue
        found = _LEG.fullmatch(part.strip())
        if found is None:
            raise RefusedInput("legs", part.strip(), LEGS_ACCEPTED)
        unit = (found["two"] or found["one"] or "").replace("°", "").strip().upper()
        rows.append(
            (0, {"leg": found["name"].strip(), "hours": found["hours"], "min": found["low"],
                 "max": found["high"], "kind": found["kind"] or "", "clock": found["clock"] or "",
                 "unit": unit})
        )  # fmt: skip
    return rows


def _leg(
    row: Mapping[str, str], number: int, units: str, clock_h: float, ahead_days: float, bad: list[BadCell]
) -> Leg | None:
    before = len(bad)
    hours = _quantity(row, "hours", "hours", number, units, bad)
    low, high = _temp(row, "min", number, units, bad), _temp(row, "max", number, units, bad)
    kind = row.get("kind", "").lower() or "outside"
    if kind not in LEG_KINDS:
        bad.append(_cell(number, "kind", kind, f"one of {', '.join(LEG_KINDS)}"))
    own = _quantity(row, "clock", "hours", number, units, bad) if row.get("clock") else None
    if hours is not None and not 0.0 < hours <= 720.0:
        bad.append(_cell(number, "hours", row["hours"], "hours above 0, at most 720"))
    if own is not None and own >= 24.0:
        bad.append(_cell(number, "clock", row["clock"], "an hour of the day, below 24"))
    if low is not None and high is not None:
        _in_order(low, high, number, bad)
    if len(bad) > before or hours is None or low is None or high is None:
        return None
    return Leg(
        row.get("leg", "") or f"leg {number}", hours, low, high, clock_h if own is None else own, kind,
        ahead_days,
    )  # fmt: skip


def _temp(row: Mapping[str, str], word: str, number: int, units: str, bad: list[BadCell]) -> float | None:
    text = row.get(word, "").replace("−", "-")
    bare = re.fullmatch(_NUMBER, text)
    cell = f"{text} {row.get('unit', '')}".strip() if bare else text
    return _quantity({word: cell}, word, "temperature", number, units, bad)


def _quantity(
    row: Mapping[str, str], word: str, kind: str, number: int, units: str, bad: list[BadCell]
) -> float | None:
    cell = row.get(word, "")
    try:
        return read_quantity_once(cell, kind, units, word)
    except RefusedInput as error:
        bad.append(_cell(number, word, cell, error.accepted))
        return None


def _day(row: Mapping[str, str], number: int, bad: list[BadCell]) -> date | None:
    try:
        return read_day(row.get("date", ""), "date")
    except RefusedInput as error:
        bad.append(_cell(number, "date", row.get("date", ""), error.accepted))
        return None


def _in_order(low: float | None, high: float | None, number: int, bad: list[BadCell]) -> bool:
    if low is not None and high is not None and low > high:
        bad.append(_cell(number, "max", f"{high:g}", f"a highest not below the lowest, {low:g} C"))
        return False
    return True


def _cell(number: int, word: str, value: str, accepted: str) -> BadCell:
    """A cell of a table; a typed line has none, so that the line itself is named."""
    return BadCell("weather" if number else "", number, word if number else "", value, accepted)


def _word(cell: str) -> str:
    return re.sub(r"[^a-z]+", "_", cell.strip().strip('"').lower()).strip("_")
