"""The waters that mixes are made with: kept, named, blended, and looked at."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import lru_cache

from halfwater.book import changes, queries
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import KeptWater, SourceWater, WaterPart
from halfwater.planning.source_water import DissolvedWater, blended_water, dissolved_water
from halfwater.science import starting
from halfwater.science.hardness import hardness_of
from halfwater.science.units import read_quantity

UNKNOWN = SourceWater("tap water nobody described", ec_ms_cm=starting.SOURCE_EC_MS_CM)
_PURE = {"rain": "rain", "rain water": "rain", "rainwater": "rain", "purified": "purified water",
         "purified water": "purified water", "osmosis": "purified water",
         "distilled": "purified water"}  # fmt: skip
_FIGURES = tuple(
    one.name for one in fields(SourceWater) if one.name.endswith("_mg_l") or one.name in ("ec_ms_cm", "ph")
)
WATER_WANTED = "one of your waters, rain, purified, an EC such as 0.35 mS/cm, or “60 % Tap + 40 % rain”"


@dataclass(frozen=True, slots=True)
class WaterView:
    """A kept water as it is once dissolved."""

    kept: KeptWater
    dissolved: DissolvedWater
    hardness_mg_l: float | None  # as CaCO3; None: by EC alone
    said: str
    notes: tuple[str, ...]


def waters() -> tuple[KeptWater, ...]:
    """The waters of the book, ours first."""
    return queries.waters()


def our_water() -> SourceWater | None:
    """The nursery's own water; None where none is said to be ours."""
    return next((kept.water for kept in queries.waters() if kept.is_ours), None)


def water_named(text: str = "") -> DissolvedWater:
    """A water by its name, rain, purified, an EC, or a blend; nothing typed means ours.

    Raises
    ------
    RefusedInput
        If nothing is known by that name, or the shares of a blend do not add up to 1.
    """
    kept = queries.waters()
    if not text.strip():
        return _dissolved(next((one.water for one in kept if one.is_ours), UNKNOWN))
    if "+" in text or "%" in text:
        return blended_water(tuple(_part(one, kept) for one in text.split("+")))
    return dissolved_water(_single(text, kept))


@lru_cache(maxsize=16)
def _dissolved(water: SourceWater) -> DissolvedWater:
    """The nursery's own water as ions: asked for by every bath, and solved once."""
    return dissolved_water(water)


def _part(text: str, kept: tuple[KeptWater, ...]) -> WaterPart:
    found = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*(%?)\s*(.+?)\s*", text)
    if found is None:
        raise RefusedInput("water", text.strip(), WATER_WANTED)
    share = float(found[1].replace(",", "."))
    return WaterPart(_single(found[3], kept), share / 100.0 if found[2] or share > 1.0 else share)


def _single(text: str, kept: tuple[KeptWater, ...]) -> SourceWater:
    name = " ".join(text.split()).casefold()
    for one in kept:
        if one.water.name.casefold() == name:
            return one.water
    if name in _PURE:
        return SourceWater(_PURE[name], is_pure=True)
    bare = re.sub(r"^ec\b\s*", "", name)
    if re.match(r"[\d.,]", bare):
        ec = read_quantity(bare, "ec", field="water")
        return SourceWater(f"water of {ec:g} mS/cm", ec_ms_cm=ec)
    names = ", ".join(one.water.name for one in kept)
    raise RefusedInput("water", text, f"{WATER_WANTED}{f' (yours: {names})' if names else ''}")


def save_water_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a water as typed; what stays empty is not known."""
    sheet = Sheet(typed, queries.nursery().units)
    name = sheet.needed("water_name", str, "", "a name such as Tap")
    figures: dict[str, float | None] = {
        field: sheet.read(_field_name(field), lambda text, field=field: _figure(text, field), None)  # type: ignore[misc]
        for field in _FIGURES
    }
    is_pure = sheet.text("pure") in ("on", "yes")
    sheet.finish()
    try:
        dissolved_water(SourceWater(name, is_pure=is_pure, **figures))
    except RefusedInput as refused:
        raise RefusedInput(
            _NAMES.get(refused.field, "water_ec"), refused.value, refused.accepted
        ) from refused
    with sheet.writing(name="water_name"):
        return changes.save_water(
            key, who=who, name=name, is_pure=is_pure, is_ours=sheet.text("ours") in ("on", "yes"), **figures
        )


_NAMES = {"EC": "water_ec", "pH of the water": "ph", "alkalinity": "alkalinity",
          "hardness": "hardness", "calcium": "ca", "magnesium": "mg", "sodium": "na",
          "potassium": "k", "chloride": "cl", "sulphate": "so4", "nitrate": "no3"}  # fmt: skip


def _field_name(field: str) -> str:
    """The field of the sheet for a figure of a water."""
    return "water_ec" if field == "ec_ms_cm" else field.removesuffix("_mg_l")


def _figure(text: str, field: str) -> float:
    if field == "ec_ms_cm":
        return read_quantity(text, "ec", field="water_ec")
    bare = re.sub(r"\s*(mg/l|ppm|mg)$", "", text.strip().lower())
    if not re.fullmatch(r"\d+(?:[.,]\d+)?", bare):
        raise RefusedInput(
            _field_name(field), text, "a pH such as 7.4" if field == "ph" else "mg/L such as 42"
        )
    return float(bare.replace(",", "."))


def remove_water(key: int, who: str) -> None:
    """Take a water out of the book."""
    changes.remove_water(key, who=who)


def water_view(key: int) -> WaterView:
    """A water of the book as it is once dissolved, with what was taken for granted."""
    kept = next((one for one in queries.waters() if one.key == key), None)
    if kept is None:
        raise RefusedInput("water", key, "the key of a water in the book")
    found = dissolved_water(kept.water)
    hardness = None
    if found.has_ions:
        hardness = float(hardness_of(found.ions.get("Ca+2", 0.0), found.ions.get("Mg+2", 0.0)))
    return WaterView(kept, found, hardness, _said(kept.water.name, found, hardness), found.notes)


def _said(name: str, found: DissolvedWater, hardness: float | None) -> str:
    if hardness is None:
        return f"{name} conducts {found.ec_ms_cm:.2f} mS/cm; what it holds is not known."
    word = "soft" if hardness < 75 else "of middling hardness" if hardness < 150 else "hard"
    return f"{name} is {word}: {hardness:.0f} mg/L as CaCO3, {found.ec_ms_cm:.2f} mS/cm."
