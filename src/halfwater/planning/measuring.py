"""Amounts too small for the scale: a strong solution of them, dosed by the millilitre."""

from math import floor, log10

from halfwater.plain.chemistry import SaltFacts, SmallDose
from halfwater.planning.shelf import Contents
from halfwater.science.solubility import most_dissolved
from halfwater.science.starting import STEPS_LEAST, SYRINGE_STEP_ML

_DOSES_ML = (10.0, 5.0, 20.0, 2.0, 50.0)
_BOTTLES_ML = (100.0, 250.0, 500.0, 1000.0)
_FULL_FRAC = 0.5  # of what dissolves: a strong solution stays clear in the cold
_UNKNOWN_MOST_G_L = 50.0  # where no table says what dissolves
_COLD_C = 10.0


def small_dose(contents: Contents, units: float, step_g: float, temp_c: float) -> SmallDose | None:
    """How to bring an amount that the scale cannot weigh or the syringe cannot draw.

    A round weight dissolved in a bottle, and the millilitres of it that hold the amount.

    Parameters
    ----------
    contents : Contents
        The thing.
    units : float
        Grams or millilitres of it for the volume made. [unit] Valid 0 and more.
    step_g : float
        Smallest step of the scale. [g] Valid 0.0001..10.
    temp_c : float
        Temperature. [C] Valid 0..50.

    Returns
    -------
    SmallDose or None
        None where the amount can be measured, or no bottle will do.

    Notes
    -----
    Fewer than 20 steps are too little: more than 2.5 % out. Liquids are let down by the same reckoning.

    Source: priors, Mixes and meters
    """
    density = contents.density_kg_l
    is_liquid = contents.unit == "mL" or density is not None
    millilitres = units if contents.unit == "mL" or density is None else units / density
    amount, step = (millilitres, SYRINGE_STEP_ML) if is_liquid else (units, step_g)
    if not 0 < amount < STEPS_LEAST * step:
        return None
    most = 500.0 if is_liquid else _most_g_l(contents, min(temp_c, _COLD_C))
    for dose_ml in _DOSES_ML:
        for bottle_ml in _BOTTLES_ML:
            wanted = amount / dose_ml * bottle_ml
            taken = _round_up(max(wanted, STEPS_LEAST * step))
            drawn = amount * bottle_ml / taken
            if taken <= most * bottle_ml / 1000 and STEPS_LEAST * SYRINGE_STEP_ML <= drawn <= 60:
                unit = "mL" if is_liquid else "g"
                text = (
                    f"Too little to measure: make {taken:g} {unit} of {contents.item.name} up to "
                    f"{bottle_ml:g} mL with water and take {drawn:.1f} mL of it."
                )
                return SmallDose(taken, bottle_ml, drawn, text)
    return None


def _most_g_l(contents: Contents, temp_c: float) -> float:
    """What a bottle may hold in a litre."""
    product = contents.item.product
    if isinstance(product, SaltFacts):
        most = most_dissolved(product.formula, max(temp_c, 0.0))
        if most is not None:
            return most * _FULL_FRAC
    return _UNKNOWN_MOST_G_L


def _round_up(amount: float) -> float:
    """The next of 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8 times a power of ten."""
    power = 10.0 ** floor(log10(amount))
    steps = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10)
    return next(step * power for step in steps if step * power >= amount * (1 - 1e-9))
