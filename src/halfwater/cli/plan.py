"""`halfwater plan`: what to cut, keep and sell, and what it brings."""

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from typing import Annotated, Any

import typer

from halfwater.book import queries
from halfwater.cli.options import option
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_steps, print_table
from halfwater.cli.who import who_is_here
from halfwater.deeds.clock import local_day
from halfwater.deeds.plan_cutting import WEEKS
from halfwater.deeds.plan_cutting import plan as make_plan
from halfwater.deeds.prices import set_for_plan
from halfwater.deeds.standing_plan import PlannedCutting, newest_plan
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.cutting import Action, CuttingPlan, PolicyResult
from halfwater.plain.figures import show, show_date, show_minutes, show_money, show_number
from halfwater.plain.growing import Span

app = typer.Typer(add_completion=False, rich_markup_mode=None)
NEAR_WEEKS = 2  # named down to the pots


@app.command()
def plan(
    is_anew: Annotated[
        bool, typer.Option("--anew", help="Make a plan of today's stock and keep it.")
    ] = False,
    what_if: Annotated[
        list[str] | None,
        option("--what-if", "CHANGE", "Plan with this changed, and keep nothing; may be given again."),
    ] = None,
    weeks: Annotated[int, option("--weeks", "N", "How far to plan, from 8 to 104 weeks.")] = WEEKS,
    setting: Annotated[
        list[str] | None,
        option("--set", "WHAT", "Set a price or the cutting habit: “price nana standard 9.50”."),
    ] = None,
    as_json: JsonFlag = False,
) -> None:
    """The newest cutting plan; the first one is made.

    halfwater plan ·
    halfwater plan --anew --weeks 26 ·
    halfwater plan --what-if "release every 6 weeks" ·
    halfwater plan --set "price nana standard 9.50" --set "minutes_a_week 90"
    """
    if setting:
        if is_anew or what_if:
            raise RefusedInput("--set", setting[0], "--set alone, then --anew")
        _set(setting, as_json)
        return
    now = datetime.now(UTC)
    kept = None if is_anew or what_if or weeks != WEEKS else newest_plan(now)
    planned = kept or make_plan(now, tuple(what_if or ()), weeks)
    today = local_day(now, queries.nursery())
    if as_json:
        print_json(as_object(planned))
    else:
        _refuse_none(planned.plan)
        _print(planned, today)
    if planned.plan.status not in ("optimal", "stopped early") or planned.plan.faults:
        raise typer.Exit(1)


def _set(settings: Sequence[str], as_json: bool) -> None:
    """Set what the plan rests on, one thing a line, all or none."""
    said = set_for_plan(settings, who_is_here())
    if as_json:
        print_json({"set": said, "habit": queries.cutting_habit(), "prices": queries.prices()})
    else:
        print_lines("Set", said)


def _refuse_none(plan: CuttingPlan) -> None:
    """What is no plan leaves as a refusal, with what stands against it."""
    if plan.conflicts:
        raise RefusedByBook(
            f"There is no such plan, for these cannot stand together: {_all(plan.conflicts)}."
        )
    if plan.faults:
        raise RefusedByBook(f"The plan did not pass its own check: {_all(plan.faults)}.")
    if plan.status not in ("optimal", "stopped early"):
        raise RefusedByBook(f"No plan was found: the search ended {plan.status}.")


def _all(parts: Iterable[str]) -> str:
    return "; ".join(part.rstrip(".") for part in parts)


def as_object(planned: PlannedCutting) -> dict[str, Any]:
    """The plan for programs."""
    return {
        "made_at": planned.made_at, "is_stale": planned.is_stale, "why_stale": planned.why_stale or None,
        "what_ifs": planned.what_ifs, "plan": planned.plan, "futures": planned.futures,
        "habits": planned.habits,
    }  # fmt: skip


def _print(planned: PlannedCutting, today: date) -> None:
    made = planned.plan
    print_lines("", [_answer(made, planned.futures)])
    if planned.is_stale:
        print_lines("", [f"Make it anew (`halfwater plan --anew`): {planned.why_stale}."])
    for week in range(NEAR_WEEKS):
        actions = [one for one in made.actions if one.week == week]
        title = "This week" if week == 0 else "Next week"
        print_steps(title, [_step(one) for one in actions])
    _print_releases(made, today)
    _print_futures(planned.futures, made.currency)
    worths = [
        (one.what, show_money(round(one.worth_minor), made.currency), one.detail) for one in made.worths
    ]
    print_table(f"Worth over {made.weeks} weeks", ("One more", "Brings", ""), worths)
    _print_steady(made)
    print_lines("Under the habits of the last year", [one.said for one in planned.habits if one.said])
    print_lines("Checked", made.checked)
    print_lines("Mind", made.cautions)


def _answer(made: CuttingPlan, futures: Sequence[PolicyResult]) -> str:
    """What the weeks bring, and how sure the search is."""
    followed = next((one.income_minor for one in futures if one.name == "the plan"), made.income_minor)
    told = f"{made.weeks} weeks from {show_date(made.on)}: about {_money(followed, made.currency)}"
    if made.gap_frac is not None:
        told += f"; proven to within {show_number(100 * made.gap_frac)} % of the best there is"
    return f"{told}."


def _step(action: Action) -> tuple[str, str, str]:
    """One action: what, how many and which pots, and why."""
    amount = f"{action.pots} {action.taxon_name}{f', {action.grade}' if action.grade else ''}"
    if action.sections:
        amount += f" into {action.sections} sections"
    if action.named:
        amount += f": {', '.join(f'{pot.name} ({pot.tank} {pot.spot})' for pot in action.named)}"
    if action.to_spots:
        amount += f" to {f'{action.to_tank} '.lstrip()}{', '.join(action.to_spots)}"
    if action.minutes:
        amount += f" ({show_minutes(action.minutes)})"
    return action.kind, amount, action.why


def _print_releases(made: CuttingPlan, today: date) -> None:
    rows = [
        (
            show_date(one.on, today), one.taxon_name, one.grade,
            _span(one.pots) if one.offered is None else str(one.offered),
            show_money(one.price_minor, made.currency), show_money(round(one.income_minor), made.currency),
        )
        for one in made.releases
        if one.offered or round(one.pots.p90)
    ]  # fmt: skip
    if rows:
        print_table("Releases", ("On", "Taxon", "Grade", "Pots", "Price", "Brings"), rows)


def _print_futures(futures: Sequence[PolicyResult], currency: str) -> None:
    rows = [
        (
            one.name,
            _money(one.income_minor, currency),
            f"{one.sold:.0f}",
            show_money(round(one.start_worth_minor), currency),
            show_money(round(one.end_worth_minor), currency),
            show(one.p_end_below_start_frac, "frac"),
        )
        for one in futures
    ]
    heads = (
        "In the same futures",
        "Income",
        "Sold",
        "Stock today",
        "Stock at the end",
        "Chance of less stock",
    )
    if rows:
        print_table("", heads, rows)


def _print_steady(made: CuttingPlan) -> None:
    rows = [
        (
            one.taxon_name, ", ".join(f"{pots:.1f} {grade}" for grade, pots in one.sold_a_month.items()),
            f"{one.cut_a_month:.1f}", f"{one.pots_standing:.0f}", f"{one.pots_now:.0f}",
            show_money(round(one.income_minor_a_month), made.currency),
        )
        for one in made.steady
    ]  # fmt: skip
    heads = ("Taxon", "Sold a month", "Cut a month", "Pots it takes", "Pots now", "Brings a month")
    print_table("What the floors could give for ever", heads, rows)


def _span(span: Span) -> str:
    return f"{span.p50:.0f} ({span.p10:.0f}–{span.p90:.0f})"


def _money(span: Span, currency: str) -> str:
    low, high = (show_money(round(value), currency) for value in (span.p10, span.p90))
    return f"{show_money(round(span.p50), currency)} (80 %: {low} to {high})"
