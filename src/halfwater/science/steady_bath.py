"""Where a habit leads a bath in the end, in closed form; and what siphon and refill do to its strength."""

import math
from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.science.limits import Limits

_VOLUME = Limits("volume", 0.0, 10_000.0, "L")
_FLOW = Limits("flow", 0.0, 1_000.0, "L a day")
_STRENGTH = Limits("strength", 0.0, 1e6)
_EC = Limits("EC", 0.0, 20.0, "mS/cm")
_BATH_EC = Limits("EC of the bath", 0.0, 10_000.0, "mS/cm")  # reckoned: one that dries passes all bounds


@dataclass(frozen=True, slots=True)
class Refill:
    """Litres to siphon and to pour in after, and the EC that gives."""

    siphon_l: float
    refill_l: float
    ec_ms_cm: float
    is_reachable: bool


def bleed_for_cycles(evaporation_l_day: float, cycles: float) -> tuple[float, float]:
    """Flow to draw off, and to make up, so that a bath stands at so many times its inflow's strength.

    Parameters
    ----------
    evaporation_l_day : float
        What leaves as vapour. [L/d] Valid 0..1000.
    cycles : float
        Strength of the bath over that of what is poured in. [1] Valid above 1.

    Returns
    -------
    tuple of float
        Bleed and make-up. [L/d]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range; at one cycle the bleed would have no end.

    Notes
    -----
    B = E / (C - 1); M = E C / (C - 1) = E + B.

    Source: thermidaire-cycles

    Examples
    --------
    >>> bleed_for_cycles(60.0, 3.0)
    (30.0, 90.0)
    """
    evaporation = _FLOW.one(evaporation_l_day)
    if not (math.isfinite(cycles) and cycles > 1.0):
        raise RefusedInput("cycles", cycles, "a number above 1")
    return evaporation / (cycles - 1.0), evaporation * cycles / (cycles - 1.0)


def strength_in_time(
    volume_l: float, inflow_l_day: float, evaporation_l_day: float, inflow: float, start: float, days: float
) -> float:
    """Strength of a well-mixed bath held at one volume, some days on: what runs in runs off, less vapour.

    Parameters
    ----------
    volume_l : float
        The bath. [L] Valid above 0..10000.
    inflow_l_day : float
        What runs in. [L/d] Valid from the evaporation up to 1000.
    evaporation_l_day : float
        What leaves as vapour. [L/d] Valid 0..inflow.
    inflow : float
        Strength of what runs in, in any unit. [1] Valid 0..1e6.
    start : float
        Strength at the start, in the same unit. [1] Valid 0..1e6.
    days : float
        How much later. [d] Valid 0 upward.

    Returns
    -------
    float
        Strength, in the same unit. [1]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range, or more leaves as vapour than runs in.

    Notes
    -----
    V dC/dt = q c - (q - e) C: C = C_end + (C_0 - C_end) exp(-(q - e) t / V), C_end = q c / (q - e). With
    q = e nothing runs off and the salts add up: C_0 + q c t / V.

    Source: own definition

    Examples
    --------
    >>> round(strength_in_time(40.0, 0.5, 0.3, 300.0, 200.0, 30.0), 4)
    276.6106
    """
    volume, q, e = _VOLUME.one(volume_l), _FLOW.one(inflow_l_day), _FLOW.one(evaporation_l_day)
    c, first = _STRENGTH.one(inflow), _STRENGTH.one(start)
    if volume <= 0.0:
        raise RefusedInput("volume", volume_l, "a volume above 0")
    if e > q:
        raise RefusedInput("evaporation", evaporation_l_day, f"at most the inflow, {q:g} L a day")
    if not (math.isfinite(days) and days >= 0.0):
        raise RefusedInput("days", days, "0 days or more")
    if q == e:
        return first + q * c * days / volume
    end = q * c / (q - e)
    return end + (first - end) * math.exp(-(q - e) * days / volume)


def strength_at_siphon(
    low_l: float, rise_l: float, brought: float, times: float, start: float = 0.0
) -> float:
    """Strength of a bath at its n-th siphon, each taking it back to one volume.

    Parameters
    ----------
    low_l : float
        Volume a siphon leaves. [L] Valid 0..10000.
    rise_l : float
        Net rise between two siphons. [L] Valid above 0..10000.
    brought : float
        Salt added between two siphons: strength times litres. [1] Valid 0..1e6.
    times : float
        Which siphon, from 1; infinity for the long run. [1] Valid 0 upward.
    start : float
        Strength at the beginning, after a siphon. [1] Valid 0..1e6.

    Returns
    -------
    float
        Strength when the siphon starts. [1]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    (s / R) (1 - r^n) + C_0 r^n with r = V_0 / (V_0 + R). The end, s / R, does not hang on the volume.

    Source: own definition

    Examples
    --------
    >>> round(strength_at_siphon(30.0, 6.0, 1500.0, 12), 3)
    221.961
    """
    low, rise = _VOLUME.one(low_l), _VOLUME.one(rise_l)
    salt, first = _STRENGTH.one(brought), _STRENGTH.one(start)
    if rise <= 0.0:
        raise RefusedInput("rise", rise_l, "a rise above 0 L: a bath that does not rise is never siphoned")
    if not times >= 0.0:
        raise RefusedInput("times", times, "0 or more siphons")
    left = math.pow(low / (low + rise), times)
    return salt / rise * (1.0 - left) + first * left


def steady_strength(brought: float, taken_away_l: float, uptake: float = 0.0, half: float = 1.0) -> float:
    """Strength at the siphon in the long run, with plants that take their share.

    Parameters
    ----------
    brought : float
        Salt that comes in from siphon to siphon: strength times litres, refill included. [1] Valid 0 upward.
    taken_away_l : float
        Litres siphoned each time. [L] Valid above 0.
    uptake : float
        What plants would take in that time if they found enough. [1] Valid 0 upward.
    half : float
        Strength at which they take half of that. [1] Valid above 0.

    Returns
    -------
    float
        The root C of x C + u C / (C + K) = s. [1]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    Positive root of the quadratic x C^2 + (x K + u - s) C - s K = 0. Without uptake s / x. Plants are taken
    to feed at the strength of the siphon all along: a little too much where the refill is much weaker.

    Source: own definition
    """
    for name, value, least in (("salt", brought, 0.0), ("uptake", uptake, 0.0)):
        if not (math.isfinite(value) and value >= least):
            raise RefusedInput(name, value, "a number from 0 up")
    for name, value in (("siphon", taken_away_l), ("half", half)):
        if not (math.isfinite(value) and value > 0.0):
            raise RefusedInput(name, value, "a number above 0")
    b = taken_away_l * half + uptake - brought
    root = math.sqrt(b * b + 4.0 * taken_away_l * brought * half)
    if b <= 0.0:
        return (root - b) / (2.0 * taken_away_l)
    return 2.0 * brought * half / (b + root)  # the same root, without losing digits


def ec_after_refill(
    volume_l: float, ec_ms_cm: float, siphon_l: float, refill_l: float, refill_ms_cm: float,
    *, held_l: float = 0.0,
) -> float:  # fmt: skip
    """EC of a bath after siphoning x litres and pouring in y, once mixed.

    Parameters
    ----------
    volume_l : float
        The bath before. [L] Valid 0..10000.
    ec_ms_cm : float
        Its EC. [mS/cm] Valid 0..10000.
    siphon_l : float
        Taken out. [L] Valid 0..volume.
    refill_l : float
        Poured in. [L] Valid 0..10000.
    refill_ms_cm : float
        EC of what is poured in. [mS/cm] Valid 0..20.
    held_l : float
        What the clay holds at the bath's strength. [L] Valid 0..10000.

    Returns
    -------
    float
        EC after. [mS/cm]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range, more is siphoned than there is, or nothing would be left.

    Notes
    -----
    (EC (V + held - x) + y EC_y) / (V + held - x + y).

    Source: own definition

    Examples
    --------
    >>> ec_after_refill(10.0, 2.0, 5.0, 5.0, 0.4)
    1.2
    """
    volume, held, refill = _VOLUME.one(volume_l), _VOLUME.one(held_l), _VOLUME.one(refill_l)
    siphon = Limits("siphon", 0.0, volume, "L").one(siphon_l)
    left = volume + held - siphon
    if left + refill <= 0.0:
        raise RefusedInput("siphon", siphon_l, "less than all there is, or a refill")
    return (_BATH_EC.one(ec_ms_cm) * left + refill * _EC.one(refill_ms_cm)) / (left + refill)


def refill_for_target(
    volume_l: float, ec_ms_cm: float, target_ms_cm: float, refill_ms_cm: float,
    *, end_l: float | None = None, held_l: float = 0.0,
) -> Refill:  # fmt: skip
    """Litres to siphon, and to refill, so that a bath comes to a target EC.

    Parameters
    ----------
    volume_l : float
        The bath. [L] Valid 0..10000.
    ec_ms_cm : float
        Its EC. [mS/cm] Valid 0..10000.
    target_ms_cm : float
        Wanted. [mS/cm] Valid 0..20.
    refill_ms_cm : float
        EC of what is poured in. [mS/cm] Valid 0..20.
    end_l : float or None
        Volume wanted after; None for the same as before. [L] Valid 0..10000.
    held_l : float
        What the clay holds at the bath's strength. [L] Valid 0..10000.

    Returns
    -------
    Refill
        The fewest litres. Where the target cannot be reached at this end volume: all that can be siphoned,
        and the EC that gives, with `is_reachable` False.

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    With A the end volume less V, and W = V + held: x = (EC W + A EC_y - t (W + A)) / (EC - EC_y), y = x + A.
    A refill on the wrong side of the target never reaches it. Already at the target at the same volume: 0.

    Source: own definition

    Examples
    --------
    >>> refill_for_target(10.0, 2.0, 1.2, 0.4).siphon_l
    5.0
    """
    volume, held = _VOLUME.one(volume_l), _VOLUME.one(held_l)
    ec, target, refill = _BATH_EC.one(ec_ms_cm), _EC.one(target_ms_cm), _EC.one(refill_ms_cm)
    more = (volume if end_l is None else _VOLUME.one(end_l)) - volume
    least = max(0.0, -more)  # to come down to the end volume at all
    if volume + held + more <= 0.0:
        raise RefusedInput("end volume", end_l, "a volume above 0")

    def after(x: float) -> float:
        return (ec * (volume + held - x) + (x + more) * refill) / (volume + held + more)

    if abs(ec - refill) < 1e-12:
        return Refill(least, least + more, ec, abs(ec - target) < 1e-9)
    wanted = (ec * (volume + held) + more * refill - target * (volume + held + more)) / (ec - refill)
    if least - 1e-9 <= wanted <= volume + 1e-9:
        x = min(max(wanted, least), volume)
        return Refill(x, x + more, after(x), True)
    best = volume if wanted > volume and (refill - ec) * (target - ec) > 0.0 else least
    return Refill(best, best + more, after(best), False)
