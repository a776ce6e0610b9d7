"""Chemical formulas: how much of a salt or oxide is the element (atomic masses by periodictable)."""

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from halfwater.errors import RefusedInput

_FORMULA_WANTED = "a chemical formula such as KNO3, P2O5 or MgSO4·7H2O"


@lru_cache(maxsize=256)
def element_fractions(formula: str) -> Mapping[str, float]:
    """Mass fraction of each element in a compound.

    Says how much of a weighed salt is potassium, nitrogen and so on, water of crystallisation included.

    Parameters
    ----------
    formula : str
        Chemical formula; water of crystallisation after a raised dot or a plus, as in MgSO4·7H2O.

    Returns
    -------
    Mapping of str to float
        Element symbol to its share of the mass; read-only. [1]

    Raises
    ------
    RefusedInput
        If the formula is empty, holds an unknown element, cannot be read, or holds a full stop
        ("MgSO4.7H2O" would be read as 4.7 oxygens).

    Notes
    -----
    w_i = a_i M_i / sum_j a_j M_j, with the abridged atomic masses that periodictable carries.

    Source: vce-spes-201, table 1

    Examples
    --------
    >>> round(element_fractions("KNO3")["K"], 4)
    0.3867
    """
    import periodictable  # 20 ms: at the door that needs it

    text = formula.strip()
    if not text or "." in text:
        raise RefusedInput("formula", formula, f"{_FORMULA_WANTED}, with a raised dot or a plus before water")
    try:
        compound = periodictable.formula(text.replace("·", "+").replace("*", "+"))
    except Exception as unread:  # pyparsing's own errors and ValueError, depending on what is wrong
        raise RefusedInput("formula", formula, _FORMULA_WANTED) from unread
    return MappingProxyType({str(element): float(share) for element, share in compound.mass_fraction.items()})


def oxide_factor(formula: str, element: str) -> float:
    """Mass of an element in a unit mass of its oxide or ion.

    Labels state phosphorus as P2O5 and potassium as K2O though the feed holds neither; this turns
    the printed figure into the element.

    Parameters
    ----------
    formula : str
        Oxide or ion as the label writes it, such as P2O5, K2O, MgO, NO3.
    element : str
        Symbol of the element wanted.

    Returns
    -------
    float
        Multiply the oxide's mass by this. [1]

    Raises
    ------
    RefusedInput
        If the formula cannot be read or does not hold the element.

    Notes
    -----
    The charge of an ion is left out: an electron weighs too little to matter.

    Source: vce-spes-201, table 1

    Examples
    --------
    >>> round(oxide_factor("P2O5", "P"), 5)
    0.43643
    """
    fractions = element_fractions(formula)
    if element not in fractions:
        raise RefusedInput("element", element, f"one of those in {formula}: {', '.join(fractions)}")
    return fractions[element]


@lru_cache(maxsize=64)
def atomic_mass(element: str) -> float:
    """Atomic mass of an element.

    Turns milligrams into millimoles and back.

    Parameters
    ----------
    element : str
        Its symbol, such as K.

    Returns
    -------
    float
        Grams in a mole. [g/mol]

    Raises
    ------
    RefusedInput
        If there is no such element.

    Notes
    -----
    The abridged masses that periodictable carries.

    Source: iupac-2021

    Examples
    --------
    >>> round(atomic_mass("K"), 2)
    39.1
    """
    import periodictable  # 20 ms: at the door that needs it

    try:
        mass_g_mol = float(periodictable.elements.symbol(element).mass)
    except (ValueError, TypeError) as unknown:
        raise RefusedInput("element", element, "the symbol of an element, such as K or Ca") from unknown
    return mass_g_mol


@lru_cache(maxsize=256)
def molar_mass(formula: str) -> float:
    """Molar mass of a compound.

    What a mole of a salt weighs, with its water of crystallisation.

    Parameters
    ----------
    formula : str
        Chemical formula as `element_fractions` takes it.

    Returns
    -------
    float
        Grams in a mole. [g/mol]

    Raises
    ------
    RefusedInput
        If the formula cannot be read.

    Notes
    -----
    M = sum a_j M_j.

    Source: iupac-2021

    Examples
    --------
    >>> round(molar_mass("KNO3"), 2)
    101.1
    """
    import periodictable  # 20 ms: at the door that needs it

    element_fractions(formula)  # refuses what cannot be read
    return float(periodictable.formula(formula.strip().replace("·", "+").replace("*", "+")).mass)
