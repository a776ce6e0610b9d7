"""Salts by formula: the ions that a gram of one sets free, with its crystal water and its purity."""

import re
from collections.abc import Mapping
from functools import lru_cache
from math import isclose
from types import MappingProxyType

from halfwater.errors import RefusedInput
from halfwater.science.formula import molar_mass
from halfwater.science.ions import ion_table, scaled_ions
from halfwater.science.limits import Limits

_DOSE = Limits("dose", 0, 2500, "g/L")
_PURITY = Limits("purity", 0.01, 1, "as a fraction (98 % is 0.98)")
_WANTED = (
    "a salt, acid or base of known ions, such as KNO3, Ca(NO3)2·4H2O, 5Ca(NO3)2·NH4NO3·10H2O, MgSO4·7H2O, "
    "H3BO3, CO(NH2)2 or NaFeEDTA·3H2O, with a raised dot or a plus before its water"
)
# What a group of a formula is in water. Longer names are tried first.
_GROUPS: Mapping[str, Mapping[str, int]] = {
    "CO(NH2)2": {"urea": 1}, "(NH2)2CO": {"urea": 1}, "CH4N2O": {"urea": 1},
    "H3BO3": {"H3BO3": 1}, "B(OH)3": {"H3BO3": 1}, "B4O7": {"H3BO3": 4, "OH-": 2, "water": -5},
    "B8O13": {"H3BO3": 8, "OH-": 2, "water": -11},
    "C10H12N2O8": {"EDTA-4": 1},
    "H3PO4": {"H2PO4-": 1, "H+": 1}, "H2PO4": {"H2PO4-": 1}, "HPO4": {"HPO4-2": 1}, "PO4": {"PO4-3": 1},
    "HSO4": {"HSO4-": 1}, "SO4": {"SO4-2": 1}, "NO3": {"NO3-": 1}, "NH4": {"NH4+": 1},
    "HCO3": {"HCO3-": 1}, "CO3": {"CO3-2": 1}, "MoO4": {"MoO4-2": 1},
    "Mo7O24": {"MoO4-2": 7, "H+": 8, "water": -4}, "SiO3": {"H4SiO4": 1, "OH-": 2, "water": -3},
    "OH": {"OH-": 1}, "Cl": {"Cl-": 1}, "H2O": {"water": 1},
    "K": {"K+": 1}, "Na": {"Na+": 1}, "Ca": {"Ca+2": 1}, "Mg": {"Mg+2": 1}, "Mn": {"Mn+2": 1},
    "Zn": {"Zn+2": 1}, "Cu": {"Cu+2": 1}, "Ni": {"Ni+2": 1}, "Co": {"Co+2": 1}, "Fe": {"Fe": 1},
    "H": {"H+": 1},
}  # fmt: skip
_BY_LENGTH = sorted(_GROUPS, key=len, reverse=True)
_CHELATED = {"C10H12FeN2NaO8": "NaFe(C10H12N2O8)", "C10H12FeN2O8Na": "NaFe(C10H12N2O8)"}


@lru_cache(maxsize=256)
def salt_ions(formula: str) -> Mapping[str, float]:
    """Ions that one formula unit of a salt sets free.

    A salt of the shelf as it is in water; crystal water is left out.

    Parameters
    ----------
    formula : str
        Formula written by its groups, as on the jar: Ca(NO3)2·4H2O, not CaN2O6.

    Returns
    -------
    Mapping of str to float
        Ion to how many of it; read-only.

    Raises
    ------
    RefusedInput
        If the formula cannot be read, holds something whose ions are not known, or its charges do not cancel.

    Notes
    -----
    Iron takes the charge, 2 or 3, that makes the salt neutral. Borax, molybdate and silicate are told
    by what they become in water, with the hydroxide or acid they set free. EDTA keeps hold of the iron.

    Source: iupac-2021

    Examples
    --------
    >>> dict(salt_ions("Ca(NO3)2·4H2O"))
    {'Ca+2': 1, 'NO3-': 2}
    """
    text = _plain(formula)
    if not text or "." in text:
        raise RefusedInput("formula", formula, _WANTED)
    found: dict[str, int] = {}
    for part in re.split(r"[·+]", text.replace("EDTA", "(C10H12N2O8)")):
        times, body = _leading(_CHELATED.get(part, part))
        for name, count in _read_groups(body, formula).items():
            found[name] = found.get(name, 0) + times * count
    found.pop("water", None)
    settled = _with_iron_charged(_with_edta_held(found, formula), formula)
    if not settled:
        raise RefusedInput("formula", formula, _WANTED)
    return MappingProxyType(settled)


def dissolved_salt(formula: str, dose_g_l: float, purity_frac: float = 1.0) -> dict[str, float]:
    """Ions that a weighed salt brings to a litre.

    What is not the salt itself (moisture, the water of an acid) is taken to bring nothing.

    Parameters
    ----------
    formula : str
        Formula with its crystal water.
    dose_g_l : float
        Grams of the product to a litre. [g/L] Valid 0..2500.
    purity_frac : float
        Share of the product that is the salt. [1] Valid 0.01..1.

    Returns
    -------
    dict of str to float
        Symbol to mmol in a litre. [mmol/L]

    Raises
    ------
    RefusedInput
        If the formula cannot be read or a number is nan or out of range.

    Notes
    -----
    c_i = 1000 nu_i d p / M. 0 gives none.

    Source: iupac-2021

    Examples
    --------
    >>> round(dissolved_salt("KNO3", 0.5055)["K+"], 2)
    5.0
    """
    dose, purity = _DOSE.one(dose_g_l), _PURITY.one(purity_frac)
    return scaled_ions(salt_ions(formula), 1000 * dose * purity / salt_mass(formula))


def salt_mass(formula: str) -> float:
    """Molar mass of a salt as it stands on the jar.

    Crystal water counts: 1 g of Epsom salt is half water.

    Parameters
    ----------
    formula : str
        Formula with its crystal water.

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
    Subscripts and the short name EDTA are spelled out before periodictable reads the formula.

    Source: iupac-2021

    Examples
    --------
    >>> round(salt_mass("MgSO4·7H2O"), 1)
    246.5
    """
    salt_ions(formula)
    parts = [_leading(part) for part in re.split(r"[·+]", _plain(formula).replace("EDTA", "(C10H12N2O8)"))]
    return sum(times * molar_mass(body) for times, body in parts)


def anhydrous(formula: str) -> str:
    """Formula without its crystal water.

    Solubility tables list salts that way.

    Parameters
    ----------
    formula : str
        Formula with or without crystal water.

    Returns
    -------
    str
        What stands before the water.

    Notes
    -----
    Only parts that are water are left out: 5Ca(NO3)2·NH4NO3·10H2O keeps its ammonium nitrate.

    Source: own definition

    Examples
    --------
    >>> anhydrous("MgSO4·7H2O")
    'MgSO4'
    """
    parts = re.split(r"[·+]", _plain(formula))
    return "·".join(part for part in parts if not re.fullmatch(r"\d*H2O", part))


def _plain(formula: str) -> str:
    """The formula without blanks, its raised dots and lowered figures made plain."""
    return re.sub(r"\s", "", formula).translate(str.maketrans("₀₁₂₃₄₅₆₇₈₉•∙⋅*", "0123456789····"))


def _leading(part: str) -> tuple[int, str]:
    """The number before a part of a formula and what is left."""
    found = re.match(r"(\d*)(.*)", part)
    assert found is not None  # both groups may be empty
    return int(found[1] or 1), found[2]


def _read_groups(body: str, formula: str) -> dict[str, int]:
    """Groups of one part, counted."""
    found: dict[str, int] = {}
    at = 0
    while at < len(body):
        name = next((group for group in _BY_LENGTH if body.startswith(group, at)), None)
        if name is not None:
            inner, at = dict(_GROUPS[name]), at + len(name)
        elif body[at] == "(" and (end := _closing(body, at)):
            inner, at = _read_groups(body[at + 1 : end], formula), end + 1
        else:
            raise RefusedInput("formula", formula, _WANTED)
        digits = re.match(r"\d*", body[at:])
        assert digits is not None  # an empty match is one
        at += len(digits[0])
        for ion, count in inner.items():
            found[ion] = found.get(ion, 0) + count * int(digits[0] or 1)
    return found


def _closing(body: str, at: int) -> int:
    """Where the bracket opened here is closed; 0 if it is not."""
    depth = 0
    for place in range(at, len(body)):
        depth += {"(": 1, ")": -1}.get(body[place], 0)
        if depth == 0:
            return place
    return 0


def _with_edta_held(found: dict[str, int], formula: str) -> dict[str, float]:
    """Iron in the grip of EDTA, and free EDTA as it is near pH 6."""
    counts: dict[str, float] = dict(found)
    edta = counts.pop("EDTA-4", 0)
    if not edta:
        return counts
    iron = counts.pop("Fe", 0)
    if iron > edta:
        raise RefusedInput("formula", formula, _WANTED)
    if iron:
        counts["FeEDTA-"] = iron
    if free := edta - iron:
        counts["EDTA-2"] = free
        counts["H+"] = counts.get("H+", 0) - 2 * free
    return {name: count for name, count in counts.items() if count}


def _with_iron_charged(counts: dict[str, float], formula: str) -> dict[str, float]:
    """The salt with its iron as Fe+2 or Fe+3; refused if charges do not cancel."""
    iron = counts.pop("Fe", 0)
    table = ion_table()
    charge = sum(table[name].charge * count for name, count in counts.items())
    if iron:
        each = -charge / iron
        if each not in (2, 3):
            raise RefusedInput("formula", formula, _WANTED)
        return {f"Fe+{each:.0f}": iron, **counts}
    if not isclose(charge, 0, abs_tol=1e-9):
        raise RefusedInput("formula", formula, f"{_WANTED}; the charges of this one do not cancel")
    return _neutralised(counts)


def _neutralised(counts: dict[str, float]) -> dict[str, float]:
    """Acid and base of one formula cancelled (an acid salt told by its groups)."""
    both = min(counts.get("H+", 0), counts.get("OH-", 0))
    left = {name: count - (both if name in ("H+", "OH-") else 0) for name, count in counts.items()}
    return {name: count for name, count in left.items() if count}
