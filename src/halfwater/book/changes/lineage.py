"""Which batch was cut from which: written whole, batch by batch."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction

from halfwater.book.models import Batch, Parentage, StandingPot
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.stock import GONE_STATES

Parent = tuple[int, int | None]  # batch, and the pot of it where that is known


@transaction.atomic
def save_lineage(batch: int, parents: Sequence[Parent], *, who: str) -> None:
    """Make these the parents of a batch, each a batch with the pot of it, or None.

    Raises
    ------
    RefusedByBook
        If a parent was potted later than the batch or was gone by then, or
        descends from the batch itself.
    """
    child = Batch.objects.select_for_update().filter(pk=batch).first()
    if child is None:
        raise RefusedInput("batch", batch, "the key of a batch in the book")
    wanted = set(parents)
    for parent, pot in sorted(wanted, key=lambda one: (one[0], one[1] or 0)):
        _refuse_unfit(child, parent, pot)
    standing = {(row.parent_id, row.pot_id): row for row in Parentage.objects.filter(batch=batch)}
    for key, row in standing.items():
        if key not in wanted:
            row.changed_by = who  # type: ignore[attr-defined]
            row.delete()
    for parent, pot in wanted - set(standing):
        row = Parentage(batch=child, parent_id=parent, pot_id=pot)
        row.changed_by = who  # type: ignore[attr-defined]
        row.save()
    _refuse_circle(child)


def refuse_unfit_lineage(batch: int) -> None:
    """Hold the lineage of a batch to its potting day, once that day was changed."""
    child = Batch.objects.get(pk=batch)
    edges = Parentage.objects.filter(batch=batch).values_list("parent", "pot")
    for parent, pot in edges:
        _refuse_unfit(child, parent, pot)
    for row in Parentage.objects.filter(parent=batch).select_related("batch"):
        _refuse_unfit(row.batch, batch, row.pot_id)


def _refuse_unfit(child: Batch, parent: int, pot: int | None) -> None:
    batch = Batch.objects.filter(pk=parent).first()
    if batch is None:
        raise RefusedInput("lineage", parent, "the key of a batch in the book")
    if parent == child.pk:
        raise _own_forebear(child)
    if pot is None:
        _refuse_later(child, batch.name, batch.potted_on)
        _refuse_all_gone(child, batch)
        return
    row = StandingPot.objects.select_related("batch").filter(pk=pot).first()
    if row is None or row.batch_id != parent:
        raise RefusedInput("lineage", pot, f"the key of a pot of batch {batch.name}")
    _refuse_later(child, f"{row}", row.potted_on or batch.potted_on)
    if row.left_on is not None and row.left_on < child.potted_on:
        raise RefusedByBook(
            f"{child.name} was potted on {child.potted_on}, and its parent {row} was {row.state}"
            f" before that, on {row.left_on}.",
            str(row),
        )


def _refuse_later(child: Batch, parent: str, potted_on: date) -> None:
    if potted_on > child.potted_on:
        raise RefusedByBook(
            f"{child.name} was potted on {child.potted_on}, and its parent {parent} later, on {potted_on}.",
            parent,
        )


def _refuse_all_gone(child: Batch, batch: Batch) -> None:
    pots = list(StandingPot.objects.filter(batch=batch).values_list("state", "left_on"))
    days = [left_on for state, left_on in pots if state in GONE_STATES and left_on is not None]
    if pots and len(days) == len(pots) and max(days) < child.potted_on:
        raise RefusedByBook(
            f"{child.name} was potted on {child.potted_on}, and the last pot of its parent {batch.name}"
            f" was gone before that, on {max(days)}.",
            batch.name,
        )


def _refuse_circle(child: Batch) -> None:
    edges: dict[int, set[int]] = {}
    for one, parent in Parentage.objects.values_list("batch", "parent"):
        edges.setdefault(one, set()).add(parent)
    seen: set[int] = set()
    waiting = list(edges.get(child.pk, ()))
    while waiting:
        batch = waiting.pop()
        if batch == child.pk:
            raise _own_forebear(child)
        if batch not in seen:
            seen.add(batch)
            waiting += edges.get(batch, ())


def _own_forebear(child: Batch) -> RefusedByBook:
    return RefusedByBook(f"{child.name} cannot be among its own forebears.", child.name)
