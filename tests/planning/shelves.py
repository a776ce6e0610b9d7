"""Shelves and waters that the tests of mixes share."""

from halfwater.plain.chemistry import Dose, SaltFacts, ShelfItem, SourceWater
from halfwater.plain.mixes import FeedFacts

RAIN = SourceWater("rain", is_pure=True)
TAP = SourceWater(
    "tap", ec_ms_cm=0.58, ph=7.4, alkalinity_mg_l=150, ca_mg_l=60, mg_mg_l=10, na_mg_l=20, k_mg_l=2,
    cl_mg_l=35, so4_mg_l=40, no3_mg_l=10,
)  # fmt: skip
FORMULAS = ("KNO3", "Ca(NO3)2·4H2O", "KH2PO4", "MgSO4·7H2O", "NH4H2PO4", "K2SO4")


def salt(formula: str, pack_minor: int | None = 1000, **more: float) -> ShelfItem:
    """A salt called by its formula, in packs of a kilogram."""
    pack = None if pack_minor is None else 1000.0
    return ShelfItem(SaltFacts(0, formula, formula, **more), pack_minor, pack)


def feed(
    name: str = "9-3-6",
    figures: tuple[float, float, float] = (0.09, 0.03, 0.06),
    forms: tuple[float | None, float | None, float | None] = (0.04, 0.03, 0.02),
    form: str = "liquid",
    basis: str = "w/w",
    density_kg_l: float | None = 1.2,
    other: dict[str, float] | None = None,
    pack_minor: int | None = 2400,
) -> ShelfItem:
    """A labelled feed, in bottles of a litre or packs of a kilogram."""
    facts = FeedFacts(1, name, form, basis, density_kg_l, *figures, *forms, other or {}, None)
    pack = None if pack_minor is None else 1000.0
    return ShelfItem(facts, pack_minor, **({"pack_ml": pack} if form == "liquid" else {"pack_g": pack}))


SALTS = tuple(salt(formula) for formula in FORMULAS)
HOAGLAND_DOSES = tuple(
    Dose(salt(formula), dose_g_l=grams)
    for formula, grams in (
        ("KNO3", 0.50552), ("Ca(NO3)2·4H2O", 1.18075), ("KH2PO4", 0.13609), ("MgSO4·7H2O", 0.49295),
    )
)  # fmt: skip
