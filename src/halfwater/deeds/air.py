"""The air under the lids: from readings where there are any, from physics where there are none."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from halfwater.book import queries
from halfwater.deeds.bath_facts import NO_PLANTS, Plants, plants_by_tank
from halfwater.deeds.water import Bath, air_volume, reckon_baths
from halfwater.plain.entry import EntryFact
from halfwater.plain.growing import Span
from halfwater.plain.lid import LidAir
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.tank import TankFacts
from halfwater.planning.lid_air import lid_air
from halfwater.planning.lid_facts import LidFacts
from halfwater.science import starting
from halfwater.science.vessel import bath_volume

READ_DAYS = 60  # an older reading of the air tells of another season
_P10_SD = 1.2815515655446004


def air_of(name: str, now: datetime) -> LidAir:
    """The air of the tank of this name."""
    return _airs((queries.tank_named(name),), now)[0]


def airs_of(now: datetime) -> tuple[LidAir, ...]:
    """The air of every tank in use, in walking order."""
    return _airs(queries.tanks(), now)


def _airs(tanks: Sequence[TankFacts], now: datetime) -> tuple[LidAir, ...]:
    nursery = queries.nursery()
    baths = reckon_baths(tanks, nursery, now)
    last = queries.last_entries(kinds=("air", "lamp"))
    plants = plants_by_tank()
    since = now - timedelta(days=READ_DAYS)
    found = []
    for tank in tanks:
        air = last.get((tank.key, "air"))
        fresh = air if air is not None and since <= air.at <= now else None
        facts = _facts(
            tank,
            nursery,
            baths[tank.key],
            plants.get(tank.key, NO_PLANTS),
            fresh,
            last.get((tank.key, "lamp")),
        )
        found.append(lid_air(facts, nursery.units))
    return tuple(found)


def _facts(
    tank: TankFacts,
    nursery: NurseryFacts,
    bath: Bath,
    plants: Plants,
    air: EntryFact | None,
    lamp: EntryFact | None,
) -> LidFacts:
    answer, water = bath.answer, bath.water
    per_mm, loss = None, None
    if answer is not None and water is not None:
        depth = min(answer.depth_mm, water.vessel.height_mm - 1.0)
        low, high = (float(value) for value in bath_volume(water.vessel, [depth, depth + 1.0]))
        per_mm = high - low
        spread = _P10_SD * answer.loss_sd_l_day
        mid = answer.loss_l_day
        loss = Span(mid - spread, mid, mid + spread)
    hours = tank.lamp_hours if lamp is None or lamp.second is None else lamp.second
    return LidFacts(
        tank=tank.key,
        tank_name=tank.name,
        air_volume_l=air_volume(tank),
        floor_m2=tank.length_mm * tank.width_mm / 1e6,
        leaf_m2=plants.leaf_m2,
        lamp_h=hours,
        wanted_g_30d=30.0 * plants.uptake_n_mg_day / starting.N_MG_PER_G_DRY,
        room_temp_c=starting.ROOM_TEMP_C if nursery.room_temp_c is None else nursery.room_temp_c,
        room_rh_frac=starting.ROOM_RH_FRAC if nursery.room_rh_frac is None else nursery.room_rh_frac,
        ach_per_h=tank.lid_ach_per_h,
        read_temp_c=air.value if air is not None else None,
        read_rh_frac=air.second if air is not None else None,
        read_on=air.day if air is not None else None,
        described_temp_c=tank.inside_temp_c,
        described_rh_frac=tank.inside_rh_frac,
        litres_per_mm=per_mm,
        loss_l_day=loss,
    )
