"""`halfwater mix`: a dose of a labelled feed, or a mix of the book made up."""

from collections.abc import Iterable
from dataclasses import asdict
from typing import Annotated

import typer

from halfwater.cli.options import argument, option
from halfwater.cli.printing import JsonFlag, measured, print_json, print_lines, print_table
from halfwater.deeds.mixes import LabelDose, TypedLabel, dose_of_label, mix_to_make
from halfwater.errors import RefusedInput
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
    name: Annotated[str, argument("[NAME]", "A mix of your book.")] = "",
    volume: Annotated[str, option("--volume", "VOLUME", "How much of it to make.")] = "",
    label: Annotated[str, option("--label", "N-P-K", "A label such as 9-3-6.")] = "",
    dose: Annotated[str, option("--dose", "DOSE", "2 tsp/gal, 2.6 mL/L, 0.5 g/L ...")] = "",
    density: Annotated[str, option("--density", "KG/L", "Density of a liquid labelled by weight.")] = "",
    basis: Annotated[str, option("--basis", "WORD", "w/w (by weight) or w/v (by volume).")] = "w/w",
    form: Annotated[str, option("--form", "WORD", "liquid or dry; told by the dose when left out.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """What a dose of a labelled feed gives, or how to make up a mix of your book.

    halfwater mix --label 9-3-6 --density 1.2 --dose "2 tsp/gal" ·
    halfwater mix Night --volume 1L
    """
    if bool(name) == bool(label):
        raise RefusedInput("mix", name, "the name of a mix with --volume, or a --label with a --dose")
    if label:
        _print_dose(dose_of_label(TypedLabel(label, dose, density, basis, form)), as_json)
    else:
        _print_mix(name, volume, as_json)


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
    rows.append(("water", f"to {show(made.volume_l, 'l')}", "", ""))
    print_table(
        f"{show(made.volume_l, 'l')} of {made.mix}", ("Feed", "Amount", "In spoons", "Spoons off by"), rows
    )
    if made.strength is not None:
        print_table("It holds, over the water", ("Element", "In the mix"), _elements(asdict(made.strength)))
    print_lines("Cannot be said", (made.why,) if made.why else ())
    print_lines("Mind", made.cautions)
