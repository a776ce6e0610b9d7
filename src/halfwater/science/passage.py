"""When a wandering level first passes a line.

Two roads to the same answer. For a steady drift the date is inverse Gaussian,
in closed form. For a bath whose catch and loss are themselves uncertain and
drifting, many futures are drawn at once; between two evenings each future's
chance of having touched the line is the Brownian bridge's, so that the answer
does not depend on how finely the days are cut.
"""

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from halfwater.errors import RefusedInput
from halfwater.science.waterline import WaterNoise, WaterState

Floats = NDArray[np.float64]
HORIZON_DAY = 400.0
_DRAWS = 1024
_FEW_FRAC = 0.2  # of the draws: with fewer left the dates would hang on chance
_FURTHEST_SD = 30.0  # beyond that a normal has no part left
_SEED = 20260101


def inverse_gaussian_cdf(time_day: ArrayLike, distance_l: float, drift_l_day: float, sd_l: float) -> Floats:
    """Probability that a level with steady drift has passed a line by a time.

    Parameters
    ----------
    time_day : array_like
        Times. [d] Valid >= 0.
    distance_l : float
        How far the line lies above the level now. [L] Valid > 0.
    drift_l_day : float
        Net rise a day. [L/d] Valid any finite; at 0 or below the line may never be passed.
    sd_l : float
        Standard deviation after one day. [L] Valid > 0.

    Returns
    -------
    numpy.ndarray
        Shape of `time_day`. [1]

    Raises
    ------
    RefusedInput
        If a time is negative or nan, or distance or sd is not above 0.

    Notes
    -----
    Phi((v t - a) / (s sqrt t)) + exp(2 v a / s^2) Phi((-v t - a) / (s sqrt t)); 0 at t = 0. The second
    term is taken in logarithms, so that a large 2 v a / s^2 does not overflow.

    Source: chhikara-folks-1989, chapter 2

    Examples
    --------
    >>> round(float(inverse_gaussian_cdf(10.0, 1.0, 0.1, 0.2)), 6)
    0.616163
    """
    from scipy.special import log_ndtr, ndtr

    time = np.asarray(time_day, dtype=float)
    if not (np.isfinite(time).all() and (time >= 0).all()):
        raise RefusedInput("time_day", time_day, "days from 0 on, finite")
    if not (distance_l > 0 and sd_l > 0 and np.isfinite(drift_l_day)):
        raise RefusedInput("distance_l", distance_l, "a distance above 0, with a standard deviation above 0")
    with np.errstate(divide="ignore", invalid="ignore"):
        spread = sd_l * np.sqrt(time)
        direct = ndtr((drift_l_day * time - distance_l) / spread)
        mirrored = 2.0 * drift_l_day * distance_l / sd_l**2 + log_ndtr(
            (-drift_l_day * time - distance_l) / spread
        )
        return np.asarray(np.where(time > 0, direct + np.exp(mirrored), 0.0))


@dataclass(frozen=True, slots=True)
class SprayAhead:
    """What the coming evenings are expected to bring, with their spread."""

    mean_l: float  # an evening, missed evenings counted in
    sd_l: float
    first_evening_day: float  # days from now until the next spray, 0..1 or a little more


@dataclass(frozen=True)
class Futures:
    """Drawn futures of one bath at the coming evenings."""

    day: Floats  # from now, shape (steps,)
    volume_l: Floats  # shape (draws, steps), without any siphon
    now_l: Floats  # shape (draws,)
    catch_frac: Floats  # now, shape (draws,)
    loss_l_day: Floats  # now, shape (draws,)
    weight: Floats  # shape (draws,), sums to 1
    step_var: Floats  # variance gained in each step, shape (steps,)


@lru_cache(maxsize=8)
def _evening_grid(steps_of_one: int = 60, steps_of_four: int = 35, steps_of_ten: int = 20) -> Floats:
    """Days after the first evening: each of the first sixty, then coarser."""
    return np.concatenate(
        ([0.0], np.cumsum([1.0] * steps_of_one + [4.0] * steps_of_four + [10.0] * steps_of_ten))
    )


@lru_cache(maxsize=4)
def _standard_walks(draws: int, seed: int, steps: tuple[float, ...]) -> tuple[Floats, Floats, Floats, Floats]:
    """Standard normals for the state, a walk, and two integrated walks, antithetic in pairs."""
    rng = np.random.default_rng(seed)
    half = draws // 2
    span = np.array(steps)
    state = rng.standard_normal((half, 3))
    walk = np.cumsum(np.sqrt(span) * rng.standard_normal((half, len(span))), axis=1)
    integrated = []
    for _ in range(2):
        step, inner = rng.standard_normal((2, half, len(span)))
        ends = np.cumsum(np.sqrt(span) * step, axis=1)
        before = np.concatenate((np.zeros((half, 1)), ends[:, :-1]), axis=1)
        area = before * span + span**1.5 * (step / 2.0 + inner / np.sqrt(12.0))
        integrated.append(np.cumsum(area, axis=1))
    doubled = [np.concatenate((x, -x)) for x in (state, walk, *integrated)]
    return doubled[0], doubled[1], doubled[2], doubled[3]


def draw_futures(
    state: WaterState, ahead: SprayAhead, noise: WaterNoise, *, draws: int = _DRAWS, seed: int = _SEED
) -> Futures:
    """Futures of a bath that nobody siphons, evening by evening.

    Parameters
    ----------
    state : WaterState
        What is known now.
    ahead : SprayAhead
        What the coming evenings bring.
    noise : WaterNoise
        Variances a day.
    draws : int
        How many futures. [1] Valid even, 2..100000.
    seed : int
        Seed; the same gives the same futures. [1] Valid >= 0.

    Returns
    -------
    Futures
        Volumes in L at each evening, not held to the rim. [1]

    Raises
    ------
    RefusedInput
        If `draws` is odd or outside its range.

    Notes
    -----
    Volume, catch and loss are drawn from their joint normal; draws with a catch outside 0..1.1, a loss below
    0 or a volume below 0 weigh nothing. Where few would be left, the loss is drawn from the part of its
    normal above 0. Catch and loss walk on with their drift. At zero variance all futures are one straight
    line.

    Source: own definition
    """
    if draws % 2 or not 2 <= draws <= 100_000:
        raise RefusedInput("draws", draws, "an even number from 2 to 100000")
    day = ahead.first_evening_day + _evening_grid()
    span = np.diff(day, prepend=0.0)
    z, walk, walk_catch, walk_loss = _standard_walks(draws, seed, tuple(span.tolist()))
    volume, catch, loss = _joint(state, z)
    possible = _can_be(volume, catch, loss)
    if possible.mean() < _FEW_FRAC and state.cov[5] > 0.0:
        volume, catch, loss = _joint_above_nought(state, z)
        possible = _can_be(volume, catch, loss)
    if not possible.any():
        possible[:] = True
    evenings = day - ahead.first_evening_day + 1.0
    step_sd = np.sqrt(noise.bath_var_day + (min(max(state.catch_frac, 0.0), 1.0) * ahead.sd_l) ** 2)
    ahead_l = volume[:, None] + np.outer(catch * ahead.mean_l, evenings)
    ahead_l -= np.outer(loss, day)
    ahead_l += step_sd * walk
    ahead_l += (ahead.mean_l * np.sqrt(noise.catch_var_day)) * walk_catch
    ahead_l -= np.sqrt(noise.loss_var_day) * walk_loss
    return Futures(day, ahead_l, volume, catch, loss, possible / possible.sum(), step_sd**2 * span)


def _can_be(volume: Floats, catch: Floats, loss: Floats) -> NDArray[np.bool_]:
    """Which draws a bath can have."""
    return np.asarray((catch >= 0.0) & (catch <= 1.1) & (loss >= 0.0) & (volume >= 0.0))


def _joint_above_nought(state: WaterState, z: Floats) -> tuple[Floats, Floats, Floats]:
    """Draws of volume, catch and loss, the loss from the part of its normal above 0, the others given it."""
    vv, vc, vl, cc, cl, ll = state.cov
    sd, quantile = ll**0.5, NormalDist().inv_cdf
    above = _upper_tail(min(-state.loss_l_day / sd, _FURTHEST_SD))
    far = np.array([-quantile(_upper_tail(draw) * above) for draw in z[:, 2].tolist()])
    on_volume, on_catch = vl / ll, cl / ll
    given = (vv - on_volume * vl, vc - on_volume * cl, 0.0, cc - on_catch * cl, 0.0, 0.0)
    rest = replace(state, loss_l_day=0.0, cov=given)
    volume, catch, _ = _joint(rest, z)
    return volume + on_volume * sd * far, catch + on_catch * sd * far, state.loss_l_day + sd * far


def _upper_tail(sd: float) -> float:
    """Share of a standard normal above so many standard deviations, exact far out too."""
    return math.erfc(sd / math.sqrt(2.0)) / 2.0


def _joint(state: WaterState, z: Floats) -> tuple[Floats, Floats, Floats]:
    """Draws of volume, catch and loss: Cholesky by hand, as a variance may be 0."""
    vv, vc, vl, cc, cl, ll = state.cov
    a = max(vv, 0.0) ** 0.5
    b = vc / a if a else 0.0
    d = vl / a if a else 0.0
    e = max(cc - b * b, 0.0) ** 0.5
    f = (cl - b * d) / e if e else 0.0
    g = max(ll - d * d - f * f, 0.0) ** 0.5
    volume = state.volume_l + a * z[:, 0]
    catch = state.catch_frac + b * z[:, 0] + e * z[:, 1]
    loss = state.loss_l_day + d * z[:, 0] + f * z[:, 1] + g * z[:, 2]
    return volume, catch, loss


def passage_cdf(futures: Futures, line_l: float, *, upward: bool = True) -> Floats:
    """Probability that a line has been passed by each coming evening.

    Parameters
    ----------
    futures : Futures
        Drawn futures.
    line_l : float
        Volume at the line. [L] Valid finite.
    upward : bool
        Whether the line is passed from below (limit line) or from above (dry).

    Returns
    -------
    numpy.ndarray
        Shape (steps + 1,): now, then each evening. [1]

    Raises
    ------
    RefusedInput
        If the line is nan or infinite.

    Notes
    -----
    With gaps g0, g1 to the line at both ends of a step of variance q, the bridge touches the line with
    probability exp(-2 g0 g1 / q), and surely when either gap is below 0; survival is the product over steps,
    averaged over futures by weight.

    Source: cox-miller-1965, section 5.7
    """
    if not np.isfinite(line_l):
        raise RefusedInput("line_l", line_l, "a finite volume")
    sign = 1.0 if upward else -1.0
    gap = sign * (line_l - futures.volume_l)
    gap_now = sign * (line_l - futures.now_l)
    before = np.concatenate((gap_now[:, None], gap[:, :-1]), axis=1)
    np.maximum(gap, 0.0, out=gap)
    np.maximum(before, 0.0, out=before)
    quiet = np.maximum(futures.step_var, 1e-300)
    stays = -np.expm1(-2.0 * before * gap / quiet)
    np.cumprod(stays, axis=1, out=stays)
    stays *= (gap_now > 0.0)[:, None]
    still = futures.weight @ np.concatenate(((gap_now > 0.0)[:, None], stays), axis=1)
    passed: Floats = np.clip(1.0 - still, 0.0, 1.0)  # rounding alone leaves 0..1
    return passed


def passage_quantile(futures: Futures, cdf: Floats, probability: float) -> float:
    """Days from now by which a line has been passed with a given probability.

    Parameters
    ----------
    futures : Futures
        The futures the probabilities came from.
    cdf : numpy.ndarray
        What passage_cdf gave. [1] Valid 0..1, rising.
    probability : float
        Which quantile. [1] Valid above 0, below 1.

    Returns
    -------
    float
        Days from now; 0 when passed already; nan when not within the horizon of about 400 days. [d]

    Raises
    ------
    RefusedInput
        If the probability is not between 0 and 1.

    Notes
    -----
    Straight line between evenings.

    Source: own definition
    """
    if not 0.0 < probability < 1.0:
        raise RefusedInput("probability", probability, "a number between 0 and 1")
    if cdf[-1] < probability:
        return float("nan")
    if cdf[0] >= probability:
        return 0.0
    return float(np.interp(probability, np.maximum.accumulate(cdf), np.concatenate(([0.0], futures.day))))
