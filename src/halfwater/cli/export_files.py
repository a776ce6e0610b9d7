"""`halfwater export FOLDER`: the book as tables that import reads."""

from pathlib import Path
from typing import Annotated

import typer

from halfwater.cli.options import argument
from halfwater.cli.printing import JsonFlag, print_json
from halfwater.deeds.exports import export_files as write_out

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def export_files(
    folder: Annotated[Path, argument("FOLDER", "Where to write; nothing there is written over.")],
    as_json: JsonFlag = False,
) -> None:
    """Write the whole book as CSV tables."""
    files = write_out(folder)
    if as_json:
        print_json({"files": [str(file) for file in files]})
        return
    for file in files:
        typer.echo(str(file))
