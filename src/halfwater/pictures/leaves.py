"""The leaves picture: what was counted on one pot, and the days on which it likely reaches each grade."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from halfwater.pictures.table import ChartTable
from halfwater.plain.figures import show_date
from halfwater.plain.growing import GradeDate


@dataclass(frozen=True, slots=True)
class LeavesPicture:
    """One pot: its counts, and the grades ahead of it."""

    pot_name: str
    counts: tuple[tuple[date, int], ...]
    dates: tuple[GradeDate, ...]
    horizon_on: date


def leaves_spec(picture: LeavesPicture) -> dict[str, Any]:
    """The Vega-Lite spec: counts as points, each grade as a level with its 80 % range of days."""
    import altair as alt

    x = alt.X("on:T", title=None, axis=alt.Axis(format="%-d %b", labelOverlap=True, tickCount=6, grid=False))
    top = max([1, *(leaves for _, leaves in picture.counts), *(one.leaves for one in picture.dates)])
    scale = alt.Scale(domain=[0, top + 1], nice=False)
    y = alt.Y("leaves:Q", title="leaves", scale=scale, axis=alt.Axis(tickCount=5, format="d"))
    layers: list[Any] = []
    spans = [_span(one, picture.horizon_on) for one in picture.dates if one.p10_on is not None]
    if spans:
        ahead = alt.Chart(alt.InlineData(values=spans))
        layers.append(ahead.mark_rule(style="grade-span").encode(x=x, x2="until:T", y=y))
        middles = [one for one in spans if one["middle"]]
        if middles:
            chart = alt.Chart(alt.InlineData(values=middles))
            layers.append(
                chart.mark_point(style="grade-middle", filled=True).encode(x=alt.X("middle:T"), y=y)
            )
        for look in ("halo", "grade-standard-word"):
            layers.append(ahead.mark_text(style=look, align="left", dy=-10).encode(x=x, y=y, text="grade:N"))
    if picture.counts:
        values = [{"on": on.isoformat(), "leaves": leaves} for on, leaves in picture.counts]
        chart = alt.Chart(alt.InlineData(values=values))
        layers.append(chart.mark_line(style="water").encode(x=x, y=y))
        layers.append(chart.mark_point(style="reading", filled=True).encode(x=x, y=y))
    whole = alt.layer(*layers).properties(width="container", height=220, description=leaves_sentence(picture))
    spec: dict[str, Any] = whole.to_dict(validate=False)
    spec["config"] = {"view": {"stroke": None}}
    return spec


def leaves_sentence(picture: LeavesPicture) -> str:
    """The picture in one sentence."""
    if not picture.counts:
        return f"{picture.pot_name}: no leaves counted yet"
    first, last = picture.counts[0], picture.counts[-1]
    if len(picture.counts) == 1:
        return f"{picture.pot_name}: {first[1]} leaves on {first[0]:%-d %B %Y}"
    return (
        f"{picture.pot_name}: {first[1]} leaves on {first[0]:%-d %B %Y}, "
        f"{last[1]} on {last[0]:%-d %B %Y}, {len(picture.counts)} counts"
    )


def leaves_table(picture: LeavesPicture) -> ChartTable:
    """The counts, newest first."""
    rows = tuple((show_date(on), f"{leaves}") for on, leaves in reversed(picture.counts))
    return ChartTable(leaves_sentence(picture), ("day", "leaves"), rows)


def _span(one: GradeDate, horizon_on: date) -> dict[str, Any]:
    return {
        "on": one.p10_on.isoformat() if one.p10_on else "",
        "until": (one.p90_on or horizon_on).isoformat(),
        "middle": one.p50_on.isoformat() if one.p50_on else "",
        "leaves": one.leaves,
        "grade": one.grade,
    }
