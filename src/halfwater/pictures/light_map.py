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
UNSURE_FRAC = 0.5  # an 80 % range wider than this share of its middle: the number is a guess
SHOWN = ("daily", "strength")  # what stands in a spot: mol/m²/d, or the lamp's µmol/m²/s
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
    shown: str = "daily"  # one of SHOWN
    is_turned: bool = False  # drawn with its front at the left, for a screen that is higher than wide


def draw_light(plan: LightPlan) -> str:
    """The floor from above with the light at each spot; the front edge at the foot, or turned at the left."""
    across, down = (plan.width_mm, plan.length_mm) if plan.is_turned else (plan.length_mm, plan.width_mm)
    left, top = -_EDGE_MM - _GUTTER_MM, -_EDGE_MM - (_GUTTER_MM if plan.is_turned else 0.0)
    foot = 0.0 if plan.is_turned else _GUTTER_MM
    front = f"translate(-14 {down / 2:g}) rotate(-90)" if plan.is_turned else ""
    front = front or f"translate({across / 2:g} {down + 26:g})"
    return "".join(
        [
            f'<svg class="floor-map" role="img" aria-label="{escape(light_sentence(plan))}" '
            f'viewBox="{left:g} {top:g} {across + _EDGE_MM - left:g} {down + foot + _EDGE_MM - top:g}" '
            'xmlns="http://www.w3.org/2000/svg">',
            f'<rect class="floor-bottom" x="0" y="0" width="{across:g}" '
            f'height="{down:g}" rx="6" fill="#dbe9e1" stroke="#0e5a52" stroke-width="3"/>',
            *(_keep_out(out, plan) for out in plan.keep_outs),
            *(_spot(spot, plan) for spot in plan.spots),
            *_row_names(plan),
            f'<text class="floor-front" transform="{front}" font-size="18" text-anchor="middle">front</text>',
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
            show_number(spot.ppfd_umol_m2_s.p50, 1),
            show_number(spot.dli_mol_m2_d.p50, 2),
            f"{show_number(spot.dli_mol_m2_d.p10, 2)} to {show_number(spot.dli_mol_m2_d.p90, 2)}",
            f"{spot.word} for {spot.taxon_name}" if spot.taxon_name else "empty",
        )
        for spot in plan.spots
    )
    heads = ("spot", "lamp, µmol/m²/s", "a day, mol/m²/d", "80 % range", "what stands there")
    return ChartTable(light_sentence(plan), heads, rows)


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


def is_unsure(spot: SpotLight) -> bool:
    """Whether the daily light of a spot is more a guess than a figure."""
    span = spot.dli_mol_m2_d if spot.dli_mol_m2_d.p50 else spot.ppfd_umol_m2_s
    return span.p90 - span.p10 > UNSURE_FRAC * span.p50


def _spot(spot: SpotLight, plan: LightPlan) -> str:
    x_mm, y_mm = _screen(spot.x_mm, spot.y_mm, plan)
    daily = spot.dli_mol_m2_d.p50
    radius = plan.pot_mm / 2 * 0.96
    said = f"{spot.name}: {show(daily, 'mol_m2_d')} a day, {show(spot.ppfd_umol_m2_s.p50, 'umol_m2_s')}"
    if is_unsure(spot):
        span = show_range(spot.dli_mol_m2_d.p10, spot.dli_mol_m2_d.p90, "mol_m2_d")
        said += f", uncertain ({span})"
    if spot.taxon_name:
        said += f", {spot.word} for {spot.taxon_name}"
    ring = f'<circle class="light-read is-on-{shade_of(daily)}" r="{radius * 0.86:.1f}" fill="none"/>'
    number = _number(spot, plan.shown)
    sign = _SIGNS.get(spot.word, "") if spot.taxon_name else ""
    return (
        f'<g class="{_classes(spot, plan)}" transform="translate({x_mm:.1f} {y_mm:.1f})">'
        f"<title>{escape(said)}</title>"
        f'<circle class="light-spot is-shade-{shade_of(daily)}" r="{radius:.1f}" stroke="#5b5d4d"/>'
        f"{ring if spot.name in plan.read else ''}"
        f'<text class="light-number is-on-{shade_of(daily)}" y="{radius * 0.22:.1f}" '
        f'font-size="{radius * (0.72 if len(number) < 4 else 0.6):.1f}" text-anchor="middle">{number}</text>'
        f"{_sign(sign, daily, radius)}</g>"
    )


def _number(spot: SpotLight, shown: str) -> str:
    """The figure in a spot; a guess carries its sign."""
    if shown == "strength":
        figure = show_number(spot.ppfd_umol_m2_s.p50, 0)
    else:
        figure = show_number(spot.dli_mol_m2_d.p50, 1)
    return f"~{figure}" if is_unsure(spot) else figure


def _screen(x_mm: float, y_mm: float, plan: LightPlan) -> tuple[float, float]:
    """Where a place of the floor is drawn: turned is a quarter round, with the front at the left."""
    return (y_mm, x_mm) if plan.is_turned else (x_mm, plan.width_mm - y_mm)


def _classes(spot: SpotLight, plan: LightPlan) -> str:
    next_to_read = " is-next" if spot.name == plan.read_next else ""
    return f"light-at{' is-unsure' if is_unsure(spot) else ''}{next_to_read}"


def _sign(sign: str, daily: float, radius: float) -> str:
    if not sign:
        return ""
    return (
        f'<text class="light-sign is-on-{shade_of(daily)}" y="{radius * 0.78:.1f}" '
        f'font-size="{radius * 0.5:.1f}" text-anchor="middle">{sign}</text>'
    )


def _keep_out(out: KeepOut, plan: LightPlan) -> str:
    ends = (_screen(out.x_mm, out.y_mm, plan),
            _screen(out.x_mm + out.length_mm, out.y_mm + out.width_mm, plan))  # fmt: skip
    (x, right), (y, foot) = (sorted(pair) for pair in zip(*ends, strict=True))
    return (
        f'<g><title>{escape(out.why or "kept free")}</title><rect class="floor-out" x="{x:g}" '
        f'y="{y:g}" width="{right - x:g}" height="{foot - y:g}" fill="#ece4d0"/></g>'
    )


def _row_names(plan: LightPlan) -> Iterable[str]:
    rows: dict[str, float] = {}
    for spot in plan.spots:
        rows.setdefault(spot.name.rstrip("0123456789"), spot.y_mm)
    named = []
    for row, y_mm in rows.items():
        x, y = (y_mm, -12.0) if plan.is_turned else (-16.0, plan.width_mm - y_mm + 6.0)
        named.append(
            f'<text class="floor-row" x="{x:.1f}" y="{y:.1f}" font-size="18" text-anchor="middle">'
            f"{escape(row)}</text>"
        )
    return named
