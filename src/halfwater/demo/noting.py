"""The grower's pen: turns what happened into entries, as a hurried person notes them."""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from halfwater.demo.habit import Habit
from halfwater.demo.truth import Floats
from halfwater.plain.entry import NewEntry
from halfwater.plain.tank import SprayPlan

EVENING = time(20, 0, tzinfo=UTC)
READ_MIN, SIPHON_MIN, FILL_MIN, SPRAY_MIN = 0, 4, 8, 12  # order of the round, minutes after the hour


@dataclass(frozen=True, slots=True)
class Evenings:
    """One value an evening: noted as sprayed, truly sprayed, the litres noted."""

    has_entry: NDArray[np.bool_]
    is_sprayed: NDArray[np.bool_]
    noted_l: Floats


@dataclass(slots=True)
class Pen:
    """Collects the entries of one tank."""

    rng: Generator
    tank: int
    first_on: date
    evening: time = EVENING
    _entries: list[NewEntry] = field(default_factory=list)

    def entries(self) -> tuple[NewEntry, ...]:
        """All that was noted, oldest first."""
        return tuple(sorted(self._entries, key=lambda entry: entry.at))

    def at(self, day: int, minutes: float) -> datetime:
        """An instant of the evening of a day, counted from the evening hour."""
        start = datetime.combine(self.first_on, self.evening)
        return (start + timedelta(days=day, seconds=round(minutes * 60))).astimezone(UTC)

    def put(self, kind: str, at: datetime, value: float | None, **more: object) -> None:
        """One entry, under an identifier of its own."""
        self._entries.append(NewEntry(self._uuid(), kind, at, self.tank, value, **more))  # type: ignore[arg-type]

    def reading(self, day: int, depth_mm: float) -> None:
        """A waterline reading at the start of the round."""
        self.put("waterline", self.at(day, READ_MIN), depth_mm, typed=f"{depth_mm:g} mm")

    def fill(self, day: int, volume_l: float) -> None:
        """Solution poured in."""
        self.put("fill", self.at(day, FILL_MIN), volume_l, typed=f"{volume_l:g} L")

    def siphon(self, day: int, volume_l: float, litres_frac: float) -> None:
        """A siphon, in litres to the nearest tenth or only as down to the low line."""
        if self.rng.random() < litres_frac:
            noted = max(0.1, round(volume_l * float(self.rng.normal(1.0, 0.04)), 1))
            self.put("siphon", self.at(day, SIPHON_MIN), noted, typed=f"{noted:g} L")
        else:
            self.put("siphon", self.at(day, SIPHON_MIN), None, to_line="low", typed="to low line")

    def sprays(self, evenings: Evenings, habit: Habit, plan: SprayPlan) -> None:
        """The spray and skip entries of every evening, with late notes and double taps."""
        n = evenings.noted_l.size
        luck = self.rng.random((3, n))
        minutes = SPRAY_MIN + self.rng.uniform(0, 40, n)
        minutes = np.where(luck[0] < habit.next_morning_frac, 11.4 * 60, minutes)
        minutes[-1] = SPRAY_MIN  # the book closes on its last evening
        for day in range(n):
            at = self.at(day, float(minutes[day]))
            if not evenings.has_entry[day]:
                if not evenings.is_sprayed[day] and luck[2, day] < habit.skip_frac:
                    self.put("skip", at, None)
                continue
            litres = round(float(evenings.noted_l[day]), 3)
            self.put("spray", at, litres, word="night", mix=plan.night_mix)
            if luck[1, day] < habit.double_tap_frac:
                self.put("spray", at + timedelta(seconds=3), litres, word="night", mix=plan.night_mix)
            if plan.morning_volume_l:
                morning = self.at(day, -12.5 * 60)
                self.put("spray", morning, plan.morning_volume_l, word="morning", mix=plan.morning_mix)

    def _uuid(self) -> UUID:
        """A version-4 identifier from the seeded generator."""
        return UUID(bytes=self.rng.bytes(16), version=4)
