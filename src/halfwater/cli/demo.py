"""`halfwater demo`: an invented nursery in a book of its own, its round, and its pages."""

from datetime import UTC, datetime
from typing import Annotated

import typer

from halfwater import config
from halfwater.cli.options import option
from halfwater.cli.printing import JsonFlag, print_json, print_lines

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def demo(
    no_serve: Annotated[
        bool, typer.Option("--no-serve", help="Only make the book and print its round.")
    ] = False,
    on: Annotated[str, option("--on", "DATE", "Make it as of this day; printed for it.")] = "",
    port: Annotated[int, option("--port", "N", "The port, or the next free one.")] = 8000,
    as_json: JsonFlag = False,
) -> None:
    """Make a demo book beside your own, print tonight's round, and serve its pages."""
    from halfwater.cli.serve import HERE, free_port, say, serve_pages

    port = free_port(port)
    folder = config.open_demo()
    from halfwater.cli.tonight import as_object, print_round
    from halfwater.deeds.clock import read_day
    from halfwater.deeds.demo import load_demo
    from halfwater.deeds.tonight import tonight

    now = datetime.now(UTC)
    day = read_day(on, "--on") if on else None
    loaded = load_demo(
        now if day is None else min(now, datetime(day.year, day.month, day.day, 18, tzinfo=UTC))
    )
    planned = tonight(day, now)
    if as_json:
        told = {"folder": folder, "loaded": loaded, "round": as_object(planned)}
        if no_serve:
            print_json(told | {"address": None})
        else:
            serve_pages(HERE, port, lambda address, _: print_json(told | {"address": address}))
        return
    typer.echo(f"{loaded.nursery}: {loaded.tanks} tanks; the demo book lies in {folder}.")
    print_round(planned, now)
    said = "HALFWATER_HOME=" + folder
    print_lines("Ask this book with", (f"{said} halfwater tonight", f"{said} halfwater tank NAME"))
    if not no_serve:
        serve_pages(HERE, port, say)
