"""The row of pots: the pots behind a line as small pots, ordered, held and free ones told by their shape."""

from dataclasses import dataclass
from html import escape

ROW = 20  # pots side by side
MOST = 80  # beyond, one drawn pot stands for several
_STEP = 13.0
_HIGH = 17.0
_SHOWN = 1.3  # pixels to one unit of the drawing
_RIM = "M1 6H11L9.8 15H2.2Z"  # the pot
_LEAF = "M6 6C5 3 7 1 10 0.5C10 3.5 8.5 5.5 6 6"  # what is still there to be had
_TIE = "M1.6 9.5H10.4"  # the band around a pot that is put aside
STANDINGS = ("ordered", "held", "free")


@dataclass(frozen=True, slots=True)
class PotRow:
    """How many pots of a line are ordered, held and free."""

    ordered: int
    held: int
    free: int

    @property
    def pots(self) -> int:
        """All of them."""
        return self.ordered + self.held + self.free


def pot_row_sentence(picture: PotRow) -> str:
    """The drawing in words."""
    held = f", {picture.held} held" if picture.held else ""
    return f"{picture.ordered} of {picture.pots} pots ordered{held}, {picture.free} free"


def draw_pot_row(picture: PotRow) -> str:
    """The pots in rows: full ones are ordered, banded ones held, those with a leaf free."""
    each = max(1, -(-picture.pots // MOST))
    standings = [
        standing
        for standing, pots in zip(STANDINGS, (picture.ordered, picture.held, picture.free), strict=True)
        for _ in range(-(-pots // each))
    ]
    rows = max(1, -(-len(standings) // ROW))
    across = min(ROW, max(len(standings), 10))
    said = pot_row_sentence(picture) + (f"; one drawn pot stands for {each}" if each > 1 else "")
    pots = "".join(
        f'<g transform="translate({place % ROW * _STEP:g} {place // ROW * _HIGH:g})">{_pot(standing)}</g>'
        for place, standing in enumerate(standings)
    )
    return (
        f'<svg class="pot-row" role="img" aria-label="{escape(said)}" width="{across * _STEP * _SHOWN:g}" '
        f'height="{rows * _HIGH * _SHOWN:g}" viewBox="0 0 {across * _STEP:g} {rows * _HIGH:g}" '
        f'xmlns="http://www.w3.org/2000/svg">{pots}</svg>'
    )


def draw_standing(standing: str) -> str:
    """One pot alone, for a legend."""
    return f'<svg viewBox="0 0 12 16" aria-hidden="true" xmlns="http://www.w3.org/2000/svg">{_pot(standing)}</svg>'


def _pot(standing: str) -> str:
    fill = "#0e5a52" if standing == "ordered" else "none"
    more = {"held": f'<path class="row-tie" d="{_TIE}" fill="none" stroke="#7d5200"/>',
            "free": f'<path class="row-leaf" d="{_LEAF}" fill="#9fc6b9"/>'}  # fmt: skip
    return (
        f'<path class="row-pot is-{standing}" d="{_RIM}" fill="{fill}" stroke="#0e5a52"/>'
        f"{more.get(standing, '')}"
    )
