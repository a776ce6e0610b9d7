"""`halfwater import FILE...`: tables into the book, all of them or nothing."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

import typer

from halfwater.cli.options import argument
from halfwater.cli.printing import JsonFlag, print_json, print_lines
from halfwater.cli.who import who_is_here
from halfwater.deeds.imports import import_files as bring_in
from halfwater.deeds.imports import import_help

app = typer.Typer(add_completion=False, rich_markup_mode=None)
NOUNS = {
    "standing pot": ("pot", "pots"), "batch": ("batch", "batches"), "price": ("price", "prices"),
    "taxon": ("taxon", "taxa"), "mix": ("mix", "mixes"), "pot": ("pot type", "pot types"),
}  # fmt: skip


@app.command(epilog="\b\n" + import_help().replace("\n\n", "\n\n\b\n"))
def import_files(
    files: Annotated[list[Path], argument("FILE...", "CSV files, told apart by name or header.")],
    check: Annotated[bool, typer.Option("--check", help="Only try: nothing is kept.")] = False,
    as_json: JsonFlag = False,
) -> None:
    """Read CSV tables into the book: the whole of it or nothing, every bad cell named."""
    done = bring_in(files, check, who_is_here(), datetime.now(UTC))
    if as_json:
        print_json(done)
        return
    would = "Would be" if check else "Now"
    print_lines("", [f"{file}: {rows} rows of {noun}." for file, noun, rows in done.files])
    others = [f"{many} {_called(noun, many)}" for noun, many in done.other_new.items()]
    typer.echo(
        f"{would} in the book: {done.tanks_new} new tanks, {done.tanks_changed} changed; "
        f"{done.entries_new} new entries, {done.entries_kept} there already"
        f"{'; and new: ' if others else ''}{', '.join(others)}."
    )


def _called(noun: str, many: int) -> str:
    """The noun for one or many; of a “kind of box” there are “kinds of box”."""
    head, of, rest = noun.partition(" of ")
    return NOUNS.get(noun, (noun, f"{head}s{of}{rest}"))[many > 1]
