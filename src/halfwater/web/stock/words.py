"""Stock in words: spans, dates of grades, what a pot is."""

from collections.abc import Sequence
from datetime import date

from halfwater.plain.figures import show_date, show_dates, show_number, show_range
from halfwater.plain.growing import GradeDate, Span
from halfwater.plain.stock import StandingPot
from halfwater.web.workings import Figure


def count_span(span: Span) -> str:
    """Pots with their 80 % range: "12 (9 to 15)"."""
    low, middle, high = (f"{value:z.0f}" for value in (span.p10, span.p50, span.p90))
    return middle if low == high else f"{middle} ({low} to {high})"


def number_span(span: Span, decimals: int = 1) -> tuple[str, str]:
    """A median, and its range as a remark."""
    low, high = show_number(span.p10, decimals), show_number(span.p90, decimals)
    return show_number(span.p50, decimals), "" if low == high else f"{low} to {high}"


def share_span(span: Span) -> tuple[str, str]:
    """A share with its range, in per cent."""
    return f"{100 * span.p50:z.1f} %", show_range(span.p10, span.p90, "frac")


def grade_date(one: GradeDate, today: date) -> str:
    """When a grade is reached."""
    if one.is_reached:
        return "reached"
    return show_dates(one.p10_on, one.p50_on, one.p90_on, today)


def grade_figure(name: str, one: GradeDate, today: date) -> Figure:
    """A grade's day as a figure, its range as the remark."""
    if one.is_reached:
        return Figure(name, "reached")
    if one.p50_on is None:
        return Figure(name, "later", grade_date(one, today))
    last = show_date(one.p90_on, today) if one.p90_on else "later"
    first = show_date(one.p10_on, today) if one.p10_on else "now"
    return Figure(name, show_date(one.p50_on, today), f"{first} to {last}")


def next_grade(dates: Sequence[GradeDate]) -> GradeDate | None:
    """The smallest grade not reached yet."""
    return next((one for one in dates if not one.is_reached), None)


def leaves_said(pot: StandingPot, today: date) -> str:
    """The last count with its day."""
    if pot.leaves is None:
        return "never counted"
    leaves = f"{pot.leaves} {'leaf' if pot.leaves == 1 else 'leaves'}"
    return f"{leaves}, {show_date(pot.counted_on, today)}" if pot.counted_on else leaves


def place_said(pot: StandingPot) -> str:
    """Where it stands."""
    return f"{pot.tank_name} {pot.spot}" if pot.spot else pot.state


def pots_said(count: int) -> str:
    """ "1 pot", "12 pots"."""
    return f"{count} pot{'' if count == 1 else 's'}"
