"""Lines as demand is learned from them: what was offered when, and what went when."""

from collections import defaultdict
from datetime import datetime
from typing import Any

from django.db.models import Count, F, Max, Q, Sum

from halfwater.book.models import Line, OfferedPot, OrderLine
from halfwater.book.models.order import LIVE
from halfwater.plain.demand import PastLine, Sale

_LINE = (
    "pk",
    "release_id",
    "release__name",
    "taxon_id",
    "taxon__name",
    "grade",
    "price_minor",
    "limit_per_buyer",
    "release__opened_at",
    "release__opens_at",
    "release__closes_at",
    "release__closed_at",
)
_SALE = ("line_id", "pk", "wanted_at", "plants", "cancelled", "cancelled_at")


def past_lines(now: datetime) -> tuple[PastLine, ...]:
    """The lines of releases that were opened by `now`, in the order of their opening.

    What a line offered is what stayed sold of it and what was left. A plant that was given in place of
    another is no sale of its own line, and the one it stands for stays sold; what was taken off a line
    before anyone wanted it was not offered.
    """
    behind = _behind()
    sales, sold = _sales()
    found = []
    rows = Line.objects.filter(release__opened_at__isnull=False).order_by(
        "release__opened_at", "release", "pk"
    )
    for key, *of_release, limit, opened_at, opens_at, closes_at, closed_at in rows.values_list(*_LINE):
        opening = max(opened_at, opens_at or opened_at)
        count = behind.get(key)
        if count is None or opening > now or not sold[key] + count["unsold"]:
            continue
        is_sold_out = not count["unsold"]
        ends = [at for at in (closed_at, closes_at) if at is not None and at <= now]
        gone_at = max((at for at in (count["last_taken"], count["last_off"]) if at is not None), default=None)
        found.append(
            PastLine(
                *of_release,
                offered=sold[key] + count["unsold"],
                opened_at=opening,
                closed_at=None if is_sold_out or not ends else min(ends),
                sales=tuple(sorted(sales[key], key=lambda sale: sale.at)),
                sold=sold[key],
                sold_out_at=gone_at if is_sold_out else None,
                most_per_buyer=limit,
                line=key,
            )
        )
    return tuple(found)


def _behind() -> dict[int, dict[str, Any]]:
    """The pots of each line that nobody has bought, and when the last of the others went."""
    unsold = LIVE & Q(order_line__isnull=True) | Q(ended_because__in=("closed", "cancelled"))
    off = Q(ended_at__isnull=False, order_line__isnull=True) & ~Q(ended_because="closed")
    rows = OfferedPot.objects.filter(line__isnull=False).order_by().values("line")
    counted = rows.annotate(
        unsold=Count("pk", filter=unsold),
        last_taken=Max("taken_at"),
        last_off=Max("ended_at", filter=off),
    )
    return {row["line"]: row for row in counted}


def _sales() -> tuple[dict[int, list[Sale]], dict[int, int]]:
    """The sales of each line, and how many plants stayed sold."""
    given = OrderLine.objects.filter(substitutes__isnull=False).order_by().values_list("substitutes")
    replaced = dict(given.annotate(plants=Sum(F("plants") - F("cancelled"))))
    sales: dict[int, list[Sale]] = defaultdict(list)
    sold: dict[int, int] = defaultdict(int)
    rows = OrderLine.objects.filter(line__isnull=False, substitutes__isnull=True).order_by("pk")
    for line, key, at, plants, cancelled, cancelled_at in rows.values_list(*_SALE):
        gone = max(cancelled - replaced.get(key, 0), 0)
        if plants > gone:
            sales[line].append(Sale(at, plants - gone))
        if gone:
            sales[line].append(Sale(at, gone, cancelled_at))
        sold[line] += plants - gone
    return sales, sold
