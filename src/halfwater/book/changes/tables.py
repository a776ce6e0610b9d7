"""Whole tables brought in at once: all of it or nothing."""

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from django.db import transaction

from halfwater.book.changes.entries import BroughtIn, Origin, write_entries
from halfwater.book.changes.mixes import save_feed, save_mix
from halfwater.book.changes.nursery import save_lamp, save_nursery, save_pot
from halfwater.book.changes.packing_tables import bring_money, bring_packing
from halfwater.book.changes.plans import save_cutting_habit
from halfwater.book.changes.pots import a_new_pot, set_pot, write_pot
from halfwater.book.changes.sales_tables import bring_sales
from halfwater.book.changes.soundness import refuse_unsound
from halfwater.book.changes.stock import save_batch, set_spots
from halfwater.book.changes.stock_tables import bring_forecasts, bring_lineage, bring_prices, bring_standing
from halfwater.book.changes.table_rows import MODELS, TableRow, TablesDone, key_meant, one, placed, with_keys
from halfwater.book.changes.tanks import write_tank
from halfwater.book.changes.taxa import save_taxon
from halfwater.book.changes.waters import save_target, save_water
from halfwater.book.models import StandingPot, Tank
from halfwater.book.models.kept import key_named
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.entry import NewEntry
from halfwater.plain.stock import GONE_STATES

__all__ = ["EntryRow", "TableRow", "Tables", "TablesDone", "import_tables"]


@dataclass(frozen=True, slots=True)
class EntryRow:
    """One entry on its way in, its tank, mix and batch by name."""

    where: str
    entry: NewEntry
    tank: str = ""
    mix: str = ""
    batch: str = ""
    number: int | None = None  # of the pot in the batch
    who: str = ""
    voided_because: str = ""  # not empty: the entry comes in as a voided one


@dataclass(frozen=True, slots=True)
class Tables:
    """Everything to bring in, in the order it is written."""

    nursery: Sequence[TableRow] = ()
    pots: Sequence[TableRow] = ()
    lamps: Sequence[TableRow] = ()
    feeds: Sequence[TableRow] = ()
    waters: Sequence[TableRow] = ()
    targets: Sequence[TableRow] = ()
    mixes: Sequence[TableRow] = ()
    taxa: Sequence[TableRow] = ()
    tanks: Sequence[TableRow] = ()
    batches: Sequence[TableRow] = ()
    spots: Sequence[TableRow] = ()
    standing: Sequence[TableRow] = ()
    lineage: Sequence[TableRow] = ()
    prices: Sequence[TableRow] = ()
    habit: Sequence[TableRow] = ()
    forecasts: Sequence[TableRow] = ()
    entries: Sequence[EntryRow] = ()
    sales: Mapping[str, Sequence[TableRow]] = field(default_factory=dict)
    packing: Mapping[str, Sequence[TableRow]] = field(default_factory=dict)
    money: Mapping[str, Sequence[TableRow]] = field(default_factory=dict)


@transaction.atomic
def import_tables(tables: Tables, who: str, now: datetime, check: bool = False) -> TablesDone:
    """Bring in tables: all rows, or none when one is refused or `check` is set.

    A row whose name the book has changes that row by the fields given. The
    refusals are handed back, each with where it stood, instead of raised one by one.
    """
    done = TablesDone()
    _each(done, "nursery", tables.nursery, lambda fields: save_nursery(who=who, **fields))
    for noun, rows, save in (
        ("pot", tables.pots, save_pot),
        ("lamp", tables.lamps, save_lamp),
        ("feed", tables.feeds, save_feed),
        ("water", tables.waters, save_water),
        ("target", tables.targets, save_target),
        ("mix", tables.mixes, _save_mix),
        ("taxon", tables.taxa, save_taxon),
        ("tank", tables.tanks, _save_tank),
        ("batch", tables.batches, save_batch),
    ):
        _named(done, noun, rows, save, who)
    final = _spots(done, tables.spots, who)
    final |= bring_standing(done, tables.standing, who)
    bring_lineage(done, tables.lineage, who)
    bring_prices(done, tables.prices, who)
    _each(done, "habit", tables.habit, lambda fields: save_cutting_habit(who=who, **fields))
    _entries(done, tables.entries, who, now, final)
    bring_forecasts(done, tables.forecasts)
    bring_sales(done, tables.sales, who)
    bring_packing(done, tables.packing, who)
    bring_money(done, tables.money, who)
    done.drop_consequences()
    if done.refused or check:
        transaction.set_rollback(True)
    return done


def _named(done: TablesDone, noun: str, rows: Sequence[TableRow], save: Callable[..., int], who: str) -> None:
    model = MODELS[noun]
    for row in rows:
        key = key_named(model, str(row.fields["name"]))
        before = None if key is None else model.history.filter(id=key).count()  # type: ignore[attr-defined]
        saved = one(done, row, lambda fields, key=key: save(key, who=who, **with_keys(fields)))
        if saved is None:
            if key is None:
                done.unwritten.add((noun, str(row.fields["name"]).strip().casefold()))
            continue
        if key is None:
            done.new[noun] = done.new.get(noun, 0) + 1
        elif model.history.filter(id=key).count() != before:  # type: ignore[attr-defined]
            done.changed[noun] = done.changed.get(noun, 0) + 1


def _each(done: TablesDone, noun: str, rows: Sequence[TableRow], save: Callable[[Any], Any]) -> None:
    for row in rows:
        one(done, row, lambda fields: (save(fields), True))


def _save_tank(key: int | None, *, who: str, spots: Sequence[str] | None = None, **fields: Any) -> int:
    saved = int(write_tank(key, fields, who))
    if spots is not None:
        set_spots(saved, spots)
    return saved


def _save_mix(key: int | None, *, who: str, parts: Sequence[Mapping[str, Any]], **fields: Any) -> int:
    return save_mix(key, who=who, parts=[with_keys(part) for part in parts], **fields)


def _spots(done: TablesDone, rows: Sequence[TableRow], who: str) -> set[int]:
    """Lay out the floors, put the pots on them, and give the keys of these pots."""
    stand: set[int] = set()
    floors: dict[str, list[TableRow]] = {}
    _gone(done, [row for row in rows if not row.fields["tank"]], who)
    for row in rows:
        if not row.fields["tank"]:
            continue
        floors.setdefault(str(row.fields["tank"]).strip().casefold(), []).append(row)
    for floor in floors.values():
        whole = TableRow(floor[0].where, {"names": [row.fields["name"] for row in floor], **floor[0].fields})
        one(done, whole, lambda fields: set_spots(key_meant("tank", fields["tank"]), fields["names"]))  # type: ignore[arg-type]
        for row in floor:
            if row.fields["batch"]:
                pot = one(done, row, lambda fields: _stand(fields, who))
                stand |= {pot} - {None}
    return stand


def _gone(done: TablesDone, rows: Sequence[TableRow], who: str) -> None:
    """Make the book hold as many sold and lost pots of each batch as the rows say."""
    wanted = Counter((row.fields["batch"], row.fields["state"], row.fields["leaves"]) for row in rows)
    for (batch, state, leaves), pots in wanted.items():
        row = next(
            row
            for row in rows
            if (row.fields["batch"], row.fields["state"], row.fields["leaves"]) == (batch, state, leaves)
        )
        one(done, row, lambda _, pots=pots: _make_gone(key_meant("batch", batch), state, leaves, pots, who))  # noqa: B023


def _make_gone(batch: int | None, state: str, leaves: int | None, pots: int, who: str) -> None:
    if batch is None:
        raise RefusedInput("batch", "", "the batch of a pot that was sold or lost")
    if state not in GONE_STATES:
        raise RefusedInput("state", state, "sold or lost, for a pot that stands in no tank")
    standing = StandingPot.objects.filter(batch=batch, state=state, leaves=leaves, spot__isnull=True).count()
    for _ in range(pots - standing):
        write_pot(a_new_pot(batch), None, {"state": state, "leaves": leaves}, who)


def _stand(fields: Mapping[str, Any], who: str) -> int | None:
    tank, batch = key_meant("tank", fields["tank"]), key_meant("batch", fields["batch"])
    if tank is None:
        return None
    return set_pot(tank, fields["name"], batch, fields["state"], fields["leaves"], who=who)


def _entries(
    done: TablesDone, rows: Sequence[EntryRow], who: str, now: datetime, final: Collection[int]
) -> None:
    keys = {noun: _keys(noun) for noun in ("tank", "mix", "batch")}
    pots = _pots_by_number(rows)
    rims_mm = dict(Tank.objects.values_list("pk", "height_mm"))
    sound = []
    for row in rows:
        try:
            entry = replace(
                row.entry,
                **{noun: _found(noun, getattr(row, noun), keys[noun]) for noun in ("tank", "mix", "batch")},
            )
            entry = replace(entry, pot=_pot_meant(row, pots.get((entry.batch, row.number))))
            refuse_unsound(entry, now, rims_mm)
            sound.append(entry)
        except HalfwaterError as error:
            done.refused.append(placed(error, row.where))
    if not done.refused:
        origins = {row.entry.uuid: Origin(row.who, row.voided_because) for row in rows}
        brought = BroughtIn(origins, final)
        done.noted = write_entries(sound, who, now, brought)
        where = {row.entry.uuid: row.where for row in rows}
        done.refused += [placed(error, where[uuid]) for uuid, error in brought.refused]


def _keys(noun: str) -> dict[str, int]:
    return {name.casefold(): key for name, key in MODELS[noun]._default_manager.values_list("name", "pk")}


def _found(noun: str, name: str, keys: Mapping[str, int]) -> int | None:
    if not name.strip():
        return None
    if name.strip().casefold() not in keys:
        raise RefusedInput(
            noun, name, f"one of {', '.join(sorted(keys)[:20])}" if keys else f"no {noun} is in the book"
        )
    return keys[name.strip().casefold()]


def _pots_by_number(rows: Sequence[EntryRow]) -> dict[tuple[int | None, int | None], int]:
    if all(row.number is None for row in rows):
        return {}
    found = StandingPot.objects.values_list("batch_id", "number", "pk")
    return {(batch, number): pot for batch, number, pot in found}


def _pot_meant(row: EntryRow, pot: int | None) -> int | None:
    if row.number is not None and pot is None:
        raise RefusedInput("number", row.number, f"the number of a pot of batch {row.batch}")
    return pot
