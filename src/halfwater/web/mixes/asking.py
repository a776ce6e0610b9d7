"""What a mix is to be and what it is made of, as asked on a form."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from halfwater.book import queries
from halfwater.deeds.mix_build import BuildAsked, targets
from halfwater.deeds.shelf import shelf
from halfwater.deeds.source_water import UNKNOWN, waters
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.mixes.shelf_forms import STRENGTHS_HELP, UNITS

_USE = "use_"
_ELEMENTS = ("N", "P", "K", "Ca", "Mg", "S", "Fe", "Mn", "Zn", "Cu", "B", "Mo", "Ni", "Co", "Cl", "Na", "Si",
             "N-NO3", "N-NH4", "N-urea", "element", "weight", "strength wanted")  # fmt: skip
_FIELDS = {  # what the chemistry calls it: the field where it was typed
    "EC reading": "ec",
    "EC wanted": "ec",
    "part of the solution": "part",
    "temperature": "temp",
    "volume to make": "volume",
    "strength of the stock": "stock",
    "volume of stock": "stock_volume",
}


def water_fields() -> tuple[Field, ...]:
    """One of the waters known, or one typed; and the temperature."""
    kept, warm = waters(), unit_of("temperature", queries.nursery().units)
    ours = next((one.water.name for one in kept if one.is_ours), UNKNOWN.name)
    choices = (
        ("", f"ours: {ours}"),
        *((one.water.name, one.water.name) for one in kept if not one.is_ours),
        ("rain", "rain"),
        ("purified", "purified water"),
    )
    return (
        Field("water", "Water", "", type="select", choices=choices),
        Field("water_typed", "Or another water", "", is_optional=True,
              help="By its EC alone, 0.35 mS/cm, or a blend: 60% Tap + 40% rain."),
        Field("temp", "Temperature", "", warm.sign, is_optional=True, inputmode="decimal",
              help="Left empty: the room's."),
    )  # fmt: skip


def water_of(typed: Mapping[str, str]) -> str:
    """The water asked for: the one typed, else the one chosen."""
    return typed.get("water_typed", "") or typed.get("water", "")


def build_form() -> Form:
    """What is wanted, the water, how much, and what it may be made from."""
    nursery, ec = queries.nursery(), unit_of("ec", "")
    volume = unit_of("volume", nursery.units)
    named = (("", "strengths typed below"), *((one.target.name, one.target.name) for one in targets()))
    ticks = tuple(Field(f"{_USE}{row.key}", row.name, "yes", type="tick") for row in shelf())
    return Form((
        Field("target", "Target", "", type="select", choices=named),
        Field("part", "Part of it", "", is_optional=True, help="Such as 25 % or 1/4 of a published one."),
        Field("strengths", "Or strengths", "", is_optional=True, is_wide=True, help=STRENGTHS_HELP),
        Field("unit", "Typed in", "mg/L", type="choice", choices=UNITS),
        Field("ec", "Or an EC of the whole mix", "", ec.sign, is_optional=True, inputmode="decimal",
              help="The strengths, typed or of the target, are proportions then."),
        Field("volume", "To make", "1", volume.sign, inputmode="decimal"),
        *water_fields(),
        *ticks,
    ))  # fmt: skip


WANTED = ("target", "part", "strengths", "unit", "ec")
MADE_WITH = ("volume", "water", "water_typed", "temp")


def ticks_of(form: Form) -> tuple[str, ...]:
    """The names of the fields that tick what may be used."""
    return tuple(one.name for one in form.fields if one.name.startswith(_USE))


def asked_of(form: Form, typed: Mapping[str, Any]) -> BuildAsked:
    """What was asked on the form.

    Raises
    ------
    RefusedInput
        If nothing of the shelf is ticked.
    """
    read = form.read(typed)
    names = {one.name: one.label for one in form.fields}
    ticked = tuple(names[tick] for tick in ticks_of(form) if read[tick])
    if ticks_of(form) and not ticked:
        raise RefusedInput("what to use", "nothing", "at least one feed or salt ticked")
    return BuildAsked(
        target=read["target"],
        part=read["part"],
        strengths=read["strengths"],
        unit=read["unit"] or "mg/L",
        ec=read["ec"],
        water=water_of(read),
        volume=read["volume"],
        temp=read["temp"],
        use=ticked,
    )


def with_refused(form: Form, typed: Mapping[str, Any], error: HalfwaterError) -> Form:
    """The form as typed, the refusal beside the field that it is about."""
    if isinstance(error, RefusedInput):
        name = _field_of(error, typed)
        value = typed.get(name, error.value) if name != error.field else error.value
        error = RefusedInput(name, value, error.accepted, error.where)
    return form.with_typed(typed).with_refusal(error)


def _field_of(error: RefusedInput, typed: Mapping[str, Any]) -> str:
    """The field that a refusal of the chemistry is about."""
    if error.field == "target" and not typed.get("target") and typed.get("strengths"):
        return "strengths"
    is_of_water = "water" in (error.field, error.where.partition(" ")[0]) or error.field == "share of a water"
    if is_of_water:
        return "water_typed" if typed.get("water_typed") else "water"
    if error.field in _ELEMENTS:
        return "strengths"
    return _FIELDS.get(error.field, error.field)


def hidden(form: Form, typed: Mapping[str, Any], prefix: str = "") -> tuple[Field, ...]:
    """What was typed in a form, carried along unseen."""
    return tuple(
        replace(one, type="hidden", refusal="", value=str(typed.get(one.name, "")), prefix=prefix)
        for one in form.fields
        if typed.get(one.name)
    )
