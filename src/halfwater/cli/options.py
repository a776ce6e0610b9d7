"""How commands describe what they take."""

from typing import Any

import typer

from halfwater.errors import RefusedInput

# For commands whose arguments may begin with a minus, such as a depth of -3 mm that is to be refused as one.
MINUS_IS_NO_OPTION = {"ignore_unknown_options": True}


def option(flag: str, metavar: str, says: str) -> Any:
    """An option with a value."""
    return typer.Option(flag, metavar=metavar, help=says)


def argument(metavar: str, says: str) -> Any:
    """An argument by its place."""
    return typer.Argument(metavar=metavar, help=says)


def refuse_unknown_options(command: str, *words: str) -> None:
    """Refuse an option that was misspelt and so came in among the arguments."""
    for word in words:
        if word.startswith("--"):
            raise RefusedInput("option", word, f"one that `halfwater {command} --help` lists")
