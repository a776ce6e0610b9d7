"""The picture of a parcel's way: the plants hour by hour with their 80 % range, and the limits."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from halfwater.pictures.table import ChartTable
from halfwater.plain.figures import in_units, show, show_range, unit_of
from halfwater.plain.transit import TransitHour

_MOST_ROWS = 10  # of the table


@dataclass(frozen=True, slots=True)
class ParcelPicture:
    """What the picture shows: the hours of one measure, and what the tenderest plants stand."""

    measure: str  # in words
    hours: tuple[TransitHour, ...]
    low_limit_c: float | None = None
    high_limit_c: float | None = None
    units: str = "metric"


def parcel_spec(picture: ParcelPicture) -> dict[str, Any]:
    """The Vega-Lite spec; colours are the page's."""
    import altair as alt

    rows = [_values(one, picture.units) for one in picture.hours]
    title = f"plants, {unit_of('c', picture.units)}"
    scale = alt.Scale(domain=list(_domain(picture, rows)), nice=False)
    x = alt.X("after:Q", title="hours after handing over", axis=alt.Axis(tickCount=6, grid=False))
    y = alt.Y("p50:Q", title=title, scale=scale, axis=alt.Axis(tickCount=6))
    chart = alt.Chart(alt.InlineData(values=rows))
    layers = [
        chart.mark_area(style="fan").encode(x=x, y=alt.Y("p10:Q", title=title, scale=scale), y2="p90:Q"),
        chart.mark_line(style="low").encode(x=x, y=alt.Y("outside:Q", title=title, scale=scale)),
        chart.mark_line(style="water").encode(x=x, y=y),
    ]
    for limit_c, word, down in ((picture.low_limit_c, "too cold", 12), (picture.high_limit_c, "too hot", -8)):
        if limit_c is not None and rows:
            at = in_units(limit_c, "c", picture.units)
            one = alt.Chart(alt.InlineData(values=[{"at": at, "after": rows[0]["after"], "word": word}]))
            level = alt.Y("at:Q", scale=scale, title=title)
            layers.append(one.mark_rule(style="limit").encode(y=level))
            words = one.mark_text(style="limit-word", align="left", dx=4, dy=down)
            layers.append(words.encode(x=x, y=level, text="word:N"))
    whole = alt.layer(*layers).properties(width="container", height=240, description=parcel_sentence(picture))
    spec: dict[str, Any] = whole.to_dict(validate=False)
    spec["config"] = {"view": {"stroke": None}}
    return spec


def parcel_sentence(picture: ParcelPicture) -> str:
    """The picture in one sentence."""
    if not picture.hours:
        return "No hour of the way is reckoned."
    coldest = min(picture.hours, key=lambda one: one.plants.p50)
    hottest = max(picture.hours, key=lambda one: one.plants.p50)
    low, high = (show(one.plants.p50, "c", picture.units) for one in (coldest, hottest))
    return (
        f"Plants packed {picture.measure}: coldest about {low} after {coldest.after_h:.0f} h, "
        f"warmest about {high} after {hottest.after_h:.0f} h"
    )


def parcel_table(picture: ParcelPicture) -> ChartTable:
    """The way in some ten rows: outside air, plants and their range."""
    step = max(1, -(-(len(picture.hours) - 1) // (_MOST_ROWS - 1)))
    chosen = [*picture.hours[:-1:step], picture.hours[-1]] if picture.hours else []
    rows = tuple(
        (
            f"{one.after_h:.0f} h", show(one.outside_c, "c", picture.units),
            show(one.plants.p50, "c", picture.units),
            show_range(one.plants.p10, one.plants.p90, "c", picture.units),
        )
        for one in chosen
    )  # fmt: skip
    return ChartTable(parcel_sentence(picture), ("after", "around the box", "plants", "80 % range"), rows)


def _values(one: TransitHour, units: str) -> dict[str, float]:
    spread = {"p10": one.plants.p10, "p50": one.plants.p50, "p90": one.plants.p90, "outside": one.outside_c}
    return {"after": one.after_h, **{name: in_units(value, "c", units) for name, value in spread.items()}}


def _domain(picture: ParcelPicture, rows: Sequence[dict[str, float]]) -> tuple[float, float]:
    """From the coldest to the warmest that is shown; a limit far away does not squeeze the rest."""
    shown = [row[name] for row in rows for name in ("p10", "p90", "outside")] or [0.0, 1.0]
    low, high = min(shown) - 2.0, max(shown) + 2.0
    room = max(high - low, 10.0)
    for limit_c in (picture.low_limit_c, picture.high_limit_c):
        if limit_c is not None:
            at = in_units(limit_c, "c", picture.units)
            if low - room <= at <= high + room:
                low, high = min(low, at - 2.0), max(high, at + 2.0)
    return round(low, 1), round(high, 1)
