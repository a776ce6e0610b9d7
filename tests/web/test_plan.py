"""Plan: made by one button, kept, shown down to the pots; a what-if is shown and not kept."""

import re
from functools import partial

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from halfwater.book import changes, queries
from halfwater.deeds import plan_cutting
from halfwater.deeds.kept_plan import as_stored
from halfwater.plain.cutting import Action, CuttingPlan, PlanPot
from halfwater.plain.growing import Span
from halfwater.plain.stock import BLADES
from halfwater.web.plan import views
from tests.web import books
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


@pytest.fixture
def cut_due(priced: int) -> list[int]:
    """The keys of two pots that the kept plan asks to be cut this week, three sections each."""
    pots = [pot for pot in queries.standing_pots() if pot.spot in ("A1", "A2")]
    on = books.now().date()
    named = tuple(PlanPot(pot.key, pot.name, "North", pot.spot, 8.0, 300.0, True, False, 3) for pot in pots)
    actions = tuple(
        Action(0, on, "cut", priced, "Nana", "small", 1, 3, 6.0, (pot,), tank, spots)
        for pot, tank, spots in zip(
            named, ("North", ""), (("D1", "A3"), ("North: D3", "North: D4")), strict=True
        )
    )
    made = CuttingPlan(
        on,
        12,
        "optimal",
        0.0,
        actions,
        (),
        Span(0.0, 0.0, 0.0),
        0.0,
        (),
        (),
        {},
        checked=("spots",),
        currency="EUR",
    )
    stored = {"plan": as_stored(made), "futures": [], "habits": []}
    changes.keep_plan(made_at=books.now(), inputs_digest="none", plan=stored)
    return [pot.key for pot in pots]


def _typed(page: str, **typed: str) -> dict[str, str]:
    form = page[page.index('action="/plan/cut/') :]
    mark = re.search(r'name="uuid"[^>]*value="([^"]+)"', form)
    assert mark
    return typed | {"uuid": mark.group(1)}


def test_a_planned_cut_is_noted_with_all_its_pots_and_taken_back(client: Client, cut_due: list[int]) -> None:
    """One form for both pots, filled in with the free spots; noted once, gone from the plan, undone."""
    page = client.get("/plan/").content.decode()
    assert page.count('action="/plan/cut/') == 1
    assert "North D1, D3, D4</textarea>" in page  # A3 is taken
    url = re.search(r'action="(/plan/cut/[^"]+)"', page)
    assert url
    typed = _typed(page, batch="Winter", to="North D1, D3, D4", blade=BLADES[0])
    after = client.post(url.group(1), typed, follow=True).content.decode()
    assert "Winter has 3 pots. 1 sections" not in after
    assert "1 section is left over" in after
    batch = next(one for one in queries.batches() if one.name == "Winter")
    assert batch.blade == BLADES[0]
    assert {parent.pot for parent in batch.parents} == set(cut_due)
    assert [pot.spot for pot in queries.standing_pots(batch=batch.key)] == ["D1", "D3", "D4"]
    assert 'action="/plan/cut/' not in after
    assert "no more" in client.post(url.group(1), typed, follow=True).content.decode()
    client.post(f"/stock/{batch.key}/undo/")
    assert "Winter" not in {one.name for one in queries.batches()}
    assert 'action="/plan/cut/' in client.get("/plan/").content.decode()


@pytest.mark.parametrize(
    "typed",
    [{"batch": ""}, {"to": "North Z9"}, {"to": "North A3"}, {"batch": "June"}, {"first_leaves": "2.5"}],
)
def test_a_planned_cut_that_cannot_be_is_kept_as_typed(
    client: Client, cut_due: list[int], typed: dict[str, str]
) -> None:
    """No name, no such spot, a spot that is taken, a name that is taken: said in the open drawer."""
    page = client.get("/plan/").content.decode()
    url = re.search(r'action="(/plan/cut/[^"]+)"', page)
    assert url
    answer = client.post(url.group(1), _typed(page, batch="Winter", to="North D1") | typed)
    assert answer.status_code == 422
    after = answer.content.decode()
    assert "refusal" in after[after.index("<main") :]
    assert all(value in after for value in typed.values())
    assert len(queries.batches()) == 1


def test_a_plan_without_stock_is_refused_in_words(client: Client) -> None:
    """Nothing to plan is said, not shown as a fault."""
    small_book()
    answer = client.post("/plan/anew/", follow=True)
    assert answer.status_code == 200
    assert "is-refusal" in answer.content.decode()
