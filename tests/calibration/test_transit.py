"""Parcels on simulated ways: ranges hold about what they say, and arrivals put a false forecast right.

The simulator goes by steps of minutes and draws its own truth; it shares only the middle figures of the box.
"""

from dataclasses import replace
from datetime import date

import numpy as np

from halfwater.plain.transit import (
    ArrivalFact,
    Leg,
    Measure,
    ParcelLoad,
    ShippingBox,
    TransitLimits,
    WallLayer,
)
from halfwater.planning.parcel_heat import box_figures, transit_outlooks
from halfwater.planning.shipping import margins_of

BOXES = (
    ShippingBox("foam", 300.0, 250.0, 200.0, (WallLayer("EPS I", 20.0), WallLayer("cardboard", 4.0)), 0.4),
    ShippingBox("carton", 400.0, 300.0, 200.0, (WallLayer("cardboard", 4.0),), 0.3),
)
LOAD = ParcelLoad(8, 0.5, 0.3, 0.2, 21.0)
NANA = TransitLimits("Anubias", 7.0, 33.0, 7.0)
STEP_H = 1.0 / 20.0


def _way(rng):
    """A way of three legs whose weather is forecast one to three days ahead."""
    low = rng.uniform(-2.0, 18.0)
    spans = rng.uniform(5.0, 22.0, 3)
    starts = (16.0 + np.concatenate([[0.0], np.cumsum(spans)[:-1]])) % 24.0
    return [
        Leg(f"leg {i}", float(spans[i]), low, low + 8.0, float(starts[i]), "outside", 1.0 + i)
        for i in range(3)
    ]


def _true_coldest(box, legs, rng, parcels, late_share=0.10):
    """Coldest moment of the plants of many parcels by small steps; late ones lie still for a day."""
    figures = box_figures(box, LOAD)
    through = figures.walls.through_w_k * np.exp(rng.normal(0.0, 0.25, parcels))
    between = figures.between_w_k * np.exp(rng.normal(0.0, 0.4, parcels))
    mass = np.exp(rng.normal(0.0, 0.15, parcels))
    like, late = rng.normal(size=parcels), rng.random(parcels) < late_share
    air = 21.0 + rng.normal(0.0, 2.0, parcels)
    plants, coldest = air.copy(), air.copy()
    held = replace(legs[1], span_h=24.0, clock_h=(legs[1].clock_h + legs[1].span_h) % 24.0)
    for leg, who in ((legs[0], True), (legs[1], True), (held, late), (legs[2], True)):
        sd = 2.1 + 0.35 * (leg.ahead_days - 1.0)
        error = sd * (like + rng.normal(size=parcels)) / np.sqrt(2.0)
        middle, swing = (leg.low_c + leg.high_c) / 2.0, (leg.high_c - leg.low_c) / 2.0
        for hour in np.arange(0.0, leg.span_h, STEP_H):
            outside = middle + swing * np.cos(2.0 * np.pi * (leg.clock_h + hour - 15.0) / 24.0) + error
            flow = between * (air - plants)
            heat = 3600.0 * STEP_H / mass
            air = np.where(who, air + heat * (through * (outside - air) - flow) / figures.air_j_k, air)
            plants = np.where(who, plants + heat * flow / figures.plants_j_k, plants)
            coldest = np.minimum(coldest, plants)
    return coldest


def _said(box, legs, margins, seed):
    return transit_outlooks(box, LOAD, legs, NANA, [Measure()], margins, seed, draws=300)[0]


def test_ranges_of_the_coldest_moment_hold():
    """Over 20 ways the 80 % range holds 75 to 85 % of 600 true parcels, physics stepped by another hand."""
    rng = np.random.default_rng(17)
    fresh = replace(margins_of(()), cold_bias_sd_c=0.0)  # the simulated world has no bias to allow for
    inside = []
    for way in range(20):
        box, legs = BOXES[way % 2], _way(rng)
        true, said = _true_coldest(box, legs, rng, 30), _said(box, legs, fresh, way).coldest
        inside.append(((true >= said.p10) & (true <= said.p90)).mean())
    assert 0.75 <= np.mean(inside) <= 0.85


def test_loggers_put_a_false_forecast_right():
    """Boxes three degrees colder than physics says: after 60 loggers the ranges hold, before they do not."""
    rng = np.random.default_rng(23)
    facts, ways = [], []
    for parcel in range(80):
        box, legs = BOXES[parcel % 2], _way(rng)
        true = _true_coldest(box, legs, rng, 20) - 3.0
        said = _said(box, legs, margins_of(()), parcel)
        ways.append((box, legs, true, parcel))
        facts.append(
            ArrivalFact(
                f"P{parcel}", date(2026, 1, 5), 8, 8, 0, 0.0, said.bare_coldest, said.bare_hottest, 7.0, 33.0,
                logger_low_c=float(true[0] + rng.normal(0.0, 0.5)),
            )
        )  # fmt: skip
    taught = margins_of(facts[:60])

    def held(margins):
        spans = [(_said(box, legs, margins, seed).coldest, true) for box, legs, true, seed in ways[60:]]
        return float(np.mean([((true >= s.p10) & (true <= s.p90)).mean() for s, true in spans]))

    assert abs(taught.cold_bias_c + 3.0) < 3.0 * taught.cold_bias_sd_c
    assert 0.7 <= held(taught) <= 0.9
    assert held(margins_of(())) < held(taught) - 0.1
