"""The light of a floor in words, and how it was worked out."""

from halfwater.plain.figures import show, show_range
from halfwater.plain.lighting import FloorLight
from halfwater.plain.working import Working

CAUTION = (
    "Electricity near water: a residual-current device, drip loops, and the lamp off before hands go in."
)


def light_said(floor: FloorLight) -> str:
    """The one sentence of the map."""
    mids = [spot.dli_mol_m2_d.p50 for spot in floor.spots]
    span = show_range(min(mids), max(mids), "mol_m2_d")
    is_lit = floor.evenness and max(mids) > 0.0  # with no light at all there is no dimmest spot
    even = f", the dimmest spot at {100 * floor.evenness.p50:.0f} % of the mean" if is_lit else ""
    standing = [spot for spot in floor.spots if spot.taxon_name]
    if not standing:
        return f"{floor.tank_name} gets {span} over its spots{even}."
    words = [spot.word for spot in standing]
    wrong = [
        f"{words.count(word)} {word}" for word in ("too dim", "too bright", "not known") if word in words
    ]
    suits = f"{words.count('good')} of {len(words)} pots stand in light that suits them"
    return f"{floor.tank_name} gets {span} over its spots{even}: {suits}" + (
        f" ({', '.join(wrong)})." if wrong else "."
    )


def map_workings(floor: FloorLight, readings: int) -> tuple[Working, ...]:
    """The steps from the readings to the daily light of a spot."""
    even = floor.evenness
    widest = max(floor.spots, key=lambda spot: spot.dli_mol_m2_d.p90 / max(spot.dli_mol_m2_d.p10, 1e-9))
    return (
        Working(
            "Map of the light",
            "log L(x) = level + fall to the corners × q(x) + smooth rest; Gaussian process over the readings",
            (
                ("readings", str(readings) if readings else "none: the lamp as described, in the middle"),
                ("of them odd", str(sum(read.is_odd for read in floor.readings))),
                ("least known spot", widest.name),
                ("dimmest over mean", "one spot" if even is None else f"{even.p10:.2f} to {even.p90:.2f}"),
            ),
            show_range(
                min(spot.ppfd_umol_m2_s.p50 for spot in floor.spots),
                max(spot.ppfd_umol_m2_s.p50 for spot in floor.spots),
                "umol_m2_s",
            ),
            "rasmussen-williams-2006, equations 2.23-2.24",
            "one lamp over one floor, its meter held level at the rims of the pots",
        ),
        Working(
            "Daily light of a spot",
            "DLI = 0.0036 × dimmer × hours × L + stray",
            (
                ("dimmer", show(floor.dimmer_frac, "frac")),
                ("hours", show(floor.lamp_h, "h")),
                ("stray light", show(floor.stray_mol_m2_d, "mol_m2_d")),
            ),
            show_range(
                min(spot.dli_mol_m2_d.p50 for spot in floor.spots),
                max(spot.dli_mol_m2_d.p50 for spot in floor.spots),
                "mol_m2_d",
            ),
            "purdue-ho-238",
        ),
    )
