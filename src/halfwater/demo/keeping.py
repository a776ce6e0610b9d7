"""The grower's evenings at one tank: who was there, what was sprayed, read, siphoned and written down."""

from dataclasses import dataclass, field
from datetime import timedelta

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from halfwater.demo.chemistry import FILL_EC, BathSalts, is_plain_evening
from halfwater.demo.curve import Curve
from halfwater.demo.noting import Pen
from halfwater.demo.nursery import (
    BOOK_DAYS,
    HOSE_SPLIT_DAYS_AGO,
    NEIGHBOUR_DAYS_AGO,
    Place,
    daily_light,
    is_away,
)
from halfwater.demo.truth import Floats
from halfwater.demo.water import Hours
from halfwater.plain.tank import SprayPlan

EVENING_HOUR, MORNING_HOUR = 20, 8
USUAL_EC = 0.6  # [mS/cm]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Visits:
    """One value a day: was anybody there, was the tank truly sprayed, is it in the book, litres."""

    is_here: Flags
    is_sprayed: Flags
    has_entry: Flags
    night_l: Floats
    morning_l: Floats
    noted_l: Floats

    def hourly_l(self) -> Floats:
        """The sprays on the hours they fall in."""
        hours = np.zeros((self.night_l.size, 24))
        hours[:, EVENING_HOUR] = self.night_l
        hours[:, MORNING_HOUR] = self.morning_l
        return hours.ravel()


def evenings_at_home(rng: Generator, days: int, book_days: int) -> Flags:
    """The evenings the round was walked: nearly all, but for odd ones and a holiday week."""
    here = rng.random(days) >= 0.045
    here[[day for day in range(book_days) if is_away(day)]] = False
    here[book_days - 1] = True
    return here


def drawn_visits(rng: Generator, place: Place, here: Flags, book_days: int) -> Visits:
    """What one tank got on every day, the habit continued past the end of the book."""
    n, plan, habit = here.size, place.facts.plan, place.habit
    is_sprayed = here & (rng.random(n) >= 0.012)
    has_entry = is_sprayed & (rng.random(n) >= 0.01 + 0.05 * habit.unnoted_frac)
    is_sprayed[book_days - NEIGHBOUR_DAYS_AGO] = True
    is_sprayed[book_days - 1] = has_entry[book_days - 1] = True
    night = plan.night_volume_l or 0.0
    measured = rng.random(n) < habit.measured_frac
    meant = night * np.where(measured, np.exp(rng.normal(0, 0.12, n)), 1.0)
    wear = 1 - 0.06 * (np.arange(n) % 330) / 330  # a nozzle wears and is changed
    strokes = np.exp(rng.normal(0, habit.stroke_frac, n)) * wear * place.nature.stroke_bias
    morning = (plan.morning_volume_l or 0.0) * is_sprayed * np.exp(rng.normal(0, habit.stroke_frac, n))
    start = book_days - place.days_ago
    is_sprayed[:start] = has_entry[:start] = False
    morning[:start] = 0.0
    noted = np.where(measured, np.round(meant * 200) / 200, night)
    night_l = np.asarray(meant * strokes * is_sprayed)
    return Visits(here, is_sprayed, has_entry, night_l, np.asarray(morning), noted)


@dataclass(slots=True)
class Walk:
    """One tank on its way through the book, evening by evening."""

    rng: Generator
    pen: Pen
    place: Place
    curve: Curve
    volume_l: float = 0.0
    salts: BathSalts = field(init=False)
    siphons: int = 0
    algae_day: int = -999

    def __post_init__(self) -> None:
        """Clay that holds nothing yet."""
        self.salts = BathSalts.of(self.place)

    def fill(self, day: int, volume_l: float) -> None:
        """Pour in and note it, a little more or less than noted."""
        noted = round(volume_l, 1)
        truly = noted * float(self.rng.normal(1.0, 0.02))
        self.pen.fill(day, noted)
        self.volume_l += truly
        self.salts.pour(truly, FILL_EC)

    def siphon(self, day: int) -> float:
        """Down to about the low line, or nearly dry and filled anew; gives the litres taken."""
        self.siphons += 1
        is_deep = self.place.is_refreshed and self.siphons % 3 == 0
        low_l = float(self.curve.volume_of(self.curve.low_line_mm))
        stop_mm = self.curve.low_line_mm + float(self.rng.normal(0, self.place.habit.siphon_error_mm))
        left_l = 0.25 * low_l if is_deep else float(self.curve.volume_of(stop_mm))
        out = max(0.0, self.volume_l - left_l)
        self.salts.siphon(self.volume_l, out)
        self.volume_l -= out
        self.pen.siphon(day, out, 1.0 if is_deep else self.place.habit.siphon_litres_frac)
        if is_deep:
            self.fill(day, low_l - left_l)
        return out

    def wants_siphon(self, day: int, is_handy_day: bool) -> bool:
        """The waterline looks near the limit line, and it is a day with time for it."""
        seen_mm = float(self.curve.depth_of(self.volume_l)) + float(self.rng.normal(0, 0.8))
        return is_handy_day and seen_mm >= self.curve.limit_line_mm - 1.0

    def look_for_algae(self, day: int) -> None:
        """Green on the clay comes with light, salts and a high waterline."""
        ec = self.salts.ec(self.volume_l)
        is_wet = float(self.curve.depth_of(self.volume_l)) > self.curve.limit_line_mm
        odds = -2.5 + 0.8 * (daily_light(self.place.facts) - 2) + 0.7 * (ec - USUAL_EC) / 0.4 + is_wet
        monthly = 1 / (1 + np.exp(-odds))
        if self.rng.random() < 1 - (1 - monthly) ** (1 / 30):
            much = 2.0 if day - self.algae_day < 40 else 1.0
            self.pen.put("sighting", self.pen.at(day, 15), much, word="algae")
            self.algae_day = day

    def read(self, day: int) -> None:
        """The ruler."""
        habit = self.place.habit
        depth = float(self.curve.depth_of(self.volume_l))
        depth += float(self.rng.normal(habit.parallax_mm, habit.ruler_error_mm))
        self.pen.reading(day, max(0.0, round(depth / habit.ruler_step_mm) * habit.ruler_step_mm))


def walked(
    rng: Generator, pen: Pen, place: Place, curve: Curve, visits: Visits, hours: Hours, leaf_area_m2: Floats
) -> tuple[Floats, Floats, Floats]:
    """Volume late on every evening of the book, litres siphoned each day, and EC before each evening's work.

    All are 0 before the first fill.
    """
    book_days = BOOK_DAYS
    net = (hours.caught_l - hours.lost_l).reshape(-1, 24)
    before, after = net[:, :EVENING_HOUR].sum(axis=1), net[:, EVENING_HOUR:].sum(axis=1)
    walk = Walk(rng, pen, place, curve)
    start = book_days - place.days_ago
    volume, siphoned, ec_ms_cm = (np.zeros(book_days) for _ in range(3))
    reads = _reading_days(rng, place, visits.is_here[:book_days], start)
    for day in range(start, book_days):
        if day == start:
            walk.fill(day, float(curve.volume_of(curve.low_line_mm)))
        else:
            walk.volume_l = max(0.0, walk.volume_l + before[day])
            walk.salts.day(
                place, float(visits.night_l[day - 1]), float(visits.morning_l[day]), walk.volume_l,
                float(leaf_area_m2[day]), is_plain=is_plain_evening(place, day - 1),
            )  # fmt: skip
            ec_ms_cm[day] = walk.salts.ec(walk.volume_l)
        if visits.is_here[day] and day > start:
            if reads[day]:
                walk.read(day)
            is_handy = (pen.first_on.toordinal() + day) % 7 in (6, 0) or rng.random() < 0.1
            has_hose = day < book_days - HOSE_SPLIT_DAYS_AGO
            if walk.wants_siphon(day, is_handy and has_hose):
                siphoned[day] = walk.siphon(day)
            walk.look_for_algae(day)
        walk.volume_l = max(0.0, walk.volume_l + after[day])
        volume[day] = walk.volume_l
    return volume, siphoned, ec_ms_cm


def _reading_days(rng: Generator, place: Place, here: Flags, start: int) -> Flags:
    """About every so many days, with gaps, and one long gap in the middle."""
    reads = np.zeros(here.size, dtype=bool)
    every = place.habit.read_every_days
    if every is not None:
        due = np.arange(start + int(rng.integers(1, every + 1)), here.size, every)
        due = np.clip(due + rng.integers(-1, 2, due.size), start + 1, here.size - 1)
        reads[due[rng.random(due.size) < place.habit.read_frac]] = True
        gap = start + (here.size - start) // 2
        reads[gap : gap + 24] = False
    return reads & here


def note_sprays(pen: Pen, place: Place, visits: Visits, book_days: int) -> None:
    """The sprays as noted: as planned or as measured, some next morning, some tapped twice."""
    rng, habit, plan = pen.rng, place.habit, place.facts.plan
    for day in range(book_days - place.days_ago, book_days):
        is_last = day == book_days - 1
        late = rng.random() < habit.next_morning_frac and not is_last
        at = pen.at(day, float(rng.uniform(11.0, 11.8)) * 60 if late else 12.0 + place.facts.key * 2)
        if visits.has_entry[day]:
            litres = round(float(visits.noted_l[day]), 3)
            mix = None if is_plain_evening(place, day) else plan.night_mix
            pen.put("spray", at, litres, word="night", mix=mix)
            if rng.random() < habit.double_tap_frac:
                pen.put("spray", at + timedelta(seconds=4), litres, word="night", mix=mix)
            _note_morning(pen, plan, day)
        elif not visits.is_sprayed[day] and not is_away(day) and rng.random() < habit.skip_frac:
            pen.put("skip", at, None, word="night")


def _note_morning(pen: Pen, plan: SprayPlan, day: int) -> None:
    """The weak morning spray of the same day."""
    if plan.morning_volume_l:
        at = pen.at(day, (MORNING_HOUR - EVENING_HOUR) * 60)
        pen.put("spray", at, plan.morning_volume_l, word="morning", mix=plan.morning_mix)


def note_air(rng: Generator, pen: Pen, hours: Hours, start: int, book_days: int) -> None:
    """Thermometer and hygrometer, looked at every few weeks before the lid is lifted."""
    for day in range(start + int(rng.integers(3, 15)), book_days, 23):
        if is_away(day):
            continue
        hour = day * 24 + EVENING_HOUR - 1
        temp = round(float(hours.temp_c[hour]) * 2) / 2
        humid = min(0.99, round(float(hours.rh_frac[hour]) + float(rng.normal(0, 0.02)), 2))
        pen.put("air", pen.at(day, -2), temp, second=humid, typed=f"{temp:g} C {humid:.0%}")
