"""A line's own page and an order's: changed, filled, emptied, held from, substituted, sent on its way."""

from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from halfwater.book import queries
from tests.web.test_sales import opened, ordered, text

pytestmark = pytest.mark.django_db


def page_of(release: int, line: int) -> str:
    """Where a line stands."""
    return f"/sales/{release}/line/{line}/"


def test_a_line_is_changed_on_its_page(client: Client) -> None:
    """Price, limit, words and photo; a bad price is answered in place and changes nothing."""
    release, line = opened(client)
    where = page_of(release, line)
    bad = client.post(f"{where}change/", {"price": "much", "text": "Broad leaves"})
    assert bad.status_code == 422
    assert "Broad leaves" in bad.content.decode()
    picture = BytesIO()
    Image.new("RGB", (40, 30), "green").save(picture, "JPEG")
    typed = {"price": "11.20", "limit": "2", "text": "Broad leaves",
             "photo": SimpleUploadedFile("p.jpg", picture.getvalue())}  # fmt: skip
    assert client.post(f"{where}change/", typed).status_code == 302
    (kept,) = queries.releases()[0].lines
    assert (kept.price_minor, kept.limit_per_buyer, kept.text) == (1120, 2, "Broad leaves")
    assert f"/photos/{kept.photo}" in text(client, f"/sales/{release}/")
    client.post(f"{where}change/", {"price": "11.20", "no_photo": "yes"})
    assert queries.releases()[0].lines[0].photo == ""
    assert queries.releases()[0].lines[0].limit_per_buyer is None


def test_ticked_pots_are_taken_back(client: Client) -> None:
    """Those ticked go; none ticked, or a pot of elsewhere, takes nothing."""
    release, line = opened(client)
    pots = [pot.pot for pot in queries.line_pots(line)]
    for ticked in ([], [pots[0], 987654]):
        client.post(f"{page_of(release, line)}back/", {"pot": ticked})
        assert len(queries.line_pots(line)) == len(pots)
    client.post(f"{page_of(release, line)}back/", {"pot": pots[:2]})
    assert {pot.pot for pot in queries.line_pots(line)} == set(pots[2:])


def test_plants_are_held_and_let_go(client: Client) -> None:
    """The hold stands on the line's page with its buyer, and one press frees its plants."""
    release, line = opened(client)
    held = {"plants": "2", "name": "Dora", "uuid": f"{uuid4()}"}
    assert client.post(f"{page_of(release, line)}hold/", held).status_code == 302
    assert "2 plants for Dora" in text(client, page_of(release, line))
    assert queries.releases()[0].lines[0].held == 2
    client.post(f"/sales/holds/{held['uuid']}/go/")
    assert queries.releases()[0].lines[0].held == 0
    too_many = client.post(f"{page_of(release, line)}hold/", held | {"plants": "99", "uuid": f"{uuid4()}"})
    assert too_many.status_code == 422


def test_opening_and_closing_are_asked_first(client: Client) -> None:
    """Looking at the question changes nothing; it says what closing does."""
    release, line = opened(client)
    told = text(client, f"/sales/{release}/close/")
    assert "Back into the stock: 6 free pots and 0 held plants." in told
    assert queries.releases()[0].state == "open"
    text(client, f"/sales/{release}/burn/", 404)
    assert "Take Anubias" in text(client, f"{page_of(release, line)}remove/")
    client.post(f"{page_of(release, line)}remove/")
    assert queries.releases()[0].lines == ()


def test_an_ordered_line_stays(client: Client) -> None:
    """A line with an order is not taken out: the page says why."""
    release, line = opened(client)
    ordered(client, release, line)
    client.post(f"{page_of(release, line)}remove/")
    assert len(queries.releases()[0].lines) == 1
    assert "stays in the book" in text(client, page_of(release, line))


def test_plants_of_another_line_stand_in_at_another_price(client: Client) -> None:
    """One of two plants is given from the line of another grade; the order holds both."""
    release, line = opened(client, pots="4")
    typed = {"taxon": "Anubias barteri var. nana", "grade": "large", "price": "14", "pots": "North B3-B4"}
    other = client.post(f"/sales/{release}/line/", typed)
    assert other.status_code == 302
    large = next(one for one in queries.releases()[0].lines if one.grade == "large")
    number = ordered(client, release, line)
    (own,) = queries.orders()[0].lines
    where = f"/sales/orders/{number}/others/{own.key}/"
    assert client.post(where, {"plants": "nine", "from_line": large.key}).status_code == 422
    client.post(where, {"plants": "1", "from_line": large.key, "price": "12"})
    lines = {one.grade: (one.plants - one.cancelled, one.price_minor) for one in queries.orders()[0].lines}
    assert lines == {"standard": (1, 950), "large": (1, 1200)}
    assert "In place of" in text(client, f"/sales/orders/{number}/")


def test_a_slip_is_taken_back_and_the_ship_day_is_kept(client: Client) -> None:
    """Paid by mistake is undone; the day stands among the figures and a day that is none is refused."""
    release, line = opened(client)
    number = ordered(client, release, line)
    client.post(f"/sales/orders/{number}/step/paid/")
    assert "It is not paid yet" in text(client, f"/sales/orders/{number}/")
    client.post(f"/sales/orders/{number}/back/paid/")
    assert queries.orders()[0].state == "placed"
    client.post(f"/sales/orders/{number}/ship/", {"ship_on": "2027-03-02"})
    assert "2 Mar 2027" in text(client, f"/sales/orders/{number}/")
    assert client.post(f"/sales/orders/{number}/ship/", {"ship_on": "soon"}).status_code == 422


def test_money_paid_back_is_noted_and_a_slip_undone(client: Client) -> None:
    """It stands among the figures of a sent order; too much is refused beside the field."""
    release, line = opened(client)
    number = ordered(client, release, line)
    for step in ("paid", "packed", "sent"):
        client.post(f"/sales/orders/{number}/step/{step}/")
    where = f"/sales/orders/{number}/"
    assert client.post(f"{where}refund/", {"refund": "500"}).status_code == 422
    client.post(f"{where}refund/", {"refund": "3.50"})
    assert queries.orders()[0].refund_minor == 350
    assert "Given back" in text(client, where)
    client.post(f"{where}back/refund/")
    assert queries.orders()[0].refund_minor == 0


def test_the_picture_is_of_all_lines_or_of_one(client: Client) -> None:
    """When the only line sold out, its picture has the rule of the sell-out and the home page too."""
    release, line = opened(client, pots="2")
    ordered(client, release, line, "2")
    assert "2 of 2 plants ordered, sold out" in text(client, f"/sales/{release}/?line={line}")
    assert "December: 2 of 2 plants ordered" in text(client, "/sales/")
    assert "sold out" in text(client, page_of(release, line))
    text(client, f"/sales/{release}/line/99999/", 404)


def test_a_shop_s_file_is_looked_at_before_it_is_brought(client: Client) -> None:
    """The look writes nothing, shows the guessed columns and asks for an article that names no line."""
    release, line = opened(client)
    data = b"No.,Buyer,Item,Qty\r\n7,Cleo,Green thing,1\r\n"
    sent = {"shop": "My shop", "does": "look", "columns": "", "file": SimpleUploadedFile("o.csv", data)}
    first = client.post("/sales/orders/file/", sent).content.decode()
    assert "cannot be used" in first
    carried = first.split('name="data" value="')[1].split('"')[0]
    again = {"shop": "My shop", "data": carried, "column_reference": "No.", "does": "look", "columns": ""}
    second = client.post("/sales/orders/file/", again).content.decode()
    assert "Green thing" in second
    assert "1 order in the file, 1 of them new" in second
    assert queries.orders() == ()
    told = again | {"does": "bring", "article_0": "Green thing", "meant_0": f"{release}-{line}"}
    assert client.post("/sales/orders/file/", told).status_code == 302
    assert [one.buyer.name for one in queries.orders()] == ["Cleo"]
    assert client.post("/sales/orders/file/", again | {"data": "%%"}).status_code == 422


def test_a_buyer_is_changed_and_an_announcement_saved(client: Client) -> None:
    """The new place is kept, an empty name is refused; the newsletter comes as a file."""
    release, line = opened(client)
    ordered(client, release, line)
    where = f"/sales/buyers/{queries.buyers()[0].key}/"
    assert client.post(where, {"name": "", "place": "Farland"}).status_code == 422
    client.post(where, {"name": "Anna Reed", "contact": "a@example.org", "place": "Farland"})
    assert (queries.buyers()[0].name, queries.buyers()[0].place) == ("Anna Reed", "Farland")
    assert "Erase Anna Reed?" in text(client, f"{where}erase/")
    assert queries.buyers()[0].name == "Anna Reed"
    saved = client.get(f"/sales/{release}/told/newsletter/?save=yes")
    assert saved.headers["Content-Disposition"] == f'attachment; filename="release-{release}.txt"'
