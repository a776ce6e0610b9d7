"""Futures of a bath's salts: drawn together with its water, under today's habit."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from halfwater.science import starting
from halfwater.science.bath_facts import SALTS, SEEN_MS_CM, BathTrack, TankSalts
from halfwater.science.bath_walk import ARRIVES, FIRST, SCARCE_MS_CM, TAKEN, UREA_PER_DAY
from halfwater.science.passage import SprayAhead
from halfwater.science.uptake import HALF_MG_L, NITROGEN_USES_MS_CM, SHARES, UREA_LEAVES_MS_CM
from halfwater.science.vessel import bath_volume
from halfwater.science.waterline import WaterNoise

Floats = NDArray[np.float64]
_DRAWS = 400
_SEED = 20260102
_STEP_DAYS, _FAR_STEP_DAYS = 2.0, 5.0
FAN_DAYS, HORIZON_DAYS = 90.0, 400.0
_STEPS = (
    *(_STEP_DAYS for _ in range(int(FAN_DAYS / _STEP_DAYS))),
    *(_FAR_STEP_DAYS for _ in range(int((HORIZON_DAYS - FAN_DAYS) / _FAR_STEP_DAYS))),
)
_REST_DAYS = 14.0  # nobody siphons twice in a fortnight, even where the refill fills the bath to the line
_DRY_FRAC = 0.35  # of the low line's volume: somebody tops it up
_COLUMN = (len(SALTS), 1)
_HALF = np.array(HALF_MG_L).reshape(_COLUMN)
_SHARES = np.array(SHARES).reshape(_COLUMN)
_CATCH_MOST = 1.1


@dataclass(frozen=True)
class BathFutures:
    """Drawn futures; columns are draws."""

    volume_l: Floats  # now
    catch_frac: Floats
    loss_l_day: Floats
    salts: Floats  # now, (salts, draws)
    arrives_frac: Floats
    uptake_n_mg_day: Floats
    day: Floats  # of the fan, from now
    ec_ms_cm: Floats  # (days, draws), siphons and refills included
    siphon_day: Floats  # the first, nan where none comes
    at_siphon: Floats  # salts then, (salts, draws)


def draw_salts(
    tank: TankSalts, track: BathTrack, ahead: SprayAhead, noise: WaterNoise, held_l: float,
    *, draws: int = _DRAWS, seed: int = _SEED,
) -> BathFutures:  # fmt: skip
    """Futures of a bath under today's habit, salts and water together.

    Parameters
    ----------
    tank : TankSalts
        The tank.
    track : BathTrack
        Its filtered past.
    ahead : SprayAhead
        What the coming evenings bring.
    noise : WaterNoise
        Variances of the water a day.
    held_l : float
        What the clay holds. [L] Valid above 0.
    draws : int
        How many futures. [1] Valid even, 2 upward.
    seed : int
        Seed; the same gives the same futures. [1] Valid >= 0.

    Returns
    -------
    BathFutures
        EC in mS/cm every second day for ninety days, and the salts at the first siphon. [1]

    Notes
    -----
    The state now is drawn from the filter's joint normal; catch is held between 0 and 1.1, loss and
    strengths at 0 or above. Then steps of two days, of five after ninety, by the equations of the filter. A
    siphon is made as soon as the limit line is passed, once a fortnight at most, as the last
    ones were (down to the low line where none was noted); a bath that falls to a third of its low line is
    topped up to it. Readings of a meter share its bias, which is drawn too.

    Source: own definition
    """
    of_state, of_bias, of_steps = _luck(len(track.end.mean), draws, seed)
    run = _Run(tank, track, ahead, noise, held_l, _joint(track, of_state))
    start = run.snapshot()
    bias = 1.0 + starting.METER_BIAS_FRAC * of_bias
    day, fan = [0.0], [run.ec()]
    run.siphon_where_due(0.0, 0.0, run.salts, run.volume)
    for span, z in zip(_STEPS, of_steps, strict=True):
        if day[-1] >= FAN_DAYS and run.is_done():
            break
        run.step(span, z)
        day.append(day[-1] + span)
        fan.append(run.ec())
    in_fan = np.array(day) <= FAN_DAYS
    return BathFutures(
        **start,
        day=np.array(day)[in_fan],
        ec_ms_cm=np.array(fan)[in_fan] * bias,
        siphon_day=run.siphon_day,
        at_siphon=run.at_siphon * bias,
    )


@lru_cache(maxsize=2)
def _luck(size: int, draws: int, seed: int) -> tuple[Floats, Floats, tuple[Floats, ...]]:
    """Normals of one seed, drawn once, for every tank of a page asks for the same.

    Of the state now, (size, draws / 2); of the meter's bias; of each step, (7, draws) by root days.
    """
    rng = np.random.default_rng(seed)
    state, bias = rng.standard_normal((size, draws // 2)), rng.standard_normal(draws)
    steps = tuple(rng.standard_normal((7, draws)) * np.sqrt(span) for span in _STEPS)
    for drawn in (state, bias, *steps):
        drawn.flags.writeable = False
    return state, bias, steps


def _joint(track: BathTrack, z: Floats) -> Floats:
    """The state now, drawn in opposite pairs; the root by eigenvalues, as some variances may be 0."""
    mean = np.array(track.end.mean)
    size = len(mean)
    cov = np.array(track.end.cov).reshape(size, size)
    values, vectors = np.linalg.eigh((cov + cov.T) / 2.0)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    return np.asarray(mean[:, None] + root @ np.concatenate((z, -z), axis=1))


class _Run:
    """All futures on their way: mutable arrays over draws."""

    def __init__(
        self, tank: TankSalts, track: BathTrack, ahead: SprayAhead, noise: WaterNoise, held_l: float,
        state: Floats,
    ) -> None:  # fmt: skip
        self.ahead, self.noise, self.held, self.habit = ahead, noise, held_l, track.siphon
        self.volume = np.maximum(state[0], 0.0)
        self.catch = np.clip(state[1], 0.0, _CATCH_MOST)
        self.loss = np.maximum(state[2], 0.0)
        self.salts = state[FIRST:ARRIVES].copy()
        np.maximum(self.salts[1:], 0.0, out=self.salts[1:])
        self.least = min(track.end.mean[FIRST], 0.0)
        self.salts[0] = np.maximum(self.salts[0], self.least)
        self.arrives_log, self.taken_log = state[ARRIVES].copy(), state[TAKEN].copy()
        self.uptake = tank.uptake_n_mg_day
        leaves = np.array([1.0] + [1.0 - tank.leaf_takes_frac] * (len(SALTS) - 1))
        self.spray = (starting.SALT_ARRIVES_FRAC * leaves * track.spray_salts).reshape(_COLUMN)
        low, limit = bath_volume(
            tank.water.vessel, [tank.water.lines.low_line_mm, tank.water.lines.limit_line_mm]
        )
        self.low, self.limit = float(low), float(limit)
        refill = self.habit.refill_salts or (0.0,) * len(SALTS)
        self.refill = np.array(refill).reshape(_COLUMN)
        self.top_up = tank.solution(tank.fill_mix).salts.reshape(_COLUMN)
        self.siphon_day = np.full(self.volume.shape, np.nan)
        self.last_siphon = np.full(self.volume.shape, -np.inf)
        self.at_siphon = np.full(self.salts.shape, np.nan)
        self.now = 0.0

    def snapshot(self) -> dict[str, Floats]:
        """What is known now."""
        return {
            "volume_l": self.volume.copy(),
            "catch_frac": self.catch.copy(),
            "loss_l_day": self.loss.copy(),
            "salts": self.salts.copy(),
            "arrives_frac": starting.SALT_ARRIVES_FRAC * np.exp(self.arrives_log),
            "uptake_n_mg_day": self.uptake * np.exp(self.taken_log),
        }

    def ec(self) -> Floats:
        """EC of every future, at least none."""
        return np.maximum(SEEN_MS_CM @ self.salts, 0.0)

    def is_done(self) -> bool:
        """Whether every future has come to a siphon."""
        return not np.isnan(self.siphon_day).any()

    def step(self, span: float, z: Floats) -> None:
        """Some days on, all futures at once."""
        noise = self.noise
        sprayed = np.maximum(self.ahead.mean_l * span + self.ahead.sd_l * z[0], 0.0)
        before, salts = self.volume, self.salts
        volume = before + self.catch * sprayed - self.loss * span + np.sqrt(noise.bath_var_day) * z[1]
        volume = np.maximum(volume, 0.0)
        wet = volume + self.held
        base = (salts * (before + self.held) + np.exp(self.arrives_log) * sprayed * self.spray) / wet
        turned = base[1] * -np.expm1(-UREA_PER_DAY * span)
        base[1] -= turned
        base[2] += turned
        base[0] += UREA_LEAVES_MS_CM * turned
        self.salts = self._taken(base, self.uptake * np.exp(self.taken_log) * span / wet)
        self.salts[0] = np.maximum(self.salts[0] + np.sqrt(starting.EC_NOISE_VAR_DAY) * z[2], self.least)
        self.catch = np.clip(self.catch + np.sqrt(noise.catch_var_day) * z[3], 0.0, _CATCH_MOST)
        self.loss = np.maximum(self.loss + np.sqrt(noise.loss_var_day) * z[4], 0.0)
        self.arrives_log = self.arrives_log + np.sqrt(starting.ARRIVES_DRIFT_VAR_DAY) * z[5]
        self.taken_log = self.taken_log + np.sqrt(starting.UPTAKE_DRIFT_VAR_DAY) * z[6]
        self.volume = volume
        self.siphon_where_due(self.now, span, salts, before)
        self.now += span
        self._top_up()

    def _taken(self, base: Floats, most: Floats) -> Floats:
        """What plants leave, as the filter has it."""
        after = base.copy()
        wanted = most * _SHARES[2:]
        b = base[2:] - wanted - _HALF[2:]
        after[2:] = (b + np.sqrt(b * b + 4.0 * _HALF[2:] * np.maximum(base[2:], 0.0))) / 2.0
        rest = np.maximum(base[0], 0.0)
        after[0] -= NITROGEN_USES_MS_CM * rest / (rest + SCARCE_MS_CM) * (base[2] - after[2])
        return after

    def siphon_where_due(self, day: float, span: float, before: Floats, before_l: Floats) -> None:
        """Siphon and refill the futures past the limit line; the first time is remembered."""
        due = (self.volume >= self.limit) & (day + span - self.last_siphon >= _REST_DAYS)
        if not due.any():
            return
        first = due & np.isnan(self.siphon_day)
        rise = np.maximum(self.volume - before_l, 1e-12)
        part = np.clip((self.limit - before_l) / rise, 0.0, 1.0)
        self.siphon_day[first] = (day + part * span)[first]
        self.at_siphon[:, first] = (before + part * (self.salts - before))[:, first]
        self.last_siphon[due] = day + span
        siphon = self.habit.siphon_l
        left = np.full(self.volume.shape, self.low) if siphon is None else self.volume - siphon
        left = np.where(due, np.clip(left, 0.0, self.volume), self.volume)
        poured = np.where(due, self.habit.refill_l, 0.0)
        self._pour(left, poured, self.refill)

    def _top_up(self) -> None:
        dry = self.volume < _DRY_FRAC * self.low
        if dry.any():
            self._pour(self.volume, np.where(dry, self.low - self.volume, 0.0), self.top_up)

    def _pour(self, left_l: Floats, poured_l: Floats, strength: Floats) -> None:
        wet = left_l + self.held
        self.salts = (self.salts * wet + poured_l * strength) / (wet + poured_l)
        self.volume = left_l + poured_l
