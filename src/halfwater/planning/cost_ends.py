"""Where every coin ends: in plants that left, plants that stand, with nobody, in store, or ahead."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.costing import COST_KINDS, CostFacts, FeeRule, SoldOrder, SoldPlant
from halfwater.planning.carried import Carried, carried_costs
from halfwater.planning.cost_frame import Frame, Ints, Rows
from halfwater.planning.cost_intake import Intake, drawn_from_store
from halfwater.planning.pot_days import PotDays
from halfwater.planning.shares import deal_coins, to_coins


@dataclass(frozen=True, slots=True)
class Leaving:
    """A plant that left by sale, or an order that no plant is left of."""

    month: int
    pot: int | None = None  # row
    order: SoldOrder | None = None
    plant: SoldPlant | None = None


@dataclass(frozen=True, slots=True)
class Income:
    """Money that came, or went back, for one that left."""

    leaving: Ints
    month: Ints
    amount_minor: Ints


@dataclass(frozen=True, slots=True)
class Ends:
    """Exact columns of everything that ends somewhere, and the coins of its money."""

    leaving: tuple[Leaving, ...]
    left: Rows  # leaving, columns
    left_minor: Ints  # leaving, kinds of money
    standing: Ints  # pot rows
    stood: Rows
    stood_minor: Ints
    alone: tuple[tuple[int, int], ...]  # batch row, month
    alone_rows: Rows
    alone_minor: Ints
    unused: Rows  # months, columns
    unused_minor: Ints
    store_minor: Ints  # kinds
    ahead_minor: Ints
    untaken: Rows  # minutes for a release that sold nothing
    income: Income
    carried: Carried


def fee_minor(rule: FeeRule, goods_minor: int, postage_minor: int = 0) -> int:
    """Fee of an order by the rule of a shop or bank.

    Parameters
    ----------
    rule : FeeRule
        Fixed sum and share.
    goods_minor : int
        Prices of the plants. [minor]
    postage_minor : int
        Postage charged. [minor]

    Returns
    -------
    int
        The fee, a half coin rounded up. [minor]

    Raises
    ------
    RefusedInput
        If the share is not 0 to 1, or an amount is below 0.

    Notes
    -----
    fixed + share x (goods + postage, if it is taken of that too). An order of 0 still has the fixed sum.

    Source: own definition

    Examples
    --------
    >>> fee_minor(FeeRule(fixed_minor=35, share_frac=0.029), 2000, 600)
    110
    """
    if not 0.0 <= rule.share_frac <= 1.0:
        raise RefusedInput("share_frac", rule.share_frac, "a share from 0 to 1")
    for name, amount in (
        ("fixed_minor", rule.fixed_minor),
        ("goods", goods_minor),
        ("postage", postage_minor),
    ):
        if amount < 0:
            raise RefusedInput(name, amount, "an amount from 0")
    taken_of = goods_minor + (postage_minor if rule.is_on_postage else 0)
    return rule.fixed_minor + int(np.floor(round(rule.share_frac * taken_of, 6) + 0.5))


def cost_ends(frame: Frame, intake: Intake, days: PotDays) -> Ends:
    """Where every coin and minute ends.

    Parameters
    ----------
    frame : Frame
        Days, pots and facts.
    intake : Intake
        What was spent; told what stays in store.
    days : PotDays
        What places cost.

    Returns
    -------
    Ends
        Exact shares and whole coins; each kind of money adds up to what was spent on it.

    Raises
    ------
    RefusedInput
        If a pot is sold twice or unknown, an order makes good one that is not there, or an amount is below 0.

    Notes
    -----
    Coins of a kind of money are dealt once, at the end, over all ends by largest remainder: an exact share
    keeps within one coin however many months it was gathered in, and no pot is favoured month after month.
    Fees are shared by price, postage and packing alike among the plants of an order.

    Source: own definition
    """
    _check_orders(frame.facts.orders)
    carried = carried_costs(frame, days, intake.deposits, _potting(frame, intake))
    leaving = _leaving(frame)
    sold = [one.pot for one in leaving if one.pot is not None]
    left = np.zeros((len(leaving), frame.columns.count))
    has_pot = [place for place, one in enumerate(leaving) if one.pot is not None]
    left[has_pot] = carried.pots[sold]
    _orders_share(frame, intake, leaving, left)
    untaken = _releases_share(frame, intake, leaving, left)
    standing = np.setdiff1d(np.flatnonzero(~frame.is_lost), np.array(sold, dtype=np.int64))
    alone = tuple(sorted(carried.alone))
    alone_rows = np.array([carried.alone[key] for key in alone]).reshape(len(alone), frame.columns.count)
    kinds = len(COST_KINDS)
    store, ahead = np.zeros((1, kinds)), np.zeros((1, kinds))
    for column, kind in enumerate(COST_KINDS):
        store[0, column] = intake.store_minor.get(kind, 0.0)
        ahead[0, column] = intake.ahead_minor[kind]
    money = frame.columns.money
    parts = [
        left[:, money],
        carried.pots[standing][:, money],
        alone_rows[:, money],
        days.unused[:, money],
        store,
        ahead,
    ]
    coins = np.split(_coins(intake, np.concatenate(parts)), np.cumsum([len(part) for part in parts])[:-1])
    return Ends(
        leaving=leaving, left=left, left_minor=coins[0], standing=standing, stood=carried.pots[standing],
        stood_minor=coins[1], alone=alone, alone_rows=alone_rows, alone_minor=coins[2],
        unused=days.unused, unused_minor=coins[3], store_minor=coins[4][0], ahead_minor=coins[5][0],
        untaken=untaken, income=_income(frame, leaving), carried=carried,
    )  # fmt: skip


def _coins(intake: Intake, exact: Rows) -> Ints:
    """Whole coins, kind by kind."""
    columns = [to_coins(exact[:, at], intake.spent_minor[kind]) for at, kind in enumerate(COST_KINDS)]
    return np.stack(columns, axis=1)


def _check_orders(orders: Iterable[SoldOrder]) -> None:
    numbers = {order.number: order for order in orders}
    for order in numbers.values():
        where = f"order {order.number}"
        amounts = (
            order.postage_charged_minor, order.postage_paid_minor, order.fee_minor, order.refund_minor,
            order.parcels,
            *(amount for plant in order.plants for amount in (plant.price_minor, plant.refund_minor)),
        )  # fmt: skip
        if min(amounts) < 0:
            raise RefusedInput("order", min(amounts), "amounts and parcels from 0", where)
        seen = {order.number}
        while order.makes_good is not None:
            if order.makes_good in seen or order.makes_good not in numbers:
                raise RefusedInput("makes_good", order.makes_good, "another order of the accounts", where)
            seen.add(order.makes_good)
            order = numbers[order.makes_good]


def _potting(frame: Frame, intake: Intake) -> Rows:
    """What each pot took from the store as it was potted."""
    own = np.zeros((len(frame.pots), frame.columns.count))
    order = np.argsort(frame.potted, kind="stable")
    cost = drawn_from_store(frame, intake, "potting", frame.potted[order].tolist())
    own[order, frame.columns.kind("potting")] = cost
    return own


def _leaving(frame: Frame) -> tuple[Leaving, ...]:
    """Plants of orders, pots sold without an order, and orders without a plant."""
    found: list[Leaving] = []
    sold_in: dict[int, int] = {}
    for order in frame.facts.orders:
        month = frame.calendar.month_of(order.on)
        plants = () if order.is_cancelled else order.plants
        for plant in plants:
            pot = None
            if plant.pot is not None:
                if plant.pot not in frame.pot_rows:
                    raise RefusedInput("pot", plant.pot, "a pot of the accounts", f"order {order.number}")
                pot = frame.pot_rows[plant.pot]
                if pot in sold_in:
                    both = f"orders {sold_in[pot]} and {order.number}"
                    raise RefusedInput("pot", frame.pots[pot].name, "a pot that is sold once", both)
                sold_in[pot] = order.number
            found.append(Leaving(month, pot, order, plant))
        if not plants:
            found.append(Leaving(month, order=order))
    for row, pot_facts in enumerate(frame.pots):
        if pot_facts.state == "sold" and row not in sold_in:
            found.append(Leaving(int(frame.calendar.month[frame.left[row]]), row))
    return tuple(found)


def _by_order(leaving: tuple[Leaving, ...]) -> dict[int, tuple[SoldOrder, list[int]]]:
    """Each order with the places of what left in it."""
    found: dict[int, tuple[SoldOrder, list[int]]] = {}
    for place, one in enumerate(leaving):
        if one.order is not None:
            found.setdefault(one.order.number, (one.order, []))[1].append(place)
    return found


def _prices(leaving: tuple[Leaving, ...], places: list[int]) -> list[int]:
    """Weights for what goes by price; all alike where everything was given."""
    prices = [one.price_minor if (one := leaving[place].plant) else 0 for place in places]
    return prices if any(prices) else [1] * len(prices)


def _orders_share(frame: Frame, intake: Intake, leaving: tuple[Leaving, ...], left: Rows) -> None:
    """Fees, postage, packing and minutes of each order to its plants."""
    columns, orders = frame.columns, _by_order(leaving)
    fees, postage = columns.kind("fees"), columns.kind("postage")
    unknown = set(intake.for_orders) - set(orders)
    if unknown:
        raise RefusedInput("order", min(unknown), "an order of the accounts", "minutes")
    packed: list[tuple[int, int]] = []
    for number, (order, places) in orders.items():
        prices = _prices(leaving, places)
        for place, price in zip(places, prices, strict=True):
            left[place, fees] += order.fee_minor * price / sum(prices)
            left[place, postage] += order.postage_paid_minor / len(places)
        if number in intake.for_orders:
            left[places] += intake.for_orders[number] / len(places)
        intake.spent_minor["fees"] += order.fee_minor
        intake.spent_minor["postage"] += order.postage_paid_minor
        if not order.is_cancelled:
            packed += [(frame.calendar.day(order.on), number)] * order.parcels
    packed.sort()
    cost = drawn_from_store(frame, intake, "packing", [day for day, _ in packed])
    for (_, number), amount in zip(packed, cost.tolist(), strict=True):
        places = orders[number][1]
        left[places, columns.kind("packing")] += amount / len(places)


def _releases_share(frame: Frame, intake: Intake, leaving: tuple[Leaving, ...], left: Rows) -> Rows:
    """Minutes of a release to its plants alike; what a release without plants took is handed back."""
    sold: dict[int, list[int]] = defaultdict(list)
    for place, one in enumerate(leaving):
        if one.order is not None and one.plant is not None and one.order.release is not None:
            sold[one.order.release].append(place)
    untaken = np.zeros(frame.columns.count)
    for release, row in intake.for_releases.items():
        places = sold.get(release, [])
        if places:
            left[places] += row / len(places)
        else:
            untaken += row
    return untaken


def _income(frame: Frame, leaving: tuple[Leaving, ...]) -> Income:
    """Prices and postage on the day of the order, refunds on theirs."""
    rows: list[tuple[int, int, int]] = []
    for order, places in _by_order(leaving).values():
        month = frame.calendar.month_of(order.on)
        if order.is_cancelled:
            continue
        postage = _dealt(order.postage_charged_minor, [1] * len(places))
        refunds = _dealt(order.refund_minor, _prices(leaving, places))
        refund_month = frame.calendar.month_of(order.refund_on or order.on)
        for place, charged, refund in zip(places, postage, refunds, strict=True):
            plant = leaving[place].plant
            rows.append((place, month, charged + (plant.price_minor if plant else 0)))
            if refund:
                rows.append((place, refund_month, -refund))
            if plant and plant.refund_minor:
                rows.append(
                    (place, frame.calendar.month_of(plant.refund_on or order.on), -plant.refund_minor)
                )
    table = np.array(rows, dtype=np.int64).reshape(-1, 3)
    return Income(table[:, 0], table[:, 1], table[:, 2])


def _dealt(amount_minor: int, weights: list[int]) -> list[int]:
    """Most orders are of one plant: it gets all."""
    return [amount_minor] if len(weights) == 1 else deal_coins(amount_minor, weights).tolist()


def root_order(facts: CostFacts) -> dict[int, SoldOrder]:
    """Each order's number with the order its plants belong to: those that make good belong to the first.

    Parameters
    ----------
    facts : CostFacts
        With orders that have been found possible.

    Returns
    -------
    dict of int to SoldOrder
        By number.

    Notes
    -----
    An order that makes nothing good is its own. There is no number to be 0 or nan.

    Source: own definition
    """
    numbers = {order.number: order for order in facts.orders}
    found = {}
    for number, order in numbers.items():
        first = order
        while first.makes_good is not None:
            first = numbers[first.makes_good]
        found[number] = first
    return found
