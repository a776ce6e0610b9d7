"""The nursery days of entries, when the nursery's clock is set to another time zone."""

from datetime import timedelta

from halfwater.book.models import Entry
from halfwater.plain.nursery import day_begins


def redate_entries(time_zone: str) -> None:
    """Give every entry the nursery day its instant falls in by this time zone."""
    one_day = timedelta(days=1)
    said = Entry.objects.order_by().values_list("day", flat=True).distinct()
    for day in sorted({day + shift * one_day for day in said for shift in (-1, 0, 1)}):
        begins, ends = day_begins(day, time_zone), day_begins(day + one_day, time_zone)
        Entry.objects.filter(at__gte=begins, at__lt=ends).exclude(day=day).update(day=day)
