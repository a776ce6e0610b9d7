"""Prices, the grower's cutting habit, and forecasts and plans that are kept."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from halfwater.book.changes import checks
from halfwater.book.changes.saving import save_row
from halfwater.book.models import CuttingHabit, KeptForecast, KeptPlan, Price, Taxon
from halfwater.errors import RefusedInput
from halfwater.plain.growing import ForecastFact
from halfwater.plain.stock import GRADES

_MOST_MINOR = 1_000_000_000
_CHUNK = 200


def _day_or_none(field: str, value: Any) -> date | None:
    return None if value is None else checks.day(field, value)


_PRICE = {
    "taxon": checks.key_of(Taxon, "taxon", none=False),
    "grade": checks.one_of(GRADES),
    "price_minor": checks.whole("a price from 0, in the smallest coin", 0, _MOST_MINOR),
    "most_per_release": checks.whole("a whole number of pots from 0", 0, 1_000_000, none=True),
}
_HABIT = {
    "minutes_a_week": checks.number("minutes a week from 0 to 10080", 0, 10_080, none=True),
    "release_every_weeks": checks.whole("a whole number of weeks from 1 to 52", 1, 52),
    "next_release_on": _day_or_none,
    "least_kept": checks.whole("a whole number of pots from 0", 0, 100_000),
    "hour_minor": checks.whole("money from 0, in the smallest coin", 0, _MOST_MINOR, none=True),
}


@transaction.atomic
def save_price(
    taxon: int, grade: str, price_minor: int | None, most_per_release: int | None = None, *, who: str
) -> None:
    """Write what a grade of a taxon is sold for; a price of None takes the grade off the list."""
    _PRICE["taxon"]("taxon", taxon)
    _PRICE["grade"]("grade", grade)
    row = Price.objects.select_for_update().filter(taxon=taxon, grade=grade).first()
    if price_minor is None:
        if row is not None:
            row.changed_by = who  # type: ignore[attr-defined]
            row.delete()
        return
    fields = {
        "taxon": taxon,
        "grade": grade,
        "price_minor": price_minor,
        "most_per_release": most_per_release,
    }
    save_row(Price, None if row is None else row.pk, fields, _PRICE, ("taxon", "grade", "price_minor"), who)


@transaction.atomic
def save_cutting_habit(*, who: str, **fields: Any) -> None:
    """Change what the grower can and wants to do: any of the fields of CuttingHabit."""
    CuttingHabit.objects.select_for_update().get_or_create(pk=1)
    save_row(CuttingHabit, 1, fields, _HABIT, (), who)


@transaction.atomic
def keep_forecasts(rows: Iterable[ForecastFact]) -> int:
    """Keep forecasts that were shown, each once a day; gives how many are kept now."""
    new = [_kept(row) for row in rows]
    KeptForecast.objects.bulk_create(new, batch_size=_CHUNK, ignore_conflicts=True)
    return KeptForecast.objects.count()


@transaction.atomic
def settle_forecasts(rows: Iterable[ForecastFact]) -> int:
    """Write down what came of forecasts, found by their keys: outcome, day, or why they are open still."""
    told = {row.key: row for row in rows}
    found = list(KeptForecast.objects.select_for_update().filter(pk__in=tuple(told), settled_on__isnull=True))
    for kept in found:
        row = told[kept.pk]
        kept.outcome, kept.settled_on, kept.why_open = row.outcome, row.settled_on, row.why_open
    KeptForecast.objects.bulk_update(found, ("outcome", "settled_on", "why_open"), batch_size=_CHUNK)
    return len(found)


@transaction.atomic
def keep_plan(plan: Mapping[str, Any], inputs_digest: str, made_at: datetime) -> int:
    """Keep a plan as plain JSON with a digest of what it was made from, and give its key."""
    digest = checks.words("a digest of 1 to 64 signs", 64, needed=True)("inputs_digest", inputs_digest)
    return KeptPlan.objects.create(made_at=made_at, inputs_digest=digest, plan=dict(plan)).pk


def _kept(row: ForecastFact) -> KeptForecast:
    if not row.p10 <= row.p50 <= row.p90:
        raise RefusedInput("forecast", row.subject, "a 10 % value, a median and a 90 % value in this order")
    return KeptForecast(
        made_on=row.made_on,
        kind=row.kind,
        subject=row.subject,
        about_on=row.about_on,
        p10=row.p10,
        p50=row.p50,
        p90=row.p90,
        naive=row.naive,
        outcome=row.outcome,
        settled_on=row.settled_on,
        why_open=row.why_open,
        taxon_id=row.taxon,
        batch_id=row.batch,
        pot_id=row.pot,
        grade=row.grade,
        quantiles=list(row.quantiles),
    )
