"""What the waterline filter reads: bare rows, and the states it kept."""

from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Any

from django.db.models import OuterRef, Q, Subquery

from halfwater.book.models import Checkpoint, Entry, Tank

WATER_KINDS = ("spray", "skip", "fill", "siphon", "waterline")
WaterRow = tuple[datetime, str, float | None, str, str]  # at, kind, value, to_line, word


def water_rows(since: Mapping[int, datetime | None]) -> dict[int, list[WaterRow]]:
    """The standing water entries of each tank named in `since`, later than its instant, oldest first.

    None stands for "from the first entry". Every tank named has its list, if an empty one.
    """
    found: dict[int, list[WaterRow]] = {tank: [] for tank in since}
    if not found:
        return found
    rows = Entry.objects.filter(later_than(since), kind__in=WATER_KINDS, voided_at__isnull=True)
    columns = ("tank_id", "at", "kind", "value", "to_line", "word")
    for tank, *values in rows.order_by("tank", "at", "noted_at").values_list(*columns).iterator(20_000):
        found[tank].append(tuple(values))  # type: ignore[arg-type]
    return found


def has_water_before(tanks: Collection[int], at: datetime) -> bool:
    """Whether any of these tanks has a standing water entry before an instant."""
    rows = Entry.objects.filter(
        tank__in=tuple(tanks), at__lt=at, kind__in=WATER_KINDS, voided_at__isnull=True
    )
    return bool(tanks) and rows.exists()


def checkpoints(model: str, before: datetime) -> dict[int, tuple[datetime, Any]]:
    """The newest state a model kept for each tank, not later than `before`, by tank."""
    kept = Checkpoint.objects.filter(tank=OuterRef("pk"), model=model, at__lte=before)
    newest = Tank.objects.annotate(newest=Subquery(kept.order_by("-at").values("pk")[:1])).order_by()
    rows = Checkpoint.objects.filter(pk__in=newest.values("newest"))
    return {tank: (at, state) for tank, at, state in rows.values_list("tank_id", "at", "state")}


def later_than(since: Mapping[int, datetime | None]) -> Q:
    """Entries of each tank named, later than its instant; None stands for "from the first"."""
    by_instant: dict[datetime | None, list[int]] = {}
    for tank, at in since.items():
        by_instant.setdefault(at, []).append(tank)
    condition = Q()
    for at, tanks in by_instant.items():
        condition |= Q(tank__in=tanks) if at is None else Q(tank__in=tanks, at__gt=at)
    return condition
