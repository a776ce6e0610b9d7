"""The ledger: every payment in the order of its days, for whoever does the books."""

from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np

from halfwater.plain.costing import CostFacts, LedgerRow, PaidMoney, SoldOrder
from halfwater.planning.cost_frame import Frame, cost_frame
from halfwater.planning.cost_intake import cost_intake, monthly_payments
from halfwater.planning.shares import to_coins


def ledger_rows(facts: CostFacts, with_power: bool = True) -> tuple[LedgerRow, ...]:
    """Payments one by one, as money went in and out.

    Amounts are as paid, tax and all: what of it is tax is left to the accountant.

    Parameters
    ----------
    facts : CostFacts
        All that was paid and sold.
    with_power : bool
        Whether power is in it, month by month as reckoned by tariff and hours. Its own bill is no purchase
        here, so one who books the bill leaves the reckoned rows out.

    Returns
    -------
    tuple of LedgerRow
        By day; each has money in or money out, never both, and none is of 0. After them, by day, what buyers
        owe: no money went yet.

    Raises
    ------
    RefusedInput
        If something in the facts cannot be: see `cost_frame` and `cost_intake`.

    Notes
    -----
    An order comes in on the day it was paid, with the plants that were cancelled later: what of them was
    not paid back stays in. Its fee goes out that day, postage as its first parcel leaves, refunds on
    theirs. Where nothing says how it was paid, its plants and postage come in on its day; of a cancelled
    one that much as went back. All out less all that stands, is in store or is ahead is the cost in the
    accounts, once every order is paid and what was cancelled is paid back.

    Source: own definition
    """
    frame = cost_frame(facts)
    rows = [*_bought(facts), *(row for order in facts.orders for row in _sold(order))]
    if with_power:
        rows += _power(frame)
    seen = [row for row in rows if row.in_minor or row.out_minor or row.owed_minor]
    return tuple(sorted(seen, key=lambda row: (row.owed_minor > 0, row.on, row.order or 0)))


def _row(on: date, kind: str, text: str, out_minor: int, order: int | None = None) -> LedgerRow:
    """Money out, or in where it is below 0."""
    return LedgerRow(
        on=on, kind=kind, text=text, in_minor=max(-out_minor, 0), out_minor=max(out_minor, 0), order=order
    )


def _bought(facts: CostFacts) -> Iterator[LedgerRow]:
    for one in (*facts.purchases, *monthly_payments(facts)):
        yield _row(one.on, one.kind, one.text, one.amount_minor)
        if one.ended_on is not None:
            yield _row(one.ended_on, one.kind, f"{one.text}, given away", -one.got_back_minor)


def _sold(order: SoldOrder) -> Iterator[LedgerRow]:
    number, name = order.number, f"order {order.number}"
    if order.owed_minor:
        yield LedgerRow(
            on=order.on, kind="owed", text=f"{name}, not paid yet", order=number, owed_minor=order.owed_minor
        )
    else:
        yield _row(order.paid.on if order.paid else order.on, "fees", name, order.fee_minor, number)
    yield _row(order.postage_paid_on or order.on, "postage", name, order.postage_paid_minor, number)
    yield from _came_in(order) if order.paid is None else _paid(order, order.paid)


def _paid(order: SoldOrder, paid: PaidMoney) -> Iterator[LedgerRow]:
    """Money as it came and went."""
    number, name = order.number, f"order {order.number}"
    later = ", cancelled later" if order.is_cancelled else ""
    yield _row(paid.on, "sale", f"{name}, {_plants(paid.plants)}{later}", -paid.goods_minor, number)
    yield _row(paid.on, "postage charged", name, -paid.postage_minor, number)
    yield _row(paid.refund_on or paid.on, "refund", name, paid.refund_minor, number)


def _came_in(order: SoldOrder) -> Iterator[LedgerRow]:
    """What came in and went back where nothing says how it was paid."""
    number, name = order.number, f"order {order.number}"
    if order.is_cancelled:
        yield _row(order.on, "sale", f"{name}, cancelled later", -order.refund_minor, number)
    else:
        goods = sum(plant.price_minor for plant in order.plants)
        yield _row(order.on, "sale", f"{name}, {_plants(len(order.plants))}", -goods, number)
        yield _row(order.on, "postage charged", name, -order.postage_charged_minor, number)
        for plant in order.plants:
            yield _row(plant.refund_on or order.on, "refund", f"{name}, a plant", plant.refund_minor, number)
    yield _row(order.refund_on or order.on, "refund", name, order.refund_minor, number)


def _plants(count: int) -> str:
    return "1 plant" if count == 1 else f"{count} plants"


def _power(frame: Frame) -> list[LedgerRow]:
    """Power by months, to the coin of its whole."""
    intake, calendar = cost_intake(frame), frame.calendar
    daily = intake.daily[:, :, frame.columns.kind("power")].sum(axis=0)
    by_month = np.bincount(calendar.month, daily, len(calendar.months))
    coins = to_coins(by_month, intake.spent_minor["power"]).tolist()
    last = np.searchsorted(calendar.month, np.arange(len(coins)), side="right") - 1
    begins = date.fromordinal(calendar.first)
    return [
        LedgerRow(
            on=begins + timedelta(days=int(day)), kind="power", text=f"power of {month}, reckoned",
            out_minor=amount, is_reckoned=True,
        )
        for month, amount, day in zip(calendar.months, coins, last, strict=True)
    ]  # fmt: skip
