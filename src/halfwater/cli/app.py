"""The command `halfwater`: a table of commands, each loaded only when it is called.

Every error leaves as one sentence on stderr: exit 2 for what was typed,
1 for what the book refuses.
"""

import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup
from typer.exceptions import TyperException

from halfwater import __version__
from halfwater.errors import HalfwaterError, RefusedInput

# name -> (module, needs the book, line of help), in the order of an ordinary day
COMMANDS: dict[str, tuple[str, bool, str]] = {
    "tonight": ("tonight", True, "What to do tonight: sprays, mixes, siphons, readings, and what can wait."),
    "tank": ("tank", True, "One tank: its waterline, when to siphon, what it learned, its light."),
    "ready": ("ready", True, "How many pots of each grade are ready when, with ranges."),
    "stock": ("stock", True, "What stands where: tanks, batches, single pots, and where they came from."),
    "plan": ("plan", True, "What to cut, keep and sell in the weeks to come, and what it brings."),
    "release": ("release", True, "Releases: what could be offered, lines and their pots, open, announce."),
    "orders": ("orders", True, "Orders: by hand, from a web shop's file, paid, packed, sent."),
    "price": ("price", True, "What past releases say of demand, and what to ask for what is ready."),
    "transit": ("transit", True, "What the weather means for a parcel; what waits on the packing bench."),
    "cost": ("cost", True, "What plants cost and earned, what would pay, the ledger."),
    "score": ("score", True, "How the forecasts that were shown came out."),
    "note": ("note", True, "Note an entry: a spray, a fill, a siphon, a reading, a loss, a sighting ..."),
    "entries": ("entries", True, "Read back what is noted, newest first."),
    "void": ("void", True, "Void an entry, with a reason."),
    "pots": ("pots", False, "How many pots a floor takes, and where each stands."),
    "mix": ("mix", True, "What a feed gives, how to make a mix, a recipe for a target, stocks, comparison."),
    "light": ("light", True, "The daily light of a tank, spot by spot, or of lamps you describe."),
    "bath": ("bath", True, "The salts in a bath: EC now and later, why it moves, siphon and refill."),
    "air": ("air", True, "The air under a lid: damp, vapour, carbon dioxide, dew; and algae."),
    "import": ("import_files", True, "Read tanks.csv and entries.csv into the book: all of it or nothing."),
    "export": ("export_files", True, "Write the whole book as files that import reads."),
    "serve": ("serve", False, "Serve the pages, on this machine only unless told otherwise."),
    "password": ("password", True, "Set the owner's password, needed to serve beyond this machine."),
    "demo": ("demo", False, "Make a demo book beside your own, print its round, and serve it."),
}

STOPPED = 130  # the exit code of what was ended by Ctrl-C


class LateGroup(TyperGroup):
    """A group that knows its commands by name and imports each at its door."""

    def list_commands(self, ctx: Any) -> list[str]:
        """Every command, in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        """The command itself, its module imported now."""
        if cmd_name not in COMMANDS:
            return None
        module, needs_book, _ = COMMANDS[cmd_name]
        config = import_module("halfwater.config") if needs_book else None
        if config is not None:
            config.boot()
        command = typer.main.get_command(import_module(f"halfwater.cli.{module}").app)
        command.name = cmd_name
        if config is not None:  # opened once the words are understood: --help makes no book
            command.invoke = _after(config.open_book, command.invoke)  # type: ignore[method-assign]
        return command

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """The list of commands in --help, from the table alone."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, _, line) in COMMANDS.items()])


def _after(first: Callable[[], None], then: Callable[[Any], Any]) -> Callable[[Any], Any]:
    """Both, one after the other."""

    def invoke(ctx: Any) -> Any:
        first()
        return then(ctx)

    return invoke


def _say_version(is_asked: bool) -> None:
    """Print the version and end."""
    if is_asked:
        typer.echo(f"halfwater {__version__}")
        raise typer.Exit


app = typer.Typer(
    cls=LateGroup,
    name="halfwater",
    help="The record book and evening adviser of a small nursery whose plants stand half in water.",
    add_completion=False,
    rich_markup_mode=None,
)


@app.callback()
def _root(
    is_version: Annotated[
        bool,
        typer.Option("--version", help="Say which halfwater this is.", is_eager=True, callback=_say_version),
    ] = False,
) -> None:
    """The record book and evening adviser of a small nursery whose plants stand half in water."""


def run(argv: Sequence[str]) -> int:
    """Run one command line; give its exit code."""
    try:
        _refuse_no_text(argv)
        code = typer.main.get_command(app).main(
            list(argv) or ["--help"], prog_name="halfwater", standalone_mode=False, windows_expand_args=False
        )
    except HalfwaterError as refused:
        return _refused(refused)
    except TyperException as usage:
        typer.echo(_one_sentence(usage.format_message()), err=True)
        return usage.exit_code
    except (typer.Abort, KeyboardInterrupt):
        code = STOPPED
    except SystemExit:  # whoever read along has closed the pipe
        return 0
    except Exception as error:
        fault = import_module("halfwater.config.faults").fault_of(error)
        if fault is None:
            raise
        return _refused(fault)
    if code == STOPPED:
        typer.echo("Stopped.", err=True)
    return code if isinstance(code, int) else 0


def _refused(refused: HalfwaterError) -> int:
    """Say a refusal and give its exit code."""
    typer.echo(str(refused), err=True)
    return 2 if isinstance(refused, RefusedInput) else 1


def _refuse_no_text(argv: Sequence[str]) -> None:
    """Refuse bytes that no text in UTF-8 has."""
    for word in argv:
        if not word.isprintable() and any("\ud800" <= sign <= "\udfff" for sign in word):
            raise RefusedInput("argument", ascii(word), "text in UTF-8")


def _one_sentence(message: str) -> str:
    """A usage error on one line, ending in a full stop and saying where help is."""
    told = " ".join(message.split()).rstrip(".")
    return f"{told}; `halfwater --help` lists the commands and `halfwater COMMAND --help` what one takes."


def main() -> None:
    """The entry point of the command `halfwater`."""
    sys.exit(run(sys.argv[1:]))
