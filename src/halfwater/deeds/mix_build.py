"""Mixes built from the shelf to a target, looked at, compared, and made as stock solutions."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from halfwater.book import changes, queries
from halfwater.deeds.mixes import mix_named
from halfwater.deeds.sheet import Sheet
from halfwater.deeds.shelf import ShelfRow, item_of, shelf
from halfwater.deeds.source_water import water_named
from halfwater.deeds.strengths_typed import STRENGTHS_WANTED, read_strengths
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.chemistry import (
    Dose,
    KeptTarget,
    MixLook,
    RecipeAnswer,
    RecipePart,
    ShelfItem,
    StockPlan,
    Target,
)
from halfwater.plain.mixes import MixFacts
from halfwater.planning.mix_look import ROOM_TEMP_C, compare_mixes, look_at_mix
from halfwater.planning.recipe import make_recipe
from halfwater.planning.shelf import doses_of_mix
from halfwater.planning.stocks import plan_stocks
from halfwater.planning.targets import part_of_target, published_targets, typed_target
from halfwater.science.conductivity import METER_RANGE
from halfwater.science.units import read_quantity

COMPARED_AT_MOST = 24  # mixes in one comparison


@dataclass(frozen=True, slots=True)
class BuildAsked:
    """A mix asked for, as typed: a target by its name or by its strengths, and what it is made of."""

    target: str = ""  # name of a target, own or published
    part: str = ""  # how much of it: "25 %", "1/4"
    strengths: str = ""  # instead of a name: "N 50, P 10, K 40"
    unit: str = "mg/L"
    ec: str = ""  # the strengths are proportions then
    water: str = ""  # "": ours
    volume: str = ""  # "": a litre
    temp: str = ""  # "": a room's
    use: tuple[str, ...] = ()  # names from the shelf; none: all that is at hand


@dataclass(frozen=True, slots=True)
class Built:
    """A recipe as asked for, with the water and temperature it was made for."""

    asked: BuildAsked
    recipe: RecipeAnswer
    water_name: str
    temp_c: float


def targets() -> tuple[KeptTarget, ...]:
    """The grower's own targets, then the published solutions."""
    return (*queries.own_targets(), *(KeptTarget(None, target) for target in published_targets()))


def save_target_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a target as typed: its name, its strengths, and an EC if the strengths are proportions."""
    sheet = Sheet(typed, queries.nursery().units)
    name = sheet.needed("target_name", str, "", "a name such as Mild")
    unit = sheet.choice("unit", ("mg/L", "mmol/L"), "mg/L")
    ec = sheet.read("target_ec", lambda text: METER_RANGE.one(read_quantity(text, "ec")), None)

    def read(text: str) -> Target | None:
        strengths, weights = read_strengths(text)
        return typed_target(name or "target", strengths, unit, weights=weights)

    target = sheet.needed("strengths", read, None, STRENGTHS_WANTED)
    sheet.finish()
    wanted = [[one.what, one.strength_mg_l, one.weight] for one in target.wanted] if target else []
    with sheet.writing(name="target_name", ec_ms_cm="target_ec", note="target_note"):
        return changes.save_target(
            key, who=who, name=name, wanted=wanted, ec_ms_cm=ec, note=sheet.text("target_note")
        )


def remove_target(key: int, who: str) -> None:
    """Take a target of the grower's own out of the book."""
    changes.remove_target(key, who=who)


def build_mix(asked: BuildAsked) -> Built:
    """The recipe that comes nearest to what was asked for, with what it misses and why."""
    water, temp_c = water_named(asked.water), _temperature(asked.temp)
    recipe = make_recipe(_items(asked.use), water, _target(asked), _volume(asked.volume), temp_c)
    return Built(asked, recipe, water.name, temp_c)


def look_at(name: str, water: str = "", temp: str = "") -> MixLook:
    """All that can be said of a mix of the book: strengths, charges, EC, pH, what may fall out, cost."""
    mix = mix_named(name)
    return look_at_mix(mix.name, _doses(mix), water_named(water), _temperature(temp))


def compare(names: Sequence[str] = (), water: str = "", temp: str = "") -> tuple[MixLook, ...]:
    """Mixes of the book side by side; no names means every one."""
    every = queries.mixes()
    wanted = [mix_named(name, every) for name in names] or list(every)
    if not wanted:
        raise RefusedByBook("The book has no mix yet to compare.")
    if len(wanted) > COMPARED_AT_MOST:
        raise RefusedInput("mixes", len(wanted), f"at most {COMPARED_AT_MOST} mixes at a time")
    return compare_mixes(((mix.name, _doses(mix)) for mix in wanted), water_named(water), _temperature(temp))


def stocks_of(
    made_of: BuildAsked | str, factor: str = "100", stock: str = "1 L", water: str = "", temp: str = ""
) -> StockPlan:
    """Stock solutions A and B of a mix of the book or of a recipe, and the mix they make once diluted."""
    strength, litres = _factor(factor), _volume(stock)
    if isinstance(made_of, str):
        mix = mix_named(made_of)
        return plan_stocks(_doses(mix), water_named(water), strength, litres, _temperature(temp))
    built = build_mix(made_of)
    return plan_stocks(built.recipe, water_named(made_of.water), strength, litres, built.temp_c)


def keep_recipe(asked: BuildAsked, name: str, use: str, who: str) -> int:
    """The recipe becomes a mix of the book; its EC is left to be measured."""
    built = build_mix(asked)
    parts = [_kept_part(part) for part in built.recipe.parts]
    if not parts:
        raise RefusedByBook("The recipe is plain water: there is nothing to keep.")
    return changes.save_mix(who=who, name=name, use=use, parts=parts)


def _kept_part(part: RecipePart) -> dict[str, object]:
    """A line of the recipe as a line of a mix: a liquid by volume, a dry thing by weight."""
    is_liquid = part.dose_ml_l is not None
    return {
        "feed": part.item.product.key,
        "dose_ml_l": part.dose_ml_l,
        "dose_g_l": None if is_liquid else part.dose_g_l,
        "typed": f"{part.dose_ml_l:.4g} mL/L" if is_liquid else f"{part.dose_g_l:.4g} g/L",
    }


def _target(asked: BuildAsked) -> Target:
    """The target by its name or by its strengths, or a part of it."""
    if bool(asked.target.strip()) == bool(asked.strengths.strip()):
        raise RefusedInput("target", asked.target, "a target by its name, or strengths such as N 50, K 40")
    ec = read_quantity(asked.ec, "ec", field="ec") if asked.ec.strip() else None
    if asked.strengths.strip():
        strengths, weights = read_strengths(asked.strengths)
        target = typed_target("your strengths", strengths, asked.unit, ec, weights)
    else:
        target = _named(asked.target)
        if ec is not None:
            target = Target(target.name, target.wanted, ec, target.source, target.note)
    return part_of_target(target, _share(asked.part)) if asked.part.strip() else target


def _named(name: str) -> Target:
    """A target by its name, or by a beginning that only one has."""
    wanted = " ".join(name.replace("&", " and ").split()).casefold()
    every = targets()
    for matches in (
        [kept.target for kept in every if kept.target.name.casefold() == wanted],
        [kept.target for kept in every if kept.target.name.casefold().startswith(wanted)],
    ):
        if len(matches) == 1:
            return matches[0]
    names = "; ".join(kept.target.name for kept in every)
    raise RefusedInput("target", name, f"one of {names}")


def _share(text: str) -> float:
    """A part: 25 %, 0.25 or 1/4."""
    fraction = re.fullmatch(r"\s*(\d+)\s*/\s*(\d+)\s*", text)
    if fraction and int(fraction[2]):
        return int(fraction[1]) / int(fraction[2])
    many = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*(%?)\s*", text)
    if many is None:
        raise RefusedInput("part", text, "a part such as 25 %, 0.25 or 1/4")
    value = float(many[1].replace(",", "."))
    return value / 100.0 if many[2] else value


def _items(use: Sequence[str]) -> tuple[ShelfItem, ...]:
    """What may be mixed from: those named, or all at hand."""
    rows = shelf()
    if not rows:
        raise RefusedByBook("The shelf is empty: describe a feed by its label, or a salt by its formula.")
    if not use:
        return tuple(row.item for row in rows)
    by_name: dict[str, ShelfRow] = {row.name.casefold(): row for row in rows}
    unknown = [name for name in use if name.strip().casefold() not in by_name]
    if unknown:
        raise RefusedInput("use", unknown[0], f"one of {', '.join(row.name for row in rows)}")
    return tuple(by_name[name.strip().casefold()].item for name in use)


def _doses(mix: MixFacts) -> tuple[Dose, ...]:
    return doses_of_mix(mix, {part.feed.key: item_of(part.feed) for part in mix.parts})


def _volume(text: str) -> float:
    if not text.strip():
        return 1.0
    return read_quantity(text, "volume", system=queries.nursery().units, field="volume")


def _temperature(text: str) -> float:
    if not text.strip():
        room = queries.nursery().room_temp_c
        return ROOM_TEMP_C if room is None else room
    return read_quantity(text, "temperature", system=queries.nursery().units, field="temp")


def _factor(text: str) -> float:
    """100 or 1:100."""
    found = re.fullmatch(r"\s*(?:1\s*:\s*)?(\d{1,4})\s*", text)
    if found is None:
        raise RefusedInput("stock", text, "a strength from 1:1 to 1:200 such as 1:100")
    return float(found[1])
