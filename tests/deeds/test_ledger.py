"""The ledger: money that really came and went, and what is owed beside it, worked out by hand."""

import csv
from datetime import timedelta
from io import StringIO

import pytest

from halfwater.book import changes
from halfwater.deeds import money, money_sheets, orders, packing
from tests.deeds.nurseries import NOW, WHO
from tests.deeds.test_packing import goods, packed
from tests.deeds.test_releases import a_release, ordered

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def rows(now: object = NOW) -> list[tuple[str, str, int, int, int]]:
    """Day, kind, in, out and owed of each row."""
    found = money.payments(now)  # type: ignore[arg-type]
    return [(f"{one.on:%d}", one.kind, one.in_minor, one.out_minor, one.owed_minor) for one in found]


def test_an_order_is_income_on_the_day_it_is_paid_and_owed_until_then() -> None:
    """Two at 9.50 and 6.00 postage, 2 % and 0.30 of 25.00: owed 25.00; paid two days later 25.00 and 0.80."""
    money_sheets.save_fee_sheet({"text": "Bank", "fixed": "0.30", "share": "2 %"}, WHO)
    _, line = a_release("6", is_open=True)
    number = ordered(line, "2", postage="6").number
    assert rows() == [("20", "owed", 0, 0, 2500)]
    orders.take_step(number, "paid", WHO, NOW + 2 * DAY)
    later = NOW + 3 * DAY
    assert rows(later) == [
        ("22", "fees", 0, 80, 0), ("22", "sale", 1900, 0, 0), ("22", "postage charged", 600, 0, 0),
    ]  # fmt: skip
    assert money.money_page(later).accounts.all.income_minor == 2500


def test_what_was_cancelled_stays_income_until_it_is_paid_back() -> None:
    """Three paid, one cancelled: 28.50 stays in; paid back on another day 9.50 goes out, 19.00 was earned."""
    _, line = a_release("6", is_open=True)
    order = ordered(line, "3", paid="on")
    part = orders.CancelledPart(order.lines[0].key, 1)
    orders.cancel_part(order.number, (part,), "one too many", WHO, NOW + DAY)
    later = NOW + 5 * DAY
    assert rows(later) == [("20", "sale", 2850, 0, 0)]
    changes.pay_back(order.number, 950, who=WHO, now=NOW + 3 * DAY)
    assert rows(later) == [("20", "sale", 2850, 0, 0), ("23", "refund", 0, 950, 0)]
    assert money.money_page(later).accounts.all.income_minor == 1900
    changes.pay_back(order.number, 300, who=WHO, now=NOW + 4 * DAY)
    assert money.money_page(later).accounts.all.income_minor == 1600
    assert sum(row[2] - row[3] for row in rows(later)) == 1600


def test_a_paid_order_that_is_cancelled_does_not_vanish() -> None:
    """Its money and fee stay; cancelled unpaid, nothing ever came."""
    money_sheets.save_fee_sheet({"text": "Bank", "share": "10 %"}, WHO)
    _, line = a_release("6", is_open=True)
    paid, unpaid = ordered(line, "2", paid="on"), ordered(line, "1")
    orders.cancel(paid.number, "moved", WHO, NOW)
    orders.cancel(unpaid.number, "moved", WHO, NOW)
    assert rows() == [("20", "fees", 0, 190, 0), ("20", "sale", 1900, 0, 0)]
    changes.pay_back(paid.number, 1900, who=WHO, now=NOW)
    assert sum(row[2] - row[3] for row in rows()) == -190


def test_others_given_later_are_not_paid_for_twice() -> None:
    """A plant that died after it was paid is replaced: the buyer's money came once."""
    _, line = a_release("6", is_open=True)
    order = ordered(line, "2", paid="on")
    changes.lose_pot(order.lines[0].pots[0].pot, "rot", who=WHO, at=NOW, now=NOW)
    orders.substitute(order.lines[0].key, 1, WHO, NOW + DAY, from_line=line, price="5.00")
    assert [one.plants - one.cancelled for one in orders.known_order(order.number).lines] == [1, 1]
    assert rows(NOW + DAY) == [("20", "sale", 1900, 0, 0)]


def test_postage_goes_out_as_the_parcel_leaves() -> None:
    """Ordered and paid on the 20th, sent two days later for 5.90."""
    goods()
    _, line = a_release("6", is_open=True)
    key = packed(ordered(line, "1", paid="on").number)
    packing.send_parcel(key, {"postage": "5.90"}, WHO, NOW + 2 * DAY)
    assert rows(NOW + 3 * DAY) == [("20", "sale", 950, 0, 0), ("22", "postage", 0, 590, 0)]


def test_what_is_owed_stands_apart_in_the_file() -> None:
    """Rows of orders not paid yet come last, with neither money in nor out, in a column of their own."""
    _, line = a_release("6", is_open=True)
    first = ordered(line, "1")
    ordered(line, "2", paid="on")
    table = list(csv.DictReader(StringIO(money.ledger(NOW), newline="")))
    assert [(row["kind"], row["in"], row["owed"]) for row in table] == [
        ("sale", "19.00", ""),
        ("owed", "", "9.50"),
    ]
    assert table[-1]["text"] == f"order {first.number}, not paid yet"
