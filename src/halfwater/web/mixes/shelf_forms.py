"""The forms of a salt, a source water, a target and a meter check."""

from halfwater.deeds.shelf import known_salts
from halfwater.plain.chemistry import KeptTarget, KeptWater
from halfwater.plain.mixes import FeedFacts
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.mixes.forms import pack_fields
from halfwater.web.mixes.words import wanted_text

UNITS = (("mg/L", "mg/L"), ("mmol/L", "mmol/L"))
_ANALYSIS = (
    ("alkalinity", "Alkalinity as CaCO3"), ("hardness", "Hardness as CaCO3"), ("ca", "Calcium"),
    ("mg", "Magnesium"), ("na", "Sodium"), ("k", "Potassium"), ("cl", "Chloride"), ("so4", "Sulphate"),
    ("no3", "Nitrate as NO3"),
)  # fmt: skip
STRENGTHS_HELP = "Such as N 50, P 10, K 40. N-NO3, N-NH4 and N-urea tell its forms; “K 40 x2” counts twice."


def salt_form(salt: FeedFacts | None) -> Form:
    """A salt by its formula."""
    share, density, mass = unit_of("fraction", ""), unit_of("density", ""), unit_of("mass", "")
    known = salt is not None
    liquid = salt.density_kg_l if salt is not None and salt.form == "liquid" else None
    return Form((
        Field("formula", "Formula", salt.formula if salt else "",
              help="With its crystal water, as MgSO4·7H2O or MgSO4.7H2O. Such as "
              + "; ".join(f"{name} {formula}" for name, formula in known_salts()[:6]) + "."),
        Field("salt_name", "Name", salt.name if salt else "", is_optional=not known,
              help="Left empty: the usual name of the formula."),
        Field("purity", "Purity", share.text(salt.purity_frac) if salt else "", share.sign, is_optional=True,
              inputmode="decimal", help="Left empty: 100 %. An acid of 60 % is 60."),
        Field("salt_density", "Weight of a litre", density.text(liquid), density.sign, is_optional=True,
              inputmode="decimal", help="Only of a liquid such as an acid."),
        Field("teaspoon", "Your level teaspoon of it weighs", mass.text(salt.teaspoon_g if salt else None),
              mass.sign, is_optional=True, inputmode="decimal"),
        *pack_fields(salt),
    ))  # fmt: skip


def water_form(kept: KeptWater | None) -> Form:
    """A source water: its analysis, or its EC alone."""
    ec, water = unit_of("ec", ""), kept.water if kept else None
    figures = tuple(
        Field(name, label, _figure(getattr(water, f"{name}_mg_l", None)), "mg/L", is_optional=True,
              inputmode="decimal")
        for name, label in _ANALYSIS
    )  # fmt: skip
    return Form((
        Field("water_name", "Name", water.name if water else "", help="Such as Tap or Rain barrel."),
        Field("water_ec", "EC", ec.text(water.ec_ms_cm) if water else "", ec.sign, is_optional=True,
              inputmode="decimal", help="Alone it will do; the analysis makes every answer sharper."),
        Field("ph", "pH", _figure(water.ph) if water else "", is_optional=True, inputmode="decimal"),
        Field("ours", "The nursery's own: mixes are made with it", "yes" if kept and kept.is_ours else "",
              type="tick"),
        Field("pure", "Rain or purified: what stands empty is nought", "yes" if water and water.is_pure
              else "", type="tick"),
        *figures,
    ))  # fmt: skip


WATER_GROUPS = (
    ("The water", ("water_name", "water_ec", "ph", "ours", "pure")),
    ("Its analysis", tuple(name for name, _ in _ANALYSIS)),
)


def target_form(kept: KeptTarget | None) -> Form:
    """A target of the grower's own."""
    ec, target = unit_of("ec", ""), kept.target if kept else None
    return Form((
        Field("target_name", "Name", target.name if target else "", help="Such as Mild."),
        Field("strengths", "Strengths", wanted_text(target.wanted) if target else "", type="area",
              is_wide=True, help=STRENGTHS_HELP),
        Field("unit", "Typed in", "mg/L", type="choice", choices=UNITS),
        Field("target_ec", "EC of the mix", ec.text(target.ec_ms_cm) if target else "", ec.sign,
              is_optional=True, inputmode="decimal",
              help="Then the strengths are proportions, and the water counts."),
        Field("target_note", "Note", target.note if target else "", is_optional=True, is_wide=True),
    ))  # fmt: skip


def meter_form() -> Form:
    """A check of the EC meter against a standard."""
    return Form((
        Field("meter", "The meter showed", "",
              help="What it showed and what the standard is: 1.38 of 1.413. Add “at 22 C raw” where the "
              "meter does not bring it to 25 °C itself."),
    ))  # fmt: skip


def _figure(value: float | None) -> str:
    return "" if value is None else f"{value:g}"
