"""The cutting plan: which pots to cut, keep and sell for a high income from a stock that never runs down."""

from dataclasses import dataclass
from datetime import date, timedelta
from time import perf_counter

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import Action, CuttingPlan, PlanFacts, ReleaseLine, SteadyYield, Worth
from halfwater.plain.figures import show_money, show_number
from halfwater.plain.growing import Span
from halfwater.plain.stock import GRADES
from halfwater.plain.working import Working
from halfwater.planning.cutting_check import HOLDS, check_plan
from halfwater.planning.cutting_columns import SELL_MIN, Model, far_section_min, total_spots
from halfwater.planning.cutting_decisions import Decisions, TaxonDecisions, decisions_of
from halfwater.planning.cutting_model import cutting_desk
from halfwater.planning.cutting_named import named_actions
from halfwater.planning.cutting_rounding import Found, best_found, is_hopeless
from halfwater.planning.cutting_stock import Stand, scenario_draws, stand_of
from halfwater.planning.cutting_weeks import Step, plan_steps
from halfwater.planning.cutting_wishes import add_wishes, conflicts_in_words
from halfwater.planning.cutting_worth import stage_worths, steady_flows
from halfwater.planning.kept_worth import kept_worths
from halfwater.planning.problem import Floats
from halfwater.planning.solve import OPTIMAL

LARGE = 100  # taxa times scenarios: above it far weeks are planned in longer steps
_SHORT_FRAC = 0.005  # of today's worth: less than that missing at the end is not worth a word


@dataclass(frozen=True, slots=True)
class Solved:
    """A plan with all that it was worked out from, for checks and futures."""

    plan: CuttingPlan
    decisions: Decisions | None  # None where there is no plan
    stands: tuple[Stand, ...]
    found: Found


def plan_cutting(facts: PlanFacts, *, seconds: float = 60.0) -> CuttingPlan:
    """The cutting plan of a nursery: what to cut, keep and sell, down to this week's pots.

    Parameters
    ----------
    facts : PlanFacts
        Pots, growth, floors, prices, habit and wishes.
    seconds : float
        Time the solver may take. [1] Valid above 0.

    Returns
    -------
    CuttingPlan
        Actions, releases, income, worths and proof; with conflicts instead where the wishes cannot
        stand together.

    Raises
    ------
    RefusedInput
        If a fact is outside its range: weeks, draws, prices, wishes, seconds.

    Notes
    -----
    Income on the mean of the scenarios is as high as possible while each taxon's stock at the end is
    worth at least
    today's. No pots, no spots or no prices give a plan that does nothing. Nan is refused.

    Source: own definition
    """
    return solved_cutting(facts, seconds=seconds).plan


def solved_cutting(facts: PlanFacts, *, seconds: float = 60.0) -> Solved:
    """The cutting plan with its decisions by scenario.

    Parameters
    ----------
    facts : PlanFacts
        Pots, growth, floors, prices, habit and wishes.
    seconds : float
        Time the solver may take. [1] Valid above 0.

    Returns
    -------
    Solved
        The plan, its decisions by scenario and stage, and what they were made from.

    Raises
    ------
    RefusedInput
        If a fact is outside its range: weeks, draws, prices, wishes, seconds.

    Notes
    -----
    As `plan_cutting`.

    Source: own definition
    """
    if not seconds > 0:
        raise RefusedInput("seconds", seconds, "a time above 0")
    begun = perf_counter()
    draws = scenario_draws(facts)
    is_large = len(facts.taxa) * len(draws) > LARGE
    steps = plan_steps(facts.on, facts.weeks, facts.near_weeks, facts.habit, is_large)
    stands = tuple(stand_of(facts, taxon, draws) for taxon in facts.taxa)
    worths = tuple(stage_worths(stand) for stand in stands)
    desk = cutting_desk(facts, steps, stands, worths, len(draws))
    add_wishes(desk)
    model = desk.finished()
    found = best_found(model, seconds)
    steady = steady_flows(facts, stands)
    if not len(found.x) and len(model.problem.gain):
        plan = _no_plan(facts, found, model, steady, seconds, perf_counter() - begun)
        return Solved(plan, None, stands, found)
    decisions = decisions_of(draws, steps, stands, model.columns, worths, found.x)
    plan = _told(facts, stands, decisions, found, model, steady, begun)
    return Solved(plan, decisions, stands, found)


def _no_plan(
    facts: PlanFacts,
    found: Found,
    model: Model,
    steady: tuple[SteadyYield, ...],
    seconds: float,
    took_s: float,
) -> CuttingPlan:
    """Why there is none."""
    conflicts = conflicts_in_words(facts, model.problem, seconds) if is_hopeless(found) else ()
    nothing = Span(0.0, 0.0, 0.0)
    return CuttingPlan(
        on=facts.on, weeks=facts.weeks, status=found.status, gap_frac=found.gap_frac, actions=(), releases=(),
        income_minor=nothing, mean_income_minor=0.0, worths=(), steady=steady, stock_ahead={},
        conflicts=conflicts,
        currency=facts.currency, solve_s=found.in_solver_s, all_s=took_s,
    )  # fmt: skip


def _told(
    facts: PlanFacts, stands: tuple[Stand, ...], decisions: Decisions, found: Found, model: Model,
    steady: tuple[SteadyYield, ...], begun: float,
) -> CuttingPlan:  # fmt: skip
    near = sum(step.is_near for step in decisions.steps)
    named = named_actions(facts, stands, decisions.taxa, near)
    far = _later_actions(facts, stands, decisions, min(near, 2))
    faults = check_plan(facts, decisions, named)
    return CuttingPlan(
        on=facts.on, weeks=facts.weeks, status=found.status, gap_frac=found.gap_frac, actions=named + far,
        releases=_releases(facts, stands, decisions), income_minor=_span(decisions.income_minor),
        mean_income_minor=float(decisions.income_minor.mean()),
        worths=_worths(facts, decisions.steps, found, model), steady=steady,
        stock_ahead=_stock_ahead(stands, decisions), checked=() if faults else HOLDS, faults=faults,
        cautions=_cautions(facts, stands, decisions), currency=facts.currency, solve_s=found.in_solver_s,
        all_s=perf_counter() - begun, workings=_workings(facts, found, model),
        kept_worths=kept_worths(decisions, stands, model, found.row_worth),
    )  # fmt: skip


def _span(values: Floats) -> Span:
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9))
    return Span(float(low), float(middle), float(high))


def _later_actions(
    facts: PlanFacts, stands: tuple[Stand, ...], decisions: Decisions, after: int
) -> tuple[Action, ...]:
    """Cuts and sales of later weeks: whole pots while near, rounded means when far."""
    made: list[Action] = []
    for place, step in enumerate(decisions.steps[after:], start=after):
        for stand, taxon in zip(stands, decisions.taxa, strict=True):
            on = facts.on + timedelta(weeks=step.start)
            ident = {"week": step.start, "on": on, "taxon": stand.taxon.key, "taxon_name": stand.taxon.name}
            for rank in stand.lines:
                pots = round(float(taxon.lines[place][:, rank - 1].mean()))
                if pots:
                    grade, minutes = GRADES[rank - 1], SELL_MIN * pots
                    made.append(Action(kind="sell", grade=grade, pots=pots, minutes=minutes, **ident))  # type: ignore[arg-type]
            made += _later_cut(taxon, place, step, ident)
    return tuple(made)


def _later_cut(taxon: TaxonDecisions, place: int, step: Step, ident: dict[str, object]) -> list[Action]:
    pots, sections = (
        round(float(taxon.cut[place].sum(axis=1).mean())),
        round(float(taxon.sections[place].mean())),
    )
    if not pots:
        return []
    minutes = far_section_min() * sections
    return [Action(kind="cut", grade="", pots=pots, sections=sections, minutes=minutes, **ident)]  # type: ignore[arg-type]


def _releases(facts: PlanFacts, stands: tuple[Stand, ...], decisions: Decisions) -> tuple[ReleaseLine, ...]:
    """What each release offers; where a far step holds several, each has its share."""
    lines: list[ReleaseLine] = []
    for place, step in enumerate(decisions.steps):
        for week in step.releases:
            for stand, taxon in zip(stands, decisions.taxa, strict=True):
                for rank in stand.lines:
                    pots = taxon.lines[place][:, rank - 1] / len(step.releases)
                    if pots.max() < 0.05:
                        continue
                    price = int(stand.price_minor[rank - 1])
                    lines.append(
                        ReleaseLine(
                            _release_day(facts, week), stand.taxon.key, stand.taxon.name, GRADES[rank - 1],
                            _span(pots), round(float(pots[0])) if step.is_near else None, price,
                            float(pots.mean()) * price,
                        )
                    )  # fmt: skip
    return tuple(lines)


def _release_day(facts: PlanFacts, week: int) -> date:
    """The day of the release that falls into a week."""
    habit = facts.habit
    first = facts.on + timedelta(weeks=habit.release_every_weeks)
    if habit.next_release_on is not None:
        first = habit.next_release_on
    inside = (first - facts.on).days % 7
    return facts.on + timedelta(weeks=week, days=inside)


def _worths(facts: PlanFacts, steps: tuple[Step, ...], found: Found, model: Model) -> tuple[Worth, ...]:
    """What one more of each limit would bring, by the worths of its rows."""
    spot = (
        float(sum(found.row_worth[rows].sum() for rows in model.spot_rows)) if len(found.row_worth) else 0.0
    )
    worths = [Worth("one more spot", max(spot, 0.0), f"over {facts.weeks} weeks")]
    minute_week = 0.0
    if model.minute_rows and len(found.row_worth):
        pairs = zip(model.minute_rows, steps, strict=True)
        minute_week = float(sum(found.row_worth[rows].sum() * step.weeks for rows, step in pairs))
    if facts.tanks:
        usual = total_spots(facts) / len(facts.tanks)
        care_min = sum(tank.minutes_a_week for tank in facts.tanks) / len(facts.tanks)
        hour_cost = care_min * (minute_week + facts.weeks * (facts.habit.hour_minor or 0) / 60.0)
        detail = f"of {usual:.0f} spots, its own round of {care_min:.0f} minutes a week taken off; at most"
        worths.append(Worth("one more tank", usual * max(spot, 0.0) - hour_cost, detail))
    is_limited = facts.habit.minutes_a_week is not None
    detail = f"over {facts.weeks} weeks" if is_limited else "your minutes are not limited"
    worths.append(Worth("one more hour a week", max(60.0 * minute_week, 0.0), detail))
    return tuple(worths)


def _stock_ahead(stands: tuple[Stand, ...], decisions: Decisions) -> dict[str, tuple[float, ...]]:
    """Mean pots standing after each week's actions, and at the end."""
    ahead = {}
    for stand, taxon in zip(stands, decisions.taxa, strict=True):
        pots: list[float] = []
        for place, step in enumerate(decisions.steps):
            stock = taxon.stock[place]
            for _ in range(step.weeks):
                pots.append(float(stock.sum(axis=1).mean()))
                stock = np.einsum("wij,wj->wi", stand.weekly, stock)
            if place == len(decisions.steps) - 1:
                pots.append(float(stock.sum(axis=1).mean()))
        ahead[stand.taxon.name] = tuple(pots)
    return ahead


def _cautions(facts: PlanFacts, stands: tuple[Stand, ...], decisions: Decisions) -> tuple[str, ...]:
    said = []
    for stand, taxon in zip(stands, decisions.taxa, strict=True):
        start = float(taxon.worth_minor @ stand.counts)
        if taxon.short_minor > _SHORT_FRAC * max(start, 1.0):
            share = show_number(100 * taxon.short_minor / start, 0)
            said.append(
                f"{stand.taxon.name}: the stock ends worth {share} % less than today, do what you will"
            )
        if not stand.lines:
            said.append(f"{stand.taxon.name}: no grade has a price, so nothing of it is sold")
    standing, spots = sum(len(stand.taxon.pots) for stand in stands), total_spots(facts)
    if standing > spots:
        said.append(f"{standing} pots stand on {spots} spots: nothing is cut until there is room")
    return tuple(said)


def _workings(facts: PlanFacts, found: Found, model: Model) -> tuple[Working, ...]:
    rows, columns = model.problem.size
    inputs = (
        ("scenarios", str(facts.scenarios)), ("weeks", str(facts.weeks)), ("rows", str(rows)),
        ("columns", str(columns)), ("whole numbers", str(int(model.problem.is_whole.sum()))),
    )  # fmt: skip
    gap = "" if found.gap_frac is None else f", at most {100 * found.gap_frac:.2g} % below the best possible"
    return (
        Working(
            "The plan",
            "max mean income - minutes · their worth; next stock = growth · (stock - sold - cut + sections)",
            inputs, f"{show_money(round(found.value), facts.currency)}{gap}", "own definition",
            "far weeks are means; a plan is called one up to a gap of 1 %",
        ),
    )  # fmt: skip


def is_plan(plan: CuttingPlan) -> bool:
    """Whether this may be shown as a plan.

    Parameters
    ----------
    plan : CuttingPlan
        What the planner gave.

    Returns
    -------
    bool
        True where it is optimal within 1 % and nothing was found broken.

    Notes
    -----
    A plan with faults is none, however good its figures. Nothing is at 0, nan or outside.

    Source: own definition
    """
    return plan.status == OPTIMAL and not plan.faults
