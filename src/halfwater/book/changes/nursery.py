"""Changes of the nursery's settings, pot types and lamps."""

from typing import Any
from zoneinfo import available_timezones

from django.db import transaction

from halfwater.book.changes import checks
from halfwater.book.changes.checkpoints import forget_tanks
from halfwater.book.changes.days import redate_entries
from halfwater.book.changes.saving import save_row
from halfwater.book.models import Lamp, Nursery, Pot, Tank
from halfwater.errors import RefusedInput


def _zone(field: str, value: Any) -> str:
    if value not in available_timezones():
        raise RefusedInput(field, value, "a time zone such as Europe/Berlin or America/New_York")
    return str(value)


def _currency(field: str, value: Any) -> str:
    if not isinstance(value, str) or len(value) != 3 or not value.isascii() or not value.isalpha():
        raise RefusedInput(field, value, "a currency of three letters such as EUR or USD")
    return value.upper()


_TEMP = checks.number("a temperature from -20 C to 60 C", -20, 60, none=True)
_RH = checks.number("a relative humidity from 0 to 1", 0, 1, none=True)
_NURSERY = {
    "name": checks.words("a name of at most 80 signs", 80),
    "units": checks.one_of(("metric", "us")),
    "currency": _currency,
    "time_zone": _zone,
    "evening_hour": checks.whole("an hour from 12 to 23, as rounds are walked in the evening", 12, 23),
    "room_temp_c": _TEMP,
    "room_rh_frac": _RH,
    "is_set_up": checks.flag,
    "price_step_minor": checks.whole("a step of one coin or more", 1, 1_000_000, none=True),
    "price_move_frac": checks.number("a share from 0 to 0.5", 0, 0.5, none=True),
}
_SIZE = checks.number("a length above 0 and up to 1000 mm", 0, 1000, above=True)
_POT = {"name": checks.NAME, "top_mm": _SIZE, "base_mm": _SIZE, "height_mm": _SIZE}
_LAMP = {
    "name": checks.NAME,
    "ppfd_umol_m2_s": checks.number("a light from 0 to 3000 umol/m2/s", 0, 3000, none=True),
    "lux": checks.number("a light from 0 to 200000 lux", 0, 200_000, none=True),
    "lux_per_umol": checks.number(
        "lux for 1 umol/m2/s, above 0 and up to 200", 0, 200, above=True, none=True
    ),
    "power_w": checks.number("a power from 0 to 5000 W", 0, 5000, none=True),
}


@transaction.atomic
def save_nursery(*, who: str, **fields: Any) -> None:
    """Change the nursery's settings: any of the fields of NurseryFacts."""
    Nursery.objects.select_for_update().get_or_create(pk=1)
    saved = save_row(Nursery, 1, fields, _NURSERY, (), who)
    if "time_zone" in saved.changed:
        redate_entries(fields["time_zone"])
    if saved.changed & {"room_temp_c", "room_rh_frac", "time_zone", "evening_hour"}:
        forget_tanks(Tank.objects.values_list("pk", flat=True))


@transaction.atomic
def save_pot(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a pot type (name, top_mm, base_mm, height_mm), a new one when `key` is None, and give its key."""
    saved = save_row(Pot, key, fields, _POT, tuple(_POT), who)
    if key is not None and saved.changed - {"name"}:
        forget_tanks(Tank.objects.filter(pot=key).values_list("pk", flat=True))
    return int(saved)


@transaction.atomic
def save_lamp(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a lamp (name, ppfd_umol_m2_s, lux, lux_per_umol, power_w) and give its key."""
    return int(save_row(Lamp, key, fields, _LAMP, ("name",), who))
