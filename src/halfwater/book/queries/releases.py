"""Releases with their lines, and what stands behind each at an instant."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.db.models import Count, F, Max, Q, QuerySet, Sum
from django.utils import timezone

from halfwater.book.models import Line, OfferedPot, OrderLine, Release
from halfwater.book.models.order import LIVE
from halfwater.book.queries.offers import is_free
from halfwater.plain.selling import LineFacts, ReleaseFacts
from halfwater.plain.stock import GRADES

_LINE = (
    "pk",
    "release_id",
    "taxon_id",
    "taxon__name",
    "grade",
    "price_minor",
    "limit_per_buyer",
    "text",
    "photo",
)
_RELEASE = ("pk", "name", "opens_at", "closes_at", "state", "note", "opened_at", "closed_at")
_NONE: dict[str, Any] = {"behind": 0, "held": 0, "ordered": 0, "free": 0, "unsold": 0}


def releases(now: datetime | None = None) -> tuple[ReleaseFacts, ...]:
    """The releases, those that open last first, as they stand at an instant."""
    opening = F("opens_at").desc(nulls_first=True)
    return _facts(Release.objects.order_by(opening, "-pk"), Line.objects.all(), now or timezone.now())


def release(key: int, now: datetime | None = None) -> ReleaseFacts | None:
    """One release; None when the book has no such."""
    found = _facts(Release.objects.filter(pk=key), Line.objects.filter(release=key), now or timezone.now())
    return next(iter(found), None)


def open_lines(now: datetime) -> tuple[LineFacts, ...]:
    """The lines that orders can be placed on at an instant, sold out ones included."""
    taking = (
        Q(release__state="open")
        & (Q(release__opens_at__isnull=True) | Q(release__opens_at__lte=now))
        & (Q(release__closes_at__isnull=True) | Q(release__closes_at__gt=now))
    )
    return tuple(line for some in line_facts(Line.objects.filter(taking), now).values() for line in some)


def line_facts(rows: QuerySet[Line], now: datetime) -> dict[int, list[LineFacts]]:
    """Lines as plain data, by their release, in the order of taxon and grade."""
    keys = rows.values("pk")
    behind = _behind(Q(line__in=keys), now)
    missing = _missing(keys)
    found: dict[int, list[LineFacts]] = defaultdict(list)
    own = rows.order_by("release_id", "taxon__name", "pk").values_list(*_LINE)
    for key, in_release, taxon, taxon_name, grade, price_minor, limit, text, photo in own:
        count = behind.get(key, _NONE)
        found[in_release].append(
            LineFacts(
                key=key, release=in_release, taxon=taxon, taxon_name=taxon_name, grade=grade,
                price_minor=price_minor, limit_per_buyer=limit, text=text, photo=photo,
                offered=count["behind"] + count["unsold"], held=count["held"], ordered=count["ordered"],
                free=count["free"], lost=missing.get(key, 0), sold_out_at=sold_out_at(count),
            )
        )  # fmt: skip
    for some in found.values():
        some.sort(key=lambda line: (line.taxon_name.casefold(), GRADES.index(line.grade)))
    return found


def sold_out_at(count: dict[str, Any]) -> datetime | None:
    """When the last free pot of a line went: taken by a buyer, or off the line after that."""
    if count["free"] or count["unsold"] or not count["ordered"] + count["held"]:
        return None
    return max((at for at in (count["last_taken"], count["last_off"]) if at is not None), default=None)


def _behind(lines: Q, now: datetime) -> dict[int, dict[str, Any]]:
    free = is_free(now)
    held = LIVE & Q(hold__isnull=False, hold__until__gt=now)
    off = Q(ended_at__isnull=False, order_line__isnull=True) & ~Q(ended_because="closed")
    rows = OfferedPot.objects.filter(lines).order_by().values("line")
    counted = rows.annotate(
        behind=Count("pk", filter=LIVE),
        held=Count("pk", filter=held),
        ordered=Count("pk", filter=LIVE & Q(order_line__isnull=False)),
        free=Count("pk", filter=free),
        unsold=Count("pk", filter=Q(ended_because="closed")),
        last_taken=Max("taken_at", filter=LIVE),
        last_off=Max("ended_at", filter=off),
    )
    return {row["line"]: row for row in counted}


def _missing(lines: Any) -> dict[int, int]:
    """Plants that were ordered of each line, not cancelled, and have no pot."""
    wanted = OrderLine.objects.filter(line__in=lines).order_by().values_list("line")
    there = OfferedPot.objects.filter(LIVE, order_line__line__in=lines).order_by()
    has = dict(there.values_list("order_line__line").annotate(pots=Count("pk")))
    return {
        line: plants - has.get(line, 0)
        for line, plants in wanted.annotate(left=Sum(F("plants") - F("cancelled")))
    }


def _facts(rows: QuerySet[Release], own: QuerySet[Line], now: datetime) -> tuple[ReleaseFacts, ...]:
    lines = line_facts(own, now)
    return tuple(_release(row, tuple(lines.get(row[0], ()))) for row in rows.values_list(*_RELEASE))


def _release(row: Iterable[Any], lines: tuple[LineFacts, ...]) -> ReleaseFacts:
    key, name, opens_at, closes_at, state, note, opened_at, closed_at = row
    if state == "open" and sum(line.ordered + line.held for line in lines):
        state = "open" if any(line.free for line in lines) else "sold out"
    return ReleaseFacts(key, name, opens_at, closes_at, state, note, lines, opened_at, closed_at)
