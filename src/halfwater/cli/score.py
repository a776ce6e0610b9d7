"""`halfwater score`: the record of the forecasts that were shown."""

from datetime import UTC, datetime

import typer

from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.deeds.scores import record, settle
from halfwater.plain.figures import show, show_number
from halfwater.plain.growing import ScoreLine

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def score(as_json: JsonFlag = False) -> None:
    """How the forecasts that were shown came out: ranges, width, and against the same as last time."""
    settled = settle(datetime.now(UTC))
    lines = record()
    if as_json:
        print_json({"settled": settled, "kinds": lines})
        return
    print_table("", ("Forecast", "Kept", "Scored", "Inside 80 %", "Width", "Off by", "Same as last time"),
                [_row(line) for line in lines])  # fmt: skip
    print_lines("", [f"{line.kind.capitalize()}: {line.verdict}" for line in lines])


def _row(line: ScoreLine) -> tuple[str, ...]:
    """One kind; a dash where nothing is scored yet."""
    inside = "–"
    if line.inside_frac is not None and line.inside_low_frac is not None:
        ends = f"{show(line.inside_low_frac, 'frac')} to {show(line.inside_high_frac, 'frac')}"
        inside = f"{show(line.inside_frac, 'frac')} ({ends})"
    return (
        line.kind, str(line.forecasts), str(line.scored), inside, _in_unit(line.width, line.unit),
        _in_unit(line.crps, line.unit), _in_unit(line.naive_crps, line.unit),
    )  # fmt: skip


def _in_unit(value: float | None, unit: str) -> str:
    return "–" if value is None else f"{show_number(value)} {unit}"
