"""Releases, holds and orders: what is granted, what is refused, and with which sentence."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

import pytest

from halfwater.book import changes, queries
from halfwater.errors import HalfwaterError, RefusedByBook, RefusedInput
from halfwater.plain.selling import LineFacts, NewBuyer, OrderFacts, WantedLine
from tests.book.builders import NOW, WHO
from tests.book.shops import ANNA, BEN, Shop, a_hold, a_shop, an_order, place

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=1)


@pytest.fixture
def shop() -> Shop:
    """Four pots behind the open line of a release."""
    return a_shop()


def the_line(shop: Shop, at: object = NOW) -> LineFacts:
    """The one line as it stands."""
    found = queries.release(shop.release, at)  # type: ignore[arg-type]
    assert found is not None
    return found.lines[0]


def counts(shop: Shop, at: object = NOW) -> tuple[int, int, int]:
    """Free, held and ordered pots of the line."""
    line = the_line(shop, at)
    return line.free, line.held, line.ordered


def test_an_order_promises_its_pots(shop: Shop) -> None:
    """The pots are named, the line counts them, and they stand where they stood."""
    placed = place(shop.line, 3)
    assert (placed.plants, placed.goods_minor, placed.state) == (3, 2850, "placed")
    assert [pot.pot for pot in placed.lines[0].pots] == list(shop.pots[:3])
    assert counts(shop) == (1, 0, 3)
    assert queries.promised_pots() == dict.fromkeys(shop.pots[:3], placed.number)
    assert queries.offered_pots() == {shop.pots[3]: shop.line}
    standing = queries.standing_pots()
    assert [pot.promised_to for pot in standing] == [placed.number] * 3 + [None]
    assert [pot.is_offered for pot in standing] == [False] * 3 + [True]


def test_the_same_key_gives_the_same_order(shop: Shop) -> None:
    """Sent again, also after the release has closed, the answer is the same; something else is refused."""
    new = an_order(shop.line, 2)
    first = changes.place_order(new, who=WHO, now=NOW)
    assert changes.place_order(new, who=WHO, now=LATER) == first
    changes.close_release(shop.release, who=WHO, now=LATER)
    assert changes.place_order(new, who=WHO, now=LATER) == first
    assert len(queries.orders()) == 1
    with pytest.raises(RefusedByBook, match="asked for something else"):
        changes.place_order(replace(new, note="quick"), who=WHO, now=NOW)


def test_a_reference_of_a_channel_is_taken_once(shop: Shop) -> None:
    """A web shop's number that is in the book names the order."""
    placed = place(shop.line, channel="file", reference="W-7")
    with pytest.raises(RefusedByBook, match=f"W-7 is order {placed.number}"):
        place(shop.line, channel="file", reference="W-7")
    assert place(shop.line, channel="shop", reference="W-7").number != placed.number


def test_no_more_is_sold_than_there_is(shop: Shop) -> None:
    """The refusal says how many are free, and nothing of the order is kept."""
    place(shop.line, 3)
    with pytest.raises(RefusedByBook, match="1 plant free, not 2"):
        place(shop.line, 2, buyer=BEN)
    place(shop.line)
    assert the_line(shop).sold_out_at == NOW
    assert queries.releases(NOW)[0].state == "sold out"
    with pytest.raises(RefusedByBook, match="sold out"):
        place(shop.line)
    assert [one.name for one in queries.buyers()] == ["Anna"]


def test_before_and_after_its_time_a_release_takes_no_order() -> None:
    """The sentence says when it opens; from that instant on it does."""
    shop = a_shop(is_open=False)
    with pytest.raises(RefusedByBook, match="not open yet"):
        place(shop.line)
    changes.save_release(shop.release, who=WHO, opens_at=LATER, closes_at=LATER + timedelta(hours=2))
    changes.open_release(shop.release, who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match=r"opens on 20 Nov 2026 at 21:00\."):
        place(shop.line)
    assert queries.open_lines(NOW) == ()
    assert [line.key for line in queries.open_lines(LATER)] == [shop.line]
    changes.place_order(an_order(shop.line), who=WHO, now=LATER)
    with pytest.raises(RefusedByBook, match=r"closed on 20 Nov 2026 at 23:00\."):
        changes.place_order(an_order(shop.line), who=WHO, now=LATER + timedelta(hours=2))
    changes.close_release(shop.release, who=WHO, now=LATER)
    with pytest.raises(RefusedByBook, match="is closed"):
        changes.place_order(an_order(shop.line), who=WHO, now=LATER)


def test_one_buyer_has_no_more_than_the_limit() -> None:
    """Orders and holds count together, whatever capitals the contact is written in."""
    shop = a_shop(limit_per_buyer=2)
    hold = changes.place_hold(a_hold(shop.line, buyer=ANNA), who=WHO, now=NOW)
    place(shop.line, holds=(hold.uuid,), lines=(), buyer=NewBuyer("A.", "ANNA@Example.org "))
    with pytest.raises(RefusedByBook, match="at most 2 plants a buyer, and this one has 1 already"):
        place(shop.line, 2)
    second = place(shop.line)
    with pytest.raises(RefusedByBook, match="at most 2"):
        changes.place_hold(a_hold(shop.line, buyer=ANNA), who=WHO, now=NOW)
    changes.cancel_order(second.number, who=WHO, now=NOW)
    place(shop.line)
    place(shop.line, 2, buyer=BEN)


def test_a_hold_runs_out_by_itself(shop: Shop) -> None:
    """From that instant on its plants are free to see and to buy, and it cannot be ordered any more."""
    hold = changes.place_hold(a_hold(shop.line, 3, minutes=30), who=WHO, now=NOW)
    assert counts(shop) == (1, 3, 0)
    assert [pot.hold for pot in queries.line_pots(shop.line, NOW)] == [hold.uuid] * 3 + [""]
    gone = NOW + timedelta(minutes=30)
    assert counts(shop, gone - timedelta(seconds=1)) == (1, 3, 0)
    assert counts(shop, gone) == (4, 0, 0)
    assert queries.holds(now=gone)[0].state == "run out"
    with pytest.raises(RefusedByBook, match="ran out on 20 Nov 2026 at 20:30"):
        changes.place_order(an_order(holds=(hold.uuid,)), who=WHO, now=gone)
    changes.place_order(an_order(shop.line, 4), who=WHO, now=gone)
    assert queries.holds(now=NOW)[0].state == "run out"  # written so: a clock set back brings nothing back


def test_a_hold_is_held_once_and_becomes_an_order_once(shop: Shop) -> None:
    """Its plants are part of the order, at the instant they were put aside."""
    new = a_hold(shop.line, 2)
    assert changes.place_hold(new, who=WHO, now=NOW) == changes.place_hold(new, who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match="something else"):
        changes.place_hold(replace(new, plants=1), who=WHO, now=NOW)
    later = NOW + timedelta(minutes=5)
    placed = changes.place_order(an_order(shop.line, 1, holds=(new.uuid,)), who=WHO, now=later)
    assert placed.lines[0].plants == 3
    assert queries.holds()[0].order == placed.number
    assert queries.past_lines(later)[0].sales[0].at == NOW
    with pytest.raises(RefusedByBook, match=f"become order {placed.number}"):
        place(holds=(new.uuid,))
    with pytest.raises(RefusedByBook, match="cancel that"):
        changes.let_hold_go(new.uuid, who=WHO, now=NOW)


def test_a_hold_that_is_let_go_frees_its_plants(shop: Shop) -> None:
    """Letting it go again changes nothing."""
    hold = changes.place_hold(a_hold(shop.line, 4), who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match="sold out"):
        place(shop.line)
    for _ in range(2):
        changes.let_hold_go(hold.uuid, who=WHO, now=NOW)
    assert counts(shop) == (4, 0, 0)


def test_a_held_pot_that_died_is_made_up_for(shop: Shop) -> None:
    """While a free one is there the order has all its plants; else it is refused whole."""
    holds = [changes.place_hold(a_hold(shop.line, 2), who=WHO, now=NOW) for _ in range(2)]
    changes.lose_pot(shop.pots[0], "rot", who=WHO, at=NOW, now=NOW)
    with pytest.raises(RefusedByBook, match="sold out"):
        place(holds=(holds[0].uuid,))
    changes.let_hold_go(holds[1].uuid, who=WHO, now=NOW)
    placed = place(holds=(holds[0].uuid,))
    assert [pot.pot for pot in placed.lines[0].pots] == [shop.pots[1], shop.pots[2]]


def test_a_cancelled_order_gives_its_pots_back(shop: Shop) -> None:
    """Part of it, then the rest; once the release is closed they come off it instead."""
    placed = place(shop.line, 4)
    key = placed.lines[0].key
    changes.cancel_order(placed.number, {key: 1}, reason="one less", refund_minor=950, who=WHO, now=NOW)
    assert counts(shop) == (1, 0, 3)
    with pytest.raises(RefusedByBook, match="Only 3 of Moss fern are left"):
        changes.cancel_order(placed.number, {key: 4}, who=WHO, now=NOW)
    changes.close_release(shop.release, who=WHO, now=NOW)
    changes.cancel_order(placed.number, reason="all of it", who=WHO, now=NOW)
    told = queries.order(placed.number)
    assert told is not None
    assert (told.state, told.refund_minor, told.cancel_reason, told.plants) == (
        "cancelled",
        950,
        "all of it",
        0,
    )
    assert queries.offered_pots() == queries.promised_pots() == {}
    with pytest.raises(RefusedByBook, match="was cancelled"):
        changes.mark_paid(placed.number, who=WHO, now=NOW)


def test_a_slip_is_taken_back_until_the_order_has_left(shop: Shop) -> None:
    """Paid and packed can be taken back; once sent only that it arrived, and what was paid."""
    number = place(shop.line, 1, is_paid=True).number
    changes.mark_packed(number, who=WHO, now=NOW)
    for step, state in (("packed", "paid"), ("paid", "placed")):
        changes.take_step_back(number, step, who=WHO)
        told = queries.order(number)
        assert told is not None
        assert told.state == state
    with pytest.raises(RefusedInput, match="paid, packed, arrived"):
        changes.take_step_back(number, "sent", who=WHO)
    for mark in (changes.mark_packed, changes.mark_sent, changes.mark_arrived):
        mark(number, who=WHO, now=NOW)
    changes.take_step_back(number, "arrived", who=WHO)
    for step in ("packed", "sent"):
        with pytest.raises(RefusedByBook, match="has left"):
            changes.take_step_back(number, step, who=WHO)
    told = queries.order(number)
    assert told is not None
    assert told.state == "sent"


def test_a_sent_pot_stays_sold_whatever_is_voided(shop: Shop) -> None:
    """It leaves its spot with an entry that names the order, which cannot be struck out."""
    placed = place(shop.line, 2, is_paid=True)
    for mark in (changes.mark_packed, changes.mark_sent, changes.mark_sent, changes.mark_arrived):
        mark(placed.number, who=WHO, now=NOW)
    told = queries.order(placed.number)
    assert told is not None
    assert (told.state, told.sent_at, [pot.state for pot in told.lines[0].pots]) == (
        "arrived",
        NOW,
        ["sold"] * 2,
    )
    entries = queries.entries(kinds=["state"])
    assert {(one.pot, one.text) for one in entries} == {
        (pot, f"order {placed.number}") for pot in shop.pots[:2]
    }
    with pytest.raises(RefusedByBook, match=f"was sent with order {placed.number}"):
        changes.void_entry(entries[0].uuid, "slip", WHO, NOW)
    with pytest.raises(RefusedByBook, match="sold"):
        changes.offer_pots(shop.line, [shop.pots[0]], who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match="has left"):
        changes.cancel_order(placed.number, who=WHO, now=NOW)
    changes.cancel_order(placed.number, {}, refund_minor=500, who=WHO, now=NOW)
    assert queries.order(placed.number).refund_minor == 500  # type: ignore[union-attr]
    assert [pot.key for pot in queries.standing_pots()] == list(shop.pots[2:])


def test_a_clock_set_back_neither_loses_a_sale_nor_hides_it(shop: Shop) -> None:
    """A pot noted as ready a little later than now is sent all the same; a far later one is refused."""
    changes.set_state(shop.pots[0], "growing", who=WHO, at=NOW + timedelta(minutes=3), now=NOW)
    placed = place(shop.line)
    changes.mark_sent(placed.number, who=WHO, now=NOW)
    assert queries.standing_pot(shop.pots[0]).state == "sold"  # type: ignore[union-attr]
    changes.set_state(shop.pots[1], "growing", who=WHO, at=LATER, now=LATER)
    second = place(shop.line)
    with pytest.raises(RefusedByBook, match="clock right"):
        changes.mark_sent(second.number, who=WHO, now=NOW)
    assert queries.order(second.number).sent_at is None  # type: ignore[union-attr]


def lost_one(shop: Shop) -> OrderFacts:
    """An order of two plants of which one died."""
    placed = place(shop.line, 2)
    changes.lose_pot(shop.pots[0], "rot", who=WHO, at=NOW, now=NOW)
    return placed


def test_a_promised_pot_that_dies_is_missing_until_another_takes_its_place(shop: Shop) -> None:
    """The order cannot leave before, and its line stays the same when the plant is alike."""
    placed = lost_one(shop)
    told = queries.order(placed.number)
    assert told is not None
    assert (told.lines[0].missing, the_line(shop).lost) == (1, 1)
    for mark in (changes.mark_packed, changes.mark_sent):
        with pytest.raises(RefusedByBook, match="misses 1 of Moss fern"):
            mark(placed.number, who=WHO, now=NOW)
    key = told.lines[0].key
    assert changes.substitute(key, 1, from_line=shop.line, who=WHO, now=NOW) == key
    told = queries.order(placed.number)
    assert told is not None
    assert (told.lines[0].missing, [pot.pot for pot in told.lines[0].pots]) == (0, list(shop.pots[1:3]))
    changes.mark_sent(placed.number, who=WHO, now=NOW)


def test_a_plant_of_another_kind_stands_in_at_the_price_of_the_first(shop: Shop) -> None:
    """The first line counts one cancelled, and demand still knows that it was wanted."""
    placed = lost_one(shop)
    other = changes.save_line(
        who=WHO, release=shop.release, taxon=shop.taxon, grade="large", price_minor=1500
    )
    changes.take_back_pots([shop.pots[3]], who=WHO, now=NOW)
    changes.offer_pots(other, [shop.pots[3]], who=WHO, now=NOW)
    first = placed.lines[0].key
    stands_in = changes.substitute(first, 1, from_line=other, who=WHO, now=NOW)
    told = queries.order(placed.number)
    assert told is not None
    assert [(one.key, one.cancelled, one.missing, one.price_minor) for one in told.lines] == [
        (first, 1, 0, 950), (stands_in, 0, 0, 950),
    ]  # fmt: skip
    assert told.lines[1].substitutes == first
    (past,) = queries.past_lines(NOW)
    assert (past.line, past.sold, past.sales[0].plants, past.offered) == (shop.line, 2, 2, 3)


def test_pots_are_sold_by_hand_without_a_release(shop: Shop) -> None:
    """A free pot leaves its line for it; a kept, promised or gone one is refused."""
    placed = place(pots=((shop.pots[0], 800), (shop.pots[1], 700)))
    assert [(one.line, one.price_minor, one.plants) for one in placed.lines] == [
        (None, 800, 1),
        (None, 700, 1),
    ]
    assert (placed.release, counts(shop)) == (None, (2, 0, 0))
    with pytest.raises(RefusedByBook, match=f"promised to order {placed.number}"):
        place(pots=((shop.pots[0], 800),))
    changes.set_state(shop.pots[2], "kept", who=WHO, at=NOW, now=NOW)
    with pytest.raises(RefusedByBook, match="is kept"):
        place(pots=((shop.pots[2], 800),))
    changes.cancel_order(placed.number, who=WHO, now=NOW)
    assert place(pots=((shop.pots[0], 800),)).plants == 1


@pytest.mark.parametrize(
    ("refused", "sentence"),
    [
        (lambda shop: place(), "at least one line"),
        (lambda shop: place(shop.line, 0), "whole number of plants"),
        (lambda shop: place(shop.line, buyer=NewBuyer("")), "a name or a contact"),
        (lambda shop: place(shop.line, buyer=NewBuyer("", key=99)), "key of a buyer"),
        (lambda shop: place(99), "key of a line"),
        (lambda shop: place(holds=(str(uuid4()),)), "uuid of a hold"),
        (lambda shop: place(holds=("nonsense",)), "a uuid"),
        (lambda shop: place(pots=((99, 100),)), "key of a pot"),
        (lambda shop: place(pots=((shop.pots[0], -1),)), "money from 0"),
        (lambda shop: place(shop.line, key=" "), "a key of 1 to 200"),
        (lambda shop: place(shop.line, channel="mouth"), "one of by hand"),
        (lambda shop: place(shop.line, placed_at=LATER), "not later than now"),
        (lambda shop: place(shop.line, placed_at=NOW.replace(tzinfo=None)), "with its time zone"),
        (lambda shop: place(lines=(WantedLine(shop.line, 10_000), WantedLine(shop.line, 1))), "1 to 10000"),
        (lambda shop: changes.place_hold(a_hold(shop.line, minutes=0), who=WHO, now=NOW), "later than now"),
        (lambda shop: changes.open_release(99, who=WHO, now=NOW), "key of a release"),
        (lambda shop: changes.mark_sent(99, who=WHO, now=NOW), "number of an order"),
        (lambda shop: changes.offer_pots(shop.line, 9, who=WHO, now=NOW), "Only 0 pots"),
        (lambda shop: changes.save_line(shop.line, who=WHO, grade="large"), "Pots stand behind"),
        (lambda shop: changes.save_release(shop.release, who=WHO, opens_at=LATER, closes_at=NOW), "opening"),
        (
            lambda shop: changes.save_line(
                who=WHO, release=shop.release, taxon=shop.taxon, grade="standard", price_minor=1
            ),
            "already",
        ),
        (lambda shop: changes.remove_release(shop.release, who=WHO), "has lines"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_a_sentence(
    shop: Shop, refused: Callable[[Shop], object], sentence: str
) -> None:
    """Nothing of it is written."""
    before = queries.releases(NOW), queries.line_pots(shop.line, NOW)
    with pytest.raises(HalfwaterError, match=sentence):
        refused(shop)
    assert (queries.releases(NOW), queries.line_pots(shop.line, NOW)) == before
    assert queries.orders() == queries.holds() == queries.buyers() == ()


def test_a_line_nobody_ordered_can_be_taken_out(shop: Shop) -> None:
    """Its pots are free for another; one that was ordered stays."""
    changes.remove_line(shop.line, who=WHO, now=NOW)
    changes.remove_release(shop.release, who=WHO)
    assert queries.releases(NOW) == ()
    assert queries.offered_pots() == {}


def test_an_empty_release_is_not_opened() -> None:
    """A release needs pots, and one that was closed stays closed."""
    shop = a_shop(offered=0, is_open=False)
    with pytest.raises(RefusedByBook, match="No pot stands"):
        changes.open_release(shop.release, who=WHO, now=NOW)
    assert changes.offer_pots(shop.line, 2, who=WHO, now=NOW) == shop.pots[:2]
    assert changes.offer_pots(shop.line, shop.pots[1:3], who=WHO, now=NOW) == shop.pots[1:3]
    assert counts(shop)[0] == 3
    changes.close_release(shop.release, who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match="closed before"):
        changes.open_release(shop.release, who=WHO, now=NOW)
    with pytest.raises(RefusedInput, match="key of a line"):
        changes.offer_pots(99, 1, who=WHO, now=NOW)
