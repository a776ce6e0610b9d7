"""What really came in for an order, what went back, and what is owed."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from halfwater.deeds.clock import local_day
from halfwater.plain.costing import PaidMoney
from halfwater.plain.money import ShopFee
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.selling import OrderFacts, OrderLineFacts
from halfwater.planning.cost_ends import fee_minor


def paid_of(order: OrderFacts, nursery: NurseryFacts) -> PaidMoney:
    """The money of an order: all plants that were paid for, those that were cancelled later too.

    One that is not marked as paid brought as much as went back.
    """
    back_on = _refund_on(order, nursery)
    placed_on = local_day(order.placed_at, nursery)
    if order.paid_at is None:
        return PaidMoney(on=placed_on, goods_minor=order.refund_minor, plants=order.plants,
                         refund_minor=order.refund_minor, refund_on=back_on)  # fmt: skip
    bought = [(_paid_plants(line, order.paid_at), line.price_minor) for line in order.lines]
    return PaidMoney(
        on=local_day(order.paid_at, nursery), goods_minor=sum(plants * price for plants, price in bought),
        plants=sum(plants for plants, _ in bought), postage_minor=order.postage_minor,
        refund_minor=order.refund_minor, refund_on=back_on,
    )  # fmt: skip


def owed_of(order: OrderFacts) -> int:
    """What the buyer of an order owes: all of it until it is marked as paid, nothing once it is cancelled."""
    is_over = order.state == "cancelled" or not order.plants or order.paid_at is not None
    return 0 if is_over else order.goods_minor + order.postage_minor


def refund_of_sold(order: OrderFacts, paid: PaidMoney) -> int:
    """Of what was paid back, that for plants which stayed sold: the rest was for cancelled ones."""
    return max(0, order.refund_minor - max(0, paid.goods_minor - order.goods_minor))


def fee_of(order: OrderFacts, fees: Sequence[ShopFee], nursery: NurseryFacts) -> int:
    """What was taken of an order: as noted, else by the newest rule of its channel, or of any.

    A share is of what was paid; of an order that is not paid yet, of what is wanted; of one that was
    cancelled unpaid nothing was taken.
    """
    if order.fee_minor is not None:
        return order.fee_minor
    if order.paid_at is None and (order.state == "cancelled" or not order.plants):
        return 0
    rule = _rule(order, fees, local_day(order.placed_at, nursery))
    if rule is None:
        return 0
    goods = order.goods_minor if order.paid_at is None else paid_of(order, nursery).goods_minor
    return fee_minor(rule, goods, order.postage_minor)


def _rule(order: OrderFacts, fees: Iterable[ShopFee], on: date) -> ShopFee | None:
    valid = [one for one in fees if one.from_on is None or one.from_on <= on]
    own = [one for one in valid if one.channel == order.channel] or [one for one in valid if not one.channel]
    return max(own, key=lambda one: (one.from_on or date.min, one.key)) if own else None


def _paid_plants(line: OrderLineFacts, paid_at: datetime) -> int:
    """Plants of an order line that were paid for.

    What was cancelled before is none of them; others that were given later took the place of some.
    """
    if line.substitutes is not None and line.wanted_at is not None and line.wanted_at > paid_at:
        return 0
    was_before = line.cancelled_at is not None and line.cancelled_at < paid_at
    return line.plants - (line.cancelled if was_before else 0)


def _refund_on(order: OrderFacts, nursery: NurseryFacts) -> date | None:
    """When money went back: as noted, else as plants of it were cancelled, else as it was paid."""
    cancelled = [line.cancelled_at for line in order.lines if line.cancelled_at is not None]
    at = order.refunded_at or order.cancelled_at or max(cancelled, default=None) or order.paid_at
    return None if at is None else local_day(at, nursery)
