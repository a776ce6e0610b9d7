"""Feeds: from the figures on a label to milligrams of each element in a litre of mix."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from halfwater.errors import RefusedInput
from halfwater.science.formula import oxide_factor
from halfwater.science.limits import Limits
from halfwater.science.spoons import TEASPOON_ML, TEASPOON_WEIGHT

LABEL_ROUNDING_FRAC = 0.005  # whole-number labels may add up to half a point too much
FORMS_ROUNDING_FRAC = 0.0015  # nitrogen forms are printed to a tenth of a point each
_AS_FRACTION = "as a fraction (9 % is 0.09)"
_DENSITY = Limits("density", 0.7, 2.5, "kg/L")
DOSE_ML_L = Limits("dose", 0, 1000, "mL/L")
DOSE_G_L = Limits("dose", 0, 2500, "g/L")
_NITROGEN = Limits("nitrogen wanted", 0, 10_000, "mg/L")
_ELEMENTS = ("P", "K", "Ca", "Mg", "S", "Fe", "Mn", "Zn", "Cu", "B", "Mo", "Ni", "Co", "Cl", "Na", "Si")
_OXIDES = {
    "CaO": "Ca", "MgO": "Mg", "SO3": "S", "SO4": "S", "Na2O": "Na", "SiO2": "Si",
    "Fe2O3": "Fe", "MnO": "Mn", "ZnO": "Zn", "CuO": "Cu", "B2O3": "B",
}  # fmt: skip
_OTHER_WANTED = "one of " + ", ".join(_ELEMENTS + tuple(_OXIDES))
_LABEL_WANTED = "three percentages such as 9-3-6, with others after a plus if any: 12-12-17 + 2 MgO"
_TEASPOON_WANTED = "what a level teaspoon of it weighs, or a dose by weight such as 0.5 g/L"
_DENSITY_WANTED = (
    "a density such as 1.2 kg/L with a liquid label in % w/w (10 lb/gal will do, or weigh 100 mL), "
    "a label in % w/v, or a dose by weight such as 3 g/L"
)


@dataclass(frozen=True, slots=True)
class Label:
    """What a label states: nitrogen as N, phosphorus as P2O5, potassium as K2O, the rest as named.

    Fractions are of the mass for "w/w", or kilograms in a litre of feed for "w/v". `density_kg_l`
    is needed only to dose a "w/w" liquid by volume (or a "w/v" one by weight). Checked when made.
    """

    n_frac: float = 0.0
    p2o5_frac: float = 0.0
    k2o_frac: float = 0.0
    other_frac: Mapping[str, float] = field(default_factory=dict)  # MgO, CaO, SO3, Fe ... as the label says
    form: str = "liquid"  # or "dry"
    basis: str = "w/w"  # or "w/v"
    density_kg_l: float | None = None
    n_nitrate_frac: float | None = None
    n_ammonium_frac: float | None = None
    n_urea_frac: float | None = None

    def __post_init__(self) -> None:
        _check_kind(self)
        most = 1.0 if self.basis == "w/w" else self.density_kg_l or 1.0
        own = {"N": self.n_frac, "P2O5": self.p2o5_frac, "K2O": self.k2o_frac}
        for name, share in (own | dict(self.other_frac)).items():
            Limits(f"{name} on the label", 0, most, _AS_FRACTION).one(share)
        _check_sum(self, most)
        _check_nitrogen_forms(self)
        object.__setattr__(self, "other_frac", dict(self.other_frac))  # our own copy


@dataclass(frozen=True, slots=True)
class Strength:
    """Milligrams of each element in a litre; strengths add. A nitrogen form nobody stated is None."""

    n_mg_l: float = 0.0
    p_mg_l: float = 0.0
    k_mg_l: float = 0.0
    ca_mg_l: float = 0.0
    mg_mg_l: float = 0.0
    s_mg_l: float = 0.0
    fe_mg_l: float = 0.0
    mn_mg_l: float = 0.0
    zn_mg_l: float = 0.0
    cu_mg_l: float = 0.0
    b_mg_l: float = 0.0
    mo_mg_l: float = 0.0
    ni_mg_l: float = 0.0
    co_mg_l: float = 0.0
    cl_mg_l: float = 0.0
    na_mg_l: float = 0.0
    si_mg_l: float = 0.0
    n_nitrate_mg_l: float | None = 0.0
    n_ammonium_mg_l: float | None = 0.0
    n_urea_mg_l: float | None = 0.0

    def __add__(self, other: "Strength") -> "Strength":
        """Both together in the same litre; a form unknown in either is unknown in the sum."""
        total: dict[str, Any] = {}
        for part in fields(self):
            mine, theirs = getattr(self, part.name), getattr(other, part.name)
            total[part.name] = None if mine is None or theirs is None else mine + theirs
        return Strength(**total)


@dataclass(frozen=True, slots=True)
class FeedDose:
    """How much feed goes in a litre, by volume and by weight where each can be said."""

    dose_ml_l: float | None
    dose_g_l: float | None


def read_label(
    text: str, *, form: str = "liquid", basis: str = "w/w", density_kg_l: float | None = None
) -> Label:
    """A label as printed, N-P2O5-K2O.

    The three figures every feed carries, with others after a plus where the label gives them.

    Parameters
    ----------
    text : str
        The figures in per cent, such as "9-3-6", "15,5-0-0" or "12-12-17 + 2 MgO".
    form : str
        "liquid" or "dry".
    basis : str
        "w/w" (of the mass) or "w/v" (kilograms a litre, liquids only).
    density_kg_l : float, optional
        Density of a liquid. [kg/L] Valid 0.7..2.5.

    Returns
    -------
    Label
        Fractions in the label's own convention.

    Raises
    ------
    RefusedInput
        If the text is not such a label, or the label is impossible (see `Label`).

    Notes
    -----
    Decimal point or comma; hyphens, dashes, slashes or colons between; "NPK" and "%" are passed over.

    Source: own definition

    Examples
    --------
    >>> read_label("9-3-6").k2o_frac
    0.06
    """
    if not isinstance(text, str):
        raise RefusedInput("label", text, _LABEL_WANTED)
    plain = re.sub(r"[\u2010-\u2015\u2212/:]", "-", text).replace(",", ".").replace("%", "")
    main, *extras = re.sub(r"^\s*NPK:?", "", plain.strip(), flags=re.IGNORECASE).split("+")
    number = r"\s*(\d+(?:\.\d+)?)\s*"
    figures = re.fullmatch(rf"{number}-{number}-{number}", main)
    others = [re.fullmatch(rf"{number}([A-Za-z][A-Za-z0-9]*)\s*", extra) for extra in extras]
    if figures is None or None in others:
        raise RefusedInput("label", text, _LABEL_WANTED)
    n_frac, p2o5_frac, k2o_frac = (_percent(figure) for figure in figures.groups())
    named = [(found[2], _percent(found[1])) for found in others if found]
    if len({name for name, _ in named}) < len(named):
        raise RefusedInput("label", text, "each element once")
    return Label(n_frac, p2o5_frac, k2o_frac, dict(named), form, basis, density_kg_l)


def elements_per_dose(
    label: Label,
    dose_ml_l: float | None = None,
    dose_g_l: float | None = None,
    *,
    teaspoon_g: float | None = None,
) -> Strength:
    """Strength of a feed at a dose, element by element.

    What one feed brings to a litre of mix made up to volume, over what the water itself holds.

    Parameters
    ----------
    label : Label
        The feed.
    dose_ml_l : float, optional
        Dose by volume. [mL/L] Valid 0..1000.
    dose_g_l : float, optional
        Dose by weight, in place of `dose_ml_l`. [g/L] Valid 0..2500.
    teaspoon_g : float, optional
        Weight of a level teaspoon, needed to dose a dry feed by volume. [g] Valid 0.5..15.

    Returns
    -------
    Strength
        Each element and nitrogen form. [mg/L]

    Raises
    ------
    RefusedInput
        If neither or both doses are given, a number is nan or out of range, a w/w liquid is dosed
        by volume (or a w/v one by weight) without its density, or a dry feed by volume without
        the weight of a teaspoon.

    Notes
    -----
    c = 1000 f d w: f the label's fraction times the oxide's factor, d the dose, w the density
    for a w/w liquid dosed by volume, its inverse for a w/v liquid dosed by weight, else 1.
    Linear in the dose; 0 gives 0. Nitrogen forms the label leaves out are None.

    Source: camberato-2023; umass-fertcalc; vce-spes-201, table 1

    Examples
    --------
    >>> round(elements_per_dose(Label(n_frac=0.28, density_kg_l=1.27017), dose_ml_l=1).n_mg_l, 1)
    355.6
    """
    scale_mg_l = 1000 * _label_mass_g_l(label, dose_ml_l, dose_g_l, teaspoon_g)
    found: dict[str, Any] = {"n_mg_l": label.n_frac * scale_mg_l}
    for element, share in _element_shares(label).items():
        found[f"{element.lower()}_mg_l"] = share * scale_mg_l
    for name, form_frac in _nitrogen_forms(label).items():
        found[f"n_{name}_mg_l"] = None if form_frac is None else form_frac * scale_mg_l
    return Strength(**found)


def dose_for_nitrogen(label: Label, n_mg_l: float) -> FeedDose:
    """Dose of a feed that brings a wanted nitrogen strength.

    The inverse of `elements_per_dose`, for "how much of this makes 50 mg/L?".

    Parameters
    ----------
    label : Label
        The feed; it must hold nitrogen.
    n_mg_l : float
        Nitrogen wanted over the source water. [mg/L] Valid 0..10000.

    Returns
    -------
    FeedDose
        By volume where the feed is a liquid whose density (or w/v label) allows it, and by weight.

    Raises
    ------
    RefusedInput
        If the feed holds no nitrogen or the target is nan or out of range.

    Notes
    -----
    d = c / (1000 f w) with the symbols of `elements_per_dose`. 0 gives 0.

    Source: tamu-ipm

    Examples
    --------
    >>> round(dose_for_nitrogen(Label(n_frac=0.15, form="dry"), 250).dose_g_l, 3)
    1.667
    """
    target = _NITROGEN.one(n_mg_l)
    if label.n_frac == 0:
        raise RefusedInput("label", "N 0 %", "a feed that holds nitrogen")
    amount = target / (1000 * label.n_frac)  # g/L of a w/w feed, mL/L of a w/v one
    density = label.density_kg_l
    if label.form == "dry":
        return FeedDose(None, amount)
    if label.basis == "w/w":
        return FeedDose(None if density is None else amount / density, amount)
    return FeedDose(amount, None if density is None else amount * density)


def _percent(figure: str) -> float:
    """A printed percentage as a fraction, without binary crumbs (6 -> 0.06)."""
    return float(f"{float(figure) / 100:.12g}")


def _check_kind(label: Label) -> None:
    """Refuse a form or basis that does not exist, and a density no liquid has."""
    if label.form not in ("liquid", "dry"):
        raise RefusedInput("form", label.form, "liquid or dry")
    if label.basis not in ("w/w", "w/v"):
        raise RefusedInput("basis", label.basis, "w/w (of the mass) or w/v (kilograms in a litre)")
    if label.form == "dry" and label.basis == "w/v":
        raise RefusedInput("basis", "w/v", "w/w for a dry feed, whose label is of its mass")
    if label.density_kg_l is not None:
        _DENSITY.one(label.density_kg_l)


def _check_sum(label: Label, most: float) -> None:
    """Refuse a label that holds more than there is; chlorine is left out, since K2O + Cl passes 100 %."""
    shares = [label.n_frac, label.p2o5_frac, label.k2o_frac]
    total = sum(shares) + sum(share for name, share in label.other_frac.items() if name != "Cl")
    matter = label.n_frac + sum(_element_shares(label).values())
    if total > most + LABEL_ROUNDING_FRAC or matter > most + LABEL_ROUNDING_FRAC:
        wanted = f"percentages that add up to {100 * most:g} % or less"
        if label.basis == "w/v" and label.density_kg_l is None:
            wanted += ", or the density of so strong a liquid"
        raise RefusedInput("label", f"{100 * max(total, matter):.4g} % in all", wanted)


def _check_nitrogen_forms(label: Label) -> None:
    """Refuse nitrogen forms that do not add up to the nitrogen."""
    stated = (label.n_nitrate_frac, label.n_ammonium_frac, label.n_urea_frac)
    shares = [share for share in stated if share is not None]
    for share in shares:
        Limits("nitrogen form", 0, 1, _AS_FRACTION).one(share)
    if shares and abs(sum(shares) - label.n_frac) > FORMS_ROUNDING_FRAC:
        raise RefusedInput(
            "nitrogen forms",
            f"{100 * sum(shares):.4g} % in all",
            f"nitrate, ammonium and urea nitrogen that add up to the {100 * label.n_frac:.4g} % N, "
            "or all three left empty",
        )


def _nitrogen_forms(label: Label) -> dict[str, float | None]:
    """The forms as fractions that add up to N: one left out beside others is 0, all left out unknown."""
    stated = {"nitrate": label.n_nitrate_frac, "ammonium": label.n_ammonium_frac, "urea": label.n_urea_frac}
    total = sum(share for share in stated.values() if share is not None)
    if label.n_frac == 0:
        return dict.fromkeys(stated, 0.0)
    if total == 0:
        return dict.fromkeys(stated)
    return {name: (share or 0.0) * label.n_frac / total for name, share in stated.items()}


def _element_shares(label: Label) -> dict[str, float]:
    """Fraction of each element but nitrogen; an element stated twice is refused."""
    shares: dict[str, float] = {}
    if label.p2o5_frac:
        shares["P"] = label.p2o5_frac * oxide_factor("P2O5", "P")
    if label.k2o_frac:
        shares["K"] = label.k2o_frac * oxide_factor("K2O", "K")
    for name, share in label.other_frac.items():
        element = name if name in _ELEMENTS else _OXIDES.get(name)
        if element is None:
            raise RefusedInput("label", name, _OTHER_WANTED)
        if element in shares:
            raise RefusedInput("label", name, f"{element} stated once, as the element or as its oxide")
        shares[element] = share * (1.0 if name == element else oxide_factor(name, element))
    return shares


def _label_mass_g_l(
    label: Label, dose_ml_l: float | None, dose_g_l: float | None, teaspoon_g: float | None
) -> float:
    """What the label's fractions are to be multiplied by: grams of feed in a litre (w/v: millilitres)."""
    if (dose_ml_l is None) == (dose_g_l is None):
        raise RefusedInput("dose", None, "either a dose by volume in mL/L or one by weight in g/L")
    density = label.density_kg_l
    if dose_g_l is not None:
        grams = DOSE_G_L.one(dose_g_l)
        if label.basis == "w/w":
            return grams
        if density is None:
            raise RefusedInput("density", "", "one such as 1.2 kg/L, or a dose by volume such as 2 mL/L")
        return grams / density
    millilitres = DOSE_ML_L.one(dose_ml_l)
    if label.form == "dry":
        if teaspoon_g is None:
            raise RefusedInput("teaspoon weight", "", _TEASPOON_WANTED)
        return millilitres / TEASPOON_ML * TEASPOON_WEIGHT.one(teaspoon_g)
    if label.basis == "w/v":
        return millilitres
    if density is None:
        raise RefusedInput("density", "", _DENSITY_WANTED)
    return millilitres * density
