"""Source waters, targets, and what was noted of the bath's chemistry and of light."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from halfwater.book.models import Entry, Prior, StandingPot, Target, Water
from halfwater.book.models.water import FIGURES
from halfwater.book.queries.water import WATER_KINDS, later_than
from halfwater.plain.chemistry import KeptTarget, KeptWater, SourceWater, Wanted
from halfwater.plain.chemistry import Target as Aim
from halfwater.plain.stock import PlantsInTank

BATH_KINDS = (*WATER_KINDS, "ec")
MeterRow = tuple[datetime, float, float, float | None, str]  # at, read, standard, its temperature, word
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


def meter_checks() -> tuple[MeterRow, ...]:
    """Standing checks of the EC meter, oldest first: at, read, standard, its temperature, "raw" or ""."""
    rows = Entry.objects.filter(kind="meter", voided_at__isnull=True).order_by("at", "noted_at")
    return tuple(rows.values_list("at", "value", "second", "third", "word"))


@dataclass(frozen=True, slots=True)
class BathEntries:
    """What a reckoning of the salts reads of the entries."""

    rows: dict[int, list[BathRow]]  # by tank, oldest first
    checks: tuple[MeterRow, ...]  # of the EC meter, oldest first
    plain: dict[int, datetime]  # when each tank was last sprayed with none of the feeding mixes


def bath_entries(
    since: Mapping[int, datetime | None], feeding: Collection[int], plain_since: datetime, until: datetime
) -> BathEntries:
    """Standing entries that move or measure the salts of each tank named, later than its instant.

    With them the meter's checks, and the last spray of each tank since `plain_since` that fed nothing.
    """
    found = BathEntries({tank: [] for tank in since}, (), {})
    if not since:
        return found
    columns = ("tank_id", "at", "kind", "value", "to_line", "word", "mix_id", "second", "third", "noted_at")
    standing = Entry.objects.filter(voided_at__isnull=True).order_by()
    moved = standing.filter(later_than(since), kind__in=BATH_KINDS).annotate(use=Value(1))
    checks = standing.filter(kind="meter").annotate(use=Value(2))
    plain = standing.filter(kind="spray", at__gte=plain_since, at__lte=until, tank__in=tuple(since))
    plain = plain.filter(Q(mix__isnull=True) | ~Q(mix__in=tuple(feeding))).annotate(use=Value(3))
    parts = [part.values_list("use", *columns) for part in (moved, checks, plain)]
    meter: list[MeterRow] = []
    for use, tank, at, kind, value, to_line, word, mix, second, third, _ in (
        parts[0].union(*parts[1:], all=True).order_by("tank_id", "at", "noted_at").iterator(20_000)
    ):
        if use == 1:
            found.rows[tank].append((at, kind, value, to_line, word, mix))
        elif use == 2:
            meter.append((at, value, second, third, word))
        else:
            found.plain[tank] = at
    return BathEntries(found.rows, tuple(meter), found.plain)


def plants_in_tanks() -> tuple[PlantsInTank, ...]:
    """How many pots of each taxon and state stand in each tank, their leaves, and the EC the taxon bears."""
    rows = StandingPot.objects.filter(spot__isnull=False).values_list(
        "spot__tank", "batch__taxon", "batch__taxon__name", "batch__taxon__group", "state"
    )
    counted = rows.annotate(
        pots=Count("pk"),
        leaves=Coalesce(Sum("leaves"), 0),
        ec_low=_prior("ec_above_source_ms_cm", "low"),
        ec_high=_prior("ec_above_source_ms_cm", "high"),
        ec_action=_prior("ec_action_ms_cm", "mean"),
    )
    return tuple(PlantsInTank(*row) for row in counted.order_by("spot__tank", "batch__taxon", "state"))


def _prior(quantity: str, end: str) -> Subquery:
    return Subquery(Prior.objects.filter(taxon=OuterRef("batch__taxon"), quantity=quantity).values(end)[:1])


def bare_entries(
    kinds: Collection[str], since: datetime, until: datetime
) -> tuple[tuple[int, date, str, float | None, str, float | None], ...]:
    """Standing entries of tanks, oldest first, as tank, day, kind, value, word and second."""
    rows = Entry.objects.filter(
        kind__in=tuple(kinds), at__gte=since, at__lte=until, tank__isnull=False, voided_at__isnull=True
    )
    columns = ("tank_id", "day", "kind", "value", "word", "second")
    return tuple(rows.order_by("at", "noted_at").values_list(*columns))  # type: ignore[arg-type]
