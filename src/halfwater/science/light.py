"""Light at the pots: readings, lamps and hours to a daily light integral."""

from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.science.ions import read_data
from halfwater.science.limits import Limits, Numbers

MOL_PER_UMOL_HOUR = 0.0036  # 3600 s/h, 1e-6 mol/umol
FOOT_CANDLE_LUX = 1 / 0.3048**2  # a lumen on a square foot
_PPFD = Limits("PPFD", 0, 3000, "umol/m2/s")
_LUX = Limits("lux", 0, 200_000, "lux")
_LUX_FACTOR = Limits("lux factor", 5, 150, "lux per umol/m2/s")
_LIT_HOURS = Limits("hours of light", 0, 24, "hours a day")
_DIMMER = Limits("dimmer", 0, 1, "(1 is full power)")
_DAILY_LIGHT = Limits("daily light", 0, 260, "mol/m2/d")


@dataclass(frozen=True, slots=True)
class SourceFactors:
    """How a kind of light reads on other meters."""

    lux_per_umol: float
    umol_per_j: float | None  # umol of photons per joule of PAR


# By name, from data/light.toml; white LED is not in it.
SOURCE_FACTORS = MappingProxyType(
    {
        name: SourceFactors(row["lux_per_umol"], row.get("umol_per_j"))
        for name, row in read_data("light.toml").items()
        if name != "source"
    }
)
_MEANINGS = (
    (0.7, "Enough to survive on at best: expect hardly a new leaf."),
    (1.2, "Dim: slow plants keep, and grow little."),
    (
        4.0,
        "Low light that slow aroids and ferns grow in; most greenhouse crops would want four times as much.",
    ),
    (10.0, "Good for stems and some ferns; more than slow aroids need, and algae will use it."),
    (30.0, "A greenhouse crop's light: far more than slow aroids need, and algae will be heavy."),
    (60.0, "More than a greenhouse usually gets: check the reading and the hours."),
    (260.0, "More than the open sky gives in a day: check the reading and the hours."),
)
_LED_WANTED = (
    "the lamp's own factor in lux per umol/m2/s, from its data sheet or from a quantum sensor beside the lux "
    "meter, or a PPFD reading (no LED is in the published table)"
)


@dataclass(frozen=True, slots=True)
class LightSource:
    """Light that falls on the pots from one source on an ordinary day."""

    name: str
    ppfd_umol_m2_s: float
    lit_h: float

    @property
    def dli_mol_m2_d(self) -> float:
        """Its share of the daily light integral."""
        return float(daily_light_integral(self.ppfd_umol_m2_s, self.lit_h))


@dataclass(frozen=True, slots=True)
class LightAnswer:
    """A tank's light on an ordinary day; where it cannot be said the sum is None and `why` says why."""

    dli_mol_m2_d: float | None
    sources: tuple[LightSource, ...]
    meaning: str
    why: str


def daily_light_integral(ppfd_umol_m2_s: Any, lit_h: Any) -> Numbers:
    """Daily light integral of a steady light.

    The photons a square metre of floor gets in a day: what growth and algae both answer to.

    Parameters
    ----------
    ppfd_umol_m2_s : array_like
        Photon flux density (400-700 nm) at pot height. [umol/m2/s] Valid 0..3000.
    lit_h : array_like
        Hours of it a day; broadcasts with `ppfd_umol_m2_s`. [h] Valid 0..24.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of both. [mol/m2/d]

    Raises
    ------
    RefusedInput
        If a value is nan or out of range.

    Notes
    -----
    DLI = 0.0036 PPFD h. 0 in either gives 0.

    Source: purdue-ho-238

    Examples
    --------
    >>> round(float(daily_light_integral(100, 16)), 2)
    5.76
    """
    ppfd = _PPFD.many(ppfd_umol_m2_s)
    lit = _LIT_HOURS.many(lit_h)
    return np.float64(MOL_PER_UMOL_HOUR) * ppfd * lit


def sum_sources(sources: Sequence[LightSource]) -> float:
    """Daily light integral of several sources together.

    Photons add, whichever lamp or window they come from.

    Parameters
    ----------
    sources : Sequence of LightSource
        Each with its PPFD at pot height and hours.

    Returns
    -------
    float
        The sum; 0 for no source. [mol/m2/d]

    Raises
    ------
    RefusedInput
        If a source has a nan or a value out of range.

    Notes
    -----
    DLI = sum_i 0.0036 PPFD_i h_i.

    Source: purdue-ho-238

    Examples
    --------
    >>> round(sum_sources([LightSource("lamp", 50, 12), LightSource("window", 30, 10)]), 2)
    3.24
    """
    return sum((source.dli_mol_m2_d for source in sources), start=0.0)


def lux_factor(source: str) -> float:
    """Lux per micromole of a kind of light, from the published table.

    Lux weighs light by the eye, so every spectrum has its own factor.

    Parameters
    ----------
    source : str
        "sun and sky", "blue sky", "cool-white fluorescent", "high-pressure sodium", "metal halide"
        or "incandescent".

    Returns
    -------
    float
        Lux for each umol/m2/s. [lx.m2.s/umol]

    Raises
    ------
    RefusedInput
        If the source is not in the table; an LED never is, and needs its own factor.

    Notes
    -----
    The table is of 1983: a modern lamp of the same name may differ by some per cent.

    Source: thimijan-heins-1983, table 3

    Examples
    --------
    >>> lux_factor("sun and sky")
    54.0
    """
    name = source.strip().lower() if isinstance(source, str) else ""
    if name in SOURCE_FACTORS:
        return SOURCE_FACTORS[name].lux_per_umol
    if "led" in name.split():
        raise RefusedInput("light source", source, _LED_WANTED)
    raise RefusedInput("light source", source, f"one of {', '.join(SOURCE_FACTORS)}, or {_LED_WANTED}")


def ppfd_from_lux(lux: Any, lux_per_umol: Any) -> Numbers:
    """Photon flux density from a lux reading.

    For a grower with a lux meter who knows the lamp's own factor.

    Parameters
    ----------
    lux : array_like
        Reading at pot height, sensor level. [lx] Valid 0..200000.
    lux_per_umol : array_like
        Lux for each umol/m2/s of this light; broadcasts. [lx.m2.s/umol] Valid 5..150.

    Returns
    -------
    numpy.float64 or numpy.ndarray
        Broadcast shape of both. [umol/m2/s]

    Raises
    ------
    RefusedInput
        If a value is nan or out of range, or the factor is missing: there is no default.

    Notes
    -----
    PPFD = lux / factor. 0 lux gives 0.

    Source: thimijan-heins-1983

    Examples
    --------
    >>> float(ppfd_from_lux(5400, 54))
    100.0
    """
    reading = _LUX.many(lux)
    if lux_per_umol is None:
        raise RefusedInput("lux factor", "", _LED_WANTED)
    factor = _LUX_FACTOR.many(lux_per_umol)
    return np.float64(1) * reading / factor


def photons_per_joule(source: str) -> float:
    """Photons in a joule of a kind of light, 400-700 nm, from the published table.

    Turns an energy meter's W/m2 into umol/m2/s.

    Parameters
    ----------
    source : str
        A source of the table (see `lux_factor`); blue sky has no figure in it.

    Returns
    -------
    float
        Multiply W/m2 by this. [umol/J]

    Raises
    ------
    RefusedInput
        If the table has no figure for the source.

    Notes
    -----
    Between 4.5 and 5 for white light of any kind.

    Source: thimijan-heins-1983, table 3

    Examples
    --------
    >>> photons_per_joule("sun and sky")
    4.57
    """
    factors = SOURCE_FACTORS.get(source.strip().lower()) if isinstance(source, str) else None
    if factors is None or factors.umol_per_j is None:
        known = ", ".join(name for name, row in SOURCE_FACTORS.items() if row.umol_per_j is not None)
        raise RefusedInput("light source", source, f"one of {known}")
    return factors.umol_per_j


def light_meaning(dli_mol_m2_d: float) -> str:
    """Plain sentence on what a daily light integral means for slow emersed plants.

    For warnings and words on a page, not for a decision: no trial of these plants has been found.

    Parameters
    ----------
    dli_mol_m2_d : float
        Daily light integral at the pots. [mol/m2/d] Valid 0..260.

    Returns
    -------
    str
        One sentence.

    Raises
    ------
    RefusedInput
        If the value is nan or out of range.

    Notes
    -----
    Steps at 0.7, 1.2, 4, 10, 30 and 60. Greenhouses rarely pass 30 and the open sky 60; most
    floriculture crops do poorly below 10. The steps below 10 are our starting values (guesses).

    Source: korczynski-2002; runkle-msu; priors, Light

    Examples
    --------
    >>> light_meaning(2.5)
    'Low light that slow aroids and ferns grow in; most greenhouse crops would want four times as much.'
    """
    dli = _DAILY_LIGHT.one(dli_mol_m2_d)
    return next(sentence for most, sentence in _MEANINGS if dli <= most)


def tank_light(
    *,
    lamp_ppfd_umol_m2_s: float | None = None,
    lamp_lux: float | None = None,
    lux_per_umol: float | None = None,
    dimmer_frac: float = 1.0,
    lamp_h: float = 0.0,
    stray_ppfd_umol_m2_s: float = 0.0,
    stray_h: float = 0.0,
) -> LightAnswer:
    """Daily light of a tank from its lamp and from stray light.

    The lamp's reading is at the pots and at full power; a PPFD reading is taken before a lux one.

    Parameters
    ----------
    lamp_ppfd_umol_m2_s : float, optional
        Lamp at pot height, full power. [umol/m2/s] Valid 0..3000.
    lamp_lux : float, optional
        The same by a lux meter. [lx] Valid 0..200000.
    lux_per_umol : float, optional
        The lamp's own factor. [lx.m2.s/umol] Valid 5..150.
    dimmer_frac : float
        Dimmer setting. [1] Valid 0..1.
    lamp_h : float
        Hours the lamp is on; 0 for a tank without a lamp. [h] Valid 0..24.
    stray_ppfd_umol_m2_s : float
        Light from window or room at pot height. [umol/m2/s] Valid 0..3000.
    stray_h : float
        Hours of it a day. [h] Valid 0..24.

    Returns
    -------
    LightAnswer
        The sum, each source, and what it means; the sum is None, with the reason in `why`, when the
        lamp burns but its light at the pots is not known.

    Raises
    ------
    RefusedInput
        If a value is nan or out of range.

    Notes
    -----
    DLI = 0.0036 (dimmer PPFD_lamp h_lamp + PPFD_stray h_stray). The dimmer is taken as linear:
    where a lamp's is not, read the PPFD at the setting in use and call that full power. A lamp off (0
    hours or 0 dimmer) counts as 0.

    Source: purdue-ho-238; own definition (dimmer)

    Examples
    --------
    >>> answer = tank_light(lamp_ppfd_umol_m2_s=100, dimmer_frac=0.5, lamp_h=12)
    >>> round(answer.dli_mol_m2_d, 2)
    2.16
    """
    dimmer = _DIMMER.one(dimmer_frac)
    hours = _LIT_HOURS.one(lamp_h)
    stray = LightSource("stray light", stray_ppfd_umol_m2_s, stray_h)
    sources = [stray] if stray.dli_mol_m2_d > 0 else []
    full, why = _full_power(lamp_ppfd_umol_m2_s, lamp_lux, lux_per_umol)
    if full is not None:
        sources.insert(0, LightSource("lamp", full * dimmer, hours))
    elif hours * dimmer > 0:
        return LightAnswer(None, tuple(sources), "", why)
    total = sum_sources(sources)
    return LightAnswer(total, tuple(sources), light_meaning(total), "")


def _full_power(ppfd: float | None, lux: float | None, factor: float | None) -> tuple[float | None, str]:
    """The lamp's PPFD at full power, or None and the reason."""
    if ppfd is not None:
        return _PPFD.one(ppfd), ""
    if lux is None:
        return None, "the lamp's light at the pots is not known: give its PPFD, or its lux and its own factor"
    _LUX.one(lux)
    if factor is None:
        return None, f"lux says nothing about plants until the lamp's factor is known: give {_LED_WANTED}"
    return float(ppfd_from_lux(lux, factor)), ""
