"""The salts, light and air of a tank in a real browser: maps, forms, readings, with and without script."""

import pytest
from playwright.sync_api import Page, expect
from pytest_django.live_server_helper import LiveServer

from halfwater.book import queries
from halfwater.deeds.notes import Typed, note
from tests.browser.conftest import scrolls_sideways, serious_findings
from tests.web.books import batch_on_row_a, now, read_waterline, small_book

pytestmark = [pytest.mark.django_db(transaction=True)]
PAGES = ("bath", "light", "air")


@pytest.fixture
def lit(live_server: LiveServer) -> str:
    """The address of a tank with plants, a lamp, and one reading of each kind."""
    small_book()
    batch_on_row_a()
    read_waterline("20 mm")
    for kind, value, more in (
        ("lamp", "100 %", {"second": "10 h"}),
        ("light", "62", {"spot": "D9", "second": "100 %"}),
        ("ec", "1.9", {}),
        ("sighting", "algae much", {}),
    ):
        note(Typed(kind, "North", value, **more), who="test", now=now())
    return f"{live_server.url}/tanks/at/North/"


def test_the_pages_are_sound_and_fit(phone_page: Page, lit: str) -> None:
    """With all that folds opened axe finds nothing serious and nothing scrolls sideways."""
    for one in PAGES:
        phone_page.goto(f"{lit}{one}/")
        phone_page.locator("main details").evaluate_all("all => all.forEach(one => { one.open = true; })")
        assert serious_findings(phone_page) == [], one
        assert not scrolls_sideways(phone_page), one


def test_one_map_is_seen_and_its_figures_can_be_read(page: Page, lit: str) -> None:
    """Turned on a phone, as it stands on a desk; the figures are not smaller than small print."""
    page.goto(f"{lit}light/")
    expect(page.locator("svg.floor-map:visible")).to_have_count(1)
    size = page.locator("svg.floor-map:visible .light-number").first.bounding_box()
    assert size is not None
    assert size["height"] >= 9


def test_the_map_is_sound_in_the_dark(dark_page: Page, lit: str) -> None:
    """The shades and signs have their contrast in the dark too."""
    dark_page.goto(f"{lit}light/")
    assert serious_findings(dark_page) == []


def test_settings_and_refill_answer_in_place(phone_page: Page, lit: str) -> None:
    """The forms answer where they stand; a bad wish is said beside its field and typed words stay."""
    phone_page.goto(f"{lit}light/")
    phone_page.get_by_label("Wanted daily light").fill("2.5")
    phone_page.get_by_role("button", name="Work it out").click()
    expect(phone_page.get_by_text("Settings that give 2.5 mol/m²/d")).to_be_visible()
    phone_page.goto(f"{lit}bath/?target=salty")
    expect(phone_page.get_by_label("Wanted EC")).to_have_value("salty")
    expect(phone_page.locator("#target-refusal")).to_be_visible()
    phone_page.get_by_label("Wanted EC").fill("0.8")
    phone_page.get_by_role("button", name="Work it out").click()
    expect(phone_page.locator("#target-refusal")).to_have_count(0)
    phone_page.get_by_label("Wanted EC").fill("salty")  # refused where it stands, without a new page
    phone_page.get_by_role("button", name="Work it out").click()
    expect(phone_page.locator("#target-refusal")).to_be_visible()


def test_readings_are_noted_from_the_pages_without_script(plain_page: Page, lit: str) -> None:
    """From a page to its drawer on the tank, a number, a button; the entry is in the book."""
    for one, kind, typed, does in (
        ("light", "light", {"Light": "55", "Spot": "A1", "Dimmer then": "80"}, "Note the light"),
        ("bath", "ec", {"EC at 25 °C": "0.9"}, "Note the EC"),
    ):
        plain_page.goto(f"{lit}{one}/")
        plain_page.get_by_role("link", name="Note a reading").click()
        _note(plain_page, kind, typed, does)
    assert queries.entries(kinds=("light",))[0].second == pytest.approx(0.8)


def test_ph_and_meter_are_noted(phone_page: Page, lit: str) -> None:
    """The drawers of pH and of the meter's check keep what is typed; the check puts the next EC right."""
    phone_page.goto(lit)
    _note(phone_page, "ph", {"pH": "6.4"}, "Note the pH")
    _note(phone_page, "meter", {"The meter shows": "1.30"}, "Note the check")
    assert queries.entries(kinds=("ph",))[0].value == pytest.approx(6.4)
    check = queries.entries(kinds=("meter",))[0]
    assert (check.value, check.second) == (pytest.approx(1.30), pytest.approx(1.413))
    phone_page.goto(f"{lit}bath/")
    expect(phone_page.get_by_text("pH 6.4")).to_be_visible()


def _note(page: Page, kind: str, typed: dict[str, str], does: str) -> None:
    drawer = page.locator(f"#note-{kind}")
    if drawer.get_attribute("open") is None:
        drawer.locator("summary").click()
    for label, value in typed.items():
        drawer.get_by_label(label).first.fill(value)
    drawer.get_by_role("button", name=does).click()
    expect(page.get_by_role("status")).to_contain_text("noted")
