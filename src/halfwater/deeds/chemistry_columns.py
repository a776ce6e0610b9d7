"""The files of waters and targets, and what a feed's file says of salts and packs."""

from typing import Any

from halfwater.deeds import cells
from halfwater.deeds.column import Column, Sheet
from halfwater.deeds.strengths_typed import STRENGTHS_WANTED, read_strengths, show_strengths
from halfwater.plain.chemistry import Wanted
from halfwater.plain.nursery import NurseryFacts

_NAME = cells.words("a name", 80)
_MG_L = cells.number("a figure from 0 such as 42", 0, 10_000)


def _read_wanted(cell: str, column: str, nursery: NurseryFacts) -> list[list[Any]]:
    strengths, weights = read_strengths(cell, column)
    return [[what, amount, weights[what]] for what, amount in strengths.items()]


def _show_wanted(wanted: tuple[Wanted, ...]) -> str:
    return show_strengths(wanted)


FEED_COLUMNS = (
    Column("formula", "formula", cells.words("MgSO4·7H2O", 80), "of a salt, with its crystal water"),
    Column("purity", "purity_frac", cells.quantity("fraction", "98 %"), "of a salt"),
    Column("pack_price", "pack_minor", cells.MONEY, "what a pack cost"),
    Column("pack_mass", "pack_g", cells.quantity("mass", "1 kg"), "how much is in it, by weight"),
    Column("pack_volume", "pack_ml", cells.number("millilitres such as 500", 0, 1e6), "or by volume, in mL"),
    Column("at_hand", "is_at_hand", cells.FLAG, "no once it is used up"),
)
WATERS = Sheet(
    "waters",
    frozenset({"water", "alkalinity"}),
    (
        Column("water", "name", _NAME, "name of the water", needed=True),
        Column("ours", "is_ours", cells.FLAG, "yes for the nursery's own"),
        Column("pure", "is_pure", cells.FLAG, "yes for rain or purified water"),
        Column("ec", "ec_ms_cm", cells.quantity("ec", "0.45 mS/cm"), "its EC"),
        Column("ph", "ph", cells.number("a pH from 0 to 14", 0, 14), "its pH"),
        Column("alkalinity", "alkalinity_mg_l", _MG_L, "as CaCO3, mg/L"),
        Column("hardness", "hardness_mg_l", _MG_L, "as CaCO3, mg/L"),
        Column("ca", "ca_mg_l", _MG_L, "calcium, mg/L"),
        Column("mg", "mg_mg_l", _MG_L, "magnesium, mg/L"),
        Column("na", "na_mg_l", _MG_L, "sodium, mg/L"),
        Column("k", "k_mg_l", _MG_L, "potassium, mg/L"),
        Column("cl", "cl_mg_l", _MG_L, "chloride, mg/L"),
        Column("so4", "so4_mg_l", _MG_L, "sulphate, mg/L"),
        Column("no3", "no3_mg_l", _MG_L, "nitrate, mg/L"),
    ),
)
TARGETS = Sheet(
    "targets",
    frozenset({"target", "strengths"}),
    (
        Column("target", "name", _NAME, "name of the target", needed=True),
        Column(
            "strengths",
            "wanted",
            cells.CellKind(_read_wanted, _show_wanted, STRENGTHS_WANTED),
            "what a litre is to hold, mg/L",
            needed=True,
        ),
        Column("ec", "ec_ms_cm", cells.quantity("ec", "0.6 mS/cm"), "of the whole, the strengths as shares"),
        Column("note", "note", cells.words("any words", 300), "words beside it"),
    ),
)
CHEMISTRY = (WATERS, TARGETS)
