"""Strengths and ions: from what a grower counts to what is dissolved, and back."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from halfwater.errors import RefusedInput
from halfwater.science.feed import Strength
from halfwater.science.formula import atomic_mass
from halfwater.science.ions import checked_ions, ion_table
from halfwater.science.limits import Limits

ELEMENTS = (
    "N", "P", "K", "Ca", "Mg", "S", "Fe", "Mn", "Zn", "Cu", "B", "Mo", "Ni", "Co", "Cl", "Na", "Si",
)  # fmt: skip
_FORMS = {"N-NO3": "n_nitrate_mg_l", "N-NH4": "n_ammonium_mg_l", "N-urea": "n_urea_mg_l"}
_LABEL_IONS = {
    "H2PO4-": "P", "K+": "K", "Ca+2": "Ca", "Mg+2": "Mg", "SO4-2": "S", "Na+": "Na", "Cl-": "Cl",
    "H3BO3": "B", "H4SiO4": "Si", "MoO4-2": "Mo",
}  # fmt: skip
_SHARE = Limits("share of urea", 0, 1)


def strength_of(ions: Mapping[str, Any]) -> Strength:
    """Strength of what is dissolved, element by element.

    The way back from ions to what a grower counts.

    Parameters
    ----------
    ions : Mapping of str to float
        Symbol to mmol in a litre. [mmol/L]

    Returns
    -------
    Strength
        Each element and nitrogen form. [mg/L]

    Raises
    ------
    RefusedInput
        If an ion is unknown or an amount impossible.

    Notes
    -----
    c M of each atom that the ion brings; nitrogen is the sum of its forms. Carbonate brings nothing.

    Source: iupac-2021
    """
    table = ion_table()
    found: dict[str, float] = {}
    for symbol, amount in checked_ions(ions).items():
        for what, atoms in table[symbol].brings.items():
            field = field_of(what)
            found[field] = found.get(field, 0.0) + amount * atoms * atomic_mass(what.partition("-")[0])
    found["n_mg_l"] = sum(found.get(form, 0.0) for form in _FORMS.values())
    return Strength(**found)


@lru_cache(maxsize=64)
def field_of(what: str) -> str:
    """Name under which a strength is kept.

    Elements and the three forms of nitrogen, by the names that growers and targets use.

    Parameters
    ----------
    what : str
        An element such as "K", or "N-NO3", "N-NH4", "N-urea".

    Returns
    -------
    str
        Field of `Strength`.

    Raises
    ------
    RefusedInput
        If there is no such element or form.

    Notes
    -----
    Capitals count: Co is cobalt, CO is nothing.

    Source: own definition

    Examples
    --------
    >>> field_of("N-NO3")
    'n_nitrate_mg_l'
    """
    if what in _FORMS:
        return _FORMS[what]
    if what not in ELEMENTS:
        raise RefusedInput("element", what, f"one of {', '.join((*ELEMENTS, *_FORMS))}")
    return f"{what.lower()}_mg_l"


def label_ions(strength: Strength, urea_frac: float | None = None) -> dict[str, float]:
    """Ions that a labelled feed brings, as far as the label tells them.

    Phosphorus as H2PO4-, sulphur as sulphate, boron as boric acid; trace metals of a label are taken as
    chelates and left out, for they carry next to nothing. Charges need not cancel: see `made_even`.

    Parameters
    ----------
    strength : Strength
        What the feed brings at its dose. [mg/L]
    urea_frac : float, optional
        Share of the nitrogen that is urea, for a label that does not say its forms; half of the rest is
        nitrate. [1] Valid 0..1.

    Returns
    -------
    dict of str to float
        Symbol to mmol in a litre. [mmol/L]

    Raises
    ------
    RefusedInput
        If the forms of nitrogen are unknown and no share is given, or it is out of range.

    Notes
    -----
    c / M of each.

    Source: own definition
    """
    urea, nitrate, ammonium = strength.n_urea_mg_l, strength.n_nitrate_mg_l, strength.n_ammonium_mg_l
    if urea is None or nitrate is None or ammonium is None:
        if urea_frac is None:
            raise RefusedInput("nitrogen forms", "", "how much of the nitrogen is nitrate, ammonium and urea")
        share = _SHARE.one(urea_frac)
        urea = strength.n_mg_l * share
        nitrate = ammonium = strength.n_mg_l * (1 - share) / 2
    n = atomic_mass("N")
    found = {"NO3-": nitrate / n, "NH4+": ammonium / n, "urea": urea / (2 * n)}
    for symbol, element in _LABEL_IONS.items():
        found[symbol] = getattr(strength, field_of(element)) / atomic_mass(element)
    return {symbol: amount for symbol, amount in found.items() if amount}
