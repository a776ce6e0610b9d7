"""The cutting plan: gathered from the book, solved, tried on many futures, and kept."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from halfwater.book import changes
from halfwater.deeds.kept_plan import as_stored
from halfwater.deeds.past_habits import past_habits
from halfwater.deeds.plan_facts import gather_facts
from halfwater.deeds.standing_plan import PlannedCutting, digest_now
from halfwater.errors import RefusedInput
from halfwater.planning.cutting import plan_cutting
from halfwater.planning.futures import run_futures
from halfwater.planning.habits import habit_views
from halfwater.planning.what_if import changed

WEEKS = 52
LEAST_WEEKS, MOST_WEEKS = 8, 104
FUTURES = 1000


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
        changes.keep_plan(made_at=now, inputs_digest=digest_now(), plan=_stored(planned))
    return planned


def _stored(planned: PlannedCutting) -> dict[str, Any]:
    return {name: as_stored(getattr(planned, name)) for name in ("plan", "futures", "habits")}
