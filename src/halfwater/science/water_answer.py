"""From a filtered bath to its answer: level, dates, litres, and what a reading would be worth."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from halfwater.science import starting
from halfwater.science.evenings import EveningHabit, usual_amount
from halfwater.science.passage import (
    Futures,
    SprayAhead,
    draw_futures,
    passage_cdf,
    passage_quantile,
)
from halfwater.science.vessel import bath_depth, bath_volume, free_area
from halfwater.science.water_facts import KeptState, LevelDay, Misfit, Noon, TankWater, WaterAnswer
from halfwater.science.waterline import WaterNoise, WaterState, WaterTrack, state_at_end

Floats = NDArray[np.float64]
_P10_SD = 1.2815515655446004  # the normal's 90 % point
_FAN_DAYS = 75


def spray_ahead(tank: TankWater, habit: EveningHabit, now_day: float) -> SprayAhead:
    """What the coming evenings are expected to bring this tank.

    Parameters
    ----------
    tank : TankWater
        The tank with its plan.
    habit : EveningHabit
        How it was sprayed lately.
    now_day : float
        Now. [d] Valid any finite.

    Returns
    -------
    SprayAhead
        Mean and standard deviation of an evening's spray [L], and days until the next. [1]

    Notes
    -----
    Mean g a + h m with g and h the shares of evenings and mornings sprayed lately, a the usual amount, m
    the planned morning spray. Variance g var(a) + g (1 - g) a^2 + h (1 - h) m^2.
    Tonight counts as still to come until the evening has been taken up.

    Source: own definition
    """
    amount = usual_amount(habit, tank.plan_night_l)
    given = habit.given_frac
    spread = habit.amount_var + (starting.SPRAY_CV_FRAC * amount) ** 2
    evening = math.floor(now_day) + tank.evening_frac
    if habit.next_evening is not None:
        evening = max(evening, habit.next_evening + tank.evening_frac)
    if evening <= now_day:
        evening = now_day + 1.0 / 24.0 if now_day - evening < 0.25 else evening + 1.0
    variance = given * spread + given * (1.0 - given) * amount**2
    morning = habit.morning_frac
    variance += morning * (1.0 - morning) * tank.plan_morning_l**2
    mean = given * amount + morning * tank.plan_morning_l
    return SprayAhead(mean, math.sqrt(variance), evening - now_day)


def answer_water(
    tank: TankWater,
    track: WaterTrack,
    habit: EveningHabit,
    now_day: float,
    noise: WaterNoise,
    *,
    noons: Sequence[Noon] = (),
    look_days: Sequence[float] = (),
    reading_days: Sequence[float] = (),
) -> WaterAnswer:
    """Where a bath stands, when it passes its lines, and what a reading tonight would be worth.

    Parameters
    ----------
    tank : TankWater
        The tank.
    track : WaterTrack
        Its filtered history, ending now.
    habit : EveningHabit
        The spray habit now.
    now_day : float
        Now. [d] Valid any finite.
    noise : WaterNoise
        Variances a day.
    noons : sequence of Noon
        Noons whose states are to be kept. Valid knots of the track.
    look_days : sequence of float
        Days of the past wanted for a picture; none leaves out past and fan. [d] Valid knots of the track.
    reading_days : sequence of float
        When the depth was read. [d] Valid knots of the track.

    Returns
    -------
    WaterAnswer
        Level, learned values, dates in days from now. [1]

    Notes
    -----
    Depth is the depth of the mean volume; its range that of volume -+ 1.28 standard deviations, held between
    floor and rim. Litres to siphon are those between limit line and low line, and those between
    the bath as it is now and the low line (0 when it stands below). Catch and loss are means over the
    futures that can be: none with a loss below 0 or a catch outside 0..1.1.

    Source: own definition
    """
    state = state_at_end(track)
    ahead = spray_ahead(tank, habit, now_day)
    lines = np.asarray(bath_volume(tank.vessel, np.array([tank.lines.low_line_mm, tank.lines.limit_line_mm])))
    low_l, limit_l = float(lines[0]), float(lines[1])
    futures = draw_futures(state, ahead, noise)
    cdf = passage_cdf(futures, limit_l)
    p10, p50, p90 = (passage_quantile(futures, cdf, p) for p in (0.1, 0.5, 0.9))
    dry = _dry_p10(futures)
    catch, catch_sd = _mean_and_sd(futures.catch_frac, futures.weight)
    loss, loss_sd = _mean_and_sd(futures.loss_l_day, futures.weight)
    sd = math.sqrt(max(state.cov[0], 0.0))
    depth = _depths(
        tank, np.array([state.volume_l, state.volume_l - _P10_SD * sd, state.volume_l + _P10_SD * sd])
    )
    return WaterAnswer(
        depth_mm=float(depth[0]), depth_low_mm=float(depth[1]), depth_high_mm=float(depth[2]),
        volume_l=state.volume_l, volume_sd_l=sd,
        catch_frac=catch, catch_sd_frac=catch_sd, loss_l_day=loss, loss_sd_l_day=loss_sd,
        spray_l_evening=ahead.mean_l, spray_sd_l_evening=ahead.sd_l, noted_frac=habit.noted_frac,
        net_l_day=catch * ahead.mean_l - loss,
        siphon_p10_day=p10, siphon_p50_day=p50, siphon_p90_day=p90,
        p_past_limit_now=float(cdf[0]), p_past_limit_next_evening=float(cdf[1]), dry_p10_day=dry,
        siphon_volume_l=limit_l - low_l, siphon_now_volume_l=max(state.volume_l - low_l, 0.0),
        reading_gain_days=_reading_gain(tank, state, ahead, noise, (p10, p50, p90)),
        last_reading_day=max(reading_days, default=math.nan), misfits=_misfits(track, reading_days),
        past=_past(tank, track, look_days), ahead=_fan(tank, futures, now_day) if len(look_days) else (),
        kept=tuple(_kept(track, noon) for noon in noons),
    )  # fmt: skip


def _depths(tank: TankWater, volume_l: Floats) -> Floats:
    """Depths of volumes that may lie beyond floor or rim, held between the two."""
    rim_l = float(bath_volume(tank.vessel, tank.vessel.height_mm))
    return np.asarray(bath_depth(tank.vessel, np.clip(volume_l, 0.0, rim_l)))


def _mean_and_sd(values: Floats, weight: Floats) -> tuple[float, float]:
    """Mean of the draws that can be, and how far they lie about it."""
    mean = float(weight @ values)
    return mean, math.sqrt(float(weight @ (values - mean) ** 2))


def _dry_p10(futures: Futures) -> float:
    """Days until the bath may run dry, nan where no future comes near."""
    if futures.volume_l.min() > 0.0:
        return math.nan
    return passage_quantile(futures, passage_cdf(futures, 0.0, upward=False), 0.1)


def _reading_gain(
    tank: TankWater, state: WaterState, ahead: SprayAhead, noise: WaterNoise, days: tuple[float, float, float]
) -> float:
    """Days by which the 80 % range should narrow if the depth is read now, by the delta method."""
    p10, p50, p90 = days
    if math.isnan(p10):
        return 0.0
    middle = 60.0 if math.isnan(p50) else max(p50, 1.0)
    width = (120.0 if math.isnan(p90) else p90) - p10
    towards = np.array([1.0, ahead.mean_l * middle, -middle])
    vv, vc, vl, cc, cl, ll = state.cov
    cov = np.array([[vv, vc, vl], [vc, cc, cl], [vl, cl, ll]])
    limit_mm = tank.lines.limit_line_mm
    reading_var = (float(free_area(tank.vessel, limit_mm)) * starting.READING_SD_MM) ** 2
    wander = (noise.bath_var_day + (state.catch_frac * ahead.sd_l) ** 2) * middle + (
        noise.catch_var_day * ahead.mean_l**2 + noise.loss_var_day
    ) * middle**3 / 3.0
    before = float(towards @ cov @ towards)
    after = before - float(towards @ cov[0]) ** 2 / (vv + reading_var)
    return max(width, 0.0) * (1.0 - math.sqrt((max(after, 0.0) + wander) / (before + wander)))


def _misfits(track: WaterTrack, reading_days: Sequence[float]) -> tuple[Misfit, ...]:
    """Ruler readings set aside in this stretch of history."""
    return tuple(
        Misfit(float(track.day[i]), float(track.volume_l[i] + track.misfit_l[i]), float(track.volume_l[i]))
        for i in np.flatnonzero(track.is_misfit & np.isin(track.day, reading_days))
    )


def _past(tank: TankWater, track: WaterTrack, look_days: Sequence[float]) -> tuple[LevelDay, ...]:
    if not len(look_days):
        return ()
    shown = np.flatnonzero(track.day >= look_days[0] - 1e-9)
    sd = np.sqrt(np.maximum(track.cov[shown, 0], 0.0))
    middle = track.volume_l[shown]
    low, mid, high = (_depths(tank, middle + k * _P10_SD * sd) for k in (-1.0, 0.0, 1.0))
    return tuple(LevelDay(*map(float, row)) for row in zip(track.day[shown], low, mid, high, strict=True))


def _fan(tank: TankWater, futures: Futures, now_day: float) -> tuple[LevelDay, ...]:
    """Depths ahead without a siphon, for the picture."""
    shown = futures.day <= _FAN_DAYS
    live = futures.weight > 0
    cuts = np.quantile(futures.volume_l[live][:, shown], [0.1, 0.5, 0.9], axis=0)
    low, mid, high = (_depths(tank, row) for row in cuts)
    return tuple(
        LevelDay(*map(float, row)) for row in zip(futures.day[shown] + now_day, low, mid, high, strict=True)
    )


def _kept(track: WaterTrack, noon: Noon) -> KeptState:
    """State at a noon, the last knot there."""
    row = int(np.searchsorted(track.day, noon.day + 1e-9)) - 1
    upto = WaterTrack(**{name: column[: row + 1] for name, column in vars(track).items()})
    return KeptState(state_at_end(upto), noon.habit, noon.last_entry_day)
