"""Words that the pages of Mixes share."""

from collections.abc import Sequence

from halfwater.plain.chemistry import RecipePart, Wanted
from halfwater.plain.mixes import FeedFacts

USES = {"night": "night spray", "weak": "weak morning spray", "fill": "fill of the bath"}
_MET_FRAC = 0.005  # off by less is met
_GLOVES = "Gloves and eye protection when handling concentrates."  # as planning says it
TONES = {"clear": "", "at the edge": "due", "settles": "past"}


def label_text(feed: FeedFacts) -> str:
    """The label in one line, or the formula of a salt."""
    if feed.is_salt:
        return f"{feed.formula}, {100 * feed.purity_frac:g} % pure"
    label = "-".join(f"{100 * share:g}" for share in (feed.n_frac, feed.p2o5_frac, feed.k2o_frac))
    density = f", {feed.density_kg_l:.3g} kg/L" if feed.density_kg_l else ""
    return f"{label} {feed.basis}, {feed.form}{density}"


def dose_text(dose_ml_l: float | None, dose_g_l: float | None) -> str:
    """A dose in words."""
    return f"{dose_ml_l:.4g} mL/L" if dose_ml_l is not None else f"{dose_g_l:.4g} g/L"


def amount_text(part: RecipePart) -> str:
    """What to measure of one thing, for the volume made: a liquid by volume, a dry thing by weight."""
    return f"{part.amount_g:.3g} g" if part.amount_ml is None else f"{part.amount_ml:.3g} mL"


def wanted_text(wanted: Sequence[Wanted]) -> str:
    """Strengths as they are typed: "N 50, K 40"."""
    return ", ".join(
        f"{one.what} {one.strength_mg_l:.4g}" + ("" if one.weight == 1.0 else f" x{one.weight:g}")
        for one in wanted
    )


def off_sign(off_frac: float) -> str:
    """How far off, for a column: "met" or "−20 %"."""
    return (
        "met"
        if abs(off_frac) < _MET_FRAC
        else f"{100 * off_frac:+.0f}\N{NO-BREAK SPACE}%".replace("-", "\N{MINUS SIGN}")
    )


def off_text(off_frac: float) -> str:
    """How far off, in a sentence: "2 % too little"."""
    if abs(off_frac) < _MET_FRAC:
        return "met"
    return f"{100 * abs(off_frac):.0f} % too {'much' if off_frac > 0 else 'little'}"


def minded(found: Sequence[str], *always: str) -> tuple[str, ...]:
    """Cautions, each once; where the whole one on concentrates stands its short form falls away."""
    return tuple(dict.fromkeys((*(one for one in found if one != _GLOVES), *always)))
