"""Pots one by one: how they stand, what was counted on them, and where they stood when."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date

from django.db.models import F, FilteredRelation, Q, QuerySet

from halfwater.book.models import Entry
from halfwater.book.models import StandingPot as Pot
from halfwater.book.queries.offers import SENT
from halfwater.plain.stock import GONE_STATES, LeafCount, StandingPot, Stay

# In the order of the fields of the plain StandingPot.
_COLUMNS = (
    "pk",
    "number",
    "batch_id",
    "batch__name",
    "batch__taxon_id",
    "batch__taxon__name",
    "state",
    "potted_on",
    "spot__tank_id",
    "spot__tank__name",
    "spot__name",
    "leaves",
    "counted_on",
    "piece",
    "section_mm",
    "first_leaves",
    "rhizome_mm",
    "measured_on",
    "left_on",
    "cause",
    "grade",
    "batch__potted_on",
)
_OFFER = ("offer__pk", "offer__order_line__order_id", "offer__order_line__order__state")
_BY_PLACE = (
    F("spot__tank__place").asc(nulls_last=True),
    "spot__tank__name",
    "spot__place",
    "batch__potted_on",
    "batch__name",
    "number",
)


def standing_pots(
    tank: int | None = None, batch: int | None = None, taxon: int | None = None, gone: bool = False
) -> tuple[StandingPot, ...]:
    """The pots that stand, in walking order, of one tank, batch or taxon or all; with `gone` the others too.

    A pot that was sold or lost stands in no tank: with `tank` none of them is given.
    """
    rows = Pot.objects.all() if gone else Pot.objects.filter(spot__isnull=False)
    if tank is not None:
        rows = rows.filter(spot__tank=tank)
    if batch is not None:
        rows = rows.filter(batch=batch)
    if taxon is not None:
        rows = rows.filter(batch__taxon=taxon)
    return _facts(rows.order_by(*_BY_PLACE))


def standing_pot(key: int) -> StandingPot | None:
    """One pot, standing or gone; None when the book has no such pot."""
    return next(iter(_facts(Pot.objects.filter(pk=key))), None)


def _facts(rows: QuerySet[Pot]) -> tuple[StandingPot, ...]:
    found = []
    live = FilteredRelation("offers", condition=Q(offers__ended_at__isnull=True))
    rows = rows.annotate(offer=live)
    for *row, offer, order, order_state in rows.values_list(*_COLUMNS, *_OFFER):
        own_on, batch_on = row[7], row[-1]
        tank_name, spot = row[9] or "", row[10] or ""
        sales = (None if order_state in SENT else order, offer is not None and order is None)
        found.append(StandingPot(*row[:7], own_on or batch_on, row[8], tank_name, spot, *row[11:-1], *sales))
    return tuple(found)


def leaf_counts(since: date | None = None, pots: Collection[int] | None = None) -> tuple[LeafCount, ...]:
    """The leaves counted on single pots, oldest first; of some pots or all, from a day on or ever.

    Where a pot came into the book with a count that no entry tells, that count is among them.
    """
    rows = Entry.objects.filter(kind="leaves", pot__isnull=False, voided_at__isnull=True)
    told = Pot.objects.filter(leaves__isnull=False, counted_on__isnull=False)
    if pots is not None:
        rows, told = rows.filter(pot__in=tuple(pots)), told.filter(pk__in=tuple(pots))
    if since is not None:
        rows, told = rows.filter(day__gte=since), told.filter(counted_on__gte=since)
    columns = ("pot_id", "day", "value")
    found = [LeafCount(pot, on, int(leaves or 0)) for pot, on, leaves in _in_order(rows, *columns)]
    noted = {(count.pot, count.on) for count in found}
    lasting = told.values_list("pk", "counted_on", "leaves")
    found += [LeafCount(*row) for row in lasting if (row[0], row[1]) not in noted]
    return tuple(sorted(found, key=lambda count: count.on))


def stays(pots: Collection[int] | None = None) -> tuple[Stay, ...]:
    """Where each pot stood from day to day, pot by pot, the first stay first."""
    rows, moved = Pot.objects.all(), Entry.objects.filter(kind="move", voided_at__isnull=True)
    if pots is not None:
        rows, moved = rows.filter(pk__in=tuple(pots)), moved.filter(pot__in=tuple(pots))
    moves: dict[int, list[tuple[date, int, str]]] = defaultdict(list)
    for pot, *move in _in_order(moved, "pot_id", "day", "tank_id", "spot"):
        moves[pot].append(tuple(move))  # type: ignore[arg-type]
    columns = (
        "pk",
        "state",
        "potted_on",
        "batch__potted_on",
        "potted_tank_id",
        "potted_spot",
        "left_on",
        "counted_on",
    )
    found: list[Stay] = []
    for pot, state, own_on, batch_on, tank, spot, left_on, counted_on in rows.order_by("pk").values_list(
        *columns
    ):
        potted_on = own_on or batch_on
        end = left_on or max(counted_on or potted_on, potted_on) if state in GONE_STATES else None
        found += _stays_of(pot, [(potted_on, tank, spot), *moves[pot]], end)
    return tuple(found)


def _stays_of(pot: int, places: list[tuple[date, int | None, str]], end: date | None) -> list[Stay]:
    ends = [*(later[0] for later in places[1:]), end]
    return [
        Stay(pot, tank, spot, from_on, to_on)
        for (from_on, tank, spot), to_on in zip(places, ends, strict=True)
        if tank is not None
    ]


def _in_order(rows: QuerySet[Entry], *columns: str) -> QuerySet[Entry, tuple[object, ...]]:
    return rows.filter(Q(pot__isnull=False)).order_by("at", "noted_at", "uuid").values_list(*columns)
