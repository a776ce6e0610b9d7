"""The stock-take, a pot and a plan in a real browser: by thumb, with and without JavaScript."""

import pytest
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from halfwater.book import changes, queries
from tests.browser.conftest import scrolls_sideways, serious_findings
from tests.web.books import batch_on_row_a, small_book

pytestmark = [pytest.mark.django_db(transaction=True)]


@pytest.fixture
def stocked(live_server: LiveServer) -> str:
    """The address of a book with a row of pots, the first of them counted once with six leaves."""
    small_book()
    batch_on_row_a(potted_on="2025-06-01")
    first = queries.standing_pots()[0]
    changes.count_pot(first.key, 6, who="test")
    return live_server.url


def test_a_pot_takes_one_tap_without_javascript(plain_page: Page, stocked: str) -> None:
    """Unchanged is one tap, one more leaf is one tap, and the way back stands beside what was noted."""
    plain_page.goto(f"{stocked}/stock/take/at/North/?at=A1")
    plain_page.get_by_role("button", name="6 leaves, as before").click()
    expect(plain_page.get_by_role("heading", name="A2")).to_be_visible()
    plain_page.get_by_role("button", name="5", exact=True).click()
    expect(plain_page.get_by_role("heading", name="A3")).to_be_visible()
    plain_page.get_by_role("status").get_by_role("button", name="Undo").click()
    expect(plain_page.get_by_role("heading", name="A2")).to_be_visible()
    expect(plain_page.get_by_role("status")).to_contain_text("Taken back")


def test_every_tap_of_the_walk_is_in_reach(page: Page, stocked: str) -> None:
    """On a phone the buttons stand on the first screen; a loss and a state are two taps away."""
    page.goto(f"{stocked}/stock/take/at/North/?at=A1")
    for name in ("6 leaves, as before", "−1: 5", "+3: 9", "Note"):
        expect(page.get_by_role("button", name=name)).to_be_in_viewport()
    page.get_by_text("Lost", exact=True).click()
    page.get_by_role("button", name="rot").click()
    expect(page.get_by_role("status")).to_contain_text("lost, rot")
    page.get_by_text("State", exact=True).click()
    page.get_by_role("button", name="kept").click()
    expect(page.get_by_role("status")).to_contain_text("kept")


def test_stock_and_pot_draw_their_charts_under_the_policy(page: Page, stocked: str) -> None:
    """Both charts are drawn by the local script; axe finds nothing serious, nothing scrolls sideways."""
    pot = queries.standing_pots()[0].key
    for url in ("/stock/", f"/stock/{queries.batches()[0].key}/", f"/stock/pots/{pot}/"):
        page.goto(stocked + url)
        expect(page.locator(".chart-canvas[data-drawn=yes]")).to_be_visible()
        assert serious_findings(page) == [], url
        assert not scrolls_sideways(page), url


def test_a_plan_is_made_with_one_button(phone_page: Page, stocked: str) -> None:
    """Before there are prices it leads to them; then the plan stands with its calendar and marks."""
    phone_page.goto(f"{stocked}/plan/")
    phone_page.get_by_role("button", name="Make a plan").click()
    expect(phone_page.get_by_role("heading", name="Prices and habit")).to_be_visible()
    phone_page.get_by_label("Price, small").first.fill("9.50")
    phone_page.get_by_role("button", name="Keep the prices").click()
    phone_page.goto(f"{stocked}/plan/")
    phone_page.get_by_role("button", name="Make a plan").click()
    expect(phone_page.locator("svg.calendar")).to_be_visible(timeout=60_000)
    phone_page.locator("main details").evaluate_all("all => all.forEach(one => { one.open = true; })")
    assert serious_findings(phone_page) == []
    assert not scrolls_sideways(phone_page)
