"""A reckoned bath as one evening sees it: now, as it stood, or as it is foreseen."""

from collections.abc import Sequence
from datetime import date, datetime
from math import isfinite

import numpy as np

from halfwater.deeds.clock import day_number, evening_of, local_day
from halfwater.deeds.water import Bath
from halfwater.plain.nursery import NurseryFacts
from halfwater.planning.night import WaterOutlook
from halfwater.science.vessel import bath_depth, bath_volume
from halfwater.science.water_facts import TankWater, WaterAnswer


def outlook_of(bath: Bath, on: date, at: datetime, nursery: NurseryFacts) -> WaterOutlook | None:
    """What the round of an evening knows of a bath; None where nothing can be said."""
    answer, water = bath.answer, bath.water
    if answer is None or water is None:
        return None
    ahead_days = max(day_number(evening_of(on, nursery), nursery) - bath.now_day, 0.0)
    is_ahead = on > local_day(at, nursery)
    depth_mm = _depth_ahead(answer, bath.now_day + ahead_days) if is_ahead else answer.depth_mm
    low_l, depth_l = (float(v) for v in bath_volume(water.vessel, [water.lines.low_line_mm, depth_mm]))
    return WaterOutlook(
        depth_mm=depth_mm,
        volume_l=depth_l if is_ahead else answer.volume_l,
        low_line_mm=water.lines.low_line_mm,
        limit_line_mm=water.lines.limit_line_mm,
        low_volume_l=low_l,
        siphon_volume_l=_siphon_volume(water, depth_l if is_ahead else answer.volume_l, low_l),
        p_past_limit_frac=chance_past(answer, ahead_days + 1.0),
        siphon_p10_on=bath.day_in(answer.siphon_p10_day),
        siphon_p50_on=bath.day_in(answer.siphon_p50_day),
        siphon_p90_on=bath.day_in(answer.siphon_p90_day),
        reading_gain_days=answer.reading_gain_days if isfinite(answer.reading_gain_days) else None,
        due_volume_l=answer.siphon_volume_l,
        doubted_mm=_doubted(answer, water),
    )


def _doubted(answer: WaterAnswer, water: TankWater) -> float | None:
    """The depth last read, where it was set aside and no reading has come since."""
    last = answer.misfits[-1] if answer.misfits else None
    if last is None or last.day != answer.last_reading_day:
        return None
    rim_l = float(bath_volume(water.vessel, water.vessel.height_mm))
    return float(bath_depth(water.vessel, min(max(last.read_l, 0.0), rim_l)))


def chance_past(answer: WaterAnswer, days: float) -> float:
    """The chance that the limit line is passed within some days, read off the forecast's own dates."""
    marks = [(0.0, answer.p_past_limit_now)]
    quantiles = ((answer.siphon_p10_day, 0.1), (answer.siphon_p50_day, 0.5), (answer.siphon_p90_day, 0.9))
    marks += [(day, p) for day, p in quantiles if isfinite(day) and p > answer.p_past_limit_now and day > 0.0]
    at_days, chances = zip(*marks, strict=True)
    return float(np.interp(days, at_days, chances))


def _depth_ahead(answer: WaterAnswer, day: float) -> float:
    """The middle of the fan on a coming day, if nobody siphons."""
    fan: Sequence[tuple[float, float]] = [(level.day, level.depth_p50_mm) for level in answer.ahead]
    if not fan:
        return answer.depth_mm
    days, depths = zip(*fan, strict=True)
    return float(np.interp(day, days, depths, left=answer.depth_mm))


def _siphon_volume(water: TankWater, volume_l: float, low_l: float) -> float:
    """Litres down to the low line: from the bath as it stands, or from the limit line if it stands lower."""
    limit_l = float(bath_volume(water.vessel, water.lines.limit_line_mm))
    return volume_l - low_l if volume_l > low_l else limit_l - low_l
