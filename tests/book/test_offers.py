"""Pots behind lines and orders, and what else may be done with them."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from halfwater.book import changes, queries
from halfwater.errors import RefusedByBook
from tests.book.builders import NOW, WHO
from tests.book.shops import POTTED, Shop, a_hold, a_shop, an_order, place

pytestmark = pytest.mark.django_db
YEAR_MIN = 365 * 24 * 60
LATER = NOW + timedelta(hours=1)
Deed = Callable[[Shop, int], object]
# What takes a pot another way: a free one leaves its line for it, a promised one stays.
OTHER_WAYS: dict[str, Deed] = {
    "sold": lambda shop, pot: changes.set_state(pot, "sold", who=WHO, at=NOW, now=NOW),
    "kept": lambda shop, pot: changes.set_state(pot, "kept", who=WHO, at=NOW, now=NOW),
    "cut": lambda shop, pot: changes.cut_pot(pot, 2, who=WHO, at=NOW, now=NOW),
    "set sold": lambda shop, pot: changes.set_pot(shop.tank, spot_of(pot), shop.batch, "sold", who=WHO),
    "set kept": lambda shop, pot: changes.set_pot(shop.tank, spot_of(pot), shop.batch, "kept", who=WHO),
    "set away": lambda shop, pot: changes.set_pot(shop.tank, spot_of(pot), None, who=WHO),
}


@pytest.fixture
def shop() -> Shop:
    """Four pots behind the open line of a release."""
    return a_shop()


def spot_of(pot: int) -> str:
    """Where a pot stands."""
    found = queries.standing_pot(pot)
    assert found is not None
    return found.spot


@pytest.mark.parametrize("way", OTHER_WAYS)
def test_a_free_pot_that_goes_another_way_leaves_its_line(shop: Shop, way: str) -> None:
    """The line counts one less."""
    OTHER_WAYS[way](shop, shop.pots[0])
    assert shop.pots[0] not in queries.offered_pots()
    assert queries.releases(NOW)[0].lines[0].free == 3


@pytest.mark.parametrize("way", OTHER_WAYS)
@pytest.mark.parametrize("taken", ["promised", "held"])
def test_a_taken_pot_goes_no_other_way(shop: Shop, way: str, taken: str) -> None:
    """The refusal names the order, or until when it is held; nothing is written."""
    if taken == "promised":
        said = f"promised to order {place(shop.line).number}"
    else:
        changes.place_hold(a_hold(shop.line, minutes=50 * YEAR_MIN), who=WHO, now=NOW)
        said = "is held for a buyer until 7 Nov 2076 at 20:00"
    before = queries.standing_pot(shop.pots[0])
    with pytest.raises(RefusedByBook, match=said):
        OTHER_WAYS[way](shop, shop.pots[0])
    assert queries.standing_pot(shop.pots[0]) == before
    assert queries.entries() == ()


def test_a_hold_that_has_run_out_stands_in_no_ones_way(shop: Shop) -> None:
    """From then on the pot may go another way."""
    changes.place_hold(a_hold(shop.line), who=WHO, now=NOW)
    changes.set_state(shop.pots[0], "kept", who=WHO, at=LATER, now=LATER)
    assert queries.offered_pots().keys() == set(shop.pots[1:])


def test_other_states_and_deeds_leave_an_offer_alone(shop: Shop) -> None:
    """A pot is counted, moved and found growing again while it is promised."""
    placed = place(shop.line)
    changes.count_pot(shop.pots[0], 11, who=WHO, at=NOW, now=NOW)
    changes.set_state(shop.pots[0], "growing", who=WHO, at=NOW, now=NOW)
    changes.set_spots(shop.tank, ["A1", "A2", "A3", "A4", "B1"])
    changes.move_pot(shop.pots[0], shop.tank, "B1", who=WHO, at=NOW, now=NOW)
    told = queries.order(placed.number)
    assert told is not None
    assert [(pot.spot, pot.leaves) for pot in told.lines[0].pots] == [("B1", 11)]


def test_a_lost_pot_ends_every_offer(shop: Shop) -> None:
    """Free, held or promised: it is off the line, and back alive it may be offered anew."""
    place(shop.line)
    changes.place_hold(a_hold(shop.line), who=WHO, now=NOW)
    losses = [changes.lose_pot(pot, "rot", who=WHO, at=NOW, now=NOW) for pot in shop.pots[:3]]
    line = queries.releases(NOW)[0].lines[0]
    assert (line.free, line.held, line.ordered, line.lost) == (1, 0, 0, 1)
    changes.void_entry(losses[2], "it lives", WHO, NOW)
    assert shop.pots[2] not in queries.offered_pots()
    changes.offer_pots(shop.line, [shop.pots[2]], who=WHO, now=NOW)
    assert queries.releases(NOW)[0].lines[0].free == 2


@pytest.mark.parametrize(
    ("state", "said"), [("kept", "let it go first"), ("sold", "is sold"), ("lost", "is lost")]
)
def test_a_pot_that_is_not_for_sale_is_not_offered(state: str, said: str) -> None:
    """Kept, sold and lost ones are refused by name, and none of the others is taken."""
    shop = a_shop(offered=0, is_open=False)
    if state == "lost":
        changes.lose_pot(shop.pots[0], "rot", who=WHO, at=NOW, now=NOW)
    else:
        changes.set_state(shop.pots[0], state, who=WHO, at=NOW, now=NOW)
    with pytest.raises(RefusedByBook, match=said):
        changes.offer_pots(shop.line, shop.pots, who=WHO, now=NOW)
    assert queries.offered_pots() == {}
    with pytest.raises(RefusedByBook, match="Only 3 pots"):
        changes.offer_pots(shop.line, 4, who=WHO, now=NOW)


def test_a_pot_stands_behind_one_line(shop: Shop) -> None:
    """In another release it is refused until it is taken back; one of another taxon always is."""
    other = changes.save_release(who=WHO, name="December")
    fields = {"release": other, "grade": "standard", "price_minor": 900}
    line = changes.save_line(who=WHO, taxon=shop.taxon, **fields)
    with pytest.raises(RefusedByBook, match="offered in November already"):
        changes.offer_pots(line, [shop.pots[0]], who=WHO, now=NOW)
    assert changes.take_back_pots(shop.pots[:1], who=WHO, now=NOW) == 1
    assert changes.take_back_pots(shop.pots[:1], who=WHO, now=NOW) == 0
    changes.offer_pots(line, [shop.pots[0]], who=WHO, now=NOW)
    foreign = changes.save_line(
        who=WHO, taxon=changes.save_taxon(who=WHO, name="Other"), **fields | {"grade": "large"}
    )
    with pytest.raises(RefusedByBook, match="another taxon"):
        changes.offer_pots(foreign, [shop.pots[0]], who=WHO, now=NOW)
    placed = place(shop.line)
    with pytest.raises(RefusedByBook, match=f"promised to order {placed.number}"):
        changes.take_back_pots(shop.pots[1:2], who=WHO, now=NOW)


def test_the_ready_and_the_largest_are_offered_first() -> None:
    """Of a number of pots; those graded otherwise by hand and those settling are left out."""
    shop = a_shop(5, offered=0, is_open=False)
    changes.set_state(shop.pots[0], "growing", who=WHO, at=NOW, now=NOW)
    changes.count_pot(shop.pots[3], 12, who=WHO, at=NOW, now=NOW)
    changes.set_grade(shop.pots[1], "large", who=WHO)
    changes.set_state(shop.pots[2], "settling", who=WHO, at=NOW, now=NOW)
    offered = changes.offer_pots(shop.line, 3, who=WHO, now=NOW)
    assert offered == tuple(sorted((shop.pots[3], shop.pots[4], shop.pots[0])))
    changes.take_back_pots(offered, who=WHO, now=NOW)
    assert changes.offer_pots(shop.line, 1, who=WHO, now=NOW) == (shop.pots[3],)


def test_a_batch_with_an_order_stays_in_the_book(shop: Shop) -> None:
    """Its offers alone do not keep it, an order does until it is cancelled."""
    spare = changes.save_batch(who=WHO, name="MF-2", taxon=shop.taxon, potted_on=POTTED)
    changes.set_spots(shop.tank, ["A1", "A2", "A3", "A4", "B1"])
    pots = changes.place_pots(shop.tank, ["B1"], spare, "ready", who=WHO)
    changes.offer_pots(shop.line, pots, who=WHO, now=NOW)
    changes.remove_batch(spare, who=WHO)
    assert len(queries.offered_pots()) == 4
    placed = place(shop.line)
    with pytest.raises(RefusedByBook, match=f"promised to order {placed.number}"):
        changes.remove_batch(shop.batch, who=WHO)
    changes.cancel_order(placed.number, who=WHO, now=NOW)
    changes.remove_batch(shop.batch, who=WHO)


def test_two_thousand_pots_are_read_in_a_handful_of_queries(
    django_assert_max_num_queries: Callable[[int], object],
) -> None:
    """A release page asks for its line and every pot behind it, in six queries at most."""
    shop = a_shop(300)
    place(shop.line, 40)
    with django_assert_max_num_queries(6):  # type: ignore[attr-defined]
        found = queries.release(shop.release, NOW)
        assert found is not None
        assert len(queries.line_pots(found.lines[0].key, NOW)) == 300
    with django_assert_max_num_queries(3):  # type: ignore[attr-defined]
        assert queries.orders(release=shop.release)[0].plants == 40


def test_orders_are_found_by_state_day_buyer_and_release(shop: Shop) -> None:
    """Newest first."""
    first, second = place(shop.line), place(shop.line, placed_at=NOW - timedelta(days=3))
    by_hand = place(pots=((shop.pots[3], 900),))
    changes.mark_paid(second.number, who=WHO, now=NOW, fee_minor=35)
    told = [by_hand.number, first.number, second.number]
    assert [one.number for one in queries.orders()] == told
    assert [one.number for one in queries.orders(release=shop.release)] == told[1:]
    assert [one.fee_minor for one in queries.orders(states=("paid",))] == [35]
    assert [one.number for one in queries.orders(since=NOW - timedelta(days=1))] == told[:2]
    assert len(queries.orders(buyer=first.buyer.key)) == 3
    assert queries.order_of_key(first.key) == queries.order(first.number)
    assert queries.order_of_key("none") is queries.order(99) is None


def test_a_sold_out_line_tells_when_the_last_pot_went(shop: Shop) -> None:
    """With what was sold when, what was cancelled, and what was taken off before anyone wanted it."""
    opened = NOW - timedelta(hours=1)
    changes.take_back_pots([shop.pots[0]], who=WHO, now=opened)
    first = place(shop.line, 2, placed_at=NOW - timedelta(minutes=30))
    key = first.lines[0].key
    changes.cancel_order(first.number, {key: 1}, who=WHO, now=NOW - timedelta(minutes=20))
    (open_line,) = queries.past_lines(NOW)
    assert (open_line.offered, open_line.sold, open_line.is_sold_out) == (3, 1, False)
    assert [(sale.plants, sale.cancelled_at) for sale in open_line.sales] == [
        (1, None), (1, NOW - timedelta(minutes=20)),
    ]  # fmt: skip
    changes.place_order(an_order(shop.line, 2), who=WHO, now=LATER)
    (line,) = queries.past_lines(LATER)
    assert (line.sold, line.sold_out_at, line.closed_at) == (3, LATER, None)
    changes.close_release(shop.release, who=WHO, now=LATER)
    assert queries.past_lines(LATER) == (line,)
    assert queries.past_lines(opened - timedelta(hours=1)) == ()


def test_a_line_that_is_closed_with_pots_left_is_not_sold_out(shop: Shop) -> None:
    """What came off at closing was offered all the same."""
    place(shop.line)
    changes.close_release(shop.release, who=WHO, now=LATER)
    (line,) = queries.past_lines(LATER)
    assert (line.offered, line.sold, line.sold_out_at, line.closed_at) == (4, 1, None, LATER)
    told = queries.release(shop.release, LATER)
    assert told is not None
    assert (told.state, told.lines[0].offered, told.lines[0].sold_out_at) == ("closed", 4, None)
