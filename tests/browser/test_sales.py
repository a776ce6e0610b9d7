"""Sales in a real browser: nothing serious by axe, nothing sideways on a small phone, no script needed."""

from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from halfwater.book import changes, queries
from halfwater.deeds import orders, releases
from tests.browser.conftest import scrolls_sideways, serious_findings
from tests.deeds.nurseries import WHO
from tests.deeds.stocks import SPOTS, a_stock, counted

pytestmark = [pytest.mark.django_db(transaction=True)]


@pytest.fixture
def book(live_server: LiveServer) -> str:
    """The address of a book with a release: one line sold out, one on offer, an order and a hold."""
    now = datetime.now(UTC)
    a_stock(8)
    for spot in SPOTS:
        counted(spot, 9, now - timedelta(days=1))
    key = releases.draft_release({"name": "December"}, WHO)
    line = {"taxon": "Anubias barteri var. nana", "grade": "standard", "price": "9.50", "pots": "2"}
    first = releases.draft_line(key, line, WHO, now)
    other = line | {"grade": "large", "price": "14", "pots": "North B1-B4"}
    second = releases.draft_line(key, other, WHO, now)
    releases.open_release(key, WHO, now - timedelta(minutes=30))
    orders.note_order({f"plants_{first}": "2", "name": "Anna", "place": "Farland"}, uuid4(), WHO, now)
    orders.note_hold({"plants": "1", "name": "Ben"}, second, uuid4(), WHO, now)
    changes.save_place_rule(who=WHO, place="Farland", kind="note", text="Ask first.")
    return live_server.url


def paths() -> tuple[str, ...]:
    """The pages of Sales, with one release, line and order."""
    (release,) = queries.releases()
    number = queries.orders()[0].number
    own = f"/sales/{release.key}/"
    return ("/sales/", own, f"{own}close/", f"{own}line/{release.lines[0].key}/", "/sales/orders/",
            f"/sales/orders/{number}/", "/sales/places/", "/sales/demand/")  # fmt: skip


def test_no_page_of_sales_goes_sideways_or_hides_from_a_reader(narrow_page: Page, book: str) -> None:
    """Each page at 360 pixels: axe finds nothing serious, nothing is wider, buttons are a thumb high."""
    faults = []
    for path in paths():
        narrow_page.goto(f"{book}{path}")
        faults += [f"{path}: {one}" for one in serious_findings(narrow_page)]
        if scrolls_sideways(narrow_page):
            faults.append(f"{path} goes sideways")
        heights = narrow_page.locator("main .button, main .tab, main .order-row, main summary").evaluate_all(
            "all => all.filter(one => one.offsetHeight && one.offsetHeight < 47).map(one => one.innerText)"
        )
        faults += [f"{path}: too low: {one}" for one in heights]
    assert faults == []


def test_the_sell_out_is_drawn_under_the_policy(phone_page: Page, book: str) -> None:
    """The chart of the line that sold out is drawn with no complaint; its table says the same."""
    (release,) = queries.releases()
    line = next(one for one in release.lines if not one.free)
    phone_page.goto(f"{book}/sales/{release.key}/?line={line.key}")
    expect(phone_page.locator(".chart-canvas[data-drawn=yes]")).to_be_visible()
    phone_page.get_by_text("The same as a table").click()
    expect(phone_page.get_by_role("cell", name="sold out")).to_be_visible()


def test_a_line_is_emptied_and_a_release_closed_without_script(plain_page: Page, book: str) -> None:
    """A pot is ticked and taken back, the hold let go, and the release closed after its question."""
    (release,) = queries.releases()
    line = next(one for one in release.lines if one.free)
    plain_page.goto(f"{book}/sales/{release.key}/line/{line.key}/")
    plain_page.locator("input[name=pot]").first.check()
    plain_page.get_by_role("button", name="Take the ticked ones back").click()
    expect(plain_page.get_by_role("status")).to_contain_text("1 pot taken back")
    plain_page.get_by_role("button", name="Let it go").click()
    expect(plain_page.get_by_role("status")).to_contain_text("free again")
    plain_page.goto(f"{book}/sales/{release.key}/")
    plain_page.get_by_role("link", name="Close it").click()
    expect(plain_page.get_by_text("A closed release is not opened again")).to_be_visible()
    plain_page.get_by_role("button", name="Close it").click()
    expect(plain_page.get_by_role("status")).to_contain_text("The release is closed")
