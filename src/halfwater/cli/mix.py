"""`halfwater mix`: mixes made up, looked at and compared; recipes for a target, stocks, a labelled feed."""

from collections.abc import Callable, Iterable
from dataclasses import asdict

import typer

from halfwater.book import queries
from halfwater.cli.mix_build import say_compared, say_look, say_recipe, say_shelf, say_stocks
from halfwater.cli.mix_options import (
    Basis,
    Compare,
    Density,
    Form,
    GivenDose,
    Keep,
    KeepAs,
    Label,
    Names,
    Part,
    ShelfAsked,
    StockRatio,
    Strengths,
    TargetName,
    Unit,
    Use,
    Volume,
    WantedEc,
    Warmth,
    Water,
    refuse_passed_over,
)
from halfwater.cli.options import options_typed
from halfwater.cli.printing import JsonFlag, measured, print_json, print_lines, print_table
from halfwater.cli.who import who_is_here
from halfwater.deeds.mix_build import (
    BuildAsked,
    Built,
    build_mix,
    compare,
    keep_recipe,
    look_at,
    stocks_of,
    targets,
)
from halfwater.deeds.mixes import LabelDose, TypedLabel, dose_of_label, mix_to_make
from halfwater.deeds.shelf import shelf
from halfwater.deeds.source_water import waters
from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import MixLook
from halfwater.plain.figures import show

app = typer.Typer(add_completion=False, rich_markup_mode=None)
NAMES = {
    "n": "nitrogen",
    "p": "phosphorus",
    "k": "potassium",
    "ca": "calcium",
    "mg": "magnesium",
    "s": "sulphur",
}


@app.command()
def mix(
    ctx: typer.Context,
    names: Names = None,
    volume: Volume = "",
    label: Label = "",
    dose: GivenDose = "",
    density: Density = "",
    basis: Basis = "w/w",
    form: Form = "",
    target: TargetName = "",
    part: Part = "",
    strengths: Strengths = "",
    unit: Unit = "mg/L",
    ec: WantedEc = "",
    water: Water = "",
    temp: Warmth = "",
    use: Use = None,
    stock: StockRatio = "",
    keep: Keep = "",
    keep_as: KeepAs = "night",
    is_compare: Compare = False,
    is_shelf: ShelfAsked = False,
    as_json: JsonFlag = False,
) -> None:
    """How to make up a mix, what a feed gives, and which recipe from your shelf meets a target.

    halfwater mix Night --volume 1L · halfwater mix --label 9-3-6 --density 1.2 --dose "2 tsp/gal" ·
    halfwater mix --target Steiner --part 1/4 --water rain --volume 10L ·
    halfwater mix Night --stock 1:100 · halfwater mix --compare
    """
    named, used = tuple(names or ()), tuple(use or ())
    asked = BuildAsked(target, part, strengths, unit, ec, water, volume, temp, used)
    refuse_passed_over(named, options_typed(ctx))
    if is_shelf:
        _shelf(as_json)
    elif is_compare or len(named) > 1:
        _compared(compare(named, water, temp), as_json)
    elif stock:
        _stocks(asked if _wants(asked) else _one(named), stock, asked, as_json)
    elif _wants(asked):
        _recipe(asked, keep, keep_as, as_json)
    elif label:
        _print_dose(dose_of_label(TypedLabel(label, dose, density, basis, form)), as_json)
    else:
        _of_book(_one(named), volume, (water, temp), as_json)


def _compared(looks: tuple[MixLook, ...], as_json: bool) -> None:
    _out({"mixes": looks}, as_json, lambda: say_compared(looks))


def _of_book(name: str, volume: str, water_and_temp: tuple[str, str], as_json: bool) -> None:
    """A mix of the book: made up for a volume, or looked at."""
    if volume:
        _print_mix(name, volume, as_json)
    else:
        look = look_at(name, *water_and_temp)
        _out(look, as_json, lambda: say_look(look))


def _stocks(made_of: BuildAsked | str, factor: str, asked: BuildAsked, as_json: bool) -> None:
    plan = stocks_of(made_of, factor, asked.volume or "1 L", asked.water, asked.temp)
    _out(plan, as_json, lambda: say_stocks(plan))


def _shelf(as_json: bool) -> None:
    rows, every, kept = shelf(), targets(), waters()
    told = {"shelf": rows, "waters": kept, "targets": every}
    _out(told, as_json, lambda: say_shelf(rows, every, kept))


def _recipe(asked: BuildAsked, keep: str, keep_as: str, as_json: bool) -> None:
    built = build_mix(asked)
    kept = keep_recipe(asked, keep, keep_as, who_is_here()) if keep else None
    told = {"kept_mix": kept, "water": built.water_name, "recipe": built.recipe}
    _out(told, as_json, lambda: _say_built(built, keep))


def _wants(asked: BuildAsked) -> bool:
    return bool(asked.target or asked.strengths)


def _one(named: tuple[str, ...]) -> str:
    if not named:
        raise RefusedInput(
            "mix",
            "",
            "the name of a mix, a --label with a --dose, a --target, --strengths, --compare or --shelf",
        )
    return named[0]


def _out(answer: object, as_json: bool, say: Callable[[], None]) -> None:
    if as_json:
        print_json(answer)
    else:
        say()


def _say_built(built: Built, keep: str) -> None:
    say_recipe(built)
    if keep:
        print_lines("", (f"Kept as the mix {keep}; measure its EC once.",))


def _print_dose(given: LabelDose, as_json: bool) -> None:
    strength = asdict(given.strength)
    if as_json:
        print_json({"dose_ml_l": given.dose_ml_l, "dose_g_l": given.dose_g_l} | strength)
        return
    dose = show(given.dose_g_l, "g_l") if given.dose_ml_l is None else show(given.dose_ml_l, "ml_l")
    print_table(f"{dose} gives", ("Element", "In the mix"), _elements(strength))


def _elements(strength: dict[str, float | None]) -> Iterable[tuple[str, str]]:
    """The elements that are there, in words."""
    for key, value in strength.items():
        sign = key.removesuffix("_mg_l")
        if value and not sign.startswith("n_"):
            yield NAMES.get(sign, sign.capitalize()), show(value, "mg_l")
    for form in ("nitrate", "ammonium", "urea"):
        value = strength.get(f"n_{form}_mg_l")
        if value:
            yield f"nitrogen as {form}", show(value, "mg_l")


def _print_mix(name: str, volume: str, as_json: bool) -> None:
    made = mix_to_make(name, volume)
    if as_json:
        print_json({**asdict(made), "n_mg_l": made.n_mg_l, "p_mg_l": made.p_mg_l, "k_mg_l": made.k_mg_l})
        return
    rows = [
        (part.feed, measured(part.amount_ml, part.amount_g),
         part.spoon_text, show(part.spoon_error_frac, "frac") if part.spoon_error_frac is not None else "")
        for part in made.parts
    ]  # fmt: skip
    volume = show(made.volume_l, "l", queries.nursery().units)
    rows.append(("water", f"to {volume}", "", ""))
    print_table(f"{volume} of {made.mix}", ("Feed", "Amount", "In spoons", "Spoons off by"), rows)
    if made.strength is not None:
        print_table("It holds, over the water", ("Element", "In the mix"), _elements(asdict(made.strength)))
    print_lines("Cannot be said", (made.why,) if made.why else ())
    print_lines("Mind", made.cautions)
