"""Source waters, targets, and what was noted of the bath's chemistry and of light."""

from collections.abc import Collection, Mapping
from datetime import date, datetime

from django.db.models import Count, Sum

from halfwater.book.models import Entry, StandingPot, Target, Water
from halfwater.book.models.water import FIGURES
from halfwater.book.queries.water import WATER_KINDS, later_than
from halfwater.plain.chemistry import KeptTarget, KeptWater, SourceWater, Wanted
from halfwater.plain.chemistry import Target as Aim
from halfwater.plain.stock import PlantsInTank

BATH_KINDS = (*WATER_KINDS, "ec")
BathRow = tuple[datetime, str, float | None, str, str, int | None]  # at, kind, value, to_line, word, mix


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


def bath_rows(since: Mapping[int, datetime | None]) -> dict[int, list[BathRow]]:
    """Standing entries that move or measure the salts of each tank named, as `water_rows` gives the water's.

    Each is at, kind, value, to_line, word and the key of its mix.
    """
    found: dict[int, list[BathRow]] = {tank: [] for tank in since}
    if not found:
        return found
    rows = Entry.objects.filter(later_than(since), kind__in=BATH_KINDS, voided_at__isnull=True)
    columns = ("tank_id", "at", "kind", "value", "to_line", "word", "mix_id")
    for tank, *values in rows.order_by("tank", "at", "noted_at").values_list(*columns).iterator(20_000):
        found[tank].append(tuple(values))  # type: ignore[arg-type]
    return found


def plants_in_tanks() -> tuple[PlantsInTank, ...]:
    """How many pots of each taxon and state stand in each tank, and their leaves as counted last."""
    rows = StandingPot.objects.filter(spot__isnull=False).values_list(
        "spot__tank", "batch__taxon", "batch__taxon__name", "batch__taxon__group", "state"
    )
    counted = rows.annotate(pots=Count("pk"), leaves=Sum("leaves")).order_by("spot__tank", "batch__taxon")
    return tuple(PlantsInTank(*row[:-1], leaves=row[-1] or 0) for row in counted)


def bare_entries(
    kinds: Collection[str], since: datetime, until: datetime
) -> tuple[tuple[int, date, str, float | None, str, float | None], ...]:
    """Standing entries of tanks, oldest first, as tank, day, kind, value, word and second."""
    rows = Entry.objects.filter(
        kind__in=tuple(kinds), at__gte=since, at__lte=until, tank__isnull=False, voided_at__isnull=True
    )
    columns = ("tank_id", "day", "kind", "value", "word", "second")
    return tuple(rows.order_by("at", "noted_at").values_list(*columns))  # type: ignore[arg-type]
