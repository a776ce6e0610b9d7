"""`halfwater password`: what opens the pages beyond this machine."""

import sys
from typing import Annotated

import typer

from halfwater.cli.printing import JsonFlag, print_json
from halfwater.deeds.owner import set_password
from halfwater.errors import RefusedInput

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def password(
    from_stdin: Annotated[bool, typer.Option("--stdin", help="Read it from the standard input.")] = False,
    as_json: JsonFlag = False,
) -> None:
    """Set the owner's password. It is asked for twice and never shown."""
    typed = sys.stdin.readline().rstrip("\n") if from_stdin else _asked_twice()
    set_password(typed)
    if as_json:
        print_json({"is_set": True})
    else:
        typer.echo("The owner's password is set; whoever was logged in must log in again.")


def _asked_twice() -> str:
    first = typer.prompt("New password", hide_input=True)
    if typer.prompt("Once more", hide_input=True) != first:
        raise RefusedInput("password", "…", "the same password twice")
    return str(first)
