"""Algae: the grower's own months heard, the chance in each tank, and what to do in its order."""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import lru_cache

import numpy as np

from halfwater.book import queries
from halfwater.deeds.bath import TankBath, baths_of
from halfwater.deeds.clock import local_day
from halfwater.deeds.light import light_of
from halfwater.deeds.water import vessel_of
from halfwater.errors import RefusedInput
from halfwater.plain.entry import EntryFact
from halfwater.plain.lid import AlgaeWatch
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.tank import TankFacts
from halfwater.planning.algae_acts import AlgaeFacts, algae_acts
from halfwater.science.algae import AlgaeHazard, learn_algae

MONTH_DAYS = 30
HEARD_MONTHS = 24  # how far back months are heard
NUISANCE = 2.0  # a sighting of some or much
USUAL_EC_MS_CM = 0.6  # of a month without a reading, as the starting hazard has it
_KINDS = ("sighting", "waterline", "ec", "note", "lamp", "siphon")


@dataclass(frozen=True, slots=True)
class TankMonth:
    """One month of one tank, as algae found it."""

    dli_mol_m2_d: float
    ec_ms_cm: float
    wet_frac: float
    is_seen: bool


_Row = tuple[date, str, float | None, str, float | None]  # day, kind, value, word, second
_Noted = tuple[int, date, str, float | None, str, float | None]  # the same, its tank before it


@dataclass(frozen=True, slots=True)
class _Seen:
    """What was noted of one tank that bears on algae, by kind, oldest first."""

    by_kind: Mapping[str, Sequence[_Row]] = field(default_factory=dict)
    limit_mm: float | None = None  # the tank's limit line

    def of(self, kind: str, first: date, last: date) -> Sequence[_Row]:
        """Rows of a kind with first <= day < last."""
        rows = self.by_kind.get(kind, ())
        begin, end = (bisect_left(rows, day, key=lambda row: row[0]) for day in (first, last))
        return rows[begin:end]


def algae_of(name: str, now: datetime) -> AlgaeWatch:
    """The algae of the tank of this name."""
    return algae_watch(now)[queries.tank_named(name).key]


def algae_watch(now: datetime) -> dict[int, AlgaeWatch]:
    """The algae of every tank in use, by its key."""
    lamps = queries.last_entries(kinds=("lamp",))
    return algae_from(now, queries.nursery(), queries.tanks(in_use=None), lamps, baths_of(now))


def algae_from(
    now: datetime,
    nursery: NurseryFacts,
    tanks: Sequence[TankFacts],
    lamps: Mapping[tuple[int, str], EntryFact],
    baths: Mapping[int, TankBath],
) -> dict[int, AlgaeWatch]:
    """The same from what is known already: all tanks, how each lamp was set last, and the baths."""
    today = local_day(now, nursery)
    rows = queries.bare_entries(_KINDS, now - timedelta(days=(HEARD_MONTHS + 1) * MONTH_DAYS), now)
    seen = _seen(tanks, rows)
    hazard = _heard(tuple(tanks), rows, today)
    return {
        tank.key: algae_acts(
            hazard,
            _facts(
                tank,
                seen.get(tank.key, _Seen()),
                lamps.get((tank.key, "lamp")),
                baths.get(tank.key),
                today,
            ),
            today,
        )
        for tank in tanks
        if tank.is_in_use
    }


@lru_cache(maxsize=4)
def _heard(tanks: tuple[TankFacts, ...], rows: tuple[_Noted, ...], today: date) -> AlgaeHazard:
    """What all months say; asked again of the same entries on the same day, it is remembered."""
    return learned(tanks, _seen(tanks, rows), today)


def learned(tanks: Sequence[TankFacts], seen: Mapping[int, _Seen], today: date) -> AlgaeHazard:
    """The hazard from every month of every tank that was looked over, or in which algae were seen."""
    months = [
        month
        for tank in tanks
        for back in range(1, HEARD_MONTHS + 1)
        if (month := _month(tank, seen.get(tank.key, _Seen()), today - timedelta(days=back * MONTH_DAYS)))
    ]
    return _learned(tuple(months))


@lru_cache(maxsize=8)
def _learned(months: tuple[TankMonth, ...]) -> AlgaeHazard:
    columns = [(one.dli_mol_m2_d, one.ec_ms_cm, one.wet_frac, float(one.is_seen)) for one in months]
    light, salts, wet, seen = np.array(columns).reshape(-1, 4).T
    return learn_algae(light, salts, wet, seen)


def _month(tank: TankFacts, seen: _Seen, first: date) -> TankMonth | None:
    """One month; None where nobody looked, or its light is not known."""
    last = first + timedelta(days=MONTH_DAYS)
    algae = [row for row in seen.of("sighting", first, last) if row[3] == "algae"]
    looks = seen.of("note", first, last) or seen.of("sighting", first, last)
    if not looks or tank.set_up_on > first:
        return None
    light = _light(tank, seen, last)
    if light is None:
        return None
    return TankMonth(
        dli_mol_m2_d=min(light, 60.0),
        ec_ms_cm=_ec(seen, first, last, USUAL_EC_MS_CM),
        wet_frac=_wet(seen, first, last),
        is_seen=any((row[2] or 0.0) >= NUISANCE for row in algae),
    )


def _light(tank: TankFacts, seen: _Seen, last: date) -> float | None:
    """Daily light as the lamp was set by the end of a month, or as described."""
    settings = seen.of("lamp", date.min, last)
    dimmer, hours = tank.lamp_dimmer_frac, tank.lamp_hours
    if settings:
        _, _, value, _, second = settings[-1]
        dimmer, hours = (dimmer if value is None else value), (hours if second is None else second)
    full = light_of(tank, None)
    lamp = next((source for source in full.sources if source.name == "lamp"), None)
    if full.dli_mol_m2_d is None:
        return None
    if lamp is None or not tank.lamp_dimmer_frac or not tank.lamp_hours:
        return full.dli_mol_m2_d
    share = dimmer * hours / (tank.lamp_dimmer_frac * tank.lamp_hours)
    return full.dli_mol_m2_d + lamp.dli_mol_m2_d * (share - 1.0)


def _ec(seen: _Seen, first: date, last: date, otherwise: float) -> float:
    read = [row[2] for row in seen.of("ec", first, last) if row[2] is not None and row[2] <= 20.0]
    return float(np.mean(read)) if read else otherwise


def _wet(seen: _Seen, first: date, last: date) -> float:
    """Share of a month's waterlines that stood at or above the limit line; none read: none."""
    limit_mm = seen.limit_mm
    read = [row[2] for row in seen.of("waterline", first, last) if row[2] is not None]
    return sum(depth >= limit_mm for depth in read) / len(read) if read and limit_mm is not None else 0.0


def _facts(
    tank: TankFacts, seen: _Seen, lamp: EntryFact | None, bath: TankBath | None, today: date
) -> AlgaeFacts:
    light = light_of(tank, lamp)
    source = next((one for one in light.sources if one.name == "lamp"), None)
    lamp_mol = source.dli_mol_m2_d if source is not None else 0.0
    stray = max((light.dli_mol_m2_d or 0.0) - lamp_mol, 0.0)
    first, last = today - timedelta(days=MONTH_DAYS), today + timedelta(days=1)
    algae = [row for row in seen.of("sighting", date.min, last) if row[3] == "algae"]
    outlook = bath.outlook if bath is not None else None
    acted = [row[0] for kind in ("lamp", "siphon") for row in seen.of(kind, date.min, last)]
    return AlgaeFacts(
        tank=tank.key,
        tank_name=tank.name,
        ppfd_umol_m2_s=source.ppfd_umol_m2_s if source is not None else 0.0,
        lamp_h=source.lit_h if source is not None else 0.0,
        stray_mol_m2_d=min(stray, 60.0),
        is_light_known=light.dli_mol_m2_d is not None,
        ec_ms_cm=outlook.ec_now.p50 if outlook is not None else USUAL_EC_MS_CM,
        wet_frac=_wet(seen, first, last),
        seen_on=algae[-1][0] if algae else None,
        seen_strength=int(algae[-1][2] or 1) if algae else 0,
        acted_on=max((day for day in acted if algae and day > algae[-1][0]), default=None),
    )


def _seen(tanks: Sequence[TankFacts], rows: Sequence[_Noted]) -> dict[int, _Seen]:
    found: dict[int, dict[str, list[_Row]]] = {}
    for tank, *row in rows:
        found.setdefault(tank, {}).setdefault(row[1], []).append(tuple(row))  # type: ignore[arg-type]
    return {tank.key: _Seen(found.get(tank.key, {}), _limit_line(tank)) for tank in tanks}


def _limit_line(tank: TankFacts) -> float | None:
    try:
        return vessel_of(tank)[1].limit_line_mm
    except RefusedInput:
        return None
