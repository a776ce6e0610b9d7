"""The cutting plan that was made last, and whether it still holds; read without the planner."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.kept_plan import from_stored, inputs_digest
from halfwater.plain.cutting import CuttingPlan, HabitView, KeptPlan, PolicyResult

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


def _why_stale(kept: KeptPlan, now: datetime) -> str:
    """Why a plan is to be made anew, in words; "" while it holds."""
    if now - kept.made_at > GETS_OLD:
        days = local_day(now, queries.nursery()) - local_day(kept.made_at, queries.nursery())
        return f"it was made {days.days} days ago"
    if kept.inputs_digest != digest_now():
        return "the stock, a price or the habit has changed since"
    return ""


def digest_now() -> str:
    """The mark of all a plan would rest on now."""
    spots = {tank.name: tank.pots for tank in queries.tanks()}
    return inputs_digest(queries.standing_pots(), queries.prices(), queries.cutting_habit(), spots)
