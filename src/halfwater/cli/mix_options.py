"""What `halfwater mix` takes."""

from typing import Annotated

import typer

from halfwater.cli.options import argument, option

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
