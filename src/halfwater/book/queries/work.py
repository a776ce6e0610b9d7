"""What the accounts ask of the record: how often what was done, lamps over time, since when pots are kept."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, Sum

from halfwater.book.models import Entry, Tank


@dataclass(frozen=True, slots=True)
class DayCount:
    """Entries of one kind on a day: of a tank, a word, a batch."""

    on: date
    tank: int | None
    kind: str
    word: str
    batch: int | None
    count: int
    value: float  # summed


@dataclass(frozen=True, slots=True)
class LampChange:
    """From when a tank's lamp burned how: by the tank's settings, or by an entry (lamp None)."""

    tank: int
    at: datetime
    lamp: int | None
    dimmer_frac: float | None
    hours: float | None
    is_in_use: bool = True
    is_entry: bool = False


def day_counts(kinds: Collection[str]) -> tuple[DayCount, ...]:
    """Standing entries of these kinds, counted by day, tank, kind, word and batch, the oldest first."""
    rows = Entry.objects.filter(kind__in=tuple(kinds), voided_at__isnull=True)
    by = ("day", "tank_id", "kind", "word", "batch_id")
    counted = rows.order_by("day", "tank_id", "kind", "word", "batch_id").values_list(*by)
    told = counted.annotate(count=Count("pk"), total=Sum("value"))
    return tuple(DayCount(*row[:-1], float(row[-1] or 0.0)) for row in told)


def lamp_changes() -> dict[int, tuple[LampChange, ...]]:
    """How the lamp of each tank was set over time: the tank's own past and its lamp entries, oldest first."""
    found: dict[int, list[LampChange]] = defaultdict(list)
    columns = ("id", "history_date", "lamp_id", "lamp_dimmer_frac", "lamp_hours", "is_in_use")
    past = Tank.history.exclude(history_type="-").order_by("history_date", "history_id")  # type: ignore[attr-defined]
    for row in past.values_list(*columns):
        found[row[0]].append(LampChange(*row))
    noted = Entry.objects.filter(kind="lamp", voided_at__isnull=True, tank__isnull=False)
    for tank, at, dimmer, hours in noted.order_by("at", "noted_at").values_list(
        "tank_id", "at", "value", "second"
    ):
        found[tank].append(LampChange(tank, at, None, dimmer, hours, is_entry=True))
    return {tank: tuple(sorted(some, key=lambda one: one.at)) for tank, some in found.items()}


def kept_days() -> dict[int, date]:
    """Since when each pot is, or until it left was, a parent: where an entry tells."""
    found: dict[int, date] = {}
    rows = Entry.objects.filter(kind="state", voided_at__isnull=True, pot__isnull=False)
    for pot, word, day in rows.order_by("at", "noted_at").values_list("pot_id", "word", "day"):
        if word == "kept":
            found.setdefault(pot, day)
        elif word != "sold":
            found.pop(pot, None)
    return found
