"""The cutting plan: gathered from the book, solved, tried on many futures, and kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from halfwater.book import changes, queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.kept_plan import as_stored, from_stored, inputs_digest
from halfwater.deeds.past_habits import past_habits
from halfwater.deeds.plan_facts import gather_facts
from halfwater.errors import RefusedInput
from halfwater.plain.cutting import CuttingPlan, HabitView, KeptPlan, PolicyResult
from halfwater.planning.cutting import plan_cutting
from halfwater.planning.futures import run_futures
from halfwater.planning.habits import habit_views
from halfwater.planning.what_if import changed

WEEKS = 52
LEAST_WEEKS, MOST_WEEKS = 8, 104
FUTURES = 1000
GETS_OLD = timedelta(days=14)  # a plan names the pots of two weeks


@dataclass(frozen=True, slots=True)
class PlannedCutting:
    """A cutting plan with what many futures made of it."""

    plan: CuttingPlan
    futures: tuple[PolicyResult, ...]
    habits: tuple[HabitView, ...]
    made_at: datetime
    is_stale: bool = False
    why_stale: str = ""
    what_ifs: tuple[str, ...] = ()  # as typed; a plan with any is not kept


def plan(now: datetime, what_ifs: Sequence[str] = (), weeks: int = WEEKS) -> PlannedCutting:
    """Make a plan of today's stock and keep it; with what-ifs it is only shown."""
    if not LEAST_WEEKS <= weeks <= MOST_WEEKS:
        raise RefusedInput("weeks", weeks, f"a number of weeks from {LEAST_WEEKS} to {MOST_WEEKS}")
    facts = gather_facts(now, weeks)
    for typed in what_ifs:
        facts = changed(facts, typed)
    made = plan_cutting(facts)
    is_plan = bool(made.checked) and not made.faults  # one that was stopped early too: its gap is told
    planned = PlannedCutting(
        plan=made,
        futures=run_futures(facts, made, FUTURES) if is_plan else (),
        habits=habit_views(facts, past_habits(now)),
        made_at=now,
        what_ifs=tuple(what_ifs),
    )
    if is_plan and not what_ifs:
        changes.keep_plan(made_at=now, inputs_digest=_digest(), plan=_stored(planned))
    return planned


def newest_plan(now: datetime) -> PlannedCutting | None:
    """The plan that was made last, and whether it still holds; None before the first."""
    kept = queries.newest_plan()
    if kept is None:
        return None
    stored: Mapping[str, Any] = kept.plan
    why = _why_stale(kept, now)
    return PlannedCutting(
        plan=from_stored(CuttingPlan, stored["plan"]),
        futures=tuple(from_stored(PolicyResult, one) for one in stored["futures"]),
        habits=tuple(from_stored(HabitView, one) for one in stored["habits"]),
        made_at=kept.made_at,
        is_stale=bool(why),
        why_stale=why,
    )


def _stored(planned: PlannedCutting) -> dict[str, Any]:
    return {name: as_stored(getattr(planned, name)) for name in ("plan", "futures", "habits")}


def _why_stale(kept: KeptPlan, now: datetime) -> str:
    """Why a plan is to be made anew, in words; "" while it holds."""
    if now - kept.made_at > GETS_OLD:
        days = local_day(now, queries.nursery()) - local_day(kept.made_at, queries.nursery())
        return f"it was made {days.days} days ago"
    if kept.inputs_digest != _digest():
        return "the stock, a price or the habit has changed since"
    return ""


def _digest() -> str:
    spots = {tank.name: tank.pots for tank in queries.tanks()}
    return inputs_digest(queries.standing_pots(), queries.prices(), queries.cutting_habit(), spots)
