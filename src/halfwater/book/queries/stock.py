"""Living stock: taxa, batches, and the pots on their spots."""

from collections import defaultdict
from typing import Any

from django.db.models import Count, QuerySet

from halfwater.book.models import Batch, Prior, Spot, StandingPot, Taxon
from halfwater.book.queries.lineage import parents
from halfwater.plain.stock import POT_STATES, BatchFacts, PriorFact, SpotFacts, TaxonFacts


def taxa() -> tuple[TaxonFacts, ...]:
    """The taxa by name, each with its starting values."""
    priors: dict[int, list[PriorFact]] = defaultdict(list)
    columns = ("taxon_id", "quantity", "mean", "low", "high", "tag", "source")
    for taxon, *values in Prior.objects.order_by("pk").values_list(*columns):
        priors[taxon].append(PriorFact(*values))
    rows = Taxon.objects.order_by("name").values_list("pk", "name", "group", "care")
    return tuple(
        TaxonFacts(key=key, name=name, group=group, priors=tuple(priors[key]), care=care)
        for key, name, group, care in rows
    )


def batches() -> tuple[BatchFacts, ...]:
    """The batches, newest first, with their pots counted by state and by tank."""
    counts: dict[int, dict[str, int]] = defaultdict(dict)
    where: dict[int, dict[str, int]] = defaultdict(dict)
    for batch, state, pots in _counted("batch_id", "state"):
        counts[batch][state] = pots
    for batch, tank, pots in _counted("batch_id", "spot__tank__name"):
        if tank is not None:
            where[batch][tank] = pots
    cut_from = parents()
    columns = ("pk", "name", "taxon_id", "taxon__name", "potted_on", "parent_note", "blade")
    rows = Batch.objects.order_by("-potted_on", "name").values_list(*columns)
    return tuple(
        BatchFacts(
            *row,
            counts=dict(counts[row[0]]),
            where=dict(where[row[0]]),
            parents=cut_from.get(row[0], ()),
            blade=blade,
        )
        for *row, blade in rows
    )


def spots(tank_key: int) -> tuple[SpotFacts, ...]:
    """The spots of one floor in reading order, each with the pot on it, if any."""
    columns = (
        "name",
        "pot__batch_id",
        "pot__batch__name",
        "pot__batch__taxon__name",
        "pot__state",
        "pot__leaves",
        "pot__pk",
        "pot__number",
    )
    rows = Spot.objects.filter(tank=tank_key).order_by("place").values_list(*columns)
    return tuple(
        SpotFacts(
            tank=tank_key,
            name=name,
            batch=batch,
            batch_name=batch_name or "",
            taxon_name=taxon_name or "",
            state=state or "",
            leaves=leaves,
            pot=pot,
            number=number,
        )
        for name, batch, batch_name, taxon_name, state, leaves, pot, number in rows
    )


def counts_by_state() -> dict[str, int]:
    """How many pots are in each state, every state named."""
    found = dict(StandingPot.objects.values_list("state").annotate(pots=Count("pk")).order_by())
    return {state: found.get(state, 0) for state in POT_STATES}


def gone_pots() -> tuple[tuple[str, str, int | None, int], ...]:
    """The pots that stand nowhere any more: batch, state (sold or lost), leaves, how many."""
    gone = StandingPot.objects.filter(spot__isnull=True)
    rows = gone.values_list("batch__name", "state", "leaves").annotate(pots=Count("pk"))
    return tuple(rows.order_by("batch__name", "state", "leaves"))


def growing_by_tank() -> dict[str, int]:
    """How many pots of batches that grow stand in each tank, by its name."""
    growing = StandingPot.objects.filter(state="growing").values("batch")
    rows = StandingPot.objects.filter(spot__isnull=False, batch__in=growing)
    return dict(rows.values_list("spot__tank__name").annotate(pots=Count("pk")).order_by())


def _counted(*columns: str) -> QuerySet[StandingPot, Any]:
    return StandingPot.objects.values_list(*columns).annotate(pots=Count("pk")).order_by()
