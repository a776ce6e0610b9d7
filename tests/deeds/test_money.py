"""Money: what the accounts are made from, what the page says, and the ledger."""

import csv
from datetime import date, timedelta
from io import StringIO
from uuid import uuid4

import pytest

from halfwater.book import changes, queries
from halfwater.deeds import money, money_sheets, packing
from halfwater.deeds.cost_facts import cost_facts
from halfwater.deeds.notes import Typed, note
from halfwater.deeds.sheet import RefusedSheet
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.costing import TaskDone
from tests.deeds.nurseries import NOW, WHO, a_nursery
from tests.deeds.stocks import a_batch
from tests.deeds.test_packing import goods, packed
from tests.deeds.test_releases import a_release, ordered

pytestmark = pytest.mark.django_db
START = date(2026, 3, 1)


def bought(text: str, amount: str, **typed: str) -> int:
    """Something paid for on the first of March."""
    return money_sheets.save_purchase_sheet(
        {"on": START.isoformat(), "text": text, "amount": amount} | typed, WHO, NOW
    )


def sold(plants: str = "3", postage: str = "") -> int:
    """An order that has left in one box, with its number."""
    goods()
    _, line = a_release("6", is_open=True)
    order = ordered(line, plants, paid="on", postage=postage)
    packing.send_parcel(packed(order.number), {"postage": "5.90"}, WHO, NOW)
    return order.number


def tasks(name: str) -> list[TaskDone]:
    """What was done of a task."""
    return [one for one in cost_facts(NOW).work if one.task == name]


def test_an_order_brings_its_prices_less_fee_and_postage() -> None:
    """Three plants at 9.50 and 6.00 postage charged, 5.90 paid, 2 % and 0.30 taken: to the coin."""
    money_sheets.save_fee_sheet({"text": "Bank", "fixed": "0.30", "share": "2 %"}, WHO)
    number = sold("3", "6.00")
    (order,) = cost_facts(NOW).orders
    assert (order.number, len(order.plants), order.parcels) == (number, 3, 1)
    assert (order.postage_charged_minor, order.postage_paid_minor) == (600, 590)
    assert order.fee_minor == 30 + 69  # 2 % of 34.50
    page = money.money_page(NOW)
    assert page.accounts.all.income_minor == 3 * 950 + 600
    assert page.accounts.all.parts["postage"] == 590
    assert page.accounts.all.parts["fees"] == 99
    assert [one.key for one in page.months][-1] == "2026-11"


def test_every_coin_spent_ends_somewhere() -> None:
    """Rent, a tank's lamp, potting goods and a batch's parents add up to what was spent."""
    sold()
    bought("tank", "120", kind="equipment", tank="North", life_months="60")
    bought("clay", "20", kind="potting", enough_for="100")
    bought("mothers", "35", kind="plants", batch="Nana, March")
    money_sheets.save_charge_sheet({"text": "Rent", "amount": "80", "from": "2026-09-01"}, WHO, NOW)
    went = money.money_page(NOW).accounts.went
    parts = (
        went.sold_minor, went.orders_minor, went.standing_minor, went.lost_minor, went.unused_minor,
        went.store_minor, went.ahead_minor,
    )  # fmt: skip
    assert sum(parts) == went.spent_minor == 12000 + 2000 + 3500 + 3 * 8000 + 590


def test_lamps_draw_by_their_settings_and_entries() -> None:
    """A 30 W lamp at 10 h, halved by an entry after ten days, costs what the tariff says."""
    sold()
    tank = queries.tank_named("North")
    lamp = changes.save_lamp(who=WHO, name="Bar", ppfd_umol_m2_s=60.0, power_w=30.0)
    changes.save_tank(tank.key, who=WHO, lamp=lamp, lamp_hours=10.0, lamp_dimmer_frac=1.0)
    money_sheets.save_tariff_sheet({"price": "0.325", "from": "2020-01-01"}, WHO, NOW)
    note(Typed("lamp", "North", "50% 10h", at="2026-11-11 12:00"), WHO, NOW)
    uses = [one for one in cost_facts(NOW).power if one.tank == tank.key]
    assert [(one.dimmer_frac, one.from_on, one.to_on) for one in uses] == [
        (1.0, tank.set_up_on, date(2026, 11, 11)),
        (0.5, date(2026, 11, 11), None),
    ]
    page = money.money_page(NOW)
    assert page.accounts.kwh["2026-11"] == pytest.approx(0.3 * 10 + 0.15 * 10)
    (tariff,) = queries.tariffs()
    assert tariff.kwh_minor == 32.5


def test_minutes_have_starting_values_until_somebody_times_them() -> None:
    """A noted 40 minutes of packing takes the place of that day's starting minutes, order by order."""
    number = sold()
    (pack,) = tasks("pack")
    assert (pack.count, pack.minutes, pack.order) == (3.0, None, number)
    note(Typed("work", "-", "40 pack"), WHO, NOW)
    (pack,) = tasks("pack")
    assert (pack.count, pack.minutes, pack.order) == (3.0, 40.0, number)
    note(Typed("work", "North", "12.5 min algae"), WHO, NOW)
    (algae,) = tasks("algae")
    assert (algae.minutes, algae.tank) == (12.5, queries.tank_named("North").key)
    with pytest.raises(RefusedInput, match="minutes and a task such as"):
        note(Typed("work", "-", "40 sleeping"), WHO, NOW)
    assert {"mix", "batch", "harvest", "parcel", "trip", "messages", "listing"} - {
        one.task for one in cost_facts(NOW).work
    } == {"mix"}


def test_a_purchase_is_refused_by_field() -> None:
    """What cannot be used in any account is refused before it is written."""
    for field, typed in (
        ("amount", {"amount": "much"}),
        ("kind", {"kind": "sweets"}),
        ("tank", {"kind": "potting", "tank": "North"}),
        ("enough_for", {"kind": "room", "enough_for": "12"}),
        ("ended_on", {"ended_on": "2026-02-01"}),
        ("got_back", {"got_back": "5"}),
    ):
        sold_before = len(queries.purchases())
        if field == "amount":
            a_release("2")
        with pytest.raises((RefusedSheet, RefusedInput)) as refused:
            bought("x", typed.pop("amount", "5"), **typed)
        assert refused.value.field == field
        assert len(queries.purchases()) == sold_before
    assert money_sheets.read_amount("-12.50", "EUR") == -1250


def test_the_ledger_is_a_table_an_accountant_reads() -> None:
    """Rows end with CRLF, amounts are bare, a formula is tamed, days are held to the range asked for."""
    sold()
    bought("=evil()", "10", kind="other")
    rows = list(csv.DictReader(StringIO(money.ledger(NOW), newline="")))
    assert [row["kind"] for row in rows] == ["other", "postage", "sale"]
    assert (rows[0]["text"], rows[0]["out"], rows[2]["in"]) == ("'=evil()", "10.00", "28.50")
    assert money.ledger(NOW).endswith("\r\n")
    later = money.payments(NOW, from_on=NOW.date())
    assert {row.kind for row in later} == {"postage", "sale"}
    with pytest.raises(RefusedInput, match="a day from"):
        money.payments(NOW, date(2026, 5, 1), date(2026, 4, 1))


def test_what_would_pay_is_answered_with_ranges() -> None:
    """Once plants were sold, break-even and what-ifs have numbers; before, the page says why not."""
    a_nursery()
    assert money.money_page(NOW).why_no_break_even.startswith("The book has no tank yet: ")
    with pytest.raises(RefusedByBook, match="The book has no tank yet: what one more would bring"):
        money.what_if_tank({"spots": "20"}, NOW)
    a_release("2")
    assert "was sold in the last twelve months" in money.money_page(NOW).why_no_break_even
    with pytest.raises(RefusedByBook, match="was sold in the last twelve months: what one more would bring"):
        money.what_if_taxon({"name": "Moss", "spots": "4", "days": "100 150 250", "price": "6"}, NOW)
    with pytest.raises(RefusedInput):
        money.what_if_tank({"spots": "0"}, NOW)


def test_what_ifs_of_a_tank_and_a_taxon() -> None:
    """One more tank and one more taxon answer in a sentence with a range."""
    sold()
    page = money.money_page(NOW)
    assert page.break_even is not None
    tank = money.what_if_tank({"spots": "20", "price": "150"}, NOW)
    assert tank.margin_minor.p10 <= tank.margin_minor.p50 <= tank.margin_minor.p90
    taxon = money.what_if_taxon({"name": "Moss", "spots": "4", "days": "100 150 250", "price": "6"}, NOW)
    assert "Moss on 4 spots" in taxon.said
    with pytest.raises(RefusedSheet):
        money.what_if_taxon({"name": "Moss", "spots": "4", "days": "300 150 250", "price": "6"}, NOW)


def test_a_pot_lost_before_it_is_sent_is_owed_not_sold() -> None:
    """The account of an order holds the plants that have a pot."""
    _, line = a_release("3", is_open=True)
    order = ordered(line, "2")
    pot = order.lines[0].pots[0].pot
    changes.lose_pot(pot, "rot", who=WHO, at=NOW, now=NOW, uuid=uuid4())
    (facts,) = cost_facts(NOW + timedelta(days=1)).orders
    assert len(facts.plants) == 1


def test_what_lies_ahead_is_no_part_of_the_accounts() -> None:
    """A batch potted next week, its plants paid for, and a rent from next month leave today's page alone."""
    sold()
    before = money.money_page(NOW).accounts
    ahead = NOW.date() + timedelta(days=7)
    a_batch("Nana, December", 2, ahead)
    bought("mothers", "35", kind="plants", batch="Nana, December")
    bought("later", "9", on=ahead.isoformat())
    charge = {"text": "Rent", "amount": "80", "from": ahead.isoformat()}
    money_sheets.save_charge_sheet(charge, WHO, NOW)
    assert money.money_page(NOW).accounts == before
