"""What `halfwater mix` takes."""

from collections.abc import Mapping
from typing import Annotated

import typer

from halfwater.cli.options import argument, option
from halfwater.errors import RefusedInput

Names = Annotated[list[str] | None, argument("[NAME]...", "A mix of your book; several to compare.")]
Volume = Annotated[str, option("--volume", "VOLUME", "How much of it to make.")]
Label = Annotated[str, option("--label", "N-P-K", "A label such as 9-3-6.")]
GivenDose = Annotated[str, option("--dose", "DOSE", "2 tsp/gal, 2.6 mL/L, 0.5 g/L ...")]
Density = Annotated[str, option("--density", "KG/L", "Density of a liquid labelled by weight.")]
Basis = Annotated[str, option("--basis", "WORD", "w/w (by weight) or w/v (by volume).")]
Form = Annotated[str, option("--form", "WORD", "liquid or dry; told by the dose when left out.")]
TargetName = Annotated[str, option("--target", "NAME", "Make it to this target, yours or published.")]
Part = Annotated[str, option("--part", "SHARE", "So much of the target: 25 % or 1/4.")]
Strengths = Annotated[str, option("--strengths", "LIST", "Make it to “N 50, P 10, K 40”.")]
Unit = Annotated[str, option("--unit", "UNIT", "Of the strengths: mg/L or mmol/L.")]
WantedEc = Annotated[str, option("--ec", "EC", "Make it to this EC, at the target's proportions.")]
Water = Annotated[str, option("--water", "WATER", "A kept water, rain, an EC, “60% Tap + 40% Rain”.")]
Warmth = Annotated[str, option("--temp", "WARMTH", "Of the mix, such as 12 C; a room's when left out.")]
Use = Annotated[list[str] | None, option("--use", "NAME", "Only this of the shelf; again for more.")]
StockRatio = Annotated[str, option("--stock", "1:N", "As stock solutions A and B, such as 1:100.")]
Keep = Annotated[str, option("--keep", "NAME", "Keep the recipe as a mix of this name.")]
KeepAs = Annotated[str, option("--as", "USE", "What the kept mix is for: night, weak or fill.")]
Compare = Annotated[bool, typer.Option("--compare", help="Your mixes side by side.")]
ShelfAsked = Annotated[bool, typer.Option("--shelf", help="What there is to mix from, and targets.")]

_RECIPE = {"--target", "--part", "--strengths", "--unit", "--ec", "--use", "--volume", "--water", "--temp"}
# what decides the question -> the options that go with it; the first that was given decides
_QUESTIONS: dict[str, set[str]] = {
    "--shelf": set(),
    "--compare": {"--water", "--temp"},
    "--stock": _RECIPE,
    "--target": _RECIPE | {"--keep", "--as"},
    "--strengths": _RECIPE | {"--keep", "--as"},
    "--label": {"--dose", "--density", "--basis", "--form"},
}
_RECIPE_ONLY = {"--part", "--unit", "--ec", "--use", "--keep", "--as"}


def refuse_passed_over(named: tuple[str, ...], given: Mapping[str, str]) -> None:
    """Refuse two questions at once, and an option that the question has no use for."""
    if len(named) > 1:
        given = {"--compare": ", ".join(named), **given}
    wants = "--target" in given or "--strengths" in given
    if (named and (wants or "--label" in given)) or (wants and "--label" in given):
        accepted = "one of: a mix by its name, a --label, a --target, --strengths"
        raise RefusedInput("mix", ", ".join(named) or given.get("--label", ""), accepted)
    flag, goes = _question(named, given)
    if flag == "--shelf" and named:
        raise RefusedInput("mix", named[0], "left out with --shelf")
    for other, value in given.items():
        if other != flag and other not in goes:
            with_what = f"left out with {flag}" if flag else "left out with a mix by its name"
            belongs = "; it goes with a --target or --strengths" if other in _RECIPE_ONLY else ""
            raise RefusedInput(other, value, f"{with_what}{belongs}")


def _question(named: tuple[str, ...], given: Mapping[str, str]) -> tuple[str, set[str]]:
    """The option that decides what is asked, and those that go with it."""
    for flag, goes in _QUESTIONS.items():
        if flag in given:
            of_book = flag == "--stock" and bool(named)
            return flag, {"--volume", "--water", "--temp"} if of_book else goes
    if not named:
        return "", set() if _RECIPE_ONLY & given.keys() else set(given)
    return ("--volume", set()) if "--volume" in given else ("", {"--water", "--temp"})
