"""All that the accounts are made from, gathered from the book."""

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from datetime import date, datetime
from typing import Any, TypeVar

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.cost_power import ended_on, lamp_power
from halfwater.deeds.cost_work import work_done
from halfwater.deeds.order_money import fee_of, owed_of, paid_of, refund_of_sold
from halfwater.deeds.parcel_advice import load_of, weight_of
from halfwater.plain.costing import (
    CostBatch,
    CostFacts,
    CostPot,
    CostTank,
    MonthlyCharge,
    ParentShare,
    PowerUse,
    Purchase,
    SoldOrder,
    SoldPlant,
    Tariff,
)
from halfwater.plain.money import ShopFee
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.packing import ParcelFacts, PlantRoom
from halfwater.plain.selling import OrderFacts
from halfwater.plain.stock import BatchFacts, StandingPot
from halfwater.plain.tank import TankFacts

_Row = TypeVar("_Row")


def cost_facts(now: datetime) -> CostFacts:
    """The nursery up to today, as the accounts see it; what lies ahead is left out."""
    nursery = queries.nursery()
    on = local_day(now, nursery)
    tanks, parcels = queries.tanks(in_use=None), queries.parcels()
    orders = tuple(one for one in queries.orders() if local_day(one.placed_at, nursery) <= on)
    batches = tuple(one for one in queries.batches() if one.potted_on <= on)
    known = {one.key for one in batches}
    return CostFacts(
        on=on,
        currency=nursery.currency,
        tanks=tuple(_tank(tank, nursery) for tank in tanks),
        **_stock(batches, on),
        purchases=tuple(
            _bought(one, on)
            for one in queries.purchases()
            if one.on <= on and (one.batch is None or one.batch in known)
        ),
        charges=tuple(_bare(MonthlyCharge, one) for one in queries.charges() if one.from_on <= on),
        tariffs=tuple(_bare(Tariff, one) for one in queries.tariffs() if one.from_on <= on),
        power=(
            *lamp_power(tanks, on, nursery),
            *(_bare(PowerUse, one) for one in queries.power_uses() if one.from_on <= on),
        ),
        work=work_done(on, batches, orders, parcels, queries.releases(now), nursery),
        orders=sold_orders(orders, parcels, nursery),
        hour_minor=queries.cutting_habit().hour_minor,
    )


def _stock(batches: Sequence[BatchFacts], on: date) -> dict[str, Any]:
    """Batches, their pots, where these stood and who was cut for whom."""
    known = {one.key for one in batches}
    pots = [pot for pot in queries.standing_pots(gone=True) if pot.batch in known and pot.potted_on <= on]
    there = {pot.key for pot in pots}
    return {
        "batches": tuple(
            CostBatch(
                key=one.key,
                name=one.name,
                taxon=one.taxon,
                taxon_name=one.taxon_name,
                potted_on=one.potted_on,
            )
            for one in batches
        ),
        "pots": _pots(pots),
        "stays": tuple(stay for stay in queries.stays() if stay.pot in there and stay.from_on <= on),
        "parents": tuple(
            ParentShare(batch=batch, parent_batch=parent.batch, parent_pot=parent.pot)
            for batch, parent in queries.lineage()
            if {batch, parent.batch} <= known and (parent.pot is None or parent.pot in there)
        ),
    }


def sold_orders(
    orders: Sequence[OrderFacts], parcels: Sequence[ParcelFacts], nursery: NurseryFacts
) -> tuple[SoldOrder, ...]:
    """Orders as the accounts see them, with the fees of their channels and the postage of their parcels."""
    fees, paid, boxes = queries.fees(), postage_paid(parcels), _boxes(parcels)
    left_on = _left_on(parcels, nursery)
    return tuple(
        replace(
            _order(one, nursery, fees, paid.get(one.number, 0), boxes.get(one.number, 1)),
            postage_paid_on=left_on.get(one.number),
        )
        for one in sorted(orders, key=lambda one: one.number)
    )


def _left_on(parcels: Sequence[ParcelFacts], nursery: NurseryFacts) -> dict[int, date]:
    """The day on which the first parcel of each order left."""
    found: dict[int, date] = {}
    for parcel in parcels:
        if parcel.sent_at is not None:
            on = local_day(parcel.sent_at, nursery)
            found |= {number: min(on, found.get(number, on)) for number in parcel.orders}
    return found


def postage_paid(parcels: Sequence[ParcelFacts]) -> dict[int, int]:
    """What the parcels that left cost to send, by order: as noted, else by the bands of their box.

    A parcel of several orders is shared by plants, the coins that are left over go to the first.
    """
    room = queries.plant_room()
    found: dict[int, int] = {}
    for parcel in parcels:
        if parcel.sent_at is None or not parcel.items:
            continue
        postage = band_of(parcel, room) if parcel.postage_paid_minor is None else parcel.postage_paid_minor
        left = postage
        for number in reversed(parcel.orders):
            plants = sum(item.order == number for item in parcel.items)
            share = left if number == parcel.orders[0] else postage * plants // parcel.plants
            found[number] = found.get(number, 0) + share
            left -= share
    return found


def band_of(parcel: ParcelFacts, room: PlantRoom) -> int:
    """What a parcel costs to send by the bands of its box; 0 where none is written down."""
    if parcel.box is None or not parcel.box.box.postage:
        return 0
    box = parcel.box.box
    weight = parcel.weight_kg or weight_of(load_of(parcel.items, box, room), box)
    fit = [band.cost_minor for band in box.postage if weight <= band.most_kg]
    return fit[0] if fit else box.postage[-1].cost_minor


def _order(
    order: OrderFacts, nursery: NurseryFacts, fees: Sequence[ShopFee], postage: int, boxes: int
) -> SoldOrder:
    is_cancelled = order.state == "cancelled" or not order.plants
    paid = paid_of(order, nursery)
    return SoldOrder(
        number=order.number,
        on=local_day(order.placed_at, nursery),
        plants=() if is_cancelled else _plants(order),
        release=order.release,
        release_name=order.release_name,
        postage_charged_minor=0 if is_cancelled else order.postage_minor,
        postage_paid_minor=postage,
        fee_minor=fee_of(order, fees, nursery),
        parcels=0 if is_cancelled else boxes,
        refund_minor=order.refund_minor if is_cancelled else refund_of_sold(order, paid),
        refund_on=paid.refund_on,
        is_cancelled=is_cancelled,
        paid=paid,
        owed_minor=owed_of(order),
    )


def _plants(order: OrderFacts) -> tuple[SoldPlant, ...]:
    """Plants of an order that have a pot; those that are missing are owed, not sold."""
    return tuple(
        SoldPlant(
            price_minor=line.price_minor, taxon=line.taxon, taxon_name=line.taxon_name, grade=line.grade,
            pot=pot.pot,
        )
        for line in order.lines
        for pot in line.pots
    )  # fmt: skip


def _boxes(parcels: Sequence[ParcelFacts]) -> dict[int, int]:
    """Boxes by order; one that serves several counts with the first."""
    found: dict[int, int] = {}
    for parcel in parcels:
        for at, number in enumerate(parcel.orders):
            found[number] = found.get(number, 0) + (at == 0)
    return found


def _tank(tank: TankFacts, nursery: NurseryFacts) -> CostTank:
    floor_m2 = tank.length_mm * tank.width_mm / 1e6
    spots = len(queries.spots(tank.key)) or tank.pots or 1
    return CostTank(
        key=tank.key, name=tank.name, spots=spots, floor_m2=floor_m2, from_on=tank.set_up_on,
        to_on=ended_on(tank, nursery),
    )  # fmt: skip


def _pots(pots: Sequence[StandingPot]) -> tuple[CostPot, ...]:
    kept = queries.kept_days()
    return tuple(
        CostPot(
            key=pot.key, name=pot.name, batch=pot.batch, state=pot.state, potted_on=pot.potted_on,
            left_on=pot.left_on, grade=pot.grade, kept_on=_kept_on(pot, kept),
        )
        for pot in pots
    )  # fmt: skip


def _kept_on(pot: StandingPot, kept: Mapping[int, date]) -> date | None:
    """Since when a pot is a parent; where no entry tells, since it was potted."""
    if pot.key in kept:
        return max(kept[pot.key], pot.potted_on)
    return pot.potted_on if pot.state == "kept" else None


def _bought(bought: Purchase, on: date) -> Purchase:
    """A purchase as it stands on a day: what ends later has not ended."""
    bare = _bare(Purchase, bought)
    if bare.ended_on is not None and bare.ended_on > on:
        return replace(bare, ended_on=None, got_back_minor=0)
    return bare


def _bare(kind: type[_Row], row: Any) -> _Row:
    """A row without what the book knows beside it."""
    return kind(**{field.name: getattr(row, field.name) for field in fields(kind)})  # type: ignore[arg-type]
