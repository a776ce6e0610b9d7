"""`halfwater tank NAME`: one tank's bath, dates, learned figures and light."""

from datetime import UTC, datetime
from typing import Annotated, Any

import typer

from halfwater.book import queries
from halfwater.cli.options import argument
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.deeds.clock import local_day
from halfwater.deeds.tank import TankAnswer, tank_answer
from halfwater.plain.figures import show, show_dates, show_range
from halfwater.plain.nursery import NurseryFacts

app = typer.Typer(add_completion=False, rich_markup_mode=None)
KEYS = (
    "depth_mm", "depth_low_mm", "depth_high_mm", "volume_l", "clay_line_mm", "limit_line_mm", "low_line_mm",
    "siphon_p10_on", "siphon_p50_on", "siphon_p90_on", "siphon_volume_l", "siphon_now_volume_l",
    "p_past_limit_now", "catch_frac", "catch_sd_frac", "loss_l_day", "loss_sd_l_day", "spray_l_evening",
    "reading_gain_days", "dli_mol_m2_d", "weight", "misfits", "workings", "why",
)  # fmt: skip


@app.command()
def tank(name: Annotated[str, argument("NAME", "The tank's name.")], as_json: JsonFlag = False) -> None:
    """One tank: where its bath stands, when to siphon, what it learned, its light."""
    now = datetime.now(UTC)
    answer = tank_answer(name, now)
    if as_json:
        print_json(as_object(answer))
    else:
        _print(answer, queries.nursery(), now)


def as_object(answer: TankAnswer) -> dict[str, Any]:
    """The keys fixed for programs, in one flat object."""
    return {"tank": answer.tank.name} | {key: getattr(answer, key) for key in KEYS}


def _print(answer: TankAnswer, nursery: NurseryFacts, now: datetime) -> None:
    units, today = nursery.units, local_day(now, nursery)
    light, low = answer.light, show(answer.low_line_mm, "mm", units)
    rows = [
        ("waterline", show(answer.depth_mm, "mm", units),
         f"80 %: {show_range(answer.depth_low_mm, answer.depth_high_mm, 'mm', units)}"),
        ("bath", show(answer.volume_l, "l", units), ""),
        ("lines", show(answer.limit_line_mm, "mm", units),
         f"limit; clay line {show(answer.clay_line_mm, 'mm', units)}, low line {low}"),
        ("siphon", _dates(answer, today), f"{show(answer.siphon_volume_l, 'l', units)}, down to {low}"),
        ("catch", show(answer.catch_frac, "frac"), f"± {show(answer.catch_sd_frac, 'frac')}"),
        ("loss", show(answer.loss_l_day, "l_day", units), f"± {show(answer.loss_sd_l_day, 'l_day', units)}"),
        ("light", show(answer.dli_mol_m2_d, "mol_m2_d", units), light.meaning or light.why),
    ]  # fmt: skip
    if answer.weight is not None:
        weight = answer.weight
        rows.append(("weight", show(weight.total_kg, "kg", units), weight.caution))
    print_table(answer.tank.name, ("What", "Now", ""), rows)
    if answer.reading_gain_days:
        gain = show(answer.reading_gain_days, "days")
        print_lines("", (f"A waterline reading tonight would narrow the siphon date by about {gain}.",))
    print_lines("Readings set aside", answer.misfits)
    print_lines("Cannot be said", (answer.why,) if answer.why else ())
    rows = [(one.title, one.value, one.equation, one.source) for one in answer.workings]
    print_table("How this was worked out", ("Step", "Result", "Equation", "Source"), rows)


def _dates(answer: TankAnswer, today: Any) -> str:
    if answer.depth_mm is None:
        return "not known"
    return show_dates(answer.siphon_p10_on, answer.siphon_p50_on, answer.siphon_p90_on, today)
