"""Set-up, Tonight and one tank in a real browser: by thumb, by keyboard, with and without JavaScript."""

import pytest
from playwright.sync_api import Browser, Page, expect
from pytest_django.live_server_helper import LiveServer

from halfwater.book import queries
from tests.browser.conftest import scrolls_sideways, serious_findings
from tests.web.books import batch_on_row_a, read_waterline, small_book

pytestmark = [pytest.mark.django_db(transaction=True)]
ALL = ("/", "/tanks/", "/tanks/at/North/", "/tanks/at/North/change/", "/tanks/at/North/place/", "/stock/",
       "/stock/take/", "/stock/take/at/North/", "/stock/take/at/North/list/", "/stock/lineage/", "/plan/",
       "/plan/prices/", "/score/", "/mixes/", "/mixes/add/", "/more/", "/more/settings/",
       "/more/pattern/")  # fmt: skip


@pytest.fixture
def book(live_server: LiveServer) -> str:
    """The address of a book with a tank, a batch and a reading."""
    small_book()
    batch_on_row_a()
    read_waterline("20 mm")
    return live_server.url


def test_set_up_ends_on_tonight(page: Page, live_server: LiveServer) -> None:
    """Six fields typed, one button pressed: the page says what to spray, mix and fill tonight."""
    page.goto(live_server.url)
    expect(page.get_by_role("heading", name="Set up the book")).to_be_visible()
    assert serious_findings(page) == []
    page.get_by_label("Name of the nursery").fill("Reedmoor")
    page.get_by_label("Floor, inside").fill("90 x 45 cm")
    page.get_by_label("How many pots").fill("119")
    page.get_by_label("Feed label").fill("9-3-6")
    page.get_by_label("Dose in the spray").fill("0.5 mL/L")
    page.get_by_role("button", name="Set up and show tonight").click()
    expect(page.get_by_role("heading", name="Tonight")).to_be_visible()
    expect(page.locator(".answer")).to_contain_text("Spray Tank 1 with 150 mL")
    expect(page.get_by_text("0.075 mL")).to_be_visible()
    assert serious_findings(page) == []
    assert not scrolls_sideways(page)


def test_a_refusal_brings_the_eye_to_its_field(page: Page, live_server: LiveServer) -> None:
    """After a slip the field that is refused has the cursor, and everything typed is still there."""
    page.goto(f"{live_server.url}/setup/")
    page.get_by_label("Name of the nursery").fill("Reedmoor")
    page.get_by_label("Floor, inside").fill("very big")
    page.get_by_role("button", name="Set up and show tonight").click()
    floor = page.get_by_label("Floor, inside")
    expect(floor).to_be_focused()
    expect(floor).to_have_value("very big")
    expect(page.get_by_label("Name of the nursery")).to_have_value("Reedmoor")
    expect(floor).to_have_accessible_description(
        "Length x width, such as 90 x 45 cm or 36 x 18 in. “very big” cannot be used here. "
        "The inside length and width such as 90 x 45 cm or 36 x 18 in."
    )
    assert serious_findings(page) == []


def test_one_tap_notes_the_round_and_undo_takes_it_back(page: Page, book: str) -> None:
    """The big button notes everything; the way back stands beside what it did."""
    page.goto(book)
    assert serious_findings(page) == []
    page.get_by_role("button", name="Note the whole round").click()
    message = page.get_by_role("status")
    expect(message).to_contain_text("The round is noted")
    assert len(queries.entries(kinds=("spray",))) == 1
    message.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("status")).to_contain_text("taken back")
    assert queries.entries(kinds=("spray",)) == ()


def test_a_line_is_changed_before_the_round_is_noted(page: Page, book: str) -> None:
    """The drawer of a line opens, another amount is typed, and that amount is kept."""
    page.goto(book)
    page.get_by_text("Change or skip: Spray at North").click()
    page.get_by_label("Amount").fill("180")
    page.get_by_role("button", name="Note the whole round").click()
    expect(page.get_by_role("status")).to_contain_text("The round is noted")
    assert [round(entry.value or 0, 3) for entry in queries.entries(kinds=("spray",))] == [0.18]


def test_the_tank_draws_its_waterline_under_the_policy(page: Page, book: str) -> None:
    """Water and salts are drawn by the local script, nothing is evaluated; axe finds nothing serious."""
    page.goto(f"{book}/tanks/at/North/")
    expect(page.locator(".chart-canvas[data-drawn=yes]")).to_have_count(2)
    assert page.locator(".chart-canvas canvas").first.evaluate("one => one.width") > 200
    page.get_by_text("How this was worked out").click()
    page.get_by_text("The same as a table").first.click()
    expect(page.get_by_role("columnheader", name="80 % range")).to_be_visible()
    assert serious_findings(page) == []
    assert not scrolls_sideways(page)


def test_a_reading_is_noted_and_taken_back(page: Page, book: str) -> None:
    """A drawer, a number, a button; and the way back."""
    page.goto(f"{book}/tanks/at/North/")
    drawer = page.locator("#note-waterline")
    drawer.locator("summary").click()
    drawer.get_by_label("Depth of the bath").fill("22")
    drawer.get_by_role("button", name="Note the waterline").click()
    expect(page.get_by_role("status")).to_contain_text("Waterline: noted for North")
    assert queries.entries(kinds=("waterline",))[0].value == 22.0
    page.get_by_role("status").get_by_role("button", name="Undo").click()
    expect(page.get_by_role("status")).to_contain_text("Taken back")
    assert [entry.value for entry in queries.entries(kinds=("waterline",))] == [20.0]


def test_everything_works_without_javascript(plain_page: Page, book: str) -> None:
    """The round is noted, a reading is noted, and the chart's table is there, with no script at all."""
    plain_page.goto(book)
    plain_page.get_by_role("button", name="Note the whole round").click()
    expect(plain_page.get_by_role("status")).to_contain_text("The round is noted")
    plain_page.goto(f"{book}/tanks/at/North/")
    plain_page.get_by_text("The same as a table").first.click()
    expect(plain_page.get_by_role("columnheader", name="80 % range")).to_be_visible()
    drawer = plain_page.locator("#note-waterline")
    drawer.locator("summary").click()
    drawer.get_by_label("Depth of the bath").fill("22")
    drawer.get_by_role("button", name="Note the waterline").click()
    expect(plain_page.get_by_role("status")).to_contain_text("Waterline: noted for North")


def test_no_page_scrolls_sideways_on_a_narrow_phone(narrow_page: Page, book: str) -> None:
    """At 360 px every page fits, and whatever is pressed is at least as high as a fingertip."""
    for url in ALL:
        narrow_page.goto(book + url)
        assert not scrolls_sideways(narrow_page), url
        low = narrow_page.locator(
            ".button, .bar-place, .field-box input, .field-box select, summary"
        ).evaluate_all(
            "all => all.filter(one => one.offsetParent && one.getBoundingClientRect().height < 47.5)"
            ".map(one => one.outerHTML.slice(0, 80))"
        )
        assert low == [], url


def test_every_page_is_sound_in_light(phone_page: Page, book: str) -> None:
    """Axe finds nothing serious on any page."""
    for url in ALL:
        phone_page.goto(book + url)
        assert serious_findings(phone_page) == [], url


def test_every_page_is_sound_in_the_dark(dark_page: Page, book: str) -> None:
    """The dark colours have their contrast too."""
    for url in ALL:
        dark_page.goto(book + url)
        assert serious_findings(dark_page) == [], url


@pytest.mark.parametrize(("has_script", "zone"), [(True, "America/Chicago"), (False, "UTC")])
def test_set_up_begins_in_the_growers_own_time_zone(
    browser: Browser, live_server: LiveServer, has_script: bool, zone: str
) -> None:
    """The browser's own zone is picked; without JavaScript it is UTC, to be changed by hand."""
    context = browser.new_context(timezone_id="America/Chicago", java_script_enabled=has_script)
    page = context.new_page()
    page.goto(f"{live_server.url}/setup/")
    expect(page.get_by_label("Time zone")).to_have_value(zone)
    context.close()


def test_entries_are_whole_on_a_narrow_phone(narrow_page: Page, book: str) -> None:
    """No column of the entries is cut off, and the drawers are one tap away from the answer."""
    narrow_page.goto(f"{book}/tanks/at/North/")
    narrow_page.get_by_role("link", name="Note an entry").click()
    expect(narrow_page.get_by_role("heading", name="Note an entry")).to_be_in_viewport()
    expect(narrow_page.get_by_role("link", name="Put right")).to_be_visible()
    wide = narrow_page.locator(".scroll:has(.entries)").evaluate("one => one.scrollWidth - one.clientWidth")
    assert wide <= 0
