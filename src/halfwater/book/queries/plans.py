"""Prices, the grower's cutting habit, and the forecasts and plans that were kept."""

from halfwater.book.models import CuttingHabit as Habit
from halfwater.book.models import KeptForecast, Price
from halfwater.book.models import KeptPlan as Plan
from halfwater.plain.cutting import KeptPlan
from halfwater.plain.growing import ForecastFact
from halfwater.plain.stock import GRADES, CuttingHabit, PriceFact

# In the order of the fields of ForecastFact.
_FORECAST = (
    "pk",
    "made_on",
    "kind",
    "subject",
    "about_on",
    "p10",
    "p50",
    "p90",
    "naive",
    "outcome",
    "settled_on",
    "why_open",
    "taxon_id",
    "batch_id",
    "pot_id",
    "grade",
    "quantiles",
)


def prices() -> tuple[PriceFact, ...]:
    """What each grade of each taxon is sold for, by the taxon's name, the smallest grade first."""
    columns = ("taxon_id", "grade", "price_minor", "most_per_release")
    rows = Price.objects.order_by("taxon__name", "taxon_id").values_list("taxon__name", *columns)
    found = sorted(rows, key=lambda row: (row[0], row[1], GRADES.index(row[2])))
    return tuple(PriceFact(*row[1:]) for row in found)


def cutting_habit() -> CuttingHabit:
    """What the grower can and wants to do; before it was said, what a new book starts with."""
    row = Habit.objects.first() or Habit()
    return CuttingHabit(
        minutes_a_week=row.minutes_a_week,
        release_every_weeks=row.release_every_weeks,
        next_release_on=row.next_release_on,
        least_kept=row.least_kept,
        hour_minor=row.hour_minor,
    )


def forecasts(open_only: bool = False) -> tuple[ForecastFact, ...]:
    """The forecasts that were shown, oldest first; with `open_only` those that nothing came of yet."""
    rows = KeptForecast.objects.filter(settled_on__isnull=True) if open_only else KeptForecast.objects.all()
    return tuple(
        ForecastFact(*row, quantiles=tuple(quantiles))
        for *row, quantiles in rows.order_by("made_on", "pk").values_list(*_FORECAST)
    )


def newest_plan() -> KeptPlan | None:
    """The plan that was made last; None before the first."""
    row = Plan.objects.order_by("-made_at", "-pk").first()
    return None if row is None else KeptPlan(row.pk, row.made_at, row.inputs_digest, row.plan)
