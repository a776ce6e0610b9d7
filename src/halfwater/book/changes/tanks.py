"""Changes of tanks."""

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from django.db import transaction
from django.db.models import Max

from halfwater.book.changes import checks
from halfwater.book.changes.checkpoints import forget_tanks
from halfwater.book.changes.saving import Saved, save_row
from halfwater.book.models import Lamp, Mix, Pot, Tank
from halfwater.errors import RefusedInput
from halfwater.plain.tank import KeepOut

# What may change without making the kept filter states wrong.
_BESIDE_WATER = {
    "name",
    "place",
    "lamp",
    "lamp_dimmer_frac",
    "lamp_hours",
    "stray_ppfd_umol_m2_s",
    "stray_hours",
    "is_in_use",
}


def _keep_outs(field: str, value: Any) -> list[dict[str, Any]]:
    accepted = "rectangles from the front left corner, each with a length and width above 0"
    if not isinstance(value, Iterable) or isinstance(value, str):
        raise RefusedInput(field, value, accepted)
    rectangles = list(value)
    from_corner = checks.number(accepted, 0, 10_000)
    side = checks.number(accepted, 0, 10_000, above=True)
    for one in rectangles:
        if not isinstance(one, KeepOut):
            raise RefusedInput(field, one, accepted)
        for name in ("x_mm", "y_mm"):
            from_corner(field, getattr(one, name))
        for name in ("length_mm", "width_mm"):
            side(field, getattr(one, name))
    return [asdict(one) for one in rectangles]


_SIDE = checks.number("a length above 0 and up to 10000 mm", 0, 10_000, above=True)
_VOLUME = checks.number("a volume from 0 to 100 L", 0, 100, none=True)
_FRAC = checks.number("a fraction from 0 to 1", 0, 1)
_HOURS = checks.number("hours a day from 0 to 24", 0, 24)
_TANK = {
    "name": checks.NAME,
    "place": checks.whole("a place in the walking order, a whole number from 0", 0, 100_000),
    "length_mm": _SIDE,
    "width_mm": _SIDE,
    "height_mm": _SIDE,
    "pot": checks.key_of(Pot, "pot type"),
    "pots": checks.whole("a whole number of pots from 0 to 100000", 0, 100_000),
    "clay_fill_frac": checks.number("a fraction above 0 and up to 1", 0, 1, above=True),
    "clay_porosity_frac": _FRAC,
    "margin_mm": checks.number("a length from 0 to 1000 mm", 0, 1000),
    "low_line_mm": checks.number("a depth from 0 to 10000 mm", 0, 10_000, none=True),
    "keep_outs": _keep_outs,
    "night_mix": checks.key_of(Mix, "mix"),
    "night_volume_l": _VOLUME,
    "morning_mix": checks.key_of(Mix, "mix"),
    "morning_volume_l": _VOLUME,
    "lamp": checks.key_of(Lamp, "lamp"),
    "lamp_dimmer_frac": _FRAC,
    "lamp_hours": _HOURS,
    "stray_ppfd_umol_m2_s": checks.number("a light from 0 to 3000 umol/m2/s", 0, 3000),
    "stray_hours": _HOURS,
    "lid_ach_per_h": checks.number("air changes an hour from 0 to 100", 0, 100, none=True),
    "inside_temp_c": checks.number("a temperature from -20 C to 60 C", -20, 60, none=True),
    "inside_rh_frac": checks.number("a relative humidity from 0 to 1", 0, 1, none=True),
    "set_up_on": checks.day,
    "is_in_use": checks.flag,
}
_NEEDED = (
    "name",
    "length_mm",
    "width_mm",
    "height_mm",
    "clay_fill_frac",
    "clay_porosity_frac",
    "margin_mm",
    "set_up_on",
)


@transaction.atomic
def save_tank(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a tank, a new one when `key` is None, and give its key.

    The fields are those of TankFacts, with `pot`, `lamp`, `night_mix` and
    `morning_mix` as keys and the spray plan flat: night_mix, night_volume_l,
    morning_mix, morning_volume_l. A new tank without `place` comes last.
    """
    return int(write_tank(key, fields, who))


def write_tank(key: int | None, fields: dict[str, Any], who: str) -> Saved:
    """Write a tank inside a transaction that is already open."""
    fields = dict(fields)
    if key is None and fields.get("place") is None:
        fields["place"] = (Tank.objects.aggregate(last=Max("place"))["last"] or 0) + 1
    _refuse_line_above_rim(key, fields)
    saved = save_row(Tank, key, fields, _TANK, _NEEDED, who)
    if key is not None and saved.changed - _BESIDE_WATER:
        forget_tanks((key,))
    return saved


def _refuse_line_above_rim(key: int | None, fields: dict[str, Any]) -> None:
    lines = {"low_line_mm", "height_mm"}
    if not lines & set(fields):
        return
    standing = Tank.objects.filter(pk=key).values(*lines).first() or {}
    low, rim = (fields.get(name, standing.get(name)) for name in ("low_line_mm", "height_mm"))
    if isinstance(low, int | float) and isinstance(rim, int | float) and low > rim:
        raise RefusedInput("low_line_mm", low, f"a depth below the rim at {rim:g} mm")
