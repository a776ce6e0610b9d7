"""The accounts: against reckoning by hand, coin by coin, and the hard cases by name."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.costing import (
    COST_KINDS,
    MonthlyCharge,
    ParentShare,
    PowerUse,
    Purchase,
    Tariff,
    TaskDone,
)
from halfwater.plain.stock import Stay
from halfwater.planning.cost_ends import cost_ends
from halfwater.planning.cost_frame import cost_frame, months_later
from halfwater.planning.cost_intake import cost_intake
from halfwater.planning.costing import account_named, accounts
from halfwater.planning.pot_days import pot_days
from tests.planning.cost_nurseries import (
    BEGINS,
    ON,
    ByHand,
    any_nursery,
    batch,
    nursery,
    pots,
    sale,
    stays,
    tank,
)

RENT = Purchase(on=BEGINS, kind="room", text="rent", amount_minor=24_000, life_months=8)


def _later(days, since=BEGINS):
    return since + timedelta(days=days)


@pytest.mark.parametrize("seed", range(24))
def test_every_pot_carries_what_the_hand_finds(seed):
    """Moves, losses, cuts and sales at random: money and minutes of each pot as reckoned day by day."""
    facts = any_nursery(seed)
    hand = ByHand(facts)
    frame = cost_frame(facts)
    intake = cost_intake(frame)
    ends = cost_ends(frame, intake, pot_days(frame, intake.daily))
    money = ends.carried.pots[:, frame.columns.money].sum(axis=1)
    minutes = ends.carried.pots[:, frame.columns.work].sum(axis=1)
    keys = [pot.key for pot in frame.pots]
    np.testing.assert_allclose(money, [float(hand.money[key]) for key in keys], rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(minutes, [float(hand.minutes[key]) for key in keys], rtol=1e-9, atol=1e-6)
    assert ends.unused[:, frame.columns.money].sum() == pytest.approx(float(hand.unused[0]), abs=1e-6)
    assert ends.unused[:, frame.columns.work].sum() == pytest.approx(float(hand.unused[1]), abs=1e-6)
    assert ends.alone_rows[:, frame.columns.money].sum() == pytest.approx(float(hand.alone[0]), abs=1e-6)
    assert ends.ahead_minor.sum() == pytest.approx(float(hand.ahead), abs=len(COST_KINDS))


@pytest.mark.parametrize("rule", ["used", "all spots"])
@pytest.mark.parametrize("seed", range(24, 36))
def test_no_coin_is_lost_and_groups_agree(seed, rule):
    """Spent is where it went; plants, taxa, batches and months add up to the whole, kind by kind."""
    facts = any_nursery(seed)
    found = accounts(facts, rule, draws=5)
    went = found.went
    assert went.spent_minor == sum(one.amount_minor - one.got_back_minor for one in facts.purchases)
    assert went.spent_minor == (
        went.sold_minor
        + went.orders_minor
        + went.standing_minor
        + went.lost_minor
        + went.unused_minor
        + went.store_minor
        + went.ahead_minor
    )
    whole = found.all
    for rows in (found.months, (whole,)):
        assert sum(row.cost_minor for row in rows) == went.sold_minor + went.lost_minor + went.unused_minor
        assert sum(row.income_minor for row in rows) == whole.income_minor
    for kind in COST_KINDS:
        amounts = {
            sum(row.parts.get(kind, 0) for row in rows)
            for rows in (found.plants, found.batches, found.taxa, found.months, (whole,))
        }
        assert len(amounts) == 1
    for rows in (found.batches, found.taxa):
        assert sum(row.cost_minor for row in rows) == went.sold_minor + went.lost_minor
        assert sum(row.standing_minor for row in rows) == went.standing_minor
        assert sum(row.margin_minor for row in rows) - went.unused_minor == whole.margin_minor
    assert all(
        row.income_minor - row.cost_minor == row.margin_minor for row in (*found.plants, *found.months)
    )


def test_a_pot_that_moved_pays_each_tank_its_days():
    """Ten days in a dear tank and twenty in a cheap one, beside one that stays: by days in each."""
    here = batch()
    two = pots(here, 2)
    moved = [Stay(two[0].key, 1, "A1", BEGINS, _later(10)), Stay(two[0].key, 2, "A1", _later(10), None)]
    facts = nursery(
        [here],
        two,
        [*moved, Stay(two[1].key, 1, "A2", BEGINS, None)],
        on=_later(29, date(2026, 6, 1)),
        purchases=(Purchase(on=date(2026, 6, 1), kind="feed", text="feed", amount_minor=3000, tank=1),),
    )
    assert [row.standing_minor for row in accounts(facts).standing] == [0, 3000]
    june = [
        Stay(two[0].key, 1, "A1", date(2026, 6, 1), date(2026, 6, 11)),
        Stay(two[1].key, 1, "A2", date(2026, 6, 1), None),
    ]
    shared = accounts(replace(facts, stays=tuple(june)))
    assert [row.standing_minor for row in shared.standing] == [750, 2250]  # 10 and 30 of 40 pot-days


def test_a_loss_at_ten_months_is_borne_by_those_that_still_stand():
    """Of three, one is sold, then one dies at ten months: the third carries it, the sold one does not."""
    here, died = batch(potted_on=date(2025, 7, 1)), date(2026, 5, 1)
    sold, lost, stands = pots(here, 3)
    sold = replace(sold, state="sold", left_on=date(2026, 1, 1))
    lost = replace(lost, state="lost", left_on=died)
    three = (sold, lost, stands)
    paid = tuple(
        Purchase(on=months_later(date(2025, 7, 1), n), kind="feed", text="feed", amount_minor=600)
        for n in range(12)
    )
    found = accounts(
        nursery([here], three, stays(three), purchases=paid, orders=(sale(1, [sold], sold.left_on),))
    )
    assert found.plants[0].cost_minor == 6 * 200
    assert found.standing[0].standing_minor == 12 * 600 - 6 * 200
    assert found.batches[0].lost == 1
    (loss,) = found.losses
    assert (loss.name, loss.plants, loss.cost_minor) == ("before a year", 1, 6 * 200 + 4 * 300)


def test_a_batch_that_died_out_is_told_apart():
    """Where none of a batch outlives a loss, nobody carries it: it stands as lost, in its month."""
    here = batch()
    two = pots(here, 2, state="lost", left_on=date(2026, 3, 5))
    found = accounts(nursery([here], two, stays(two), purchases=(replace(RENT, life_months=3),)))
    occupied = (date(2026, 2, 3) - BEGINS).days
    assert occupied == 92
    assert found.went.lost_minor == 24_000
    assert found.batches[0].cost_minor == found.batches[0].parts["lost"] == 24_000
    assert {row.key: row.parts for row in found.months if row.cost_minor} == {"2026-03": {"lost": 24_000}}


def test_a_parent_kept_for_years_is_a_cost_of_its_sections():
    """A kept pot passes on all it carried at each cut; the next cut brings only the time since."""
    begins = date(2023, 1, 1)
    mother, first, second = batch(1, begins), batch(2, date(2025, 1, 1)), batch(3, date(2026, 1, 1))
    parent = pots(mother, 1, 1, state="kept", kept_on=begins)
    cut = (
        pots(first, 4, 10, state="sold", left_on=date(2025, 1, 1)),
        pots(second, 2, 20, state="sold", left_on=second.potted_on),
    )
    everyone = (*parent, *cut[0], *cut[1])
    facts = nursery(
        [mother, first, second],
        everyone,
        stays(everyone),
        parents=tuple(ParentShare(batch=key, parent_batch=1, parent_pot=1) for key in (2, 3)),
        purchases=(Purchase(on=begins, kind="room", text="rent", amount_minor=48_000, life_months=48),),
        orders=(sale(1, cut[0], date(2025, 1, 1)), sale(2, cut[1], date(2026, 1, 1))),
    )
    found = accounts(facts)
    days = (months_later(begins, 48) - begins).days
    before, between = (date(2025, 1, 1) - begins).days, 365
    costs = [row.cost_minor for row in found.batches]
    assert costs[1] == pytest.approx(48_000 * before / days, abs=2)
    assert costs[2] == pytest.approx(48_000 * between / days, abs=2)
    assert found.batches[1].from_parents_minor == pytest.approx(costs[1], abs=2)
    assert found.standing[0].standing_minor == pytest.approx(48_000 * 181 / days, abs=2)
    assert found.batches[1].plant_cost_minor == pytest.approx(costs[1] / 4)


def test_a_parent_that_grows_on_is_one_of_the_pieces():
    """A pot cut in four keeps a quarter of what it carried; each of three sections takes a quarter."""
    mother, made = batch(1), batch(2, date(2026, 1, 2))
    parent, cut = pots(mother, 1), pots(made, 3, 10, state="sold", left_on=made.potted_on)
    facts = nursery(
        [mother, made],
        (*parent, *cut),
        stays((*parent, *cut)),
        parents=(ParentShare(batch=2, parent_batch=1, parent_pot=1),),
        purchases=(Purchase(on=BEGINS, kind="plants", text="a parent", amount_minor=4000, batch=1),),
    )
    found = accounts(facts)
    assert [row.cost_minor for row in found.plants] == [1000, 1000, 1000]
    assert found.standing[0].standing_minor == 1000


def test_lineage_carries_costs_over_generations():
    """What a parent cost reaches grandchildren, and is still all there."""
    days = [BEGINS, date(2026, 1, 2), date(2026, 3, 2)]
    three = [batch(key, on) for key, on in enumerate(days, 1)]
    everyone = [
        *pots(three[0], 1, 1, state="kept", kept_on=BEGINS),
        *pots(three[1], 1, 2, state="kept", kept_on=days[1]),
        *pots(three[2], 2, 3),
    ]
    facts = nursery(
        three,
        everyone,
        stays(everyone),
        parents=(ParentShare(batch=2, parent_batch=1), ParentShare(batch=3, parent_batch=2)),
        purchases=(Purchase(on=BEGINS, kind="plants", text="a parent", amount_minor=4001, batch=1),),
    )
    assert [row.standing_minor for row in accounts(facts).standing] == [0, 0, 2001, 2000]


def test_work_in_progress_is_no_cost_yet():
    """Plants that stand hold what they cost; nothing of it is in the margin."""
    here = batch()
    five = pots(here, 5)
    found = accounts(nursery([here], five, stays(five), purchases=(RENT,)))
    assert found.all.margin_minor == found.all.cost_minor == 0
    assert found.went.standing_minor + found.went.ahead_minor == found.went.spent_minor == 24_000
    assert "No plant has been sold yet" in found.said


def test_months_without_pots_are_unused_and_in_no_plant():
    """A tank that stands empty for months costs, and no plant pays for it."""
    here = batch(potted_on=date(2026, 2, 3))
    one = pots(here, 1, state="sold", left_on=date(2026, 3, 3))
    facts = nursery(
        [here],
        one,
        stays(one),
        orders=(sale(1, one, date(2026, 3, 3)),),
        on=date(2026, 7, 2),
        charges=(MonthlyCharge(kind="room", text="rent", amount_minor=2800, from_on=BEGINS),),
    )
    found = accounts(facts)
    assert found.plants[0].cost_minor == 2800  # its own 28 days
    assert found.went.unused_minor == 7 * 2800
    assert found.taxa[0].margin_minor == 1000 - 2800
    assert found.all.margin_minor == 1000 - 8 * 2800
    january = account_named(found.months, "2026-01")
    assert january.parts == {"unused": january.cost_minor}


def test_empty_spots_are_carried_or_told_apart():
    """Two pots on ten spots carry the whole tank, or a fifth of it with the rest unused."""
    here = batch()
    two = pots(here, 2)
    facts = nursery(
        [here], two, stays(two), tanks=(tank(),), purchases=(replace(RENT, tank=1, life_months=3),)
    )
    assert accounts(facts).went.standing_minor == 24_000
    apart = accounts(facts, "all spots").went
    assert (apart.standing_minor, apart.unused_minor) == (4_800, 19_200)
    with pytest.raises(RefusedInput):
        accounts(facts, "half")


def test_doubled_money_doubles_every_account():
    """Everything paid twice as dear: costs double to within a coin a kind, minutes stay."""
    facts = any_nursery(3)
    double = tuple(
        replace(one, amount_minor=2 * one.amount_minor, got_back_minor=2 * one.got_back_minor)
        for one in facts.purchases
    )
    once, twice = accounts(facts, draws=5), accounts(replace(facts, purchases=double), draws=5)
    for before, after in zip(once.plants, twice.plants, strict=True):
        assert abs(after.cost_minor - 2 * before.cost_minor) <= 3 * len(COST_KINDS)
        assert before.minutes == after.minutes


def _two():
    here = batch()
    two = pots(here, 2)
    return nursery([here], two, stays(two))


@pytest.mark.parametrize(
    "change",
    [
        {"purchases": (replace(RENT, on=ON + timedelta(days=1)),)},
        {"purchases": (replace(RENT, kind="gold"),)},
        {"purchases": (replace(RENT, tank=9),)},
        {"purchases": (replace(RENT, batch=9),)},
        {"purchases": (replace(RENT, life_months=0),)},
        {"purchases": (replace(RENT, ended_on=date(2025, 1, 1)),)},
        {"purchases": (replace(RENT, got_back_minor=5),)},
        {"purchases": (replace(RENT, enough_for=5),)},
        {"purchases": (replace(RENT, kind="potting", tank=1),)},
        {"charges": (MonthlyCharge(kind="packing", text="x", amount_minor=1, from_on=BEGINS),)},
        {"power": (PowerUse(from_on=BEGINS, power_w=10.0, hours=25.0),)},
        {"tariffs": (Tariff(from_on=BEGINS, kwh_minor=float("nan")),)},
        {"work": (TaskDone(on=BEGINS, task="spray", tank=9),)},
        {"work": (TaskDone(on=BEGINS, task="cut", batch=9),)},
        {"work": (TaskDone(on=BEGINS, task="parcel", order=9),)},
        {"parents": (ParentShare(batch=1, parent_batch=1),)},
        {"parents": (ParentShare(batch=1, parent_batch=9),)},
        {"stays": (Stay(1, 1, "A1", BEGINS, None), Stay(1, 2, "A1", ON, None))},
        {"stays": (Stay(1, 1, "A1", ON, BEGINS),)},
        {"stays": (Stay(9, 1, "A1", BEGINS, None),)},
        {"tanks": (tank(1, floor_m2=0.0),)},
        {"orders": (sale(1, pots(batch(), 1), ON), sale(2, pots(batch(), 1), ON))},
        {"orders": (sale(1, pots(batch(), 1, 50), ON),)},
        {"orders": (sale(1, (), ON, fee_minor=-1),)},
        {"orders": (sale(1, (), ON, makes_good=1),)},
    ],
)
def test_what_cannot_be_is_refused(change):
    """Days to come, unknown tanks, pots sold twice, lives of 0, pots in two places: refused, never mended."""
    with pytest.raises(RefusedInput):
        accounts(replace(_two(), **change))


def test_stays_past_the_day_a_pot_left_are_refused():
    """A pot that is gone cannot stand anywhere."""
    here = batch()
    one = pots(here, 1, state="lost", left_on=date(2026, 2, 1))
    with pytest.raises(RefusedInput, match="when it left"):
        accounts(nursery([here], one, (Stay(1, 1, "A1", BEGINS, None),)))
