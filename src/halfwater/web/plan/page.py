"""The Plan page as plain data: the answer, the calendar, what to do, what it brings and against what."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from halfwater.pictures.plan import (
    CalendarBand,
    CalendarMark,
    CalendarPicture,
    calendar_sentence,
    draw_calendar,
    draw_mark,
)
from halfwater.plain.cutting import (
    CuttingPlan,
    HabitView,
    PolicyResult,
    ReleaseLine,
    SteadyYield,
)
from halfwater.plain.figures import (
    show_date,
    show_list,
    show_minutes,
    show_money,
    show_money_about,
    show_number,
)
from halfwater.plain.growing import Span
from halfwater.plain.working import Working
from halfwater.web.fields import Form
from halfwater.web.plan.floors import Floor
from halfwater.web.plan.weeks import NEAR_WEEKS, DoWeek, weeks_of
from halfwater.web.stock.words import count_span, pots_said
from halfwater.web.tanks.drawers import Drawer
from halfwater.web.workings import Figure

_WEEK = timedelta(days=7)
NEAR_RELEASES = 1  # shown at once; the later ones are folded away
_MONTHS_WIDE = 26  # weeks from which on every second month is named


@dataclass(frozen=True, slots=True)
class Table:
    """A table of words."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class PlanPage:
    """All that the page shows of a plan."""

    answer: str
    tone: str
    more: str
    calendar: str
    calendar_says: str
    marks: tuple[tuple[str, str], ...]
    weeks: tuple[DoWeek, ...]
    later_weeks: tuple[DoWeek, ...]
    floors: tuple[Floor, ...]
    figures: tuple[Figure, ...]
    releases: Table
    later: Table
    rivals: Table
    worths: tuple[Figure, ...]
    steady: Table
    pays: Table
    habits: tuple[str, ...]
    conflicts: tuple[str, ...]
    checked: tuple[str, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]
    what_if: Form


def plan_page(
    plan: CuttingPlan,
    futures: Sequence[PolicyResult],
    habits: Sequence[HabitView],
    floors: tuple[Floor, ...],
    made: str,
    what_if: Form,
    drawers: Sequence[Drawer] = (),
) -> PlanPage:
    """The page of a plan; a plan with faults or rules in conflict shows those instead."""
    picture = calendar_of(plan)
    is_plan = plan.status == "optimal" and not plan.faults
    weeks = weeks_of(plan, drawers)
    return PlanPage(
        answer=plan_answer(plan, futures),
        tone="" if is_plan else "past",
        more=made,
        calendar=draw_calendar(picture) if picture.bands else "",
        calendar_says=f"{calendar_sentence(picture)}.",
        marks=(("cut", draw_mark("cut")), ("sell at a release", draw_mark("sell"))),
        weeks=weeks[:NEAR_WEEKS],
        later_weeks=weeks[NEAR_WEEKS:],
        floors=floors,
        figures=figures_of(plan, futures),
        releases=releases_of(plan, "Releases", _days(plan)[:NEAR_RELEASES]),
        later=releases_of(plan, "Later releases", _days(plan)[NEAR_RELEASES:]),
        rivals=rivals_of(futures, plan.currency),
        worths=tuple(
            Figure(one.what.capitalize(), _money(one.worth_minor, plan.currency), one.detail)
            for one in plan.worths
        ),
        steady=steady_of(plan.steady, plan.currency),
        pays=pays_of(habits),
        habits=tuple(one.said for one in habits if one.said),
        conflicts=(*plan.conflicts, *plan.faults),
        checked=plan.checked,
        cautions=plan.cautions,
        workings=plan.workings,
        what_if=what_if,
    )


def plan_answer(plan: CuttingPlan, futures: Sequence[PolicyResult] = ()) -> str:
    """What to do this week, and what the weeks bring."""
    if plan.conflicts:
        return "These wishes cannot stand together, so there is no plan: see the rules in conflict below."
    if plan.faults:
        return "The plan did not pass its own check and is not to be followed: see below."
    now: dict[tuple[str, str], int] = {}
    for one in plan.actions:
        if one.week == 0 and one.kind in ("cut", "sell"):
            now[one.kind, one.taxon_name] = now.get((one.kind, one.taxon_name), 0) + one.pots
    todo = show_list([f"{kind} {pots} of {taxon}" for (kind, taxon), pots in now.items()])
    first = f"This week {todo}" if now else _nothing_now(plan)
    brought = income_of(plan, futures)
    income = f"{_money(brought.p50, plan.currency)} ({_money_span(brought, plan.currency)})"
    told = f"{first}. The next {plan.weeks} weeks bring about {income}."
    if plan.status == "stopped early":
        told += " The search was stopped early: something better may exist."
    return told


def income_of(plan: CuttingPlan, futures: Sequence[PolicyResult]) -> Span:
    """What following the plan brought in the futures: the planner's own scenarios see too far ahead."""
    followed = next((one for one in futures if one.name == "the plan"), None)
    return plan.income_minor if followed is None else followed.income_minor


def _nothing_now(plan: CuttingPlan) -> str:
    later = next((one for one in plan.actions if one.kind in ("cut", "sell")), None)
    if later is None:
        return "Nothing is to be cut or sold"
    week = f"{later.on:%-d %B}"
    return f"Nothing is to be cut or sold this week; the next is to {later.kind} in the week of {week}"


def calendar_of(plan: CuttingPlan) -> CalendarPicture:
    """The plan as the calendar draws it."""
    release_pots: dict[tuple[str, int], float] = {}
    for line in plan.releases:
        week = (line.on - plan.on).days // 7
        key = (line.taxon_name, week)
        release_pots[key] = release_pots.get(key, 0.0) + (
            line.offered if line.offered is not None else line.pots.p50
        )
    cuts: dict[tuple[str, int], int] = {}
    for action in plan.actions:
        if action.kind == "cut":
            cuts[action.taxon_name, action.week] = cuts.get((action.taxon_name, action.week), 0) + action.pots
    bands = tuple(
        CalendarBand(
            name,
            tuple(standing),
            tuple(
                [CalendarMark(week, "cut", pots) for (taxon, week), pots in cuts.items() if taxon == name]
                + [
                    CalendarMark(week, "sell", round(pots))
                    for (taxon, week), pots in release_pots.items()
                    if taxon == name and round(pots)
                ]
            ),
        )
        for name, standing in plan.stock_ahead.items()
    )
    return CalendarPicture(plan.on, plan.weeks, bands, _months(plan.on, plan.weeks))


def _months(on: date, weeks: int) -> tuple[tuple[int, str], ...]:
    """The weeks in which a month begins, with its name; every second one where they would crowd."""
    found = []
    for week in range(1, weeks):
        day = on + week * _WEEK
        if day.month != (day - _WEEK).month:
            found.append((week, f"{day:%b}"))
    return tuple(found[:: 2 if weeks > _MONTHS_WIDE else 1])


def figures_of(plan: CuttingPlan, futures: Sequence[PolicyResult] = ()) -> tuple[Figure, ...]:
    """The plan in figures."""
    gap = "not known" if plan.gap_frac is None else f"{100 * plan.gap_frac:.2g} %"
    minutes = sum(one.minutes for one in plan.actions if one.week == 0)
    brought = income_of(plan, futures)
    return (
        Figure("Income", _money(brought.p50, plan.currency), _money_span(brought, plan.currency)),
        Figure(
            "With foresight",
            _money(plan.income_minor.p50, plan.currency),
            "the same, were each scenario known from the start",
        ),
        Figure(
            "Sold", pots_said(round(sum(one.pots.p50 for one in plan.releases))), f"in {plan.weeks} weeks"
        ),
        Figure("Minutes this week", show_minutes(minutes), "for cutting, moving and packing"),
        Figure("Proof", plan.status, f"at most {gap} below the best"),
    )


def _days(plan: CuttingPlan) -> list[date]:
    return sorted({one.on for one in plan.releases})


def releases_of(plan: CuttingPlan, caption: str, days: Sequence[date]) -> Table:
    """The release calendar of some days, lines that offer nothing left out."""
    rows = tuple(
        _release_row(one, plan)
        for one in sorted(plan.releases, key=lambda one: one.on)
        if one.on in days and (round(one.pots.p90) or one.offered)
    )
    return Table(caption, ("Day", "Line", "Pots", "Price", "Expected"), rows)


def _release_row(one: ReleaseLine, plan: CuttingPlan) -> tuple[str, ...]:
    pots = f"{one.offered} offered" if one.offered is not None else count_span(one.pots)
    price, income = show_money(one.price_minor, plan.currency), _money(one.income_minor, plan.currency)
    return show_date(one.on, plan.on), f"{one.taxon_name}, {one.grade}", pots, price, income


def rivals_of(futures: Sequence[PolicyResult], currency: str) -> Table:
    """The ways of running the nursery, side by side."""
    rows = tuple(
        (
            one.name,
            f"{_money(one.income_minor.p50, currency)} ({_money_span(one.income_minor, currency)})",
            _money(one.end_worth_minor, currency),
            f"{100 * one.p_end_below_start_frac:z.0f} %",
            f"{one.sold:z.0f}",
        )
        for one in futures
    )
    heads = ("Way", "Income", "Stock at the end", "Chance it ran down", "Sold")
    return Table("Ways of running the nursery, over the same 1 000 futures", heads, rows)


def steady_of(steady: Sequence[SteadyYield], currency: str) -> Table:
    """What the floors could give month after month."""
    rows = tuple(
        (
            one.taxon_name,
            ", ".join(
                f"{show_number(pots, 1)} {grade}" for grade, pots in one.sold_a_month.items() if pots > 0.04
            )
            or "none",
            show_number(one.cut_a_month, 1),
            f"{one.pots_standing:z.0f} (now {one.pots_now:z.0f})",
            _money(one.income_minor_a_month, currency),
        )
        for one in steady
    )
    return Table("Steady yield", ("Taxon", "Sold a month", "Cut a month", "Pots", "A month"), rows)


def pays_of(habits: Sequence[HabitView]) -> Table:
    """Where an hour of care pays most."""
    found = sorted((pay for one in habits for pay in one.pays), key=lambda pay: -pay.elasticity)[:8]
    rows = tuple((one.taxon_name, one.stage, one.care, f"{one.elasticity:z.3f}") for one in found)
    return Table("Where an hour of care pays most", ("Taxon", "Stage", "Care", "Elasticity"), rows)


def _money(minor: float, currency: str) -> str:
    return show_money_about(minor, currency)


def _money_span(span: Span, currency: str) -> str:
    low = _money(span.p10, currency).removesuffix(currency).rstrip()
    return f"{low} to {_money(span.p90, currency)}"
