"""The waterline picture: readings, the level worked out, the fan ahead, the three lines, the siphons."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from halfwater.pictures.table import ChartTable as ChartTable
from halfwater.plain.figures import show

INCH_MM = 25.4
_WORD_DAYS = 42  # the width of the word "siphon" on a narrow screen


@dataclass(frozen=True, slots=True)
class LevelDay:
    """The level on one day: its median and the 80 % range around it."""

    on: date
    depth_mm: float
    low_mm: float
    high_mm: float


@dataclass(frozen=True, slots=True)
class WaterlinePicture:
    """All the picture shows, in millimetres; `units` says how it is labelled."""

    tank: str
    units: str  # "metric" or "us"
    known: tuple[LevelDay, ...]  # worked out from the entries
    ahead: tuple[LevelDay, ...]  # forecast
    readings: tuple[tuple[date, float], ...]
    siphons: tuple[date, ...]
    clay_line_mm: float
    limit_line_mm: float
    low_line_mm: float


def waterline_spec(picture: WaterlinePicture) -> dict[str, Any]:
    """The Vega-Lite spec. It names styles (water, fan, past ...); the page or paper gives them colours."""
    import altair as alt

    unit = _sign(picture.units)
    y_top = _shown(picture.clay_line_mm, picture.units) * 1.22
    x = alt.X("on:T", title=None, axis=alt.Axis(format="%-d %b", labelOverlap=True, tickCount=6, grid=False))
    scale = alt.Scale(domain=[0, round(y_top, 2)], clamp=True, nice=False)
    y = alt.Y("depth:Q", title=f"waterline, {unit}", scale=scale, axis=alt.Axis(tickCount=5))
    fan = _days(picture.known + picture.ahead, picture.units)
    known, ahead = _days(picture.known, picture.units), _days(picture.ahead, picture.units)
    lines, line_words = _line_layers(alt, picture, x, scale)
    layers = [
        alt.Chart(alt.InlineData(values=fan))
        .mark_area(style="fan")
        .encode(x=x, y=alt.Y("low:Q", scale=scale, title=f"waterline, {unit}"), y2="high:Q"),
        *lines,
        alt.Chart(alt.InlineData(values=known)).mark_line(style="water").encode(x=x, y=y),
        alt.Chart(alt.InlineData(values=ahead)).mark_line(style="ahead").encode(x=x, y=y),
        *_siphon_layers(alt, picture, x),
        *_reading_layers(alt, picture, x, y),
        *line_words,
    ]
    chart = alt.layer(*layers).properties(
        width="container", height=300, description=waterline_sentence(picture)
    )
    spec: dict[str, Any] = chart.to_dict(validate=False)
    spec["config"] = {"view": {"stroke": None}}
    return spec


def waterline_sentence(picture: WaterlinePicture) -> str:
    """The picture in one sentence."""
    last = picture.known[-1] if picture.known else None
    now = (
        f"stands at {_text(last.depth_mm, picture.units)} on {last.on:%-d %B}" if last else "has no level yet"
    )
    return (
        f"Waterline of {picture.tank}: it {now}; limit line {_text(picture.limit_line_mm, picture.units)}, "
        f"clay line {_text(picture.clay_line_mm, picture.units)}, "
        f"low line {_text(picture.low_line_mm, picture.units)}"
    )


def waterline_table(picture: WaterlinePicture, every: int = 7) -> ChartTable:
    """The level week by week, the last known day and the days ahead, as a table."""
    known = picture.known[::-1][::every][:6][::-1]
    ahead = picture.ahead[every - 1 :: every]
    read = dict(picture.readings)
    rows = [
        (
            f"{day.on:%-d %b %Y}",
            "worked out" if day in known else "ahead",
            _text(day.depth_mm, picture.units),
            f"{_text(day.low_mm, picture.units)} to {_text(day.high_mm, picture.units)}",
            _text(read[day.on], picture.units) if day.on in read else "",
        )
        for day in (*known, *ahead)
    ]
    return ChartTable(
        caption=waterline_sentence(picture),
        heads=("day", "kind", "waterline", "80 % range", "reading"),
        rows=tuple(rows),
    )


def _line_layers(alt: Any, picture: WaterlinePicture, x: Any, scale: Any) -> tuple[list[Any], list[Any]]:
    """The clay, limit and low line, each with its word at the left edge."""
    days = picture.known + picture.ahead
    if not days:
        return [], []
    first, last = days[0].on.isoformat(), days[-1].on.isoformat()
    layers: list[Any] = []
    words: list[Any] = []
    for word, style, depth_mm, at_start, dy in (
        ("clay line", "clay", picture.clay_line_mm, True, -7),
        ("limit line", "limit", picture.limit_line_mm, True, -7),
        ("low line", "low", picture.low_line_mm, False, 12),
    ):
        text = f"{word} {_text(depth_mm, picture.units)}"
        ends = [{"on": on, "line": _shown(depth_mm, picture.units), "word": text} for on in (first, last)]
        y = alt.Y("line:Q", scale=scale, title=None)
        layers.append(alt.Chart(alt.InlineData(values=ends)).mark_line(style=style).encode(x=x, y=y))
        end = alt.Chart(alt.InlineData(values=ends[:1] if at_start else ends[1:]))
        for look in ("halo", f"{style}-word"):
            mark = end.mark_text(
                style=look, align="left" if at_start else "right", dx=4 if at_start else -4, dy=dy
            )
            words.append(mark.encode(x=x, y=y, text="word:N"))
    return layers, words


def _reading_layers(alt: Any, picture: WaterlinePicture, x: Any, y: Any) -> list[Any]:
    """The readings as points; no layer where there are none, for an axis cannot span nothing."""
    if not picture.readings:
        return []
    readings = [
        {"on": on.isoformat(), "depth": _shown(depth, picture.units)} for on, depth in picture.readings
    ]
    unit = alt.Tooltip("depth:Q", title=_sign(picture.units))
    points = alt.Chart(alt.InlineData(values=readings)).mark_point(style="reading", filled=True)
    return [points.encode(x=x, y=y, tooltip=[alt.Tooltip("on:T", format="%-d %B %Y"), unit])]


def _siphon_layers(alt: Any, picture: WaterlinePicture, x: Any) -> list[Any]:
    """A rule for each siphon; its word where there is room for it on a phone."""
    if not picture.siphons:
        return []
    worded: list[date] = []
    for on in sorted(picture.siphons, reverse=True):
        if not worded or (worded[-1] - on).days >= _WORD_DAYS:
            worded.append(on)
    rules = alt.InlineData(values=[{"on": on.isoformat()} for on in picture.siphons])
    words = alt.InlineData(values=[{"on": on.isoformat(), "word": "siphon"} for on in worded])
    return [
        alt.Chart(rules).mark_rule(style="siphon").encode(x=x),
        alt.Chart(words)
        .mark_text(style="siphon-word", align="left", dx=4, dy=10, y=0)
        .encode(x=x, text="word:N"),
    ]


def _days(days: tuple[LevelDay, ...], units: str) -> list[dict[str, Any]]:
    return [
        {
            "on": day.on.isoformat(),
            "depth": _shown(day.depth_mm, units),
            "low": _shown(day.low_mm, units),
            "high": _shown(day.high_mm, units),
        }
        for day in days
    ]


def _sign(units: str) -> str:
    return "in" if units == "us" else "mm"


def _shown(depth_mm: float, units: str) -> float:
    return round(depth_mm / INCH_MM, 3) if units == "us" else round(depth_mm, 1)


def _text(depth_mm: float, units: str) -> str:
    return show(depth_mm, "mm", units)
