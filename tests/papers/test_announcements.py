"""A release told in five forms, each by the rules of its form."""

import csv
import json
from dataclasses import replace
from datetime import UTC, datetime
from html.parser import HTMLParser
from io import StringIO
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.papers.fragment import fragment
from halfwater.papers.newsletter import newsletter
from halfwater.papers.price_list import price_list
from halfwater.papers.products import products, script_text
from halfwater.papers.release_feed import release_feed
from halfwater.plain.announcing import CARE, CROWN_CARE, STEM_CARE, AnnouncedLine, Announcement, care_for

ATOM = "{http://www.w3.org/2005/Atom}"
OPENS = datetime(2026, 12, 5, 18, 0, tzinfo=UTC)
URN = "urn:uuid:6f0f1a80-0000-4000-8000-000000000001"
NANA = AnnouncedLine(7, "Anubias nana", "standard", 950, 12, 2, "Well rooted", CARE, "nana.jpg")
PETITE = AnnouncedLine(8, "Anubias petite", "small", 700, 0, None, "", CARE)
SAID = Announcement(
    3,
    "December release",
    "open",
    "Fennhollow",
    "EUR",
    "Europe/Berlin",
    datetime(2026, 12, 1, 9, 30, tzinfo=UTC),
    OPENS,
    None,
    (NANA, PETITE),
    "One parcel a buyer.",
    "https://shop.example/december",
    URN,
)


def test_a_newsletter_tells_when_what_and_at_which_price() -> None:
    """The text names the instant on the nursery's clock, each line, its price and its limit."""
    text = newsletter(SAID)
    assert "Opens Sat 5 Dec 2026, 19:00 (CET)." in text
    assert "* Anubias nana, standard\n  9.50 EUR each, 12 to be had, at most 2 a buyer" in text
    assert "7.00 EUR each, sold out" in text
    assert "https://shop.example/december" in text
    assert max(len(line) for line in text.splitlines()) <= 72


def test_a_newsletter_tells_that_emersed_leaves_are_shed_once_for_all_taxa() -> None:
    """A care note that two taxa share stands once, under both names."""
    text = " ".join(newsletter(SAID).split())
    assert text.count("are shed over some weeks") == 1
    assert "Anubias nana, Anubias petite: Grown above water (emersed)." in text


@pytest.mark.parametrize(
    ("group", "care"),
    [
        ("Anubias barteri var. nana", CARE),
        ("Cryptocoryne wendtii group", CROWN_CARE),
        ("Easy stems", STEM_CARE),
    ],
)
def test_a_care_note_suits_how_the_plant_grows(group: str, care: str) -> None:
    """Rhizomes are not buried, crowns are planted, stems stand apart; all shed emersed leaves."""
    assert care_for(group, "") == care
    assert "shed" in care


class _Tags(HTMLParser):
    """Open and closed elements of a fragment, and its text."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: set[str] = set()
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)
        if tag != "img":
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words += data


@settings(max_examples=30, deadline=None)
@given(st.text(max_size=40), st.text(max_size=40), st.text(max_size=40))
def test_no_word_of_the_growers_becomes_an_element(name: str, text: str, note: str) -> None:
    """Whatever is typed, the fragment holds its own elements only, all closed."""
    line = replace(NANA, taxon_name=f"<script>{name}", text=text)
    reader = _Tags()
    reader.feed(fragment(replace(SAID, lines=(line,), note=f"</section>{note}")))
    assert reader.open == []
    assert reader.seen <= {"section", "h2", "p", "article", "h3", "img", "a"}
    assert "<script>" in reader.words


def test_only_an_address_of_a_page_becomes_a_link() -> None:
    """An address that would run a script is left out of the fragment."""
    assert "<a " not in fragment(replace(SAID, address="javascript:alert(1)"))
    assert '<a href="https://shop.example/december">' in fragment(SAID)


def test_the_table_reads_back_by_rfc_4180() -> None:
    """Quotes, commas and line breaks survive; each row ends with CRLF (RFC 4180, section 2)."""
    odd = replace(NANA, text='Leaves 5, "wide"\nand green')
    table = price_list(replace(SAID, lines=(odd, PETITE)))
    rows = list(csv.DictReader(StringIO(table, newline="")))
    assert rows[0]["text"] == odd.text
    assert (rows[0]["price"], rows[0]["plants"], rows[1]["plants"]) == ("9.50", "12", "0")
    assert table.endswith("\r\n")
    assert '"Leaves 5, ""wide""' in table


def test_no_cell_of_the_table_runs_as_a_formula() -> None:
    """A text that begins like a formula is marked as text."""
    table = price_list(replace(SAID, lines=(replace(NANA, text="=1+1"),)))
    assert next(csv.DictReader(StringIO(table)))["text"] == "'=1+1"


def test_products_are_schema_org_products_with_offers() -> None:
    """Types, price as a plain number, ISO 4217 currency and availability (schema.org Product, Offer)."""
    graph = products(SAID)
    first, second = graph["@graph"]
    assert graph["@context"] == "https://schema.org"
    assert (first["@type"], first["offers"]["@type"]) == ("Product", "Offer")
    assert (first["offers"]["price"], first["offers"]["priceCurrency"]) == ("9.50", "EUR")
    assert first["offers"]["availability"] == "https://schema.org/PreOrder"
    assert first["offers"]["eligibleQuantity"]["maxValue"] == 2
    assert second["offers"]["availability"] == "https://schema.org/SoldOut"
    assert products(replace(SAID, currency="JPY"))["@graph"][0]["offers"]["price"] == "950"


def test_json_inside_a_page_cannot_end_its_element() -> None:
    """A name that closes the script element is written so that it does not, and reads back the same."""
    named = replace(SAID, lines=(replace(NANA, taxon_name="</script><b>&"),))
    text = script_text(json.dumps(products(named)))
    assert "<" not in text
    assert json.loads(text) == products(named)


def test_the_feed_has_what_rfc_4287_asks_for() -> None:
    """Feed and entries have one id, title and updated each, an author, and entries are told apart (4.1)."""
    later = replace(SAID, release=4, name="January", changed_at=datetime(2027, 1, 2, tzinfo=UTC))
    feed = ElementTree.fromstring(release_feed((SAID, later), "Fennhollow", URN, "https://shop.example/feed"))
    entries = feed.findall(f"{ATOM}entry")
    for element in (feed, *entries):
        assert [len(element.findall(f"{ATOM}{name}")) for name in ("id", "title", "updated")] == [1, 1, 1]
    assert feed.findtext(f"{ATOM}author/{ATOM}name") == "Fennhollow"
    assert [entry.findtext(f"{ATOM}id") for entry in entries] == [f"{URN}:4", f"{URN}:3"]
    assert datetime.fromisoformat(feed.findtext(f"{ATOM}updated", "")) == later.changed_at
    assert {link.get("rel") for link in feed.findall(f"{ATOM}link")} == {"alternate", "self"}
    assert datetime.fromisoformat(entries[1].findtext(f"{ATOM}updated", "")) == SAID.changed_at


def test_a_closed_release_says_so_in_every_form() -> None:
    """Nothing that is closed is offered as to be had."""
    closed = replace(SAID, state="closed")
    assert "This release is closed." in newsletter(closed)
    assert "to be had" not in newsletter(closed)
    assert "This release is closed." in fragment(closed)
    assert products(closed)["@graph"][0]["offers"]["availability"].endswith("Discontinued")
