"""The Score page as plain data: how the forecasts that were shown came out."""

from collections.abc import Sequence
from dataclasses import dataclass

from halfwater.pictures.score import draw_share
from halfwater.plain.figures import show_number
from halfwater.plain.growing import ScoreLine
from halfwater.plain.working import Working

_AIM = 0.8
_WORKINGS = (
    Working(
        "Share inside the range",
        "outcomes between the 10 % and the 90 % point, over all that have come out",
        (("aim", "80 %"),),
        "its own range is the 95 % range of a share from so few",
        "own definition",
    ),
    Working(
        "CRPS",
        "mean distance between the whole forecast and what came, in the forecast's own unit; less is better",
        (("rival", "the same as last time"),),
        "",
        "own definition",
    ),
)


@dataclass(frozen=True, slots=True)
class Record:
    """One kind of forecast and its record."""

    kind: str
    scored: str
    inside: str
    inside_range: str
    drawing: str
    width: str
    crps: str
    naive: str
    verdict: str
    is_scored: bool


@dataclass(frozen=True, slots=True)
class ScorePage:
    """The record of all forecasts."""

    answer: str
    records: tuple[Record, ...]
    workings: tuple[Working, ...]


def score_page(lines: Sequence[ScoreLine]) -> ScorePage:
    """The page of the record."""
    return ScorePage(score_answer(lines), tuple(_record(one) for one in lines), _WORKINGS)


def score_answer(lines: Sequence[ScoreLine]) -> str:
    """The record in one sentence."""
    scored = sum(one.scored for one in lines)
    kept = sum(one.forecasts for one in lines)
    if not kept:
        return (
            "No forecast is kept yet: each one that is shown is kept here, and scored once its day has come."
        )
    if not scored:
        return f"{kept} forecasts are kept; none has come out yet."
    inside = sum((one.inside_frac or 0.0) * one.scored for one in lines) / scored
    return (
        f"Of {scored} forecasts that have come out, {100 * inside:.0f} % fell inside their 80 % range; "
        f"{kept - scored} are still open."
    )


def _record(one: ScoreLine) -> Record:
    low, high, at = one.inside_low_frac or 0.0, one.inside_high_frac or 0.0, one.inside_frac or 0.0
    unit = f" {one.unit}" if one.unit else ""
    said = f"{100 * at:.0f} % inside, known to lie within {100 * low:.0f} to {100 * high:.0f} %"
    return Record(
        kind=one.kind,
        scored=f"{one.scored} of {one.forecasts}",
        inside="" if one.inside_frac is None else f"{100 * at:.0f} %",
        inside_range="" if one.inside_low_frac is None else f"{100 * low:.0f} to {100 * high:.0f} %",
        drawing="" if one.inside_frac is None else draw_share(low, at, high, _AIM, f"{one.kind}: {said}"),
        width="" if one.width is None else f"{show_number(one.width, 1)}{unit}",
        crps="" if one.crps is None else f"{show_number(one.crps, 2)}{unit}",
        naive="" if one.naive_crps is None else f"{show_number(one.naive_crps, 2)}{unit}",
        verdict=one.verdict,
        is_scored=one.inside_frac is not None,
    )
