"""The packing bench and Money in a real browser, at the size of a phone."""

import pytest
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from halfwater.deeds import packing
from tests.browser.conftest import scrolls_sideways, serious_findings
from tests.deeds.nurseries import NOW, WHO
from tests.deeds.test_packing import MILD, an_order, goods, packed

pytestmark = [pytest.mark.django_db(transaction=True)]


def test_bench_parcel_and_money_by_thumb(phone_page: Page, live_server: LiveServer) -> None:
    """A tap fills the box, the way is drawn, axe finds nothing serious, nothing scrolls sideways."""
    goods()
    sent = packed(an_order("2").number, weather=MILD)
    page, url = phone_page, f"{live_server.url}/packing/parcels/{sent}/"
    first = packing.parcel_view(sent).facts.items[0]
    packing.tick_pot(sent, first.pot, False, WHO, NOW)
    page.goto(url)
    expect(page.get_by_text("Ship", exact=False).first).to_be_in_viewport()
    expect(page.locator(".pick-next").get_by_role("button", name="In the box")).to_be_in_viewport()
    expect(page.locator(".chart-canvas[data-drawn=yes]")).to_be_visible()
    page.locator(".pick-next").get_by_role("button", name="In the box").click()
    expect(page.get_by_text("2 of 2 in the box")).to_be_visible()
    day = NOW.date().isoformat()
    places = (
        url, f"/packing/?day={day}", "/packing/goods/", "/packing/rules/", f"{url}slip/", "/money/",
        "/money/costs/", "/money/costs/purchase/add/",
    )  # fmt: skip
    for place in places:
        page.goto(place if place.startswith("http") else live_server.url + place)
        assert serious_findings(page) == [], place
        assert not scrolls_sideways(page), place
