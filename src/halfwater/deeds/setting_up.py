"""Setting up: from nothing to a nursery with its first tank, in one transaction."""

from collections.abc import Mapping
from datetime import datetime
from zoneinfo import available_timezones

from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.mix_sheet import read_dose_of, read_feed
from halfwater.deeds.sheet import Sheet
from halfwater.deeds.tank_sheet import read_tank, write_tank
from halfwater.errors import RefusedInput
from halfwater.plain.tank import TankFacts
from halfwater.science import starting

ZONE_ACCEPTED = "a time zone such as Europe/Berlin or America/New_York"


@transaction.atomic
def set_up_nursery(typed: Mapping[str, str], who: str, now: datetime) -> TankFacts:
    """Write the settings, the first tank and, if a feed is given, the night mix."""
    sheet = Sheet(typed)
    units = sheet.choice("units", ("metric", "us"), "metric")
    sheet.units = units
    zone = sheet.needed("time_zone", read_zone, "UTC", ZONE_ACCEPTED)
    tank = read_tank(sheet)
    feed = dose = None
    if sheet.text("label"):
        feed = read_feed(sheet)
        dose = read_dose_of(sheet, "dose")
    sheet.finish()
    with sheet.writing(name="nursery"):
        changes.save_nursery(
            who=who,
            name=sheet.text("nursery"),
            units=units,
            time_zone=zone,
            is_set_up=True,
            currency="USD" if units == "us" else "EUR",
        )
    changes.load_starting_taxa(who=who)
    if tank["night_volume_l"] is None:
        tank["night_volume_l"] = starting.SPRAY_VOLUME_L
    if feed is not None and dose is not None:
        with sheet.writing(name="label"):
            key = changes.save_feed(who=who, **feed)
        part = {
            "feed": key,
            "dose_ml_l": dose.dose_ml_l,
            "dose_g_l": dose.dose_g_l,
            "typed": sheet.text("dose"),
        }
        tank["night_mix"] = changes.save_mix(who=who, name="Night mix", use="night", parts=[part])
    tank["set_up_on"] = local_day(now, queries.nursery())
    return write_tank(sheet, tank, who)


def read_zone(text: str) -> str:
    """A time zone by its name."""
    if text not in available_timezones():
        raise RefusedInput("time_zone", text, ZONE_ACCEPTED)
    return text
