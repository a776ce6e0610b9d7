"""Shares of a whole as one SVG: a bar each, with its range and its middle."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from halfwater.plain.figures import show, show_range

_WIDE, _ROW, _BAR = 320.0, 40.0, 10.0


@dataclass(frozen=True, slots=True)
class Share:
    """One share, 0 to 1: 10, 50 and 90 %; all three the same where it is known."""

    name: str
    p10_frac: float
    p50_frac: float
    p90_frac: float


def draw_shares(shares: Sequence[Share]) -> str:
    """A bar from nothing to all for each share: its range filled, its middle marked, its figure beside it."""
    high = _ROW * len(shares)
    return (
        f'<svg class="shares" role="img" aria-label="{escape(shares_sentence(shares))}" '
        f'viewBox="0 0 {_WIDE:g} {high:g}" xmlns="http://www.w3.org/2000/svg">'
        f"{''.join(_bar(share, _ROW * i) for i, share in enumerate(shares))}</svg>"
    )


def shares_sentence(shares: Sequence[Share]) -> str:
    """The picture in words."""
    return "; ".join(f"{share.name}: {_text(share)}" for share in shares)


def _text(share: Share) -> str:
    middle = show(round(share.p50_frac, 2), "frac")
    if share.p10_frac == share.p90_frac:
        return middle
    return f"{middle} ({show_range(round(share.p10_frac, 2), round(share.p90_frac, 2), 'frac')})"


def _bar(share: Share, top: float) -> str:
    low, middle, high = (_WIDE * end for end in (share.p10_frac, share.p50_frac, share.p90_frac))
    start = 0.0 if low == high else low  # a known share is filled from nothing
    y = top + 22.0
    return (
        f'<text class="share-name" x="0" y="{top + 15:g}" font-size="13">{escape(share.name)}</text>'
        f'<text class="share-figure" x="{_WIDE:g}" y="{top + 15:g}" font-size="13" text-anchor="end">'
        f"{_text(share)}</text>"
        f'<rect class="share-whole" x="0" y="{y:g}" width="{_WIDE:g}" height="{_BAR:g}" rx="3"'
        ' fill="#ece4d0"/>'
        f'<rect class="share-span" x="{start:.1f}" y="{y:g}" width="{max(high - start, 1.0):.1f}" '
        f'height="{_BAR:g}" rx="3" fill="#9fc6b9"/>'
        f'<rect class="share-middle" x="{min(max(middle - 1.5, 0.0), _WIDE - 3.0):.1f}" y="{y - 3:g}" '
        f'width="3" height="{_BAR + 6:g}" fill="#0e5a52"/>'
    )
