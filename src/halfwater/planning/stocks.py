"""Stock solutions A and B of a recipe: what goes into which bottle, and whether it stays clear."""

from collections.abc import Iterable
from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import (
    Dose,
    MixLook,
    RecipeAnswer,
    SaltFacts,
    SourceWater,
    Stock,
    StockPart,
    StockPlan,
)
from halfwater.planning.dissolved_mix import dissolve_mix
from halfwater.planning.mix_look import ROOM_TEMP_C, look_at_mix
from halfwater.planning.mix_settling import STATES, settlings_of, worst
from halfwater.planning.shelf import Contents, contents_of, units_of
from halfwater.planning.source_water import DissolvedWater, dissolved_water
from halfwater.science.chemistry import DILUTE_MMOL_L, speciate
from halfwater.science.limits import Limits
from halfwater.science.salts import salt_ions
from halfwater.science.solubility import most_dissolved

FACTORS = (200, 150, 125, 100, 80, 60, 50, 40, 30, 20, 10, 5, 2, 1)
MOST_UNITS = 1500.0  # grams or millilitres that may be asked of a litre of stock
EDGE_FRAC = 0.8  # of what dissolves: a cooler night may bring it out
_FACTOR = Limits("strength of the stock", 1, 200, "to one (100 for 1:100)")
_VOLUME = Limits("volume of stock", 0.01, 1000, "L")
_TEMPERATURE = Limits("temperature", 0, 40, "C")
_CAUTIONS = (
    "Keep A and B apart: put each into the full water and stir before the next.",
    "Gloves and eye protection when handling concentrates.",
    "Acid into water, never water into acid.",
)


@dataclass(frozen=True, slots=True)
class _Bottle:
    """What goes into one stock: each thing and its units in a litre of mix."""

    name: str
    parts: tuple[tuple[Contents, float], ...]


def plan_stocks(
    recipe: RecipeAnswer | tuple[Dose, ...],
    water: SourceWater | DissolvedWater,
    factor: float = 100.0,
    stock_l: float = 1.0,
    temp_c: float = ROOM_TEMP_C,
) -> StockPlan:
    """Stock solutions of a recipe, held against what dissolves and what clots.

    A takes what brings calcium, with the nitrates and the iron; B the phosphates, sulphates and traces.
    Something that brings calcium and phosphate or sulphate at once stands alone, as C.

    Parameters
    ----------
    recipe : RecipeAnswer or tuple of Dose
        What to concentrate.
    water : SourceWater or DissolvedWater
        The water of stock and mix; rain or purified keeps a stock clear longest.
    factor : float
        How many times stronger than the mix (1:factor). [1] Valid 1..200.
    stock_l : float
        Volume of each stock. [L] Valid 0.01..1000.
    temp_c : float
        The coldest that the bottles get. [C] Valid 0..40.

    Returns
    -------
    StockPlan
        Bottles, the diluted mix, whether both stay clear, and the strongest that do.

    Raises
    ------
    RefusedInput
        If the recipe is empty, something in it is refused, a litre cannot hold so much, or a number
        is nan or out of range.

    Notes
    -----
    A stock holds if nothing settles by PHREEQC, no salt passes what dissolves of it alone, and the salts that
    share an ion do not pass it together. Potassium nitrate goes to the bottle with more room.

    Source: parkhurst-appelo-2013; weast-astle-1981
    """
    times, litres, temp = _FACTOR.one(factor), _VOLUME.one(stock_l), _TEMPERATURE.one(temp_c)
    doses = _doses_of(recipe)
    dissolved = water if isinstance(water, DissolvedWater) else dissolved_water(water)
    bottles = split_bottles(doses)
    room = MOST_UNITS / max(_mass(one.parts) for one in bottles)
    if times > room:
        raise RefusedInput(
            "strength of the stock", f"1:{times:g}", f"at most 1:{room:.0f}: no litre holds more"
        )
    stocks = tuple(_stock(one, dissolved, times, litres, temp) for one in bottles)
    diluted = look_at_mix("diluted", doses, dissolved, temp)
    holds = all(one.state != "settles" for one in stocks) and diluted.state != "settles"
    most = int(times) if holds and times == FACTORS[0] else _most_factor(bottles, dissolved, temp, diluted)
    return StockPlan(
        factor=times,
        temp_c=temp,
        stock_l=litres,
        dose_ml_l=1000 / times,
        stocks=stocks,
        diluted=diluted,
        holds=holds,
        most_factor=most,
        sentence=_sentence(stocks, diluted, times, holds, most),
        cautions=_CAUTIONS[: 3 if any(_is_acid(part) for one in bottles for part, _ in one.parts) else 2],
    )


def split_bottles(doses: tuple[Dose, ...]) -> tuple[_Bottle, ...]:
    """Which thing goes into which bottle.

    Calcium apart from phosphate and sulphate.

    Parameters
    ----------
    doses : tuple of Dose
        A recipe.

    Returns
    -------
    tuple of _Bottle
        A, B and, where something has both, C; empty ones left out.

    Raises
    ------
    RefusedInput
        If something in the recipe is refused.

    Notes
    -----
    Salts with neither go by weight to the lighter of A and B, the nitrates and iron chelates to A.

    Source: own definition
    """
    a: list[tuple[Contents, float]] = []
    b: list[tuple[Contents, float]] = []
    apart: list[tuple[Contents, float]] = []
    free: list[tuple[Contents, float]] = []
    for dose in doses:
        one = contents_of(dose.item)
        units, strength = units_of(dose, one), one.strength
        has_lime, has_clotting = strength.ca_mg_l > 0, strength.p_mg_l > 0 or strength.s_mg_l > 0
        bottle = apart if has_lime and has_clotting else a if has_lime else b if has_clotting else free
        bottle.append((one, units))
    for one, units in sorted(free, key=lambda part: -part[1]):
        is_trace = one.strength.n_mg_l == 0 and one.strength.fe_mg_l == 0
        (b if is_trace or (a and _mass(a) > _mass(b) and b) else a).append((one, units))
    named = (("A", a), ("B", b), ("C", apart))
    return tuple(_Bottle(name, tuple(parts)) for name, parts in named if parts)


def _doses_of(recipe: RecipeAnswer | tuple[Dose, ...]) -> tuple[Dose, ...]:
    """The doses of a recipe, none of them nought."""
    if isinstance(recipe, RecipeAnswer):
        doses = tuple(
            Dose(part.item, dose_g_l=part.dose_g_l) if part.dose_g_l is not None
            else Dose(part.item, dose_ml_l=part.dose_ml_l)
            for part in recipe.parts
        )  # fmt: skip
    else:
        doses = recipe
    if not doses:
        raise RefusedInput("recipe", "", "at least one thing to make a stock of")
    return doses


def _stock(bottle: _Bottle, water: DissolvedWater, factor: float, litres: float, temp_c: float) -> Stock:
    """One stock at a strength."""
    doses = tuple(_concentrated(one, units * factor) for one, units in bottle.parts)
    mix = dissolve_mix(bottle.name, doses, water)
    fresh = speciate(mix.even.ions, temp_c)
    settlings = settlings_of(mix.even.ions, fresh, None, temp_c)
    crowds = _crowding(bottle, factor, temp_c)
    parts = tuple(
        _stock_part(one, units * factor, litres, temp_c, crowds.get(one.item.name))
        for one, units in bottle.parts
    )
    fullest = max(crowds.values(), default=0.0)
    by_table = "settles" if fullest > 1 else "at the edge" if fullest > EDGE_FRAC else "clear"
    state = max(worst(settlings), by_table, key=STATES.index)
    cautions = []
    if fresh.ionic_mmol_l > DILUTE_MMOL_L:
        cautions.append("So strong a solution is judged roughly: try a glass of it first.")
    if any(one.is_label for one, _ in bottle.parts):
        cautions.append("What a label does not name may clot in a stock: try a glass of it first.")
    return Stock(bottle.name, parts, settlings, state, fresh.ionic_mmol_l, tuple(cautions))


def _concentrated(one: Contents, units: float) -> Dose:
    """A dose of so many units."""
    if one.unit == "mL":
        return Dose(one.item, dose_ml_l=units)
    return Dose(one.item, dose_g_l=units)


def _crowding(bottle: _Bottle, factor: float, temp_c: float) -> dict[str, float]:
    """How full of each salt the bottle is: 1 is all that dissolves, salts with a common ion together."""
    full: dict[str, tuple[float, frozenset[str]]] = {}
    for one, units in bottle.parts:
        product = one.item.product
        most = _most_g_l(one, temp_c)
        if isinstance(product, SaltFacts) and most is not None:
            full[one.item.name] = (units * factor / most, frozenset(salt_ions(product.formula)))
    return {
        name: sum(share for share, others in full.values() if others & ions)
        for name, (_, ions) in full.items()
    }


def _most_g_l(one: Contents, temp_c: float) -> float | None:
    """What dissolves of a dry salt as it stands on the shelf; None for liquids and where no table says."""
    product = one.item.product
    if not isinstance(product, SaltFacts) or product.density_kg_l is not None:
        return None
    most = most_dissolved(product.formula, temp_c)
    return None if most is None else most / product.purity_frac


def _stock_part(
    one: Contents, units: float, litres: float, temp_c: float, crowding: float | None
) -> StockPart:
    """One thing in a stock."""
    density = one.density_kg_l
    grams = units if one.unit == "g" else None if density is None else units * density
    millilitres = units if one.unit == "mL" else None if density is None else units / density
    if grams is not None and one.unit == "g" and millilitres is None:
        text = f"{grams:.3g} g in a litre"
    else:
        text = f"{millilitres:.3g} mL in a litre"
    if crowding is not None and crowding > 1:
        text += ": more than dissolves with what else is in the bottle"
    elif crowding is not None and crowding > EDGE_FRAC:
        text += ": close to what dissolves; a cooler night may bring it out"
    return StockPart(
        name=one.item.name,
        strength_g_l=grams,
        amount_g=None if grams is None else grams * litres,
        amount_ml=None if millilitres is None else millilitres * litres,
        most_g_l=_most_g_l(one, temp_c),
        text=text,
    )


def _most_factor(
    bottles: tuple[_Bottle, ...], water: DissolvedWater, temp_c: float, diluted: MixLook
) -> int | None:
    """Strongest stock of the list in which nothing settles."""
    if diluted.state == "settles":
        return None
    room = MOST_UNITS / max(_mass(one.parts) for one in bottles)
    for factor in FACTORS:
        if factor <= room and all(_stays_clear(one, water, factor, temp_c) for one in bottles):
            return factor
    return None


def _stays_clear(bottle: _Bottle, water: DissolvedWater, factor: float, temp_c: float) -> bool:
    """Whether nothing settles in a bottle; one too strong for PHREEQC does not count as clear."""
    try:
        return _stock(bottle, water, factor, 1.0, temp_c).state != "settles"
    except RefusedInput:
        return False


def _sentence(
    stocks: tuple[Stock, ...], diluted: MixLook, factor: float, holds: bool, most: int | None
) -> str:
    """The plan in one sentence."""
    names = " and ".join(one.name for one in stocks)
    if diluted.state == "settles":
        return "Even the mix itself does not stay clear: change the recipe or the water first."
    if holds:
        edge = ", but only just" if any(one.state == "at the edge" for one in stocks) else ""
        return f"{names} {'hold' if len(stocks) > 1 else 'holds'} at 1:{factor:g}{edge}."
    settling = [one.name for one in stocks if one.state == "settles"]
    bad = f"{' and '.join(settling)} {'do' if len(settling) > 1 else 'does'}"
    advice = f"1:{most} holds" if most and most > 1 else "mix it fresh instead"
    return f"{bad} not stay clear at 1:{factor:g}: {advice}."


def _mass(parts: Iterable[tuple[Contents, float]]) -> float:
    """What is in a bottle by now."""
    return sum(units for _, units in parts)


def _is_acid(one: Contents) -> bool:
    """Whether it sets acid free."""
    return one.ions.get("H+", 0.0) > 0
