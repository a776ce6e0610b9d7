"""Releases and orders from the terminal, for people and for programs."""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from halfwater.book import queries
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


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("release", "Nowhere"), "draft one first"),
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
