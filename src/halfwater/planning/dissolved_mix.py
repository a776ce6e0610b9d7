"""A mix as ions in a litre of its water."""

from dataclasses import dataclass, fields
from typing import Any

from halfwater.plain.chemistry import Dose, SourceWater
from halfwater.planning.shelf import Contents, contents_of, units_of
from halfwater.planning.source_water import DissolvedWater, dissolved_water
from halfwater.science.feed import Strength
from halfwater.science.ions import EvenIons, added_ions, made_even, scaled_ions


@dataclass(frozen=True, slots=True)
class DissolvedMix:
    """A mix as ions, with and without the urea that a silent label may hide."""

    name: str
    water: DissolvedWater
    parts: tuple[tuple[Contents, float], ...]  # each thing and its units in a litre
    even: EvenIons
    even_silent: EvenIons | None
    has_label: bool

    @property
    def strength(self) -> Strength:
        """All that is in a litre, water included; a form unknown in one part is unknown in all."""
        total = self.water.strength
        for contents, units in self.parts:
            total = total + scaled_strength(contents.strength, units)
        return total


def dissolve_mix(name: str, doses: tuple[Dose, ...], water: SourceWater | DissolvedWater) -> DissolvedMix:
    """A mix as the ions in a litre.

    What the chemistry works on.

    Parameters
    ----------
    name : str
        What it is called.
    doses : tuple of Dose
        Each thing and its dose.
    water : SourceWater or DissolvedWater
        The water.

    Returns
    -------
    DissolvedMix
        Its ions, made even; a second set where a label is silent on its nitrogen.

    Raises
    ------
    RefusedInput
        If a label, formula, dose or water is refused.

    Notes
    -----
    Only labels leave charges uneven; salts are even by their formula.

    Source: own definition
    """
    dissolved = water if isinstance(water, DissolvedWater) else dissolved_water(water)
    contents = [contents_of(dose.item) for dose in doses]
    parts = tuple((one, units_of(dose, one)) for one, dose in zip(contents, doses, strict=True))
    ions = added_ions(dissolved.ions, *(scaled_ions(one.ions, units) for one, units in parts))
    silent = None
    if any(one.ions_silent is not None and units for one, units in parts):
        sets = [scaled_ions(one.ions if one.ions_silent is None else one.ions_silent, n) for one, n in parts]
        silent = made_even(added_ions(dissolved.ions, *sets))
    has_label = any(one.is_label and units for one, units in parts)
    return DissolvedMix(name, dissolved, parts, made_even(ions), silent, has_label)


def scaled_strength(strength: Strength, factor: float) -> Strength:
    """So many times a strength.

    A dose of a unit's contents.

    Parameters
    ----------
    strength : Strength
        Of one unit. [mg/L]
    factor : float
        How many units. [1] Valid 0 and more.

    Returns
    -------
    Strength
        Each figure times the factor; what is unknown stays unknown. [mg/L]

    Notes
    -----
    Linear; nothing of an unknown is nought.

    Source: own definition
    """
    if factor == 0:
        return Strength()
    figures: dict[str, Any] = {part.name: getattr(strength, part.name) for part in fields(Strength)}
    scaled: dict[str, Any] = {name: None if one is None else one * factor for name, one in figures.items()}
    return Strength(**scaled)
