"""The packing bench and its parcels: begun, filled by taps, judged, sent or held back, told of."""

import re
from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from halfwater.book import queries
from halfwater.deeds import packing
from tests.deeds.nurseries import NOW, WHO
from tests.deeds.test_packing import MILD, an_order, goods, packed


def _page(client: Client, url: str) -> str:
    answer = client.get(url)
    assert answer.status_code == 200, url
    return answer.content.decode()


def _post(client: Client, url: str, **typed: object) -> tuple[int, str]:
    answer = client.post(url, typed, follow=True)
    return answer.status_code, answer.content.decode()


def _weather(key: int, weather: str) -> None:
    packing.arrange_parcel(key, {"weather": weather}, WHO, NOW)


def test_an_empty_bench_asks_for_a_box_and_keeps_it(client: Client) -> None:
    """Without a kind of box there is no verdict; one is added on its own sheet, a wrong wall is said."""
    assert "Add a box" in _page(client, "/packing/")
    box = {"name": "Foam box", "size": "400 x 300 x 250 mm", "walls": "glass 3 mm", "empty": "600"}
    code, page = _post(client, "/packing/goods/box/add/", **box)
    assert code == 422
    assert "“glass 3 mm” cannot be used here" in page
    _post(client, "/packing/goods/box/add/", **box | {"walls": "EPS I 25 mm", "postage": "2 kg 5.90"})
    (kept,) = queries.box_kinds()
    page = _page(client, f"/packing/goods/box/{kept.key}/")
    assert 'value="400 x 300 x 250 mm"' in page
    assert 'value="2 kg 5.90"' in page
    for kind, typed in (
        ("liner", {"name": "Foil", "wall": "foil bubble 4 mm"}),
        ("pack", {"name": "Pack", "hours": "40"}),
        ("way", {"name": "By post", "stops": "Depot 12 h indoors", "hand_over": "16"}),
    ):
        assert _post(client, f"/packing/goods/{kind}/add/", at_hand="yes", **typed)[0] == 200
    assert [one.pack.label_h for one in queries.heat_packs(at_hand_only=True)] == [40.0]
    listed = _page(client, "/packing/goods/")
    for name in ("Foam box", "Foil", "Pack", "By post"):
        assert name in listed
    for missing in ("/packing/goods/lid/add/", "/packing/goods/box/99/", "/packing/parcels/99/"):
        assert client.get(missing).status_code == 404


def test_rules_are_shown_as_they_stand_and_kept(client: Client) -> None:
    """The usual rules stand in the form; a rule that is typed holds, one that cannot be is said."""
    typed = {"hold_below": "-5", "ship_weekdays": "Monday, Thursday", "most_packs": "2"}
    assert _post(client, "/packing/rules/", **typed)[0] == 200
    rules = queries.ship_rules()
    assert rules
    assert (rules.hold_below_c, rules.ship_weekdays, rules.most_packs) == (-5.0, (0, 3), 2)
    assert 'value="Monday, Thursday"' in _page(client, "/packing/rules/")
    code, page = _post(client, "/packing/rules/", **typed | {"ship_weekdays": "someday"})
    assert (code, "Nothing was kept yet" in page) == (422, True)


def test_a_parcel_is_begun_once_filled_and_sent(client: Client) -> None:
    """The plan begins it, each tap fills it in walking order, undo takes a plant out, then it has left."""
    goods()
    order = an_order("2").number
    day = f"/packing/?day={NOW.date().isoformat()}"
    page = _page(client, day)
    assert f"Begin order {order}" in page
    mark = re.search(r'name="uuid" value="([^"]+)"', page)
    assert mark
    for _ in range(2):
        _post(client, f"/packing/orders/{order}/begin/", uuid=mark.group(1))
    (parcel,) = queries.parcels(order=order)
    url = f"/packing/parcels/{parcel.key}/"
    first, second = parcel.items
    page = _page(client, url)
    assert "No weather yet" in page
    assert page.index(first.spot) < page.index("In the box</button>")
    _post(client, f"{url}tick/", pot=first.pot, packed="yes")
    assert "1 of 2 in the box" in _page(client, url)
    _post(client, f"{url}tick/", pot=first.pot, packed="no")
    assert "0 of 2 in the box" in _page(client, url)
    for item in (first, second):
        _post(client, f"{url}tick/", pot=item.pot, packed="yes")
    assert f"{parcel.plants} of {parcel.plants} in the box" in _page(client, day) + _page(client, url)
    code, page = _post(client, f"{url}send/", weight="1500", postage="x", tracking="T 1")
    assert code == 422
    assert 'value="T 1"' in page
    code, page = _post(client, f"{url}send/", weight="1500", postage="5.90", tracking="T 1")
    assert (code, "How it arrived" in page) == (200, True)
    sent = queries.parcel(parcel.key)
    assert sent
    assert (sent.state, sent.weight_kg, sent.postage_paid_minor) == ("sent", 1.5, 590)


def test_the_verdict_stands_on_top_in_words_and_shape(client: Client) -> None:
    """Mild weather ships; frost, sent as a table, is held back until it is ticked that it goes anyway."""
    goods()
    key = packed(an_order("2").number, weather=MILD)
    url = f"/packing/parcels/{key}/"
    page = _page(client, url)
    assert re.search(r'class="verdict"><p class="verdict-word">Ship', page)
    for part in ("Coldest about", 'id="way"', "The same as a table", "How this was worked out", "Cautions"):
        assert part in page
    frost = SimpleUploadedFile("way.csv", b"leg,hours,min,max\nDepot,30,-14,-9\nVan,18,-16,-8\n")
    form = {"box": f"{queries.box_kinds()[0].key}", "liner": "none", "pack": "none", "packs": "0"}
    code, page = _post(client, f"{url}arrange/", table=frost, **form)
    assert code == 200
    assert re.search(r'class="verdict is-past"><p class="verdict-word">Hold it back', page)
    code, page = _post(client, f"{url}send/", weight="", postage="")
    assert (code, "Send it all the same" in page) == (422, True)
    code, page = _post(client, f"{url}arrange/", weather="soon", **form)
    assert (code, "“soon" in page) == (422, True)
    assert _post(client, f"{url}send/", anyway="yes")[0] == 200
    code, page = _post(client, f"{url}arrange/", **form)
    assert (code, 'role="alert"' in page) == (422, True)


def test_an_arrival_is_noted_with_its_logger(client: Client) -> None:
    """Alive, damaged, late and the logger's lowest are kept; more alive than were sent is said."""
    goods()
    key = packed(an_order("2").number, weather=MILD)
    url = f"/packing/parcels/{key}/"
    packing.send_parcel(key, {}, WHO, NOW)
    code, page = _post(client, f"{url}arrived/", on="", alive="9", damaged="0", late="0")
    assert code == 422
    told = {"on": NOW.date().isoformat(), "alive": "1", "damaged": "1", "late": "2", "low": "4"}
    code, page = _post(client, f"{url}arrived/", told="one leaf brown", **told)
    assert code == 200
    for part in ("1 of 2", "2 days late", "4 °C"):
        assert part in page
    found = queries.parcel(key)
    assert found
    assert found.arrival
    assert found.arrival.note == "one leaf brown"


def test_slip_and_label_print_from_the_page(client: Client) -> None:
    """The slip has the plants and how to unpack them, the label who gets it and that plants live."""
    goods()
    order = an_order("2").number
    key = packed(order)
    slip, label = (_page(client, f"/packing/parcels/{key}/{what}/") for what in ("slip", "label"))
    assert "2 plants" in slip
    assert "Unpack on the day" in slip
    assert "Live plants" in label
    assert "Anna" in label


def test_an_odd_request_is_no_fault(client: Client) -> None:
    """A day that is none, a pot that is none, an order that has no plant left, a form without its mark."""
    goods()
    order = an_order("1").number
    key = packed(order)
    assert client.get("/packing/?day=soon").status_code == 404
    assert client.post(f"/packing/parcels/{key}/tick/", {"pot": "x"}).status_code == 404
    _, page = _post(client, f"/packing/parcels/{key}/tick/", pot="99999", packed="yes")
    assert "is-refusal" in page
    _, page = _post(client, f"/packing/orders/{order}/begin/", uuid=f"{uuid4()}")
    assert "is-refusal" in page
    _, page = _post(client, f"/packing/orders/{order}/begin/", uuid="x")
    assert "is-refusal" in page
