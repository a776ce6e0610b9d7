"""Where the water of a tank goes, hour by hour: bath, clay, leaves, glass and the air of the room.

The air under the lid is taken as settled within the hour between what wets it (bath, leaves, wet clay),
what dries it (the lid's leaks) and the glass it condenses on. What the bath gains and gives does not
hang on how deep it is, so the course of a bath that nobody siphons is the sum of its hours.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.demo.nursery import Place
from halfwater.demo.room import Room, grams_m3
from halfwater.demo.truth import Floats

Flags = NDArray[np.bool_]
FILM_L_M2 = 0.10  # spray a square metre of leaf holds
CLAY_HOLDS_L_L = 0.05  # water on the upper pellets, by volume of clay
MOVE_M_H = 2.0  # still air over a wet surface, as a speed
LEAF_DAY_M_H, LEAF_NIGHT_M_H = 0.5, 0.05  # through the leaf itself
GLASS_M_H = 0.4
BACK_FRAC = 0.6  # of what condenses on the glass; the rest runs out at the rim
DRIP_PER_H, SEEP_PER_H, WICK_PER_H = 0.18, 0.12, 0.02


@dataclass(frozen=True, slots=True)
class Hours:
    """What each hour brings to the bath and takes from it, and the air inside."""

    caught_l: Floats
    lost_l: Floats
    temp_c: Floats
    rh_frac: Floats


@dataclass(frozen=True, slots=True)
class Wetting:
    """What a tank offers the air each hour, ready for the hourly loop."""

    saturated_g_m3: Floats
    glass_g_m3: Floats
    room_g_m3: Floats
    leak_m3_h: Floats
    bath_m3_h: float
    leaf_m3_h: Floats
    clay_m3_h: float
    glass_m3_h: float
    film_room_l: Floats
    clay_room_l: float
    leaf_cover_frac: Floats
    clay_cover_frac: float


def hourly_water(place: Place, room: Room, leaf_area_m2: Floats, sprayed_l: Floats) -> Hours:
    """The hours of one tank; `leaf_area_m2` and `sprayed_l` (truly sprayed) have one value an hour."""
    is_lit = (room.hour >= 8) & (room.hour < 8 + place.facts.lamp_hours)
    warm = np.convolve(is_lit.astype(float), np.full(3, 1 / 3))[: is_lit.size]
    inside_c = room.temp_c + 1.2 + place.nature.gap_at_lamp_c * warm
    wet = _wetting(place, room, inside_c, leaf_area_m2, is_lit, sprayed_l > 0)
    caught, lost, vapour = _loop(wet, sprayed_l * (1 - place.nature.missing_frac))
    return Hours(caught, lost, inside_c, np.clip(vapour / wet.saturated_g_m3, 0.0, 1.0))


def _wetting(
    place: Place, room: Room, inside_c: Floats, leaf_m2: Floats, is_lit: Flags, is_opened: Flags
) -> Wetting:
    """Surfaces and leaks of a tank as conductances. [m3/h]"""
    tank, nature = place.facts, place.nature
    floor_m2 = tank.length_mm * tank.width_mm / 1e6
    pot = tank.pot
    pots_m2 = tank.pots * np.pi * (pot.top_mm / 2000) ** 2 if pot else 0.0
    dry_clay_m = (pot.height_mm * tank.clay_fill_frac - 20) / 1000 if pot else 0.0
    air_m3 = floor_m2 * (tank.height_mm - 60) / 1000
    walls_m2 = floor_m2 + 2 * (tank.length_mm + tank.width_mm) * (tank.height_mm - 60) / 1e6
    full = np.ones_like(inside_c)
    return Wetting(
        saturated_g_m3=grams_m3(inside_c - 0.3, full),
        glass_g_m3=grams_m3(0.4 * inside_c + 0.6 * room.temp_c, full),
        room_g_m3=room.vapour_g_m3,
        leak_m3_h=np.asarray(air_m3 * (nature.ach_per_h + nature.lid_openings * is_opened)),
        bath_m3_h=MOVE_M_H * (floor_m2 - pots_m2) * 0.5,
        leaf_m3_h=leaf_m2 * np.where(is_lit, LEAF_DAY_M_H, LEAF_NIGHT_M_H),
        clay_m3_h=MOVE_M_H * pots_m2 * 0.5,
        glass_m3_h=GLASS_M_H * walls_m2,
        film_room_l=FILM_L_M2 * leaf_m2,
        clay_room_l=CLAY_HOLDS_L_L * pots_m2 * dry_clay_m * 1000,
        leaf_cover_frac=1 - np.exp(-0.5 * leaf_m2 / floor_m2),
        clay_cover_frac=pots_m2 / floor_m2,
    )


def _loop(wet: Wetting, sprayed_l: Floats) -> tuple[Floats, Floats, Floats]:
    """Hour after hour: spray, drip, evaporation, condensation. Caught, lost [L] and vapour inside [g/m3]."""
    caught, lost, vapour = (np.empty(sprayed_l.size) for _ in range(3))
    film = clay = 0.0
    courses = (
        sprayed_l, wet.saturated_g_m3, wet.glass_g_m3, wet.room_g_m3,
        wet.leak_m3_h, wet.leaf_m3_h, wet.film_room_l, wet.leaf_cover_frac,
    )  # fmt: skip
    rows = zip(*(course.tolist() for course in courses), strict=True)
    for hour, (spray, full, glass, room, leak, leaf, film_room, cover) in enumerate(rows):
        on_leaf = spray * cover
        on_clay = (spray - on_leaf) * wet.clay_cover_frac
        film, drip = _held(film + on_leaf, film_room, DRIP_PER_H)
        clay, seep = _held(clay + on_clay + drip * wet.clay_cover_frac, wet.clay_room_l, SEEP_PER_H)
        gain = spray - on_leaf - on_clay + drip * (1 - wet.clay_cover_frac) + seep
        film_g = 2 * MOVE_M_H * 0.3 * film / FILM_L_M2
        clay_g = wet.clay_m3_h * min(1.0, 0.15 + clay / wet.clay_room_l)
        wetting = wet.bath_m3_h + leaf + film_g + clay_g
        inside = (wetting * full + leak * room) / (wetting + leak)
        run = 0.0
        if inside > glass:
            drawn = wetting * full + leak * room + wet.glass_m3_h * glass
            inside = drawn / (wetting + leak + wet.glass_m3_h)
            run = max(0.0, wet.glass_m3_h * (inside - glass)) / 1000
        pull = max(0.0, full - inside) / 1000
        film = max(0.0, film - film_g * pull)
        wick = WICK_PER_H * max(0.0, 0.35 * wet.clay_room_l - clay)  # the pellets draw the bath up
        clay = max(0.0, clay + wick - clay_g * pull)
        caught[hour] = gain
        lost[hour] = (wet.bath_m3_h + leaf) * pull + wick - BACK_FRAC * run
        vapour[hour] = inside
    return caught, lost, vapour


def _held(water_l: float, room_l: float, run_per_h: float) -> tuple[float, float]:
    """What stays and what runs off in an hour: all above the room there is, and part of the upper half."""
    over = max(0.0, water_l - room_l)
    kept = water_l - over
    slow = run_per_h * max(0.0, kept - 0.5 * room_l)
    return kept - slow, over + slow
