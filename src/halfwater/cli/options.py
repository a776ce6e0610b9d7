"""How commands describe what they take."""

from typing import Any

import typer


def option(flag: str, metavar: str, says: str) -> Any:
    """An option with a value."""
    return typer.Option(flag, metavar=metavar, help=says)


def argument(metavar: str, says: str) -> Any:
    """An argument by its place."""
    return typer.Argument(metavar=metavar, help=says)
