"""A recipe for a target from what is on the shelf, with what it misses and why."""

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import MixLook, RecipeAnswer, RecipePart, ShelfItem, SourceWater, Target
from halfwater.plain.figures import show, show_list
from halfwater.planning.dissolved_mix import dissolve_mix
from halfwater.planning.measuring import small_dose
from halfwater.planning.mix_look import ROOM_TEMP_C, look_at_mix
from halfwater.planning.recipe_misses import misses_of, recipe_sentence
from halfwater.planning.recipe_problem import RecipeProblem, doses_for, pose_recipe
from halfwater.planning.shelf import Contents
from halfwater.planning.source_water import DissolvedWater
from halfwater.science.chemistry import ec_of_ions
from halfwater.science.limits import Limits
from halfwater.science.starting import SCALE_STEP_G

NOT_WORTH_FRAC = 1e-3  # a part that brings less than this of anything wanted is left out
NITROGEN = {"N", "N-NO3", "N-NH4", "N-urea"}  # who asks for one of them asks for nitrogen
UNASKED_FRAC = 0.5  # of the largest strength wanted: so much of something nobody asked for is said
_VOLUME = Limits("volume to make", 0.01, 10_000, "L")
_STEP = Limits("step of the scale", 0.0001, 10, "g")
_EC_STEPS = 40
_EC_CLOSE_MS_CM = 1e-4
_MOST_UNITS = 300.0  # grams or millilitres in a litre


def make_recipe(
    shelf: tuple[ShelfItem, ...],
    water: SourceWater | DissolvedWater,
    target: Target,
    volume_l: float = 1.0,
    temp_c: float = ROOM_TEMP_C,
    scale_step_g: float = SCALE_STEP_G,
) -> RecipeAnswer:
    """Recipe that comes nearest to a target, from what is on the shelf and in the water.

    What the water brings is counted first. What cannot be met is named, with what stands in the way.

    Parameters
    ----------
    shelf : tuple of ShelfItem
        Feeds and salts to mix from.
    water : SourceWater or DissolvedWater
        The water.
    target : Target
        Strengths, or an EC at their proportions.
    volume_l : float
        Volume to make. [L] Valid 0.01..10000.
    temp_c : float
        Temperature at which it is kept. [C] Valid 0..50.
    scale_step_g : float
        Smallest step of the grower's scale. [g] Valid 0.0001..10.

    Returns
    -------
    RecipeAnswer
        Parts with what to measure, the look of the mix, what is missed and why, and it in words.

    Raises
    ------
    RefusedInput
        If the shelf is empty or one of it refused, nothing is wanted, the water alone is above the EC wanted
        or no dose reaches it, or a number is nan or out of range.

    Notes
    -----
    Non-negative least squares on shares of the strengths wanted; what comes along unasked is free, and said
    from half of the largest strength wanted. Among equals the cheaper, or the one with less
    sodium and chloride. For an EC the target is scaled until PHREEQC finds it.

    Source: lawson-hanson-1974; parkhurst-appelo-2013
    """
    volume, step = _VOLUME.one(volume_l), _STEP.one(scale_step_g)
    problem = pose_recipe(shelf, water, target)
    times = 1.0 if target.ec_ms_cm is None else _times_for_ec(problem, target.ec_ms_cm)
    units = _without_crumbs(problem, problem.solve(times), times)
    doses = doses_for(problem, units)
    look = look_at_mix(target.name, doses, problem.water, temp_c, target if times == 1.0 else None)
    missed = misses_of(problem, units, times)
    pairs = zip(problem.shelf, units, strict=True)
    parts = tuple(_part(one, amount, volume, step, temp_c) for one, amount in pairs if amount > 0)
    sentence = recipe_sentence(target, parts, missed) + _unasked(target, look, times)
    return RecipeAnswer(target, volume, parts, look, missed, sentence)


def _unasked(target: Target, look: MixLook, times: float) -> str:
    """What the recipe brings much of though nobody asked for it, as a sentence; "" where there is none."""
    asked = {one.what for one in target.wanted}
    asked |= NITROGEN if asked & NITROGEN else set()
    much = UNASKED_FRAC * times * max(one.strength_mg_l for one in target.wanted)
    brought = {line.what: line.in_all_mg_l - (line.water_mg_l or 0.0) for line in look.strengths}
    much_of = {what: mg_l for what, mg_l in brought.items() if mg_l >= much > 0.0 and what not in asked}
    told = show_list([f"{what} {show(mg_l, 'mg_l')}" for what, mg_l in much_of.items()])
    return (
        f" It also brings {told}, which nobody asked for: leave out its source, or ask for it."
        if told
        else ""
    )


def _times_for_ec(problem: RecipeProblem, ec_ms_cm: float) -> float:
    """How many times the target makes the EC wanted: doubled until above, then narrowed by false position."""
    own = problem.water.ec_ms_cm
    if own >= ec_ms_cm:
        raise RefusedInput(
            "EC wanted",
            f"{ec_ms_cm:g} mS/cm",
            f"one above the {own:.2f} mS/cm of the water itself, or a purer water",
        )

    def over(times: float) -> float:
        units = problem.solve(times)
        if units.max() > _MOST_UNITS:
            raise RefusedInput(
                "EC wanted",
                f"{ec_ms_cm:g} mS/cm",
                "one that something on the shelf can bring: urea and boric acid cannot",
            )
        mix = dissolve_mix(problem.target.name, doses_for(problem, units), problem.water)
        found = ec_of_ions(mix.even.ions)
        if mix.even_silent is not None:
            found = (found + ec_of_ions(mix.even_silent.ions)) / 2
        return found + (0.0 if problem.water.has_ions else own) - ec_ms_cm

    low, high = 0.0, 0.25
    below, above = own - ec_ms_cm, over(0.25)
    while above < 0:
        if not problem.solve(high).any() and high > 1:
            raise RefusedInput(
                "EC wanted", f"{ec_ms_cm:g} mS/cm", "one that something on the shelf can bring"
            )
        low, below, high = high, above, high * 2
        above = over(high)
    for step in range(_EC_STEPS):
        middle = (low + high) / 2 if step % 3 == 2 else low - below * (high - low) / (above - below)
        found = over(middle)
        if abs(found) < _EC_CLOSE_MS_CM:
            return middle
        low, below, high, above = (middle, found, high, above) if found < 0 else (low, below, middle, found)
    return (low + high) / 2


def _without_crumbs(problem: RecipeProblem, units: NDArray[np.float64], times: float) -> NDArray[np.float64]:
    """The amounts without parts that bring next to nothing of anything wanted."""
    shares = (problem.brings * units / problem.scale(times)[:, None]).max(axis=0)
    return np.where(shares >= NOT_WORTH_FRAC, units, 0.0)


def _part(one: Contents, units: float, volume_l: float, step_g: float, temp_c: float) -> RecipePart:
    """One line of the recipe, measured out."""
    grams = units if one.unit == "g" else None if one.density_kg_l is None else units * one.density_kg_l
    millilitres = (
        units if one.unit == "mL" else None if one.density_kg_l is None else units / one.density_kg_l
    )
    return RecipePart(
        item=one.item,
        dose_g_l=None if grams is None else float(grams),
        dose_ml_l=None if millilitres is None else float(millilitres),
        amount_g=None if grams is None else float(grams) * volume_l,
        amount_ml=None if millilitres is None else float(millilitres) * volume_l,
        cost_minor=None if one.cost_minor is None else float(units) * one.cost_minor,
        small=small_dose(one, float(units) * volume_l, step_g, temp_c),
    )
