"""What buyers may want of each line if it is offered again, beside what was offered."""

from dataclasses import dataclass
from typing import Any

from halfwater.pictures.table import ChartTable
from halfwater.plain.growing import Span

_ROW = 46  # pixels for a line: its name above its span


@dataclass(frozen=True, slots=True)
class WantedLine:
    """One line: plants wanted with their 80 % range, and plants offered."""

    name: str
    wanted: Span
    offered: int


def wanted_spec(lines: tuple[WantedLine, ...]) -> dict[str, Any]:
    """The Vega-Lite spec: a span and its middle for each line, a mark at what is offered."""
    import altair as alt

    rows = [
        {"line": one.name, "low": one.wanted.p10, "plants": one.wanted.p50, "high": one.wanted.p90,
         "offered": one.offered, "start": 0}
        for one in lines
    ]  # fmt: skip
    top = max((max(one.wanted.p90, one.offered) for one in lines), default=1.0)
    scale = alt.Scale(domain=[0, max(1.0, round(top * 1.06, 1))], nice=False)
    axis = alt.Axis(tickCount=5, format="d")
    y = alt.Y("line:N", axis=None, sort=None)
    chart = alt.Chart(alt.InlineData(values=rows))

    def x(field: str) -> Any:
        return alt.X(f"{field}:Q", title="plants", scale=scale, axis=axis)

    layers = [
        chart.mark_rule(style="grade-span", yOffset=8).encode(x=x("low"), x2="high:Q", y=y),
        chart.mark_point(style="grade-middle", filled=True, yOffset=8).encode(x=x("plants"), y=y),
        chart.mark_tick(style="offered", thickness=3, height=18, yOffset=8).encode(x=x("offered"), y=y),
        chart.mark_text(style="clay-word", align="left", dx=2, dy=-10).encode(
            x=x("start"), y=y, text="line:N"
        ),
    ]
    whole = alt.layer(*layers).properties(
        width="container", height=max(1, len(rows)) * _ROW, description=wanted_sentence(lines)
    )
    spec: dict[str, Any] = whole.to_dict(validate=False)
    spec["config"] = {"view": {"stroke": None}}
    return spec


def wanted_sentence(lines: tuple[WantedLine, ...]) -> str:
    """The picture in one sentence."""
    short = sum(one.wanted.p50 > one.offered for one in lines)
    if not lines:
        return "No line was on offer yet"
    likely = "would more likely than not find more buyers than plants"
    return f"Offered again, {short} of {len(lines)} lines {likely}"


def wanted_table(lines: tuple[WantedLine, ...]) -> ChartTable:
    """Each line with what is offered and wanted."""
    rows = tuple(
        (
            one.name,
            f"{one.offered}",
            f"{one.wanted.p50:.0f}",
            f"{one.wanted.p10:.0f} to {one.wanted.p90:.0f}",
        )
        for one in lines
    )
    return ChartTable(wanted_sentence(lines), ("line", "offered", "wanted", "80 % range"), rows)
