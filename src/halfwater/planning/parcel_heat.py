"""A packed box as bodies of heat, and what a way does to it: many draws of walls, packs and weather."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.plain.growing import Span
from halfwater.plain.transit import (
    LEG_KINDS,
    HeatPack,
    Leg,
    Liner,
    Measure,
    ParcelLoad,
    ShippingBox,
    TransitHour,
    TransitLimits,
    TransitMargins,
    TransitOutlook,
    WallLayer,
)
from halfwater.science import starting
from halfwater.science.insulation import MATERIALS, BoxWalls, Layer, box_walls
from halfwater.science.limits import Limits
from halfwater.science.parcel_arrivals import Normal, chance_of_harm
from halfwater.science.transit import (
    PackCurve,
    Stretch,
    Track,
    box_heat,
    pack_curve,
    parcel_temperatures,
)

Floats = NDArray[np.float64]

MOST_PACKS = 6
_WATER_J_KGK = 4180.0
_MOST_SUN_C = 40.0  # hotter than any closed vehicle gets above the air around it
_AIR_J_LK = 1.2  # a litre of air at 20 C warms by a degree with 1.2 J
_KG = Limits("mass in the box", 0.0, 100.0, "kg")


@dataclass(frozen=True, slots=True)
class BoxFigures:
    """A packed box by its middle figures."""

    walls: BoxWalls
    between_w_k: float
    air_j_k: float
    plants_j_k: float
    bundle_mm: float  # volume of the bundle over its surface


@dataclass(frozen=True, slots=True)
class _Chances:
    """What is not known of a parcel, drawn once for all measures that are tried on it."""

    walls_factor: Floats
    between_factor: Floats
    mass_factor: Floats
    start_sd: Floats
    weather_sd: Floats  # weather error that all legs share
    legs_sd: Floats  # that of each leg
    sun_c: Floats
    packs: Floats  # power of the first n packs, in usual packs
    is_late: NDArray[np.bool_]
    cold_sd: Floats
    hot_sd: Floats


def box_figures(box: ShippingBox, load: ParcelLoad, liner: Liner | None = None) -> BoxFigures:
    """Heat through a packed box and heat held in it.

    Parameters
    ----------
    box : ShippingBox
        Measured inside, with its layers from the inside outward.
    load : ParcelLoad
        What is in it.
    liner : Liner or None
        Laid inside, where there is one: it takes its thickness off the room.

    Returns
    -------
    BoxFigures
        Walls, heat between air and plants, heat capacities.

    Raises
    ------
    RefusedInput
        If a material is not known, a mass is nan or negative, nothing is in the box, or the plants do not
        go in.

    Notes
    -----
    Ca = 1.2 J/K for each free litre + padding + half of the walls; Cp = 3600 a kg of plants + 4180 a kg of
    water and wet paper. The bundle is taken as a cube of 0.25 kg/L that passes 4 W/(m2 K).

    Source: priors, Boxes on their way
    """
    plants_kg, wet_kg, packing_kg = (_KG.one(x) for x in (load.plants_kg, load.wet_kg, load.packing_kg))
    if load.plants < 1 or plants_kg + wet_kg <= 0.0:
        raise RefusedInput("plants in the box", load.plants, "at least one, with a mass above 0")
    gap_mm = 2.0 * liner.layer.thickness_mm if liner else 0.0
    length, width, height = (side - gap_mm for side in (box.length_mm, box.width_mm, box.height_mm))
    inward = ((liner.layer,) if liner else ()) + box.layers
    walls = box_walls(length, width, height, [_layer(layer) for layer in inward])
    inside_l = length * width * height * 1e-6
    bundle_l = (plants_kg + wet_kg) / starting.BUNDLE_KG_L
    if bundle_l > 1.5 * inside_l:
        raise RefusedInput(
            "plants in the box", f"{plants_kg + wet_kg:g} kg", f"what goes into {inside_l:.3g} L"
        )
    bundle_m2 = 6.0 * (bundle_l * 1e-3) ** (2.0 / 3.0)
    wall_j_k = sum(_wall_heat(layer, walls) for layer in inward) / 2.0
    padding_j_k = packing_kg * MATERIALS["paper padding"].heat_j_kgk
    return BoxFigures(
        walls,
        starting.WRAP_W_M2K * bundle_m2,
        _AIR_J_LK * max(inside_l - bundle_l, 0.1 * inside_l) + padding_j_k + wall_j_k,
        starting.PLANT_J_KGK * plants_kg + _WATER_J_KGK * wet_kg,
        bundle_l * 1e-3 / bundle_m2 * 1e3,
    )


def delayed(legs: Sequence[Leg], late_days: float = starting.LATE_DAYS) -> tuple[Leg, ...]:
    """The way of a parcel that comes late: longer where it was before its last leg.

    Parameters
    ----------
    legs : sequence of Leg
        The way as planned, at least one leg.
    late_days : float
        By how much it is late. [d] Valid above 0..30.

    Returns
    -------
    tuple of Leg
        The way with the delay.

    Raises
    ------
    RefusedInput
        If there is no leg, or the delay is none.

    Notes
    -----
    The delay has the weather of the leg that it prolongs, forecast so much further ahead.

    Source: priors, Boxes on their way
    """
    if not legs:
        raise RefusedInput("legs", "none", "at least one leg of the way")
    late_h = 24.0 * Limits("late_days", 1e-3, 30.0, "days").one(late_days)
    at = max(len(legs) - 2, 0)
    held = legs[at]
    end_h = (held.clock_h + held.span_h) % 24.0
    wait = replace(
        held, name=f"{held.name}, late", span_h=late_h, clock_h=end_h, ahead_days=held.ahead_days + late_days
    )
    after = [replace(leg, ahead_days=leg.ahead_days + late_days) for leg in legs[at + 1 :]]
    return (*legs[: at + 1], wait, *after)


def transit_outlooks(
    box: ShippingBox,
    load: ParcelLoad,
    legs: Sequence[Leg],
    limits: TransitLimits,
    measures: Sequence[Measure],
    margins: TransitMargins,
    seed: int,
    liner: Liner | None = None,
    pack: HeatPack | None = None,
    draws: int = 400,
) -> tuple[TransitOutlook, ...]:
    """Coldest and hottest plant temperature on a way, for each of several measures.

    All measures are tried on the same draws, so that their difference is not chance.

    Parameters
    ----------
    box : ShippingBox
        The box.
    load : ParcelLoad
        What is in it.
    legs : sequence of Leg
        The way with its weather.
    limits : TransitLimits
        Of the tenderest plants in it.
    measures : sequence of Measure
        What may be done to the box.
    margins : TransitMargins
        What arrivals taught.
    seed : int
        Of the draws.
    liner : Liner or None
        At hand, for the measures with a liner.
    pack : HeatPack or None
        At hand, for the measures with packs.
    draws : int
        How many.

    Returns
    -------
    tuple of TransitOutlook
        One a measure, in their order, with 80 % ranges.

    Raises
    ------
    RefusedInput
        If a leg, the box or the load cannot be, or a measure needs what is not at hand.

    Notes
    -----
    Drawn: walls, wrapping, masses, packs that fail, start, weather (an error shared by all legs and one of
    each), sun on vehicles, a late parcel. The bias that arrivals taught is added at the end.

    Source: priors, Boxes on their way
    """
    for leg in legs:
        _check_leg(leg)
    chances = _chances(len(legs), margins, draws, seed)
    return tuple(_outlook(box, load, legs, limits, m, margins, chances, liner, pack) for m in measures)


def _outlook(
    box: ShippingBox,
    load: ParcelLoad,
    legs: Sequence[Leg],
    limits: TransitLimits,
    measure: Measure,
    margins: TransitMargins,
    chances: _Chances,
    liner: Liner | None,
    pack: HeatPack | None,
) -> TransitOutlook:
    if (measure.has_liner and liner is None) or (measure.packs and pack is None):
        raise RefusedInput("measure", measure.words, "what is at hand")
    figures = box_figures(box, load, liner if measure.has_liner else None)
    curve = pack_curve(pack.label_h, pack.mean_w) if pack is not None and measure.packs else None
    everyone = np.arange(len(chances.walls_factor))
    start = load.start_c if load.start_c is not None else starting.ROOM_TEMP_C
    on_time = _track(figures, legs, chances, everyone, curve, measure.packs, start)
    cold, hot = on_time.coldest_c.copy(), on_time.hottest_c.copy()
    late = np.flatnonzero(chances.is_late)
    if late.size:
        track = _track(figures, delayed(legs, margins.late_days), chances, late, curve, measure.packs, start)
        cold[late], hot[late] = track.coldest_c, track.hottest_c
    felt_cold = cold + margins.cold_bias_c + margins.cold_bias_sd_c * chances.cold_sd
    felt_hot = hot + margins.hot_bias_c + margins.hot_bias_sd_c * chances.hot_sd
    low = Normal(margins.low_shift_c, margins.low_shift_sd_c)
    high = Normal(margins.high_shift_c, margins.high_shift_sd_c)
    return TransitOutlook(
        measure,
        _span(felt_cold),
        _span(felt_hot),
        chance_of_harm(felt_cold, limits.low_c, low),
        chance_of_harm(felt_hot, limits.high_c, high, is_low=False),
        sum(leg.span_h for leg in legs) / 24.0,
        _span(cold),
        _span(hot),
        _hours(on_time),
    )


def _track(
    figures: BoxFigures,
    legs: Sequence[Leg],
    chances: _Chances,
    who: NDArray[np.intp],
    curve: PackCurve | None,
    packs: int,
    start_c: float,
) -> Track:
    """Temperatures of some of the draws on a way."""
    heat = box_heat(
        figures.walls.through_w_k * chances.walls_factor[who],
        figures.between_w_k * chances.between_factor[who],
        figures.air_j_k * chances.mass_factor[who],
        figures.plants_j_k * chances.mass_factor[who],
    )
    shifts, swings = np.zeros((2, len(who), len(legs)))
    like = starting.FORECAST_LIKE_FRAC
    for index, leg in enumerate(legs):
        sd = starting.FORECAST_SD_C + starting.FORECAST_GROWS_C * (leg.ahead_days - 1.0)
        own = chances.legs_sd[who, min(index, chances.legs_sd.shape[1] - 1)]
        shifts[:, index] = sd * (math.sqrt(like) * chances.weather_sd[who] + math.sqrt(1.0 - like) * own)
        if leg.kind == "vehicle" and leg.high_c > leg.low_c:
            shifts[:, index] += chances.sun_c[who] / 2.0
            swings[:, index] = chances.sun_c[who] / 2.0
    begin = start_c + starting.START_SD_C * chances.start_sd[who]
    working = chances.packs[who, packs]
    stretches = [_stretch(leg) for leg in legs]
    return parcel_temperatures(heat, stretches, begin, shifts, curve, working, swings)


def _chances(legs: int, margins: TransitMargins, draws: int, seed: int) -> _Chances:
    """Everything unknown, drawn once; the same seed draws the same."""
    if draws < 10:
        raise RefusedInput("draws", draws, "at least 10")
    rng = np.random.default_rng(seed)
    normal = rng.standard_normal((8, draws))
    each = rng.standard_normal((draws, legs + 2))
    works = rng.random((draws, MOST_PACKS)) >= starting.PACK_FAIL_FRAC
    power = np.exp(starting.PACK_SIGMA_LOG * normal[6])[:, None]
    packs = np.concatenate([np.zeros((draws, 1)), np.cumsum(works, axis=1) * power], axis=1)
    return _Chances(
        walls_factor=np.exp(starting.WALL_SIGMA_LOG * normal[0]),
        between_factor=np.exp(starting.WRAP_SIGMA_LOG * normal[1]),
        mass_factor=np.exp(starting.BUNDLE_SIGMA_LOG * normal[2]),
        start_sd=normal[3],
        weather_sd=normal[4],
        legs_sd=each,
        sun_c=np.minimum(
            starting.VEHICLE_SUN_C * np.exp(starting.VEHICLE_SIGMA_LOG * normal[5]), _MOST_SUN_C
        ),
        packs=packs,
        is_late=rng.random(draws) < margins.p_late,
        cold_sd=normal[7],
        hot_sd=rng.standard_normal(draws),
    )


def _stretch(leg: Leg) -> Stretch:
    swing = (leg.high_c - leg.low_c) / 2.0
    if leg.kind == "indoors":
        swing *= starting.INDOORS_FRAC
    return Stretch(leg.span_h, (leg.high_c + leg.low_c) / 2.0, swing, starting.PEAK_H - leg.clock_h)


def _check_leg(leg: Leg) -> None:
    if leg.kind not in LEG_KINDS:
        raise RefusedInput("kind of leg", leg.kind, f"one of {', '.join(LEG_KINDS)}", leg.name)
    if not (math.isfinite(leg.low_c) and math.isfinite(leg.high_c)) or leg.low_c > leg.high_c:
        raise RefusedInput("low_c", leg.low_c, f"at most the highest, {leg.high_c:g}", leg.name)
    if not 0.0 <= leg.clock_h <= 24.0:
        raise RefusedInput("clock_h", leg.clock_h, "an hour of the day from 0 to 24", leg.name)
    if not 0.0 <= leg.ahead_days <= 30.0:
        raise RefusedInput("ahead_days", leg.ahead_days, "0 to 30 days", leg.name)


def _layer(layer: WallLayer) -> Layer:
    material = MATERIALS.get(layer.material)
    if material is None:
        raise RefusedInput("material", layer.material, f"one of {', '.join(MATERIALS)}")
    own = layer.conductivity_w_mk
    return Layer(layer.thickness_mm, material.conductivity_w_mk if own is None else own, material.bare_frac)


def _wall_heat(layer: WallLayer, walls: BoxWalls) -> float:
    material = MATERIALS[layer.material]
    wall_l = layer.thickness_mm * (walls.inner_m2 + walls.outer_m2) / 2.0
    return wall_l * material.density_kg_l * material.heat_j_kgk


def _span(values: Floats) -> Span:
    low, middle, high = np.quantile(values, [0.1, 0.5, 0.9])
    return Span(float(low), float(middle), float(high))


def _hours(track: Track) -> tuple[TransitHour, ...]:
    """The way hour by hour, for a picture."""
    whole = np.unique(
        np.searchsorted(track.after_h, np.arange(0.0, track.after_h[-1] + 1.0), side="right") - 1
    )
    quantiles = np.quantile(track.plants_c[:, whole], [0.1, 0.5, 0.9], axis=0)
    outside = track.outside_c[:, whole].mean(axis=0)
    return tuple(
        TransitHour(float(hour), float(out), Span(*(float(q) for q in plants)))
        for hour, out, plants in zip(track.after_h[whole], outside, quantiles.T, strict=True)
    )
