"""A whole collection at once: many pots as they stand now, with all that was noted of them before."""

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from datetime import date, datetime

from django.db import transaction

from halfwater.book.changes.entries import BroughtIn, write_entries
from halfwater.book.changes.pots import POT_FIELDS
from halfwater.book.models import Batch, Spot
from halfwater.book.models import StandingPot as Pot
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.entry import NewEntry, Noted
from halfwater.plain.stock import GONE_STATES, StandingPot

Place = tuple[int, str]  # tank, spot
_OWN = tuple(one.name for one in fields(StandingPot) if one.name in POT_FIELDS)


@transaction.atomic
def bring_collection(
    pots: Sequence[StandingPot],
    first_places: Mapping[int, Place],
    entries: Sequence[NewEntry],
    *,
    who: str,
    now: datetime,
) -> tuple[dict[int, int], Noted]:
    """Write new pots as they stand now, and entries about them that change nothing of them any more.

    The pots' keys are the caller's, by which the entries name them, and `first_places` where each stood
    first, if that is known; batches and tanks are the book's. Gives the book's key of each pot.

    Raises
    ------
    RefusedInput
        If a pot is of no batch or on no spot of the book.
    RefusedByBook
        If a spot is taken, or two pots would stand on it.
    """
    rows = _rows(pots, first_places)
    Pot.objects.bulk_create(rows, batch_size=200)
    Pot.history.bulk_history_create(rows, batch_size=200, default_user=who)
    keys = {pot.key: int(row.pk) for pot, row in zip(pots, rows, strict=True)}
    own = [replace(entry, pot=keys.get(entry.pot or 0)) for entry in entries]
    brought = BroughtIn({}, frozenset(keys.values()))
    noted = write_entries(own, who, now, brought)
    if brought.refused:
        raise brought.refused[0][1]
    return keys, noted


def _rows(pots: Sequence[StandingPot], first_places: Mapping[int, Place]) -> list[Pot]:
    batches: dict[int, date] = dict(Batch.objects.select_for_update().values_list("pk", "potted_on"))
    spots = {(row.tank_id, row.name): row for row in Spot.objects.select_for_update().order_by("pk")}
    taken = set(Pot.objects.filter(spot__isnull=False).values_list("spot", flat=True))
    rows = []
    for pot in pots:
        if pot.batch not in batches:
            raise RefusedInput("batch", pot.batch, "the key of a batch in the book")
        spot = None if pot.state in GONE_STATES else _spot(pot, spots, taken)
        row = Pot(batch_id=pot.batch, number=pot.number, spot=spot)
        for name in _OWN:
            setattr(row, name, POT_FIELDS[name](name, getattr(pot, name)))
        if row.potted_on == batches[pot.batch]:
            row.potted_on = None
        tank, name = first_places.get(pot.key, (pot.tank, pot.spot))
        row.potted_tank_id, row.potted_spot = tank, name
        rows.append(row)
    return rows


def _spot(pot: StandingPot, spots: Mapping[Place, Spot], taken: set[int]) -> Spot:
    spot = spots.get((pot.tank or 0, pot.spot))
    if spot is None:
        raise RefusedInput("spot", pot.spot, f"a spot for pot {pot.batch_name} {pot.number}, {pot.state}")
    if spot.pk in taken:
        raise RefusedByBook(
            f"Spot {spot.name} is taken: pot {pot.batch_name} {pot.number} cannot stand there."
        )
    taken.add(spot.pk)
    return spot
