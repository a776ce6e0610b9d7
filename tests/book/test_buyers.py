"""Buyers: one a contact, kept to what is needed, told and erased on request."""

import json
from datetime import timedelta
from pathlib import Path

import pytest

from halfwater.book import changes, queries
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.selling import NewBuyer
from tests.book.builders import NOW, WHO
from tests.book.programs import run_code
from tests.book.shops import ANNA, BEN, Shop, a_hold, a_shop, place

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Shop:
    """Four pots behind the open line of a release."""
    return a_shop()


def test_a_buyer_is_known_again_by_the_contact(shop: Shop) -> None:
    """The newest words stand, blank ones change nothing; without a contact each is a new one."""
    first = place(shop.line).buyer
    again = place(shop.line, buyer=NewBuyer("Anna B.", " ANNA@example.ORG", "2 Pond Lane")).buyer
    assert (again.key, again.name, again.address, again.place) == (
        first.key, "Anna B.", "2 Pond Lane", "Northland",
    )  # fmt: skip
    assert (first.orders, again.orders) == (1, 2)
    keys = {place(shop.line, buyer=NewBuyer("Anna")).buyer.key for _ in range(2)}
    assert len(keys - {first.key}) == 2


def test_a_buyer_is_written_by_hand_too(shop: Shop) -> None:
    """Another's contact is refused, and so is a buyer without any word."""
    key = changes.save_buyer(who=WHO, now=NOW, name="Ben", contact="ben@example.org")
    assert place(shop.line, buyer=NewBuyer("", key=key)).buyer.name == "Ben"
    changes.save_buyer(key, who=WHO, now=NOW, place="Southland")
    assert queries.buyers()[0].place == "Southland"
    other = changes.save_buyer(who=WHO, now=NOW, name="Cleo")
    with pytest.raises(RefusedByBook, match="Ben has this contact"):
        changes.save_buyer(other, who=WHO, now=NOW, contact="BEN@example.org")
    with pytest.raises(RefusedInput, match="a name or a contact"):
        changes.save_buyer(who=WHO, now=NOW)
    with pytest.raises(RefusedInput, match="key of a buyer"):
        changes.save_buyer(99, who=WHO, now=NOW, name="Nobody")


def test_all_that_the_book_has_of_a_buyer_is_told(shop: Shop) -> None:
    """Words, orders and holds, in what JSON takes."""
    buyer = place(shop.line, note="green pot please").buyer
    place(shop.line, buyer=BEN)
    changes.place_hold(a_hold(shop.line, buyer=ANNA), who=WHO, now=NOW)
    assert buyer.key is not None
    told = queries.buyer_export(buyer.key)
    assert told is not None
    assert json.loads(json.dumps(told)) == told
    assert told["buyer"]["address"] == "1 Pond Lane"
    assert [one["note"] for one in told["orders"]] == ["green pot please"]
    assert len(told["holds"]) == 1
    assert "Ben" not in json.dumps(told)
    assert queries.buyer_export(99) is None


def test_an_erased_buyer_leaves_numbers_and_money(shop: Shop) -> None:
    """Every word of theirs goes, also from their orders; an order on its way stands against it."""
    placed = place(shop.line, 2, note="ring at Pond Lane", key="k")
    hold = changes.place_hold(a_hold(shop.line, buyer=ANNA), who=WHO, now=NOW)
    key = placed.buyer.key
    assert key is not None
    with pytest.raises(RefusedByBook, match=f"Order {placed.number} of this buyer is not sent"):
        changes.erase_buyer(key, who=WHO, now=NOW)
    changes.mark_sent(placed.number, who=WHO, now=NOW)
    changes.cancel_order(placed.number, {}, reason="Anna moved", refund_minor=100, who=WHO, now=NOW)
    for later in (NOW, NOW + timedelta(days=1)):
        changes.erase_buyer(key, who=WHO, now=later)
    told = queries.buyer_export(key)
    said = json.dumps(told)
    assert not any(word in said for word in ("Anna", "Pond", "Northland", "anna@"))
    assert told is not None
    assert told["buyer"]["erased_at"] == NOW.isoformat()
    assert (told["orders"][0]["refund_minor"], told["orders"][0]["lines"][0]["price_minor"]) == (100, 950)
    assert next(one for one in queries.holds() if one.uuid == hold.uuid).state == "let go"
    with pytest.raises(RefusedByBook, match="was erased"):
        place(shop.line, buyer=NewBuyer("", key=key))
    assert place(shop.line).buyer.key != key
    with pytest.raises(RefusedInput, match="key of a buyer"):
        changes.erase_buyer(99, who=WHO, now=NOW)


ERASE = """
from halfwater import config; config.open_book()
from datetime import timedelta
from halfwater.book import changes
from halfwater.plain.selling import NewBuyer
from tests.book.builders import NOW, WHO
from tests.book.shops import a_shop, place
shop = a_shop()
buyer = NewBuyer('Quendolyn Zabriskie', 'quen@example.org', '77 Xylophone Alley')
placed = place(shop.line, buyer=buyer, note='for Quendolyn')
changes.mark_sent(placed.number, who=WHO, now=NOW)
changes.erase_buyer(placed.buyer.key, who=WHO, now=NOW)
"""


def test_erased_words_are_gone_from_the_file(tmp_path: Path) -> None:
    """Not one byte of them is left in the book's own files, not even where the book has done with a page."""
    run_code(tmp_path, ERASE)
    files = [file for file in tmp_path.glob("book.sqlite3*") if file.is_file()]
    assert files
    left = b"".join(file.read_bytes() for file in files)
    assert b"MF-1" in left
    assert [word for word in (b"Quendolyn", b"Zabriskie", b"quen@", b"Xylophone") if word in left] == []


def test_the_list_of_places_is_asked_when_an_order_is_placed(shop: Shop) -> None:
    """What is not allowed is refused, a paper must have been seen, and a note is kept with the order."""
    rules = {
        kind: changes.save_place_rule(who=WHO, place="Northland", taxon=taxon, kind=kind, text=text)
        for kind, taxon, text in (
            ("not allowed", shop.taxon, "listed since 2020"), ("needs paper", None, "passport"),
            ("note", None, "slow post"),
        )
    }  # fmt: skip
    with pytest.raises(
        RefusedByBook, match=r"Moss fern to Northland: not allowed \(listed.*authority decides"
    ):
        place(shop.line, papers_seen=True)
    with pytest.raises(RefusedByBook, match="not allowed"):
        place(pots=((shop.pots[0], 900),), papers_seen=True)
    changes.remove_place_rule(rules["not allowed"], who=WHO)
    with pytest.raises(RefusedByBook, match="needs paper"):
        place(shop.line)
    notes = ("to Northland: needs paper (passport)", "to Northland: note (slow post)")
    assert place(shop.line, papers_seen=True).place_notes == notes
    assert place(pots=((shop.pots[1], 900),), papers_seen=True).place_notes == notes
    assert place(shop.line, buyer=BEN).place_notes == ()
    changes.save_place_rule(rules["note"], who=WHO, text="very slow post")
    assert [rule.text for rule in queries.place_rules("northland")] == ["passport", "very slow post"]
    assert queries.place_rules("Elsewhere") == ()
    with pytest.raises(RefusedInput, match="key of a rule"):
        changes.remove_place_rule(99, who=WHO)


def test_a_shops_columns_are_remembered() -> None:
    """Under the shop's name, in any capitals."""
    changes.save_shop_columns("Pond shop", {"reference": "Order ID"}, {"FERN-S": "Moss fern, small"}, who=WHO)
    changes.save_shop_columns("pond SHOP", {"reference": "No."}, who=WHO)
    (shop,) = queries.shop_columns()
    assert (shop.name, shop.columns, shop.lines) == (
        "Pond shop", {"reference": "No."}, {"FERN-S": "Moss fern, small"},
    )  # fmt: skip


def test_a_secret_opens_until_it_is_revoked() -> None:
    """The book keeps no secret, and two keys in use have two names."""
    key, secret = changes.make_api_key("Web shop", who=WHO, now=NOW)
    found = queries.api_key_for(secret)
    assert found is not None
    assert (found.key, found.name, found.last_used_on) == (key, "Web shop", None)
    assert secret not in repr(queries.api_keys())
    changes.note_key_used(key, NOW.date())
    assert queries.api_keys()[0].last_used_on == NOW.date()
    with pytest.raises(RefusedByBook, match="is in use"):
        changes.make_api_key("web SHOP", who=WHO, now=NOW)
    changes.revoke_api_key(key, who=WHO, now=NOW)
    assert queries.api_key_for(secret) is None
    assert queries.api_key_for("") is None
    assert changes.make_api_key("Web shop", who=WHO, now=NOW)[0] != key
