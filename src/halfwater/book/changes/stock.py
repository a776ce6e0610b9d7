"""Changes of batches and of the spots of floors."""

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from django.db.models import F, Q
from django.utils import timezone

from halfwater.book.changes import checks
from halfwater.book.changes.lineage import refuse_unfit_lineage
from halfwater.book.changes.promises import forget_offers
from halfwater.book.changes.saving import save_row
from halfwater.book.models import Batch, Entry, Parentage, Spot, StandingPot, Tank, Taxon
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.stock import BLADES

_BATCH = {
    "name": checks.NAME,
    "taxon": checks.key_of(Taxon, "taxon", none=False),
    "potted_on": checks.day,
    "parent_note": checks.words("a note of at most 300 signs", 300),
    "blade": checks.one_of(("", *BLADES)),
}
_SPOT = checks.words("a spot of 1 to 10 signs such as A1", 10, needed=True)


@transaction.atomic
def save_batch(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a batch, a new one when `key` is None, and give its key.

    The fields are name, taxon, potted_on, parent_note and blade; its parents are written by `save_lineage`.
    """
    saved = save_row(Batch, key, fields, _BATCH, ("name", "taxon", "potted_on"), who)
    if key is not None and "potted_on" in saved.changed:
        refuse_unfit_lineage(key)
        _refuse_told_before(key)
    return int(saved)


@transaction.atomic
def remove_batch(key: int, *, who: str) -> None:
    """Take a batch out of the book with its pots, as if it had never been: one that nothing was noted of.

    Raises
    ------
    RefusedByBook
        If an entry is about the batch or a pot of it, or another batch was cut from it.
    """
    batch = Batch.objects.select_for_update().filter(pk=key).first()
    if batch is None:
        raise RefusedInput("batch", key, "the key of a batch in the book")
    told = Entry.objects.filter(Q(batch=batch) | Q(pot__batch=batch))
    child = Parentage.objects.filter(parent=batch).select_related("batch").first()
    if told.filter(voided_at__isnull=True).exists():
        raise RefusedByBook(f"Batch {batch.name} has entries: void them first.", batch.name)
    if child is not None:
        raise RefusedByBook(f"Batch {child.batch.name} was cut from {batch.name}, so it stays.", batch.name)
    if told.exists():
        raise RefusedByBook(f"Batch {batch.name} has void entries, which the book keeps.", batch.name)
    for pot in batch.pots.select_for_update().order_by("pk"):
        forget_offers(pot, timezone.now())
    for row in (*batch.parentages.all(), *batch.pots.all(), batch):
        row.changed_by = who
        row.delete()


def _refuse_told_before(batch: int) -> None:
    """No pot of a batch is told about before its potting day."""
    first = (
        Entry.objects.filter(pot__batch=batch, pot__potted_on__isnull=True, voided_at__isnull=True)
        .filter(day__lt=F("pot__batch__potted_on"))
        .select_related("pot__batch")
        .order_by("day")
        .first()
    )
    if first is not None and first.pot is not None:
        raise RefusedByBook(
            f"Pot {first.pot} has an entry of {first.day} already: its batch was not potted later.",
            str(first.pot),
        )


@transaction.atomic
def set_spots(tank: int, spots: Sequence[str]) -> None:
    """Make these the spots of a floor, in reading order; a spot with a pot on it may not go."""
    checks.key_of(Tank, "tank", none=False)("tank", tank)
    names = [_SPOT("spot", name) for name in spots]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise RefusedInput("spot", twice, "each spot named once")
    standing = {row.name: row for row in Spot.objects.select_for_update().filter(tank=tank)}
    going = [row.pk for name, row in standing.items() if name not in set(names)]
    in_the_way = StandingPot.objects.filter(spot__in=going).select_related("spot", "batch").first()
    if in_the_way is not None:
        raise RefusedByBook(
            f"Spot {in_the_way.spot.name} cannot go: a pot of batch {in_the_way.batch.name} stands on it.",
            in_the_way.spot.name,
        )
    Spot.objects.filter(pk__in=going).delete()
    places = {name: place for place, name in enumerate(names)}
    for name, row in standing.items():
        row.place = places.get(name, row.place)
    Spot.objects.bulk_update(
        [row for name, row in standing.items() if name in places], ("place",), batch_size=200
    )
    Spot.objects.bulk_create(
        [Spot(tank_id=tank, name=name, place=place) for name, place in places.items() if name not in standing]
    )
