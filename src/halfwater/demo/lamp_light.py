"""The light over Fennhollow's floors as it truly falls, and the readings of it that were noted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import exp

from numpy.random import Generator

from halfwater.demo.noting import Pen
from halfwater.demo.nursery import BOOK_DAYS, Place

SpotMm = tuple[str, float, float]  # name, x from the left, y from the front
READ_CV = 0.03  # a hand that does not hold the meter quite level
NOON_MINUTES = -8 * 60
HOT_LENGTH_FRAC, HOT_WIDTH_FRAC = 0.25, 0.35


@dataclass(frozen=True, slots=True)
class LampFall:
    """How a lamp's light falls off over a floor, and its hot spot."""

    level_frac: float  # of the described light, in the middle
    ends_frac: float  # of the middle's, at the middle of the short sides
    sides_frac: float  # and of the long sides
    hot_frac: float  # more under the hot spot
    hot_x_frac: float  # where it is, of the floor's length
    read_days_ago: int
    reads: tuple[tuple[float, float], ...]  # places read, of length and width


_NINE = tuple(product((0.08, 0.5, 0.92), (0.12, 0.5, 0.88)))
FALLS: Mapping[str, LampFall] = {
    "North": LampFall(1.02, 0.62, 0.78, 0.22, 0.36, 44, _NINE),
    "South": LampFall(0.93, 0.68, 0.80, 0.15, 0.60, 96, _NINE),
    "Window": LampFall(1.05, 0.60, 0.82, 0.10, 0.55, 58, _NINE),
    "Shelf": LampFall(0.97, 0.80, 0.86, 0.08, 0.50, 150, ((0.5, 0.5), (0.1, 0.2), (0.9, 0.8))),
}


def true_ppfd(place: Place, x_mm: float, y_mm: float) -> float:
    """The lamp's light at full power at a place of the floor. [umol/m2/s]"""
    tank, lamp = place.facts, place.facts.lamp
    fall = FALLS[tank.name]
    described = 0.0
    if lamp is not None:
        described = lamp.ppfd_umol_m2_s or (lamp.lux or 0.0) / (lamp.lux_per_umol or 68.0)
    u, v = 2 * x_mm / tank.length_mm - 1, 2 * y_mm / tank.width_mm - 1
    along = (x_mm / tank.length_mm - fall.hot_x_frac) / HOT_LENGTH_FRAC
    across = (y_mm / tank.width_mm - 0.5) / HOT_WIDTH_FRAC
    hot = fall.hot_frac * exp(-0.5 * (along**2 + across**2))
    return described * fall.level_frac * fall.ends_frac ** (u * u) * fall.sides_frac ** (v * v) * (1 + hot)


def read_light(rng: Generator, pen: Pen, place: Place, spots: Sequence[SpotMm]) -> None:
    """A light meter held over some spots, and by day with the lamp off where light comes from elsewhere."""
    tank, fall = place.facts, FALLS.get(place.facts.name)
    if fall is None:
        return
    day = BOOK_DAYS - fall.read_days_ago
    for minute, (along, across) in enumerate(fall.reads):
        name, x_mm, y_mm = _nearest(spots, along * tank.length_mm, across * tank.width_mm)
        there = true_ppfd(place, x_mm, y_mm) * tank.lamp_dimmer_frac
        shown = round(there * float(rng.normal(1.0, READ_CV)), 1)
        pen.put(
            "light", pen.at(day, minute - 30), shown, second=tank.lamp_dimmer_frac, third=0.0, spot=name,
            typed=f"{shown:g}",
        )  # fmt: skip
    if tank.stray_ppfd_umol_m2_s:
        name, _, _ = _nearest(spots, 0.5 * tank.length_mm, 0.5 * tank.width_mm)
        shown = round(tank.stray_ppfd_umol_m2_s * float(rng.normal(1.0, 0.05)), 1)
        pen.put("light", pen.at(day, NOON_MINUTES), shown, second=0.0, spot=name, typed=f"{shown:g}, off")


def _nearest(spots: Sequence[SpotMm], x_mm: float, y_mm: float) -> SpotMm:
    return min(spots, key=lambda spot: (spot[1] - x_mm) ** 2 + (spot[2] - y_mm) ** 2)
