"""Lamps over time, as the accounts need them: power, hours and dimmer from day to day."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from halfwater.book import queries
from halfwater.book.queries.work import LampChange
from halfwater.deeds.clock import local_day
from halfwater.plain.costing import PowerUse
from halfwater.plain.nursery import LampFacts, NurseryFacts
from halfwater.plain.tank import TankFacts


@dataclass(frozen=True, slots=True)
class _Setting:
    """How a lamp burns from a day on."""

    on: date
    lamp: int | None
    dimmer_frac: float
    hours: float
    is_in_use: bool


def lamp_power(tanks: Sequence[TankFacts], on: date, nursery: NurseryFacts) -> tuple[PowerUse, ...]:
    """What the lamps of the tanks drew up to a day; a lamp without a known power draws nothing here."""
    changes = queries.lamp_changes()
    lamps = {lamp.key: lamp for lamp in queries.lamps()}
    return tuple(
        use
        for tank in tanks
        for use in _uses(tank, _settings(tank, changes.get(tank.key, ()), nursery), lamps, on)
    )


def without_power(tanks: Sequence[TankFacts]) -> tuple[str, ...]:
    """The names of lamps in use of which nobody said what they draw."""
    lamps = {tank.lamp.name for tank in tanks if tank.lamp and tank.lamp.power_w is None and tank.is_in_use}
    return tuple(sorted(lamps))


def ended_on(tank: TankFacts, nursery: NurseryFacts) -> date | None:
    """The day a tank was given up; None while it is in use."""
    if tank.is_in_use:
        return None
    past = queries.lamp_changes().get(tank.key, ())
    gone = [one for one in past if not one.is_entry and not one.is_in_use]
    return local_day(gone[0].at, nursery) if gone else None


def _settings(tank: TankFacts, changes: Sequence[LampChange], nursery: NurseryFacts) -> list[_Setting]:
    """Settings day by day, the last of a day only.

    What a tank was said to be on the day it was written down holds since it was set up.
    """
    own = [change for change in changes if not change.is_entry]
    first_on = local_day(own[0].at, nursery) if own else tank.set_up_on
    first = [change for change in own if local_day(change.at, nursery) == first_on]
    now = _setting(first[-1], tank.set_up_on) if first else _as_today(tank)
    lamp = first[-1] if first else None
    found = {now.on: now}
    for change in (one for one in changes if one not in first):
        on = max(local_day(change.at, nursery), tank.set_up_on)
        if change.is_entry:
            dimmer = now.dimmer_frac if change.dimmer_frac is None else change.dimmer_frac
            hours = now.hours if change.hours is None else change.hours
            now = replace(now, on=on, dimmer_frac=dimmer, hours=hours)
        elif lamp is not None and _is_same_lamp(change, lamp):  # saved, its light left alone: entries hold
            now = replace(now, on=on, is_in_use=change.is_in_use)
        else:
            lamp, now = change, _setting(change, on)
        found[on] = now
    return [found[on] for on in sorted(found)]


def _setting(change: LampChange, on: date) -> _Setting:
    return _Setting(on, change.lamp, change.dimmer_frac or 0.0, change.hours or 0.0, change.is_in_use)


def _as_today(tank: TankFacts) -> _Setting:
    lamp = tank.lamp.key if tank.lamp else None
    return _Setting(tank.set_up_on, lamp, tank.lamp_dimmer_frac, tank.lamp_hours, tank.is_in_use)


def _is_same_lamp(one: LampChange, other: LampChange) -> bool:
    return (one.lamp, one.dimmer_frac, one.hours) == (other.lamp, other.dimmer_frac, other.hours)


def _uses(
    tank: TankFacts, settings: Sequence[_Setting], lamps: Mapping[int, LampFacts], on: date
) -> list[PowerUse]:
    found = []
    for at, setting in enumerate(settings):
        lamp = lamps.get(setting.lamp) if setting.lamp is not None else None
        ends = settings[at + 1].on if at + 1 < len(settings) else None
        burns = setting.is_in_use and setting.hours > 0.0 and setting.dimmer_frac > 0.0
        if lamp is None or lamp.power_w is None or not burns or setting.on > on:
            continue
        found.append(
            PowerUse(
                from_on=setting.on, to_on=ends, power_w=lamp.power_w, hours=setting.hours,
                dimmer_frac=setting.dimmer_frac, tank=tank.key, text=lamp.name,
            )
        )  # fmt: skip
    return found
