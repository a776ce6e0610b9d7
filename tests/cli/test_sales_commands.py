"""Releases and orders from the terminal, for people and for programs."""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from halfwater.book import changes, queries
from tests.deeds.stocks import SPOTS, a_stock, counted

pytestmark = pytest.mark.django_db
Command = Callable[..., tuple[int, str, str]]


def test_a_release_is_made_sold_from_and_closed_in_the_terminal(halfwater: Command, tmp_path: Path) -> None:
    """Draft, line with pots, open, order by hand, a shop's file, mark, close: each tells what stands."""
    a_stock(8)
    for spot in SPOTS:
        counted(spot, 9, datetime.now(UTC) - timedelta(days=1))
    (could,) = json.loads(halfwater("release", "--could", "--json")[1])["lines"]
    assert (could["grade"], len(could["ready"])) == ("standard", 8)
    assert "drafted" in halfwater("release", "--new", "December")[1]
    made = halfwater(
        "release", "December", "--line", "nana standard 9.50", "--limit", "5", "--pots", "6", "--open"
    )
    assert "open" in made[1]
    (release,) = json.loads(halfwater("release", "--json")[1])["releases"]
    assert (release["state"], release["lines"][0]["free"]) == ("open", 6)
    wanted = ("--want", "nana standard 2", "--buyer", "Anna", "--contact", "anna@example.org")
    order = json.loads(halfwater("orders", "--add", "December", *wanted, "--json")[1])["order"]
    assert order["lines"][0]["plants"] == 2
    file = tmp_path / "shop.csv"
    file.write_text("Order no,Name,Item,Qty\n5,Ben,nana standard,9\n6,Cleo,nana standard,1\n", "utf-8")
    told = json.loads(halfwater("orders", "--bring", str(file), "--shop", "Mine", "--json")[1])
    assert (told["new"], [one["reference"] for one in told["refused"]]) == (["6"], ["5"])
    assert "paid" in halfwater("orders", str(order["number"]), "--mark", "paid")[1]
    assert "Anubias barteri var. nana" in halfwater("release", "December", "--announce", "newsletter")[1]
    assert "closed" in halfwater("release", "December", "--close")[1]
    assert "Anna" in halfwater("orders")[1]


def test_an_import_tells_of_sales_and_costs(halfwater: Command, tmp_path: Path) -> None:
    """What belongs to selling is counted by its own noun, one as one."""
    places, power = tmp_path / "places.csv", tmp_path / "power.csv"
    places.write_text("place,taxon,kind,text\nFarland,,note,ask first\nNearland,,note,ask\n", "utf-8")
    power.write_text("text,power,hours,from\nfan,6 W,12 h,2026-01-01\n", "utf-8")
    code, out, err = halfwater("import", str(places), str(power))
    assert (code, err) == (0, "")
    assert out.strip().endswith("; and new: 2 rules of a place, 1 use of power.")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("release", "Nowhere"), "draft one first"),
        (("release", "--could", "--on", "2020-01-01"), "a day from today on"),
        (
            ("release", "--new", "X", "--line", "nana"),
            "the grade is missing: --line cannot be “nana”: a taxon, a grade",
        ),
        (("release", "--new", "X", "--line", "nana 9.50"), "the grade is missing"),
        (("release", "--new", "X", "--line", "nana giant 9.50"), "no grade is called giant"),
        (("release", "--new", "X", "--line", "nana giant"), "small, standard, large"),
        (("release", "--new", "X", "--line", "fern large 9.50"), "one of your taxa"),
        (("release", "--new", "X", "--text", "cheap"), "the line that pots"),
        (("release", "--new", "X", "--pots", "3"), "the line that pots"),
        (("orders", "99"), "the number of an order"),
        (("orders", "--state", "eaten"), "one of placed"),
        (("release", "--open"), "the release that is meant"),
        (("release", "Old", "--new", "X"), "not both"),
        (("orders", "--mark", "paid"), "the order that is meant"),
        (("orders", "--want", "nana 1", "--buyer", "Anna"), "taken by hand"),
        (("orders", "1", "--cancel", "  "), "the reason"),
        (("orders", "abc"), "NUMBER cannot be “abc”: the number of an order in your book, such as 12."),
        (("orders", "1", "--part", "nana standard 1"), "why that part is cancelled"),
        (("orders", "1", "--price", "5"), "the plants that others stand in for"),
        (("orders", "1", "--mark", "paid", "--ship-on", "2027-01-11"), "a day with --mark packed"),
        (("orders", "1", "--mark", "paid", "--back", "packed"), "one of --mark, --back"),
        (("orders", "1", "--back", "sent"), "one of paid, packed, arrived, refund"),
        (("orders", "1", "--substitute", "nana"), "a taxon, a grade and a number"),
        (("orders", "--add", "X", "--buyer", "Anna"), "--want cannot be “”: a line and a number of plants"),
        (("orders", "--add", "X", "--want", "nana standard 1"), "--buyer cannot be “”: the buyer's name"),
        (("orders", "--refund", "5"), "the order that is meant"),
        (("orders", "--bring", "none.csv", "--shop", "Mine"), "a file that can be read"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(halfwater: Command, words: tuple[str, ...], says: str) -> None:
    """Bad input leaves with exit 2 and what would be accepted."""
    a_stock(2)
    code, _, err = halfwater(*words)
    assert code == 2
    assert says in err
    assert queries.releases() == ()


def test_a_line_that_is_there_is_changed_and_the_change_is_told(halfwater: Command) -> None:
    """Price, limit and text, each alone: the rest stays, an order keeps its price, nothing is said twice."""
    a_stock(4)
    for spot in SPOTS[:4]:
        counted(spot, 9, datetime.now(UTC) - timedelta(days=1))
    halfwater(
        "release", "--new", "Late", "--line", "nana standard 9.50", "--limit", "2", "--pots", "3", "--open"
    )
    halfwater("orders", "--add", "Late", "--want", "nana standard 1", "--buyer", "Anna")
    line = ("release", "Late", "--line")
    said = halfwater(*line, "nana standard 11", "--text", "Large ones.")[1]
    assert "price from 9.50 EUR to 11.00 EUR and text from none to “Large ones.”." in said
    assert "Orders taken before keep their price." in said
    told = json.loads(halfwater(*line, "nana standard", "--limit", "none", "--json")[1])
    (row,) = told["release"]["lines"]
    assert (row["price_minor"], row["limit_per_buyer"], row["text"]) == (1100, None, "Large ones.")
    assert "limit from 2 to none" in told["changed"]
    assert "as it was" in halfwater(*line, "nana standard")[1]
    assert "pots from 3 to 4" in halfwater(*line, "nana standard", "--pots", "1", "--text", "none")[1]
    assert json.loads(halfwater("orders", "1", "--json")[1])["order"]["lines"][0]["price_minor"] == 950
    halfwater("release", "Late", "--close")
    code, _, err = halfwater(*line, "nana standard 5")
    assert (code, "is closed: its lines stay" in err) == (1, True)


def a_sale(halfwater: Command, pots: int = 6, plants: int = 3) -> None:
    """Order 1 of Anna's: so many nanas of an open release of so many pots, paid."""
    a_stock(8)
    for spot in SPOTS:
        counted(spot, 9, datetime.now(UTC) - timedelta(days=1))
    halfwater("release", "--new", "Late", "--line", "nana standard 9.50", "--pots", str(pots), "--open")
    halfwater(
        "orders", "--add", "Late", "--want", f"nana standard {plants}", "--buyer", "Anna", "--is-paid",
        "--postage", "6.90",
    )  # fmt: skip


def the_order(halfwater: Command, *words: str) -> dict[str, Any]:
    """Order 1 as JSON after a change."""
    code, said, err = halfwater("orders", "1", *words, "--json")
    assert code == 0, err
    found: dict[str, Any] = json.loads(said)["order"]
    return found


def test_an_order_is_cancelled_in_part_and_money_paid_back(halfwater: Command) -> None:
    """A part with a refund, a refund alone after it has left, more than it came to refused, a slip undone."""
    a_sale(halfwater)
    told = the_order(halfwater, "--cancel", "one too many", "--part", "nana standard 1", "--refund", "9.50")
    assert (told["lines"][0]["cancelled"], told["refund_minor"], told["state"]) == (1, 950, "paid")
    assert told["refunded_at"] is not None
    for step in ("packed", "sent"):
        the_order(halfwater, "--mark", step)
    assert the_order(halfwater, "--refund", "6.90")["refund_minor"] == 1640
    code, _, err = halfwater("orders", "1", "--refund", "190")
    assert (code, "came to 35.40 EUR, and 16.40 EUR went back already" in err) == (1, True)
    assert "Money paid back: 16.40 EUR." in halfwater("orders", "1")[1]
    undone = the_order(halfwater, "--back", "refund")
    assert (undone["refund_minor"], undone["refunded_at"]) == (0, None)


def test_money_goes_back_for_an_order_that_was_cancelled_before(halfwater: Command) -> None:
    """Cancelled now, paid back later: the refund is noted on its own."""
    a_sale(halfwater)
    assert the_order(halfwater, "--cancel", "moved away")["refund_minor"] == 0
    assert the_order(halfwater, "--refund", "35.40")["refund_minor"] == 3540


def test_a_ship_day_is_set_moved_and_taken_away(halfwater: Command) -> None:
    """With --mark packed or alone; a step that was a slip is taken back."""
    a_sale(halfwater)
    assert the_order(halfwater, "--mark", "packed", "--ship-on", "2027-01-11")["ship_on"] == "2027-01-11"
    assert the_order(halfwater, "--ship-on", "2027-01-12")["ship_on"] == "2027-01-12"
    assert "It leaves on Tue 12 Jan 2027." in halfwater("orders", "1")[1]
    assert the_order(halfwater, "--ship-on", "none")["ship_on"] is None
    assert the_order(halfwater, "--back", "packed")["state"] == "paid"


def test_others_are_given_for_a_plant_that_died(halfwater: Command) -> None:
    """Of its own line, of spots by name, or of another line at a price of its own."""
    a_sale(halfwater)
    pots = [pot.pot for pot in queries.orders()[0].lines[0].pots]
    now = datetime.now(UTC)
    for pot in pots:
        changes.lose_pot(pot, "rot", who="x", at=now, now=now)
    assert sum(line["missing"] for line in the_order(halfwater)["lines"]) == 3
    assert the_order(halfwater, "--substitute", "nana standard 1")["lines"][0]["missing"] == 2
    offered = {*queries.offered_pots(), *queries.promised_pots()}
    spare = next(pot for pot in queries.standing_pots() if pot.key not in offered)
    spot = f"{spare.tank_name} {spare.spot}"
    told = the_order(halfwater, "--substitute", "nana standard 1", "--pots", spot, "--price", "5")
    assert sorted((one["price_minor"], one["plants"] - one["cancelled"]) for one in told["lines"]) == [
        (500, 1), (950, 2),
    ]  # fmt: skip
    code, _, err = halfwater(
        "orders", "1", "--substitute", "nana standard 1", "--from", "fern", "--pots", spot
    )
    assert (code, "one of the two" in err) == (2, True)
