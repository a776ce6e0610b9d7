"""The gauge: one small drawing of where a bath stands against its lines."""

from dataclasses import dataclass
from html import escape


@dataclass(frozen=True, slots=True)
class GaugePicture:
    """The level of one tank and its lines; the level may be unknown."""

    depth_mm: float | None
    clay_line_mm: float
    limit_line_mm: float
    low_line_mm: float
    said: str  # the same in words


def draw_gauge(picture: GaugePicture) -> str:
    """A cross-section: walls, water, the limit line dashed, the low line dotted."""
    top = picture.clay_line_mm * 1.3

    def y(depth_mm: float) -> float:
        return 66.0 - 60.0 * min(depth_mm, top) / top

    water = ""
    if picture.depth_mm is not None:
        level = y(picture.depth_mm)
        water = (
            f'<rect class="gauge-water" x="5" y="{level:.1f}" width="42" height="{66 - level:.1f}" '
            'fill="#9fc6b9"/>'
            f'<path class="gauge-top" d="M5 {level:.1f}q5.25 -3 10.5 0t10.5 0t10.5 0t10.5 0" '
            'fill="none" stroke="#0e5a52"/>'
        )
    limit, low = y(picture.limit_line_mm), y(picture.low_line_mm)
    return (
        f'<svg class="gauge" viewBox="0 0 52 72" role="img" aria-label="{escape(picture.said)}" '
        f'xmlns="http://www.w3.org/2000/svg">{water}'
        f'<path class="gauge-limit" d="M5 {limit:.1f}H47" stroke="#b5442f"/>'
        f'<path class="gauge-low" d="M5 {low:.1f}H47" stroke="#5b5d4d"/>'
        '<path class="gauge-wall" d="M4 4V67H48V4" fill="none" stroke="#5b5d4d"/></svg>'
    )
