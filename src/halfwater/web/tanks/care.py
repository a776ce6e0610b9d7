"""Light, air and algae on the page of their tank: a sentence each, and the way to the rest."""

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.air import air_of
from halfwater.deeds.algae import algae_from
from halfwater.deeds.bath import TankBath
from halfwater.deeds.light_map import light_map_of
from halfwater.errors import HalfwaterError
from halfwater.plain.tank import TankFacts


@dataclass(frozen=True, slots=True)
class CarePart:
    """One part: its sentence and its page."""

    name: str
    said: str
    link: str
    url: str
    is_due: bool = False


def care_parts(tank: TankFacts, now: datetime, light: str, bath: TankBath) -> tuple[CarePart, ...]:
    """Light, air and algae of a tank, shortly; `bath` as it was reckoned for the same page."""
    air_url = reverse("tank-air", args=[tank.name])
    lamps = queries.last_entries(kinds=("lamp",))
    watches = algae_from(now, queries.nursery(), queries.tanks(in_use=None), lamps, {tank.key: bath})
    watch = watches.get(tank.key)
    algae = watch.said if watch else f"{tank.name} is laid up: its algae are not watched."
    is_due = watch is not None and any(act.is_next for act in watch.acts)
    return (
        CarePart(
            "Light", _light(tank, now, light), "Light spot by spot", reverse("tank-light", args=[tank.name])
        ),
        CarePart("Air", _air(tank, now), "Air, vapour, dew", air_url),
        CarePart("Algae", algae, "What to do in order", f"{air_url}#algae", is_due),
    )


def _light(tank: TankFacts, now: datetime, described: str) -> str:
    """As the readings say, where there are any; otherwise as the lamp is described."""
    if (tank.key, "light") not in queries.last_entries(kinds=("light",)):
        return described
    try:
        return light_map_of(tank.name, now).said
    except HalfwaterError:
        return described


def _air(tank: TankFacts, now: datetime) -> str:
    try:
        return air_of(tank.name, now).said
    except HalfwaterError as error:
        return str(error)
