"""Plan: made by one button, kept, shown down to the pots; a what-if is shown and not kept."""

from functools import partial

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from halfwater.book import changes, queries
from halfwater.deeds import plan_cutting
from halfwater.web.plan import views
from tests.web.books import batch_on_row_a, small_book

MOST_QUERIES = 25


@pytest.fixture
def priced(monkeypatch: pytest.MonkeyPatch) -> int:
    """A small book with prices; plans of twelve weeks, which are made quickly."""
    small_book()
    batch_on_row_a(potted_on="2025-06-01")
    taxon = queries.batches()[0].taxon
    changes.save_price(taxon, "small", 900, who="test")
    for pot in queries.standing_pots():
        changes.count_pot(pot.key, 8, who="test")
    monkeypatch.setattr(views, "make_plan", partial(plan_cutting.plan, weeks=12))
    return taxon


def test_before_the_first_plan_the_page_offers_one(client: Client) -> None:
    """One button, and nothing that looks like a plan."""
    small_book()
    page = client.get("/plan/").content.decode()
    assert "No plan is made yet" in page
    assert "Make a plan" in page


def test_a_plan_is_made_kept_and_shown(
    client: Client, priced: int, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """The button makes it; the page then reads it from the book, with calendar, weeks and rivals."""
    page = client.post("/plan/anew/", follow=True).content.decode()
    assert "The plan is made" in page
    assert queries.newest_plan() is not None
    for part in ('class="calendar"', "This week", "sell all that is ready", "What an independent check"):
        assert part in page
    with django_assert_max_num_queries(MOST_QUERIES):
        client.get("/plan/")


def test_a_what_if_is_shown_and_not_kept(client: Client, priced: int) -> None:
    """The change is named and held against the plan that stands; the book keeps the old one."""
    client.post("/plan/anew/")
    kept = queries.newest_plan()
    page = client.post("/plan/what-if/", {"spots": "40"}).content.decode()
    assert "new tank of 40 spots" in page
    assert "the plan that stands" in page
    assert queries.newest_plan() == kept


@pytest.mark.parametrize("typed", [{"what_if": "more sun"}, {"weeks": "often"}, {}])
def test_a_what_if_that_is_not_understood_is_kept_as_typed(
    client: Client, priced: int, typed: dict[str, str]
) -> None:
    """It says what would be, and keeps what was typed."""
    client.post("/plan/anew/")
    answer = client.post("/plan/what-if/", typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert all(value in page for value in typed.values())
    assert "what_if-refusal" in page


def test_a_changed_price_makes_the_plan_stale(client: Client, priced: int) -> None:
    """The page says that the plan was made from something else."""
    client.post("/plan/anew/")
    changes.save_price(priced, "small", 1200, who="test")
    assert "has changed since" in client.get("/plan/").content.decode()


def test_a_plan_without_stock_is_refused_in_words(client: Client) -> None:
    """Nothing to plan is said, not shown as a fault."""
    small_book()
    answer = client.post("/plan/anew/", follow=True)
    assert answer.status_code == 200
    assert "is-refusal" in answer.content.decode()
