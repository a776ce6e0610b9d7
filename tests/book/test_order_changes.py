"""Orders after they were placed: what is refused on the nursery's clock, and money that goes back."""

from datetime import timedelta

import pytest

from halfwater.book import changes, queries
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.selling import OrderFacts
from tests.book.builders import NOW, WHO
from tests.book.shops import a_hold, a_shop, an_order, place

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=1)


def the_order(number: int) -> OrderFacts:
    """The order as it stands."""
    found = queries.order(number)
    assert found is not None
    return found


def test_money_goes_back_up_to_what_the_order_came_to() -> None:
    """Goods and postage, in parts, also once it is cancelled; the last instant is kept; no coin more."""
    order = place(a_shop().line, 2, postage_minor=690, is_paid=True)
    changes.cancel_order(order.number, refund_minor=1000, who=WHO, now=NOW)
    changes.pay_back(order.number, 1590, who=WHO, now=LATER)
    told = the_order(order.number)
    assert (told.state, told.refund_minor, told.refunded_at) == ("cancelled", 2590, LATER)
    with pytest.raises(RefusedByBook, match=r"came to 25\.90 EUR, and 25\.90 EUR went back already: 0\.01"):
        changes.pay_back(order.number, 1, who=WHO, now=LATER)
    changes.take_refund_back(order.number, who=WHO)
    assert (the_order(order.number).refund_minor, the_order(order.number).refunded_at) == (0, None)
    other = place(queries.releases(NOW)[0].lines[0].key)
    with pytest.raises(RefusedByBook, match=r"came to 9\.50 EUR: 20\.00 EUR is more"):
        changes.cancel_order(other.number, refund_minor=2000, who=WHO, now=NOW)
    assert the_order(other.number).state == "placed"
    with pytest.raises(RefusedInput, match="the number of an order"):
        changes.pay_back(99, 1, who=WHO, now=NOW)


def test_a_refusal_tells_instants_on_the_nursery_clock() -> None:
    """Opening, closing, a hold's end and a future entry are told in local time, not in UTC."""
    shop = a_shop(is_open=False)
    changes.save_nursery(who=WHO, time_zone="America/New_York")
    changes.save_release(shop.release, who=WHO, opens_at=LATER, closes_at=LATER + timedelta(hours=2))
    changes.open_release(shop.release, who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match=r"opens on 20 Nov 2026 at 16:00\."):
        place(shop.line)
    with pytest.raises(RefusedByBook, match=r"closed on 20 Nov 2026 at 18:00\."):
        changes.place_order(an_order(shop.line), who=WHO, now=LATER + timedelta(hours=2))
    changes.save_release(shop.release, who=WHO, opens_at=NOW, closes_at=None)
    held = changes.place_hold(a_hold(shop.line, 4, minutes=60), who=WHO, now=NOW)
    for refused in (
        lambda: changes.take_back_pots(shop.pots, who=WHO, now=NOW),
        lambda: changes.set_state(shop.pots[0], "kept", at=NOW, who=WHO, now=NOW),
    ):
        with pytest.raises(RefusedByBook, match=r"held for a buyer until 20 Nov 2026 at 16:00"):
            refused()
    changes.let_hold_go(held.uuid, who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match=r"was let go on 20 Nov 2026 at 15:00\."):
        place(None, holds=(held.uuid,))
    with pytest.raises(RefusedInput, match=r"20 Nov 2026 at 16:00.* than now, 20 Nov 2026 at 15:00"):
        place(shop.line, placed_at=LATER)
