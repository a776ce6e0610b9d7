"""Single-tank books of varied floors, pots and habits, with the truth behind them.

Made for calibration: a few milliseconds a book, a step of six hours for the vapour and of
a day for the rest. Every cause is drawn from the ranges of docs/starting-values.md.
An evening without an entry was mostly not sprayed; `Habit.unnoted_frac` of them were.
"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from halfwater.demo.curve import Curve, bath_curve
from halfwater.demo.habit import Habit, drawn_habit
from halfwater.demo.noting import Evenings, Pen
from halfwater.demo.room import grams_m3
from halfwater.demo.truth import Floats, Truth
from halfwater.plain.entry import NewEntry
from halfwater.plain.nursery import PotFacts
from halfwater.plain.tank import SprayPlan, TankFacts

AHEAD_DAYS = 500  # how far the course goes on past the end of the book
LAST_DAY = date(2024, 9, 30)
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Weather:
    """What the days of one tank bring: sprays and losses, drawn before anything is noted."""

    has_entry: Flags
    is_sprayed: Flags
    noted_l: Floats
    sprayed_l: Floats
    caught_l: Floats
    catch_frac: Floats
    loss_l: Floats


def simulated_book(
    rng: Generator, habit: Habit | None = None, days: int | None = None, last_on: date = LAST_DAY
) -> tuple[TankFacts, tuple[NewEntry, ...], Truth]:
    """A tank, what its grower noted, and what really happened.

    `habit` and `days` are drawn when not given. Entries are in order of time and end on
    the evening of `last_on`; the waterline is read before the spray of the same evening.
    """
    habit = habit or drawn_habit(rng)
    days = days or int(np.exp(rng.uniform(np.log(20), np.log(700))))
    first_on = last_on - timedelta(days=days - 1)
    tank = drawn_tank(rng, first_on)
    believed = bath_curve(tank)
    curve = bath_curve(tank, float(np.clip(rng.normal(0.44, 0.02), 0.38, 0.5)))
    weather = _weather(rng, habit, tank, days + AHEAD_DAYS)
    pen = Pen(rng, tank.key, first_on)
    truth = _course(rng, habit, tank, curve, weather, days, pen)
    _note_sprays(pen, habit, weather, days, tank)
    _note_readings(rng, pen, habit, truth, believed, weather)
    return tank, pen.entries(), truth


def water_rows(entries: tuple[NewEntry, ...]) -> list[tuple[object, str, float | None, str, str]]:
    """Entries as the rows the waterline is worked out from: at, kind, value, to_line, word."""
    return [(e.at, e.kind, e.value, e.to_line, e.word) for e in entries]


def drawn_tank(rng: Generator, first_on: date) -> TankFacts:
    """A tank of a usual floor with pots that fit it and lines in the right order."""
    length, width = float(rng.uniform(450, 1250)), float(rng.uniform(280, 520))
    pot_mm = float(rng.choice([38, 45, 50, 55, 65, 80]))
    height = round(pot_mm * float(rng.uniform(0.85, 1.1)))
    foot_mm = round(pot_mm * float(rng.uniform(0.65, 0.85)))
    pot = PotFacts(1, f"{pot_mm:.0f} mm net pot", pot_mm, foot_mm, height)
    fit = int(length // pot_mm) * int(width // pot_mm)
    fill = float(rng.uniform(0.55, 0.75))
    limit = height * fill - 6.0
    low = None if limit - height / 3 > 5.0 else max(4.0, limit - float(rng.uniform(6.0, 12.0)))
    planned = 0.15 * (length * width / 540_000) ** 0.7 * float(np.exp(rng.normal(0.0, 0.3)))
    plan = SprayPlan(1, round(planned, 2))
    if rng.random() < 0.2:
        plan = SprayPlan(1, round(planned, 2), 2, round(planned / 2, 2))
    return TankFacts(
        key=1, name="Tank", place=1, length_mm=round(length), width_mm=round(width),
        height_mm=round(float(rng.uniform(300, 520))), pot=pot, pots=int(fit * rng.uniform(0.55, 0.95)),
        clay_fill_frac=round(fill, 3), clay_porosity_frac=0.44, margin_mm=6.0, low_line_mm=low, keep_outs=(),
        plan=plan, lamp=None,
        lamp_dimmer_frac=1.0, lamp_hours=10.0, stray_ppfd_umol_m2_s=0.0, stray_hours=0.0,
        lid_ach_per_h=None, inside_temp_c=None, inside_rh_frac=None, set_up_on=first_on,
    )  # fmt: skip


def _weather(rng: Generator, habit: Habit, tank: TankFacts, n: int) -> _Weather:
    """Sprays and losses of `n` days, the habit the same throughout."""
    plan = tank.plan
    night, morning = plan.night_volume_l or 0.15, plan.morning_volume_l or 0.0
    away = _holidays(rng, habit, n)
    has_entry = (rng.random(n) >= habit.gap_frac) & ~away
    has_entry[0] = True
    is_sprayed = has_entry | ((rng.random(n) < habit.unnoted_frac) & ~away)
    measured = rng.random(n) < habit.measured_frac
    meant = night * np.where(measured, np.exp(rng.normal(0, 0.15, n)), 1.0)
    bias = float(np.exp(rng.normal(0.0, 0.05)))  # the sprayer gives a little more or less than believed
    sprayed = meant * bias * np.exp(rng.normal(0, habit.stroke_frac, n)) * is_sprayed
    morning_l = morning * np.exp(rng.normal(0, habit.stroke_frac, n)) * is_sprayed
    noted = np.where(measured, np.round(meant * 200) / 200, night)
    growth = _leafing(rng, n)
    share = rng.beta(5.3, 4.3) * np.exp(np.cumsum(rng.normal(0, 0.005, n)) - 0.12 * growth)
    share = np.clip(share * np.exp(rng.normal(0, 0.07, n)), 0.02, 0.98)
    caught_now = share * (sprayed + morning_l)
    late = float(rng.uniform(0.0, 0.35))  # drips from leaves and clay in the two days after
    caught = np.convolve(caught_now, [1 - late, 0.7 * late, 0.3 * late])[:n]
    loss = _loss(rng, tank, n, growth, is_sprayed)
    return _Weather(has_entry, is_sprayed, noted, sprayed, caught, share * bias, loss)


def _holidays(rng: Generator, habit: Habit, n: int) -> Flags:
    """Days on which nobody came."""
    away = np.zeros(n, dtype=bool)
    for start in np.flatnonzero(rng.random(n) < habit.holidays_a_year / 365):
        away[start + 1 : start + 1 + int(rng.integers(4, 12))] = True
    return away


def _leafing(rng: Generator, n: int) -> Floats:
    """Leaf area over the floor as a share of a full stand: grows, and is cut back at harvests."""
    age = (np.arange(n) + int(rng.integers(0, 200))) % int(rng.integers(150, 330))
    return np.asarray(1 / (1 + np.exp(-(age - 110) / 35)))


def _loss(rng: Generator, tank: TankFacts, n: int, growth: Floats, is_sprayed: Flags) -> Floats:
    """What leaves the bath each day: vapour through the lid and its openings, and leaves. [L]"""
    hours = (np.arange(4 * n) * 6.0 + 3.0) % 24
    season = np.cos(2 * np.pi * (np.arange(4 * n) / 4 + rng.uniform(0, 365)) / 365)
    spell = np.convolve(rng.normal(0, 1, 4 * n), np.exp(-np.arange(24) / 10.0))[: 4 * n] / 2.3
    is_lit = (hours > 8) & (hours < 18)
    room_c = rng.normal(21.5, 1.5) + rng.uniform(0.5, 3.0) * season + 0.8 * spell
    inside_c = room_c + rng.uniform(0.5, 2.5) + rng.uniform(1.0, 4.0) * is_lit
    room_rh = np.clip(rng.normal(0.5, 0.06) + 0.07 * season + 0.04 * spell, 0.2, 0.85)
    inside_rh = np.clip(rng.normal(0.96, 0.02) - 0.04 * is_lit + rng.normal(0, 0.01, 4 * n), 0.8, 1.0)
    gap = np.maximum(grams_m3(inside_c, inside_rh) - grams_m3(room_c, room_rh), 0.0)
    air_m3 = tank.length_mm * tank.width_mm * (tank.height_mm - 60) / 1e9
    ach = float(np.clip(np.exp(rng.normal(np.log(0.45), 0.8)), 0.1, 2.0))
    through_lid = (gap * air_m3 * ach * 6 / 1000).reshape(n, 4).sum(axis=1)
    opened = air_m3 * gap.reshape(n, 4)[:, 3] / 1000 * rng.uniform(1, 3, n) * is_sprayed
    leaves = growth * tank.length_mm * tank.width_mm / 1e6 * float(rng.uniform(0.005, 0.06))
    return np.asarray((through_lid + opened) * float(rng.uniform(0.7, 1.0)) + leaves)


def _course(
    rng: Generator, habit: Habit, tank: TankFacts, curve: Curve, weather: _Weather, days: int, pen: Pen
) -> Truth:
    """The bath from the first fill to the end of the book, siphons and fills noted on the way."""
    net = weather.caught_l - weather.loss_l
    low_l, limit_l = (float(curve.volume_of(x)) for x in (curve.low_line_mm, curve.limit_line_mm))
    dry_l = 0.35 * low_l
    volume = low_l * float(rng.uniform(0.9, 1.1))
    pen.fill(0, round(low_l, 1))
    course, siphoned, since = np.empty(days), np.zeros(days), 0
    limit_seen = limit_l - abs(float(rng.normal(0, 0.1))) * (limit_l - low_l)
    looks = rng.random(days) < (0.6 if habit.siphon_by == "eye" else 0.3)
    for day in range(days):
        since += 1
        here = bool(weather.is_sprayed[day]) and day > 0
        due = since >= habit.siphon_every_days and volume > low_l * 1.1 and habit.siphon_by == "calendar"
        if here and (due or (looks[day] and volume >= limit_seen)):
            stop_mm = max(1.0, curve.low_line_mm + float(rng.normal(0, habit.siphon_error_mm)))
            siphoned[day] = max(0.0, volume - float(curve.volume_of(stop_mm)))
            volume, since = volume - siphoned[day], 0
            pen.siphon(day, siphoned[day], habit.siphon_litres_frac)
        elif here and looks[day] and volume < dry_l:
            pen.fill(day, round(low_l - volume, 1))
            volume += (low_l - volume) * float(rng.normal(1.0, 0.03))
        volume = max(0.0, volume + net[day])
        course[day] = volume
    return Truth(
        tank.name, pen.first_on, curve, course, curve.depth_of(course),
        weather.catch_frac[:days], weather.loss_l[:days], siphoned, weather.sprayed_l[:days], net,
    )  # fmt: skip


def _note_sprays(pen: Pen, habit: Habit, weather: _Weather, days: int, tank: TankFacts) -> None:
    """The evening entries: sprays as the grower believes them, skips when he owns up."""
    evenings = Evenings(weather.has_entry[:days], weather.is_sprayed[:days], weather.noted_l[:days])
    pen.sprays(evenings, habit, tank.plan)


def _note_readings(
    rng: Generator, pen: Pen, habit: Habit, truth: Truth, believed: Curve, weather: _Weather
) -> None:
    """Waterline readings, before the siphon and the spray of the same evening."""
    if habit.read_every_days is None:
        return
    days = truth.volume_l.size
    due = np.arange(int(rng.integers(1, habit.read_every_days + 1)), days, habit.read_every_days)
    due = due[(rng.random(due.size) < habit.read_frac) & weather.is_sprayed[due]]
    before = np.concatenate([[truth.volume_l[0] - truth.net_l[0]], truth.volume_l[:-1]])
    depth = truth.curve.depth_of(before[due]) + rng.normal(habit.parallax_mm, habit.ruler_error_mm, due.size)
    shown = np.maximum(np.round(depth / habit.ruler_step_mm) * habit.ruler_step_mm, 0.0)
    inside = shown <= believed.depth_mm[-1]
    for day, value in zip(due[inside], shown[inside], strict=True):
        pen.reading(int(day), float(value))
