"""The air of the room the tanks stand in, hour by hour: season, time of day and weather."""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.random import Generator

from halfwater.demo.truth import Floats


def grams_m3(temp_c: Floats, rh_frac: Floats) -> Floats:
    """Water vapour in air by the Magnus form. [g/m3]"""
    pressure_pa = 611.2 * np.exp(17.62 * temp_c / (243.12 + temp_c)) * rh_frac
    return np.asarray(pressure_pa / (461.5 * (temp_c + 273.15)) * 1000)


@dataclass(frozen=True, slots=True)
class Room:
    """One value an hour, from midnight of the first day, local time."""

    hour: Floats
    temp_c: Floats
    vapour_g_m3: Floats

    @property
    def rh_frac(self) -> Floats:
        """Relative humidity."""
        return np.asarray(self.vapour_g_m3 / grams_m3(self.temp_c, np.ones_like(self.temp_c)))


def room_air(rng: Generator, first_on: date, days: int) -> Room:
    """A heated room on the northern half of the globe, its vapour led by the weather outside."""
    n = days * 24
    hours = np.arange(n, dtype=float)
    hour = hours % 24
    summer = np.cos(2 * np.pi * (first_on.timetuple().tm_yday + hours / 24 - 200) / 365.25)
    afternoon = np.cos(2 * np.pi * (hour - 16) / 24)
    warm, damp = _spells(rng, n), _spells(rng, n)
    temp = 21.0 + 2.0 * summer + (0.8 + 0.4 * summer) * afternoon + 0.9 * warm
    outside = 9.5 + 4.0 * summer + 1.3 * damp
    cap = 0.8 * grams_m3(temp, np.ones(n))
    return Room(hour, temp, np.clip(outside, 4.0, cap))


def _spells(rng: Generator, n: int) -> Floats:
    """Weather that lasts about three days, with unit scatter."""
    memory_h = 72.0
    kernel = np.exp(-np.arange(300) / memory_h)
    kernel /= np.sqrt((kernel**2).sum())
    return np.asarray(np.convolve(rng.normal(size=n + 299), kernel, mode="valid"))
