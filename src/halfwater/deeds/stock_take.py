"""The stock-take: every pot of a tank looked at and counted, spot by spot or from a list typed in after."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID, uuid5

from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.clock import evening_of, local_day
from halfwater.deeds.growing import stock_outlook
from halfwater.deeds.said import Said, read_said
from halfwater.deeds.scores import keep_leaves
from halfwater.deeds.sheet import RefusedSheet
from halfwater.errors import HalfwaterError, RefusedByBook, RefusedInput
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.stock import GONE_STATES, StandingPot


@dataclass(frozen=True, slots=True)
class Stop:
    """One pot on the walk."""

    spot: str
    pot: int  # key
    name: str  # batch and number
    taxon_name: str
    batch_name: str
    leaves: int | None  # as last counted
    counted_on: date | None
    state: str
    is_done: bool  # counted on this nursery day


@dataclass(frozen=True, slots=True)
class StockTake:
    """The walk through one tank, in reading order of its spots."""

    tank: str
    on: date
    stops: tuple[Stop, ...]
    done: int
    left: int

    @property
    def next(self) -> Stop | None:
        """The first pot that is not counted yet; None when all are."""
        return next((stop for stop in self.stops if not stop.is_done), None)


@dataclass(frozen=True, slots=True)
class TankToWalk:
    """A tank with pots, and how its stock-take stands."""

    tank: str
    pots: int
    done: int  # counted today
    oldest_on: date | None  # the last count of the pot that was counted longest ago; None: one never was


@dataclass(frozen=True, slots=True)
class NotedCount:
    """What was noted of one pot."""

    uuid: UUID
    pot: StandingPot  # as it stands after
    said: str  # in words
    was_there: bool  # this uuid stood in the book already


def walk(tank_name: str, now: datetime) -> StockTake:
    """The stops of a tank's stock-take today."""
    tank = queries.tank_named(tank_name)
    today = local_day(now, queries.nursery())
    standing = {pot.spot: pot for pot in queries.standing_pots(tank=tank.key)}
    if not standing:
        raise RefusedByBook(f"No pot stands in {tank.name}, so there is nothing to count.", tank.name)
    names = [spot.name for spot in queries.spots(tank.key) if spot.name in standing]
    stops = tuple(_stop(standing[name], today) for name in names)
    done = sum(stop.is_done for stop in stops)
    return StockTake(tank.name, today, stops, done, len(stops) - done)


def tanks_to_walk(now: datetime) -> tuple[TankToWalk, ...]:
    """Every tank with pots, in walking order."""
    today = local_day(now, queries.nursery())
    by_tank: dict[str, list[StandingPot]] = {}
    for pot in queries.standing_pots():
        by_tank.setdefault(pot.tank_name, []).append(pot)
    return tuple(
        TankToWalk(
            tank=tank.name,
            pots=len(pots),
            done=sum(pot.counted_on == today for pot in pots),
            oldest_on=None
            if any(pot.counted_on is None for pot in pots)
            else min(pot.counted_on for pot in pots if pot.counted_on is not None),
        )
        for tank in queries.tanks()
        if (pots := by_tank.get(tank.name))
    )


def note_count(pot: int, typed: str, uuid: UUID, who: str, now: datetime) -> NotedCount:
    """Note what was found at one pot: its leaves, "same" as last time, a loss with its cause, or a state."""
    said = read_said(typed)
    found = _pot(pot)
    was_there = queries.entry(uuid) is not None
    if not was_there:
        _keep_before(found.tank_name, now)
        _write(found, said, uuid, who, now)
    return NotedCount(uuid, _pot(pot), in_words(found, said), was_there)


def undo_count(uuid: UUID, who: str, now: datetime) -> None:
    """Take back what was noted of a pot; the pot is then as it was before."""
    changes.void_entry(uuid, "count undone", who, now)


def note_sheet(
    tank_name: str, typed: Mapping[str, str], sheet: UUID, who: str, now: datetime, on: date | None = None
) -> tuple[NotedCount, ...]:
    """Note a list that was filled in on paper: spot -> what was found there, all of it or nothing.

    Empty cells are pots nobody looked at. The same sheet sent twice is kept once.
    """
    nursery = queries.nursery()
    at = _day_of_list(on, nursery, now)
    tank = queries.tank_named(tank_name)
    standing = {pot.spot: pot for pot in queries.standing_pots(tank=tank.key)}
    cells = {spot.strip().upper(): text for spot, text in typed.items() if text.strip()}
    if not cells:
        raise RefusedInput("list", "", "a count beside at least one spot")
    found = _read_cells(cells, standing)
    refused: list[RefusedInput] = []
    noted = []
    with transaction.atomic():
        if at == now:
            _keep_before(tank.name, now)
        for spot, said in found.items():
            uuid = uuid5(sheet, spot)
            was_there = queries.entry(uuid) is not None
            try:
                if not was_there:
                    _write(standing[spot], said, uuid, who, now, at)
            except HalfwaterError as refusal:
                refused.append(RefusedInput(spot, cells[spot], str(refusal).rstrip(".")))
            noted.append(NotedCount(uuid, standing[spot], in_words(standing[spot], said), was_there))
        if refused:
            raise RefusedSheet(refused)
    return tuple(noted)


def _day_of_list(on: date | None, nursery: NurseryFacts, now: datetime) -> datetime:
    """The instant at which a list was filled in: now, or the evening of its day."""
    today = local_day(now, nursery)
    if on is not None and on > today:
        raise RefusedInput("on", on.isoformat(), "the day the list was filled in, up to today")
    return now if on is None or on == today else evening_of(on, nursery)


def _read_cells(cells: Mapping[str, str], standing: Mapping[str, StandingPot]) -> dict[str, Said]:
    """Every cell read; all bad ones named at once."""
    found: dict[str, Said] = {}
    refused: list[RefusedInput] = []
    for spot, text in cells.items():
        try:
            said = read_said(text, spot)
            if spot not in standing:
                raise RefusedInput(spot, text, "empty, for no pot stands on this spot")
            if said.is_same and standing[spot].leaves is None:
                raise RefusedInput(spot, text, "a number of leaves, for this pot was never counted")
            found[spot] = said
        except RefusedInput as refusal:
            refused.append(refusal)
    if refused:
        raise RefusedSheet(refused)
    return found


def _keep_before(tank_name: str, now: datetime) -> None:
    """Keep what is foretold of a tank's leaves before its first count of the day, to be held to it."""
    today = local_day(now, queries.nursery())
    own = [pot for pot in queries.standing_pots() if pot.tank_name == tank_name]
    if own and all(pot.counted_on != today for pot in own):
        keep_leaves(stock_outlook(now), tank_name)


def _stop(pot: StandingPot, today: date) -> Stop:
    return Stop(
        spot=pot.spot, pot=pot.key, name=pot.name, taxon_name=pot.taxon_name, batch_name=pot.batch_name,
        leaves=pot.leaves, counted_on=pot.counted_on, state=pot.state, is_done=pot.counted_on == today,
    )  # fmt: skip


def _pot(key: int) -> StandingPot:
    found = next((pot for pot in queries.standing_pots(gone=True) if pot.key == key), None)
    if found is None:
        raise RefusedInput("pot", key, "the key of a pot in the book")
    return found


def _write(
    pot: StandingPot, said: Said, uuid: UUID, who: str, now: datetime, at: datetime | None = None
) -> None:
    """The change of the book that was said."""
    if pot.state in GONE_STATES:
        raise RefusedByBook(f"{pot.name} was {pot.state} before, so nothing more is noted of it.", pot.name)
    at = at or now
    if said.cause:
        changes.lose_pot(pot.key, said.cause, at=at, uuid=uuid, who=who, now=now)
    elif said.state:
        changes.set_state(pot.key, said.state, at=at, uuid=uuid, who=who, now=now)
    else:
        leaves = pot.leaves if said.is_same else said.leaves
        if leaves is None:
            raise RefusedInput("leaves", "same", f"a number of leaves, for {pot.name} was never counted")
        changes.count_pot(pot.key, leaves, at=at, uuid=uuid, who=who, now=now)


def in_words(pot: StandingPot, said: Said) -> str:
    """What was noted, for the one who noted it."""
    if said.cause:
        return f"{pot.name}: lost, {said.cause}"
    if said.state:
        return f"{pot.name}: {said.state}"
    leaves = pot.leaves if said.is_same else said.leaves
    return f"{pot.name}: {leaves} {'leaf' if leaves == 1 else 'leaves'}"
