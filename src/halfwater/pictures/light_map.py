"""The light over a floor as one SVG: a shade, a number and a word at every spot."""

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from halfwater.pictures.table import ChartTable
from halfwater.plain.figures import show, show_number, show_range
from halfwater.plain.lighting import SpotLight
from halfwater.plain.tank import KeepOut

SHADES = 5  # steps from the dimmest to the brightest spot of the scale
SCALE_MOL = (0.5, 1.0, 1.5, 2.2)  # daily light at which the next shade begins
_EDGE_MM = 12.0
_GUTTER_MM = 26.0
_TOLD = ("too dim", "good", "too bright")
_SIGNS = {"too dim": "▼", "too bright": "▲", "good": "", "not known": "?"}


@dataclass(frozen=True, slots=True)
class LightPlan:
    """A floor with the light at its spots, seen from above."""

    tank: str
    length_mm: float
    width_mm: float
    pot_mm: float
    spots: tuple[SpotLight, ...]
    keep_outs: tuple[KeepOut, ...] = ()
    read: tuple[str, ...] = ()  # spots that were read
    read_next: str = ""  # the spot whose reading would tell most


def draw_light(plan: LightPlan) -> str:
    """The floor seen from above with the daily light at each spot, the front edge at the foot."""
    wide = plan.length_mm + 2 * _EDGE_MM + _GUTTER_MM
    high = plan.width_mm + 2 * _EDGE_MM + _GUTTER_MM
    return "".join(
        [
            f'<svg class="floor-map" role="img" aria-label="{escape(light_sentence(plan))}" '
            f'viewBox="{-_EDGE_MM - _GUTTER_MM:g} {-_EDGE_MM:g} {wide:g} {high:g}" '
            'xmlns="http://www.w3.org/2000/svg">',
            f'<rect class="floor-bottom" x="0" y="0" width="{plan.length_mm:g}" '
            f'height="{plan.width_mm:g}" rx="6" fill="#dbe9e1" stroke="#0e5a52" stroke-width="3"/>',
            *(_keep_out(out, plan.width_mm) for out in plan.keep_outs),
            *(_spot(spot, plan) for spot in plan.spots),
            *_row_names(plan),
            f'<text class="floor-front" x="{plan.length_mm / 2:g}" y="{plan.width_mm + 26:g}" '
            'font-size="18" text-anchor="middle">front</text>',
            "</svg>",
        ]
    )


def light_sentence(plan: LightPlan) -> str:
    """The map in one sentence, for those who cannot see it."""
    if not plan.spots:
        return f"Floor of {plan.tank}: no spots"
    daily = [spot.dli_mol_m2_d.p50 for spot in plan.spots]
    words = [spot.word for spot in plan.spots]
    told = ", ".join(f"{words.count(word)} {word}" for word in _TOLD if word in words)
    return (
        f"Light over the floor of {plan.tank}: {show_range(min(daily), max(daily), 'mol_m2_d')} "
        f"at {len(plan.spots)} spots" + (f" ({told} for what stands there)" if told else "")
    )


def light_table(plan: LightPlan) -> ChartTable:
    """Spot by spot: the strength, the daily light with its range, and the word."""
    rows = tuple(
        (
            spot.name,
            show(spot.ppfd_umol_m2_s.p50, "umol_m2_s"),
            show(spot.dli_mol_m2_d.p50, "mol_m2_d"),
            show_range(spot.dli_mol_m2_d.p10, spot.dli_mol_m2_d.p90, "mol_m2_d"),
            f"{spot.word} for {spot.taxon_name}" if spot.taxon_name else "empty",
        )
        for spot in plan.spots
    )
    return ChartTable(
        light_sentence(plan), ("spot", "lamp", "in a day", "80 % range", "what stands there"), rows
    )


def shade_of(dli_mol_m2_d: float) -> int:
    """The shade of a daily light, from 0, the dimmest."""
    return sum(dli_mol_m2_d >= edge for edge in SCALE_MOL)


def draw_shade(shade: int) -> str:
    """One shade alone, for the legend."""
    return (
        '<svg viewBox="0 0 24 18" aria-hidden="true" xmlns="http://www.w3.org/2000/svg">'
        f'<rect class="light-spot is-shade-{shade}" x="1" y="1" width="22" height="16" rx="4"/></svg>'
    )


def shade_words() -> tuple[str, ...]:
    """What each shade stands for."""
    edges = [show_number(edge, 1) for edge in SCALE_MOL]
    between = (f"{low} to {high}" for low, high in pairwise(edges))
    return (f"below {edges[0]}", *between, f"{edges[-1]} and more")


def _spot(spot: SpotLight, plan: LightPlan) -> str:
    y_mm = plan.width_mm - spot.y_mm
    daily = spot.dli_mol_m2_d.p50
    radius = plan.pot_mm / 2 * 0.96
    said = f"{spot.name}: {show(daily, 'mol_m2_d')} a day, {show(spot.ppfd_umol_m2_s.p50, 'umol_m2_s')}"
    if spot.taxon_name:
        said += f", {spot.word} for {spot.taxon_name}"
    ring = f'<circle class="light-read" r="{radius * 0.86:.1f}" fill="none"/>'
    sign = _SIGNS.get(spot.word, "") if spot.taxon_name else ""
    return (
        f'<g class="{_classes(spot, plan)}" transform="translate({spot.x_mm:.1f} {y_mm:.1f})">'
        f"<title>{escape(said)}</title>"
        f'<circle class="light-spot is-shade-{shade_of(daily)}" r="{radius:.1f}" stroke="#5b5d4d"/>'
        f"{ring if spot.name in plan.read else ''}"
        f'<text class="light-number is-on-{shade_of(daily)}" y="{radius * 0.22:.1f}" '
        f'font-size="{radius * 0.72:.1f}" text-anchor="middle">{show_number(daily, 1)}</text>'
        f"{_sign(sign, daily, radius)}</g>"
    )


def _classes(spot: SpotLight, plan: LightPlan) -> str:
    return "light-at is-next" if spot.name == plan.read_next else "light-at"


def _sign(sign: str, daily: float, radius: float) -> str:
    if not sign:
        return ""
    return (
        f'<text class="light-sign is-on-{shade_of(daily)}" y="{radius * 0.78:.1f}" '
        f'font-size="{radius * 0.5:.1f}" text-anchor="middle">{sign}</text>'
    )


def _keep_out(out: KeepOut, width_mm: float) -> str:
    top = width_mm - out.y_mm - out.width_mm
    return (
        f'<g><title>{escape(out.why or "kept free")}</title><rect class="floor-out" x="{out.x_mm:g}" '
        f'y="{top:g}" width="{out.length_mm:g}" height="{out.width_mm:g}" fill="#ece4d0"/></g>'
    )


def _row_names(plan: LightPlan) -> Iterable[str]:
    rows: dict[str, float] = {}
    for spot in plan.spots:
        rows.setdefault(spot.name.rstrip("0123456789"), plan.width_mm - spot.y_mm)
    return [
        f'<text class="floor-row" x="-16" y="{y_mm + 6:.1f}" font-size="18" text-anchor="middle">'
        f"{escape(row)}</text>"
        for row, y_mm in rows.items()
    ]
