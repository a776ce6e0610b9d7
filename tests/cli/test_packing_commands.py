"""Parcels and money from the terminal, for people and for programs."""

import csv
import json
from collections.abc import Callable
from io import StringIO
from pathlib import Path

import pytest

from tests.deeds.stocks import a_stock
from tests.deeds.test_money import bought, sold
from tests.deeds.test_packing import MILD, an_order, goods, packed

pytestmark = pytest.mark.django_db
Command = Callable[..., tuple[int, str, str]]
BOX = ("--box", "400 x 300 x 250 mm, EPS I 25 mm", "--plants", "6", "--taxon", "nana")


def test_a_way_on_the_spot_is_answered_without_a_book(halfwater: Command, tmp_path: Path) -> None:
    """Mild weather ships, hard frost is held back; a CSV of legs says the same as the words."""
    told = json.loads(halfwater("transit", MILD, *BOX, "--json")[1])
    assert (told["decision"], told["by_model"]) == ("ship", "ship")
    file = tmp_path / "legs.csv"
    file.write_text("leg;hours;min;max;kind\nDepot;12;14;18;indoors\nVan;8;12;19;vehicle\n", "utf-8")
    same = json.loads(halfwater("transit", "--weather", str(file), *BOX, "--json")[1])
    assert same["coldest_c"] == told["coldest_c"]
    frost = halfwater("transit", "Depot 30 h, -14 to -9 C; Van 20 h, -16 to -8 C", *BOX)[1]
    assert frost.startswith("Hold it back: ")
    assert "keep claims open" in frost
    assert "No taxon is called nana: it is judged by the limits of plants in general." in frost


def test_a_parcel_is_judged_by_the_plants_that_are_meant(halfwater: Command) -> None:
    """A name of the stock goes without a word, one that several taxa have is refused with them."""
    a_stock(2)
    assert "judged by the limits" not in halfwater("transit", MILD, *BOX)[1]
    code, _, err = halfwater("transit", MILD, *BOX[:4], "--taxon", "cryptocoryne")
    assert (code, "one taxon: Cryptocoryne" in err) == (2, True)


def test_the_bench_lists_what_waits(halfwater: Command) -> None:
    """Orders of the day with their plan, and the plants to fetch by tank and spot."""
    goods()
    order = an_order("2")
    told = json.loads(halfwater("transit", "--day", "2026-11-20", "--json")[1])
    assert [one["order"] for one in told["orders"]] == [order.number]
    assert [one["tank"] for one in told["pick"]] == ["North", "North"]
    assert "Foam box" in halfwater("transit", "--day", "2026-11-20")[1]


def test_costs_are_told_by_taxon_and_month(halfwater: Command) -> None:
    """The sentence, a row a taxon, where the money went, and the same for programs."""
    sold("3", "6.00")
    bought("tank", "120", kind="equipment", tank="North", life_months="60")
    out = halfwater("cost")[1]
    assert out.startswith("A plant sold brought ")
    assert "Where 125.90 EUR went" in out
    told = json.loads(halfwater("cost", "--by", "month", "--since", "2026-11", "--json")[1])
    assert [one["key"] for one in told["months"]] == ["2026-11"]
    assert told["all"]["income_minor"] == 3450
    assert (
        "one more tank of 40 spots" in halfwater("cost", "--one-more-tank", "spots 40, price 300")[1].lower()
    )
    rows = list(csv.DictReader(StringIO(halfwater("cost", "--ledger")[1], newline="")))
    assert {"equipment", "postage", "sale"} <= {row["kind"] for row in rows}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("transit", "Depot 12, 3 to 9"), "one leg a line"),
        (("transit", MILD), "a box of yours by name"),
        (("transit", MILD, "--box", "400 x 300 x 250 mm, glass 3 mm"), "materials"),
        (("transit", "--weather", "none.csv"), "a CSV file that can be read"),
        (("transit", "--parcel", "99"), "the number of a parcel"),
        (("cost", "--by", "moon"), "one of taxon"),
        (("cost", "--one-more-tank", "spots"), "words and values"),
        (("cost", "--since", "2026-03"), "months with --by month"),
        (("cost", "--from", "2026-03-01"), "days with --ledger"),
        (("cost", "--by", "month", "--since", "2026-12", "--until", "2026-01"), "a month from 2026-12 on"),
        (("cost", "--rule", "guess"), "one of used"),
        (("cost", "--by", "month", "--since", "soon"), "a month such as"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(halfwater: Command, words: tuple[str, ...], says: str) -> None:
    """Bad input leaves with exit 2 and what would be accepted."""
    a_stock(2)
    code, _, err = halfwater(*words)
    assert code == 2
    assert says in err


def test_a_parcel_without_its_weather_asks_for_it(halfwater: Command) -> None:
    """One sentence that says what to do, and no value that is blamed."""
    goods()
    key = packed(an_order("2").number)
    code, _, err = halfwater("transit", "--parcel", str(key))
    assert (code, err.strip()) == (1, "Type the weather of its way: then it is known whether it can go.")
