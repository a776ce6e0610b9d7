"""What the kept cutting plan asks for on an evening: cuts and moves of its week that are not done yet."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta

from halfwater.book import queries
from halfwater.deeds.standing_plan import GETS_OLD, newest_plan
from halfwater.plain.cutting import Action, PlanPot
from halfwater.plain.stock import StandingPot
from halfwater.planning.night import PlannedWork

KINDS = ("cut", "move")
WEEK = timedelta(days=7)


def work_due(on: date, now: datetime) -> tuple[tuple[PlannedWork, ...], str]:
    """The work of the plan's week in which an evening lies, and a word where the plan is too old for any."""
    planned = newest_plan(now)
    if planned is None:
        return (), ""
    due = [
        one
        for one in planned.plan.actions
        if one.kind in KINDS and one.named and one.on <= on < one.on + WEEK
    ]
    if now - planned.made_at > GETS_OLD:
        return (), f"No cutting from the plan: {planned.why_stale}; make it anew on the Plan page."
    standing = {pot.key: pot for pot in queries.standing_pots() if pot.promised_to is None}
    tanks = {tank.name: tank.key for tank in queries.tanks()}
    cut = _cut_since(planned.made_at)
    work = [_work(number, one, standing, tanks, cut, on) for number, one in enumerate(due)]
    return tuple(one for found in work for one in found), ""


def _cut_since(made_at: datetime) -> set[int]:
    return {entry.pot for entry in queries.entries(kinds=("cut",), since=made_at) if entry.pot is not None}


def _work(
    number: int,
    action: Action,
    standing: Mapping[int, StandingPot],
    tanks: Mapping[str, int],
    cut: set[int],
    on: date,
) -> list[PlannedWork]:
    """What is left of an action, tank by tank: pots that stand where the plan saw them, not cut yet."""
    left = [
        pot
        for pot in action.named
        if pot.key in standing
        and pot.key not in cut
        and (standing[pot.key].tank_name, standing[pot.key].spot) == (pot.tank, pot.spot)
    ]
    by_tank: dict[str, list[PlanPot]] = {}
    for pot in left:
        by_tank.setdefault(pot.tank, []).append(pot)
    return [
        _work_at(f"{action.kind}-{number}-{tanks[tank]}", action, tank, tanks[tank], pots, on)
        for tank, pots in by_tank.items()
        if tank in tanks
    ]


def _work_at(
    key: str, action: Action, tank: str, tank_key: int, pots: Sequence[PlanPot], on: date
) -> PlannedWork:
    share = len(pots) / max(action.pots, 1)
    is_whole = len(pots) == len(action.named)
    return PlannedWork(
        key=key,
        kind=action.kind,
        tank_key=tank_key,
        taxon_name=action.taxon_name,
        pots=tuple(f"{pot.name} ({pot.spot})" for pot in pots),
        sections=sum(pot.sections for pot in pots) if action.kind == "cut" else 0,
        to_tank=action.to_tank,
        to_spots=action.to_spots if is_whole else (),
        minutes=action.minutes * share,
        by_on=max(action.on + WEEK - timedelta(days=1), on),
        why=action.why,
    )
