"""From what was noted to what happened: sprays, missed evenings and evenings left blank.

A blank evening is ambiguous: not sprayed, or sprayed and not noted. Growers
who note nearly every evening leave blanks because they did not spray; growers
who note none spray all the same. The share of evenings noted lately decides,
and the doubt enters as variance, shared by all evenings of one blank run.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.science import starting

_MEMORY = 1.0 / 25.0  # weight of one evening in the running shares
_ONE_TAP_DAY = 1.0 / 24.0  # the same thing noted twice within the hour is one thing
_MORNING_DAY = 1.0 + 8.0 / 24.0  # from midnight before an evening to the morning after it
_LATE_DAY = 2.0 / 24.0  # after that a spray without an entry is a blank
_LONGEST_RUN = 14  # evenings; doubt about a longer blank does not grow faster


@dataclass(frozen=True, slots=True)
class WaterRow:
    """One entry that moves or measures water, day being local and fractional."""

    day: float
    kind: str  # spray, skip, fill, siphon, waterline
    value: float | None = None  # L, or mm for a waterline
    to_line: str = ""
    word: str = ""


@dataclass(frozen=True, slots=True)
class EveningHabit:
    """How a grower sprays and notes one tank, learned from the evenings so far."""

    noted_frac: float = 0.0  # of evenings, how many were noted lately
    given_frac: float = 0.95  # of evenings, how many were sprayed lately
    amount_l: float = 0.0  # mean of a noted night spray
    amount_weight: float = 0.0  # evenings' worth of evidence behind it
    amount_var: float = 0.0
    blank_run: int = 0
    next_evening: int | None = None  # first evening not yet taken up
    evening_weight: float = 0.0  # evenings taken up so far, up to the memory
    morning_frac: float = 0.95  # of planned morning sprays, how many were given lately


@dataclass(frozen=True, slots=True)
class SprayPast:
    """The evenings of a stretch of time: litres given, with the doubt about each."""

    day: tuple[float, ...]
    spray_l: tuple[float, ...]
    variance_l2: tuple[float, ...]
    habit: EveningHabit


def evening_of(day: float) -> int:
    """Evening to which an instant belongs: noon to noon, so that the next morning still counts.

    Parameters
    ----------
    day : float
        Local day, fractional. [d] Valid any finite.

    Returns
    -------
    int
        Whole day number of the evening. [d]

    Raises
    ------
    RefusedInput
        If the day is nan or infinite.

    Notes
    -----
    floor(day - 1/2).

    Source: own definition
    """
    if not math.isfinite(day):
        raise RefusedInput("day", day, "a finite day number")
    return math.floor(day - 0.5)


def without_double_taps(rows: Iterable[WaterRow]) -> tuple[WaterRow, ...]:
    """Rows in order of time, each thing noted twice within the hour kept once.

    Parameters
    ----------
    rows : iterable of WaterRow
        Entries of one tank in any order.

    Returns
    -------
    tuple of WaterRow
        Sorted by day. [1]

    Notes
    -----
    Two rows are the same thing when kind, value, line and word agree and less than an hour lies between
    them. A second spray of another amount is a second spray.

    Source: own definition
    """
    kept: list[WaterRow] = []
    last: dict[tuple[object, ...], float] = {}
    for row in sorted(rows, key=lambda r: r.day):
        what = (row.kind, row.value, row.to_line, row.word)
        if row.day - last.get(what, -math.inf) < _ONE_TAP_DAY:
            continue
        last[what] = row.day
        kept.append(row)
    return tuple(kept)


def chance_blank_was_sprayed(noted_frac: float) -> float:
    """Probability that an evening without an entry was sprayed all the same.

    Parameters
    ----------
    noted_frac : float
        Share of evenings noted lately. [1] Valid 0..1.

    Returns
    -------
    float
        Probability. [1]

    Raises
    ------
    RefusedInput
        If the share is nan or outside 0..1.

    Notes
    -----
    0.95 for somebody who notes nothing, falling in a straight line to 0.1 for somebody who notes every
    evening; the two ends are guesses that every reading corrects.

    Source: own definition
    """
    if not 0.0 <= noted_frac <= 1.0:
        raise RefusedInput("noted_frac", noted_frac, "a share from 0 to 1")
    return 0.95 - 0.85 * noted_frac


def spray_past(
    rows: Sequence[WaterRow],
    habit: EveningHabit,
    *,
    start_day: float,
    now_day: float,
    evening_frac: float,
    plan_night_l: float | None,
    plan_morning_l: float = 0.0,
) -> SprayPast:
    """Sprays between two instants, noted and likely, and the habit after them.

    Parameters
    ----------
    rows : sequence of WaterRow
        Entries of the tank inside start_day..now_day, double taps gone.
    habit : EveningHabit
        The habit as it stood at start_day.
    start_day : float
        Beginning. [d] Valid any finite.
    now_day : float
        End. [d] Valid >= start_day.
    evening_frac : float
        When the round is walked, as a share of the day. [1] Valid 0..1.
    plan_night_l : float or None
        Planned night spray, None for a drench. [L] Valid >= 0.
    plan_morning_l : float
        Planned morning spray, 0 for none. [L] Valid >= 0.

    Returns
    -------
    SprayPast
        One element a spray, noted or supposed. [1]

    Raises
    ------
    RefusedInput
        If the end lies before the start.

    Notes
    -----
    A noted spray s has the standard deviation 10 % of s times the starting catch. A blank evening counts as
    p times the usual amount, with variance p (1 - p) (catch s)^2 (2k - 1) for the k-th evening of one run,
    so that a run is believed or disbelieved as a whole. A planned morning spray without an entry counts in
    the same way, at eight on the day after its evening; where none is planned, a spray noted in the morning
    is that of the evening before, noted late. Only blanks after the first entry and more than two
    hours past the evening hour count.

    Source: own definition
    """
    if not now_day >= start_day:
        raise RefusedInput("now_day", now_day, f"a day at or after the start, {start_day:g}")
    nights, mornings = _by_evening(rows, has_mornings=plan_morning_l > 0.0)
    out = [
        _noted(row.day, plan_morning_l if row.value is None else row.value)
        for own in mornings.values()
        for row in own
    ]
    running = _Running(habit, plan_night_l)
    first = habit.next_evening if habit.next_evening is not None else math.ceil(start_day - evening_frac)
    last = math.floor(now_day - evening_frac - _LATE_DAY)
    for evening in sorted(set(range(first, last + 1)) | set(nights)):
        noted = nights.get(evening)
        if noted is None:
            out.append((evening + evening_frac, *running.leave_blank()))
        else:
            usual = running.usual_l()
            given = [(r.day, usual if r.value is None else r.value) for r in noted if r.kind == "spray"]
            out.extend(_noted(day, amount) for day, amount in given)
            running.take_note(sum(amount for _, amount in given))
        if plan_morning_l and evening in mornings:
            running.take_morning(1.0)
        elif plan_morning_l and evening + _MORNING_DAY + _LATE_DAY <= now_day:
            out.append((evening + _MORNING_DAY, *running.leave_morning_blank(plan_morning_l)))
    done = max([last + 1, first, *(e + 1 for e in nights)])
    out.sort()
    days, litres, variances = zip(*out, strict=True) if out else ((), (), ())
    return SprayPast(days, litres, variances, running.habit(done))


def _by_evening(
    rows: Sequence[WaterRow], *, has_mornings: bool
) -> tuple[dict[int, list[WaterRow]], dict[int, list[WaterRow]]]:
    """Night sprays and skips by their evening, and morning sprays by the evening before them.

    Where no morning spray is planned, one noted in the morning is last night's, noted late.
    """
    nights: dict[int, list[WaterRow]] = {}
    mornings: dict[int, list[WaterRow]] = {}
    for row in rows:
        if row.kind in ("spray", "skip"):
            is_morning = has_mornings and row.kind == "spray" and row.word == "morning"
            (mornings if is_morning else nights).setdefault(evening_of(row.day), []).append(row)
    return nights, mornings


def usual_amount(habit: EveningHabit, plan_night_l: float | None) -> float:
    """Night spray to expect: the plan and what was noted lately, weighed.

    Parameters
    ----------
    habit : EveningHabit
        What was learned.
    plan_night_l : float or None
        Planned night spray, None for a drench. [L] Valid >= 0.

    Returns
    -------
    float
        Volume of one night spray. [L]

    Notes
    -----
    Weighted mean with three evenings' weight for the plan (one for the starting value when there is no
    plan) and the evenings of evidence, 25 at most, for the notes. 0 stays 0.

    Source: own definition
    """
    prior, weight = _plan_weighed(plan_night_l)
    return (weight * prior + habit.amount_weight * habit.amount_l) / (weight + habit.amount_weight)


def _plan_weighed(plan_night_l: float | None) -> tuple[float, float]:
    """The amount expected before any note, and how many evenings' worth it weighs."""
    return (starting.SPRAY_VOLUME_L, 1.0) if plan_night_l is None else (plan_night_l, 3.0)


def _noted(day: float, amount: float) -> tuple[float, float, float]:
    return day, amount, (starting.CATCH_FRAC * starting.SPRAY_CV_FRAC * amount) ** 2


class _Running:
    """The habit while it is walked through: mutable, as ten years are thousands of evenings."""

    __slots__ = (
        "_amount", "_evenings", "_given", "_morning", "_noted", "_prior", "_prior_weight", "_run", "_var",
        "_weight",
    )  # fmt: skip

    def __init__(self, habit: EveningHabit, plan_night_l: float | None) -> None:
        self._noted, self._given, self._run = habit.noted_frac, habit.given_frac, habit.blank_run
        self._evenings, self._morning = habit.evening_weight, habit.morning_frac
        self._amount, self._weight, self._var = habit.amount_l, habit.amount_weight, habit.amount_var
        self._prior, self._prior_weight = _plan_weighed(plan_night_l)

    def habit(self, next_evening: int) -> EveningHabit:
        """The habit as it stands."""
        return EveningHabit(
            self._noted, self._given, self._amount, self._weight, self._var, self._run, next_evening,
            self._evenings, self._morning,
        )  # fmt: skip

    def usual_l(self) -> float:
        """Night spray to expect, as usual_amount says."""
        weight = self._prior_weight
        return (weight * self._prior + self._weight * self._amount) / (weight + self._weight)

    def _share(self) -> float:
        """Weight of this evening in the share noted: a plain mean at first, one with a memory later."""
        self._evenings = min(self._evenings + 1.0, 1.0 / _MEMORY - 1.0)
        return 1.0 / (self._evenings + 1.0)

    def leave_morning_blank(self, plan_l: float) -> tuple[float, float]:
        """One planned morning without an entry: what it counts for, in litres and variance."""
        chance = chance_blank_was_sprayed(self._noted)
        self.take_morning(chance)
        growing = max(2 * min(self._run, _LONGEST_RUN) - 1, 1)
        return chance * plan_l, chance * (1.0 - chance) * (starting.CATCH_FRAC * plan_l) ** 2 * growing

    def take_morning(self, given: float) -> None:
        """One planned morning, given for sure or by chance."""
        self._morning += _MEMORY * (given - self._morning)

    def leave_blank(self) -> tuple[float, float]:
        """One evening without an entry: what it counts for, in litres and variance."""
        usual = self.usual_l()
        chance = chance_blank_was_sprayed(self._noted)
        self._run += 1
        growing = 2 * min(self._run, _LONGEST_RUN) - 1
        self._noted *= 1.0 - self._share()
        self._given += _MEMORY * (chance - self._given)
        return chance * usual, chance * (1.0 - chance) * (starting.CATCH_FRAC * usual) ** 2 * growing

    def take_note(self, given_l: float) -> None:
        """One evening with an entry, sprayed or skipped."""
        sprayed = given_l > 0.0
        if sprayed:
            share = 1.0 / (self._weight + 1.0)
            off = given_l - self._amount if self._weight else 0.0
            self._amount += share * (given_l - self._amount)
            self._var = (1.0 - share) * (self._var + share * off * off)
            self._weight = min(self._weight + 1.0, 1.0 / _MEMORY)
        self._run = 0
        self._noted += self._share() * (1.0 - self._noted)
        self._given += _MEMORY * (float(sprayed) - self._given)
