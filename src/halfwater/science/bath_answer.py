"""From a tank's entries to its salts: EC now, at the siphon, in ninety days, in the long run, and why."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from halfwater.science import starting
from halfwater.science.bath import filter_bath
from halfwater.science.bath_ahead import FAN_DAYS, BathFutures, draw_salts
from halfwater.science.bath_facts import (
    SALTS,
    SEEN_MS_CM,
    BathAnswer,
    BathRow,
    BathTrack,
    EcDay,
    KeptSalts,
    TankSalts,
)
from halfwater.science.bath_walk import LEAST_HELD_L, SCARCE_MS_CM, UREA_PER_DAY
from halfwater.science.passage import SprayAhead
from halfwater.science.steady_bath import steady_strength
from halfwater.science.uptake import HALF_MG_L, NITROGEN_USES_MS_CM, SHARES, UREA_LEAVES_MS_CM
from halfwater.science.vessel import bath_volume, clay_volume
from halfwater.science.water_answer import spray_ahead
from halfwater.science.waterline import WaterNoise

Floats = NDArray[np.float64]
Three = tuple[float, float, float]
_P10_SD = 1.2815515655446004
_MONTH_DAYS = 30.0
_CUTS = (0.1, 0.5, 0.9)
CAUSES = ("spray", "water added", "water leaving", "plants")


def reckon_bath(
    tank: TankSalts,
    rows: Sequence[BathRow],
    now_day: float,
    *,
    begin: KeptSalts | None = None,
    keep_days: Sequence[float] = (),
    look_back_day: float = 0.0,
    noise: WaterNoise | None = None,
) -> BathAnswer:
    """The salts of one bath: now, at its siphon, in ninety days, in the long run, and what moves them.

    Parameters
    ----------
    tank : TankSalts
        The tank.
    rows : sequence of BathRow
        Its entries in any order, those after `begin` if given.
    now_day : float
        Now, as a local day. [d] Valid any finite.
    begin : KeptSalts or None
        Where to go on from; None begins with the first entry and the starting values.
    keep_days : sequence of float
        Noons whose state is to be kept. [d] Valid before now.
    look_back_day : float
        How far back daily ECs are wanted for a picture; 0 leaves out past and fan. [d] Valid >= 0.
    noise : WaterNoise or None
        Variances of the water a day, None for the starting values.

    Returns
    -------
    BathAnswer
        EC in mS/cm, nutrients in mg/L, days from now. [1]

    Raises
    ------
    RefusedInput
        If now is not finite, or an EC reading is outside 0 to 20 mS/cm.

    Notes
    -----
    Ranges are 10, 50 and 90 % of four hundred futures. The siphon's EC is that of the futures that come to
    one; where fewer than half do, none is in sight. Entries after now are left out; with none at all the
    answer is the starting values' own.

    Source: own definition
    """
    noise = noise or WaterNoise()
    looks = np.arange(now_day - look_back_day, now_day, 1.0).tolist() if look_back_day else []
    track = filter_bath(tank, rows, now_day, begin=begin, keep_days=keep_days, look_days=looks, noise=noise)
    ahead = spray_ahead(tank.water, track.end.habit, now_day)
    held = max(starting.CLAY_HELD_FRAC * clay_volume(tank.water.vessel), LEAST_HELD_L)
    futures = draw_salts(tank, track, ahead, noise, held)
    readings = tuple((row.day, float(row.value or 0.0)) for row in rows if _is_ec(row, now_day))
    return BathAnswer(
        ec_now=_three(futures.ec_ms_cm[0]),
        ec_in_90_days=_three(futures.ec_ms_cm[-1]),
        salts_now=_by_name(futures.salts),
        p_past_action_now=float(np.mean(futures.ec_ms_cm[0] > tank.action_ms_cm)),
        volume_l=_three(futures.volume_l),
        held_l=held,
        after_siphon_l=_after_siphon(tank, track),
        arrives_frac=_three(futures.arrives_frac),
        uptake_n_mg_day=_three(futures.uptake_n_mg_day),
        past=_past(track, looks),
        ahead=_fan(futures, now_day) if looks else (),
        last_reading_day=max((day for day, _ in readings), default=math.nan),
        readings=readings,
        misfits=track.misfits,
        siphon=track.siphon,
        kept=track.kept,
        **_at_siphon(tank, futures),
        **_in_the_end(tank, track, ahead, futures, held),
        **_why(tank, track, ahead, futures, held),
    )


def _at_siphon(tank: TankSalts, futures: BathFutures) -> dict[str, Any]:
    """What is told of the next siphon; nothing where fewer than half the futures come to one."""
    come = np.isfinite(futures.siphon_day)
    if come.mean() < 0.5:
        return {
            "ec_at_siphon": None, "siphon_p50_day": math.nan, "salts_at_siphon": {},
            "p_past_action_at_siphon": math.nan, "narrowing": {},
        }  # fmt: skip
    ec = SEEN_MS_CM @ futures.at_siphon[:, come]
    days = np.where(come, futures.siphon_day, np.inf)
    return {
        "ec_at_siphon": _three(ec),
        "siphon_p50_day": float(np.quantile(days, 0.5, method="lower")),
        "salts_at_siphon": _by_name(futures.at_siphon[:, come]),
        "p_past_action_at_siphon": float(np.mean(ec > tank.action_ms_cm)),
        "narrowing": _narrowing(futures, come),
    }


def _in_the_end(
    tank: TankSalts, track: BathTrack, ahead: SprayAhead, futures: BathFutures, held_l: float
) -> dict[str, Any]:
    """Where today's habit leads."""
    found = _steady(tank, track, ahead, futures, held_l)
    if found is None:
        return {"steady_salts": None, "steady_ms_cm": None, "low_steady_ms_cm": None}
    steady, low = found
    return {
        "steady_salts": steady, "steady_ms_cm": float(SEEN_MS_CM @ steady), "low_steady_ms_cm": low,
    }  # fmt: skip


def _why(
    tank: TankSalts, track: BathTrack, ahead: SprayAhead, futures: BathFutures, held_l: float
) -> dict[str, Any]:
    """What moves the EC."""
    rates = _rates(tank, track, ahead, futures, held_l)
    total = np.asarray(sum(rates.values()))
    return {
        "rates": {cause: _three(rate) for cause, rate in rates.items()},
        "trend": _three(total),
        "p_rising": float(np.mean(total > 0.0)),
        "p_by_salts": _p_by_salts(rates, total),
        "p_volume_rising": float(np.mean(futures.catch_frac * ahead.mean_l > futures.loss_l_day)),
    }


def _is_ec(row: BathRow, now_day: float) -> bool:
    return row.kind == "ec" and row.day <= now_day


def _three(values: Floats) -> Three:
    low, mid, high = np.quantile(values, _CUTS).tolist()
    return low, mid, high


def _by_name(salts: Floats) -> dict[str, Three]:
    """The nutrients, and urea, in mg/L."""
    cuts = np.quantile(salts[1:], _CUTS, axis=1).T.tolist()
    return {name: (low, mid, high) for name, (low, mid, high) in zip(SALTS[1:], cuts, strict=True)}


def _rates(
    tank: TankSalts, track: BathTrack, ahead: SprayAhead, futures: BathFutures, held_l: float
) -> dict[str, Floats]:
    """What moves the EC today, in mS/cm a month, future by future."""
    wet = futures.volume_l + held_l
    ec = SEEN_MS_CM @ futures.salts
    leaves = np.array([1.0] + [1.0 - tank.leaf_takes_frac] * (len(SALTS) - 1))
    spray_ec = float(SEEN_MS_CM @ (leaves * track.spray_salts))
    share, half = np.array(SHARES)[:, None], np.array(HALF_MG_L)[:, None]
    fed = np.divide(futures.salts, futures.salts + half, out=np.zeros_like(futures.salts), where=half > 0)
    rest = np.maximum(futures.salts[0], 0.0)
    uses = NITROGEN_USES_MS_CM * rest / (rest + SCARCE_MS_CM)
    taken = (SEEN_MS_CM[:, None] * share * fed).sum(axis=0) + uses * fed[2]
    taken = taken * futures.uptake_n_mg_day
    turning = UREA_PER_DAY * futures.salts[1] * (SEEN_MS_CM[2] + UREA_LEAVES_MS_CM)  # seen only now
    return {
        "spray": (futures.arrives_frac * spray_ec * ahead.mean_l / wet + turning) * _MONTH_DAYS,
        "water added": -ec * futures.catch_frac * ahead.mean_l / wet * _MONTH_DAYS,
        "water leaving": ec * futures.loss_l_day / wet * _MONTH_DAYS,
        "plants": -taken / wet * _MONTH_DAYS,
    }


def _p_by_salts(rates: Mapping[str, Floats], total: Floats) -> float:
    """Among futures that go the likelier way, the share in which salt does more for it than water."""
    way = 1.0 if np.mean(total > 0.0) >= 0.5 else -1.0
    going = way * total > 0.0
    salts = way * (rates["spray"] + rates["plants"])
    water = way * (rates["water added"] + rates["water leaving"])
    return float(np.mean((salts > water)[going])) if going.any() else 0.5


def _after_siphon(tank: TankSalts, track: BathTrack) -> float:
    """Volume after siphon and refill, as the habit has it."""
    low, limit = bath_volume(
        tank.water.vessel, [tank.water.lines.low_line_mm, tank.water.lines.limit_line_mm]
    )
    habit = track.siphon
    left = float(low) if habit.siphon_l is None else max(float(limit) - habit.siphon_l, 0.0)
    return left + habit.refill_l


def _steady(
    tank: TankSalts, track: BathTrack, ahead: SprayAhead, futures: BathFutures, held_l: float
) -> tuple[Floats, float] | None:
    """Salts at the siphon in the long run, and EC after it; None for a bath that is never siphoned."""
    net = float(np.median(futures.catch_frac * ahead.mean_l - futures.loss_l_day))
    limit = float(bath_volume(tank.water.vessel, tank.water.lines.limit_line_mm))
    after = _after_siphon(tank, track)
    if net <= 0.0 or after >= limit:
        return None
    days, habit = (limit - after) / net, track.siphon
    taken_away = limit - after + habit.refill_l
    refill = np.array(habit.refill_salts or (0.0,) * len(SALTS))
    leaves = np.array([1.0] + [1.0 - tank.leaf_takes_frac] * (len(SALTS) - 1))
    arrived = float(np.median(futures.arrives_frac)) * leaves * track.spray_salts * ahead.mean_l * days
    brought = arrived + habit.refill_l * refill
    brought[2] += brought[1]  # urea turns, but for what is fresh
    brought[0] += UREA_LEAVES_MS_CM * brought[1]
    appetite = float(np.median(futures.uptake_n_mg_day)) * days
    steady = np.zeros(len(SALTS))
    for j in range(2, len(SALTS)):
        steady[j] = steady_strength(max(brought[j], 0.0), taken_away, appetite * SHARES[j], HALF_MG_L[j])
    used = brought[2] - taken_away * steady[2]
    rest = max(brought[0], 0.0) / taken_away  # at first; acid finds less bicarbonate as it goes
    uses = NITROGEN_USES_MS_CM * rest / (rest + SCARCE_MS_CM)
    steady[0] = brought[0] / taken_away - min(uses * used / taken_away, rest)
    left = limit + held_l - taken_away
    low = (steady * left + refill * habit.refill_l) / (left + habit.refill_l)
    return steady, float(SEEN_MS_CM @ low)


def _narrowing(futures: BathFutures, come: NDArray[np.bool_]) -> dict[str, float]:
    """Share of the variance of the siphon's EC that one exact look at a thing would take away."""
    end = SEEN_MS_CM @ futures.at_siphon[:, come]
    things = {
        "ec": SEEN_MS_CM @ futures.salts[:, come],
        "waterline": futures.volume_l[come],
        "plants": futures.uptake_n_mg_day[come],
        "spray": futures.arrives_frac[come],
    }
    return {name: _squared_correlation(values, end) for name, values in things.items()}


def _squared_correlation(values: Floats, end: Floats) -> float:
    spread = float(values.std() * end.std())
    return float(np.mean((values - values.mean()) * (end - end.mean())) / spread) ** 2 if spread else 0.0


def _past(track: BathTrack, looks: Sequence[float]) -> tuple[EcDay, ...]:
    if not looks:
        return ()
    shown = track.day >= looks[0] - 1e-9
    spread = np.sqrt(np.maximum(track.ec_var[shown], 0.0)) + starting.METER_BIAS_FRAC * track.ec_ms_cm[shown]
    middle = track.ec_ms_cm[shown]
    columns = (
        track.day[shown],
        np.maximum(middle - _P10_SD * spread, 0.0),
        middle,
        middle + _P10_SD * spread,
    )
    return tuple(EcDay(*row) for row in zip(*(column.tolist() for column in columns), strict=True))


def _fan(futures: BathFutures, now_day: float) -> tuple[EcDay, ...]:
    cuts = np.quantile(futures.ec_ms_cm, _CUTS, axis=1).T.tolist()
    days = (futures.day + now_day).tolist()
    return tuple(EcDay(day, *row) for day, row in zip(days, cuts, strict=True) if day <= now_day + FAN_DAYS)
