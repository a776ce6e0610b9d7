"""Pot-days: what a pot carries of its tank and of the nursery for each day it stands there."""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.plain.costing import SPACE_RULES
from halfwater.planning.cost_frame import Frame, Ints, Rows


@dataclass(frozen=True, slots=True)
class StayRows:
    """Stays by pot row: which tank, from which day up to which."""

    tank: Ints
    start: Ints
    end: Ints
    first: Ints  # stays of pot p: first[p] up to first[p + 1]


@dataclass(frozen=True, slots=True)
class PotDays:
    """What a pot-day costs."""

    carried: Rows  # tanks, days and one more, columns: what a pot there since day 0 carries at a day's start
    unused: Rows  # months, columns: no pot carries it
    used_days: Rows  # pot-days by tank and month
    stays: StayRows

    def since_potting(self, pots: Ints, day: int) -> Rows:
        """What each of the pots carries of the places it stood in, up to the start of a day."""
        first, counts = self.stays.first[pots], self.stays.first[pots + 1] - self.stays.first[pots]
        owner = np.repeat(np.arange(len(pots)), counts)
        rows = (
            np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts) + np.repeat(first, counts)
        )
        tank, start = self.stays.tank[rows], self.stays.start[rows]
        end = np.maximum(np.minimum(self.stays.end[rows], day), start)
        summed = np.zeros((len(pots), self.carried.shape[2]))
        np.add.at(summed, owner, self.carried[tank, end] - self.carried[tank, start])
        return summed


def pot_days(frame: Frame, daily: Rows, rule: str = "used") -> PotDays:
    """Cost of a pot-day, tank by tank and month by month.

    What a tank costs in a month is carried by the pots that stood in it, by their days; what the whole
    nursery costs, by the floor each pot takes up and its days.

    Parameters
    ----------
    frame : Frame
        Days, tanks and pots.
    daily : Rows
        Money and minutes by tank (the nursery last), day and column. [1] Valid finite.
    rule : str
        "used": the pots that stand carry all of it. "all spots": each carries its own spot, and spots that
        stand empty are unused.

    Returns
    -------
    PotDays
        Sums day by day, and what no pot carries.

    Raises
    ------
    RefusedInput
        If the rule is neither, a stay is of an unknown pot or tank, ends before it begins, or a pot stands
        in two places at once.

    Notes
    -----
    Money of a day without any pot is unused. Other money of the month over its pot-days is the rate of each
    of them. Minutes belong to the month as a whole and are unused only where it has no pot-day: a tank is
    set up on the day before its pots come. More pots than spots share the tank among them.

    Source: fisher-costing; vallejo-2018
    """
    if rule not in SPACE_RULES:
        raise RefusedInput("rule", rule, "one of " + ", ".join(SPACE_RULES))
    stays = _stay_rows(frame)
    count, calendar, columns = len(frame.facts.tanks), frame.calendar, frame.columns
    standing = _standing(stays, count, calendar.days)
    share = np.array([tank.floor_m2 / tank.spots for tank in frame.facts.tanks])
    room = _spots(frame, standing)
    rates = np.zeros((count, len(calendar.months), columns.count))
    unused = np.zeros((len(calendar.months), columns.count))
    for row in range(count):
        capacity = room[row] if rule == "all spots" else None
        rate, idle = _rates(frame, daily[row], standing[row], capacity)
        rates[row] += rate
        unused += idle
    floor = share @ room if rule == "all spots" else None
    rate, idle = _rates(frame, daily[-1], share @ standing, floor)
    rates += share[:, None, None] * rate
    unused += idle
    rates[:, :, columns.memo("pot-days")] = 1.0
    carried = np.zeros((count, calendar.days + 1, columns.count))
    np.cumsum(rates[:, calendar.month], axis=1, out=carried[:, 1:])
    used = np.array([np.bincount(calendar.month, one, len(calendar.months)) for one in standing])
    return PotDays(carried, unused, used.reshape(count, len(calendar.months)), stays)


def _rates(frame: Frame, daily: Rows, standing: Rows, capacity: Rows | None) -> tuple[Rows, Rows]:
    """What one pot-day (or metre and day) carries in each month, and what nobody carries."""
    month, months, work = frame.calendar.month, len(frame.calendar.months), frame.columns.work
    is_used = standing > 0.0
    pooled, empty = np.zeros((months, daily.shape[1])), np.zeros((months, daily.shape[1]))
    np.add.at(pooled, month[is_used], daily[is_used])
    np.add.at(empty, month[~is_used], daily[~is_used])
    used = np.bincount(month, standing, months)
    has_pots = used > 0.0
    pooled[has_pots, work] += empty[has_pots, work]
    empty[has_pots, work] = 0.0
    shared = used.copy()
    if capacity is not None:
        shared = np.bincount(month, np.where(is_used, np.maximum(capacity, standing), 0.0), months)
    rate = np.divide(pooled, shared[:, None], out=np.zeros_like(pooled), where=has_pots[:, None])
    return rate, empty + pooled - rate * used[:, None]


def _standing(stays: StayRows, tanks: int, days: int) -> Rows:
    """Pots in each tank on each day."""
    steps = np.zeros((tanks, days + 1))
    np.add.at(steps, (stays.tank, stays.start), 1.0)
    np.add.at(steps, (stays.tank, stays.end), -1.0)
    return np.asarray(np.cumsum(steps, axis=1)[:, :-1])


def _spots(frame: Frame, standing: Rows) -> Rows:
    """Spots of each tank on each day: from the day it was set up, or its first pot came."""
    spots = np.zeros_like(standing)
    for row, tank in enumerate(frame.facts.tanks):
        used = np.flatnonzero(standing[row])
        first = int(used[0]) if used.size else frame.calendar.days
        if tank.from_on is not None:
            first = max(frame.calendar.day(tank.from_on), 0)
        last = frame.calendar.days if tank.to_on is None else max(frame.calendar.day(tank.to_on), 0)
        spots[row, first:last] = tank.spots
    return spots


def _stay_rows(frame: Frame) -> StayRows:
    calendar = frame.calendar
    found = []
    for stay in frame.facts.stays:
        if stay.pot not in frame.pot_rows or stay.tank not in frame.tank_rows:
            raise RefusedInput(
                "stay", f"pot {stay.pot} in tank {stay.tank}", "a pot and a tank of the accounts"
            )
        until = calendar.days if stay.to_on is None else calendar.day(stay.to_on)
        pot_row = frame.pot_rows[stay.pot]
        if until > frame.left[pot_row]:
            left_on = date.fromordinal(calendar.first + int(frame.left[pot_row]))
            raise RefusedInput(
                "stay", f"to {stay.to_on}", f"over when it left, on {left_on}", frame.pots[pot_row].name
            )
        found.append((pot_row, calendar.day(stay.from_on), until, frame.tank_rows[stay.tank]))
    table = np.array(sorted(found), dtype=np.int64).reshape(-1, 4)
    pot, start, end, tank = table[:, 0], table[:, 1], table[:, 2], table[:, 3]
    wrong: NDArray[np.bool_] = end < start
    wrong[1:] |= (pot[1:] == pot[:-1]) & (start[1:] < end[:-1])
    if wrong.any():
        name = frame.pots[int(pot[wrong][0])].name
        raise RefusedInput("stay", name, "stays that begin before they end, one after the other")
    first = np.searchsorted(pot, np.arange(len(frame.pots) + 1)).astype(np.int64)
    return StayRows(tank, start, end, first)
