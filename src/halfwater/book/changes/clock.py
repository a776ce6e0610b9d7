"""Instants as the book's refusals say them: on the nursery's clock."""

from datetime import datetime

from halfwater.book.queries.nursery import nursery
from halfwater.plain.figures import show_at


def said_at(at: datetime) -> str:
    """An instant on the nursery's clock: "28 Nov 2026 at 18:00"."""
    try:
        return show_at(at, nursery().time_zone)
    except OverflowError:  # at either end of the calendar no zone can be reckoned
        return at.isoformat()
