"""What pages may do, and who may see them."""

import re

import pytest
from django.conf import settings
from django.core.cache import cache
from django.test import Client, override_settings

from halfwater.book import queries
from halfwater.deeds.owner import set_password
from halfwater.web.policy import CONTENT_SECURITY_POLICY
from tests.web.books import batch_on_row_a, read_waterline, small_book

PAGES = [
    "/", "/tanks/", "/tanks/add/", "/tanks/at/North/", "/tanks/at/North/change/", "/tanks/at/North/place/",
    "/stock/", "/stock/add/", "/stock/BATCH/", "/stock/BATCH/change/", "/stock/pots/POT/", "/stock/take/",
    "/stock/take/at/North/", "/stock/take/at/North/list/", "/stock/lineage/", "/plan/", "/plan/prices/",
    "/score/", "/mixes/", "/mixes/MIX/", "/mixes/add/", "/mixes/feeds/add/", "/mixes/build/",
    "/mixes/compare/", "/mixes/meter/", "/mixes/MIX/stocks/", "/mixes/MIX/card/", "/mixes/salts/add/",
    "/mixes/waters/add/", "/mixes/targets/add/", "/more/", "/more/settings/",
    "/more/lamps/add/", "/more/password/", "/more/pattern/", "/login/",
]  # fmt: skip
ELSEWHERE = "203.0.113.9"
PASSWORD = "heron-by-the-weir-7"


@pytest.fixture
def full_book() -> None:
    """A book with a tank, a batch, a reading and a mix, its mix reachable by its own address."""
    small_book()
    batch_on_row_a()
    read_waterline("20 mm")


@pytest.fixture
def password() -> str:
    """The owner's password, set."""
    cache.clear()
    set_password(PASSWORD)
    return PASSWORD


def _pages() -> list[str]:
    keys = {
        "MIX": queries.mixes()[0].key,
        "BATCH": queries.batches()[0].key,
        "POT": queries.standing_pots()[0].key,
    }
    return [re.sub("|".join(keys), lambda found: f"{keys[found[0]]}", page) for page in PAGES]


@pytest.mark.usefixtures("full_book")
def test_every_page_is_under_the_policy(client: Client) -> None:
    """No page has a script or a style of its own, and each says so to the browser."""
    assert "unsafe" not in CONTENT_SECURITY_POLICY
    for url in _pages():
        answer = client.get(url)
        page = answer.content.decode()
        assert answer.status_code == 200, url
        assert answer["Content-Security-Policy"] == CONTENT_SECURITY_POLICY
        assert not re.search(r"<style|\sstyle=|\son\w+=\"|javascript:", page), url
        scripts = re.findall(r"<script([^>]*)>", page)
        assert all("src=" in one or "application/json" in one for one in scripts), url


@pytest.mark.usefixtures("full_book")
def test_templates_read_only_what_pages_carry(client: Client) -> None:
    """A name a template asks for and its page does not have would show; none does."""

    templates = [
        settings.TEMPLATES[0]
        | {"OPTIONS": settings.TEMPLATES[0]["OPTIONS"] | {"string_if_invalid": "!!%s!!"}}
    ]
    with override_settings(TEMPLATES=templates):
        for url in _pages():
            assert "!!" not in client.get(url).content.decode().replace("<!", ""), url


@pytest.mark.usefixtures("full_book")
def test_beyond_this_machine_nothing_is_shown(client: Client) -> None:
    """Without the password every page leads to the door, and no page leaks a name."""
    for url in _pages():
        if url != "/login/":
            answer = client.get(url, REMOTE_ADDR=ELSEWHERE)
            assert answer.status_code == 302, url
            assert answer["Location"].startswith("/login/")
    assert "North" not in client.get("/login/", REMOTE_ADDR=ELSEWHERE).content.decode()
    assert "Reedmoor" not in client.get("/login/", REMOTE_ADDR=ELSEWHERE).content.decode()


@pytest.mark.usefixtures("full_book")
def test_a_request_handed_on_by_a_web_server_is_from_beyond() -> None:
    """A server in front of the pages does not make everyone an owner."""
    assert Client(HTTP_X_FORWARDED_FOR=ELSEWHERE).get("/tanks/").status_code == 302
    assert Client().get("/tanks/").status_code == 200


@pytest.mark.usefixtures("full_book")
def test_served_beyond_even_this_machine_gives_the_password(client: Client) -> None:
    """Once the pages are served to others, the password is asked of everyone."""
    with override_settings(SERVED_BEYOND=True):
        assert client.get("/tanks/").status_code == 302


@pytest.mark.usefixtures("full_book")
def test_the_password_opens_the_book(password: str) -> None:
    """The right password opens, a wrong one says so, and changing it ends the session."""
    far = Client(REMOTE_ADDR=ELSEWHERE)
    assert far.post("/login/", {"password": "wrong"}).status_code == 422
    assert far.post("/login/", {"password": password, "next": "/tanks/"})["Location"] == "/tanks/"
    assert far.get("/tanks/").status_code == 200
    set_password(f"{password}-new")
    assert far.get("/tanks/").status_code == 302


def test_the_door_leads_to_no_other_house(password: str) -> None:
    """An address elsewhere named in `next` is not followed."""
    far = Client(REMOTE_ADDR=ELSEWHERE)
    answer = far.post("/login/", {"password": password, "next": "https://example.org/"})
    assert answer["Location"] == "/"


def test_guessing_is_slowed_down(password: str) -> None:
    """After some wrong tries even the right password has to wait."""
    far = Client(REMOTE_ADDR=ELSEWHERE)
    for _ in range(8):
        far.post("/login/", {"password": "guess"})
    answer = far.post("/login/", {"password": password})
    assert answer.status_code == 422
    assert "wait" in answer.content.decode()


@pytest.mark.usefixtures("full_book")
def test_a_form_without_its_token_is_refused() -> None:
    """Another site cannot note a round in the grower's name."""
    strict = Client(enforce_csrf_checks=True)
    assert strict.post("/tonight/note/", {}).status_code == 403
