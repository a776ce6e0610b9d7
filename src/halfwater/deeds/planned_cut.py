"""Planned cuts: what the kept plan asks to be cut this week and the next, each noted in one step."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.cutting import NewCut, NotedCut, ParentCut, note_cut, read_onto
from halfwater.deeds.sheet import Sheet
from halfwater.deeds.standing_plan import GETS_OLD, PlannedCutting, newest_plan
from halfwater.errors import RefusedByBook
from halfwater.plain.cutting import Action, PlanPot
from halfwater.plain.stock import BLADES

LEAST_SECTIONS = 2  # of a pot that is cut, the piece that stays included


@dataclass(frozen=True, slots=True)
class PlannedCut:
    """One kind of pot to cut in one week: the pots left to cut, and the free spots for their sections."""

    key: str
    pots: tuple[PlanPot, ...]
    onto: Mapping[str, tuple[str, ...]]  # tank -> spots
    batch_name: str  # proposed


def cut_key(action: Action) -> str:
    """What tells the planned cuts apart: week, taxon and grade."""
    return f"{action.week}-{action.taxon}-{action.grade or 'any'}"


def spots_onto(actions: Sequence[Action]) -> dict[str, tuple[str, ...]]:
    """Where new sections go, tank by tank; a spot may carry its own tank, as in “North: G5”."""
    found: dict[str, tuple[str, ...]] = {}
    for action in actions:
        for spot in action.to_spots:
            tank, _, name = spot.rpartition(": ")
            tank = tank or action.to_tank
            found[tank] = (*found.get(tank, ()), name)
    return found


def planned_cuts(planned: PlannedCutting, now: datetime) -> tuple[PlannedCut, ...]:
    """The cuts a plan names pots for that are not done yet; none of a plan that is too old."""
    if planned.what_ifs or planned.plan.faults or now - planned.made_at > GETS_OLD:
        return ()
    joined: dict[str, list[Action]] = {}
    for action in planned.plan.actions:
        if action.kind == "cut" and action.named:
            joined.setdefault(cut_key(action), []).append(action)
    standing = queries.standing_pots()
    places = {pot.key: (pot.tank_name, pot.spot) for pot in standing}
    promised = {pot.key for pot in standing if pot.promised_to is not None}
    done = {entry.pot for entry in queries.entries(kinds=("cut",), since=planned.made_at)}
    names = {batch.name.casefold() for batch in queries.batches()}
    found = []
    for key, actions in joined.items():
        pots = tuple(
            pot
            for action in actions
            for pot in action.named
            if pot.sections >= LEAST_SECTIONS
            and pot.key not in done | promised
            and places.get(pot.key) == (pot.tank, pot.spot)
        )
        if pots:
            name = _free_name(f"{actions[0].taxon_name[:60]}, {local_day(now, queries.nursery()):%B}", names)
            names.add(name.casefold())
            found.append(PlannedCut(key, pots, _free_spots(actions, pots, set(places.values())), name))
    return tuple(found)


def note_planned_cut(key: str, typed: Mapping[str, str], uuid: UUID, who: str, now: datetime) -> NotedCut:
    """Note a planned cut with all its pots: batch, spots and blade as typed, sections as planned."""
    planned = newest_plan(now)
    cuts = planned_cuts(planned, now) if planned else ()
    cut = next((one for one in cuts if one.key == key), None)
    if cut is None:
        raise RefusedByBook("The plan asks for this cut no more: its pots are cut, moved or gone.", key)
    sheet = Sheet(typed, queries.nursery().units)
    first = sheet.quantity("first_leaves", "count")
    if first is not None and first != int(first):
        sheet.refuse("first_leaves", "a whole number such as 3")
    new = NewCut(
        parents=tuple(ParentCut(pot.key, pot.sections) for pot in cut.pots),
        batch_name=sheet.needed("batch", str, "", "a name for the new batch such as “Nana, December”"),
        onto=sheet.needed("to", read_onto, {}, "a tank and its spots such as “South A1-A4; North B2”"),
        blade=sheet.choice("blade", ("", *BLADES), ""),
        first_leaves=None if first is None else int(first),
    )
    sheet.finish()
    return note_cut(new, uuid, who, now)


def _free_spots(
    actions: Sequence[Action], pots: Sequence[PlanPot], taken: set[tuple[str, str]]
) -> dict[str, tuple[str, ...]]:
    """The planned spots that are free, no more of them than sections leave their parents' pots."""
    left = sum(pot.sections - 1 for pot in pots)
    found: dict[str, tuple[str, ...]] = {}
    for tank, spots in spots_onto(actions).items():
        free = tuple(spot for spot in spots if (tank, spot) not in taken)[:left]
        left -= len(free)
        if free:
            found[tank] = free
    return found


def _free_name(name: str, taken: set[str]) -> str:
    """The name, with a number behind it where a batch has it already."""
    number = 2
    found = name
    while found.casefold() in taken:
        found, number = f"{name} {number}", number + 1
    return found
