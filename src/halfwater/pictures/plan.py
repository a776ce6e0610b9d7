"""The calendar of a cutting plan: a band a taxon, its pots standing, its cuts and its releases."""

from dataclasses import dataclass
from datetime import date
from html import escape

_WIDE = 360.0
_LEFT, _RIGHT = 10.0, 350.0
_BAND = 96.0
_HEAD = 22.0
_NUMBER_WIDE = 13.0  # of two digits


@dataclass(frozen=True, slots=True)
class CalendarMark:
    """Something done in a week: `kind` is "cut" or "sell"."""

    week: int
    kind: str
    pots: int


@dataclass(frozen=True, slots=True)
class CalendarBand:
    """One taxon: its pots standing week by week, and its marks."""

    taxon_name: str
    standing: tuple[float, ...]
    marks: tuple[CalendarMark, ...]


@dataclass(frozen=True, slots=True)
class CalendarPicture:
    """The weeks from `on`, a band a taxon."""

    on: date
    weeks: int
    bands: tuple[CalendarBand, ...]
    months: tuple[tuple[int, str], ...]  # week, and the month that begins in it


def calendar_sentence(picture: CalendarPicture) -> str:
    """The calendar in one sentence."""
    parts = []
    for band in picture.bands:
        cut = sum(mark.pots for mark in band.marks if mark.kind == "cut")
        sold = sum(mark.pots for mark in band.marks if mark.kind == "sell")
        ends = f"{band.standing[0]:.0f} to {band.standing[-1]:.0f} pots" if band.standing else "no pots"
        parts.append(f"{band.taxon_name} {cut} cut, {sold} sold, {ends}")
    return f"Calendar of {picture.weeks} weeks from {picture.on:%-d %B %Y}: " + "; ".join(parts)


def draw_calendar(picture: CalendarPicture) -> str:
    """The calendar as one SVG: cuts as notches below the line of pots, sales as flags above it."""
    high = _HEAD + _BAND * len(picture.bands)
    months = "".join(_month(picture, week, word, high) for week, word in picture.months)
    bands = "".join(_band(picture, band, place) for place, band in enumerate(picture.bands))
    return (
        f'<svg class="calendar" role="img" aria-label="{escape(calendar_sentence(picture))}" '
        f'viewBox="0 0 {_WIDE:g} {high:g}" xmlns="http://www.w3.org/2000/svg">{months}{bands}</svg>'
    )


def draw_mark(kind: str) -> str:
    """The drawing of one kind of mark alone, for the legend."""
    return (
        '<svg viewBox="-12 -12 24 24" aria-hidden="true" xmlns="http://www.w3.org/2000/svg">'
        f"{_shape(kind, 0.0, 0.0, 1.6)}</svg>"
    )


def _x(picture: CalendarPicture, week: float) -> float:
    return _LEFT + (_RIGHT - _LEFT) * week / max(1, picture.weeks - 1)


def _month(picture: CalendarPicture, week: int, word: str, high: float) -> str:
    x = _x(picture, week)
    return (
        f'<path class="calendar-month" d="M{x:.1f} {_HEAD - 4:.1f}V{high:g}" stroke="#d9cfb6"/>'
        f'<text class="calendar-word" x="{x:.1f}" y="13" font-size="11" text-anchor="middle">'
        f"{escape(word)}</text>"
    )


def _band(picture: CalendarPicture, band: CalendarBand, place: int) -> str:
    top = _HEAD + _BAND * place
    base = top + _BAND - 18
    most = max([1.0, *band.standing])
    points = [
        (_x(picture, week), base - 34 * pots / most)
        for week, pots in enumerate(band.standing[: picture.weeks])
    ]
    line = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) if points else ""
    area = f"{line}L{points[-1][0]:.1f} {base:.1f}L{points[0][0]:.1f} {base:.1f}Z" if points else ""
    marks = "".join(
        _mark(picture, mark, top, base, has_number=number)
        for mark, number in _numbered(picture, band)
        if mark.week < picture.weeks
    )
    ends = f"{band.standing[0]:.0f} → {band.standing[-1]:.0f} pots" if band.standing else ""
    return (
        f'<text class="calendar-name" x="{_LEFT:g}" y="{top + 14:.1f}" font-size="13">'
        f"{escape(band.taxon_name)}</text>"
        f'<text class="calendar-word" x="{_RIGHT:g}" y="{top + 14:.1f}" font-size="11" text-anchor="end">'
        f"{escape(ends)}</text>"
        f'<path class="calendar-area" d="{area}" fill="#dbe9e1"/>'
        f'<path class="calendar-line" d="{line}" fill="none" stroke="#0e5a52"/>{marks}'
    )


def _numbered(picture: CalendarPicture, band: CalendarBand) -> list[tuple[CalendarMark, bool]]:
    """Each mark, and whether its number stands clear of the one before it."""
    last: dict[str, float] = {}
    found = []
    for mark in sorted(band.marks, key=lambda one: one.week):
        x = _x(picture, mark.week)
        is_clear = x - last.get(mark.kind, -_WIDE) >= _NUMBER_WIDE
        if is_clear:
            last[mark.kind] = x
        found.append((mark, is_clear))
    return found


def _mark(picture: CalendarPicture, mark: CalendarMark, top: float, base: float, *, has_number: bool) -> str:
    x = _x(picture, mark.week)
    said = f"<title>{mark.kind} {mark.pots}</title>"
    if mark.kind == "sell":
        y, number = top + 36.0, top + 30.0
        stem = f'<path class="calendar-stem" d="M{x:.1f} {y + 4:.1f}V{base:.1f}" stroke="#5b5d4d"/>'
    else:
        y, number, stem = base + 5.0, base + 17.0, ""
    words = (
        f'<text class="calendar-number" x="{x:.1f}" y="{number:.1f}" font-size="10" text-anchor="middle">'
        f"{mark.pots}</text>"
    )
    return f"<g>{said}{stem}{_shape(mark.kind, x, y, 0.8)}{words if has_number else ''}</g>"


def _shape(kind: str, x: float, y: float, scale: float) -> str:
    """A cut is a notch, a sale a flag: told apart without their colours."""
    path = "M-5 4L0 -5L5 4Z" if kind == "cut" else "M-5 -5H5V5H-5Z"
    return (
        f'<path class="calendar-mark is-{escape(kind)}" d="{path}" fill="#0e5a52" '
        f'transform="translate({x:.1f} {y:.1f}) scale({scale:g})"/>'
    )
