"""`halfwater tonight`: the round in walking order, and what can wait."""

from datetime import UTC, date, datetime
from itertools import groupby
from typing import Annotated, Any

import typer

from halfwater.book import queries
from halfwater.cli.options import option
from halfwater.cli.printing import JsonFlag, as_plain, measured, print_json, print_lines, print_steps
from halfwater.cli.who import who_is_here
from halfwater.deeds.clock import local_day, read_day
from halfwater.deeds.tonight import Job, Round, SiphonAhead, lines_as_planned, note_round, undo_round
from halfwater.deeds.tonight import tonight as plan_tonight
from halfwater.errors import RefusedInput
from halfwater.plain.figures import show, show_date, show_dates, show_minutes

app = typer.Typer(add_completion=False, rich_markup_mode=None)
DOES = {
    "mix": "make up", "read": "read the waterline", "ec": "read the EC", "act": "against algae",
    "siphon": "siphon", "fill": "fill", "spray": "spray",
    "look": "look over", "count": "count leaves", "cut": "cut", "move": "move",
}  # fmt: skip


@app.command()
def tonight(
    on: Annotated[str, option("--on", "DATE", "Another evening, such as 2026-11-20.")] = "",
    is_done: Annotated[bool, typer.Option("--done", help="Note the whole round as planned.")] = False,
    is_undone: Annotated[
        bool, typer.Option("--undo", help="Void what --done, or the button, noted.")
    ] = False,
    as_json: JsonFlag = False,
) -> None:
    """What to do tonight, with amounts, and when each tank must be siphoned."""
    now = datetime.now(UTC)
    if is_done and is_undone:
        raise RefusedInput("--undo", "--undo", "--done or --undo, one at a time")
    day = read_day(on, "--on") if on else None
    if is_undone:
        _undo(day or local_day(now, queries.nursery()), now, as_json)
        return
    planned = plan_tonight(day, now)
    if is_done:
        _note(planned, now, as_json)
    elif as_json:
        print_json(as_object(planned))
    else:
        print_round(planned, now)


def _note(planned: Round, now: datetime, as_json: bool) -> None:
    """One tap at the terminal: every spray, siphon, fill and look-over of the round."""
    lines = lines_as_planned(planned)
    noted = note_round(lines, planned.on, who_is_here(), now)
    left = [job for job in planned.jobs if job.kind in ("read", "ec", "count", "act", "cut", "move")]
    if as_json:
        print_json(
            {"on": planned.on, "new": noted.new, "kept": noted.kept, "left": [job.key for job in left]}
        )
        return
    said = [f"{DOES[line.job.kind]} {line.job.tank}" for line in lines] if noted.new else []
    print_lines(f"Noted, {show_date(planned.on)}", said or ["nothing: it stands in the book already."])
    print_lines("Still to be noted, as they need a number", [f"{DOES[job.kind]} {job.tank}" for job in left])


def _undo(on: date, now: datetime, as_json: bool) -> None:
    """Take the round back."""
    voided = undo_round(on, who_is_here(), now)
    if as_json:
        print_json({"on": on, "voided": voided})
    else:
        print_lines("", (f"Undone: {voided} entries of the round of {show_date(on)} are void.",))


def as_object(planned: Round) -> dict[str, Any]:
    """The round for programs; what a job does not have is null."""
    found = as_plain(planned)
    for job in found["jobs"]:
        job.update(
            {name: job[name] or None for name in ("tank", "mix", "session", "to_line", "to_tank", "what")}
        )
    return dict(found)


def print_round(planned: Round, now: datetime) -> None:
    """Print a round for people."""
    nursery = queries.nursery()
    today = local_day(now, nursery)
    title = f"{'Tonight' if planned.on == today else 'Round'}, {show_date(planned.on, today)}"
    if not planned.jobs:
        print_lines(title, ("Nothing is left to do.",))
    else:
        work = sum(job.minutes for job in planned.jobs if job.kind in ("cut", "move"))
        beside = f", and {show_minutes(work)} of cutting and moving this week" if work else ""
        print_lines("", (f"{title}: {show_minutes(planned.minutes)}{beside}",))
    for place, jobs in groupby(planned.jobs, key=lambda job: job.tank or "Mix first"):
        print_steps(place, [_step(job, nursery.units, today) for job in jobs])
    print_steps("Siphon dates", [_siphon(ahead, nursery.units, today) for ahead in planned.siphons])
    print_lines("Noted already", planned.done)
    print_lines("Needs no doing", planned.not_needed)
    print_lines("Mind", dict.fromkeys(line for mix in planned.mixes_to_make for line in mix.cautions))


def _step(job: Job, units: str, today: date) -> tuple[str, str, str]:
    """One job: what, how much, and why where that is news."""
    is_usual = job.kind == "mix" or (job.kind == "spray" and not job.what)
    why = "" if is_usual else job.why
    return (job.mix if job.kind == "mix" else DOES[job.kind], _amount(job, units, today), why)


def _siphon(ahead: SiphonAhead, units: str, today: date) -> tuple[str, str, str]:
    """One tank's siphon date."""
    dates = show_dates(ahead.siphon_p10_on, ahead.siphon_p50_on, ahead.siphon_p90_on, today)
    litres = show(ahead.volume_l, "l", units)
    return ahead.tank, f"{dates}: {litres} down to {show(ahead.low_line_mm, 'mm', units)}", ""


def _amount(job: Job, units: str, today: date) -> str:
    """The amounts of one job in the grower's units."""
    if job.recipe is not None:
        parts = [_part(part) for part in job.recipe.parts]
        return f"{', '.join(parts)}, water to {show(job.volume_l, 'l', units)}"
    if job.what and job.volume_l is None:
        return job.what
    said = [show(job.volume_l, "l", units)] if job.volume_l is not None else []
    if job.mix or job.what:
        said.append(f"of {job.mix or job.what}")
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
