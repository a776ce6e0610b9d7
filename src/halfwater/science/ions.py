"""Ions in a litre: what they carry, what they bring, and the plain sum of what they conduct."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from halfwater.errors import RefusedInput
from halfwater.science.limits import Limits

IonsMmolL = Mapping[str, float]  # symbol -> mmol in a litre
STRENGTH = Limits("strength of an ion", 0, 20_000, "mmol/L")
_CHARGE_TOLERANCE_MEQ_L = 1e-6


@dataclass(frozen=True, slots=True)
class Ion:
    """One ion or neutral thing in solution."""

    symbol: str
    charge: int
    limiting_factor: float  # equivalent conductivity at infinite dilution, 25 °C, S cm²/eq
    phreeqc: str  # the total that PHREEQC knows it by; "" where it is not told
    is_stand_in: bool  # PHREEQC takes another of the same charge in its place
    brings: Mapping[str, int]  # atoms of what a grower counts


@dataclass(frozen=True, slots=True)
class Charges:
    """Charge of the cations and of the anions."""

    cations_meq_l: float
    anions_meq_l: float

    @property
    def off_frac(self) -> float:
        """How far apart they are, positive for too many cations; 0 where there are none."""
        total = self.cations_meq_l + self.anions_meq_l
        return (self.cations_meq_l - self.anions_meq_l) / total if total else 0.0


@dataclass(frozen=True, slots=True)
class EvenIons:
    """Ions whose charges cancel, and the one that was added for that."""

    ions: Mapping[str, float]
    added: str  # "" if they cancelled already
    added_meq_l: float
    before: Charges


def read_data(name: str) -> dict[str, Any]:
    """One of the tables that ship with the package.

    Constants of chemistry with the key of the source beside them.

    Parameters
    ----------
    name : str
        File name in science/data, such as "ions.toml".

    Returns
    -------
    dict
        The table as it stands in the file.

    Notes
    -----
    Read anew at each call; callers keep what they build from it.

    Source: own definition
    """
    return tomllib.loads((files("halfwater.science") / "data" / name).read_text(encoding="utf-8"))


@lru_cache(maxsize=1)
def ion_table() -> Mapping[str, Ion]:
    """Every ion the house knows.

    Charge, limiting conductivity and what each brings to a plant.

    Returns
    -------
    Mapping of str to Ion
        Symbol to ion; read-only.

    Notes
    -----
    science/data/ions.toml, read once.

    Source: vanysek-crc
    """
    rows = read_data("ions.toml")["ions"]
    return MappingProxyType(
        {
            symbol: Ion(
                symbol,
                row["charge"],
                row["limiting"],
                row["phreeqc"],
                row.get("stands_in", False),
                MappingProxyType(row["brings"]),
            )
            for symbol, row in rows.items()
        }
    )


def checked_ions(ions: Mapping[str, Any]) -> dict[str, float]:
    """Ions that are known, in amounts that can be.

    The gate of every function that takes ions.

    Parameters
    ----------
    ions : Mapping of str to float
        Symbol to mmol in a litre. [mmol/L]

    Returns
    -------
    dict of str to float
        The same, those of which there is none left out. [mmol/L]

    Raises
    ------
    RefusedInput
        If an ion is unknown, or an amount negative, nan or over 20 mol/L.

    Notes
    -----
    Order is kept.

    Source: own definition
    """
    table = ion_table()
    found: dict[str, float] = {}
    for symbol, amount in ions.items():
        if symbol not in table:
            raise RefusedInput("ion", symbol, f"one of {', '.join(table)}")
        is_sound = type(amount) is float and STRENGTH.low <= amount <= STRENGTH.high
        strength = amount if is_sound else STRENGTH.one(amount)  # the gate itself is slow for many ions
        if strength:
            found[symbol] = strength
    return found


def added_ions(*several: Mapping[str, float]) -> dict[str, float]:
    """Ions of several things dissolved in the same litre.

    Amounts of each ion add; what reacts is PHREEQC's work.

    Parameters
    ----------
    *several : Mapping of str to float
        Symbol to mmol in a litre. [mmol/L] Valid 0..20000.

    Returns
    -------
    dict of str to float
        Their sum. [mmol/L]

    Notes
    -----
    Nothing is checked: a sum of checked ions is sound.

    Source: own definition
    """
    total: dict[str, float] = {}
    for ions in several:
        for symbol, amount in ions.items():
            total[symbol] = total.get(symbol, 0.0) + amount
    return total


def scaled_ions(ions: Mapping[str, float], factor: float) -> dict[str, float]:
    """So many times the ions.

    A dose, a dilution or a concentrate.

    Parameters
    ----------
    ions : Mapping of str to float
        Symbol to mmol in a litre. [mmol/L] Valid 0..20000.
    factor : float
        How many times. [1] Valid 0 and more.

    Returns
    -------
    dict of str to float
        Each amount times the factor. [mmol/L]

    Notes
    -----
    0 gives none of each.

    Source: own definition
    """
    return {symbol: amount * factor for symbol, amount in ions.items()}


def charges_of(ions: Mapping[str, Any]) -> Charges:
    """Charge of the cations and anions.

    A true analysis or recipe has as much of one as of the other.

    Parameters
    ----------
    ions : Mapping of str to float
        Symbol to mmol in a litre. [mmol/L]

    Returns
    -------
    Charges
        Both sums. [meq/L]

    Raises
    ------
    RefusedInput
        If an ion is unknown or an amount impossible.

    Notes
    -----
    Sum of z c over each sign; phosphate counts as it was added (H2PO4- from KH2PO4).

    Source: hoagland-arnon-1950

    Examples
    --------
    >>> charges_of({"K+": 2.0, "SO4-2": 1.0}).off_frac
    0.0
    """
    table = ion_table()
    loads = [table[symbol].charge * amount for symbol, amount in checked_ions(ions).items()]
    return Charges(sum(load for load in loads if load > 0), -sum(load for load in loads if load < 0))


def made_even(ions: Mapping[str, Any]) -> EvenIons:
    """Ions whose charges cancel, by adding sodium or chloride where they do not.

    A label does not name every ion and an analysis is never quite true; the rest is taken as the two
    ions that labs and labels leave out most often and that react with nothing.

    Parameters
    ----------
    ions : Mapping of str to float
        Symbol to mmol in a litre. [mmol/L]

    Returns
    -------
    EvenIons
        The ions, what was added, and the charges before.

    Raises
    ------
    RefusedInput
        If an ion is unknown or an amount impossible.

    Notes
    -----
    Too many cations: Cl-; too many anions: Na+. Under 1e-6 meq/L nothing is added.

    Source: own definition
    """
    sound = checked_ions(ions)
    before = charges_of(sound)
    over = before.cations_meq_l - before.anions_meq_l
    if abs(over) <= _CHARGE_TOLERANCE_MEQ_L:
        return EvenIons(MappingProxyType(sound), "", 0.0, before)
    added = "Cl-" if over > 0 else "Na+"
    even = added_ions(sound, {added: abs(over)})
    return EvenIons(MappingProxyType(even), added, abs(over), before)


def ion_sum_ec(ions: Mapping[str, Any]) -> float:
    """Conductivity that the ions would have if none hindered another: an upper bound.

    Kohlrausch's sum. True at infinite dilution; 2 % high for 1 mmol/L of KCl, 16 % for 0.1 mol/L, a quarter
    for a full nutrient solution. Shown as a bound and never as the answer.

    Parameters
    ----------
    ions : Mapping of str to float
        Symbol to mmol in a litre. [mmol/L]

    Returns
    -------
    float
        Upper bound of the conductivity at 25 C. [mS/cm]

    Raises
    ------
    RefusedInput
        If an ion is unknown or an amount impossible.

    Notes
    -----
    kappa = sum |z| c lambda / 1000; c in mmol/L, lambda in S cm2/eq. 0 for urea alone. Very weak acid salts
    pass it by a per cent or two, for they set hydrogen free (KH2PO4 under 1 mmol/L).

    Source: vanysek-crc

    Examples
    --------
    >>> round(ion_sum_ec({"K+": 1.0, "Cl-": 1.0}), 5)
    0.14979
    """
    table = ion_table()
    sound = checked_ions(ions)
    return (
        sum(abs(table[name].charge) * amount * table[name].limiting_factor for name, amount in sound.items())
        / 1000
    )
