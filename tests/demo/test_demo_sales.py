"""The demo's sales: something is open, something is sold out, something waits to be packed."""

from datetime import UTC, datetime

import pytest

from halfwater.book import queries
from halfwater.deeds.demo import load_demo

pytestmark = pytest.mark.django_db
NOW = datetime(2026, 11, 20, 15, 0, tzinfo=UTC)


def test_the_demo_sells_what_stands_on_its_floors() -> None:
    """One release is open with a line sold out and one is drafted; each promised pot stands on a spot."""
    load_demo(NOW)
    drafted, opened = sorted(queries.releases(NOW), key=lambda one: one.state)
    assert (drafted.state, opened.state) == ("drafted", "open")
    assert any(line.sold_out_at is not None for line in opened.lines)
    assert any(line.held for line in opened.lines)
    assert {order.state for order in queries.orders()} == {"placed", "paid"}
    pots = [pot for order in queries.orders() for line in order.lines for pot in line.pots]
    assert len({pot.pot for pot in pots}) == len(pots) > 8
    assert all(pot.spot for pot in pots)
    assert all("buyer.example" in order.buyer.contact for order in queries.orders())
