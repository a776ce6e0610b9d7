"""Things on the shelf as what a gram or a millilitre of them brings."""

from collections.abc import Mapping
from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import Dose, SaltFacts, ShelfItem
from halfwater.plain.mixes import FeedFacts, MixFacts
from halfwater.planning.mixing import label_of
from halfwater.science.feed import Strength, elements_per_dose
from halfwater.science.salts import dissolved_salt
from halfwater.science.spoons import STARTING_TEASPOON_G, TEASPOON_ML
from halfwater.science.starting import UREA_MOST_FRAC
from halfwater.science.strengths import label_ions, strength_of

_GRAMS = 1.0


@dataclass(frozen=True, slots=True)
class Contents:
    """What one unit of a thing brings: a gram, or a millilitre where only a volume can be told."""

    item: ShelfItem
    unit: str  # "g" or "mL"
    strength: Strength  # of one unit in a litre
    ions: Mapping[str, float]  # of one unit in a litre; charges of a label need not cancel
    ions_silent: (
        Mapping[str, float] | None
    )  # the same with most of the nitrogen urea, where the label is silent
    is_label: bool
    density_kg_l: float | None
    cost_minor: float | None  # of one unit


def contents_of(item: ShelfItem) -> Contents:
    """What one unit of a thing on the shelf brings to a litre.

    Salts by their formula, feeds by their label.

    Parameters
    ----------
    item : ShelfItem
        The thing.

    Returns
    -------
    Contents
        By the gram; by the millilitre for a liquid in w/v without a density.

    Raises
    ------
    RefusedInput
        If its label or formula is impossible, or the price has no pack to go with it.

    Notes
    -----
    For a label that is silent on its nitrogen two sets of ions are kept: none of it urea, and most of it.

    Source: own definition
    """
    product = item.product
    try:
        if isinstance(product, SaltFacts):
            return _salt(item, product)
        return _feed(item, product)
    except RefusedInput as refused:
        where = refused.where or f"{'salt' if isinstance(product, SaltFacts) else 'feed'} {item.name}"
        raise RefusedInput(refused.field, refused.value, refused.accepted, where) from refused


def units_of(dose: Dose, contents: Contents) -> float:
    """Units of a thing in a litre at a dose.

    Doses come by weight or by volume; contents are kept by one of the two.

    Parameters
    ----------
    dose : Dose
        The dose as noted.
    contents : Contents
        What a unit of it brings.

    Returns
    -------
    float
        Grams or millilitres in a litre, as the contents are told. [unit]

    Raises
    ------
    RefusedInput
        If the dose has neither or both figures, is negative, or its density or teaspoon weight is missing.

    Notes
    -----
    A dry thing by volume counts its teaspoon weight, or 5 g where none was weighed.

    Source: own definition
    """
    by_weight, by_volume = dose.dose_g_l, dose.dose_ml_l
    given = by_weight if by_volume is None else by_volume
    if (by_weight is None) == (by_volume is None) or given is None or not 0 <= given <= 2500:
        raise RefusedInput("dose", given, "either mL/L or g/L, 0 or more", dose.item.name)
    is_volume = by_volume is not None
    if is_volume == (contents.unit == "mL"):
        return given
    product = dose.item.product
    density = contents.density_kg_l
    if is_volume and density is None and _is_dry(product):
        return given / TEASPOON_ML * (product.teaspoon_g or STARTING_TEASPOON_G)
    if density is None:
        raise RefusedInput("density", "", "a density such as 1.2 kg/L (weigh 100 mL of it)", dose.item.name)
    return given * density if is_volume else given / density


def doses_of_mix(mix: MixFacts, prices: Mapping[int, ShelfItem] | None = None) -> tuple[Dose, ...]:
    """Doses of a mix of the book.

    So that any mix can be looked at and compared.

    Parameters
    ----------
    mix : MixFacts
        The mix.
    prices : Mapping of int to ShelfItem, optional
        Feed key to the shelf item that knows its price.

    Returns
    -------
    tuple of Dose
        Its parts in their order.

    Notes
    -----
    Feeds without a price are taken without one.

    Source: own definition
    """
    shelf = prices or {}
    return tuple(
        Dose(shelf.get(part.feed.key, ShelfItem(part.feed)), part.dose_g_l, part.dose_ml_l)
        for part in mix.parts
    )


def _is_dry(product: FeedFacts | SaltFacts) -> bool:
    """Whether it is weighed as a solid."""
    return product.density_kg_l is None if isinstance(product, SaltFacts) else product.form == "dry"


def _salt(item: ShelfItem, salt: SaltFacts) -> Contents:
    """A gram of a salt."""
    if salt.density_kg_l is not None and not 0.7 <= salt.density_kg_l <= 2.5:
        raise RefusedInput("density", salt.density_kg_l, "a number from 0.7 to 2.5 kg/L")
    ions = dissolved_salt(salt.formula, _GRAMS, salt.purity_frac)
    cost = _unit_cost(item, "g", salt.density_kg_l)
    return Contents(item, "g", strength_of(ions), ions, None, False, salt.density_kg_l, cost)


def _feed(item: ShelfItem, feed: FeedFacts) -> Contents:
    """A gram of a feed, or a millilitre of a w/v liquid."""
    label = label_of(feed)
    unit = "mL" if label.basis == "w/v" else "g"
    strength = elements_per_dose(label, *((1.0, None) if unit == "mL" else (None, _GRAMS)))
    is_silent = strength.n_urea_mg_l is None
    return Contents(
        item=item,
        unit=unit,
        strength=strength,
        ions=label_ions(strength, 0.0) if is_silent else label_ions(strength),
        ions_silent=label_ions(strength, UREA_MOST_FRAC) if is_silent else None,
        is_label=True,
        density_kg_l=label.density_kg_l,
        cost_minor=_unit_cost(item, unit, label.density_kg_l),
    )


def _unit_cost(item: ShelfItem, unit: str, density_kg_l: float | None) -> float | None:
    """What a unit costs, if a pack and its price are known."""
    if item.pack_minor is None:
        return None
    if item.pack_minor < 0:
        raise RefusedInput("price", item.pack_minor, "0 or more")
    pack = item.pack_g if item.pack_ml is None else item.pack_ml
    if (item.pack_g is None) == (item.pack_ml is None) or pack is None or pack <= 0:
        raise RefusedInput("pack", pack, "what a pack holds, in grams or in mL")
    if (item.pack_g is None) == (unit == "mL"):
        return item.pack_minor / pack
    if density_kg_l is None:
        return None
    grams = pack if item.pack_ml is None else pack * density_kg_l
    return item.pack_minor / (grams if unit == "g" else grams / density_kg_l)
