"""Which batch was cut from which."""

from collections import defaultdict

from django.db.models import F

from halfwater.book.models import Parentage
from halfwater.plain.stock import ParentFact


def lineage() -> tuple[tuple[int, ParentFact], ...]:
    """Every parentage in the book, as the child's batch and its parent."""
    columns = ("batch_id", "parent_id", "parent__name", "pot_id", "pot__number")
    order = ("batch_id", "parent__name", F("pot__number").asc(nulls_first=True), "pk")
    rows = Parentage.objects.order_by(*order).values_list(*columns)
    return tuple((batch, ParentFact(*parent)) for batch, *parent in rows)


def parents() -> dict[int, tuple[ParentFact, ...]]:
    """The parents of each batch that has any, by the batch."""
    found: dict[int, list[ParentFact]] = defaultdict(list)
    for batch, parent in lineage():
        found[batch].append(parent)
    return {batch: tuple(some) for batch, some in found.items()}
