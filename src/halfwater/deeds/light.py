"""The daily light of a tank, or of a lamp that is described on the spot."""

from dataclasses import dataclass

from halfwater.book import queries
from halfwater.errors import RefusedInput
from halfwater.plain.entry import EntryFact
from halfwater.plain.tank import TankFacts
from halfwater.science.light import LightAnswer, lux_factor, tank_light
from halfwater.science.units import read_quantity


@dataclass(frozen=True, slots=True)
class TypedLight:
    """Light as typed: every field may be empty."""

    ppfd: str = ""
    lux: str = ""
    factor: str = ""  # the lamp's own, lux for 1 umol/m2/s
    source: str = ""  # a source whose factor is published, such as sun and sky
    hours: str = ""
    dimmer: str = ""
    stray_ppfd: str = ""
    stray_hours: str = ""


def light_of(tank: TankFacts, setting: EntryFact | None) -> LightAnswer:
    """A tank's light on an ordinary day, with the lamp as it was last noted to be set."""
    dimmer, hours = tank.lamp_dimmer_frac, tank.lamp_hours
    if setting is not None:
        dimmer = dimmer if setting.value is None else setting.value
        hours = hours if setting.second is None else setting.second
    lamp = tank.lamp
    answer = tank_light(
        lamp_ppfd_umol_m2_s=lamp.ppfd_umol_m2_s if lamp else None,
        lamp_lux=lamp.lux if lamp else None,
        lux_per_umol=lamp.lux_per_umol if lamp else None,
        dimmer_frac=dimmer,
        lamp_h=hours,
        stray_ppfd_umol_m2_s=tank.stray_ppfd_umol_m2_s,
        stray_h=tank.stray_hours,
    )
    if lamp is None and not answer.sources and answer.dli_mol_m2_d is not None:
        return LightAnswer(None, (), "", f"no lamp and no stray light are described for {tank.name}")
    return answer


def light_of_named(name: str) -> LightAnswer:
    """The light of the tank of this name."""
    tank = queries.tank_named(name)
    return light_of(tank, queries.last_entries(kinds=("lamp",)).get((tank.key, "lamp")))


def light_as_typed(typed: TypedLight) -> LightAnswer:
    """The light of a lamp and of stray light, from what was typed; refused where it cannot be said."""
    lux = _read(typed.lux, "lux", "lux")
    factor = _factor(typed)
    ppfd = _read(typed.ppfd, "ppfd", "ppfd")
    if ppfd is None and lux is None and not typed.stray_ppfd.strip():
        raise RefusedInput(
            "ppfd",
            "",
            "a light at pot height such as 60 (umol/m2/s), or a lux reading with the lamp's factor",
        )
    if (ppfd is not None or lux is not None) and not typed.hours.strip():
        raise RefusedInput("hours", "", "the hours a day that the lamp burns, such as 10")
    answer = tank_light(
        lamp_ppfd_umol_m2_s=ppfd,
        lamp_lux=lux,
        lux_per_umol=factor,
        dimmer_frac=_or(_read(typed.dimmer, "fraction", "dimmer"), 1.0),
        lamp_h=_or(_read(typed.hours, "hours", "hours"), 0.0),
        stray_ppfd_umol_m2_s=_or(_read(typed.stray_ppfd, "ppfd", "stray-ppfd"), 0.0),
        stray_h=_or(_read(typed.stray_hours, "hours", "stray-hours"), 0.0),
    )
    if answer.dli_mol_m2_d is None:
        raise RefusedInput("lux", typed.lux, answer.why.partition("give ")[2] or answer.why)
    return answer


def _factor(typed: TypedLight) -> float | None:
    """The lamp's own factor, or that of a published source."""
    if typed.factor.strip():
        return read_quantity(typed.factor, "lux", field="factor")
    return lux_factor(typed.source) if typed.source.strip() else None


def _read(text: str, kind: str, field: str) -> float | None:
    return read_quantity(text, kind, field=field) if text.strip() else None


def _or(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value
