"""`halfwater tonight`: the round in walking order, and what can wait."""

from datetime import UTC, date, datetime
from typing import Annotated, Any

import typer

from halfwater.book import queries
from halfwater.cli.options import option
from halfwater.cli.printing import JsonFlag, as_plain, measured, print_json, print_lines, print_table
from halfwater.deeds.clock import local_day, read_day
from halfwater.deeds.tonight import Job, Round
from halfwater.deeds.tonight import tonight as plan_tonight
from halfwater.plain.figures import show, show_date, show_minutes

app = typer.Typer(add_completion=False, rich_markup_mode=None)
DOES = {
    "mix": "make up", "read": "read the waterline", "siphon": "siphon", "fill": "fill", "spray": "spray",
    "look": "look over", "count": "count leaves",
}  # fmt: skip


@app.command()
def tonight(
    on: Annotated[str, option("--on", "DATE", "Another evening, such as 2026-11-20.")] = "",
    as_json: JsonFlag = False,
) -> None:
    """What to do tonight, with amounts, and when each tank must be siphoned."""
    now = datetime.now(UTC)
    planned = plan_tonight(read_day(on, "--on") if on else None, now)
    if as_json:
        print_json(as_object(planned))
    else:
        print_round(planned, now)


def as_object(planned: Round) -> dict[str, Any]:
    """The round for programs; what a job does not have is null."""
    found = as_plain(planned)
    for job in found["jobs"]:
        job.update({name: job[name] or None for name in ("tank", "mix", "session", "to_line")})
    return dict(found)


def print_round(planned: Round, now: datetime) -> None:
    """Print a round for people."""
    nursery = queries.nursery()
    today = local_day(now, nursery)
    title = f"{'Tonight' if planned.on == today else 'Round'}, {show_date(planned.on, today)}"
    rows = [
        (job.tank or job.mix, DOES[job.kind], _amount(job, nursery.units, today), job.why)
        for job in planned.jobs
    ]
    if rows:
        print_table(f"{title}: {show_minutes(planned.minutes)}", ("Where", "Do", "How much", "Why"), rows)
    else:
        print_lines(title, ("Nothing is left to do.",))
    print_lines("Noted already", planned.done)
    print_lines("Needs no doing", planned.not_needed)
    print_lines("Mind", dict.fromkeys(line for mix in planned.mixes_to_make for line in mix.cautions))


def _amount(job: Job, units: str, today: date) -> str:
    """The amounts of one job in the grower's units."""
    if job.recipe is not None:
        parts = [_part(part) for part in job.recipe.parts]
        return "\n".join(
            [show(job.volume_l, "l", units), *parts, f"water to {show(job.volume_l, 'l', units)}"]
        )
    said = [show(job.volume_l, "l", units)] if job.volume_l is not None else []
    if job.mix:
        said.append(f"of {job.mix}")
    if job.to_line and job.line_mm is not None:
        said.append(f"{'down' if job.kind == 'siphon' else 'up'} to the {job.to_line} line, ")
        said[-1] += show(job.line_mm, "mm", units)
    if job.by_on is not None:
        said.append(f"by {show_date(job.by_on, today)}")
    if job.session == "morning":
        said.append("in the morning")
    return " ".join(said)


def _part(part: Any) -> str:
    """One feed, measured out."""
    amount = measured(part.amount_ml, part.amount_g)
    spoons = f" ({part.spoon_text})" if part.spoon_text else ""
    return f"{amount} {part.feed}{spoons}"
