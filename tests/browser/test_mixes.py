"""A mix built in a real browser, by thumb."""

import pytest
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from halfwater.book import queries
from halfwater.deeds.shelf import save_salt_sheet
from tests.browser.conftest import scrolls_sideways, serious_findings
from tests.web.books import small_book

pytestmark = [pytest.mark.django_db(transaction=True)]


def test_a_mix_is_built_made_as_stocks_and_kept(page: Page, live_server: LiveServer) -> None:
    """Strengths typed, the recipe read, its stocks seen, the recipe kept: no page scrolls sideways."""
    small_book()
    for formula in ("Ca(NO3)2.4H2O", "KNO3", "KH2PO4"):
        save_salt_sheet({"formula": formula}, who="test")
    page.goto(f"{live_server.url}/mixes/build/")
    page.get_by_label("Or strengths").fill("N 33, P 5, K 40, Ca 30")
    page.get_by_label("To make").fill("10")
    page.get_by_role("button", name="Work out the recipe").click()
    expect(page.get_by_role("heading", name="To measure for 10 L")).to_be_visible()
    assert serious_findings(page) == []
    assert not scrolls_sideways(page)
    page.get_by_role("link", name="As stock solutions A and B").click()
    expect(page.get_by_role("heading", name="A, 1 L")).to_be_visible()
    assert serious_findings(page) == []
    assert not scrolls_sideways(page)
    page.go_back()
    page.get_by_label("Its name").fill("Mild")
    page.get_by_role("button", name="Keep as a mix").click()
    expect(page.get_by_role("heading", name="Mild")).to_be_visible()
    assert [mix.name for mix in queries.mixes()].count("Mild") == 1
    page.goto(f"{live_server.url}/mixes/compare/")
    assert serious_findings(page) == []
    assert not scrolls_sideways(page)


def test_the_first_page_and_a_card_pass_the_eye_of_the_machine(page: Page, live_server: LiveServer) -> None:
    """The shelf with its switches, and the card that prints on one sheet."""
    small_book()
    page.goto(f"{live_server.url}/mixes/")
    page.get_by_role("button", name="Mark used up").first.click()
    expect(page.get_by_role("button", name="Mark at hand")).to_be_visible()
    assert serious_findings(page) == []
    assert not scrolls_sideways(page)
    page.goto(f"{live_server.url}/mixes/{queries.mixes()[0].key}/card/?volume=5")
    assert serious_findings(page) == []
    assert page.pdf(format="A4").count(b"/Type /Page\n") == 1
