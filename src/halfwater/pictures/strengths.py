"""What a mix holds against what was wanted, and mixes side by side: bars with their numbers, as SVG."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from halfwater.plain.figures import show, show_number

_LINE = 30.0
_NAME_WIDE = 62.0
_BAR_WIDE = 210.0
_NUMBER_WIDE = 108.0


@dataclass(frozen=True, slots=True)
class StrengthBar:
    """One element or form: what is there, of it from the water, and what was wanted."""

    what: str
    in_all_mg_l: float
    water_mg_l: float = 0.0
    wanted_mg_l: float | None = None


@dataclass(frozen=True, slots=True)
class EcBar:
    """One mix: its EC with its range, and a word on what settles."""

    name: str
    ec_ms_cm: float
    low_ms_cm: float
    high_ms_cm: float
    word: str = ""


def draw_strengths(bars: Sequence[StrengthBar], said: str) -> str:
    """A line an element. Each bar is drawn against what was wanted: the mark stands at the same place."""
    high = _LINE * len(bars) + 6
    rows = "".join(_strength(bar, place, _largest(bars)) for place, bar in enumerate(bars))
    return _svg("strengths", _NAME_WIDE + _BAR_WIDE + _NUMBER_WIDE, high, said, rows)


def draw_ecs(bars: Sequence[EcBar], said: str) -> str:
    """A line a mix: the EC as a bar, its range as a thin line over it."""
    most = max((bar.high_ms_cm for bar in bars), default=1.0) or 1.0
    rows = "".join(_ec(bar, place, most) for place, bar in enumerate(bars))
    return _svg("ecs", _BAR_WIDE + _NUMBER_WIDE, 1.55 * _LINE * len(bars) + 6, said, rows)


def _strength(bar: StrengthBar, place: int, most: float) -> str:
    y = place * _LINE + 4
    per_mg = _BAR_WIDE / (1.25 * bar.wanted_mg_l if bar.wanted_mg_l else max(most, bar.in_all_mg_l, 1e-12))
    wide = min(bar.in_all_mg_l * per_mg, _BAR_WIDE)
    water = min(bar.water_mg_l * per_mg, wide)
    mark = ""
    number = f"{_number(bar.in_all_mg_l)}"
    if bar.wanted_mg_l:
        x = _NAME_WIDE + bar.wanted_mg_l * per_mg
        mark = f'<path class="strength-wanted" d="M{x:.1f} {y - 2:.1f}V{y + 22:.1f}"/>'
        number += f" of {_number(bar.wanted_mg_l)}"
    return (
        f"<g><title>{escape(bar.what)}: {number} mg/L</title>"
        f'<text class="strength-name" x="0" y="{y + 15:.1f}" font-size="14">{escape(bar.what)}</text>'
        f'<rect class="strength-bar" x="{_NAME_WIDE:g}" y="{y:.1f}" width="{wide:.1f}" height="20" rx="3"/>'
        f'<rect class="strength-water" x="{_NAME_WIDE:g}" y="{y:.1f}" width="{water:.1f}" height="20"/>'
        f"{mark}"
        f'<text class="strength-number" x="{_NAME_WIDE + _BAR_WIDE + 8:g}" y="{y + 15:.1f}" font-size="14">'
        f"{number}</text></g>"
    )


def _ec(bar: EcBar, place: int, most: float) -> str:
    y = place * 1.55 * _LINE + 16
    scale = _BAR_WIDE / most
    low, high = bar.low_ms_cm * scale, bar.high_ms_cm * scale
    word = f" · {bar.word}" if bar.word else ""
    return (
        f'<g><text class="strength-name" x="0" y="{y:.1f}" font-size="14">{escape(bar.name + word)}</text>'
        f'<rect class="strength-bar" x="0" y="{y + 6:.1f}" width="{bar.ec_ms_cm * scale:.1f}" height="16" '
        f'rx="3"/><path class="strength-range" d="M{low:.1f} {y + 14:.1f}H{high:.1f}"/>'
        f'<text class="strength-number" x="{_BAR_WIDE + 8:g}" y="{y + 19:.1f}" font-size="14">'
        f"{show(bar.ec_ms_cm, 'ms_cm')}</text></g>"
    )


def _svg(name: str, wide: float, high: float, said: str, rows: str) -> str:
    return (
        f'<svg class="{name}" role="img" aria-label="{escape(said)}" viewBox="0 0 {wide:g} {high:g}" '
        f'xmlns="http://www.w3.org/2000/svg">{rows}</svg>'
    )


def _largest(bars: Sequence[StrengthBar]) -> float:
    return max((bar.in_all_mg_l for bar in bars), default=1.0)


def _number(value: float) -> str:
    return show_number(value, 2 if value >= 1 else 3)
