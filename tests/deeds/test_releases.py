"""Releases as the grower drafts, fills and opens them; orders by hand; the list of places; buyers."""

import json
from datetime import UTC, date, datetime, timedelta
from io import BytesIO
from uuid import uuid4
from zipfile import ZipFile

import pytest

from halfwater.book import changes, queries
from halfwater.deeds import orders, releases
from halfwater.deeds.announce import FORMS, announce, announcement_files, releases_feed
from halfwater.deeds.buyers import erase_buyer, export_buyer
from halfwater.deeds.offerable import what_could_be_offered
from halfwater.deeds.places import rules_for, save_rule_sheet
from halfwater.deeds.prices import set_for_plan
from halfwater.deeds.sheet import RefusedSheet
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.selling import OrderFacts
from tests.deeds.nurseries import NOW, WHO
from tests.deeds.stocks import NANA, SPOTS, a_stock, counted, pot_on

pytestmark = pytest.mark.django_db
ANNA = {"name": "Anna", "contact": "anna@example.org", "place": "Northland"}


def a_release(pots: str = "", leaves: int = 9, is_open: bool = False, **line: str) -> tuple[int, int]:
    """Eight nanas counted at so many leaves, a release with a line of standards; gives both keys."""
    a_stock(8, potted_on=date(2026, 1, 5))
    for spot in SPOTS:
        counted(spot, leaves, NOW - timedelta(days=1))
    set_for_plan(("price nana standard 9.50", "least_kept 2"), WHO)
    key = releases.draft_release({"name": "December", "opens": "2026-12-05 19:00"}, WHO)
    typed = {"taxon": "nana", "grade": "standard", "pots": pots} | line
    made = releases.draft_line(key, typed, WHO, NOW)
    if is_open:
        releases.draft_release({"name": "December"}, WHO, key)
        releases.open_release(key, WHO, NOW)
    return key, made


def ordered(line: int, plants: str = "1", **more: str) -> OrderFacts:
    """An order of Anna's, by hand."""
    return orders.note_order({**ANNA, f"plants_{line}": plants} | more, uuid4(), WHO, NOW)


def test_an_opening_is_typed_on_the_nursery_s_clock() -> None:
    """19:00 in Berlin in December is 18:00 UTC; a date alone is the evening's hour."""
    key, _ = a_release()
    facts = queries.release(key, NOW)
    assert facts is not None
    assert facts.opens_at == datetime(2026, 12, 5, 18, tzinfo=UTC)
    assert releases.read_instant("2026-12-05", queries.nursery(), "opens").hour == 19
    with pytest.raises(RefusedInput, match="2026-12-05 19:00"):
        releases.read_instant("soon", queries.nursery(), "opens")


def test_a_line_takes_the_known_price_and_so_many_ready_pots() -> None:
    """The price of the grade is the default; three ready pots stand behind it, the largest first."""
    key, line = a_release()
    counted("B2", 11)
    assert len(releases.put_pots_behind(line, "3", WHO, NOW)) == 3
    (facts,) = releases.release_view(key, NOW).facts.lines
    assert (facts.price_minor, facts.offered, facts.free) == (950, 3, 3)
    assert pot_on("B2").key in {pot.pot for pot in queries.line_pots(line, NOW)}


def test_pots_below_the_grade_are_offered_by_their_spots_only() -> None:
    """A number takes ready pots alone and says how many there are; spots are the grower's own word."""
    _, line = a_release(leaves=4)
    with pytest.raises(RefusedByBook, match="Only 0 free pots of Anubias"):
        releases.put_pots_behind(line, "2", WHO, NOW)
    assert releases.put_pots_behind(line, "North A1-A2", WHO, NOW) == (pot_on("A1").key, pot_on("A2").key)
    with pytest.raises(RefusedByBook, match="No pot stands on A1 of South"):
        releases.put_pots_behind(line, "South A1", WHO, NOW)
    with pytest.raises(RefusedInput, match="a number of pots such as 6, or spots"):
        releases.put_pots_behind(line, "some", WHO, NOW)


def test_what_is_wrong_with_a_draft_is_said_before_it_opens() -> None:
    """No opening, an empty line and pots below the grade are each a sentence; a sound draft has none."""
    key, line = a_release(leaves=4)
    releases.draft_release({"name": "December"}, WHO, key)
    said = releases.release_view(key, NOW).checks
    assert any("would open at once" in one for one in said)
    assert any("no pot stands behind it" in one for one in said)
    releases.put_pots_behind(line, "North A1", WHO, NOW)
    assert any("1 of its pots are not at that grade" in one for one in releases.release_view(key, NOW).checks)
    with pytest.raises(RefusedSheet, match=r"9\.50 EUR"):
        releases.draft_line(key, {"taxon": "nana", "grade": "large"}, WHO, NOW)


def test_parents_are_held_back_from_what_could_be_offered() -> None:
    """Of eight ready pots two are held back as the least kept; once two are kept, none more."""
    a_release()
    (line,) = what_could_be_offered(NOW)
    assert (len(line.ready), line.protected, line.suggested) == (8, 2, 6)
    for spot in ("A1", "A2"):
        changes.set_state(pot_on(spot).key, "kept", who=WHO, at=NOW, now=NOW, uuid=uuid4())
    (line,) = what_could_be_offered(NOW)
    assert (len(line.ready), line.protected, line.suggested) == (6, 0, 6)


def test_an_order_by_hand_takes_pots_once_and_the_same_tap_twice_is_one_order() -> None:
    """Two of eight go; the same uuid again is the same order; a ninth plant is refused with what is free."""
    _, line = a_release("8", is_open=True)
    uuid = uuid4()
    typed = {**ANNA, f"plants_{line}": "2", "postage": "6.90", "paid": "on"}
    first = orders.note_order(typed, uuid, WHO, NOW)
    again = orders.note_order(typed, uuid, WHO, NOW)
    assert (first.number, first.state, first.plants, first.goods_minor) == (again.number, "paid", 2, 1900)
    with pytest.raises(RefusedByBook, match="6"):
        ordered(line, "7")
    with pytest.raises(RefusedSheet, match="whole number of plants"):
        ordered(line, "two")


def test_an_order_is_cancelled_in_part_and_taken_to_its_end() -> None:
    """One plant of three comes back; the rest is paid, packed, sent: its pots are sold and gone."""
    key, line = a_release("8", is_open=True)
    order = ordered(line, "3")
    part = orders.CancelledPart(order.lines[0].key, 1)
    assert orders.cancel_part(order.number, (part,), "one too many", WHO, NOW).plants == 2
    for step in ("paid", "packed", "sent"):
        order = orders.take_step(order.number, step, WHO, NOW)
    assert order.state == "sent"
    gone = {pot.key for pot in queries.standing_pots(gone=True) if pot.state == "sold"}
    assert gone >= {pot.pot for pot in order.lines[0].pots}
    assert releases.release_view(key, NOW).facts.lines[0].free == 6
    with pytest.raises(RefusedInput, match="paid, packed, sent, arrived"):
        orders.take_step(order.number, "lost", WHO, NOW)


def test_a_hold_puts_plants_aside_for_a_day() -> None:
    """Held plants are not free until the hold runs out."""
    key, line = a_release("8", is_open=True)
    orders.note_hold({"plants": "5", "name": "Ben"}, line, uuid4(), WHO, NOW)
    assert releases.release_view(key, NOW).facts.lines[0].free == 3
    assert releases.release_view(key, NOW + timedelta(hours=25)).facts.lines[0].free == 8


def test_the_list_of_places_stands_against_an_order() -> None:
    """Not allowed refuses; a paper is asked for until it is there; the authority decides."""
    _, line = a_release("8", is_open=True)
    save_rule_sheet({"place": "Northland", "taxon": "nana", "kind": "needs paper", "text": "passport"}, WHO)
    save_rule_sheet({"place": "Farland", "kind": "not allowed"}, WHO)
    with pytest.raises(RefusedByBook, match="passport"):
        ordered(line)
    assert ordered(line, papers="on").place_notes
    with pytest.raises(RefusedByBook, match="authority"):
        ordered(line, place="farland", contact="cleo@example.org")
    assert [rule.kind for rule in rules_for("northland")] == ["needs paper"]
    with pytest.raises(RefusedSheet, match="what the rule says"):
        save_rule_sheet({"place": "Northland", "kind": "note"}, WHO)


def test_a_buyer_is_given_out_and_erased() -> None:
    """The export has the orders; after erasing no personal word is left, the money is."""
    _, line = a_release("8", is_open=True)
    order = ordered(line, note="ring twice")
    key = order.buyer.key
    assert key is not None
    assert json.loads(export_buyer(key))["orders"][0]["number"] == order.number
    with pytest.raises(RefusedByBook, match="not sent yet"):
        erase_buyer(key, WHO, NOW)
    orders.cancel(order.number, "changed her mind", WHO, NOW)
    erase_buyer(key, WHO, NOW)
    left = orders.known_order(order.number)
    assert (left.buyer.contact, left.buyer.place, left.note) == ("", "", "")
    assert "Anna" not in export_buyer(key)


def test_a_release_is_told_in_every_form() -> None:
    """Each form names the taxon and the price; a release without lines has nothing to tell."""
    key, _ = a_release("8")
    for form in FORMS:
        assert "Anubias barteri var. nana" in announce(key, form, NOW)
        assert "9.50" in announce(key, form, NOW)
    with pytest.raises(RefusedInput, match="newsletter, html, csv"):
        announce(key, "poster", NOW)
    names = ZipFile(BytesIO(announcement_files(key, NOW))).namelist()
    assert sorted(names) == [f"release.{end}" for end in ("atom", "csv", "html", "jsonld", "txt")]
    assert "December" not in releases_feed(NOW)  # drafted: not told
    empty = releases.draft_release({"name": "Empty"}, WHO)
    with pytest.raises(RefusedByBook, match="nothing to announce"):
        announce(empty, "html", NOW)


def test_lines_are_meant_by_a_part_of_their_name() -> None:
    """A taxon's part and a grade find the line; several pots are wanted in one go."""
    _, line = a_release("8")
    (wanted,) = orders.wanted_of("dec", ("nana standard 2",), NOW)
    assert (wanted.line, wanted.plants) == (line, 2)
    with pytest.raises(RefusedInput, match=NANA):
        orders.wanted_of("dec", ("petite 2",), NOW)
    with pytest.raises(RefusedInput, match="a line and a number of plants"):
        orders.wanted_of("dec", ("nana",), NOW)
