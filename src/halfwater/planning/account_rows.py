"""Accounts of groups of plants: sums of coins and minutes, with the ranges that assumed minutes bring."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from halfwater.plain.costing import COST_KINDS, Account
from halfwater.plain.growing import Span
from halfwater.planning.cost_ends import Ends
from halfwater.planning.cost_frame import Frame, Ints, Rows
from halfwater.planning.task_minutes import pace_factors

MONTH_DAYS = 30.0


@dataclass(frozen=True, slots=True)
class Groups:
    """Which group each end belongs to; -1 for none."""

    of: str
    keys: Sequence[str]
    names: Sequence[str]
    leaving: Ints
    income: Ints  # of each payment
    standing: Ints
    alone: Ints
    unused: Ints  # of each month
    lost: Ints  # of each lost pot
    untaken: int = -1  # group of minutes that nothing was sold for


def accounts_of(frame: Frame, ends: Ends, groups: Groups, work_factor: Rows) -> tuple[Account, ...]:
    """One account a group.

    Parameters
    ----------
    frame : Frame
        For columns and the grower's hour.
    ends : Ends
        Where coins and minutes ended.
    groups : Groups
        What belongs together.
    work_factor : ndarray
        How much longer each kind of work may have taken, by draws, from `work_factors`. [1] Valid above 0.

    Returns
    -------
    tuple of Account
        In the order of the groups; they add up, coin by coin, whichever way the plants are grouped.

    Notes
    -----
    Income less cost is the margin; over the hours in the same plants it is what an hour earned, with the
    80 % range over the draws. A group without work has no such figure; one without pot-days no margin a
    month.

    Source: own definition
    """
    count, columns = len(groups.keys), frame.columns
    alone_minor, unused_minor = ends.alone_minor.sum(axis=1), ends.unused_minor.sum(axis=1)
    parts = _sum(groups.leaving, ends.left_minor, count)
    lost_alone = _sum(groups.alone, alone_minor[:, None], count)[:, 0]
    unused = _sum(groups.unused, unused_minor[:, None], count)[:, 0]
    rows = (
        _sum(groups.leaving, ends.left, count) + _sum(groups.alone, ends.alone_rows, count)
        + _sum(groups.unused, ends.unused, count)
    )  # fmt: skip
    if groups.untaken >= 0:
        rows[groups.untaken] += ends.untaken
    tallies = _tallies(ends, groups, count)
    cost = parts.sum(axis=1) + lost_alone + unused
    margin = tallies["income"] - cost
    money = _Money(margin.tolist(), frame.facts.hour_minor, _quantiles(rows[:, columns.work], work_factor))
    whole = _Sums(groups, parts, lost_alone, unused, tallies, money, rows)
    return tuple(_account(whole, at, frame) for at in range(count))


def work_factors(frame: Frame, draws: int, seed: int) -> Rows:
    """How much longer or shorter each column of work may have taken: 1 where it was noted.

    Parameters
    ----------
    frame : Frame
        For its columns of work and their paces.
    draws : int
        Columns of the answer.
    seed : int
        Of the draws.

    Returns
    -------
    ndarray
        Columns of work by draws. [1]

    Notes
    -----
    Without assumed minutes all are 1, and ranges are points.

    Source: own definition
    """
    factors = np.ones((len(frame.columns.tasks), draws))
    assumed = [at for at, (_, is_assumed) in enumerate(frame.columns.tasks) if is_assumed]
    paces = [frame.paces[frame.columns.tasks[at][0]] for at in assumed]
    factors[assumed] = pace_factors(paces, draws, seed)
    return factors


@dataclass(frozen=True, slots=True)
class _Money:
    """Minutes of each group with their range, and what they mean."""

    margin: list[float]
    worth_minor: int | None  # of an hour, to the grower
    quantiles: list[list[float]]  # groups; 10, 50 and 90 %

    def minutes(self, at: int) -> Span | None:
        return Span(*self.quantiles[at]) if self.quantiles[at][1] > 0.0 else None

    def hour(self, at: int) -> Span | None:
        """The margin over the hours: fewest hours earn most, unless there was a loss."""
        if self.quantiles[at][1] <= 0.0:
            return None
        return Span(*sorted(self.margin[at] * 60.0 / minutes for minutes in self.quantiles[at]))

    def work(self, at: int) -> Span | None:
        if self.worth_minor is None:
            return None
        return Span(*(minutes * self.worth_minor / 60.0 for minutes in self.quantiles[at]))

    def after_work(self, at: int) -> Span | None:
        work = self.work(at)
        margin = self.margin[at]
        return None if work is None else Span(margin - work.p90, margin - work.p50, margin - work.p10)


@dataclass(frozen=True, slots=True)
class _Sums:
    """Everything added up, a group a row."""

    groups: Groups
    parts: Rows
    lost_alone: Rows
    unused: Rows
    tallies: dict[str, Ints]
    money: _Money
    rows: Rows


def _account(sums: _Sums, at: int, frame: Frame) -> Account:
    """One group's account."""
    money, tallies, row = sums.money, sums.tallies, sums.rows[at]
    named = zip(
        (*COST_KINDS, "lost", "unused"), (*sums.parts[at], sums.lost_alone[at], sums.unused[at]), strict=True
    )
    parts = {name: int(amount) for name, amount in named if amount}
    cost, margin, sold = sum(parts.values()), int(money.margin[at]), int(tallies["sold"][at])
    days = float(row[frame.columns.memo("pot-days")])
    return Account(
        of=sums.groups.of, key=sums.groups.keys[at], name=sums.groups.names[at],
        sold=sold, given=int(tallies["given"][at]), standing=int(tallies["standing"][at]),
        lost=int(tallies["lost"][at]), income_minor=int(tallies["income"][at]), cost_minor=cost,
        margin_minor=margin, parts=parts, minutes=money.minutes(at), hour_minor=money.hour(at),
        work_minor=money.work(at), after_work_minor=money.after_work(at),
        plant_cost_minor=cost / sold if sold else None,
        from_losses_minor=round(float(row[frame.columns.memo("from losses")])),
        from_parents_minor=round(float(row[frame.columns.memo("from parents")])),
        standing_minor=int(tallies["standing_minor"][at]), pot_days=days,
        margin_a_month_minor=margin * MONTH_DAYS / days if days > 1e-9 else None,
    )  # fmt: skip


def _quantiles(minutes: Rows, factors: Rows) -> list[list[float]]:
    """Range of each group's minutes; slices keep the draws of many plants from filling the memory."""
    found = np.zeros((len(minutes), 3))
    for start in range(0, len(minutes), 2000):
        drawn = minutes[start : start + 2000] @ factors
        found[start : start + 2000] = np.quantile(drawn, (0.1, 0.5, 0.9), axis=1).T
    return found.tolist()


def _sum(group: Ints, rows: Rows | Ints, count: int) -> Rows:
    """Rows added up by group; whole coins stay whole, being far below 2^53."""
    summed = np.zeros((count, rows.shape[1]))
    is_in = group >= 0
    np.add.at(summed, group[is_in], rows[is_in])
    return summed


def _tallies(ends: Ends, groups: Groups, count: int) -> dict[str, Ints]:
    has_plant = np.array([one.plant is not None or one.pot is not None for one in ends.leaving], dtype=bool)
    is_given = np.array(
        [one.plant is not None and one.plant.price_minor == 0 for one in ends.leaving], dtype=bool
    )
    income = _sum(groups.income, ends.income.amount_minor[:, None], count)[:, 0]
    standing_minor = _sum(groups.standing, ends.stood_minor.sum(axis=1)[:, None], count)[:, 0]
    return {
        "sold": _count(groups.leaving[has_plant & ~is_given], count),
        "given": _count(groups.leaving[is_given], count),
        "standing": _count(groups.standing, count),
        "lost": _count(groups.lost, count),
        "income": income.astype(np.int64),
        "standing_minor": standing_minor.astype(np.int64),
    }


def _count(group: Ints, count: int) -> Ints:
    return np.bincount(group[group >= 0], minlength=count).astype(np.int64)
