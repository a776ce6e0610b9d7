"""The picture of a bath's salts: readings, the EC worked out, the fan ahead, the limit, siphons and fills."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from halfwater.pictures.table import ChartTable as ChartTable
from halfwater.plain.bath import BathMark, EcLimit, EcOn, EcRead
from halfwater.plain.figures import show

_WORD_DAYS = 42  # the width of the word "siphon" on a narrow screen
_HEAD_ROOM_FRAC = 1.15


@dataclass(frozen=True, slots=True)
class BathPicture:
    """All the picture shows, in mS/cm at 25 °C."""

    tank: str
    past: tuple[EcOn, ...]  # worked out from the entries
    ahead: tuple[EcOn, ...]  # the fan
    readings: tuple[EcRead, ...]
    marks: tuple[BathMark, ...]
    limit: EcLimit


def bath_spec(picture: BathPicture) -> dict[str, Any]:
    """The Vega-Lite spec. It names styles (water, fan, limit ...); the page or paper gives them colours."""
    import altair as alt

    x = alt.X("on:T", title=None, axis=alt.Axis(format="%-d %b", labelOverlap=True, tickCount=6, grid=False))
    scale = alt.Scale(domain=[0, round(_top(picture), 2)], clamp=True, nice=False)
    y = alt.Y("ec:Q", title="EC, mS/cm at 25 °C", scale=scale, axis=alt.Axis(tickCount=5))
    lines, line_words = _line_layers(alt, picture, x, scale)
    layers = [
        alt.Chart(alt.InlineData(values=_days(picture.past + picture.ahead)))
        .mark_area(style="fan")
        .encode(x=x, y=alt.Y("low:Q", scale=scale, title="EC, mS/cm at 25 °C"), y2="high:Q"),
        *lines,
        *_course(alt, picture, x, y),
        *_siphon_layers(alt, picture, x),
        *_reading_layers(alt, picture, x, y),
        *line_words,
    ]
    chart = alt.layer(*layers).properties(width="container", height=280, description=bath_sentence(picture))
    spec: dict[str, Any] = chart.to_dict(validate=False)
    spec["config"] = {"view": {"stroke": None}}
    return spec


def bath_sentence(picture: BathPicture) -> str:
    """The picture in one sentence."""
    last = picture.past[-1] if picture.past else None
    now = f"about {_text(last.p50_ms_cm)} on {last.on:%-d %B}" if last else "not known yet"
    end = picture.ahead[-1] if picture.ahead else None
    ahead = f"; about {_text(end.p50_ms_cm)} on {end.on:%-d %B} under today's habit" if end else ""
    count = len(picture.readings)
    read = f"{count} reading{'' if count == 1 else 's'}"
    return (
        f"EC of the bath in {picture.tank}: {now}{ahead}; siphon or thin it above "
        f"{_text(picture.limit.action_ms_cm)}; {read}"
    )


def bath_table(picture: BathPicture, every: int = 14) -> ChartTable:
    """The EC fortnight by fortnight and on the days of a reading, then the days ahead."""
    read = {one.on: one for one in picture.readings}
    past = picture.past[::-1]
    shown = {day.on for day in past[::every][:6]} | set(sorted(read, reverse=True)[:6])
    known = tuple(day for day in picture.past if day.on in shown)
    ahead = picture.ahead[every - 1 :: every]
    rows = [
        (
            f"{day.on:%-d %b %Y}",
            "worked out" if day in known else "ahead",
            _text(day.p50_ms_cm),
            f"{_text(day.p10_ms_cm)} to {_text(day.p90_ms_cm)}",
            _reading_text(read.get(day.on)),
        )
        for day in (*known, *ahead)
    ]
    heads = ("day", "kind", "EC", "80 % range", "reading")
    return ChartTable(caption=bath_sentence(picture), heads=heads, rows=tuple(rows))


def _reading_text(read: EcRead | None) -> str:
    if read is None:
        return ""
    return f"{_text(read.ec_ms_cm)}, set aside" if read.is_odd else _text(read.ec_ms_cm)


def _top(picture: BathPicture) -> float:
    """The upper end of the axis: the limit with head room, higher where something lies above it."""
    days = picture.past + picture.ahead
    highest = max((day.p90_ms_cm for day in days), default=0.0)
    read = max((one.ec_ms_cm for one in picture.readings), default=0.0)
    return max(picture.limit.action_ms_cm * _HEAD_ROOM_FRAC, highest * 1.05, read * 1.1)


def _line_layers(alt: Any, picture: BathPicture, x: Any, scale: Any) -> tuple[list[Any], list[Any]]:
    """The limit, the alarm where it is in sight, and the end of what is aimed at, with their words."""
    days = picture.past + picture.ahead
    if not days:
        return [], []
    first, last = days[0].on.isoformat(), days[-1].on.isoformat()
    found = [("siphon or thin above", "limit", picture.limit.action_ms_cm, -7)]
    if picture.limit.alarm_ms_cm <= _top(picture):
        found.append(("plants suffer above", "limit", picture.limit.alarm_ms_cm, -7))
    found.append(("aim below", "low", picture.limit.target_high_ms_cm, 12))
    layers, words = [], []
    for word, style, ec, dy in found:
        ends = [{"on": on, "line": ec, "word": f"{word} {_text(ec)}"} for on in (first, last)]
        y = alt.Y("line:Q", scale=scale, title=None)
        layers.append(alt.Chart(alt.InlineData(values=ends)).mark_line(style=style).encode(x=x, y=y))
        end = alt.Chart(alt.InlineData(values=ends[:1]))
        for look in ("halo", f"{style}-word"):
            mark = end.mark_text(style=look, align="left", dx=4, dy=dy)
            words.append(mark.encode(x=x, y=y, text="word:N"))
    return layers, words


def _course(alt: Any, picture: BathPicture, x: Any, y: Any) -> list[Any]:
    """The EC worked out and the one ahead; no layer where there are no days."""
    found = (("water", picture.past), ("ahead", picture.ahead))
    return [
        alt.Chart(alt.InlineData(values=_days(days))).mark_line(style=style).encode(x=x, y=y)
        for style, days in found
        if days
    ]


def _siphon_layers(alt: Any, picture: BathPicture, x: Any) -> list[Any]:
    """A rule for each siphon or fill; the word of a siphon where there is room for it on a phone."""
    layers = []
    for kind, style in (("siphon", "siphon"), ("fill", "fill")):
        days = sorted({mark.on for mark in picture.marks if mark.kind == kind})
        if not days:
            continue
        rules = alt.InlineData(values=[{"on": on.isoformat()} for on in days])
        layers.append(alt.Chart(rules).mark_rule(style=style).encode(x=x))
        if kind == "siphon":
            words = alt.InlineData(values=[{"on": on.isoformat(), "word": kind} for on in _apart(days)])
            mark = alt.Chart(words).mark_text(style="siphon-word", align="left", dx=4, dy=10, y=0)
            layers.append(mark.encode(x=x, text="word:N"))
    return layers


def _apart(days: list[date]) -> list[date]:
    """Of the days those whose words fit beside one another, the last one kept."""
    worded: list[date] = []
    for on in reversed(days):
        if not worded or (worded[-1] - on).days >= _WORD_DAYS:
            worded.append(on)
    return worded


def _reading_layers(alt: Any, picture: BathPicture, x: Any, y: Any) -> list[Any]:
    """Readings as points, those set aside as crosses."""
    layers = []
    for is_odd, style in ((False, "reading"), (True, "odd")):
        found = [
            {"on": one.on.isoformat(), "ec": round(one.ec_ms_cm, 3)}
            for one in picture.readings
            if one.is_odd == is_odd
        ]
        if found:
            point = alt.Chart(alt.InlineData(values=found))
            mark = point.mark_point(style=style, shape="cross" if is_odd else "circle", filled=not is_odd)
            layers.append(mark.encode(x=x, y=y))
    return layers


def _days(days: tuple[EcOn, ...]) -> list[dict[str, Any]]:
    return [
        {
            "on": day.on.isoformat(),
            "ec": round(day.p50_ms_cm, 3),
            "low": round(day.p10_ms_cm, 3),
            "high": round(day.p90_ms_cm, 3),
        }
        for day in days
    ]


def _text(ec_ms_cm: float) -> str:
    return show(ec_ms_cm, "ms_cm")
