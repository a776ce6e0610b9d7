"""The floor map: every pot on its spot, its state as a shape and a word, as one SVG."""

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from halfwater.plain.stock import POT_STATES
from halfwater.plain.tank import KeepOut

STATES = ("empty", *POT_STATES)
MARKS = ("cut", "sell", "keep", "move", "new")  # what a plan does to a spot
_EDGE_MM = 12.0
_GUTTER_MM = 26.0
_DRAWN_RADIUS = 23.0  # of the pot in which the shapes are drawn
_SHAPES = {
    "settling": "M0 10V-2",
    "growing": "M0 11V-2C2 -11 9 -13 13 -11C11 -2 7 2 0 3",
    "ready": "M-10 0L-2 9L11 -9",
    "kept": "M0 -11L10 0L0 11L-10 0Z",
    "sold": "M-11 11L11 -11",
    "lost": "M-10 -10L10 10M10 -10L-10 10",
}
_DOES = {
    "cut": "M-13 9L0 -15L13 9Z",
    "sell": "M-12 -12H12V12H-12Z",
    "keep": "M0 -15L15 0L0 15L-15 0Z",
    "move": "M-14 -5H2V-12L15 0L2 12V5H-14Z",
    "new": "M-4 -14H4V-4H14V4H4V14H-4V4H-14V-4H-4Z",
}


@dataclass(frozen=True, slots=True)
class FloorSpot:
    """A spot as it is drawn: its centre from the front left corner, and what stands on it."""

    name: str
    x_mm: float
    y_mm: float
    state: str = "empty"  # one of STATES
    label: str = ""  # what stands there, in words
    mark: str = ""  # what is to be done there, one of MARKS or ""


@dataclass(frozen=True, slots=True)
class FloorPlan:
    """A floor with its pots and keep-outs, seen from above."""

    tank: str
    length_mm: float
    width_mm: float
    pot_mm: float
    spots: tuple[FloorSpot, ...]
    keep_outs: tuple[KeepOut, ...] = ()


def draw_floor(plan: FloorPlan) -> str:
    """The floor seen from above, the front edge at the foot of the picture."""
    wide = plan.length_mm + 2 * _EDGE_MM + _GUTTER_MM
    high = plan.width_mm + 2 * _EDGE_MM + _GUTTER_MM
    parts = [
        f'<svg class="floor-map" role="img" aria-label="{escape(floor_sentence(plan))}" '
        f'viewBox="{-_EDGE_MM - _GUTTER_MM:g} {-_EDGE_MM:g} {wide:g} {high:g}" '
        'xmlns="http://www.w3.org/2000/svg">',
        f'<rect class="floor-bottom" x="0" y="0" width="{plan.length_mm:g}" height="{plan.width_mm:g}" '
        'rx="6" fill="#dbe9e1" stroke="#0e5a52" stroke-width="3"/>',
        *(_keep_out(out, plan.width_mm) for out in plan.keep_outs),
        *(_pot(spot, plan) for spot in plan.spots),
        *_row_names(plan),
        f'<text class="floor-front" x="{plan.length_mm / 2:g}" y="{plan.width_mm + 26:g}" font-size="18" '
        'text-anchor="middle">front</text>',
        "</svg>",
    ]
    return "".join(parts)


def floor_sentence(plan: FloorPlan) -> str:
    """The map in one sentence, for those who cannot see it."""
    counts = count_states(plan.spots)
    words = ", ".join(f"{count} {state}" for state, count in counts.items())
    return f"Floor of {plan.tank} seen from above: {len(plan.spots)} spots" + (f" ({words})" if words else "")


def count_states(spots: Iterable[FloorSpot]) -> dict[str, int]:
    """How many spots are in each state, in the order of the states, none left out but the zeros."""
    found = [spot.state for spot in spots]
    return {state: found.count(state) for state in STATES if state in found}


def draw_state(state: str) -> str:
    """The drawing of one state alone, for a legend or a count."""
    return (
        '<svg viewBox="-26 -26 52 52" aria-hidden="true" xmlns="http://www.w3.org/2000/svg">'
        f'<g class="pot is-{escape(state)}"><circle class="pot-rim" r="23" fill="none" stroke="#5b5d4d"/>'
        f"{_mark(state, 23.0)}</g></svg>"
    )


def draw_does(mark: str) -> str:
    """The drawing of one thing to do, for a legend."""
    return (
        '<svg viewBox="-26 -26 52 52" aria-hidden="true" xmlns="http://www.w3.org/2000/svg">'
        f'<g class="pot is-to-do"><circle class="pot-rim" r="23" fill="none" stroke="#5b5d4d"/>'
        f"{_does(mark, _DRAWN_RADIUS)}</g></svg>"
    )


def _pot(spot: FloorSpot, plan: FloorPlan) -> str:
    y_mm = plan.width_mm - spot.y_mm
    radius = plan.pot_mm / 2 * 0.94
    said = f"{spot.name}: {spot.label or spot.state}"
    if spot.mark:
        said = f"{said}: {spot.mark}"
    return (
        f'<g class="pot is-{"to-do" if spot.mark else escape(spot.state)}" '
        f'transform="translate({spot.x_mm:.1f} {y_mm:.1f})">'
        f"<title>{escape(said)}</title>"
        f'<circle class="pot-rim" r="{radius:.1f}" fill="none" stroke="#5b5d4d"/>'
        f"{_does(spot.mark, radius) if spot.mark else _mark(spot.state, radius)}</g>"
    )


def _does(mark: str, radius: float) -> str:
    """What is to be done, as a filled shape no state has."""
    scale = radius / _DRAWN_RADIUS
    return (
        f'<path class="does-mark is-{escape(mark)}" d="{_DOES[mark]}" transform="scale({scale:.3g})" '
        'fill="#7d5200" stroke="#23271f"/>'
    )


def _mark(state: str, radius: float) -> str:
    """The shape of a state: it can be told from the others without its colour."""
    path = _SHAPES.get(state)
    if path is None:
        return ""
    scale = radius / _DRAWN_RADIUS
    return f'<path class="pot-mark" d="{path}" transform="scale({scale:.3g})" fill="none" stroke="#23271f"/>'


def _keep_out(out: KeepOut, width_mm: float) -> str:
    top = width_mm - out.y_mm - out.width_mm
    middle = out.x_mm + out.length_mm / 2
    word = escape(out.why or "kept free")
    return (
        f'<g><title>{word}</title><rect class="floor-out" x="{out.x_mm:g}" y="{top:g}" '
        f'width="{out.length_mm:g}" height="{out.width_mm:g}" fill="#ece4d0" stroke="#8f866d"/>'
        f'<text class="floor-out-word" x="{middle:g}" y="{top + out.width_mm / 2 + 5:g}" '
        f'font-size="15" text-anchor="middle">{word}</text></g>'
    )


def _row_names(plan: FloorPlan) -> list[str]:
    rows: dict[str, float] = {}
    for spot in plan.spots:
        rows.setdefault(spot.name.rstrip("0123456789"), plan.width_mm - spot.y_mm)
    return [
        f'<text class="floor-row" x="-16" y="{y_mm + 6:.1f}" font-size="18" text-anchor="middle">'
        f"{escape(row)}</text>"
        for row, y_mm in rows.items()
    ]
