"""Verdicts and temperatures of a parcel in words, each with a tone that gives the state its shape."""

from halfwater.deeds.packing import ParcelToPack
from halfwater.plain.figures import show, show_range
from halfwater.plain.growing import Span
from halfwater.plain.transit import ParcelPlan, TransitAdvice, TransitOutlook
from halfwater.web.workings import Figure

_TONES = {"ship": "", "liner": "due", "heat pack": "due", "hold": "past"}


def tone_of(parcel: ParcelToPack) -> str:
    """The tone of a verdict: quiet before there is one, past when the parcel is to be held back."""
    if parcel.facts.state != "packing" or parcel.advice is None:
        return "quiet"
    return _TONES[parcel.advice.decision]


def degrees(span: Span, units: str) -> str:
    """A temperature with its range: about 12 °C (9 to 14 °C)."""
    return f"about {show(span.p50, 'c', units)} ({show_range(span.p10, span.p90, 'c', units)})"


def outlook_figures(advice: TransitAdvice, units: str) -> tuple[Figure, ...]:
    """What comes of the measure that is advised."""
    found = advice.outlook
    return (
        _degrees("Coldest of the plants", found.coldest, units),
        _degrees("Warmest", found.hottest, units),
        Figure("Chance of cold harm", f"{100 * found.p_too_cold:.0f} %"),
        Figure("Chance of heat harm", f"{100 * found.p_too_hot:.0f} %"),
        Figure("In the box", show(found.in_box_days, "days")),
    )


def tried_row(one: TransitOutlook, units: str) -> tuple[str, ...]:
    """A measure that was tried, as a row."""
    return (
        one.measure.words, degrees(one.coldest, units), degrees(one.hottest, units),
        f"{100 * max(one.p_too_cold, one.p_too_hot):.0f} %",
    )  # fmt: skip


def plan_lines(plan: ParcelPlan, units: str) -> tuple[str, ...]:
    """The boxes of an order, one a line."""
    return tuple(
        f"{one.box.name}: {', '.join(f'{part.count} {part.name}' for part in one.contents)}; "
        f"{100 * one.fill_frac:.0f} % full, {show(one.mass_kg, 'kg', units)}"
        for one in plan.parcels
    )


def _degrees(name: str, span: Span, units: str) -> Figure:
    return Figure(name, show(span.p50, "c", units), show_range(span.p10, span.p90, "c", units))
