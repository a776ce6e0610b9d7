"""The weeks of a cutting plan: near ones one by one, far ones in longer steps, each release in its step."""

from dataclasses import dataclass
from datetime import date

from halfwater.errors import RefusedInput
from halfwater.plain.stock import CuttingHabit

FAR_STEP = 4  # weeks, at most
LATE_STEP = 8  # the same in the second half of a year, where there is much to plan
LATE_FROM = 24


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the plan: what is done is done at its beginning, then the plants grow to its end."""

    start: int  # week
    weeks: int
    releases: tuple[int, ...]  # weeks of the releases that fall into it
    is_near: bool


def release_weeks(on: date, weeks: int, habit: CuttingHabit) -> tuple[int, ...]:
    """Weeks of the plan in which a release opens, the first week being 0.

    Parameters
    ----------
    on : date
        First day of week 0.
    weeks : int
        Weeks of the plan. Valid from 1 on.
    habit : CuttingHabit
        Its rhythm and its next release; without a date the next release opens one rhythm from now.

    Returns
    -------
    tuple of int
        Weeks from 0 to weeks - 1, the earliest first.

    Raises
    ------
    RefusedInput
        If the plan has no weeks or the rhythm is under one week.

    Notes
    -----
    first = (next release - on) // 7 days, moved on by whole rhythms while it lies before `on`; then every
    rhythm. 0 weeks are refused; there is no nan among dates and whole numbers; a next release past the plan's
    end gives no release.

    Source: own definition
    """
    if weeks < 1:
        raise RefusedInput("weeks", weeks, "1 or more")
    every = habit.release_every_weeks
    if every < 1:
        raise RefusedInput("release_every_weeks", every, "1 or more")
    first = every if habit.next_release_on is None else (habit.next_release_on - on).days // 7
    if first < 0:
        first %= every
    return tuple(range(first, weeks, every))


def plan_steps(
    on: date, weeks: int, near_weeks: int, habit: CuttingHabit, is_coarse: bool = False
) -> tuple[Step, ...]:
    """The steps of a plan: single weeks near, then steps of up to four weeks that begin at releases.

    Parameters
    ----------
    on : date
        First day of week 0.
    weeks : int
        Weeks of the plan. Valid from 1 on.
    near_weeks : int
        Weeks decided in whole pots. Valid from 0 on; more than `weeks` means all.
    habit : CuttingHabit
        Rhythm and next release.
    is_coarse : bool
        Whether steps after half a year may be twice as long, for large nurseries.

    Returns
    -------
    tuple of Step
        They cover all weeks without a gap.

    Raises
    ------
    RefusedInput
        If the plan has no weeks, the near weeks are negative or the rhythm is under one week.

    Notes
    -----
    A far step ends where four weeks are full or the next release after its first week begins, whichever comes
    first; a rhythm of three weeks or less has several releases in one step, all sold at its beginning. 0
    near weeks
    give far steps only. There is no nan among whole numbers.

    Source: own definition
    """
    if near_weeks < 0:
        raise RefusedInput("near_weeks", near_weeks, "0 or more")
    opens = release_weeks(on, weeks, habit)
    near = min(near_weeks, weeks)
    steps = [Step(week, 1, tuple(w for w in opens if w == week), True) for week in range(near)]
    at = near
    while at < weeks:
        step = LATE_STEP if is_coarse and at >= LATE_FROM else FAR_STEP
        end = _far_end(at, weeks, opens, habit.release_every_weeks, step)
        steps.append(Step(at, end - at, tuple(w for w in opens if at <= w < end), False))
        at = end
    return tuple(steps)


def _far_end(at: int, weeks: int, opens: tuple[int, ...], every: int, step: int) -> int:
    """Where a far step ends: a release begins a step, unless several of them share one."""
    full = at + step
    if at not in opens:
        return min([full, weeks, *(week for week in opens if week > at)])
    shared = at + every * max(step // every, 1)
    return min(full if shared > full else shared, weeks)
