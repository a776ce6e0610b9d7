"""Tables of stock: pots of an existing collection, their lineage, prices, and forecasts that were kept."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.db.models import Max

from halfwater.book.changes.lineage import Parent, save_lineage
from halfwater.book.changes.plans import keep_forecasts, save_price
from halfwater.book.changes.pots import (
    a_new_pot,
    first_free,
    last_number,
    refuse_taken,
    spot_named,
    write_pot,
)
from halfwater.book.changes.table_rows import TableRow, TablesDone, key_meant, one
from halfwater.book.models import Batch, Parentage, Price, Spot, StandingPot, Tank
from halfwater.book.models.kept import key_named
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.growing import ForecastFact
from halfwater.plain.stock import GONE_STATES

_PLACED = ("tank", "spot", "first_tank", "first_spot")
_BESIDE = ("batch", "number", *_PLACED)
_DAYS = {"counted_on": "counted", "measured_on": "measured", "left_on": "sold or lost"}


def bring_standing(done: TablesDone, rows: Sequence[TableRow], who: str) -> set[int]:
    """Bring in pots, each by its batch and number or by its spot, and give their keys."""
    found: set[int] = set()
    full: dict[int, list[str]] = {}
    for row in rows:
        tank = _full_tank(row.fields)
        if tank is not None:
            full.setdefault(tank, []).append(row.where)
            continue
        known = StandingPot.objects.aggregate(last=Max("pk"))["last"] or 0
        pot = one(done, row, lambda fields: _write_standing(fields, who))
        if pot is not None:
            found.add(pot)
            if pot > known:
                done.new["standing pot"] = done.new.get("standing pot", 0) + 1
    done.refused.extend(_no_room(tank, left) for tank, left in full.items())
    return found


def _full_tank(fields: Mapping[str, Any]) -> int | None:
    """The tank that has no empty spot for a pot; None where the pot has a spot, or needs none."""
    tank = key_named(Tank, fields.get("tank", ""))
    if tank is None or fields.get("spot") or fields.get("state") in GONE_STATES:
        return None
    if Spot.objects.filter(tank=tank, pot__isnull=True).exists():
        return None
    batch, number = key_named(Batch, fields["batch"]), fields.get("number")
    is_there = StandingPot.objects.filter(batch=batch, number=number, spot__tank=tank).exists()
    return None if number is None or is_there else tank


def _no_room(tank: int, left: Sequence[str]) -> RefusedByBook:
    """One refusal for all the pots of a tank that find no spot."""
    name = Tank.objects.values_list("name", flat=True).get(pk=tank)
    spots = Spot.objects.filter(tank=tank).count()
    pots = "this pot finds no spot" if len(left) == 1 else f"{len(left)} pots from here on find no spot"
    return RefusedByBook(f"{pots}: {name} has {spots} spots, and all are taken.", left[0])


def _write_standing(fields: Mapping[str, Any], who: str) -> int:
    batch = key_meant("batch", fields["batch"])
    if batch is None:
        raise RefusedInput("batch", "", "the batch of the pot")
    tank = key_meant("tank", fields.get("tank", ""))
    spot = _spot_meant(tank, fields.get("spot", ""))
    pot = _pot_meant(batch, fields.get("number"), spot)
    own = {name: value for name, value in fields.items() if name not in _BESIDE}
    own.setdefault("state", pot.state or "growing")
    place = _place(pot, tank, spot, own["state"])
    batch_on = pot.batch.potted_on
    if own.get("potted_on") == batch_on:
        own["potted_on"] = None
    _refuse_before_potting(pot, own, batch_on)
    first = key_meant("tank", fields.get("first_tank", ""))
    if first is not None and fields.get("first_spot"):
        pot.potted_tank_id, pot.potted_spot = first, fields["first_spot"].upper()
    return write_pot(pot, place, own, who)


def _spot_meant(tank: int | None, name: str) -> Spot | None:
    if name and tank is None:
        raise RefusedInput("tank", "", f"the tank of spot {name}")
    return spot_named(tank, name) if name and tank is not None else None


def _pot_meant(batch: int, number: int | None, spot: Spot | None) -> StandingPot:
    """The pot of this number, or of this batch on this spot; a new one where there is none."""
    rows = StandingPot.objects.select_related("batch", "spot")
    if number is not None:
        last_number(batch)
        return rows.filter(batch=batch, number=number).first() or StandingPot(batch_id=batch, number=number)
    if spot is None:
        raise RefusedInput(
            "number", "", "a number in its batch, or a spot: by one of them a pot is known again"
        )
    return rows.filter(batch=batch, spot=spot).first() or a_new_pot(batch)


def _place(pot: StandingPot, tank: int | None, spot: Spot | None, state: str) -> Spot | None:
    """Where the pot stands: its spot, or the first empty one of its tank; a pot that is gone has none."""
    if state in GONE_STATES:
        return None
    if spot is None and tank is not None:
        is_there = pot.spot is not None and pot.spot.tank_id == tank
        spot = pot.spot if is_there else first_free(tank, 1)[0]
    spot = spot or pot.spot
    if spot is None:
        raise RefusedInput("tank", "", f"a tank and spot, for a pot that is {state} stands on one")
    if pot.spot_id != spot.pk:
        refuse_taken(spot)
    return spot


def _refuse_before_potting(pot: StandingPot, own: Mapping[str, Any], batch_on: date) -> None:
    potted_on = own.get("potted_on") or pot.potted_on or batch_on
    if potted_on < batch_on:
        raise RefusedByBook(
            f"Pot {pot} cannot have been potted on {potted_on}: its batch was on {batch_on}.", f"{pot}"
        )
    for name, done in _DAYS.items():
        if own.get(name) is not None and own[name] < potted_on:
            raise RefusedByBook(
                f"Pot {pot} was potted on {potted_on}: it was not {done} on {own[name]}, before that.",
                f"{pot}",
            )


def bring_lineage(done: TablesDone, rows: Sequence[TableRow], who: str) -> None:
    """Bring in the parents of batches: `batch` by name, `parents` as names with the pot's number or None."""
    for row in rows:
        one(done, row, lambda fields: _write_lineage(fields, who))


def _write_lineage(fields: Mapping[str, Any], who: str) -> None:
    batch = key_meant("batch", fields["batch"])
    if batch is not None:
        parents = {_parent_meant(name, number) for name, number in fields["parents"]}
        if parents != set(Parentage.objects.filter(batch=batch).values_list("parent", "pot")):
            save_lineage(batch, sorted(parents, key=lambda one: (one[0], one[1] or 0)), who=who)


def _parent_meant(name: str, number: int | None) -> Parent:
    known = Batch.objects.values_list("name", flat=True)
    try:
        batch = key_meant("batch", name)
    except RefusedInput as refused:
        raise RefusedInput("lineage", name, refused.accepted) from refused
    if batch is None:
        raise RefusedInput("lineage", name, f"one of {', '.join(known[:20])}")
    if number is None:
        return batch, None
    pot = StandingPot.objects.filter(batch=batch, number=number).values_list("pk", flat=True).first()
    if pot is None:
        raise RefusedInput("lineage", f"{name} #{number}", f"the number of a pot of batch {name}")
    return batch, pot


def bring_prices(done: TablesDone, rows: Sequence[TableRow], who: str) -> None:
    """Bring in prices, each by taxon and grade."""
    for row in rows:
        before = Price.objects.count()
        one(done, row, lambda fields: _write_price(fields, who))
        if Price.objects.count() > before:
            done.new["price"] = done.new.get("price", 0) + 1


def _write_price(fields: Mapping[str, Any], who: str) -> None:
    taxon = key_meant("taxon", fields["taxon"])
    if taxon is not None:
        most = fields.get("most_per_release")
        save_price(taxon, fields["grade"], fields["price_minor"], most, who=who)


def bring_forecasts(done: TablesDone, rows: Sequence[TableRow]) -> None:
    """Bring in forecasts as they were kept; those that stand in the book already are left alone."""
    for row in rows:
        one(done, row, lambda fields: keep_forecasts((_forecast(fields),)))


def _forecast(fields: Mapping[str, Any]) -> ForecastFact:
    own = {name: value for name, value in fields.items() if name not in ("taxon", "batch", "number")}
    batch, number = key_meant("batch", fields.get("batch", "")), fields.get("number")
    pot = None
    if number is not None:
        pot = StandingPot.objects.filter(batch=batch, number=number).values_list("pk", flat=True).first()
    keys = {"taxon": key_meant("taxon", fields.get("taxon", "")), "batch": batch, "pot": pot}
    blank: dict[str, Any] = {"key": 0, "about_on": None, "naive": None}
    return ForecastFact(**(blank | own | keys))
