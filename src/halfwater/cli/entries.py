"""`halfwater entries`: what is noted, newest first."""

from typing import Annotated
from zoneinfo import ZoneInfo

import typer

from halfwater.book import queries
from halfwater.cli.options import argument, option
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.deeds.entries import read_back
from halfwater.plain.entry import KIND_UNITS, EntryFact
from halfwater.plain.figures import show

app = typer.Typer(add_completion=False, rich_markup_mode=None)
SECOND_UNITS = {"air": "frac", "lamp": "h"}


@app.command()
def entries(
    tank: Annotated[str, argument("[TANK]", "One tank only.")] = "",
    kind: Annotated[list[str] | None, option("--kind", "KIND", "One kind only; may be given again.")] = None,
    limit: Annotated[int, option("--limit", "N", "How many at most.")] = 30,
    void: Annotated[bool, typer.Option("--void", help="Show voided entries too.")] = False,
    as_json: JsonFlag = False,
) -> None:
    """Read back what is noted, newest first."""
    found = read_back(tank, tuple(kind or ()), limit, include_void=void)
    if as_json:
        print_json({"entries": found})
        return
    nursery = queries.nursery()
    zone = ZoneInfo(nursery.time_zone)
    rows = [
        (str(one.uuid)[:8], f"{one.at.astimezone(zone):%Y-%m-%d %H:%M}", one.tank_name, one.kind,
         shown(one, nursery.units), one.who)
        for one in found
    ]  # fmt: skip
    if rows:
        print_table("", ("Id", "When", "Tank", "Kind", "What", "Who"), rows)
    else:
        print_lines("", ("Nothing is noted yet.",))


def shown(entry: EntryFact, units: str) -> str:
    """What an entry says, in the grower's units."""
    unit = KIND_UNITS[entry.kind] or "count"
    said = [show(entry.value, unit, units)] if entry.value is not None and entry.kind != "sighting" else []
    if entry.second is not None:
        said.append(show(entry.second, SECOND_UNITS.get(entry.kind, "count"), units))
    if entry.to_line:
        said.append(f"down to the {entry.to_line} line")
    strength = ("", "little", "some", "much")[int(entry.value or 0)] if entry.kind == "sighting" else ""
    said += [part for part in (entry.word, strength, entry.mix_name, entry.spot, entry.text) if part]
    if entry.voided_at is not None:
        said.append(f"[void: {entry.void_reason}]")
    return ", ".join(said)
