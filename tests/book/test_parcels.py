"""Parcels in the book: a pot in one of them at most, and an order that leaves with its last."""

from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from halfwater.book import changes, queries
from halfwater.book.models import Parcel, ParcelItem
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.selling import OrderFacts
from halfwater.plain.transit import Leg, PostageBand, WallLayer
from tests.book.builders import NOW, WHO
from tests.book.shops import BEN, a_shop, place

pytestmark = pytest.mark.django_db
WALLS = (WallLayer("EPS I", 25.0),)
SIDES = {"length_mm": 400.0, "width_mm": 300.0, "height_mm": 250.0, "layers": WALLS, "empty_kg": 0.5}


def a_box(name: str = "Box", **fields: object) -> int:
    """A kind of box."""
    return changes.save_box(who=WHO, name=name, **(SIDES | fields))


def pots_of(order: OrderFacts) -> list[int]:
    """The pots promised to an order."""
    return [pot.pot for line in order.lines for pot in line.pots]


def begun(order: int, pots: list[int] | None = None, **fields: object) -> int:
    """A parcel of an order, every plant of it in the box."""
    key = changes.start_parcel(uuid4(), order, pots, who=WHO, now=NOW, **fields)
    facts = queries.parcel(key)
    assert facts is not None
    for item in facts.items:
        changes.tick_pot(key, item.pot, True, who=WHO, now=NOW)
    return key


def state_of(number: int) -> str:
    """How far an order has come."""
    found = queries.order(number)
    assert found is not None
    return found.state


def test_a_pot_is_in_one_parcel_at_most() -> None:
    """A second parcel cannot take it, and the database would not let it either."""
    order = place(a_shop(4).line, 2)
    pots = pots_of(order)
    key = changes.start_parcel(uuid4(), order.number, pots[:1], who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match="in another parcel already"):
        changes.start_parcel(uuid4(), order.number, pots[:1], who=WHO, now=NOW)
    line = order.lines[0].key
    other = Parcel.objects.create(uuid=uuid4(), started_at=NOW)
    with pytest.raises(IntegrityError), transaction.atomic():
        ParcelItem.objects.create(parcel=other, pot_id=pots[0], order_line_id=line)
    rest = changes.start_parcel(uuid4(), order.number, who=WHO, now=NOW)
    assert rest != key
    with pytest.raises(RefusedByBook, match="Every plant of order"):
        changes.start_parcel(uuid4(), order.number, who=WHO, now=NOW)


def test_an_order_leaves_with_its_last_parcel_and_arrives_with_it() -> None:
    """Two parcels: after the first the pots still stand; after the second they are sold."""
    order = place(a_shop(4).line, 3)
    pots = pots_of(order)
    first, second = begun(order.number, pots[:2]), begun(order.number)
    assert state_of(order.number) == "packed"
    assert changes.send_parcel(first, who=WHO, now=NOW) == ()
    assert queries.standing_pot(pots[0]).state == "ready"  # type: ignore[union-attr]
    assert changes.send_parcel(second, who=WHO, now=NOW, weight_kg=1.2) == (order.number,)
    assert changes.send_parcel(second, who=WHO, now=NOW) == ()
    assert {queries.standing_pot(pot).state for pot in pots} == {"sold"}  # type: ignore[union-attr]
    on = NOW.date() + timedelta(days=2)
    changes.note_arrival(first, who=WHO, now=NOW, on=on, alive=2)
    assert state_of(order.number) == "sent"
    changes.note_arrival(second, who=WHO, now=NOW, on=on, alive=0)
    assert state_of(order.number) == "arrived"
    changes.note_arrival(second, who=WHO, now=NOW, on=on, alive=1, damaged=1)
    arrival = queries.parcel(second).arrival  # type: ignore[union-attr]
    assert arrival is not None
    assert (arrival.alive, arrival.damaged) == (1, 1)


def test_what_was_cancelled_or_died_must_be_taken_out_first() -> None:
    """It is told apart, stops the parcel, and a parcel without a plant is not begun any more."""
    order = place(a_shop(4).line, 2)
    line = order.lines[0].key
    key = begun(order.number)
    changes.cancel_order(order.number, {line: 1}, who=WHO, now=NOW)
    facts = queries.parcel(key)
    assert facts is not None
    assert (len(facts.items), len(facts.gone)) == (1, 1)
    with pytest.raises(RefusedByBook, match="take it out first"):
        changes.send_parcel(key, who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match="not wanted any more"):
        changes.tick_pot(key, facts.gone[0].pot, False, who=WHO, now=NOW)
    changes.take_out(key, [facts.gone[0].pot], who=WHO)
    assert changes.send_parcel(key, who=WHO, now=NOW) == (order.number,)
    with pytest.raises(RefusedByBook, match="what is in it stays"):
        changes.take_out(key, [facts.items[0].pot], who=WHO)


def test_a_pot_freed_by_one_order_goes_into_the_next_ones_parcel() -> None:
    """The stale place in an open parcel gives way."""
    shop = a_shop(1)
    first = place(shop.line, 1)
    old = changes.start_parcel(uuid4(), first.number, who=WHO, now=NOW)
    changes.cancel_order(first.number, who=WHO, now=NOW)
    second = place(shop.line, 1, buyer=BEN)
    new = changes.start_parcel(uuid4(), second.number, who=WHO, now=NOW)
    assert [item.order for item in queries.parcel(new).items] == [second.number]  # type: ignore[union-attr]
    assert queries.parcel(old).items == ()  # type: ignore[union-attr]


def test_a_parcel_is_of_one_buyer() -> None:
    """Two orders of one buyer share it; another buyer's do not go in."""
    shop = a_shop(4)
    one, two, other = place(shop.line), place(shop.line), place(shop.line, buyer=BEN)
    key = begun(one.number)
    changes.add_to_parcel(key, two.number, who=WHO)
    with pytest.raises(RefusedByBook, match="another buyer"):
        changes.add_to_parcel(key, other.number, who=WHO)
    changes.tick_pot(key, pots_of(two)[0], True, who=WHO, now=NOW)
    assert changes.send_parcel(key, who=WHO, now=NOW) == (one.number, two.number)


def test_what_is_known_of_a_parcel_is_kept_as_said() -> None:
    """Box, legs and weight come back; after it left only weight, tracking, postage and note change."""
    order = place(a_shop(2).line, 1)
    legs = (Leg("Depot", 12.0, 3.0, 9.0, 16.0, "indoors", 1.0),)
    pack = changes.save_heat_pack(who=WHO, name="Pack", label_h=40.0)
    with pytest.raises(RefusedInput, match="a kind of heat pack with it"):
        begun(order.number, packs=1)
    key = begun(order.number, box=a_box(postage=(PostageBand(2.0, 590),)), pack=pack, packs=2, legs=legs)
    facts = queries.parcel(key)
    assert facts is not None
    assert facts.box is not None
    assert (facts.legs, facts.packs, facts.box.box.postage) == (legs, 2, (PostageBand(2.0, 590),))
    with pytest.raises(RefusedInput, match="the lowest first"):
        changes.change_parcel(key, who=WHO, legs=(Leg("Depot", 12.0, 9.0, 3.0),))
    changes.send_parcel(key, who=WHO, now=NOW)
    changes.change_parcel(key, who=WHO, tracking="N-1", postage_paid_minor=590)
    with pytest.raises(RefusedByBook, match="its box stays as it was"):
        changes.change_parcel(key, who=WHO, box=None)


def test_a_box_that_was_used_stays_in_the_book() -> None:
    """It can be put away, not removed; an unused one goes."""
    order = place(a_shop(2).line, 1)
    used, unused = a_box("Used"), a_box("Unused")
    begun(order.number, box=used)
    changes.remove_kind("box", unused, who=WHO)
    with pytest.raises(RefusedByBook, match="not at hand"):
        changes.remove_kind("box", used, who=WHO)
    changes.save_box(used, who=WHO, is_at_hand=False)
    assert queries.box_kinds(at_hand_only=True) == ()
    assert [one.how for one in queries.history("box", used)] == ["changed", "new"]
    with pytest.raises(RefusedInput, match="the lightest first"):
        a_box("Odd", postage=(PostageBand(2.0, 590), PostageBand(1.0, 490)))


def test_money_rows_are_written_changed_and_removed_with_a_past() -> None:
    """A purchase, and the price of a day, which is one."""
    key = changes.save_purchase(who=WHO, on=date(2026, 3, 1), kind="feed", text="Feed", amount_minor=1200)
    changes.save_purchase(key, who=WHO, amount_minor=1250)
    assert [one.amount_minor for one in queries.purchases()] == [1250]
    changes.remove_money_row("purchase", key, who=WHO)
    assert [one.how for one in queries.history("purchase", key)] == ["removed", "changed", "new"]
    first = changes.save_tariff(who=WHO, from_on=date(2026, 1, 1), kwh_minor="30.25")
    assert changes.save_tariff(who=WHO, from_on=date(2026, 1, 1), kwh_minor="31.5") == first
    assert [one.kwh_minor for one in queries.tariffs()] == [31.5]
    with pytest.raises(RefusedInput, match="a price from 0"):
        changes.save_tariff(who=WHO, from_on=date(2026, 2, 1), kwh_minor="nan")
    with pytest.raises(RefusedInput, match="the key of a fee"):
        changes.remove_money_row("fee", 9, who=WHO)


def test_a_taxon_tells_its_own_care_note() -> None:
    """Kept with its taxon; the others stay without."""
    key = changes.save_taxon(who=WHO, name="Moss fern")
    changes.save_taxon(key, who=WHO, care="Keep it moist.")
    (taxon,) = [one for one in queries.taxa() if one.key == key]
    assert taxon.care == "Keep it moist."
