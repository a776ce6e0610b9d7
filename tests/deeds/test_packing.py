"""The packing bench: goods as typed, weather of a way, parcels filled, sent, held back, arrived."""

from datetime import date, timedelta
from uuid import uuid4

import pytest

from halfwater.book import changes, queries
from halfwater.deeds import packing, packing_goods
from halfwater.deeds.arrivals import arrival_facts, margins_now, note_arrival
from halfwater.deeds.sheet import RefusedSheet
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.selling import OrderFacts
from halfwater.planning.transit_limits import USUAL_RULES
from tests.deeds.nurseries import NOW, WHO
from tests.deeds.test_releases import a_release, ordered

pytestmark = pytest.mark.django_db
BOX = {
    "name": "Foam box", "size": "400 x 300 x 250 mm", "walls": "EPS I 25 mm; cardboard 4 mm",
    "empty": "600 g", "most": "8 kg", "price": "2.50", "postage": "2 kg 5.90; 10 kg 8.90",
}  # fmt: skip
MILD = "Depot 12 h, 14 to 18 C, indoors; Van 8 h, 12 to 19 C, vehicle"
FROST = "Depot 30 h, -14 to -9 C; Van 18 h, -16 to -8 C, vehicle"


def goods() -> None:
    """A box, a liner and a heat pack."""
    packing_goods.save_box_sheet(BOX, WHO)
    packing_goods.save_liner_sheet({"name": "Foil", "wall": "foil bubble 4 mm", "price": "0.80"}, WHO)
    packing_goods.save_heat_pack_sheet({"name": "Pack", "hours": "40 h", "price": "1.20"}, WHO)


def an_order(plants: str = "3", ship_on: date | None = None) -> OrderFacts:
    """An order of Anna's that leaves on a day."""
    _, line = a_release("6", is_open=True)
    made = ordered(line, plants, paid="on")
    changes.set_ship_day(made.number, ship_on or NOW.date(), who=WHO)
    return made


def packed(number: int, **typed: str) -> int:
    """A parcel of an order with every plant in it."""
    started = packing.start_parcel(number, {"box": "Foam box"} | typed, uuid4(), WHO, NOW)
    for item in started.items:
        packing.tick_pot(started.key, item.pot, True, WHO, NOW)
    return started.key


def test_goods_are_read_as_typed_and_refused_by_field() -> None:
    """A box has its walls and bands of postage; what cannot be is said beside its field."""
    goods()
    (box,) = queries.box_kinds()
    assert (box.box.inside_l, box.box.empty_kg, box.box.most_kg) == (30.0, 0.6, 8.0)
    assert [(one.material, one.thickness_mm) for one in box.box.layers] == [("EPS I", 25), ("cardboard", 4)]
    assert [(one.most_kg, one.cost_minor) for one in box.box.postage] == [(2.0, 590), (10.0, 890)]
    for field, text in (
        ("walls", "glass 3 mm"),
        ("postage", "5 kg 4; 1 kg 3"),
        ("size", "40 x 30"),
        ("empty", ""),
    ):
        with pytest.raises(RefusedSheet) as refused:
            packing_goods.save_box_sheet(BOX | {"name": "Other", field: text}, WHO)
        assert refused.value.refused[0].field == field


def test_a_new_book_starts_with_the_usual_rules_and_keeps_the_grower_s() -> None:
    """Until rules are written the usual ones hold; an empty field is no rule."""
    assert packing_goods.rules_now() == USUAL_RULES
    packing_goods.save_ship_rule_sheet(
        {"hold_below": "2 C", "pack_below": "none", "ship_weekdays": "mon, Tuesday", "standard": "0.4 l"}, WHO
    )
    rules = packing_goods.rules_now()
    assert (rules.hold_below_c, rules.pack_below_c, rules.ship_weekdays) == (2.0, None, (0, 1))
    assert queries.plant_room().standard_l == 0.4


def test_a_parcel_is_planned_filled_in_walking_order_and_sent() -> None:
    """The plan names a box; plants are ticked in the order of their spots; the order leaves with it."""
    goods()
    order = an_order()
    bench = packing.packing_bench(NOW)
    assert (bench.on, len(bench.pick), len(bench.orders)) == (NOW.date(), 3, 1)
    plan = bench.orders[0].plan
    assert plan is not None
    assert [one.box.name for one in plan.parcels] == ["Foam box"]
    (parcel,) = packing.start_planned(order.number, uuid4(), WHO, NOW)
    with pytest.raises(RefusedByBook, match="3 plants are not in the box yet"):
        packing.send_parcel(parcel.key, {}, WHO, NOW)
    spots = []
    while (item := packing.parcel_view(parcel.key).next_item) is not None:
        spots.append(item.spot)
        packing.tick_pot(parcel.key, item.pot, True, WHO, NOW)
    assert spots == sorted(spots)
    kept = queries.order(order.number)
    assert kept is not None
    assert kept.state == "packed"
    assert packing.send_parcel(
        parcel.key, {"weight": "1.4 kg", "postage": "5.90", "tracking": "X1"}, WHO, NOW
    ) == (order.number,)
    sent = packing.parcel_view(parcel.key)
    assert (sent.facts.weight_kg, sent.facts.postage_paid_minor, sent.verdict) == (1.4, 590, "Sent")
    assert packing.packing_bench(NOW).pick == ()


def test_a_plant_taken_out_again_makes_the_order_unpacked() -> None:
    """Ticked by mistake: the plant and its order are not packed any more."""
    goods()
    order = an_order("2")
    key = packed(order.number)
    first = packing.parcel_view(key).facts.items[0]
    packing.tick_pot(key, first.pot, False, WHO, NOW)
    kept = queries.order(order.number)
    assert kept is not None
    assert kept.state == "paid"


def test_frost_holds_a_parcel_back_unless_the_grower_insists() -> None:
    """Below zero the verdict is to hold it back, and sending needs a tick; what was said then is kept."""
    goods()
    order = an_order()
    key = packed(order.number, weather=FROST)
    view = packing.parcel_view(key)
    assert (view.verdict, view.advice is not None) == ("Hold it back", True)
    with pytest.raises(RefusedByBook, match="all the same"):
        packing.send_parcel(key, {}, WHO, NOW)
    packing.send_parcel(key, {"anyway": "on"}, WHO, NOW)
    said = packing.parcel_view(key).facts.said
    assert said is not None
    assert said.decision == "hold"
    assert said.bare_coldest.p10 <= said.bare_coldest.p90 < 10.0


def test_weather_is_remembered_with_its_way() -> None:
    """A way to the buyer's place brings the weather that was typed last."""
    goods()
    packing_goods.save_route_sheet({"name": "Post", "place": "Northland", "stops": "Depot 12 h indoors"}, WHO)
    order = an_order()
    key = packed(order.number)
    assert packing.parcel_view(key).verdict == "No weather yet"
    packing.arrange_parcel(key, {"weather": MILD}, WHO, NOW)
    (route,) = queries.routes()
    assert [leg.kind for leg in route.legs] == ["indoors", "vehicle"]
    assert (route.legs_on, packing.parcel_view(key).verdict) == (NOW.date(), "Ship")


def test_an_arrival_is_noted_and_teaches() -> None:
    """Two of three alive: the order has arrived, and margins know one parcel."""
    goods()
    order = an_order()
    key = packed(order.number, weather=MILD)
    with pytest.raises(RefusedByBook, match="not sent yet"):
        note_arrival(key, {}, WHO, NOW)
    packing.send_parcel(key, {}, WHO, NOW)
    later = NOW + timedelta(days=2)
    with pytest.raises(RefusedInput, match="at most the 3"):
        note_arrival(key, {"alive": "4"}, WHO, later)
    note_arrival(key, {"dead": "1", "damaged": "1", "low": "9 C"}, WHO, later)
    (fact,) = arrival_facts()
    assert (fact.alive, fact.damaged, fact.logger_low_c) == (2, 1, 9.0)
    assert margins_now().parcels == 1
    kept = queries.order(order.number)
    assert kept is not None
    assert kept.state == "arrived"


def test_a_parcel_begun_twice_is_one_and_a_dead_plant_stops_it() -> None:
    """The same id is the same parcel; a plant that dies in it must be taken out and made up for."""
    goods()
    order = an_order("2")
    uuid = uuid4()
    first = packing.start_parcel(order.number, {"box": "Foam box"}, uuid, WHO, NOW)
    assert packing.start_parcel(order.number, {"box": "Foam box"}, uuid, WHO, NOW).key == first.key
    for item in first.items:
        packing.tick_pot(first.key, item.pot, True, WHO, NOW)
    changes.lose_pot(first.items[0].pot, "rot", who=WHO, at=NOW, now=NOW)
    with pytest.raises(RefusedByBook, match="take it out first"):
        packing.send_parcel(first.key, {}, WHO, NOW)
    left = packing.take_out(first.key, first.items[0].pot, WHO)
    assert left is not None
    assert left.plants == 1
    with pytest.raises(RefusedByBook, match="misses 1"):
        packing.send_parcel(first.key, {}, WHO, NOW)
