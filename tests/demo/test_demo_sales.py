"""The demo's sales: what buyers wanted in truth, what the book holds of it, and what is learned from that."""

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from halfwater.book import queries
from halfwater.deeds.arrivals import arrival_facts, margins_now
from halfwater.deeds.demand import sales_outlook
from halfwater.deeds.demo import demo_book, load_demo
from halfwater.deeds.demo_sales import FIRST_REFERENCE, SHOP
from halfwater.deeds.imports import import_files
from halfwater.deeds.order_files import bring_order_file, preview_order_file
from halfwater.deeds.packing import packing_bench
from halfwater.deeds.ship_weather import weather_of
from halfwater.demo.batches import KINDS
from halfwater.demo.plants import NEVER
from halfwater.demo.sales import PAST, Release, openings_days_ago, release_name, run_release
from halfwater.demo.sales_buyers import BUYERS, PLACES, RULES, is_allowed
from halfwater.demo.sales_market import LINES, visits
from halfwater.demo.sales_parcels import ROUTES, coldest_inside_c, forecast
from halfwater.plain.selling import OrderFacts
from halfwater.plain.transit import Leg

NOW = datetime(2025, 5, 1, 17, 0, tzinfo=UTC)
TODAY = date(2025, 5, 1)
EXAMPLES = Path(__file__).parents[2] / "examples" / "selling"
PLENTY = {line: range(100 * line, 100 * line + plan.most) for line, plan in enumerate(LINES)}


def a_release(number: int, seed: int, opening: int = 100) -> Release:
    """A release with every line full."""
    return run_release(np.random.default_rng(seed), number, opening, PLENTY, 0)


@pytest.mark.parametrize("day", range(7))
def test_releases_open_on_thursdays_and_the_last_is_open(day: int) -> None:
    """Whatever day it is, openings are Thursdays four weeks apart and the last has begun to sell."""
    today = TODAY + timedelta(days=day)
    ago = openings_days_ago(today)
    assert len(ago) == PAST + 1
    assert {(today - timedelta(days=one)).weekday() for one in ago} == {3}
    assert set(np.diff(ago)) == {-28}
    assert 2 <= ago[-1] <= 8


@pytest.mark.parametrize("number", range(PAST))
def test_a_pot_is_sold_once_and_no_buyer_gets_more_than_allowed(number: int) -> None:
    """Each order line has its pots, of its line; limits and the list of places hold."""
    for seed in range(20):
        release = a_release(number, seed)
        for place, order in enumerate(release.orders):
            for one in order.lines:
                pots = release.pots_of(place, one.line)
                assert len(pots) == one.plants - one.cancelled
                assert one.plants <= (LINES[one.line].limit_per_buyer or 100)
                assert is_allowed(BUYERS[order.buyer].place, LINES[one.line].kind)
        promised = [pot for pot in release.offered if pot.order is not None]
        assert len(promised) == sum(r.plants - r.cancelled for o in release.orders for r in o.lines)
        assert all(pot.taken is not None and pot.taken < release.closes for pot in promised)
        assert all(pot.taken is None for pot in release.offered if pot.order is None)


def test_more_want_the_cheap_and_the_rush_comes_first() -> None:
    """A dearer line loses the share its elasticity says; about two thirds of all come within an hour."""
    rng = np.random.default_rng(3)
    early, late = (
        sum(len([v for v in visits(rng, number, [3], 0.0, 10.0, 30) if v.wants]) for _ in range(400))
        for number in (0, 5)
    )
    assert late / early == pytest.approx(1.25, abs=0.12)  # the same price: word got around
    dear = next(plan for plan in LINES if len(set(plan.prices)) > 1)
    told = (max(dear.prices) / min(dear.prices)) ** -dear.elasticity
    assert dear.keeps_frac(len(dear.prices) - 1) == pytest.approx(told)
    days = [visit.day for _ in range(200) for visit in visits(rng, 0, [0, 2], 0.0, 10.0, 30)]
    assert np.mean(np.array(days) < 1 / 24) == pytest.approx(0.63, abs=0.05)


def test_what_happened_once_happens() -> None:
    """An order is never paid, one is made smaller, a hold runs out, another becomes an order."""
    cancelled, fewer, ran_out, held = (a_release(number, 1) for number in (2, 4, 3, 5))
    assert [order.cancel_reason for order in cancelled.orders if order.cancelled] == ["never paid"]
    (smaller,) = (order for order in fewer.orders if order.refund_minor)
    assert sum(one.cancelled for one in smaller.lines) == 1
    assert [(hold.order, hold.ended is not None) for hold in ran_out.holds] == [(None, True)]
    (hold,) = held.holds
    assert held.orders[hold.order or 0].lines[0].wanted == hold.made < held.orders[hold.order or 0].placed


def test_boxes_follow_the_weather_and_a_thick_one_more_slowly() -> None:
    """In still cold air a box ends at that of outside; the slower it is, the warmer it stays on the way."""
    leg = Leg("hall", 24.0, 2.0, 2.0)
    thin, thick = (coldest_inside_c((leg,), 0.0, holds, 0.0) for holds in (4.0, 12.0))
    assert 2.0 < thin < thick < 20.0
    assert coldest_inside_c((Leg("hall", 400.0, 2.0, 2.0),), 0.0, 4.0, 0.0) == pytest.approx(2.0, abs=0.01)
    winter, summer = (
        np.mean([leg.low_c for _ in range(30) for leg in forecast(np.random.default_rng(_), on, PLACES[0])])
        for on in (date(2026, 1, 20), date(2026, 7, 20))
    )
    assert winter < 6 < 14 < summer


def test_names_are_told_apart_and_contacts_reach_nobody() -> None:
    """No buyer twice, each in a place that has a way; contacts end in the reserved name."""
    assert len({one.name for one in BUYERS}) == len({one.contact for one in BUYERS}) == len(BUYERS) > 30
    assert {one.place for one in BUYERS} <= set(PLACES) == set(ROUTES)
    assert all(one.contact.endswith(".example") for one in BUYERS)
    assert {rule.place for rule in RULES} <= set(PLACES)


@pytest.mark.django_db
def test_the_book_holds_what_was_sold() -> None:
    """Past, open and drafted releases; every sold pot is of one order, each promised one stands."""
    load_demo(NOW)
    hold_releases()
    hold_pots_of_orders(queries.orders())
    hold_parcels()
    hold_demand()
    hold_money()
    hold_example_files()


def hold_releases() -> None:
    """Six past ones, one open that is partly sold with a hold running, one drafted with pots behind it."""
    releases = {one.name: one for one in queries.releases(NOW)}
    assert [one.state for one in releases.values()].count("closed") == PAST
    now, ahead = releases[release_name(PAST)], releases[release_name(PAST + 1)]
    assert (now.state, ahead.state) == ("open", "drafted")
    assert {line.free == 0 for line in now.lines} == {True, False}
    assert sum(line.held for line in now.lines) == 2
    assert sum(line.offered for line in ahead.lines) == 3 < 3 * len(ahead.lines)
    assert ahead.opens_at is not None
    assert ahead.opens_at.date() == queries.cutting_habit().next_release_on
    states = [hold.state for hold in queries.holds(now=NOW)]
    assert sorted(states) == ["held", "ordered", "run out"]


def hold_pots_of_orders(orders: tuple[OrderFacts, ...]) -> None:
    """A sold pot left with its order, on the day it was sent, and says so."""
    demo = demo_book(TODAY)
    sold = {pot.key: pot for pot in queries.standing_pots(gone=True) if pot.state == "sold"}
    assert len(sold) == sum(plant.sold != NEVER for plant in demo.plants) > 80
    sent = {pot.pot: order for order in orders if order.sent_at for row in order.lines for pot in row.pots}
    assert set(sent) == set(sold)
    noted = {entry.pot: entry for entry in queries.entries(kinds=("state",)) if entry.word == "sold"}
    for key, order in sent.items():
        assert (noted[key].text, noted[key].at) == (f"order {order.number}", order.sent_at)
        assert sold[key].left_on == order.ship_on
    waiting = [order for order in orders if order.state in ("placed", "paid")]
    assert any(order.state == "paid" and order.ship_on for order in waiting)
    promised = queries.promised_pots()
    assert {pot.key for pot in queries.standing_pots() if pot.key in promised} == set(promised) - set(sold)
    assert [order.number for order in orders if order.state == "cancelled"]
    assert [order.number for order in sorted(orders, key=lambda one: one.placed_at)] == [
        *range(1, len(orders) + 1)
    ]


def hold_parcels() -> None:
    """One parcel on the bench, one lost to cold; loggers teach no more than boxes differ."""
    bench = packing_bench(NOW)
    assert len(bench.parcels) == 1
    assert any(one.in_no_parcel for one in bench.orders)
    arrived = queries.parcels(states=("arrived",))
    cold = [one for one in arrived if one.arrival and "cold" in one.arrival.note]
    assert len(cold) == 1
    assert cold[0].arrival is not None
    assert cold[0].arrival.alive < cold[0].plants
    assert (cold[0].arrival.logger_low_c or 9.0) < 5.0
    assert len(arrival_facts()) > 5
    assert abs(margins_now().cold_bias_c) < 4.0


def hold_demand() -> None:
    """The ranges of what was wanted hold the hidden numbers about as often as they say."""
    demo, outlook = demo_book(TODAY), sales_outlook(NOW)
    truth = {
        (release_name(one.number), LINES[line].grade, KINDS[LINES[line].kind].taxon): one.wanted.get(line, 0)
        for one in demo.stock.releases
        for line in one.lines
    }
    held = [
        one.outlook.wanted.p10
        <= truth[one.outlook.line.release_name, one.outlook.line.grade, one.outlook.line.taxon_name]
        <= one.outlook.wanted.p90
        for one in outlook.lines
    ]
    assert len(held) == len(truth) > 35
    assert 0.6 < np.mean(held) <= 1.0
    assert any(one.outlook.sold_out_after_h and one.outlook.sold_out_after_h < 0.5 for one in outlook.lines)
    assert any(one.outlook.line.sold < one.outlook.line.offered for one in outlook.lines)
    assert outlook.price_response.price_changes > 3


def hold_money() -> None:
    """Purchases of every kind, two tariffs, and minutes that were timed."""
    assert {one.kind for one in queries.purchases()} >= {"equipment", "feed", "plants", "potting", "packing"}
    assert len(queries.tariffs()) == 2
    assert queries.charges()
    assert queries.fees()
    timed = queries.entries(kinds=("work",))
    assert {entry.word for entry in timed} == {"pack", "spray"}


def hold_example_files() -> None:
    """The shop's next file brings what is free, once; its past orders are known by their numbers."""
    data = (EXAMPLES / "shop-orders.csv").read_bytes()
    of_files = {order.number for order in queries.orders() if order.channel == "file"}
    known = preview_order_file(data, SHOP, NOW).known
    assert known == {f"FH-{FIRST_REFERENCE + number}" for number in of_files}
    first = bring_order_file(data, SHOP, "me", NOW)
    assert (first.new, [one.reference for one in first.refused]) == (("FH-2001", "FH-2002"), ["FH-2003"])
    again = bring_order_file(data, SHOP, "me", NOW)
    assert (again.new, again.kept) == ((), ("FH-2001", "FH-2002"))
    legs = weather_of((EXAMPLES / "legs.csv").read_bytes())
    assert [(leg.name, leg.span_h) for leg in legs] == [
        ("Fennhollow depot", 7.0),
        ("on the road", 5.0),
        (PLACES[0], 8.0),
    ]
    before = len(queries.purchases())
    import_files([EXAMPLES / "purchases.csv"], check=False, who="me", now=NOW)
    assert len(queries.purchases()) == before + 4
