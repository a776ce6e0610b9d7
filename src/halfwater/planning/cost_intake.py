"""What comes into the accounts: money and minutes, day by day, where each belongs before plants carry it."""

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.costing import (
    COST_KINDS,
    PURCHASE_KINDS,
    SPACE_KINDS,
    CostFacts,
    MonthlyCharge,
    Purchase,
    TaskDone,
)
from halfwater.planning.cost_frame import Frame, Rows, months_later


@dataclass(slots=True)
class Intake:
    """Everything that was spent, sorted by who will carry it."""

    daily: Rows  # tanks and, last, the nursery; days; columns
    deposits: list[tuple[int, int, Rows]]  # day, batch row, columns: for the pots of a batch
    for_orders: dict[int, Rows]
    for_releases: dict[int, Rows]
    spent_minor: dict[str, int]  # by kind
    ahead_minor: dict[str, float]  # not used up yet, by kind
    store_minor: dict[str, float] = field(default_factory=dict)  # potting and packing not used yet
    kwh: dict[str, float] = field(default_factory=dict)  # by month
    untold_kwh: float = 0.0  # energy on days without a tariff


def cost_intake(frame: Frame) -> Intake:
    """Money and minutes by day, tank and batch.

    Parameters
    ----------
    frame : Frame
        Days and columns, with the facts.

    Returns
    -------
    Intake
        Sums that hold every coin spent; potting and packing goods are left to `drawn_from_store`.

    Raises
    ------
    RefusedInput
        If a kind, tank, batch, life, tariff or power cannot be what it says.

    Notes
    -----
    A purchase is used up evenly from its day to the same day of a later month; what its end before that
    time leaves is a cost of that day, less what it brought. For a batch, what lasts is laid on it month by
    month. Energy W/1000 x dimmer x hours; a day without a tariff has energy and no cost.

    Source: own definition
    """
    facts, shape = frame.facts, (len(frame.facts.tanks) + 1, frame.calendar.days, frame.columns.count)
    intake = Intake(np.zeros(shape), [], {}, {}, dict.fromkeys(COST_KINDS, 0), dict.fromkeys(COST_KINDS, 0.0))
    for bought in facts.purchases:
        _check(frame, bought)
        intake.spent_minor[bought.kind] += bought.amount_minor - bought.got_back_minor
    payments = monthly_payments(facts)
    for bought in (*facts.purchases, *payments):
        if bought.batch is not None:
            _for_batch(frame, intake, bought)
        elif bought.kind in SPACE_KINDS:
            row = -1 if bought.tank is None else _tank_row(frame, bought.tank, bought.text)
            kind = frame.columns.kind(bought.kind)
            for start, end, amount in _pieces(frame, intake, bought):
                intake.daily[row, start:end, kind] += amount / (end - start)
    for paid in payments:
        intake.spent_minor[paid.kind] += paid.amount_minor
    _power(frame, intake)
    _work(frame, intake)
    return intake


def drawn_from_store(frame: Frame, intake: Intake, kind: str, use_days: Sequence[int]) -> Rows:
    """Cost of each pot potted, or parcel sent, from goods in store.

    Parameters
    ----------
    frame : Frame
        Days, with the purchases.
    intake : Intake
        Told what stays in store and what is not used up yet.
    kind : str
        "potting" or "packing".
    use_days : sequence of int
        Days on which one was used, in order.

    Returns
    -------
    ndarray
        One amount a use. [minor]

    Notes
    -----
    Goods that are enough for a number are taken one by one, the oldest first, none before it was bought.
    Others are shared by the uses of a month; a month without any leaves its share to the next. Without
    goods a use costs 0.

    Source: own definition
    """
    bought = [one for one in frame.facts.purchases if one.kind == kind and one.batch is None]
    counted = sorted((one for one in bought if one.enough_for is not None), key=lambda one: one.on)
    cost = np.zeros(len(use_days))
    store: deque[list[float]] = deque()
    waiting = deque(counted)
    for use, day in enumerate(use_days):
        while waiting and frame.calendar.day(waiting[0].on) <= day:
            store.append(_goods(waiting.popleft()))
        if store:
            cost[use] = store[0][1]
            store[0][0] -= 1.0
            if store[0][0] <= 0.0:
                store.popleft()
    left = [*store, *(_goods(one) for one in waiting)]
    intake.store_minor[kind] = sum(goods[0] * goods[1] for goods in left)
    lasting = np.zeros(frame.calendar.days)
    for one in bought:
        if one.enough_for is None:
            for start, end, amount in _pieces(frame, intake, one):
                lasting[start:end] += amount / (end - start)
    by_month = np.bincount(frame.calendar.month, lasting, len(frame.calendar.months))
    months = frame.calendar.month[np.asarray(use_days, dtype=np.int64)]
    uses = np.bincount(months, minlength=len(by_month))
    each, over = np.zeros(len(by_month)), 0.0
    for month, amount in enumerate(by_month):
        over += amount
        if uses[month]:
            each[month], over = over / uses[month], 0.0
    intake.store_minor[kind] += over
    return np.asarray(cost + each[months])


def monthly_payments(facts: CostFacts) -> tuple[Purchase, ...]:
    """Charges as one purchase a month, each good for its month.

    Parameters
    ----------
    facts : CostFacts
        With the charges, and the last day of the accounts.

    Returns
    -------
    tuple of Purchase
        Up to the last day.

    Raises
    ------
    RefusedInput
        If a charge is of a kind that is used up and not stood in.

    Notes
    -----
    Paid on the day of the month it began, or the last day of a short month. A charge of 0 is one too.

    Source: own definition
    """
    found = []
    for charge in facts.charges:
        if charge.kind not in SPACE_KINDS:
            raise RefusedInput("kind", charge.kind, "one of " + ", ".join(SPACE_KINDS), charge.text)
        found += [
            Purchase(
                on=on, kind=charge.kind, text=charge.text, amount_minor=charge.amount_minor, tank=charge.tank
            )
            for on in _payment_days(charge, facts.on)
        ]
    return tuple(found)


def _goods(bought: Purchase) -> list[float]:
    """How many are left of it, and what each has cost."""
    count = float(bought.enough_for or 1)
    return [count, (bought.amount_minor - bought.got_back_minor) / count]


def _check(frame: Frame, bought: Purchase) -> None:
    accepted = "one of " + ", ".join(PURCHASE_KINDS)
    if bought.kind not in PURCHASE_KINDS:
        raise RefusedInput("kind", bought.kind, accepted, bought.text)
    if bought.life_months is not None and not 1 <= bought.life_months <= 1200:
        raise RefusedInput("life_months", bought.life_months, "1 to 1200 months", bought.text)
    if bought.ended_on is not None and bought.ended_on < bought.on:
        raise RefusedInput("ended_on", str(bought.ended_on), f"a day from {bought.on} on", bought.text)
    if bought.enough_for is not None:
        has_store = bought.kind not in SPACE_KINDS and bought.batch is None
        is_good = bought.enough_for >= 1 and bought.amount_minor >= 0 and bought.ended_on is None
        if not (has_store and is_good):
            raise RefusedInput("enough_for", bought.enough_for, "1 or more pots or parcels", bought.text)
    if bought.got_back_minor and bought.ended_on is None:
        raise RefusedInput("got_back_minor", bought.got_back_minor, "0 until it has ended", bought.text)
    if bought.tank is not None and (bought.kind not in SPACE_KINDS or bought.batch is not None):
        raise RefusedInput("tank", bought.tank, "none, for what a batch or the store carries", bought.text)


def _payment_days(charge: MonthlyCharge, last_on: date) -> Iterator[date]:
    count, on = 0, charge.from_on
    while on <= last_on and (charge.to_on is None or on < charge.to_on):
        yield on
        count += 1
        on = months_later(charge.from_on, count)


def _pieces(frame: Frame, intake: Intake, bought: Purchase) -> Iterator[tuple[int, int, float]]:
    """Spans of days with the part of a purchase used up in each; what is good for later days is told."""
    calendar = frame.calendar
    start = calendar.day(bought.on)
    end = calendar.day(months_later(bought.on, bought.life_months or 1))
    a_day = bought.amount_minor / (end - start)
    stopped = end if bought.ended_on is None else min(end, calendar.day(bought.ended_on))
    until = min(stopped, calendar.days)
    if until > start:
        yield start, until, a_day * (until - start)
    if bought.ended_on is None:
        intake.ahead_minor[bought.kind] += a_day * (end - until)
    else:
        day = calendar.day(bought.ended_on)
        yield day, day + 1, a_day * (end - stopped) - bought.got_back_minor


def _for_batch(frame: Frame, intake: Intake, bought: Purchase) -> None:
    """Laid on a batch at once, or month by month where it lasts; never before the batch was potted."""
    if bought.batch is None or bought.batch not in frame.batch_rows:
        raise RefusedInput("batch", bought.batch, "a batch of the accounts", bought.text)
    batch, calendar = frame.batch_rows[bought.batch], frame.calendar
    potted = calendar.day(frame.facts.batches[batch].potted_on)
    kind = frame.columns.kind(bought.kind)
    if bought.life_months is None and bought.ended_on is None:
        pieces = [(calendar.day(bought.on), float(bought.amount_minor))]
    else:
        pieces = [each for span in _pieces(frame, intake, bought) for each in _by_month(frame, *span)]
    for day, amount in pieces:
        row = np.zeros(frame.columns.count)
        row[kind] = amount
        intake.deposits.append((max(day, potted), batch, row))


def _by_month(frame: Frame, start: int, end: int, amount: float) -> Iterator[tuple[int, float]]:
    """A span cut at the turns of months: first day and amount of each piece."""
    months = frame.calendar.month[start:end]
    turns = [start, *(start + 1 + np.flatnonzero(np.diff(months))).tolist(), end]
    for first, last in pairwise(turns):
        yield first, amount * (last - first) / (end - start)


def _tank_row(frame: Frame, tank: int, where: str) -> int:
    if tank not in frame.tank_rows:
        raise RefusedInput("tank", tank, "a tank of the accounts", where)
    return frame.tank_rows[tank]


def _power(frame: Frame, intake: Intake) -> None:
    """Energy of each day, and its cost by the tariff of the day."""
    calendar, kind = frame.calendar, frame.columns.kind("power")
    price = np.full(calendar.days, np.nan)
    for tariff in sorted(frame.facts.tariffs, key=lambda one: one.from_on):
        if not 0.0 <= tariff.kwh_minor < 1e9:
            raise RefusedInput("kwh_minor", tariff.kwh_minor, "a price from 0", str(tariff.from_on))
        price[max(calendar.day(tariff.from_on), 0) :] = tariff.kwh_minor
    energy = np.zeros(calendar.days)
    for use in frame.facts.power:
        is_power = 0.0 <= use.power_w <= 1e6 and 0.0 <= use.hours <= 24.0 and 0.0 <= use.dimmer_frac <= 1.0
        if not is_power:
            shown = f"{use.power_w:g} W x {use.dimmer_frac:g} for {use.hours:g} h"
            raise RefusedInput("power", shown, "up to 1000 kW, a dimmer from 0 to 1, up to 24 h", use.text)
        row = -1 if use.tank is None else _tank_row(frame, use.tank, use.text)
        end = calendar.days if use.to_on is None else min(calendar.day(use.to_on), calendar.days)
        span = slice(calendar.day(use.from_on), max(end, calendar.day(use.from_on)))
        a_day = use.power_w / 1000.0 * use.dimmer_frac * use.hours
        energy[span] += a_day
        intake.daily[row, span, kind] += a_day * np.nan_to_num(price[span])
    by_month = np.bincount(calendar.month, energy, len(calendar.months))
    intake.kwh = {name: float(kwh) for name, kwh in zip(calendar.months, by_month, strict=True) if kwh}
    intake.untold_kwh = float(energy[np.isnan(price)].sum())
    exact = float(intake.daily[:, :, kind].sum())
    intake.spent_minor["power"] = round(exact)
    if exact > 0.0:  # as a whole it is a number of coins
        intake.daily[:, :, kind] *= intake.spent_minor["power"] / exact


def _work(frame: Frame, intake: Intake) -> None:
    """Minutes to their tank, batch, order or release, else to the whole nursery."""
    columns = {task: at for at, task in enumerate(frame.columns.tasks, frame.columns.work.start)}
    usual = {task: pace.minutes for task, pace in frame.paces.items()}
    first = frame.calendar.first
    tank_rows: dict[int | None, int] = dict(frame.tank_rows.items())
    tank_rows[None] = len(frame.facts.tanks)
    places: list[tuple[int, int, int]] = []
    spent: list[float] = []
    for row in frame.facts.work:
        column = columns[row.task, row.minutes is None]
        minutes = row.count * usual[row.task] if row.minutes is None else row.minutes
        if row.batch is not None or row.order is not None or row.release is not None:
            _work_elsewhere(frame, intake, row, column, minutes)
        elif row.tank in tank_rows:
            places.append((tank_rows[row.tank], row.on.toordinal() - first, column))
            spent.append(minutes)
        else:
            raise RefusedInput("tank", row.tank, "a tank of the accounts", f"{row.task} on {row.on}")
    if places:
        np.add.at(intake.daily, tuple(np.array(places).T), spent)


def _work_elsewhere(frame: Frame, intake: Intake, row: TaskDone, column: int, minutes: float) -> None:
    one = np.zeros(frame.columns.count)
    one[column] = minutes
    if row.batch is not None:
        if row.batch not in frame.batch_rows:
            raise RefusedInput("batch", row.batch, "a batch of the accounts", f"{row.task} on {row.on}")
        batch = frame.batch_rows[row.batch]
        potted = frame.calendar.day(frame.facts.batches[batch].potted_on)
        intake.deposits.append((max(frame.calendar.day(row.on), potted), batch, one))
    elif row.order is not None:
        _add(intake.for_orders, row.order, one)
    elif row.release is not None:
        _add(intake.for_releases, row.release, one)


def _add(owed: dict[int, Rows], key: int, one: Rows) -> None:
    owed[key] = owed[key] + one if key in owed else one
