"""`halfwater void`: take an entry out of the reckoning, with a reason; it stays in the book."""

from datetime import UTC, datetime
from typing import Annotated

import typer

from halfwater.cli.options import argument
from halfwater.cli.printing import JsonFlag, print_json
from halfwater.cli.who import who_is_here
from halfwater.deeds.entries import void as void_one

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def void(
    entry: Annotated[str, argument("ID", "The entry's id, or its first signs.")],
    reason: Annotated[str, argument("REASON", "Why it does not count.")],
    as_json: JsonFlag = False,
) -> None:
    """Void an entry, with a reason. Note it anew with `halfwater note`."""
    gone = void_one(entry, reason, who_is_here(), datetime.now(UTC))
    if as_json:
        print_json({"uuid": gone.uuid, "voided_at": gone.voided_at, "void_reason": gone.void_reason})
    else:
        typer.echo(f"Voided: {gone.kind} of {gone.day.isoformat()} ({gone.void_reason}).")
