"""`halfwater light`: the daily light of a tank, or of lamps described on the spot."""

from datetime import UTC, datetime
from typing import Annotated, Any

import typer

from halfwater.cli.light_floor import say_floor
from halfwater.cli.options import argument, option, options_typed
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.deeds.light import TypedLight, light_as_typed, light_of_named
from halfwater.deeds.light_map import light_map_of
from halfwater.errors import RefusedInput
from halfwater.plain.figures import show

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def light(
    ctx: typer.Context,
    tank: Annotated[str, argument("[TANK]", "A tank of your book.")] = "",
    ppfd: Annotated[str, option("--ppfd", "LIGHT", "The lamp at pot height, full power.")] = "",
    lux: Annotated[str, option("--lux", "LUX", "The same by a lux meter.")] = "",
    factor: Annotated[str, option("--factor", "LUX", "The lamp's own factor: lux for 1 umol/m2/s.")] = "",
    source: Annotated[
        str, option("--source", "WORD", "A source with a published factor, such as “sun and sky”.")
    ] = "",
    hours: Annotated[str, option("--hours", "HOURS", "How long the lamp burns a day.")] = "",
    dimmer: Annotated[str, option("--dimmer", "SHARE", "Its setting, such as 60 %.")] = "",
    stray_ppfd: Annotated[str, option("--stray-ppfd", "LIGHT", "Light from window or room.")] = "",
    stray_hours: Annotated[str, option("--stray-hours", "HOURS", "Hours of it a day.")] = "",
    is_map: Annotated[
        bool, typer.Option("--map", help="Every spot of the tank's floor, from your readings.")
    ] = False,
    target: Annotated[str, option("--target", "DLI", "With --map: the daily light that is wanted.")] = "",
    taxon: Annotated[str, option("--taxon", "NAME", "With --map: the plant it is wanted for.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """The daily light of a tank, or of a lamp that you describe.

    halfwater light North · halfwater light North --map --taxon nana ·
    halfwater light --ppfd 60 --hours 10 --dimmer "80 %" --stray-ppfd 8 --stray-hours 12
    """
    asks_map = bool(is_map or target or taxon)
    _refuse_passed_over(tank, options_typed(ctx), asks_map=asks_map)
    if asks_map:
        floor = light_map_of(tank, datetime.now(UTC), target=target, taxon=taxon)
        if as_json:
            print_json(floor)
        else:
            say_floor(floor, taxon)
        return
    typed = TypedLight(ppfd, lux, factor, source, hours, dimmer, stray_ppfd, stray_hours)
    answer = light_of_named(tank) if tank else light_as_typed(typed)
    if as_json:
        print_json(as_object(answer))
    else:
        _print(answer)


def _refuse_passed_over(tank: str, typed: dict[str, str], *, asks_map: bool) -> None:
    """Refuse a map without a tank, and a lamp described beside a tank that has its own."""
    if asks_map and not tank:
        accepted = "the tank whose floor is asked for, such as `halfwater light North --map`"
        raise RefusedInput("tank", "", accepted)
    for flag, value in typed.items():
        if tank and flag not in ("--map", "--target", "--taxon"):
            raise RefusedInput(flag, value, "left out with a tank: its own lamp is told")


def as_object(answer: Any) -> dict[str, Any]:
    """The answer for programs."""
    sources = [
        {
            "name": one.name,
            "ppfd_umol_m2_s": one.ppfd_umol_m2_s,
            "lit_h": one.lit_h,
            "dli_mol_m2_d": one.dli_mol_m2_d,
        }
        for one in answer.sources
    ]
    return {
        "dli_mol_m2_d": answer.dli_mol_m2_d,
        "sources": sources,
        "meaning": answer.meaning or None,
        "why": answer.why or None,
    }


def _print(answer: Any) -> None:
    rows = [
        (
            one.name,
            show(one.ppfd_umol_m2_s, "umol_m2_s"),
            show(one.lit_h, "h"),
            show(one.dli_mol_m2_d, "mol_m2_d"),
        )
        for one in answer.sources
    ]
    if rows:
        print_table("", ("Source", "At the pots", "A day", "Daily light"), rows)
    print_lines("", (f"In all {show(answer.dli_mol_m2_d, 'mol_m2_d')}. {answer.meaning or answer.why}",))
