"""Source water as ions: from an analysis, from its EC alone, rain or purified, and blends of waters."""

from collections.abc import Mapping
from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import SourceWater, WaterPart
from halfwater.science.chemistry import ec_of_ions
from halfwater.science.conductivity import METER_RANGE
from halfwater.science.feed import Strength
from halfwater.science.formula import atomic_mass, molar_mass
from halfwater.science.hardness import (
    ALKALINITY,
    CACO3_MG_MMOL,
    HARDNESS,
    WATER_PH,
    carbonate_ions,
    hardness_of,
)
from halfwater.science.ions import Charges, added_ions, charges_of, made_even, scaled_ions
from halfwater.science.limits import Limits
from halfwater.science.strengths import strength_of

USUAL_PH = 7.5  # of a water whose pH nobody has measured
EC_APART_FRAC = 0.20  # an analysis whose ions conduct so much more or less than its EC is doubted
PURE_MOST_MS_CM = 0.10  # rain and purified water conduct less than this
UNEVEN_FRAC = 0.10  # and one whose charges are so far apart
HARDNESS_APART_FRAC = 0.15
_PART = Limits("share of a water", 0, 1, "as a fraction (a third is 0.33)")
_SINGLE_IONS = {
    "Ca+2": ("ca_mg_l", "calcium", "Ca"), "Mg+2": ("mg_mg_l", "magnesium", "Mg"),
    "Na+": ("na_mg_l", "sodium", "Na"), "K+": ("k_mg_l", "potassium", "K"),
    "Cl-": ("cl_mg_l", "chloride", "Cl"), "SO4-2": ("so4_mg_l", "sulphate", "SO4"),
    "NO3-": ("no3_mg_l", "nitrate", "NO3"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class DissolvedWater:
    """A water as ions, with what is not known of it."""

    name: str
    ions: Mapping[str, float]  # even in charge; empty where only an EC is known
    ec_ms_cm: float
    has_ions: bool  # False: by EC alone, so nothing can be said of its hardness
    charges: Charges  # before anything was added to make them even
    made_even_with: str
    assumed_meq_l: float
    known: frozenset[str]  # elements that the analysis names
    notes: tuple[str, ...]

    @property
    def strength(self) -> Strength:
        """What it brings to a mix, element by element."""
        return strength_of(self.ions)


def dissolved_water(water: SourceWater) -> DissolvedWater:
    """Water as ions, from whatever is known of it.

    An analysis is never whole: what it lacks is made up with sodium or chloride, and said.

    Parameters
    ----------
    water : SourceWater
        The water as the grower has it.

    Returns
    -------
    DissolvedWater
        Its ions, its conductivity and notes on what was taken for granted.

    Raises
    ------
    RefusedInput
        If nothing at all is known of it, or a figure is negative, nan or out of range.

    Notes
    -----
    Hardness beside calcium gives the magnesium, or the other way; hardness alone is taken as calcium, the
    worse of the two for clots. Without a pH it is 7.5. Pure water has nothing in it but what is stated.

    Source: own definition
    """
    where = f"water {water.name}"
    try:
        if water.ec_ms_cm is not None:
            METER_RANGE.one(water.ec_ms_cm)
            if water.is_pure and water.ec_ms_cm > PURE_MOST_MS_CM:
                raise RefusedInput("EC", water.ec_ms_cm, f"{PURE_MOST_MS_CM:g} mS/cm or less for pure water")
        stated, notes = _stated_ions(water)
    except RefusedInput as refused:
        raise RefusedInput(refused.field, refused.value, refused.accepted, where) from refused
    if not stated and not water.is_pure:
        return _by_ec_alone(water)
    even = made_even(stated)
    found_ec = ec_of_ions(even.ions)
    notes += _doubts(water, even.before, even.added, found_ec)
    ec = found_ec if water.ec_ms_cm is None or not water.is_pure else max(found_ec, water.ec_ms_cm)
    elements = {
        element for name, (field, _, element) in _SINGLE_IONS.items() if name in stated or water.is_pure
    }
    named = {{"SO4": "S", "NO3": "N"}.get(element, element) for element in elements}
    return DissolvedWater(
        name=water.name, ions=even.ions, ec_ms_cm=ec, has_ions=True, charges=even.before,
        made_even_with=even.added, assumed_meq_l=even.added_meq_l, known=frozenset(named), notes=tuple(notes),
    )  # fmt: skip


def blended_water(parts: tuple[WaterPart, ...]) -> DissolvedWater:
    """Waters poured together.

    Tap water let down with rain, the usual way to a softer water.

    Parameters
    ----------
    parts : tuple of WaterPart
        Each water and its share of the volume.

    Returns
    -------
    DissolvedWater
        The blend; without ions if one of its waters is known by EC alone.

    Raises
    ------
    RefusedInput
        If there is no part, shares do not add up to 1, or a water is refused.

    Notes
    -----
    Ions add by volume. Conductivities of waters without ions add by volume too, which is true to 2 %.

    Source: own definition
    """
    shares = [_PART.one(part.volume_frac) for part in parts]
    if not parts or abs(sum(shares) - 1) > 1e-6:
        raise RefusedInput("share of a water", sum(shares), "shares that add up to 1")
    waters = [dissolved_water(part.water) for part in parts]
    has_ions = all(water.has_ions for water, share in zip(waters, shares, strict=True) if share)
    pairs = list(zip(waters, shares, strict=True))
    ions = added_ions(*(scaled_ions(water.ions, share) for water, share in pairs)) if has_ions else {}
    ec = ec_of_ions(ions) if has_ions else sum(water.ec_ms_cm * share for water, share in pairs)
    present = [water for water, share in pairs if share]
    return DissolvedWater(
        name=" and ".join(f"{100 * share:.0f} % {water.name}" for water, share in pairs if share),
        ions=ions, ec_ms_cm=ec, has_ions=has_ions, charges=charges_of(ions),
        made_even_with="", assumed_meq_l=0.0,
        known=frozenset.intersection(*(water.known for water in present)),
        notes=tuple(note for water in present for note in water.notes),
    )  # fmt: skip


def _stated_ions(water: SourceWater) -> tuple[dict[str, float], list[str]]:
    """Ions as far as the analysis names them, and what was taken for granted on the way."""
    notes: list[str] = []
    stated: dict[str, float] = {}
    for symbol, (field, name, formula) in _SINGLE_IONS.items():
        figure = getattr(water, field)
        if figure is not None:
            mass = atomic_mass(formula) if formula.isalpha() and len(formula) <= 2 else molar_mass(formula)
            stated[symbol] = Limits(name, 0, 5000, "mg/L").one(figure) / mass
    if water.hardness_mg_l is not None:
        notes += _fill_hardness(HARDNESS.one(water.hardness_mg_l), stated)
    ph = water.ph
    if ph is not None:
        WATER_PH.one(ph)
    if water.alkalinity_mg_l is not None:
        ALKALINITY.one(water.alkalinity_mg_l)
        if ph is None:
            notes.append(f"The pH of {water.name} is taken as {USUAL_PH:g}.")
        stated |= carbonate_ions(water.alkalinity_mg_l, USUAL_PH if ph is None else ph)
    elif stated and not water.is_pure:
        notes.append(f"The alkalinity of {water.name} is not known: the pH of a mix is a guess.")
    return stated, notes


def _fill_hardness(hardness_mg_l: float, stated: dict[str, float]) -> list[str]:
    """Calcium or magnesium that hardness tells of and the analysis does not."""
    whole = hardness_mg_l / CACO3_MG_MMOL
    if "Ca+2" in stated and "Mg+2" in stated:
        apart = hardness_of(stated["Ca+2"], stated["Mg+2"]) - hardness_mg_l
        if abs(apart) > HARDNESS_APART_FRAC * max(hardness_mg_l, 20.0):
            return [
                "The hardness does not fit the calcium and magnesium of the analysis: the ions are taken."
            ]
        return []
    if "Ca+2" in stated or "Mg+2" in stated:
        other = "Mg+2" if "Ca+2" in stated else "Ca+2"
        rest = whole - stated.get("Ca+2", 0.0) - stated.get("Mg+2", 0.0)
        if rest < 0:
            return ["The hardness is less than the analysis names in ions: the ions are taken."]
        stated[other] = rest
        return []
    stated["Ca+2"] = whole
    return ["The hardness is taken as calcium alone: have calcium and magnesium told apart."] if whole else []


def _by_ec_alone(water: SourceWater) -> DissolvedWater:
    """A water of which only the meter has spoken."""
    if water.ec_ms_cm is None:
        raise RefusedInput("water", water.name, "an EC or an analysis, or called rain or purified")
    note = (
        f"Of {water.name} only the EC is known: what its lime does to clots and pH cannot be said. "
        "An analysis from the supplier tells it."
    )
    return DissolvedWater(
        name=water.name, ions={}, ec_ms_cm=water.ec_ms_cm, has_ions=False, charges=Charges(0.0, 0.0),
        made_even_with="", assumed_meq_l=0.0, known=frozenset(), notes=(note,),
    )  # fmt: skip


def _doubts(water: SourceWater, before: Charges, added: str, found_ec: float) -> list[str]:
    """What does not fit within an analysis."""
    doubts = []
    if added and abs(before.off_frac) > UNEVEN_FRAC:
        name = {"Na+": "sodium", "Cl-": "chloride"}[added]
        doubts.append(
            f"The analysis of {water.name} is {abs(before.off_frac):.0%} out of balance: {name} is assumed "
            "to make it even.".replace("%", " %")
        )
    stated = water.ec_ms_cm
    if stated and not water.is_pure and abs(found_ec / stated - 1) > EC_APART_FRAC:
        doubts.append(
            f"The ions of {water.name} make {found_ec:.2f} mS/cm where its EC says {stated:.2f}: "
            "something is missing or mistyped."
        )
    return doubts
