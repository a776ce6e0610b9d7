"""How many pots a floor takes, from sizes as typed."""

from collections.abc import Sequence

from halfwater.errors import RefusedInput
from halfwater.science.packing import Packing, pack_floor
from halfwater.science.units import read_quantity, read_size

SYSTEMS = ("metric", "us")
KEEP_OUT = "from the left, from the front, length and width, such as “0 0 60 40 mm”"


def pots_on_floor(
    floor: str, pot: str, keep_outs: Sequence[str] = (), gap: str = "", units: str = "metric"
) -> Packing:
    """The best layout of round pots on a floor of this size."""
    if units not in SYSTEMS:
        raise RefusedInput("units", units, " or ".join(SYSTEMS))
    length_mm, width_mm = read_size(floor, 2, "floor", system=units)
    pot_mm = read_quantity(pot, "length", system=units, field="pot")
    if pot_mm > min(length_mm, width_mm):
        accepted = f"a pot no wider than the floor, which is {length_mm:.4g} x {width_mm:.4g} mm"
        raise RefusedInput("pot", pot, accepted)
    return pack_floor(
        length_mm,
        width_mm,
        pot_mm,
        keep_outs=[_rectangle(text, units) for text in keep_outs],
        gap_mm=read_quantity(gap, "length", system=units, field="gap") if gap.strip() else 0.0,
    )


def _rectangle(text: str, units: str) -> tuple[float, float, float, float]:
    """A keep-out as typed: four numbers with one unit at the end, or none."""
    words = text.replace(",", " ").replace("x", " ").split()
    unit = words.pop() if words and not words[-1][:1].isdigit() else ""
    if len(words) != 4:
        raise RefusedInput("keep-out", text, KEEP_OUT)
    left, front, length, width = (
        read_quantity(f"{word} {unit}".strip(), "length", system=units, field="keep-out") for word in words
    )
    return left, front, length, width
