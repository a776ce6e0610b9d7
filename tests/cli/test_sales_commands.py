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
        (("release", "--new", "X", "--line", "nana"), "a taxon, a grade and a price"),
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
