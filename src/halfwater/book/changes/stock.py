"""Changes of batches, spots and the pots on them."""

from collections.abc import Sequence
from typing import Any

from django.db import transaction

from halfwater.book.changes import checks
from halfwater.book.changes.saving import save_row
from halfwater.book.models import Batch, Spot, StandingPot, Tank, Taxon
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.stock import POT_STATES

GONE = ("sold", "lost")
_BATCH = {
    "name": checks.NAME,
    "taxon": checks.key_of(Taxon, "taxon", none=False),
    "potted_on": checks.day,
    "parent_note": checks.words("a note of at most 300 signs", 300),
}
_LEAVES = checks.whole("a whole number of leaves from 0 to 10000", 0, 10_000, none=True)
_SPOT = checks.words("a spot of 1 to 10 signs such as A1", 10, needed=True)


@transaction.atomic
def save_batch(key: int | None = None, *, who: str, **fields: Any) -> int:
    """Write a batch (name, taxon, potted_on, parent_note), a new one when `key` is None, and give its key."""
    return int(save_row(Batch, key, fields, _BATCH, ("name", "taxon", "potted_on"), who))


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


@transaction.atomic
def set_pot(
    tank: int, spot: str, batch: int | None, state: str = "", leaves: int | None = None, *, who: str
) -> None:
    """Say what stands on a spot: a pot of a batch in a state, or nothing when `batch` is None.

    A pot of the same batch on the spot is changed; "sold" and "lost" take it
    off the spot and keep it counted.
    """
    place = _spot(tank, spot)
    pot = StandingPot.objects.filter(spot=place).first()
    if pot is not None and pot.batch_id != batch:
        pot.changed_by = who  # type: ignore[attr-defined]
        pot.delete()
        pot = None
    if batch is None:
        return
    _write_pot(pot or StandingPot(), place, batch, state, leaves, who)


@transaction.atomic
def place_pots(
    tank: int,
    spots: Sequence[str],
    batch: int,
    state: str = "settling",
    leaves: int | None = None,
    *,
    who: str,
) -> None:
    """Stand new pots of a batch on empty spots."""
    for name in spots:
        place = _spot(tank, name)
        taken = StandingPot.objects.filter(spot=place).select_related("batch").first()
        if taken is not None:
            raise RefusedByBook(
                f"Spot {name} is taken: a pot of batch {taken.batch.name} stands on it.", name
            )
        _write_pot(StandingPot(), place, batch, state, leaves, who)


@transaction.atomic
def move_pot(tank: int, spot: str, to_tank: int, to_spot: str, *, who: str) -> None:
    """Move the pot on a spot to an empty one."""
    pot = StandingPot.objects.filter(spot=_spot(tank, spot)).first()
    if pot is None:
        raise RefusedByBook(f"No pot stands on spot {spot}.", spot)
    target = _spot(to_tank, to_spot)
    if StandingPot.objects.filter(spot=target).exclude(pk=pot.pk).exists():
        raise RefusedByBook(f"Spot {to_spot} is taken.", to_spot)
    pot.spot = target
    pot.changed_by = who  # type: ignore[attr-defined]
    pot.save()


def _spot(tank: int, name: str) -> Spot:
    row = Spot.objects.select_for_update().filter(tank=tank, name__iexact=name.strip()).first()
    if row is None:
        ends = list(Spot.objects.filter(tank=tank).order_by("place").values_list("name", flat=True))
        known = f"a spot from {ends[0]} to {ends[-1]}" if ends else "this floor has no spots yet"
        raise RefusedInput("spot", name, known)
    return row


def _write_pot(pot: StandingPot, place: Spot, batch: int, state: str, leaves: int | None, who: str) -> None:
    pot.batch_id = checks.key_of(Batch, "batch", none=False)("batch", batch)
    pot.state = checks.one_of(POT_STATES)("state", state)
    pot.leaves = _LEAVES("leaves", leaves)
    pot.spot = None if state in GONE else place
    pot.changed_by = who  # type: ignore[attr-defined]
    pot.save()
