"""Parcels on their way out: begun, filled plant by plant, sent, arrived."""

from collections.abc import Collection, Mapping
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from django.db.models import Count, Exists, OuterRef, Q

from halfwater.book.changes import checks
from halfwater.book.changes.door import one_write
from halfwater.book.changes.order_course import (
    course_state,
    held_order,
    mark_arrived,
    mark_sent,
    refuse_missing,
)
from halfwater.book.changes.packing import MONEY, sound_legs
from halfwater.book.changes.sales_soundness import as_uuid
from halfwater.book.changes.saving import save_row
from halfwater.book.models import (
    Arrival,
    BoxKind,
    HeatPackKind,
    LinerKind,
    OfferedPot,
    Order,
    Parcel,
    ParcelItem,
    Route,
)
from halfwater.book.models.order import LIVE
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.packing import SaidThen

_LEFT = ("sent", "arrived")
_LATER = ("weight_kg", "tracking", "postage_paid_minor", "note")  # what may be put right after it left


def _day_or_none(field: str, value: Any) -> date | None:
    return None if value is None else checks.day(field, value)


def _maybe_money(field: str, value: Any) -> int | None:
    return None if value is None else MONEY(field, value)


def _said(field: str, value: SaidThen | None) -> dict[str, Any] | None:
    return None if value is None else asdict(value)


PARCEL_CHECKS: Mapping[str, checks.Check] = {
    "ship_on": _day_or_none,
    "box": checks.key_of(BoxKind, "kind of box"),
    "liner": checks.key_of(LinerKind, "kind of liner"),
    "pack": checks.key_of(HeatPackKind, "kind of heat pack"),
    "packs": checks.whole("a whole number of heat packs from 0", 0, 20),
    "route": checks.key_of(Route, "way"),
    "place": checks.words("a place of at most 80 signs", 80),
    "legs": sound_legs,
    "said": _said,
    "weight_kg": checks.number("a mass above 0 and up to 100 kg", 0, 100, above=True, none=True),
    "tracking": checks.words("a tracking number of at most 80 signs", 80),
    "postage_paid_minor": _maybe_money,
    "note": checks.words("a note of at most 2000 signs", 2000),
}
_TEMP = checks.number("a temperature from -60 to 80 C", -60, 80, none=True)
ARRIVAL_CHECKS: Mapping[str, checks.Check] = {
    "parcel": checks.key_of(Parcel, "parcel", none=False),
    "on": checks.day,
    "alive": checks.whole("a whole number of plants from 0", 0, 10_000),
    "damaged": checks.whole("a whole number of plants from 0", 0, 10_000),
    "late_days": checks.number("days from 0 to 60", 0, 60),
    "logger_low_c": _TEMP,
    "logger_high_c": _TEMP,
    "note": checks.words("a note of at most 2000 signs", 2000),
    "photo": checks.words("a photo's name of at most 100 signs", 100),
}


@one_write
def start_parcel(
    uuid: Any,
    order: int,
    pots: Collection[int] | None = None,
    *,
    who: str,
    now: datetime,
    **fields: Any,
) -> int:
    """Begin a parcel for an order: these of its pots, or all that are in no parcel yet; give its key.

    The same uuid again is the same parcel.

    Raises
    ------
    RefusedByBook
        If the order has left, misses a plant, or no plant of it is without a parcel.
    """
    uuid = as_uuid("uuid", uuid)
    row = held_order(order)
    known = Parcel.objects.filter(uuid=uuid).values_list("pk", flat=True).first()
    if known is not None:
        return int(known)
    if row.sent_at is not None:
        raise RefusedByBook(f"Order {order} has left already.", str(order))
    refuse_missing(row)
    parcel = Parcel(uuid=uuid, started_at=now, who=who)
    parcel.ship_on = row.ship_on
    parcel.save()
    _refuse_packs(fields, None)
    save_row(Parcel, parcel.pk, fields, PARCEL_CHECKS, (), who)
    _put_in(parcel, row, pots)
    return int(parcel.pk)


@one_write
def add_to_parcel(key: int, order: int, pots: Collection[int] | None = None, *, who: str) -> None:
    """Put plants of one more order of the same buyer, or left over of the same, into a parcel."""
    row, parcel = held_order(order), _packing(key)
    buyers = set(parcel.items.values_list("order_line__order__buyer", flat=True))
    if buyers - {row.buyer_id}:
        raise RefusedByBook(f"Order {order} is of another buyer than the parcel.", str(order))
    _put_in(parcel, row, pots)


@one_write
def take_out(key: int, pots: Collection[int], *, who: str) -> None:
    """Take plants out of a parcel; one that is empty then is not begun any more."""
    parcel = _packing(key)
    parcel.items.filter(pot__in=tuple(pots)).delete()
    if not parcel.items.exists():
        parcel.delete()


@one_write
def change_parcel(key: int, *, who: str, **fields: Any) -> None:
    """Change what is known of a parcel; after it left only its weight, tracking, postage and note."""
    parcel = _held(key)
    late = set(fields) - set(_LATER)
    if parcel.state != "packing" and late:
        raise RefusedByBook(f"Parcel {key} has left: its {sorted(late)[0]} stays as it was.", str(key))
    _refuse_packs(fields, parcel.pack_id)
    save_row(Parcel, key, fields, PARCEL_CHECKS, (), who)


@one_write
def tick_pot(key: int, pot: int, is_packed: bool, *, who: str, now: datetime) -> None:
    """Note that a plant is in the box, or is not after all; a second time changes nothing.

    An order is packed once all its plants are, and not any more when one is taken out again.
    """
    of = ParcelItem.objects.filter(parcel=key, pot=pot).values_list("order_line__order", flat=True)
    number = of.first()
    order = None if number is None else held_order(number)
    parcel = _packing(key)
    item = parcel.items.filter(pot=pot).first()
    if item is None or order is None:
        raise RefusedInput("pot", pot, f"a pot of parcel {key}")
    if not _still_wanted(parcel.items.filter(pk=item.pk)).exists():
        raise RefusedByBook(f"Pot {item.pot} is not wanted any more: take it out of the parcel.", str(pot))
    if is_packed != (item.packed_at is not None):
        item.packed_at = now if is_packed else None
        item.save(update_fields=("packed_at",))
    packed = None if _unpacked_of(order) else order.packed_at or now
    if packed != order.packed_at:
        order.packed_at = packed
        order.state = course_state(order)
        order.save()


@one_write
def send_parcel(key: int, *, who: str, now: datetime, **fields: Any) -> tuple[int, ...]:
    """Note that a parcel has left, and give the orders that have left whole with it.

    An order has left when its last parcel has: only then its pots are sold and leave their spots.

    Raises
    ------
    RefusedByBook
        If a plant of it is not in the box yet, or has died or been cancelled meanwhile.
    """
    numbers = sorted(set(ParcelItem.objects.filter(parcel=key).values_list("order_line__order", flat=True)))
    held = [held_order(number) for number in numbers]
    parcel = _held(key)
    if parcel.state != "packing":
        return ()
    _refuse_unready(parcel)
    save_row(Parcel, key, fields, PARCEL_CHECKS, (), who)
    Parcel.objects.filter(pk=key).update(state="sent", sent_at=now)
    gone = []
    for order in held:
        if order.sent_at is None and not _left_of(order):
            mark_sent(order.pk, who=who, now=now)
            gone.append(order.pk)
    return tuple(gone)


@one_write
def note_arrival(key: int, *, who: str, now: datetime, **fields: Any) -> None:
    """Note how a parcel arrived, or put right what was noted.

    Raises
    ------
    RefusedByBook
        If it is not sent yet, or more plants arrived than were sent.
    """
    parcel = _held(key)
    if parcel.state == "packing":
        raise RefusedByBook(f"Parcel {key} is not sent yet.", str(key))
    row = Arrival.objects.filter(parcel=key).first()
    plants = parcel.items.count()
    alive = fields.get("alive", row.alive if row else None)
    damaged = fields.get("damaged", row.damaged if row else 0)
    if isinstance(alive, int) and alive > plants:
        raise RefusedInput("alive", alive, f"at most the {plants} plants that were sent")
    if isinstance(alive, int) and isinstance(damaged, int) and damaged > alive:
        raise RefusedInput("damaged", damaged, f"at most the {alive} that live")
    _refuse_too_early(parcel, fields)
    save_row(
        Arrival, None if row is None else row.pk, {"parcel": key, **fields}, ARRIVAL_CHECKS,
        ("parcel", "on", "alive"), who,
    )  # fmt: skip
    if parcel.state != "arrived":
        Parcel.objects.filter(pk=key).update(state="arrived")
    for number in set(parcel.items.values_list("order_line__order", flat=True)):
        on_its_way = ParcelItem.objects.filter(order_line__order=number).exclude(parcel__state="arrived")
        order = Order.objects.get(pk=number)
        if order.sent_at is not None and order.arrived_at is None and not on_its_way.exists():
            mark_arrived(number, who=who, now=now)


def _refuse_packs(fields: Mapping[str, Any], standing: int | None) -> None:
    if fields.get("packs") and fields.get("pack", standing) is None:
        raise RefusedInput("packs", fields["packs"], "0, or a kind of heat pack with it")


def _refuse_too_early(parcel: Parcel, fields: Mapping[str, Any]) -> None:
    on = fields.get("on")
    if isinstance(on, date) and parcel.ship_on is not None and on < parcel.ship_on:
        raise RefusedInput("on", on.isoformat(), f"a day from {parcel.ship_on.isoformat()} on")
    low, high = fields.get("logger_low_c"), fields.get("logger_high_c")
    if low is not None and high is not None and low > high:
        raise RefusedInput("logger_low_c", low, "the lowest, not above the highest")


def _put_in(parcel: Parcel, order: Order, pots: Collection[int] | None) -> None:
    """Write pots that the order waits for into the parcel; what is left of older promises is dropped."""
    offers = OfferedPot.objects.filter(LIVE, order_line__order=order).order_by("pk")
    promised = dict(offers.values_list("pot", "order_line"))
    stale = ParcelItem.objects.filter(pot__in=promised, parcel__state="packing")
    stale.filter(~Q(order_line__order=order)).delete()
    taken = set(ParcelItem.objects.filter(pot__in=promised).values_list("pot", flat=True))
    wanted = tuple(pot for pot in promised if pot not in taken) if pots is None else tuple(pots)
    if not wanted:
        raise RefusedByBook(f"Every plant of order {order.pk} is in a parcel.", str(order.pk))
    for pot in wanted:
        if pot not in promised:
            raise RefusedInput("pot", pot, f"a pot that order {order.pk} waits for")
        if pot in taken:
            raise RefusedByBook(f"A pot of order {order.pk} is in another parcel already.", str(pot))
    ParcelItem.objects.bulk_create(
        ParcelItem(parcel=parcel, pot_id=pot, order_line_id=promised[pot]) for pot in wanted
    )


def _refuse_unready(parcel: Parcel) -> None:
    items = parcel.items.all()
    kept = _still_wanted(items)
    if kept.count() < items.count():
        raise RefusedByBook(
            f"A plant of parcel {parcel.pk} died or was cancelled: take it out first.", str(parcel.pk)
        )
    open_ones = kept.aggregate(open=Count("pk", filter=Q(packed_at__isnull=True)))["open"]
    if open_ones:
        plants = "1 plant is" if open_ones == 1 else f"{open_ones} plants are"
        raise RefusedByBook(f"{plants} not in the box yet.", str(parcel.pk))
    if not kept.exists():
        raise RefusedByBook(f"Parcel {parcel.pk} is empty.", str(parcel.pk))


def _still_wanted(items: Any) -> Any:
    """Items whose pot the order line still waits for, or got."""
    own = OfferedPot.objects.filter(LIVE, pot=OuterRef("pot"), order_line=OuterRef("order_line"))
    return items.filter(Exists(own))


def _unpacked_of(order: Order) -> bool:
    """Whether plants of an order are in no box yet."""
    ready = ParcelItem.objects.filter(pot=OuterRef("pot"), packed_at__isnull=False)
    return OfferedPot.objects.filter(~Exists(ready), LIVE, order_line__order=order).exists()


def _left_of(order: Order) -> bool:
    """Whether plants of an order are in no parcel that has left."""
    gone = ParcelItem.objects.filter(pot=OuterRef("pot"), parcel__state__in=_LEFT)
    return OfferedPot.objects.filter(~Exists(gone), LIVE, order_line__order=order).exists()


def _held(key: int) -> Parcel:
    row = Parcel.objects.select_for_update(no_key=True).filter(pk=key).first()
    if row is None:
        raise RefusedInput("parcel", key, "the number of a parcel in the book")
    return row


def _packing(key: int) -> Parcel:
    row = _held(key)
    if row.state != "packing":
        raise RefusedByBook(f"Parcel {key} has left: what is in it stays.", str(key))
    return row
