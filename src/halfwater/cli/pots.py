"""`halfwater pots FLOOR POT`: how many pots a floor takes, and where each stands."""

from typing import Annotated

import typer

from halfwater.cli.options import MINUS_IS_NO_OPTION, argument, option, refuse_unknown_options
from halfwater.cli.printing import JsonFlag, print_json, print_table
from halfwater.deeds.pots import pots_on_floor
from halfwater.plain.figures import show

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command(context_settings=MINUS_IS_NO_OPTION)
def pots(
    floor: Annotated[str, argument("FLOOR", "Inside length and width, such as “36 x 18 in”.")],
    pot: Annotated[str, argument("POT", "Width of a pot at its rim, such as “2 in”.")],
    keep_out: Annotated[
        list[str] | None,
        option(
            "--keep-out",
            "RECTANGLE",
            "Floor to keep free, from the front left corner: “0 0 60 40 mm”. May be given again.",
        ),
    ] = None,
    gap: Annotated[str, option("--gap", "LENGTH", "Room between pots.")] = "",
    units: Annotated[str, option("--units", "WORD", "metric or us: what a bare number means.")] = "metric",
    as_json: JsonFlag = False,
) -> None:
    """How many round pots a floor takes, and where each stands."""
    refuse_unknown_options("pots", floor, pot)
    packing = pots_on_floor(floor, pot, keep_out or (), gap, units)
    if as_json:
        print_json(packing)
        return
    typer.echo(f"{packing.count} pots, {packing.pattern}; no layout takes more than {packing.bound_count}.")
    rows: dict[str, list[str]] = {}
    for spot in packing.spots:
        place = f"{show(spot.x_mm, 'mm', units)}, {show(spot.y_mm, 'mm', units)}"
        rows.setdefault(spot.name.rstrip("0123456789"), []).append(place)
    table = [(row, str(len(places)), places[0], places[-1]) for row, places in rows.items()]
    print_table("Rows, from the front left corner", ("Row", "Pots", "First pot at", "Last pot at"), table)
    print_table(
        "Other layouts", ("Pattern", "Pots"), [(name, str(count)) for name, count in packing.alternatives]
    )
