"""The entry forms of a tank: one drawer a kind, the last value as the default."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.notes import PLAIN_WATER
from halfwater.errors import HalfwaterError
from halfwater.plain.costing import TASKS
from halfwater.plain.entry import CAUSES, SIGHTINGS, EntryFact
from halfwater.plain.figures import show_date
from halfwater.plain.tank import TankFacts
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of


@dataclass(frozen=True, slots=True)
class Drawer:
    """One form in its drawer."""

    kind: str
    title: str
    does: str
    last: str
    form: Form
    is_open: bool = False


TITLES = {
    "waterline": ("Waterline", "Note the waterline"),
    "spray": ("Spray", "Note the spray"),
    "skip": ("Evening skipped", "Note the skipped evening"),
    "siphon": ("Siphon", "Note the siphon"),
    "fill": ("Fill", "Note the fill"),
    "ec": ("EC of the bath", "Note the EC"),
    "ph": ("pH of the bath", "Note the pH"),
    "meter": ("EC meter check", "Note the check"),
    "light": ("Light at a spot", "Note the light"),
    "air": ("Air under the lid", "Note the air"),
    "lamp": ("Lamp setting", "Note the lamp setting"),
    "leaves": ("Leaves", "Note the leaf count"),
    "loss": ("Loss", "Note the loss"),
    "sighting": ("Sighting", "Note the sighting"),
    "work": ("Work", "Note the minutes"),
    "note": ("Words or a photo", "Note it"),
}
_MIXED = ("spray", "fill")
SECOND_FIELDS = {
    "meter": "standard",
    "light": "dimmer",
    "air": "second",
    "lamp": "second",
    "loss": "cause",
    "work": "task",
}  # what is typed beside the value


def drawers(
    tank: TankFacts, units: str, today: date, last: Mapping[tuple[int, str], EntryFact]
) -> tuple[Drawer, ...]:
    """The drawers of a tank, closed."""
    mixes = tuple((mix.name, mix.name) for mix in queries.mixes())
    batches = tuple((batch.name, batch.name) for batch in queries.batches())
    made = []
    for kind, (title, does) in TITLES.items():
        entry = last.get((tank.key, kind))
        fields = (*_values(kind, units, entry), *_beside(kind, entry, mixes, batches), *_always(kind, today))
        fields = tuple(replace(field, prefix=kind) for field in fields)
        form = Form(fields, action=reverse("tank-note", args=[tank.name, kind]))
        said = f"last {show_date(entry.day, today)}" if entry else ""
        made.append(Drawer(kind, title, does, said, form))
    return tuple(made)


def opened(
    made: tuple[Drawer, ...], kind: str, typed: Mapping[str, str], error: HalfwaterError
) -> tuple[Drawer, ...]:
    """The drawers with one open, holding what was typed and why it was refused."""
    return tuple(
        replace(one, is_open=True, form=one.form.with_typed(typed).with_refusal(error))
        if one.kind == kind
        else one
        for one in made
    )


def _values(kind: str, units: str, last: EntryFact | None) -> tuple[Field, ...]:
    """The quantity of a kind, in one field or two."""
    value, second = (last.value, last.second) if last else (None, None)
    if kind in ("waterline", "spray", "fill", "ec"):
        measure = {"waterline": "length", "spray": "small_volume", "fill": "volume", "ec": "ec"}[kind]
        unit = unit_of(measure, units)
        label = {"waterline": "Depth of the bath", "ec": "EC at 25 °C"}.get(kind, "Amount")
        return (Field("value", label, unit.text(value), unit.sign, inputmode="decimal"),)
    if kind == "siphon":
        return (Field("value", "How much", "to low line", help="Or what was taken out, such as 2.5 L."),)
    if kind in ("ph", "meter", "light"):
        return _reading(kind)
    if kind in ("air", "lamp"):
        return _pair(kind, units, value, second)
    if kind == "leaves":
        return (Field("value", "Leaves", inputmode="numeric"),)
    if kind == "loss":
        return (
            Field("value", "Plants lost", "1", inputmode="numeric"),
            _pick("cause", "Cause", CAUSES, "unknown"),
        )
    if kind == "sighting":
        strengths = ("little", "some", "much")
        return (
            _pick("value", "What", SIGHTINGS, "algae"),
            _pick("strength", "How much", strengths, "little", "choice"),
        )
    if kind == "work":
        return (
            Field("value", "Time", "", "min", inputmode="decimal"),
            _pick("task", "Task", TASKS, last.word if last else "other"),
        )
    return ()


def _reading(kind: str) -> tuple[Field, ...]:
    """What was read by a pH meter, in a standard solution, or by a light meter."""
    if kind == "ph":
        return (Field("value", "pH", inputmode="decimal"),)
    if kind == "meter":
        return (
            Field("value", "The meter shows", "", "mS/cm", inputmode="decimal"),
            Field(
                "standard",
                "in a standard of",
                "1.413",
                help="At 25 °C, in mS/cm. EC readings noted from then on are put right by it.",
            ),
        )
    share = unit_of("fraction", "").sign
    return (
        Field("value", "Light", "", help="µmol/m²/s; or “3400 lux” where the lamp has its own factor."),
        Field("spot", "Spot", help="Such as B3."),
        Field(
            "dimmer", "Dimmer then", "", share, help="Left empty: as noted last; 0 is off.", is_optional=True
        ),
        Field("stray", "Of it stray light", "", is_optional=True, help="Read with the lamp off."),
    )


def _pair(kind: str, units: str, value: float | None, second: float | None) -> tuple[Field, ...]:
    warm, share, hours = unit_of("temperature", units), unit_of("fraction", units), unit_of("hours", units)
    if kind == "air":
        return (
            Field("value", "Temperature", warm.text(value, 3), warm.sign),
            Field("second", "Humidity", share.text(second, 3), share.sign, is_optional=True),
        )
    return (
        Field("value", "Dimmer", share.text(value, 3), share.sign),
        Field("second", "Hours a day", hours.text(second, 3), hours.sign),
    )


def _beside(
    kind: str,
    last: EntryFact | None,
    mixes: tuple[tuple[str, str], ...],
    batches: tuple[tuple[str, str], ...],
) -> tuple[Field, ...]:
    fields: list[Field] = []
    if kind in _MIXED and mixes:
        mix = last.mix_name if last else ""
        usual = "as planned" if kind == "spray" else "as usual"
        choices = (("", usual), *mixes, (PLAIN_WATER, PLAIN_WATER))
        fields.append(Field("mix", "Mix", mix, type="select", choices=choices))
    if kind in ("spray", "skip"):
        choices = (("", "by the clock"), ("night", "night"), ("morning", "morning"))
        fields.append(Field("session", "Round", "", type="select", choices=choices))
    if kind in ("leaves", "loss"):
        fields.append(Field("spot", "Spot", help="Such as B3.", is_optional=True))
        if batches:
            named = (("", "not said"), *batches)
            fields.append(Field("batch", "Batch", "", type="select", choices=named))
    return tuple(fields)


def _always(kind: str, today: date) -> tuple[Field, ...]:
    when = Field(
        "at",
        "When",
        "",
        help="Left empty: now. Or 2026-11-20, or 2026-11-20 21:00.".replace("2026-11-20", today.isoformat()),
        is_optional=True,
    )
    if kind == "note":
        return (
            Field("text", "Words", type="area"),
            Field("photo", "Photo", type="file", is_optional=True),
            when,
        )
    return (when, Field("text", "Remark", is_optional=True))


def _pick(name: str, label: str, words: tuple[str, ...], value: str, how: str = "select") -> Field:
    return Field(name, label, value, type=how, choices=tuple((word, word) for word in words))


def typed_value(kind: str, typed: Mapping[str, str]) -> str:
    """The quantity of an entry as one text, from the fields of its form."""
    value = typed.get("value", "")
    return f"{value} {typed.get('strength', '')}".strip() if kind == "sighting" else value
