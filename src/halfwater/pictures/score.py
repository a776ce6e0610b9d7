"""The score picture: the share of outcomes inside the range, with how well it is known, against the aim."""

from html import escape

_WIDE = 300.0


def draw_share(low_frac: float, share_frac: float, high_frac: float, aim_frac: float, said: str) -> str:
    """A bar from nought to all: the known range as a line, the share as a point, the aim as a rule."""
    low, at, high, aim = (10 + _WIDE * one for one in (low_frac, share_frac, high_frac, aim_frac))
    return (
        f'<svg class="share" role="img" aria-label="{escape(said)}" viewBox="0 0 {_WIDE + 20:g} 46" '
        'xmlns="http://www.w3.org/2000/svg">'
        f'<path class="share-all" d="M10 18H{_WIDE + 10:g}" stroke="#8f866d"/>'
        f'<path class="share-aim" d="M{aim:.1f} 6V30" stroke="#c4881a"/>'
        f'<path class="share-known" d="M{low:.1f} 18H{high:.1f}" stroke="#0e5a52"/>'
        f'<circle class="share-at" cx="{at:.1f}" cy="18" r="5" fill="#0e5a52"/>'
        f'<text class="share-word" x="{aim:.1f}" y="43" font-size="11" text-anchor="middle">'
        f"aim {100 * aim_frac:.0f} %</text></svg>"
    )
