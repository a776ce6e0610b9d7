"""The days on which sales open, as the habit says."""

from datetime import date, timedelta

from halfwater.plain.stock import CuttingHabit


def releases_ahead(habit: CuttingHabit, today: date, until_on: date) -> tuple[date, ...]:
    """The releases from today on; none while no first one is named."""
    if habit.next_release_on is None:
        return ()
    step = timedelta(weeks=habit.release_every_weeks)
    on = habit.next_release_on
    while on < today:
        on += step
    found = []
    while on <= until_on:
        found.append(on)
        on += step
    return tuple(found)
