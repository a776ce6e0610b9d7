"""What may fall out of a mix or a stock, in words and milligrams."""

from collections.abc import Iterable, Mapping

from halfwater.plain.chemistry import Settling
from halfwater.science.chemistry import DILUTE_MMOL_L, Mineral, Speciation, fallen_out, minerals

STATES = ("clear", "at the edge", "settles")
COMMON_NAMES = {
    "Gypsum": "gypsum", "Calcite": "lime", "Brushite": "calcium phosphate",
    "Struvite": "magnesium ammonium phosphate",
}  # fmt: skip


def settlings_of(
    ions: Mapping[str, float], fresh: Speciation, standing: Speciation | None, temp_c: float
) -> tuple[Settling, ...]:
    """Minerals that a solution is held against, worst first.

    Lime is judged as mixed, since it takes days to come; the rest at the worse of as mixed and standing.

    Parameters
    ----------
    ions : Mapping of str to float
        Symbol to mmol in a litre, charges even. [mmol/L]
    fresh : Speciation
        As mixed.
    standing : Speciation or None
        Once it has stood in the air; None for a closed bottle.
    temp_c : float
        Temperature. [C] Valid 0..50.

    Returns
    -------
    tuple of Settling
        Those whose parts are all there.

    Notes
    -----
    States by the saturation indices of science/data/minerals.toml. Above an ionic strength of 0.5 mol/L
    the index is a warning and the words say so.

    Source: parkhurst-appelo-2013; gregory-1970; ronteltap-2007
    """
    found = []
    for name, mineral in minerals().items():
        in_air = standing.indices.get(name) if standing is not None and name != "Calcite" else None
        as_mixed = fresh.indices.get(name)
        candidates = [index for index in (as_mixed, in_air) if index is not None]
        if candidates:
            has_air = in_air is not None and in_air == max(candidates) and in_air != as_mixed
            found.append(_settling(ions, mineral, max(candidates), temp_c, has_air, fresh.ionic_mmol_l))
    return tuple(sorted(found, key=lambda one: (-STATES.index(one.state), -one.index)))


def worst(settlings: Iterable[Settling]) -> str:
    """The worst state of several.

    One word for a mix.

    Parameters
    ----------
    settlings : iterable of Settling
        What may fall out.

    Returns
    -------
    str
        "clear", "at the edge" or "settles"; "clear" where nothing can.

    Notes
    -----
    In that order.

    Source: own definition
    """
    return max((one.state for one in settlings), key=STATES.index, default="clear")


def _settling(
    ions: Mapping[str, float],
    mineral: Mineral,
    index: float,
    temp_c: float,
    has_air: bool,
    ionic_mmol_l: float,
) -> Settling:
    """One mineral judged."""
    state = "clear"
    if index >= mineral.settles_index:
        state = "settles"
    elif index >= mineral.at_the_edge_index:
        state = "at the edge"
    amount = fallen_out(ions, mineral.name, temp_c, has_air=has_air) if state == "settles" else 0.0
    name = COMMON_NAMES[mineral.name]
    if state == "settles":
        text = f"{name.capitalize()} falls out: about {_rounded(amount)} mg from a litre."
    elif state == "at the edge":
        text = f"{name.capitalize()} is at the edge of falling out: warmth or a little more feed may do it."
    else:
        text = f"{name.capitalize()} stays dissolved."
    if ionic_mmol_l > DILUTE_MMOL_L:
        text += " So strong a solution is judged roughly: try a glass of it first."
    return Settling(mineral.name, mineral.formula, index, state, amount, text)


def _rounded(amount: float) -> str:
    """Two figures are more than the model is good for."""
    return f"{float(f'{amount:.2g}'):g}" if amount < 1e6 else f"{amount:.2g}"
