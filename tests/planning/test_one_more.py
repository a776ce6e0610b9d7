"""Ledger, break-even and what-ifs: against sums, and nurseries whose usual month is known."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.costing import MonthlyCharge, PowerUse, Purchase, SoldPlant, Tariff, TaskDone
from halfwater.plain.growing import Span
from halfwater.plain.stock import Stay
from halfwater.planning.costing import accounts
from halfwater.planning.ledger import ledger_rows
from halfwater.planning.one_more import NewTank, NewTaxon, one_more_tank, one_more_taxon
from halfwater.planning.usual_month import YEAR_MONTH_DAYS, break_even, break_even_of, usual_month
from tests.planning.cost_nurseries import BEGINS, ON, any_nursery, batch, nursery, pots, sale, stays, tank


def _steady():
    """Two tanks of ten spots, five in use; plants stand 50 days, sell for 10.00 and are replaced at once."""
    rounds, first = 12, date(2025, 11, 1)
    batches, everyone, stood, orders = [], [], [], []
    for turn in range(rounds):
        on = first + timedelta(days=50 * turn)
        made, off = batch(turn + 1, on), on + timedelta(days=50)
        cut = pots(made, 5, 100 * turn, state="sold", left_on=off)
        batches.append(made)
        everyone += cut
        stood += [Stay(pot.key, 1 + n % 2, "A1", on, off) for n, pot in enumerate(cut)]
        orders.append(
            sale(turn + 1, cut, off, fee_minor=250, postage_charged_minor=500, postage_paid_minor=500)
        )
    last = first + timedelta(days=50 * rounds)
    return nursery(
        batches,
        everyone,
        stood,
        on=last,
        orders=tuple(orders),
        tanks=(tank(1), tank(2)),
        charges=(
            MonthlyCharge(kind="feed", text="feed", amount_minor=3000, from_on=first, tank=1),
            MonthlyCharge(kind="feed", text="feed", amount_minor=3000, from_on=first, tank=2),
        ),
        work=tuple(
            TaskDone(on=first + timedelta(days=n), task="spray", minutes=2.0, tank=1 + n % 2)
            for n in range(50 * rounds)
        ),
    )


@pytest.mark.parametrize("seed", range(5))
def test_the_ledger_and_the_accounts_tell_of_the_same_money(seed):
    """Money in less money out is the margin less what plants, store and things ahead still hold."""
    facts = any_nursery(seed)
    order = sale(90, [], ON, fee_minor=63, postage_paid_minor=80, is_cancelled=True, refund_minor=900)
    facts = replace(
        facts,
        orders=(*facts.orders, order),
        charges=(MonthlyCharge(kind="room", text="rent", amount_minor=777, from_on=BEGINS),),
        power=(PowerUse(from_on=BEGINS, power_w=37.0, hours=11.0),),
        tariffs=(Tariff(from_on=BEGINS, kwh_minor=31.7),),
    )
    rows, found = ledger_rows(facts), accounts(facts, draws=5)
    balance = sum(row.in_minor - row.out_minor for row in rows)
    held = found.went.standing_minor + found.went.store_minor + found.went.ahead_minor
    assert balance == found.all.margin_minor - held
    assert [row.on for row in rows] == sorted(row.on for row in rows)
    assert all((row.in_minor > 0) != (row.out_minor > 0) for row in rows)
    unreckoned = ledger_rows(facts, with_power=False)
    assert [row for row in rows if not row.is_reckoned] == list(unreckoned)


def test_an_order_in_the_ledger():
    """Goods and postage in, fee, postage and refunds out, each on its day."""
    here = batch()
    one = pots(here, 1, state="sold", left_on=date(2026, 2, 1))
    plant = SoldPlant(price_minor=1000, taxon=1, pot=1, refund_minor=300, refund_on=date(2026, 2, 9))
    order = replace(
        sale(4, one, date(2026, 2, 1), postage_charged_minor=500, postage_paid_minor=650, fee_minor=63),
        plants=(plant,),
    )
    rows = ledger_rows(nursery([here], one, stays(one), orders=(order,)))
    assert [(row.kind, row.in_minor, row.out_minor) for row in rows] == [
        ("fees", 0, 63),
        ("postage", 0, 650),
        ("sale", 1000, 0),
        ("postage charged", 500, 0),
        ("refund", 0, 300),
    ]
    assert rows[-1].on == date(2026, 2, 9)
    assert {row.order for row in rows} == {4}


def test_charges_are_paid_on_their_day_of_the_month():
    """Rent from the 31st falls on the last day of short months, and ends before its end."""
    rent = MonthlyCharge(
        kind="room", text="rent", amount_minor=5, from_on=date(2026, 1, 31), to_on=date(2026, 4, 30)
    )
    days = [row.on for row in ledger_rows(nursery([], [], [], charges=(rent,)))]
    assert days == [date(2026, 1, 31), date(2026, 2, 28), date(2026, 3, 31)]


def test_a_usual_month_of_a_steady_nursery():
    """Five plants every 50 days, each with 50 pot-days: a quarter of the spots, a minute a day a tank."""
    usual = usual_month(_steady(), draws=50)
    assert usual.used_frac == pytest.approx(0.25, rel=0.01)
    assert usual.sold_a_month == pytest.approx(5 * YEAR_MONTH_DAYS / 50, rel=0.15)
    assert usual.pot_days == pytest.approx(np.full(50, 50.0))
    assert usual.income_minor == pytest.approx(np.full(50, 1100.0))
    assert usual.plant_minor == pytest.approx(np.full(50, 150.0))
    assert usual.tank_minor == pytest.approx(3000.0, rel=0.03)
    assert usual.tank_min == pytest.approx(np.full(50, YEAR_MONTH_DAYS), rel=0.01)
    assert (usual.plant_min == 0.0).all()


def test_one_more_tank_runs_as_the_others():
    """Twenty spots used to a quarter give three plants a month; its price is paid back by what they leave."""
    found = one_more_tank(_steady(), NewTank(spots=20, bought_minor=12_000, life_months=60))
    plants = 20 * 0.25 * YEAR_MONTH_DAYS / 50.0
    assert found.plants_a_month.p50 == pytest.approx(plants, rel=0.02)
    margin = plants * 950.0 - 3000.0 - 200.0
    assert found.margin_minor.p50 == pytest.approx(margin, abs=150.0)
    assert found.p_loses == float(margin < 0.0) == 1.0
    assert found.paid_back_months is None
    assert "may never pay back" in found.said
    better = one_more_tank(_steady(), NewTank(spots=80, bought_minor=12_000))
    assert better.paid_back_months.p50 == pytest.approx(
        50.0 / YEAR_MONTH_DAYS + 12_000 / (4.0 * plants * 950.0 - 3000.0), rel=0.05
    )
    assert better.hour_minor.p50 == pytest.approx(better.margin_minor.p50 * 60.0 / better.minutes.p50)
    assert one_more_tank(_steady(), NewTank(spots=80, sold_frac=0.0)).income_minor.p90 == 0.0


def test_one_more_taxon_takes_free_spots_before_it_takes_others():
    """On free spots it gives up nothing; on more it gives up what a spot leaves now."""
    slow = NewTaxon(
        name="Bucephalandra", spots=20, grow_days=Span(90.0, 100.0, 115.0), loss_frac=0.2, price_minor=1500
    )
    free = one_more_taxon(_steady(), slow)
    plants = 20 * YEAR_MONTH_DAYS * 0.8 / 100.0
    assert free.plants_a_month.p50 == pytest.approx(plants, rel=0.02)
    assert free.margin_minor.p50 == pytest.approx(plants * (1600.0 - 150.0), rel=0.02)
    full = one_more_taxon(_steady(), replace(slow, spots=40))
    given_up = 20 * YEAR_MONTH_DAYS / 50.0 * 950.0
    assert full.margin_minor.p50 == pytest.approx(2 * plants * 1450.0 - given_up, rel=0.02)
    capped = one_more_taxon(_steady(), replace(slow, most_a_month=2.0))
    assert capped.plants_a_month == Span(2.0, 2.0, 2.0)


def test_few_plants_give_a_wide_answer_that_says_so():
    """Three plants sold at different prices: a range, and a word that they are few."""
    here = batch()
    three = pots(here, 3, state="sold", left_on=date(2026, 2, 1))
    orders = tuple(sale(n + 1, [pot], date(2026, 2, 1), 500 * (n + 1)) for n, pot in enumerate(three))
    found = one_more_tank(nursery([here], three, stays(three), orders=orders), NewTank(spots=40))
    assert found.income_minor.p10 < 0.95 * found.income_minor.p90
    assert "only 3 plants" in found.said


def test_break_even():
    """120.00 a month at 6.00 left of a plant take 20 plants; a plant that leaves nothing never pays."""
    found = break_even(12_000.0, 600.0, 25.0, "EUR")
    assert found.plants_a_month == 20.0
    assert found.said.startswith("20 plants a month pay for 120.00 EUR")
    assert break_even(12_000.0, 0.0, 25.0, "EUR").plants_a_month is None
    assert break_even(0.0, -5.0, 0.0, "EUR").plants_a_month == 0.0
    assert break_even(0.0, 600.0, 0.0, "EUR").said.startswith("Nothing is noted that is paid")
    assert break_even(600.0, 600.0, 0.0, "EUR").said.startswith("1 plant a month pays for 6.00 EUR;")
    steady = break_even_of(_steady())
    assert steady.plants_a_month == pytest.approx(6000.0 / 950.0, rel=0.03)
    assert steady.plants_now_a_month == pytest.approx(5 * YEAR_MONTH_DAYS / 50, rel=0.15)


def test_what_if_nothing_was_sold_is_refused():
    """Without a plant sold nobody knows what one more tank would bring; odd tanks and taxa: refused."""
    here = batch()
    one = pots(here, 1)
    days = Span(90.0, 100.0, 110.0)
    with pytest.raises(RefusedInput):
        one_more_tank(nursery([here], one, stays(one)), NewTank(spots=40))
    for odd in (NewTank(spots=0), NewTank(spots=1, sold_frac=1.5)):
        with pytest.raises(RefusedInput):
            one_more_tank(_steady(), odd)
    taxon = NewTaxon(name="x", spots=5, grow_days=days, loss_frac=0.1, price_minor=100)
    for change in (
        {"loss_frac": 1.0},
        {"grow_days": Span(0.0, 1.0, 2.0)},
        {"spots": 0},
        {"most_a_month": float("nan")},
    ):
        with pytest.raises(RefusedInput):
            one_more_taxon(_steady(), replace(taxon, **change))
    with pytest.raises(RefusedInput):
        break_even(float("nan"), 1.0, 1.0, "EUR")
    with pytest.raises(RefusedInput):
        usual_month(_steady(), months=0)


def test_a_purchase_with_money_back_stands_twice_in_the_ledger():
    """What was paid on its day, what came back on the day it ended."""
    lamp = Purchase(
        on=BEGINS, kind="equipment", text="lamp", amount_minor=900, ended_on=ON, got_back_minor=200
    )
    rows = ledger_rows(nursery([], [], [], purchases=(lamp,)))
    assert [(row.on, row.in_minor, row.out_minor) for row in rows] == [(BEGINS, 0, 900), (ON, 200, 0)]
