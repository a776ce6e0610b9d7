"""Tables of packing and money on their way in: what has a name is changed by its row, the rest comes once."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.core.management.color import no_style
from django.db import IntegrityError, connection, models, transaction

from halfwater.book.changes import money, packing
from halfwater.book.changes.parcels import ARRIVAL_CHECKS, PARCEL_CHECKS
from halfwater.book.changes.sales_soundness import as_uuid
from halfwater.book.changes.table_rows import TableRow, TablesDone, key_meant, one
from halfwater.book.models import (
    Arrival,
    BoxKind,
    Charge,
    Fee,
    HeatPackKind,
    LinerKind,
    OfferedPot,
    Parcel,
    ParcelItem,
    PowerUse,
    Purchase,
    Route,
    StandingPot,
    Tariff,
)
from halfwater.book.models.kept import key_named
from halfwater.book.models.order import LIVE
from halfwater.errors import RefusedByBook, RefusedInput

Fields = Mapping[str, Any]
_KINDS: Mapping[str, tuple[str, type[models.Model], Callable[..., int]]] = {
    "boxes": ("kind of box", BoxKind, packing.save_box),
    "liners": ("kind of liner", LinerKind, packing.save_liner),
    "heat_packs": ("kind of heat pack", HeatPackKind, packing.save_heat_pack),
    "routes": ("way", Route, packing.save_route),
}
_ROWS: Mapping[str, tuple[str, type[models.Model], Callable[..., int]]] = {
    "purchases": ("purchase", Purchase, money.save_purchase),
    "charges": ("charge", Charge, money.save_charge),
    "tariffs": ("tariff", Tariff, money.save_tariff),
    "power": ("use of power", PowerUse, money.save_power),
    "fees": ("fee", Fee, money.save_fee),
}
_NAMED: Mapping[str, type[models.Model]] = {
    "box": BoxKind, "liner": LinerKind, "pack": HeatPackKind, "route": Route,
}  # fmt: skip


@dataclass(slots=True)
class _Parcels:
    """What the files' numbers of parcels mean; None for one that the book had."""

    keys: dict[int, int | None] = field(default_factory=dict)


def bring_packing(done: TablesDone, tables: Mapping[str, Sequence[TableRow]], who: str) -> None:
    """Bring in boxes, liners, heat packs, ways, rules of shipping, parcels with their pots and arrivals."""
    for table, (noun, model, save) in _KINDS.items():
        for row in tables.get(table, ()):
            if one(done, row, lambda fields, model=model, save=save: _save_named(model, save, fields, who)):
                _count(done, noun)
    for row in tables.get("ship_rules", ()):
        one(done, row, lambda fields: packing.save_ship_rule(who=who, **fields))
    known = _Parcels()
    for table, (noun, write) in _WRITERS.items():
        for row in tables.get(table, ()):
            if one(done, row, lambda fields, write=write: _sound(write, known, fields, who)) and noun:
                _count(done, noun)
    if known.keys:
        with connection.cursor() as cursor:  # numbers given by hand: the next one comes after them
            for statement in connection.ops.sequence_reset_sql(no_style(), [Parcel]):
                cursor.execute(statement)


def bring_money(done: TablesDone, tables: Mapping[str, Sequence[TableRow]], who: str) -> None:
    """Bring in purchases, charges, tariffs, power and fees: as many alike as the file has, and no more."""
    for table, (noun, model, save) in _ROWS.items():
        stood: dict[str, int] = {}
        for row in tables.get(table, ()):
            if one(done, row, lambda fields, at=(model, save, stood): _save_alike(*at, fields, who)):
                _count(done, noun)


def _count(done: TablesDone, noun: str) -> None:
    done.new[noun] = done.new.get(noun, 0) + 1


def _save_named(model: type[models.Model], save: Callable[..., int], fields: Fields, who: str) -> bool:
    key = key_named(model, str(fields["name"]))
    save(key, who=who, **fields)
    return key is None


def _save_alike(
    model: type[models.Model], save: Callable[..., int], stood: dict[str, int], fields: Fields, who: str
) -> bool:
    """Write a row unless the book has as many alike as the file has had up to here."""
    own = {
        name: key_meant(name, value) if name in ("tank", "batch") else value for name, value in fields.items()
    }
    if model is Tariff:
        before = Tariff.objects.count()
        save(who=who, **own)
        return Tariff.objects.count() > before
    mark = repr(sorted(own.items()))
    if mark not in stood:
        blank = {
            column.name: column.get_default()
            for column in model._meta.concrete_fields
            if not column.primary_key and (column.null or column.has_default())
        }
        stood[mark] = model._default_manager.filter(**_as_asked(blank | own)).count()
    if stood[mark]:
        stood[mark] -= 1
        return False
    save(who=who, **own)
    return True


def _as_asked(fields: Fields) -> dict[str, Any]:
    nulls = {f"{name}__isnull": True for name, value in fields.items() if value is None}
    return nulls | {name: value for name, value in fields.items() if value is not None}


def _sound(write: Callable[..., bool], known: _Parcels, fields: Fields, who: str) -> bool:
    try:
        with transaction.atomic():
            return write(known, fields, who)
    except IntegrityError as error:
        raise RefusedByBook("The book's own rules stand against this row.", str(error)) from error


def _parcel(known: _Parcels, fields: Fields, who: str) -> bool:
    number, uuid = fields["parcel"], as_uuid("uuid", fields["uuid"])
    standing = Parcel.objects.filter(uuid=uuid).values_list("pk", flat=True).first()
    if standing is not None:
        known.keys[number] = None
        return False
    if Parcel.objects.filter(pk=number).exists():
        raise RefusedByBook(f"The book has another parcel {number}.", str(number))
    row = Parcel(pk=number, uuid=uuid, state=fields["state"], started_at=fields["started_at"])
    row.sent_at, row.who = fields.get("sent_at"), fields.get("who", "")
    for name, check in PARCEL_CHECKS.items():
        if name not in fields:
            continue
        value = _key_of(name, fields[name]) if name in _NAMED else fields[name]
        setattr(row, f"{name}_id" if name in _NAMED else name, check(name, value))
    row.save(force_insert=True)
    known.keys[number] = number
    return True


def _key_of(name: str, value: str) -> int | None:
    key = key_named(_NAMED[name], value)
    if key is None and value.strip():
        raise RefusedInput(name, value, "the name of one in the book or the files")
    return key


def _parcel_pot(known: _Parcels, fields: Fields, who: str) -> bool:
    parcel = _known(known, fields["parcel"])
    if parcel is None:
        return False
    batch = key_meant("batch", fields["batch"])
    pot = (
        StandingPot.objects.filter(batch=batch, number=fields["number"]).values_list("pk", flat=True).first()
    )
    offer = OfferedPot.objects.filter(LIVE, pot=pot, order_line__order=fields["order"]).first()
    if pot is None or offer is None:
        raise RefusedInput("number", fields["number"], f"a pot that order {fields['order']} waits for or got")
    ParcelItem.objects.create(
        parcel_id=parcel, pot_id=pot, order_line_id=offer.order_line_id, packed_at=fields.get("packed_at")
    )
    return True


def _arrival(known: _Parcels, fields: Fields, who: str) -> bool:
    parcel = _known(known, fields["parcel"])
    if parcel is None:
        return False
    own = {
        name: check(name, fields[name])
        for name, check in ARRIVAL_CHECKS.items()
        if name in fields and name != "parcel"
    }
    row = Arrival(parcel_id=parcel, **own)
    row.changed_by = who  # type: ignore[attr-defined]
    row.save()
    return True


def _known(known: _Parcels, number: int) -> int | None:
    if number not in known.keys:
        raise RefusedInput("parcel", number, "the number of a parcel in parcels.csv")
    return known.keys[number]


_WRITERS: Mapping[str, tuple[str, Callable[[_Parcels, Fields, str], bool]]] = {
    "parcels": ("parcel", _parcel),
    "parcel_pots": ("", _parcel_pot),
    "arrivals": ("arrival", _arrival),
}
