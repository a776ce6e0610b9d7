"""How answers leave the terminal: a Rich table for people, one JSON object for programs."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from math import isfinite
from typing import Annotated, Any
from uuid import UUID

import typer

from halfwater.plain.figures import show_number

JsonFlag = Annotated[bool, typer.Option("--json", help="Print one JSON object for programs.")]


def as_plain(value: Any) -> Any:
    """The value in what JSON knows: plain numbers, ISO dates, null for what cannot be said."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: as_plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): as_plain(item) for key, item in value.items()}
    if isinstance(value, str | bool) or value is None:
        return value
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        return _tidy(float(value))
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, UUID):
        return str(value)
    if hasattr(value, "tolist"):
        return as_plain(value.tolist())
    if isinstance(value, Iterable):
        return [as_plain(item) for item in value]
    raise TypeError(f"no JSON form for {type(value).__name__}")


def _tidy(number: float) -> float | None:
    """Ten significant digits are more than any ruler gives; nan and infinity are null."""
    return float(f"{number:.10g}") if isfinite(number) else None


def print_json(answer: Any) -> None:
    """Print one JSON object."""
    typer.echo(json.dumps(as_plain(answer), ensure_ascii=False, indent=2))


def print_table(title: str, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print a table for people; columns wrap, nothing is cut."""
    from rich.box import SIMPLE_HEAD
    from rich.console import Console
    from rich.table import Table

    table = Table(
        title=title or None, title_justify="left", title_style="bold", box=SIMPLE_HEAD, pad_edge=False
    )
    for head in heads:
        table.add_column(head, overflow="fold")
    for row in rows:
        table.add_row(*(_safe(cell) for cell in row))
    Console(highlight=False).print(table)


def print_steps(title: str, steps: Sequence[tuple[str, str, str]]) -> None:
    """Print things to do under a title: what, how much, and below it why; nothing where there are none."""
    from rich.console import Console
    from rich.table import Table

    if not steps:
        return
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(min_width=20, no_wrap=True)
    table.add_column(overflow="fold")
    for what, amount, why in steps:
        text = _safe(amount)
        if why:
            text.append(f"\n{why}" if amount else why, style="dim")
        table.add_row(_safe(f"  {what}"), text)
    console = Console(highlight=False)
    console.print(_safe(title), style="bold")
    console.print(table)
    console.print()


def _safe(cell: str) -> Any:
    """Text as it stands: square brackets in a name are not markup."""
    from rich.text import Text

    return Text(cell)


def print_lines(title: str, lines: Iterable[str]) -> None:
    """Print sentences under a title; nothing where there are none."""
    said = list(lines)
    if not said:
        return
    if title:
        typer.echo(f"{title}:")
    for line in said:
        typer.echo(f"  {line}" if title else line)
    typer.echo("")


def measured(amount_ml: float | None, amount_g: float | None) -> str:
    """An amount of a feed as it is measured out, to the hundredth: a syringe shows it."""
    return f"{show_number(amount_g)} g" if amount_ml is None else f"{show_number(amount_ml)} mL"
