"""A small book from entries to accounts, reckoned on paper to the coin."""

from datetime import UTC, date, datetime

import pytest

from halfwater.book import changes
from halfwater.deeds import money, money_sheets, orders
from halfwater.deeds.cost_facts import cost_facts
from tests.book.shops import an_order
from tests.deeds.nurseries import NOW, WHO, a_nursery, a_tank
from tests.deeds.stocks import a_batch, pot_on

pytestmark = pytest.mark.django_db
SEPTEMBER = "2026-09-01"


def noon(month: int, day: int) -> datetime:
    """Noon of a day of 2026."""
    return datetime(2026, month, day, 12, tzinfo=UTC)


def test_three_pots_a_rent_a_loss_and_a_sale() -> None:
    """Rent of 30.00 a month and 6.00 of clay for three pots: one lost on 1 October, one sold on 10 November.

    September 30.00 / 3 = 10.00 each, October 30.00 / 2 = 15.00 each. Of November 20.00 until the 20th, 10.00
    is ahead: 9 and 20 pot-days, 20.00 / 29 a pot-day, so 6.21 and 13.79. Clay 2.00 each. The lost one leaves
    12.00, 6.00 to each of the others. Sold: 10 + 15 + 6.21 + 2 + 6 = 39.21. Standing: 46.79.
    """
    a_nursery()
    changes.load_starting_taxa(who=WHO)
    changes.set_spots(a_tank("North", pots=3, set_up_on=date(2026, 9, 1)), ["A1", "A2", "A3"])
    a_batch("Nana", 3, date(2026, 9, 1))
    clay = {"on": SEPTEMBER, "kind": "potting", "text": "clay", "amount": "6", "enough_for": "3"}
    money_sheets.save_purchase_sheet(clay, WHO, NOW)
    rent = {"kind": "room", "text": "rent", "amount": "30", "from": SEPTEMBER, "tank": "North"}
    money_sheets.save_charge_sheet(rent, WHO, NOW)
    sold, lost = pot_on("A2").key, pot_on("A3").key
    changes.lose_pot(lost, "rot", who=WHO, at=noon(10, 1), now=noon(10, 1))
    sale = an_order(pots=((sold, 950),), postage_minor=500, is_paid=True)
    number = changes.place_order(sale, who=WHO, now=noon(11, 9)).number
    orders.take_step(number, "sent", WHO, noon(11, 10))
    found = money.accounts_of(cost_facts(NOW))
    went = found.went
    ends = (went.spent_minor, went.sold_minor, went.standing_minor, went.lost_minor, went.ahead_minor)
    assert ends == (9600, 3921, 4679, 0, 1000)
    assert (found.all.income_minor, found.all.cost_minor, found.all.margin_minor) == (1450, 3921, 1450 - 3921)
    assert [(one.plants, one.cost_minor) for one in found.losses] == [(1, 1200)]
    assert found.all.sold == 1
    paid = [(one.kind, one.in_minor, one.out_minor) for one in money.payments(NOW)]
    assert paid == [
        ("potting", 0, 600), ("room", 0, 3000), ("room", 0, 3000), ("room", 0, 3000),
        ("sale", 950, 0), ("postage charged", 500, 0),
    ]  # fmt: skip
