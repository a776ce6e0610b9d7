"""The accounts of orders, goods, power and work: each hard case by name."""

from dataclasses import replace
from datetime import date

import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.costing import FeeRule, PowerUse, Purchase, SoldPlant, Tariff, TaskDone
from halfwater.planning.cost_ends import fee_minor
from halfwater.planning.costing import accounts
from tests.planning.cost_nurseries import BEGINS, ON, batch, nursery, pots, sale, stays


def test_refunds_lower_income_in_their_own_month():
    """Money given back in March is March's; the plant is gone and its cost remains."""
    here = batch()
    one = pots(here, 1, state="sold", left_on=date(2026, 2, 1))
    refunded = SoldPlant(price_minor=1000, taxon=1, pot=1, refund_minor=400, refund_on=date(2026, 3, 9))
    order = replace(
        sale(1, one, date(2026, 2, 1), postage_charged_minor=500, postage_paid_minor=650, fee_minor=63),
        plants=(refunded,),
        refund_minor=100,
        refund_on=date(2026, 3, 9),
    )
    found = accounts(nursery([here], one, stays(one), orders=(order,)))
    assert {row.key: row.income_minor for row in found.months if row.income_minor} == {
        "2026-02": 1500,
        "2026-03": -500,
    }
    assert found.plants[0].parts == {"fees": 63, "postage": 650}
    assert found.orders[0].margin_minor == 1000 - 713


def test_a_cancelled_order_costs_its_fee_and_sells_nothing():
    """The plant stands as before; fee and postage of the order have no plant."""
    here = batch()
    one = pots(here, 1)
    order = sale(
        1,
        one,
        date(2026, 2, 1),
        fee_minor=63,
        postage_paid_minor=7,
        postage_charged_minor=500,
        is_cancelled=True,
    )
    found = accounts(nursery([here], one, stays(one), orders=(order,)))
    assert (found.all.sold, found.all.standing, found.all.income_minor) == (0, 1, 0)
    assert found.went.orders_minor == 70
    assert found.all.margin_minor == found.orders[0].margin_minor == -70


def test_a_plant_that_makes_good_is_a_cost_of_the_first_order():
    """A free replacement costs the release it makes good, and no plant is counted as sold for it."""
    here = batch()
    two = pots(here, 2, state="sold", left_on=date(2026, 2, 1))
    orders = (
        sale(1, two[:1], date(2026, 2, 1), release=7, release_name="February"),
        sale(2, two[1:], date(2026, 2, 1), price_minor=0, postage_paid_minor=600, makes_good=1),
    )
    facts = nursery(
        [here],
        two,
        stays(two),
        orders=orders,
        purchases=(Purchase(on=BEGINS, kind="plants", text="plants", amount_minor=800, batch=1),),
    )
    found = accounts(facts)
    (release,) = found.releases
    assert (release.name, release.sold, release.given) == ("February", 1, 1)
    assert release.margin_minor == found.orders[0].margin_minor == 1000 - 800 - 600
    assert found.orders[1].margin_minor == 0
    assert found.batches[0].given == 1


def test_equipment_bought_in_the_middle_of_a_month_pays_from_its_day():
    """A year's lamp bought on the 20th: days of this month, whole months after, the rest ahead; sold early
    it is written off."""
    here = batch(potted_on=date(2026, 5, 1))
    one = pots(here, 1)
    lamp = Purchase(
        on=date(2026, 5, 20), kind="equipment", text="lamp", amount_minor=36_500, life_months=12, tank=1
    )
    may = accounts(nursery([here], one, stays(one), purchases=(lamp,), on=date(2026, 5, 31)))
    assert (may.went.standing_minor, may.went.ahead_minor) == (1200, 35_300)
    ended = replace(lamp, ended_on=date(2026, 6, 10), got_back_minor=10_000)
    june = accounts(nursery([here], one, stays(one), purchases=(ended,)))
    assert (june.went.standing_minor, june.went.spent_minor, june.went.ahead_minor) == (26_500, 26_500, 0)


def test_goods_enough_for_a_number_are_taken_one_by_one():
    """Four potted take four of the oldest goods; packing goes by parcels; the rest is in store."""
    here, later = batch(1), batch(2, date(2026, 2, 1))
    four, one = pots(here, 4), pots(later, 1, 10, state="sold", left_on=date(2026, 2, 1))
    bought = (
        Purchase(on=BEGINS, kind="potting", text="pots", amount_minor=400, enough_for=4),
        Purchase(on=BEGINS, kind="potting", text="dearer pots", amount_minor=2000, enough_for=10),
        Purchase(on=BEGINS, kind="packing", text="boxes", amount_minor=900, enough_for=9),
    )
    everyone = (*four, *one)
    facts = nursery(
        [here, later], everyone, stays(everyone), purchases=bought, orders=(sale(1, one, ON, parcels=2),)
    )
    found = accounts(facts)
    assert [row.standing_minor for row in found.standing] == [100] * 4
    assert found.plants[0].parts == {"potting": 200, "packing": 200}
    assert found.went.store_minor == 1800 + 700


def test_goods_that_last_wait_for_a_month_that_uses_them():
    """Boxes of three months without a parcel in the first two fall on the parcel of the third."""
    here = batch(potted_on=date(2026, 3, 1))
    one = pots(here, 1, state="sold", left_on=date(2026, 3, 31))
    boxes = Purchase(on=date(2026, 1, 1), kind="packing", text="boxes", amount_minor=300, life_months=3)
    found = accounts(
        nursery([here], one, stays(one), purchases=(boxes,), orders=(sale(1, one, date(2026, 3, 31)),))
    )
    assert found.plants[0].parts == {"packing": 300}
    unsent = accounts(nursery([here], one, stays(one), purchases=(boxes,))).went
    assert unsent.store_minor == unsent.spent_minor == 300


def test_power_is_watts_dimmer_hours_and_the_tariff_of_the_day():
    """50 W at 60 % for 10 h are 0.3 kWh a day: at 30 a kWh until the 16th, at 40 from then on."""
    here = batch(potted_on=date(2026, 6, 1))
    one = pots(here, 1)
    facts = nursery(
        [here],
        one,
        stays(one),
        power=(PowerUse(from_on=date(2026, 6, 1), power_w=50, dimmer_frac=0.6, hours=10, tank=1),),
        tariffs=(
            Tariff(from_on=date(2026, 6, 16), kwh_minor=40.0),
            Tariff(from_on=date(2020, 1, 1), kwh_minor=30.0),
        ),
    )
    found = accounts(facts)
    assert found.kwh == pytest.approx({"2026-06": 9.0})
    assert found.went.standing_minor == found.went.spent_minor == 135 + 180
    untold = accounts(replace(facts, tariffs=()))
    assert untold.went.spent_minor == 0
    assert any("without a tariff" in caution for caution in untold.cautions)


@pytest.mark.parametrize(
    ("currency", "shown"), [("JPY", "1000 JPY"), ("EUR", "10.00 EUR"), ("KWD", "1.000 KWD")]
)
def test_coins_of_any_currency(currency, shown):
    """Nought, two or three decimals: the same whole coins, written as the currency has them."""
    here = batch()
    one = pots(here, 1, state="sold", left_on=date(2026, 2, 1))
    found = accounts(nursery([here], one, stays(one), orders=(sale(1, one, ON),), currency=currency))
    assert found.all.income_minor == 1000
    assert shown in found.said


def test_noted_minutes_are_points_and_assumed_ones_ranges():
    """Timed work has no range, starting values have; the hour is weighed where it is known."""
    here = batch()
    one = pots(here, 1, state="sold", left_on=date(2026, 2, 1))
    facts = nursery(
        [here],
        one,
        stays(one),
        orders=(sale(1, one, date(2026, 2, 1), price_minor=1200),),
        work=(TaskDone(on=BEGINS, task="harvest", minutes=30.0, batch=1),),
        hour_minor=1000,
    )
    timed = accounts(facts).all
    assert (timed.minutes.p10, timed.minutes.p50, timed.minutes.p90) == pytest.approx((30.0,) * 3)
    assert timed.hour_minor.p50 == pytest.approx(2400.0)
    assert timed.work_minor.p50 == pytest.approx(500.0)
    assert timed.after_work_minor.p50 == pytest.approx(700.0)
    assumed = accounts(
        replace(facts, work=(TaskDone(on=BEGINS, task="harvest", count=10.0, batch=1),), hour_minor=None)
    ).all
    assert assumed.minutes.p10 < 25.0 < 30.0 < 35.0 < assumed.minutes.p90
    assert assumed.hour_minor.p10 == pytest.approx(1200.0 * 60.0 / assumed.minutes.p90)
    assert assumed.work_minor is None


def test_work_of_orders_and_releases_goes_to_their_plants():
    """Packing minutes to the order's plants, listing to the release's; unsold, to nobody."""
    here = batch()
    three = pots(here, 3, state="sold", left_on=date(2026, 2, 1))
    orders = (sale(1, three[:1], ON, release=5), sale(2, three[1:], ON, release=5))
    work = (
        TaskDone(on=ON, task="parcel", minutes=20.0, order=2),
        TaskDone(on=ON, task="listing", minutes=9.0, release=5),
        TaskDone(on=ON, task="listing", minutes=4.0, release=6),
    )
    found = accounts(nursery([here], three, stays(three), orders=orders, work=work))
    assert [row.minutes.p50 for row in found.plants] == pytest.approx([3.0, 13.0, 13.0])
    assert found.all.minutes.p50 == pytest.approx(33.0)


def test_fees_are_fixed_and_by_share():
    """35 and 2.9 % of 26.00 make 1.10; without the postage 0.93; a half coin goes up."""
    rule = FeeRule(fixed_minor=35, share_frac=0.029)
    assert fee_minor(rule, 2000, 600) == 110
    assert fee_minor(replace(rule, is_on_postage=False), 2000, 600) == 93
    assert fee_minor(FeeRule(share_frac=0.5), 1) == 1
    with pytest.raises(RefusedInput):
        fee_minor(replace(rule, share_frac=2.9), 2000)
    with pytest.raises(RefusedInput):
        fee_minor(rule, -1)
