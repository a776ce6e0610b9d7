"""What a dose of a labelled feed gives, and how to make up a mix of the book."""

from dataclasses import dataclass

from halfwater.book import queries
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.mixes import MixFacts
from halfwater.planning.mixing import MixToMake, plan_mix
from halfwater.science.feed import Strength, elements_per_dose, read_label
from halfwater.science.units import read_dose, read_quantity


@dataclass(frozen=True, slots=True)
class TypedLabel:
    """A label and a dose as typed."""

    label: str
    dose: str
    density: str = ""
    basis: str = "w/w"
    form: str = ""  # liquid or dry; empty: as the dose says


@dataclass(frozen=True, slots=True)
class LabelDose:
    """What one dose of a labelled feed brings into a litre."""

    dose_ml_l: float | None
    dose_g_l: float | None
    strength: Strength


def dose_of_label(typed: TypedLabel) -> LabelDose:
    """What a dose of a labelled feed gives."""
    if not typed.dose.strip():
        raise RefusedInput("dose", "", "a dose such as 2 tsp/gal, 2.6 mL/L or 0.5 g/L")
    dose = read_dose(typed.dose)
    form = typed.form.strip().lower() or ("dry" if dose.dose_ml_l is None else "liquid")
    density = read_quantity(typed.density, "density", field="density") if typed.density.strip() else None
    label = read_label(typed.label, form=form, basis=typed.basis.strip().lower(), density_kg_l=density)
    strength = elements_per_dose(label, dose_ml_l=dose.dose_ml_l, dose_g_l=dose.dose_g_l)
    return LabelDose(dose.dose_ml_l, dose.dose_g_l, strength)


def mix_to_make(name: str, volume: str) -> MixToMake:
    """How to make up a volume of a mix of the book."""
    mix = mix_named(name)
    if not volume.strip():
        raise RefusedInput("volume", "", "how much to make, such as 1 L or 1/2 gal")
    return plan_mix(mix, read_quantity(volume, "volume", system=queries.nursery().units, field="volume"))


def mix_named(name: str, among: tuple[MixFacts, ...] | None = None) -> MixFacts:
    """The mix of this name, however it is capitalised; `among` are the mixes where they are read already."""
    mixes = queries.mixes() if among is None else among
    if not mixes:
        raise RefusedByBook("The book has no mix yet: describe one under Mixes, or read in mixes.csv.")
    found = [mix for mix in mixes if mix.name.casefold() == name.strip().casefold()]
    if not found:
        raise RefusedInput("mix", name, f"one of {', '.join(mix.name for mix in mixes)}")
    return found[0]
