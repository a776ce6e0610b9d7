"""Targets for a mix: published solutions, strengths typed in mg/L or mmol/L, and a part of any of them."""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import Target, Wanted
from halfwater.science.conductivity import METER_RANGE
from halfwater.science.formula import atomic_mass
from halfwater.science.ions import added_ions, read_data, scaled_ions
from halfwater.science.limits import Limits
from halfwater.science.salts import dissolved_salt, salt_ions
from halfwater.science.strengths import ELEMENTS, field_of, strength_of

_STRENGTH = Limits("strength wanted", 0, 5000, "mg/L")
_PART = Limits("part of the solution", 0.001, 10, "as a fraction (a quarter is 0.25)")


@lru_cache(maxsize=1)
def published_targets() -> tuple[Target, ...]:
    """Published nutrient solutions, ready to be aimed at.

    At full strength, as their authors gave them; a bath of slow plants takes a tenth to a quarter.

    Returns
    -------
    tuple of Target
        In the order of the data file, each with the key of its source.

    Notes
    -----
    science/data/solutions.toml; salts are turned into strengths by their formulas.

    Source: hoagland-arnon-1950; de-rijck-schrevens-1998; murashige-skoog-1962
    """
    found = []
    for row in read_data("solutions.toml")["solution"]:
        parts = [scaled_ions(salt_ions(name), amount) for name, amount in row.get("salts", {}).items()]
        parts += [dissolved_salt(name, mass / 1000) for name, mass in row.get("salts_mg_l", {}).items()]
        wanted = tuple(Wanted(what, amount) for what, amount in row.get("strengths", {}).items())
        note = f"{row['note']} ({row['place']})"
        found.append(Target(row["name"], wanted or _wanted_of(added_ions(*parts)), None, row["source"], note))
    return tuple(found)


def typed_target(
    name: str,
    strengths: Mapping[str, float],
    unit: str = "mg/L",
    ec_ms_cm: float | None = None,
    weights: Mapping[str, float] | None = None,
) -> Target:
    """Target from strengths as a grower types them.

    In mg/L of the element or mmol/L; with an EC the strengths are proportions only.

    Parameters
    ----------
    name : str
        What it is called.
    strengths : Mapping of str to float
        Element or form of nitrogen to its strength.
    unit : str
        "mg/L" or "mmol/L".
    ec_ms_cm : float, optional
        EC of the whole mix, water included. [mS/cm] Valid 0..20.
    weights : Mapping of str to float, optional
        How much each counts beside the others; 1 where nothing is said.

    Returns
    -------
    Target
        Strengths in mg/L.

    Raises
    ------
    RefusedInput
        If nothing is wanted, an element is unknown or told both whole and by its forms, or a number is nan or
        out of range.

    Notes
    -----
    mg = mmol times the atomic mass. A strength of 0 asks for none of it.

    Source: iupac-2021

    Examples
    --------
    >>> round(typed_target("mine", {"K": 1.0}, "mmol/L").wanted[0].strength_mg_l, 1)
    39.1
    """
    if unit not in ("mg/L", "mmol/L"):
        raise RefusedInput("unit", unit, "mg/L or mmol/L")
    if not strengths or not any(strengths.values()):
        raise RefusedInput("target", name, "at least one strength above 0, such as N 50 mg/L")
    if "N" in strengths and any(what.startswith("N-") for what in strengths):
        raise RefusedInput("target", "N", "nitrogen either whole or by its forms, not both")
    wanted = []
    for what, amount in strengths.items():
        field_of(what)
        factor = 1.0 if unit == "mg/L" else atomic_mass(what.partition("-")[0])
        weight = Limits("weight", 0, 1000).one((weights or {}).get(what, 1.0))
        wanted.append(Wanted(what, _STRENGTH.one(Limits(what, 0, 5000, unit).one(amount) * factor), weight))
    return Target(name, tuple(wanted), None if ec_ms_cm is None else METER_RANGE.one(ec_ms_cm))


def part_of_target(target: Target, part_frac: float) -> Target:
    """Part of a target, each strength alike.

    A quarter-strength solution.

    Parameters
    ----------
    target : Target
        The whole.
    part_frac : float
        How much of it. [1] Valid 0.001..10.

    Returns
    -------
    Target
        The same proportions.

    Raises
    ------
    RefusedInput
        If the part is nan or out of range.

    Notes
    -----
    An EC in the target is left as it is, for it says the strength by itself.

    Source: own definition
    """
    part = _PART.one(part_frac)
    wanted = tuple(replace(one, strength_mg_l=one.strength_mg_l * part) for one in target.wanted)
    return replace(target, name=f"{target.name}, {100 * part:g} %", wanted=wanted)


def _wanted_of(ions: Mapping[str, float]) -> tuple[Wanted, ...]:
    """What a solution holds, nitrogen by its forms."""
    strength = strength_of(ions)
    names = ("N-NO3", "N-NH4", "N-urea", *ELEMENTS[1:])
    held = [(what, getattr(strength, field_of(what))) for what in names]
    return tuple(Wanted(what, amount) for what, amount in held if amount)
