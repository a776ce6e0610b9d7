"""The pages of Sales, from a draft to an order that is sent."""

from datetime import UTC, datetime, timedelta
from io import BytesIO
from uuid import uuid4
from zipfile import ZipFile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from halfwater.book import changes, queries
from tests.deeds.nurseries import WHO
from tests.deeds.stocks import SPOTS, a_stock, counted, pot_on

pytestmark = pytest.mark.django_db


def opened(client: Client, pots: str = "6") -> tuple[int, int]:
    """A release drafted, filled and opened by the pages; gives its key and its line's."""
    a_stock(8)
    for spot in SPOTS:
        counted(spot, 9, datetime.now(UTC) - timedelta(days=1))
    assert client.post("/sales/add/", {"name": "December"}).status_code == 302
    (release,) = queries.releases()
    line = {"taxon": "Anubias barteri var. nana", "grade": "standard", "price": "9.50", "pots": pots}
    assert client.post(f"/sales/{release.key}/line/", line).status_code == 302
    client.post(f"/sales/{release.key}/open/")
    (release,) = queries.releases()
    assert release.state == "open"
    return release.key, release.lines[0].key


def ordered(client: Client, release: int, line: int, plants: str = "2") -> int:
    """An order by hand; gives its number."""
    typed = {f"plants_{line}": plants, "name": "Anna", "contact": "a@example.org", "uuid": f"{uuid4()}"}
    assert client.post(f"/sales/{release}/orders/add/", typed).status_code == 302
    return queries.orders()[0].number


def text(client: Client, path: str, status: int = 200) -> str:
    """A page's text."""
    answer = client.get(path)
    assert answer.status_code == status
    return answer.content.decode()


def test_a_release_is_drafted_opened_sold_from_and_closed(client: Client) -> None:
    """Each page says how it stands; the order goes its way to sent, and its pots leave their spots."""
    release, line = opened(client)
    assert "0 of 6 plants are ordered, 6 can still be had." in text(client, f"/sales/{release}/")
    number = ordered(client, release, line)
    assert "2 plants for Anna: 19.00 EUR in all." in text(client, f"/sales/orders/{number}/")
    for step in ("paid", "packed", "sent"):
        client.post(f"/sales/orders/{number}/step/{step}/")
    assert queries.orders()[0].state == "sent"
    assert "2 of 6 plants are ordered" in text(client, "/sales/")
    assert sum(pot.state == "sold" for pot in queries.standing_pots(gone=True)) == 2
    client.post(f"/sales/{release}/close/")
    assert "Closed: 2 of 6 plants were sold." in text(client, f"/sales/{release}/")


def test_a_refusal_keeps_what_was_typed(client: Client) -> None:
    """A line without a price, too many plants and a bad number of pots are answered in place."""
    release, line = opened(client)
    bad = client.post(f"/sales/{release}/line/{line}/pots/", {"pots": "some of them"})
    assert bad.status_code == 422
    assert "some of them" in bad.content.decode()
    many = client.post(
        f"/sales/{release}/orders/add/", {f"plants_{line}": "7", "name": "Ben", "uuid": f"{uuid4()}"}
    )
    assert many.status_code == 422
    assert "Ben" in many.content.decode()
    assert queries.orders() == ()


def test_a_part_is_cancelled_and_a_dead_plant_is_replaced(client: Client) -> None:
    """One of two comes back; when the other dies its order says so, and another stands in by one press."""
    release, line = opened(client)
    number = ordered(client, release, line)
    (own,) = queries.orders()[0].lines
    client.post(f"/sales/orders/{number}/cancel/", {f"part_{own.key}": "1", "reason": "one too many"})
    assert queries.orders()[0].plants == 1
    pot = queries.orders()[0].lines[0].pots[0]
    changes.lose_pot(pot.pot, "rot", who=WHO, at=datetime.now(UTC), uuid=uuid4(), now=datetime.now(UTC))
    assert "lacks plants that died" in text(client, "/sales/")
    client.post(f"/sales/orders/{number}/others/{own.key}/")
    assert sum(one.missing for one in queries.orders()[0].lines) == 0


def test_a_shop_s_file_is_brought(client: Client) -> None:
    """Columns that are not understood are asked for beside the field; then the orders are there."""
    opened(client)
    data = b"No.;Buyer;Item;Qty\r\n7;Cleo;nana standard;1\r\n"
    sent = {"shop": "My shop", "columns": "", "file": SimpleUploadedFile("o.csv", data)}
    assert client.post("/sales/orders/file/", sent).status_code == 422
    sent = {"shop": "My shop", "columns": "reference=No.", "file": SimpleUploadedFile("o.csv", data)}
    assert client.post("/sales/orders/file/", sent).status_code == 302
    assert "Cleo" in text(client, "/sales/orders/")


def test_buyers_places_and_keys_have_their_pages(client: Client) -> None:
    """A buyer is given out and erased, a rule stands and goes, a key is shown once and revoked."""
    release, line = opened(client)
    number = ordered(client, release, line)
    key = queries.buyers()[0].key
    assert '"name": "Anna"' in text(client, f"/sales/buyers/{key}/export/")
    client.post(f"/sales/orders/{number}/cancel/", {"reason": "changed mind"})
    client.post(f"/sales/buyers/{key}/erase/")
    assert "Anna" not in text(client, f"/sales/buyers/{key}/")
    client.post("/sales/places/", {"place": "Farland", "kind": "not allowed"})
    assert "Farland" in text(client, "/sales/places/")
    client.post(f"/sales/places/{queries.place_rules()[0].key}/remove/")
    assert queries.place_rules() == ()
    made = client.post("/more/keys/", {"name": "Shop"}).content.decode()
    assert "hw_" in made
    assert "hw_" not in text(client, "/more/keys/")
    client.post(f"/more/keys/{queries.api_keys()[0].key}/revoke/")
    assert "revoked" in text(client, "/more/keys/")


def test_a_release_is_told_in_every_form(client: Client) -> None:
    """Forms to copy, and all of them as one file; an unknown form is no page."""
    release, _ = opened(client)
    assert "9.50 EUR" in text(client, f"/sales/{release}/told/newsletter/")
    assert client.get(f"/sales/{release}/told/zip/").headers["Content-Type"] == "application/zip"
    text(client, f"/sales/{release}/told/poster/", 404)
    text(client, "/sales/9999/", 404)
    assert pot_on("A1").key in {pot.pot for pot in queries.line_pots(queries.releases()[0].lines[0].key)}


def test_demand_says_what_it_knows_and_no_more(client: Client) -> None:
    """After one release the page tells what sold and is not sure of a price."""
    release, line = opened(client)
    ordered(client, release, line)
    told = text(client, "/sales/demand/")
    assert "Anubias barteri var. nana" in told
    assert "What to ask" in told


def test_a_line_has_a_photo_that_goes_with_the_announcement(client: Client) -> None:
    """It is kept by the book and stands in the zip of the announcement; what is none leaves no line."""
    release, _ = opened(client)
    picture = BytesIO()
    Image.new("RGB", (40, 30), "green").save(picture, "JPEG")
    line = {"taxon": "Anubias barteri var. nana", "grade": "large", "price": "14"}
    false = {"photo": SimpleUploadedFile("p.jpg", b"no photo")}
    assert client.post(f"/sales/{release}/line/", line | false).status_code == 422
    assert len(queries.releases()[0].lines) == 1
    shown = {"photo": SimpleUploadedFile("p.jpg", picture.getvalue())}
    assert client.post(f"/sales/{release}/line/", line | shown).status_code == 302
    (large,) = (one for one in queries.releases()[0].lines if one.grade == "large")
    assert large.photo
    packed = client.get(f"/sales/{release}/told/zip/").content
    assert large.photo in ZipFile(BytesIO(packed)).namelist()
