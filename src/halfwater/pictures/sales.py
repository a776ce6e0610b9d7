"""Sales since an opening: plants ordered step by step, the sell-out, and who may have come too late."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from math import exp
from typing import Any

from halfwater.pictures.table import ChartTable
from halfwater.plain.demand import Interest
from halfwater.plain.growing import Span

_FAN_STEPS = 24
_MOST_ROWS = 10  # of the table
_TICKS_H = (1 / 12, 0.25, 0.5, 1.0, 3.0, 6.0, 12.0, 24.0, 48.0, 96.0, 168.0, 336.0, 672.0, 1344.0, 2688.0)
_MOST_TICKS = 8
_HOURS_SAID = (
    "datum.value == 0 ? '0' : datum.value < 1 ? format(datum.value * 60, '.0f') + ' min' : "
    "datum.value < 48 ? format(datum.value, '~f') + ' h' : format(datum.value / 24, '.0f') + ' d'"
)


@dataclass(frozen=True, slots=True)
class SalesPicture:
    """What the picture shows: one line, or all lines of a release together. Times run from the opening."""

    name: str
    offered: int
    steps: tuple[tuple[float, int], ...]  # hours since the opening, plants ordered from then on
    until_h: float  # up to which it is told
    sold_out_h: float | None = None
    unmet: Span | None = None  # plants wanted after the sell-out, as the demand model has it
    unmet_until_h: float = 0.0
    interest: Interest | None = field(default=None, repr=False)

    @property
    def ordered(self) -> int:
        """Plants ordered in the end."""
        return self.steps[-1][1] if self.steps else 0

    @property
    def end_h(self) -> float:
        """The last hour that is drawn."""
        return max(self.until_h, self.unmet_until_h if self.has_fan else 0.0, 1 / 60)

    @property
    def has_fan(self) -> bool:
        """Is there a range of unmet demand to draw?"""
        return self.unmet is not None and self.sold_out_h is not None and self.unmet.p90 >= 0.5


def sales_steps(moves: Sequence[tuple[float, int]]) -> tuple[tuple[float, int], ...]:
    """Plants ordered after each move: (hours since the opening, plants), a cancellation below nought.

    What was put aside before the opening counts from the opening on.
    """
    in_order = sorted((max(0.0, at_h), plants) for at_h, plants in moves)
    totals = accumulate(plants for _, plants in in_order)
    return tuple(dict(zip((at_h for at_h, _ in in_order), totals, strict=True)).items())


def sales_spec(picture: SalesPicture) -> dict[str, Any]:
    """The Vega-Lite spec. It names styles (water, fan, limit ...); the page or paper gives them colours."""
    import altair as alt

    x = _time_axis(alt, picture)
    unmet = picture.unmet.p90 if picture.has_fan and picture.unmet else 0.0
    top = max(picture.offered + unmet, picture.ordered, 1)
    scale = alt.Scale(domain=[0, round(top * 1.12, 2)], nice=False)
    y = alt.Y("plants:Q", title="plants", scale=scale, axis=alt.Axis(tickCount=5, format="d"))
    ends = [{"t": 0, "plants": picture.offered}, {"t": picture.end_h, "plants": picture.offered}]
    layers = [
        *_fan(alt, picture, x, scale),
        alt.Chart(alt.InlineData(values=ends)).mark_line(style="clay").encode(x=x, y=y),
        alt.Chart(alt.InlineData(values=_stairs(picture)))
        .mark_line(style="water", interpolate="step-after")
        .encode(x=x, y=y),
        *_sell_out(alt, picture, x),
        *_word(alt, f"{picture.offered} offered", ends[0], x, y),
    ]
    whole = alt.layer(*layers).properties(width="container", height=240, description=sales_sentence(picture))
    spec: dict[str, Any] = whole.to_dict(validate=False)
    spec["config"] = {"view": {"stroke": None}}
    return spec


def sales_sentence(picture: SalesPicture) -> str:
    """The picture in one sentence."""
    said = f"{picture.name}: {picture.ordered} of {picture.offered} plants ordered"
    if picture.sold_out_h is not None:
        said += f", sold out {_time(picture.sold_out_h)} after the opening"
    elif picture.until_h > 0:
        said += f" in the first {_time(picture.until_h)}"
    if picture.has_fan and picture.unmet is not None:
        low, middle, high = (f"{value:.0f}" for value in _three(picture.unmet))
        said += f"; about {middle} more were wanted ({low} to {high})"
    return said


def sales_table(picture: SalesPicture) -> ChartTable:
    """Orders one by one, the newest where there are many; then what may have been wanted."""
    rows = [(_time(at_h), f"{plants}", "ordered") for at_h, plants in picture.steps][-_MOST_ROWS:]
    if picture.sold_out_h is not None:
        rows.append((_time(picture.sold_out_h), f"{picture.offered}", "sold out"))
    if picture.has_fan and picture.unmet is not None:
        low, _, high = (f"{picture.offered + value:.0f}" for value in _three(picture.unmet))
        rows.append((_time(picture.unmet_until_h), f"{low} to {high}", "would have been ordered"))
    return ChartTable(sales_sentence(picture), ("after the opening", "plants in all", "what"), tuple(rows))


def _stairs(picture: SalesPicture) -> list[dict[str, float]]:
    """The steps from nothing at the opening to the last instant that is known."""
    points = [(0.0, 0), *picture.steps]
    points.append((max(picture.until_h, points[-1][0]), points[-1][1]))
    return [{"t": round(at_h, 4), "plants": plants} for at_h, plants in points]


def _fan(alt: Any, picture: SalesPicture, x: Any, scale: Any) -> list[Any]:
    """Who would have come after the sell-out, spread over time as interest fades."""
    if not picture.has_fan or picture.unmet is None or picture.sold_out_h is None:
        return []
    start, end = picture.sold_out_h, max(picture.unmet_until_h, picture.sold_out_h + 1 / 60)
    rows = []
    for step in range(_FAN_STEPS + 1):
        at_h = start + (end - start) * (step / _FAN_STEPS) ** 4  # dense at first, where most of it happens
        come = _share_come(picture.interest, start, at_h, end)
        low, middle, high = (picture.offered + value * come for value in _three(picture.unmet))
        rows.append({"t": round(at_h, 4), "low": low, "plants": middle, "high": high})
    chart = alt.Chart(alt.InlineData(values=rows))
    band = alt.Y("low:Q", scale=scale, title="plants")
    return [
        chart.mark_area(style="fan").encode(x=x, y=band, y2="high:Q"),
        chart.mark_line(style="ahead").encode(x=x, y=alt.Y("plants:Q", scale=scale, title="plants")),
    ]


def _share_come(interest: Interest | None, start_h: float, at_h: float, end_h: float) -> float:
    """The share of all late comers that has come by an hour; evenly where nothing is known of interest."""
    if interest is None:
        return (at_h - start_h) / (end_h - start_h)
    rush, tail, share = interest.rush_h.p50, interest.tail_h.p50, interest.rush_frac.p50

    def come(hour: float) -> float:
        return 1.0 - share * exp(-hour / rush) - (1.0 - share) * exp(-hour / tail)

    span = come(end_h) - come(start_h)
    return (come(at_h) - come(start_h)) / span if span > 0 else 1.0


def _sell_out(alt: Any, picture: SalesPicture, x: Any) -> list[Any]:
    """A rule where the last free plant went, with its word."""
    if picture.sold_out_h is None:
        return []
    is_late = not picture.has_fan and picture.sold_out_h > picture.end_h * 0.6
    chart = alt.Chart(alt.InlineData(values=[{"t": round(picture.sold_out_h, 4), "word": "sold out"}]))
    align, dx = ("right", -5) if is_late else ("left", 5)
    word = chart.mark_text(style="siphon-word", align=align, dx=dx, dy=10, y=0)
    return [chart.mark_rule(style="siphon").encode(x=x), word.encode(x=x, text="word:N")]


def _word(alt: Any, text: str, end: dict[str, float], x: Any, y: Any) -> list[Any]:
    chart = alt.Chart(alt.InlineData(values=[{**end, "word": text}]))
    return [
        chart.mark_text(style=look, align="left", dx=4, dy=-8).encode(x=x, y=y, text="word:N")
        for look in ("halo", "clay-word")
    ]


def _time_axis(alt: Any, picture: SalesPicture) -> Any:
    """Hours since the opening; drawn together towards the end where a quick sell-out has a long fan."""
    domain = [0, round(picture.end_h, 4)]
    if picture.has_fan and picture.sold_out_h is not None:
        shift = max(picture.sold_out_h / 3, 1 / 60)
        scale = alt.Scale(type="symlog", constant=round(shift, 4), domain=domain, nice=False)
        ticks = [0.0, *(at_h for at_h in _TICKS_H if picture.sold_out_h / 2 <= at_h <= picture.end_h)]
    else:
        scale = alt.Scale(domain=domain, nice=False)
        step = next((one for one in _TICKS_H if picture.end_h / one <= _MOST_TICKS), _TICKS_H[-1])
        ticks = [place * step for place in range(int(picture.end_h / step) + 1)]
    axis = alt.Axis(values=ticks, labelExpr=_HOURS_SAID, grid=False, labelOverlap="greedy", labelSeparation=8)
    return alt.X("t:Q", title="since the opening", scale=scale, axis=axis)


def _time(at_h: float) -> str:
    if at_h < 2.0:
        return f"{at_h * 60:.0f} minutes"
    return f"{at_h:.1f} hours" if at_h < 48.0 else f"{at_h / 24:.1f} days"


def _three(span: Span) -> tuple[float, float, float]:
    return span.p10, span.p50, span.p90
