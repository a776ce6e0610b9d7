"""A real Chromium on a live server; where there is none the tests here are skipped and counted out loud."""

import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, ConsoleMessage, Page, sync_playwright

NAMES = ("chromium", "chromium-browser", "google-chrome")
ARGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
SIZES = {"phone": (390, 844), "desk": (1280, 900), "narrow": (360, 740)}
SERIOUS = ("serious", "critical")
# Without this axe fetches the stylesheets and parses them in the page, which the policy rightly stops.
AXE = {"preload": False}


def chromium() -> str | None:
    """The browser of this machine, if there is one."""
    named = os.environ.get("HALFWATER_CHROMIUM")
    return named or next((path for name in NAMES if (path := shutil.which(name))), None)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark every test of this folder, and skip it where there is no Chromium."""
    for item in items:
        if "tests/browser/" in item.nodeid:
            item.add_marker(pytest.mark.browser)
            if chromium() is None:
                item.add_marker(pytest.mark.skip(reason="no Chromium on this machine"))


@dataclass(slots=True)
class Seen:
    """What the browser complained of on a page."""

    complaints: list[str] = field(default_factory=list)

    def hear(self, message: ConsoleMessage) -> None:
        """Keep errors and warnings: a breach of the content-security policy is one."""
        if message.type in ("error", "warning") and "422 (" not in message.text:
            self.complaints.append(message.text)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests."""
    with sync_playwright() as play:
        one = play.chromium.launch(executable_path=chromium(), args=ARGS)
        yield one
        one.close()


@pytest.fixture
def seen() -> Seen:
    """The complaints of this test's page."""
    return Seen()


@pytest.fixture(params=["phone", "desk"])
def page(request: pytest.FixtureRequest, browser: Browser, seen: Seen) -> Iterator[Page]:
    """A page at the size of a phone, then of a desk; afterwards the browser must not have complained."""
    yield from _page(browser, seen, request.param)
    assert seen.complaints == []


@pytest.fixture
def phone_page(browser: Browser, seen: Seen) -> Iterator[Page]:
    """A phone alone, for what looks the same on a desk."""
    yield from _page(browser, seen, "phone")
    assert seen.complaints == []


@pytest.fixture
def plain_page(browser: Browser, seen: Seen) -> Iterator[Page]:
    """A phone without JavaScript."""
    yield from _page(browser, seen, "phone", java_script_enabled=False)


@pytest.fixture
def dark_page(browser: Browser, seen: Seen) -> Iterator[Page]:
    """A phone in the dark."""
    yield from _page(browser, seen, "phone", color_scheme="dark")
    assert seen.complaints == []


@pytest.fixture
def narrow_page(browser: Browser, seen: Seen) -> Iterator[Page]:
    """The narrowest phone that is served."""
    yield from _page(browser, seen, "narrow")


def _page(browser: Browser, seen: Seen, size: str, **settings: object) -> Iterator[Page]:
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, **settings)  # type: ignore[arg-type]
    one = context.new_page()
    one.on("console", lambda message: seen.hear(message))
    one.on("pageerror", lambda error: seen.complaints.append(str(error)))
    yield one
    context.close()


def serious_findings(page: Page) -> list[str]:
    """What axe finds serious on the page as it stands."""
    found = Axe().run(page, options=AXE).response["violations"]
    return [
        f"{one['id']}: {one['help']}: {[node['target'] for node in one['nodes']][:3]}"
        for one in found
        if one["impact"] in SERIOUS
    ]


def scrolls_sideways(page: Page) -> bool:
    """Is the page wider than its window?"""
    return bool(page.evaluate("document.documentElement.scrollWidth > window.innerWidth"))
