"""The air under a lid: how damp, what it loses, what carbon it lets in, and what would tell."""

from math import exp

import numpy as np

from halfwater.plain.figures import show, show_range
from halfwater.plain.growing import Span
from halfwater.plain.lid import LidAir
from halfwater.plain.working import Working
from halfwater.planning.lid_facts import LidFacts
from halfwater.science import starting
from halfwater.science.air import vapour_loss
from halfwater.science.lid_air import dew_margin, lid_carbon, lid_humidity
from halfwater.science.open_water import open_water_loss

HELD_BACK_FRAC = 0.85  # growth below this share of what the room's air allows is worth an experiment
_P10_SD = 1.2815515655446004
_DRIP = "Electricity near water: a residual-current device, drip loops, and the lamp off before hands go in."
_PRIORS = "starting values, Carbon dioxide and vapour under a lid"


def lid_air(facts: LidFacts, units: str = "metric") -> LidAir:
    """The air of one tank, from readings where there are any and from physics where there are none.

    Humidity, vapour and what it takes from the waterline, carbon dioxide by day and the growth it allows,
    dew, and the cheapest experiment that would tell whether air holds growth back.

    Parameters
    ----------
    facts : LidFacts
        The tank.
    units : str
        "metric" or "us", for sentences.

    Returns
    -------
    LidAir
        Ranges are 80 %, from what is not known of the lid's air changes.

    Raises
    ------
    RefusedInput
        If a figure is nan or out of range.

    Notes
    -----
    A humidity read beats one described, which beats one worked out. Air changes nobody described are
    lognormal about the starting value. The lid's inner face is taken midway between inside and room. Where
    plants stand none, carbon is not asked for.

    Source: own definition; priors, Carbon dioxide and vapour under a lid
    """
    ach = _air_changes(facts)
    temp = _first(facts.read_temp_c, facts.described_temp_c, starting.INSIDE_TEMP_C)
    rh, how = _humidity(facts, ach.p50, temp)
    steps = np.array((ach.p10, ach.p50, ach.p90))
    vapour = _span(vapour_loss(facts.air_volume_l, steps, temp, rh, facts.room_temp_c, facts.room_rh_frac))
    carbon = lid_carbon(facts.air_volume_l, steps, facts.lamp_h, facts.wanted_g_30d, temp)
    growth = _span(carbon.growth_frac)
    lid_c = (temp + facts.room_temp_c) / 2.0
    is_wet = float(dew_margin(temp, max(rh, 0.01), lid_c)) < 0.0
    per_mm = facts.litres_per_mm
    return LidAir(
        tank=facts.tank,
        tank_name=facts.tank_name,
        temp_c=temp,
        rh_frac=rh,
        how_known=how,
        read_on=facts.read_on if how == "read" else None,
        room_temp_c=facts.room_temp_c,
        room_rh_frac=facts.room_rh_frac,
        air_changes_per_h=ach,
        vapour_l_day=vapour,
        waterline_mm_day=_over(vapour, per_mm),
        loss_l_day=facts.loss_l_day,
        co2_umol_mol=_span(carbon.co2_umol_mol),
        growth_frac=growth,
        made_g_30d=float(np.asarray(carbon.dry_g_30d)[1]),
        wanted_g_30d=facts.wanted_g_30d,
        dew_margin_c=float(dew_margin(temp, max(rh, 0.01), temp - starting.LEAF_COOLER_C)),
        lid_condenses=is_wet,
        lid_light_loss_frac=starting.LID_WET_LIGHT_FRAC if is_wet else None,
        said=_said(facts, rh, how, vapour, growth, units),
        experiment=_experiment(facts, growth),
        narrows_most=_narrows(facts, how, growth),
        cautions=(_DRIP,) if _experiment(facts, growth) else (),
        workings=_workings(facts, ach, temp, rh, how, vapour, growth, _span(carbon.co2_umol_mol), units),
    )


def _first(*values: float | None) -> float:
    return next(value for value in values if value is not None)


def _air_changes(facts: LidFacts) -> Span:
    if facts.ach_per_h is not None:
        return Span(facts.ach_per_h, facts.ach_per_h, facts.ach_per_h)
    wide = exp(_P10_SD * starting.LID_ACH_SIGMA_LOG)
    return Span(starting.LID_ACH_PER_H / wide, starting.LID_ACH_PER_H, starting.LID_ACH_PER_H * wide)


def _humidity(facts: LidFacts, ach: float, temp: float) -> tuple[float, str]:
    if facts.read_rh_frac is not None:
        return facts.read_rh_frac, "read"
    if facts.described_rh_frac is not None:
        return facts.described_rh_frac, "described"
    wet = facts.floor_m2 + facts.leaf_m2
    rh = lid_humidity(facts.air_volume_l, ach, wet, temp, facts.room_temp_c, facts.room_rh_frac)
    return float(rh), "worked out"


def _span(values: object) -> Span:
    return Span(*(float(value) for value in np.broadcast_to(np.asarray(values, dtype=float), (3,))))


def _over(vapour: Span, litres_per_mm: float | None) -> Span:
    """What the waterline sinks by for a vapour; nothing where the bath's shape is not known."""
    if not litres_per_mm:
        return Span(0.0, 0.0, 0.0)
    return Span(*(value / litres_per_mm for value in (vapour.p10, vapour.p50, vapour.p90)))


def _said(facts: LidFacts, rh: float, how: str, vapour: Span, growth: Span, units: str) -> str:
    moved = show(abs(vapour.p50), "l_day", units)
    goes = (
        f"lets about {moved} go as vapour" if vapour.p50 >= 0.0 else f"takes in about {moved} from the room"
    )
    damp = f"{show(rh, 'frac')} damp under the lid ({how}); it {goes}"
    if not facts.wanted_g_30d:
        return f"{damp}."
    share = f"{100 * growth.p50:.0f} %"
    if growth.p10 >= HELD_BACK_FRAC:
        return f"{damp} and enough carbon in: the plants make {share} of what the room's air would allow."
    wide = f"{100 * growth.p10:.0f} to {100 * growth.p90:.0f} %"
    return f"{damp}. Carbon that comes in allows {share} of the growth of open air ({wide})."


def _experiment(facts: LidFacts, growth: Span) -> str:
    """The cheap experiment, where air may hold growth back."""
    if not facts.wanted_g_30d or growth.p10 >= HELD_BACK_FRAC:
        return ""
    return (
        f"Rest the lid of {facts.tank_name} on two pencils while the lamp is on, for six weeks, and spray as "
        "before. Count the leaves of the same ten plants at the start and at the end, and of ten in a tank "
        "left shut. A fifth more new leaves under the open lid, and it was air that was missing; no more, "
        "and it was not. Look at the waterline each week: it sinks faster."
    )


def _narrows(facts: LidFacts, how: str, growth: Span) -> str:
    if facts.ach_per_h is None and facts.wanted_g_30d and growth.p90 - growth.p10 > 0.15:
        return (
            "How tight the lid is narrows this most: describe it in the tank's settings, or try the pencils."
        )
    if how != "read":
        return "One reading of temperature and humidity under the lid narrows this most."
    return "A second reading under the lid, early in the morning, narrows this most."


def _workings(
    facts: LidFacts, ach: Span, temp: float, rh: float, how: str, vapour: Span, growth: Span, co2: Span,
    units: str,
) -> tuple[Working, ...]:  # fmt: skip
    changes = show_range(ach.p10, ach.p90, "per_h")
    room = f"{show(facts.room_temp_c, 'c', units)}, {show(facts.room_rh_frac, 'frac')}"
    inside = f"{show(temp, 'c', units)}, {show(rh, 'frac')} ({how})"
    lost = Working(
        "Vapour",
        "air under the lid × air changes × (vapour inside − vapour in the room)",
        (
            ("air under the lid", show(facts.air_volume_l, "l", units)),
            ("lid", changes),
            ("inside", inside),
            ("room", room),
        ),
        show_range(vapour.p10, vapour.p90, "l_day", units),
        f"ashrae-2017, chapter 1; {_PRIORS}",
        "0 to 100 air changes an hour",
    )
    bare = _without_a_lid(facts, temp, units)
    if not facts.wanted_g_30d:
        return (lost, *bare)
    carbon = Working(
        "Carbon dioxide by day",
        "what comes through the lid = what the plants take at the strength under it",
        (
            ("hours of light", show(facts.lamp_h, "h")),
            ("dry mass the plants would make in 30 days", show(facts.wanted_g_30d, "g")),
            ("under the lid", f"{co2.p10:.0f} to {co2.p90:.0f} ppm"),
        ),
        f"{100 * growth.p10:.0f} to {100 * growth.p90:.0f} % of the growth of open air",
        _PRIORS,
        "what roots and microbes breathe out is left out: plants have somewhat more",
    )
    return (lost, *bare, carbon)


def _without_a_lid(facts: LidFacts, temp: float, units: str) -> tuple[Working, ...]:
    """What the bath would give off with no lid on, to set the lid's own loss against; frost is left out."""
    if min(temp, facts.room_temp_c) < 0.0:
        return ()
    loss_l_day = 24.0 * facts.floor_m2 * open_water_loss(temp, facts.room_temp_c, facts.room_rh_frac)
    return (
        Working(
            "The bath with no lid on",
            "area × what open water gives off to a still room, by its vapour and by its buoyancy",
            (
                ("open water", f"{facts.floor_m2:.2f} m² at {show(temp, 'c', units)}"),
                ("room", f"{show(facts.room_temp_c, 'c', units)}, {show(facts.room_rh_frac, 'frac')}"),
            ),
            f"about {show(loss_l_day, 'l_day', units)}",
            "shah-2002",
            "to a fifth, and only for an open surface: under a lid the lid's leaks decide",
        ),
    )
