"""Quantities as growers write them, read into the units of the house (pint underneath)."""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from halfwater.errors import RefusedInput
from halfwater.science.unit_words import KINDS, Kind, folded
from halfwater.science.written import plain_signs, split_amount, split_amounts

if TYPE_CHECKING:
    import pint

_COMPOUND = ("length", "volume", "mass", "hours")
_TOO_MUCH = 1e12  # in any unit: a slip of the finger, and it keeps the arithmetic finite
_DOSE = "a dose such as 2 tsp/gal, 2.6 ml/l, 0.5 g/L or 13.5 oz/100 gal"
_PER = re.compile(r" ?/ ?| per | to | in (?=\d|an? )| an? (?=gal|lit|l\b)")
_TIMES = re.compile(r" ?(?:[x×✕✖*]| by ) ?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Dose:
    """How much of a feed goes into a litre: by volume or by mass, never both."""

    dose_ml_l: float | None
    dose_g_l: float | None


def read_quantity(text: str | float | int, kind: str, *, system: str = "metric", field: str = "") -> float:
    """Value of a typed quantity in the house unit of its kind.

    Reads what a grower writes on a label or in a notebook: 450 mm, 18 in,
    1 1/2", 1/2 gal, 2,6 L, 62 %, 72 F. A bare number is in the usual unit of
    its kind in that system.

    Parameters
    ----------
    text : str or number
        What was typed, with or without a unit.
    kind : str
        One of length [mm], volume [l], mass [g], temperature [c], fraction
        [frac], ec [ms_cm], ppfd [umol_m2_s], lux [lux], hours [h],
        density [kg_l], power [w], count.
    system : str
        The units a bare number is in: metric or us.
    field : str
        What the quantity is called on the form; the kind when empty.

    Returns
    -------
    number
        The quantity in the house unit of its kind.

    Raises
    ------
    RefusedInput
        If nothing was typed, it is no number, nan, infinite, outside the
        range of its kind, in a unit of another kind, can be read in two ways,
        or the kind or system is unknown.

    Notes
    -----
    Nought is taken where the kind allows it. The range is nought upward,
    0..1 for a fraction, -60..100 C for a temperature, whole for a count.
    US measures are meant by gal, qt, pt, cup, fl oz, tbsp and tsp; oz alone
    is a mass (avoirdupois).

    Source: nist-hb44, Appendix C

    Examples
    --------
    >>> read_quantity("1 tsp", "volume")
    0.00492892159375
    >>> read_quantity("18 in", "length")
    457.2
    """
    if kind not in KINDS:
        raise RefusedInput(field or "kind", kind, "one of " + ", ".join(KINDS))
    if system not in ("metric", "us"):
        raise RefusedInput("units", system, "metric or us")
    rules, name = KINDS[kind], field or kind
    if isinstance(text, bool) or not isinstance(text, (str, int, float)):
        raise RefusedInput(name, text, rules.accepted)
    if isinstance(text, str):
        value = _read_text(plain_signs(text), text, rules, kind, system, name)
    elif abs(text) < _TOO_MUCH:
        value = _in_house_unit(_exact(float(text)), rules, rules.bare(system))
    else:
        raise RefusedInput(name, text, rules.accepted)
    if not rules.lowest <= value <= rules.highest or (rules.whole and value.denominator != 1):
        raise RefusedInput(name, text, rules.accepted)
    return float(value)


def read_dose(text: str, field: str = "dose") -> Dose:
    """Dose of a feed, by volume or by mass in each litre of water.

    The unit above the line tells which: tsp, ml and fl oz are volumes, g, oz
    and lb are masses. What stands below may carry a number, as in 100 gal.

    Parameters
    ----------
    text : str
        A dose such as 2 tsp/gal, 1/4 tsp per gal, 2.6 ml/l, 0.5 g/L.
    field : str
        What the dose is called on the form.

    Returns
    -------
    Dose
        One of dose_ml_l [ml_l] and dose_g_l [g_l]; the other is None.

    Raises
    ------
    RefusedInput
        If it is no dose, negative, beyond 10^12, or the line stands over nothing.

    Notes
    -----
    US measures. 1 tsp/gal is 1000/768 mL/L. A dose of nought is taken.

    Source: nist-hb44, Appendix C

    Examples
    --------
    >>> read_dose("2 tsp/gal").dose_ml_l
    2.6041666666666665
    >>> read_dose("0.5 g/L")
    Dose(dose_ml_l=None, dose_g_l=0.5)
    """
    if not isinstance(text, str):
        raise RefusedInput(field, text, _DOSE)
    above, below = _split_dose(plain_signs(text), text, field)
    volume, mass = KINDS["volume"], KINDS["mass"]
    try:
        amount, unit = split_amount(above, field, _DOSE)
        number, water = split_amount(below, field, _DOSE) if below[:1].isdigit() else (1.0, below)
    except RefusedInput as refused:
        raise RefusedInput(field, text, refused.accepted) from None
    if folded(water) not in volume.words or not 0 < number < _TOO_MUCH or amount >= _TOO_MUCH:
        raise RefusedInput(field, text, _DOSE)
    water_l = _in_house_unit(_exact(number), volume, volume.words[folded(water)])
    if folded(unit) in volume.words:
        amount_l = _in_house_unit(_exact(amount), volume, volume.words[folded(unit)])
        return Dose(float(amount_l / water_l * 1000), None)
    if folded(unit) in mass.words:
        return Dose(None, float(_in_house_unit(_exact(amount), mass, mass.words[folded(unit)]) / water_l))
    raise RefusedInput(field, text, _DOSE)


def read_size(text: str, n: int, field: str, *, system: str = "metric") -> tuple[float, ...]:
    """Sides of a floor, a tank or a pot, in the order written.

    One unit at the end serves for all sides, as in 36 x 18 in; sides may also
    carry their own.

    Parameters
    ----------
    text : str
        Sides set apart by x or by, such as 90x45 cm or 36 in x 18 in.
    n : int
        How many sides are wanted.
    field : str
        What the size is called on the form.
    system : str
        The units of sides without any unit: metric (mm) or us (in).

    Returns
    -------
    tuple of float
        The sides. [mm]

    Raises
    ------
    RefusedInput
        If there are not `n` sides, or one is no length or is nought.

    Notes
    -----
    A side without a unit takes that of the next side that has one, and
    otherwise that of the last side before it.

    Source: own definition

    Examples
    --------
    >>> read_size("36 x 18 in", 2, "floor")
    (914.4, 457.2)
    """
    shown = " x ".join(["900", "450", "500"][:n])
    accepted = f"{n} lengths such as {shown} mm" if n > 1 else KINDS["length"].accepted
    if not isinstance(text, str):
        raise RefusedInput(field, text, accepted)
    sides = [side.strip() for side in _TIMES.split(plain_signs(text))]
    if len(sides) != n or not all(sides):
        raise RefusedInput(field, text, accepted)
    try:
        lengths = _read_sides(sides, system, field, accepted)
    except RefusedInput as refused:
        raise RefusedInput(field, text, refused.accepted) from None
    if min(lengths) <= 0:
        raise RefusedInput(field, text, f"{accepted}, each more than nought")
    return tuple(lengths)


def _read_sides(sides: list[str], system: str, field: str, accepted: str) -> list[float]:
    """Read the sides of a size, lending a unit to those that have none."""
    units = [split_amounts(side, field, accepted)[-1][1] for side in sides]
    lengths = []
    for place, side in enumerate(sides):
        later = [unit for unit in units[place + 1 :] if unit]
        earlier = [unit for unit in units[:place] if unit]
        lent = "" if units[place] else (later or earlier[::-1] or [""])[0]
        lengths.append(read_quantity(f"{side} {lent}".strip(), "length", system=system, field=field))
    return lengths


def _read_text(plain: str, typed: str, rules: Kind, kind: str, system: str, name: str) -> Fraction:
    """Read a typed quantity of a known kind."""
    below_zero = plain.startswith("-")
    if not plain or (below_zero and rules.lowest >= 0):
        raise RefusedInput(name, typed, rules.accepted)
    plain = plain.removeprefix("-").removeprefix("+").strip()
    clock = re.fullmatch(r"(\d{1,2}):([0-5]\d)", plain) if kind == "hours" else None
    if clock:
        return Fraction(int(clock[1]) * 60 + int(clock[2]), 60)
    try:
        split = split_amounts if kind in _COMPOUND else _split_one
        parts = split(plain, name, rules.accepted)
    except RefusedInput as refused:
        raise RefusedInput(name, typed, refused.accepted) from None
    total = Fraction(0)
    for number, unit in parts:
        word = folded(unit)
        if number >= _TOO_MUCH or (word and word not in rules.words):
            raise RefusedInput(name, typed, _why_not(word, rules))
        exact = _exact(-number if below_zero else number)
        total += _in_house_unit(exact, rules, rules.words[word] if word else rules.bare(system))
    return total


def _split_one(text: str, field: str, accepted: str) -> list[tuple[float, str]]:
    return [split_amount(text, field, accepted)]


def _why_not(word: str, rules: Kind) -> str:
    return f"{rules.accepted}; {rules.hints[word]}" if word in rules.hints else rules.accepted


def _split_dose(plain: str, typed: str, field: str) -> tuple[str, str]:
    """Part a dose at its line; a slash between digits belongs to a fraction."""
    for line in _PER.finditer(plain):
        before, after = plain[: line.start()].strip(), plain[line.end() :].strip()
        if after and not re.search(r"\d$", before):
            return before, re.sub(r"^(an?|each|the) ", "", after)
    raise RefusedInput(field, typed, _DOSE)


def _in_house_unit(number: Fraction, rules: Kind, unit: str) -> Fraction:
    if unit == rules.house:
        return number
    scale, shift = _conversion(unit, rules.house)
    return number * scale + shift


def _exact(number: float) -> Fraction:
    """The decimal a float is printed as, so that 2.6 stays 2.6 through a conversion."""
    return Fraction(repr(number))


@cache
def _conversion(unit: str, house: str) -> tuple[Fraction, Fraction]:
    """Exact scale and shift from one unit to another."""
    registry = _registry()
    shift = Fraction(registry.Quantity(Fraction(0), unit).to(house).magnitude)
    return Fraction(registry.Quantity(Fraction(1), unit).to(house).magnitude) - shift, shift


@cache
def _registry() -> "pint.UnitRegistry[Fraction]":
    """Pint with exact fractions, loaded at the first need since it is slow to load."""
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)
