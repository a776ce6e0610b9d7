"""The salts in a bath, followed through sprays, fills, siphons, water loss, uptake and readings."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from halfwater.science import starting
from halfwater.science.bath_facts import SALTS, SEEN_MS_CM, BathRow, BathTrack, KeptSalts, TankSalts
from halfwater.science.bath_past import bath_past
from halfwater.science.bath_walk import ARRIVES, FIRST, SIZE, TAKEN, WATER, BathWalk
from halfwater.science.waterline import WaterNoise, WaterState

Floats = NDArray[np.float64]
_START_CV_FRAC = 0.2  # of each nutrient, on its own
_NEW_CLAY_MS_CM = 0.1  # dust and what rinsing left


def filter_bath(
    tank: TankSalts,
    rows: Sequence[BathRow],
    now_day: float,
    *,
    begin: KeptSalts | None = None,
    keep_days: Sequence[float] = (),
    look_days: Sequence[float] = (),
    noise: WaterNoise | None = None,
) -> BathTrack:
    """The salts of one bath through its whole past: EC at each moment, and the full state now.

    Parameters
    ----------
    tank : TankSalts
        The tank.
    rows : sequence of BathRow
        Its entries, those after `begin` if given.
    now_day : float
        Now, as a local day; later entries are left out. [d] Valid any finite.
    begin : KeptSalts or None
        Where to go on from; None begins with the first entry and the starting values.
    keep_days : sequence of float
        Noons whose state is to be kept. [d] Valid before now.
    look_days : sequence of float
        Further days wanted for a picture. [d] Valid before now.
    noise : WaterNoise or None
        Variances of the water a day, None for the starting values.

    Returns
    -------
    BathTrack
        One row a knot, the last being now. [1]

    Raises
    ------
    RefusedInput
        If now is not finite, or an EC reading lies outside 0 to 20 mS/cm.

    Notes
    -----
    With W = V + what the clay holds, over a stretch of T days: base = (C (W - siphoned) + s X + F) / W',
    X and F being what sprays and fills brought; urea turns to ammonium at ln 2 / 4 a day; plants take
    u r C / (C + K) a day, by an exponential step at the mean pace, so that no strength goes below 0. A
    siphon leaves strengths as they are. EC = rest + sum of ionic shares. Extended Kalman filter; an EC
    reading is a Schmidt update that leaves volume, catch and loss alone. A reading more than five standard
    deviations off is set aside the first time; if the next agrees with it, the bath has been changed
    without a note and is taken as read.

    Source: durbin-koopman-2012, chapter 10
    """
    noise = noise or WaterNoise()
    past = bath_past(tank, rows, now_day, noise, begin=begin, keep_days=keep_days, look_days=look_days)
    if begin is None:
        is_new = past.first_is_fill and past.start.volume_l == 0.0
        mean, cov = starting_salts(tank, past.start, is_new=is_new)
        waits = (past.start.misfit_l, 0.0)
    else:
        mean, cov = np.array(begin.mean), np.array(begin.cov).reshape(SIZE, SIZE)
        waits = (begin.waits_l, begin.waits_ms_cm)
    walk = BathWalk(tank, past, noise, mean, cov, waits)
    for step in past.steps:
        walk.take(step)
    days, ecs, variances, volumes = (np.array(column) for column in zip(*walk.seen, strict=True))
    return BathTrack(
        day=days, ec_ms_cm=ecs, ec_var=variances, volume_l=volumes,
        end=walk.kept_at(now_day, len(past.habits) - 1), kept=tuple(walk.kept),
        misfits=tuple(walk.misfits), spray_salts=past.spray_salts, siphon=past.siphon,
    )  # fmt: skip


def starting_salts(tank: TankSalts, start: WaterState, *, is_new: bool) -> tuple[Floats, Floats]:
    """What is assumed of the salts before any reading: the whole state with its covariance.

    Parameters
    ----------
    tank : TankSalts
        The tank.
    start : WaterState
        Its water.
    is_new : bool
        Whether it is filled for the first time now, so that only rinsed clay was in it.

    Returns
    -------
    tuple of numpy.ndarray
        Mean (12,) and covariance (12, 12). [1]

    Notes
    -----
    A new bath holds source water and what rinsing left on the clay. Any other stands 0.6 mS/cm above its
    source, give or take half of that, with nutrients as its night mix has them.

    Source: priors, Salts in the bath
    """
    mean, cov = np.zeros(SIZE), np.zeros((SIZE, SIZE))
    mean[:WATER] = start.volume_l, start.catch_frac, start.loss_l_day
    for value, (i, j) in zip(start.cov, ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2)), strict=True):
        cov[i, j] = cov[j, i] = value
    source = tank.source.salts
    salts = slice(FIRST, FIRST + len(SALTS))
    if is_new:
        mean[salts] = source
        cov[FIRST, FIRST] = _NEW_CLAY_MS_CM**2
    else:
        above = tank.solution(tank.night_mix).salts - source
        seen = float(SEEN_MS_CM @ above)
        if seen > 0.05:
            above = above * (starting.BATH_EC_ABOVE_SOURCE_MS_CM / seen)
        else:
            above = np.zeros(len(SALTS))
            above[0] = starting.BATH_EC_ABOVE_SOURCE_MS_CM
        above[1] *= 0.3  # most urea has turned
        mean[salts] = source + above
        lean = starting.BATH_EC_CV_FRAC * above
        cov[salts, salts] = np.outer(lean, lean) + np.diag((_START_CV_FRAC * np.abs(mean[salts])) ** 2)
    night = tank.solution(tank.night_mix)
    cov[ARRIVES, ARRIVES] = starting.SALT_ARRIVES_SIGMA_LOG**2 + night.ec_cv_frac**2
    cov[TAKEN, TAKEN] = tank.uptake_sigma_log**2
    return mean, cov
