"""The ready picture: how many pots stand at each grade or better, day by day, with the 80 % range."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from halfwater.pictures.table import ChartTable
from halfwater.plain.growing import ReadyCount
from halfwater.plain.stock import GRADES

_MOST_ROWS = 8  # of the table, each grade
_WORD_PLACES = {"small": 0.2, "standard": 0.5, "large": 0.8}  # along the days: apart even where lines meet


@dataclass(frozen=True, slots=True)
class ReadyPicture:
    """What the picture shows: the counts of one taxon or batch, all its grades."""

    subject: str
    counts: tuple[ReadyCount, ...]
    releases: tuple[date, ...] = ()  # days on which sales open


def ready_spec(picture: ReadyPicture) -> dict[str, Any]:
    """The Vega-Lite spec. It names a style for each grade; the page or paper gives the colours."""
    import altair as alt

    x = alt.X("on:T", title=None, axis=alt.Axis(format="%-d %b", labelOverlap=True, tickCount=6, grid=False))
    top = max((one.p90 for one in picture.counts), default=1.0)
    scale = alt.Scale(domain=[0, max(round(top * 1.08, 1), 1)], nice=False)
    title = "pots at the grade or better"
    y = alt.Y("p50:Q", title=title, scale=scale, axis=alt.Axis(tickCount=5, format="d"))
    fans, lines, words = [], [], []
    for grade in grades_of(picture.counts):
        rows = [_values(one) for one in _of_grade(picture.counts, grade)]
        chart = alt.Chart(alt.InlineData(values=rows))
        band = alt.Y("p10:Q", scale=scale, title=title)
        fans.append(chart.mark_area(style=f"fan-{grade}").encode(x=x, y=band, y2="p90:Q"))
        lines.append(chart.mark_line(style=f"grade-{grade}").encode(x=x, y=y))
        place = round(_WORD_PLACES[grade] * (len(rows) - 1))
        at = alt.Chart(alt.InlineData(values=[rows[place] | {"word": grade}]))
        for look in ("halo", f"grade-{grade}-word"):
            mark = at.mark_text(style=look, align="center", dy=-8 if grade == GRADES[0] else 12)
            words.append(mark.encode(x=x, y=y, text="word:N"))
    layers = [*fans, *_releases(alt, picture, x), *lines, *words]
    whole = alt.layer(*layers).properties(width="container", height=260, description=ready_sentence(picture))
    spec: dict[str, Any] = whole.to_dict(validate=False)
    spec["config"] = {"view": {"stroke": None}}
    return spec


def ready_sentence(picture: ReadyPicture) -> str:
    """The picture in one sentence."""
    parts = []
    for grade in grades_of(picture.counts):
        days = _of_grade(picture.counts, grade)
        first, last = days[0], days[-1]
        better = grade if grade == GRADES[-1] else f"{grade} or better"
        parts.append(f"{better} {first.p50:.0f} today, {last.p50:.0f} on {last.on:%-d %B}")
    return f"Ready pots of {picture.subject}: " + "; ".join(parts) if parts else f"{picture.subject}: no pot"


def ready_table(picture: ReadyPicture) -> ChartTable:
    """The counts month by month or so, a row a day and a column a grade."""
    grades = grades_of(picture.counts)
    days = sorted({one.on for one in picture.counts})
    step = max(1, -(-(len(days) - 1) // (_MOST_ROWS - 1)))
    chosen = [*days[:-1:step], days[-1]] if days else []
    found = {(one.grade, one.on): one for one in picture.counts}
    rows = tuple(
        (f"{day:%-d %b %Y}", *(_cell(found.get((grade, day))) for grade in grades)) for day in chosen
    )
    heads = ("day", *(grade if grade == GRADES[-1] else f"{grade} or better" for grade in grades))
    return ChartTable(ready_sentence(picture), heads, rows)


def grades_of(counts: Sequence[ReadyCount]) -> tuple[str, ...]:
    """The grades that are counted, the smallest first."""
    found = {one.grade for one in counts}
    return tuple(grade for grade in GRADES if grade in found)


def _of_grade(counts: Sequence[ReadyCount], grade: str) -> list[ReadyCount]:
    return sorted((one for one in counts if one.grade == grade), key=lambda one: one.on)


def _values(one: ReadyCount) -> dict[str, Any]:
    return {"on": one.on.isoformat(), "p10": one.p10, "p50": one.p50, "p90": one.p90}


def _cell(one: ReadyCount | None) -> str:
    if one is None:
        return ""
    low, middle, high = (f"{value:.0f}" for value in (one.p10, one.p50, one.p90))
    return middle if low == high else f"{middle} ({low} to {high})"


def _releases(alt: Any, picture: ReadyPicture, x: Any) -> list[Any]:
    """A rule on each day on which sales open, inside the days that are shown."""
    days = [one.on for one in picture.counts]
    inside = [on for on in picture.releases if days and min(days) <= on <= max(days)]
    if not inside:
        return []
    values = [{"on": on.isoformat()} for on in inside]
    return [alt.Chart(alt.InlineData(values=values)).mark_rule(style="release").encode(x=x)]
