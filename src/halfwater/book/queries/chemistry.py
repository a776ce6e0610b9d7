"""Source waters, targets, and what was noted of the bath's chemistry and of light."""

from datetime import datetime

from halfwater.book.models import Entry, Target, Water
from halfwater.book.models.water import FIGURES
from halfwater.plain.chemistry import KeptTarget, KeptWater, SourceWater, Wanted
from halfwater.plain.chemistry import Target as Aim


def waters() -> tuple[KeptWater, ...]:
    """The source waters, ours first, then by name."""
    return tuple(
        KeptWater(
            row.pk,
            SourceWater(row.name, is_pure=row.is_pure, **{name: getattr(row, name) for name in FIGURES}),
            row.is_ours,
        )
        for row in Water.objects.order_by("-is_ours", "name")
    )


def own_targets() -> tuple[KeptTarget, ...]:
    """The grower's own targets by name."""
    return tuple(
        KeptTarget(
            row.pk,
            Aim(row.name, tuple(Wanted(*one) for one in row.wanted), row.ec_ms_cm, note=row.note),
        )
        for row in Target.objects.order_by("name")
    )


def meter_checks() -> tuple[tuple[datetime, float, float, float | None, str], ...]:
    """Standing checks of the EC meter, oldest first: at, read, standard, its temperature, "raw" or ""."""
    rows = Entry.objects.filter(kind="meter", voided_at__isnull=True).order_by("at", "noted_at")
    return tuple(rows.values_list("at", "value", "second", "third", "word"))
