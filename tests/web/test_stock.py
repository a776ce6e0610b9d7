"""Stock, a batch, a pot: each answers first; what is done with a pot is kept and can be taken back."""

import re
from datetime import date

import pytest
from django.template.loader import render_to_string
from django.test import Client, RequestFactory
from pytest_django import DjangoAssertNumQueries

from halfwater.book import changes, queries
from halfwater.plain.growing import PotOutlook, Span, StockOutlook
from halfwater.plain.stock import StandingPot
from halfwater.web.stock.page import stock_page
from tests.web.books import batch_on_row_a, small_book

MOST_QUERIES = 45


def _page(client: Client, url: str) -> str:
    answer = client.get(url)
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.fixture
def pot(client: Client) -> int:
    """The pot on A1 of a batch potted half a year ago."""
    small_book()
    batch_on_row_a(potted_on="2025-06-01")
    return next(pot.key for pot in queries.standing_pots() if pot.spot == "A1")


def _care(client: Client, pot: int, kind: str, **typed: str) -> tuple[int, str]:
    page = _page(client, f"/stock/pots/{pot}/")
    form = page[page.index(f'id="note-{kind}"') :]
    mark = re.search(r'name="uuid"[^>]*value="([^"]+)"', form)
    assert mark
    answer = client.post(f"/stock/pots/{pot}/{kind}/", typed | {"uuid": mark.group(1)}, follow=True)
    return answer.status_code, answer.content.decode()


def _stands(pot: int) -> tuple[str, str, int | None]:
    found = queries.standing_pot(pot)
    assert found
    return found.spot, found.state, found.leaves


def test_an_empty_book_says_what_to_do(client: Client) -> None:
    """No pot, no forecast: the page says how to begin."""
    small_book()
    assert "Add a batch, then place its pots" in _page(client, "/stock/")


def test_stock_answers_with_pots_and_the_fan(client: Client, pot: int) -> None:
    """The sentence, the chart with its table, the figures and the working stand on the page."""
    page = _page(client, "/stock/")
    assert re.search(r"\d+ pots of 1 batch stand on the floors", page)
    for part in ('id="ready"', "The same as a table", "New leaves in 30 days", "How this was worked out"):
        assert part in page


def test_slow_pots_stand_first_and_few_are_shown_at_once() -> None:
    """Of twelve pots that stand out the slow come first; those beyond the eighth are folded away."""
    day, span = date(2026, 3, 2), Span(1.0, 1.0, 1.0)
    pots = tuple(
        PotOutlook(
            StandingPot(n, n, 1, "June", 1, "Nana", "growing", day),
            span,
            span,
            (),
            0.0,
            0.0,
            n > 7,
            True,
            "why",
        )
        for n in range(1, 13)
    )
    outlook = StockOutlook(day, day, (), (), pots)
    page = stock_page(outlook, (), {}, "", ())
    assert [one.name for one in page.slow] == [f"June {n}" for n in (8, 9, 10, 11, 12, 1, 2, 3)]
    assert [one.name for one in page.more_slow] == [f"June {n}" for n in (4, 5, 6, 7)]
    text = render_to_string("stock/page.html", {"page": page}, RequestFactory().get("/stock/"))
    assert "<summary>4 more</summary>" in text


def test_a_batch_leads_to_its_pots_and_its_sheet(client: Client, pot: int) -> None:
    """The page of a batch lists its pots; what it is can be changed behind a link."""
    batch = queries.batches()[0].key
    page = _page(client, f"/stock/{batch}/")
    assert f"/stock/pots/{pot}/" in page
    assert f"/stock/{batch}/change/" in page
    assert client.get("/stock/999999/").status_code == 404
    assert client.get("/stock/pots/999999/").status_code == 404


def test_pots_that_are_gone_are_folded_away(client: Client, pot: int) -> None:
    """A lost pot stands in the drawer below the standing ones, its state said once."""
    changes.lose_pot(pot, "rot", who="test")
    page = _page(client, f"/stock/{queries.batches()[0].key}/")
    drawer = page.index("<summary>1 sold or lost</summary>")
    assert page.index(f"/stock/pots/{pot}/") > drawer
    assert "lost <span" not in page


@pytest.mark.parametrize(
    ("kind", "typed", "stands"),
    [
        ("count", {"leaves": "9"}, ("A1", "ready", 9)),
        ("state", {"state": "kept"}, ("A1", "kept", None)),
        ("move", {"tank": "North", "spot": "c2"}, ("C2", "ready", None)),
        ("lose", {"cause": "rot"}, ("", "lost", None)),
    ],
)
def test_what_is_done_with_a_pot_is_kept_and_taken_back(
    client: Client, pot: int, kind: str, typed: dict[str, str], stands: tuple[str, str, int | None]
) -> None:
    """The pot stands as noted, and Undo puts it back as it stood."""
    status, page = _care(client, pot, kind, **typed)
    assert status == 200
    assert _stands(pot) == stands
    undo = re.search(r'action="(/entries/[^"]+/undo/)"', page)
    assert undo
    assert client.post(undo.group(1), follow=True).status_code == 200
    assert _stands(pot) == ("A1", "ready", None)


def test_a_length_and_a_grade_are_kept(client: Client, pot: int) -> None:
    """A bare number is in the unit beside the field; a grade by hand overrules the count."""
    _care(client, pot, "rhizome", rhizome="45")
    _care(client, pot, "grade", grade="large")
    found = queries.standing_pot(pot)
    assert found
    assert (found.rhizome_mm, found.grade) == (45.0, "large")


def test_a_cut_makes_a_batch_and_is_taken_back(client: Client, pot: int) -> None:
    """Parent, new batch, lineage and spots in one step; and back in one."""
    status, page = _care(client, pot, "cut", sections="3", batch="Winter", to="North D1-D2")
    assert status == 200
    batch = next(one for one in queries.batches() if one.name == "Winter")
    assert [parent.pot for parent in batch.parents] == [pot]
    assert [one.spot for one in queries.standing_pots(batch=batch.key)] == ["D1", "D2"]
    assert "Winter" in _page(client, f"/stock/pots/{pot}/")
    undo = re.search(r'action="(/stock/\d+/undo/)"', page)
    assert undo
    client.post(undo.group(1))
    assert [one.name for one in queries.batches()] == ["June"]


@pytest.mark.parametrize(
    ("kind", "typed", "field"),
    [
        ("count", {"leaves": "lots"}, "leaves"),
        ("state", {"state": "sleeping"}, "state"),
        ("move", {"tank": "North", "spot": "A2"}, "spot"),
        ("move", {"tank": "North", "spot": "Z99"}, "spot"),
        ("rhizome", {"rhizome": "long"}, "rhizome"),
        ("lose", {"cause": "bad luck"}, "cause"),
        ("cut", {"sections": "3", "batch": "Winter", "to": "the moon"}, "to"),
        ("cut", {"sections": "many", "batch": "Winter", "to": "North D1"}, "sections"),
    ],
)
def test_what_cannot_be_done_is_said_beside_its_field(
    client: Client, pot: int, kind: str, typed: dict[str, str], field: str
) -> None:
    """The drawer opens again with what was typed; the pot stands as before."""
    status, page = _care(client, pot, kind, **typed)
    assert status == 422
    assert f'id="{kind}-{field}-refusal"' in page
    assert _stands(pot) == ("A1", "ready", None)


def test_a_gone_pot_is_shown_without_its_drawers(client: Client, pot: int) -> None:
    """What was lost stays in the book, to be read only."""
    _, page = _care(client, pot, "lose", cause="rot")
    assert "It was lost" in page
    assert "Note of this pot" not in page


def test_the_pages_ask_the_book_few_questions(
    client: Client, pot: int, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """The queries do not grow with the pots."""
    batch = queries.batches()[0].key
    for url in ("/stock/", f"/stock/{batch}/", f"/stock/pots/{pot}/", "/stock/take/at/North/"):
        client.get(url)
        with django_assert_max_num_queries(MOST_QUERIES):
            client.get(url)


def test_prices_and_habit_are_kept(client: Client, pot: int) -> None:
    """A price in the nursery's coin, the most a release sells, and what the grower wants."""
    taxon = queries.taxa()[0].key
    url = "/plan/prices/"
    client.post(f"{url}?sheet=prices", {f"price_{taxon}_small": "9.50", f"most_{taxon}_small": "20"})
    (price,) = queries.prices()
    assert (price.grade, price.price_minor, price.most_per_release) == ("small", 950, 20)
    client.post(f"{url}?sheet=habit", {"minutes_a_week": "90", "release_every_weeks": "6", "least_kept": "3"})
    habit = queries.cutting_habit()
    assert (habit.minutes_a_week, habit.release_every_weeks, habit.least_kept) == (90, 6, 3)
    answer = client.post(f"{url}?sheet=habit", {"minutes_a_week": "often", "release_every_weeks": "6"})
    assert answer.status_code == 422
    assert 'value="often"' in answer.content.decode()
