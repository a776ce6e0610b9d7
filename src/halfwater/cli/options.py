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


def options_typed(ctx: typer.Context) -> dict[str, str]:
    """The options that were typed, with their values; --json is not one that changes the question."""
    typed = {}
    for one in ctx.command.params:
        value = ctx.params.get(one.name or "")
        is_typed = getattr(ctx.get_parameter_source(one.name or ""), "name", "") == "COMMANDLINE"
        if value and is_typed and one.opts[0].startswith("--") and one.opts[0] != "--json":
            typed[one.opts[0]] = ", ".join(value) if isinstance(value, list | tuple) else str(value)
    return typed
