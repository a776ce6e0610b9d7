"""Demand and prices from the terminal, for people and for programs."""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from halfwater.deeds.prices import set_for_plan
from tests.deeds.nurseries import WHO
from tests.deeds.past_releases import a_floor, a_release, sold_out_releases

pytestmark = pytest.mark.django_db
Command = Callable[..., tuple[int, str, str]]


def a_book(now: datetime, releases: int = 2) -> None:
    """A floor of nanas with a price, and releases that sold out in eighteen minutes."""
    a_floor(24, now)
    set_for_plan(("price nana standard 9.50", "least_kept 0"), WHO)
    sold_out_releases(releases, now - timedelta(days=1))


def test_demand_and_advice_are_told_in_the_terminal(halfwater: Command) -> None:
    """Past lines with their ranges, what is to come, the advice and what to try; one taxon alone as well."""
    a_book(datetime.now(UTC))
    code, out, _ = halfwater("price")
    told = " ".join(out.split())
    assert code == 0
    for part in (
        "2 of them sold out",
        "all 5 sold in 18 minutes",
        "From 2 releases nothing is sure",
        "be known yet",
    ):
        assert part in told
    assert "No cutting plan says" in told
    assert "9.50 EUR" in halfwater("price", "nana")[1]


def test_programs_get_demand_and_advice_as_one_object(halfwater: Command) -> None:
    """Wanted and unmet of each line, and each piece of advice with its verdict."""
    a_book(datetime.now(UTC))
    told = json.loads(halfwater("price", "--json")[1])
    assert [one["outlook"]["line"]["sold"] for one in told["demand"]["lines"]] == [5, 5]
    (advice,) = told["advice"]
    assert (advice["verdict"], advice["now"]["price_minor"]) == ("cannot know yet", 950)


def test_a_release_is_told_alone_and_its_prices_may_move(halfwater: Command) -> None:
    """An opened release has no advice; a table of prices by pots and hours left is there for its lines."""
    now = datetime.now(UTC)
    a_book(now, 1)
    a_release("Winter", now - timedelta(hours=3), (5,), days=None)
    code, out, _ = halfwater("price", "--release", "winter")
    assert code == 0
    assert "the prices of one that was opened stand" in " ".join(out.split())
    assert "1 of 5" in out
    table = json.loads(halfwater("price", "--release", "winter", "--moving", "nana", "--json")[1])["table"]
    assert (len(table["price_minor"]), table["pots_left"][0]) == (len(table["pots_left"]), 5)
    assert "never moves" in " ".join(halfwater("price", "--release", "winter", "--moving", "nana")[1].split())


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--moving", "nana"), "name it with --release"),
        (("--release", "Nowhere"), "draft one first"),
        (("petite",), "one of your taxa"),
        (("--step", "0"), "an amount above 0"),
        (("--move", "80"), "from 0 to 50"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence(halfwater: Command, words: tuple[str, ...], says: str) -> None:
    """Bad input leaves with exit 2 and what would be accepted."""
    a_floor(2, datetime.now(UTC))
    code, _, err = halfwater("price", *words)
    assert code == 2
    assert says in err


def test_where_nothing_is_ready_it_says_where_to_look(halfwater: Command) -> None:
    """A kind without a price is not advised on."""
    a_floor(2, datetime.now(UTC))
    assert "halfwater ready" in halfwater("price")[1]
