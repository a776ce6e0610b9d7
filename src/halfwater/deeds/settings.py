"""The nursery's settings and lamps as typed."""

from collections.abc import Mapping

from halfwater.book import changes, queries
from halfwater.deeds.setting_up import ZONE_ACCEPTED, read_zone
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput


def save_settings(typed: Mapping[str, str], who: str) -> None:
    """Write the nursery's settings."""
    sheet = Sheet(typed, queries.nursery().units)
    fields = {
        "name": sheet.text("nursery"),
        "units": sheet.choice("units", ("metric", "us"), "metric"),
        "currency": sheet.text("currency"),
        "time_zone": sheet.needed("time_zone", read_zone, "UTC", ZONE_ACCEPTED),
        "evening_hour": int(sheet.number("evening_hour", "count", 20)),
        "room_temp_c": sheet.quantity("room_temp", "temperature"),
        "room_rh_frac": sheet.quantity("room_rh", "fraction"),
    }
    sheet.finish()
    with sheet.writing(name="nursery"):
        changes.save_nursery(who=who, **fields)


def save_lamp_sheet(typed: Mapping[str, str], who: str, key: int | None = None) -> int:
    """Write a lamp by its figures."""
    sheet = Sheet(typed, queries.nursery().units)
    fields = {
        "name": sheet.needed("name", str, "", "a name such as Shelf lamp"),
        "ppfd_umol_m2_s": sheet.quantity("ppfd", "ppfd"),
        "lux": sheet.quantity("lux", "lux"),
        "lux_per_umol": sheet.read("lux_per_umol", float_above_zero, None),
        "power_w": sheet.quantity("power", "power"),
    }
    sheet.finish()
    with sheet.writing():
        return changes.save_lamp(key, who=who, **fields)


def float_above_zero(text: str) -> float:
    """A plain number above 0."""
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        number = 0.0
    if not 0 < number <= 200:
        raise RefusedInput("lux_per_umol", text, "lux for 1 µmol/m²/s, above 0 and up to 200")
    return number
