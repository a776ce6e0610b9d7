"""Tanks: the page of one tank, what is noted on it, what is put right."""

import re
from dataclasses import replace
from datetime import timedelta
from io import BytesIO
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from halfwater.book import changes, queries
from halfwater.plain.entry import KIND_UNITS, POT_KINDS, NewEntry
from halfwater.web.tanks.words import entry_as_typed
from tests.web.books import batch_on_row_a, now, read_waterline, small_book

GOOD = {
    "waterline": {"value": "21"},
    "spray": {"value": "180"},
    "skip": {},
    "siphon": {"value": "to low line"},
    "fill": {"value": "2.5"},
    "ec": {"value": "0.8"},
    "ph": {"value": "6.4"},
    "meter": {"value": "1.38", "standard": "1.413"},
    "light": {"value": "62", "spot": "B4", "dimmer": "80", "stray": "5"},
    "air": {"value": "24.5", "second": "92"},
    "lamp": {"value": "80", "second": "10"},
    "leaves": {"value": "7", "spot": "A1"},
    "loss": {"value": "2", "cause": "rot"},
    "sighting": {"value": "algae", "strength": "some"},
    "work": {"value": "12.5", "task": "algae"},
    "note": {"text": "lid cracked"},
}
KEPT = {
    "waterline": (21.0, None), "spray": (0.18, None), "skip": (None, None), "siphon": (None, None),
    "fill": (2.5, None), "ec": (0.8, None), "ph": (6.4, None),
    "meter": (1.38, 1.413), "light": (62.0, 0.8),
    "air": (24.5, 0.92), "lamp": (0.8, 10.0), "leaves": (7.0, None),
    "loss": (2.0, None), "sighting": (2.0, None), "note": (None, None),
    "work": (12.5, None),
}  # fmt: skip


def test_every_kind_of_entry_has_a_form() -> None:
    """No kind of entry is for the terminal only; those of one pot stand on the page of the pot."""
    assert set(GOOD) == set(KIND_UNITS) - set(POT_KINDS)


@pytest.mark.parametrize("kind", list(GOOD))
def test_an_entry_of_each_kind_is_noted(client: Client, kind: str) -> None:
    """The form's bare numbers are in the unit beside the field, and the entry can be taken back at once."""
    small_book()
    batch_on_row_a()
    answer = client.post(f"/tanks/at/North/note/{kind}/", GOOD[kind], follow=True)
    assert answer.status_code == 200
    (entry,) = queries.entries(kinds=(kind,))
    value, second = KEPT[kind]
    assert entry.value == (None if value is None else pytest.approx(value))
    assert entry.second == (None if second is None else pytest.approx(second))
    undo = re.search(r'action="(/entries/[^"]+/undo/)"', answer.content.decode())
    assert undo
    client.post(undo.group(1))
    assert queries.entries(kinds=(kind,)) == ()


@pytest.mark.parametrize(
    ("kind", "typed", "said"),
    [
        ("waterline", {"value": "deep"}, "length"),
        ("waterline", {"value": "-4"}, "length"),
        ("waterline", {"value": "9 m"}, "rim of North"),
        ("waterline", {"value": "21", "at": "2999-01-01"}, "not in the future"),
        ("spray", {"value": "nan"}, "volume"),
        ("siphon", {"value": "a bit"}, "to low line"),
        ("loss", {"value": "two"}, "number of plants"),
        ("note", {"text": ""}, "some words"),
    ],
)
def test_a_bad_entry_is_answered_beside_its_field(
    client: Client, kind: str, typed: dict[str, str], said: str
) -> None:
    """The drawer stays open with what was typed and what would be accepted; nothing is noted."""
    small_book()
    answer = client.post(f"/tanks/at/North/note/{kind}/", {"text": "by lamplight"} | typed)
    page = answer.content.decode()
    drawer = page[page.index(f'id="note-{kind}"') :].partition("</form>")[0]
    assert answer.status_code == 422
    assert said in drawer[drawer.index('class="field-refusal"') :].replace("Some", "some")
    assert all(f'value="{text}"' in drawer for name, text in typed.items() if name != "text")
    assert queries.entries() == ()


def test_the_page_answers_first_and_shows_its_working(client: Client) -> None:
    """Answer, picture, figures, working: all on the page of a tank."""
    small_book()
    read_waterline("20 mm")
    page = client.get("/tanks/at/North/").content.decode()
    places = [
        page.index(mark)
        for mark in ('class="answer', "data-chart", 'class="figures"', "How this was worked out")
    ]
    assert places == sorted(places)
    assert "clay line" in page
    assert "The same as a table" in page


def test_the_floor_shows_every_pot_in_word_and_shape(client: Client) -> None:
    """Each spot has a title with its state; the counts stand in words beside it."""
    tank = small_book()
    batch_on_row_a()
    page = client.get("/tanks/at/North/").content.decode()
    assert page.count('class="pot is-ready" transform') == page.count(": ready, ") >= 9
    assert page.count("<title>") >= tank.pots
    assert "empty" in page


def test_an_entry_is_written_anew(client: Client) -> None:
    """The old entry stays, void, with its reason; the new one stands."""
    small_book()
    read_waterline("31 mm")
    (wrong,) = queries.entries(kinds=("waterline",))
    at = wrong.at.isoformat()
    client.post(f"/entries/{wrong.uuid}/", {"value": "21 mm", "at": at, "text": "", "reason": "misread"})
    (right,) = queries.entries(kinds=("waterline",))
    assert (right.value, right.corrects) == (21.0, wrong.uuid)
    old = queries.entry(wrong.uuid)
    assert old is not None
    assert old.void_reason == "misread"
    assert "is-void" in client.get("/tanks/at/North/").content.decode()


@pytest.mark.parametrize("units", ["metric", "us"])
@pytest.mark.parametrize("kind", list(GOOD))
def test_the_form_to_put_right_gives_back_what_stands(client: Client, kind: str, units: str) -> None:
    """Sent as it opens, the form writes the same entry anew, whatever the kind and the units."""
    small_book(units=units, density="1.2 kg/L")
    batch_on_row_a(potted_on="2025-01-01")
    inches = {"waterline": {"value": "0.8"}, "spray": {"value": "5"}} if units == "us" else {}
    client.post(
        f"/tanks/at/North/note/{kind}/", GOOD[kind] | inches.get(kind, {}) | {"at": "2025-05-01 07:10"}
    )
    (old,) = queries.entries(kinds=(kind,))
    typed = entry_as_typed(replace(old, typed=""), units)
    page = client.get(f"/entries/{old.uuid}/").content.decode()
    assert 'value="2025-05-01 07:10"' in page
    answer = client.post(
        f"/entries/{old.uuid}/",
        {"value": typed, "at": "2025-05-01 07:10", "text": old.text, "reason": "checked"},
    )
    assert answer.status_code == 302
    (new,) = queries.entries(kinds=(kind,))
    assert (new.word, new.to_line, new.at, new.text) == (old.word, old.to_line, old.at, old.text)
    assert new.value == (None if old.value is None else pytest.approx(old.value, rel=0.01))
    assert new.second == (None if old.second is None else pytest.approx(old.second, rel=0.01))


def test_an_entry_is_not_void_without_a_reason(client: Client) -> None:
    """A reason is asked for, and the entry stands until it is given."""
    small_book()
    read_waterline("21 mm")
    (entry,) = queries.entries(kinds=("waterline",))
    assert client.post(f"/entries/{entry.uuid}/void/", {"reason": " "}).status_code == 422
    assert queries.entries(kinds=("waterline",))
    client.post(f"/entries/{entry.uuid}/void/", {"reason": "wrong tank"})
    assert queries.entries(kinds=("waterline",)) == ()


def test_a_photo_is_kept_and_shown(client: Client) -> None:
    """A note with a photo shows it on the page of its tank."""
    small_book()
    data = BytesIO()
    Image.new("RGB", (40, 30), "green").save(data, "JPEG")
    photo = SimpleUploadedFile("leaf.jpg", data.getvalue(), content_type="image/jpeg")
    client.post("/tanks/at/North/note/note/", {"text": "new leaf", "photo": photo})
    shown = re.search(r'src="(/photos/[^"]+)"', client.get("/tanks/at/North/").content.decode())
    assert shown
    answer = client.get(shown.group(1))
    assert b"".join(answer.streaming_content)[:2] == b"\xff\xd8"
    answer.close()
    assert client.get("/photos/../book.sqlite3").status_code == 404


def test_a_tank_is_changed_and_its_spots_follow(client: Client) -> None:
    """A smaller floor has fewer spots; one with a pot in the way is refused whole."""
    small_book()
    typed = {"name": "North", "floor": "600 x 300", "height": "400", "pot": "50 x 38 x 50", "pots": "40"}
    care = {"lamp_dimmer": "80", "lamp_hours": "10", "place": "1", "is_in_use": "yes", "stray_ppfd": "0"}
    assert client.post("/tanks/at/North/change/", typed | care).status_code == 302
    tank = queries.tank_named("North")
    assert (tank.length_mm, tank.pots, tank.lamp_dimmer_frac) == (600.0, 40, pytest.approx(0.8))
    batch_on_row_a()
    answer = client.post("/tanks/at/North/change/", typed | care | {"pots": "1"})
    assert answer.status_code == 422
    assert "stands on it" in answer.content.decode()
    assert queries.tank_named("North").pots == 40


def test_lines_that_cannot_be_are_refused(client: Client) -> None:
    """A low line above the limit line is answered beside its field."""
    small_book()
    typed = {"name": "South", "floor": "600 x 300", "height": "400", "pot": "50", "low_line": "48"}
    page = client.post("/tanks/add/", typed).content.decode()
    assert 'id="low_line-refusal"' in page
    assert len(queries.tanks()) == 1


def test_an_unknown_tank_has_no_page(client: Client) -> None:
    """A name that is not in the book is no page, not an error."""
    assert client.get("/tanks/at/Atlantis/").status_code == 404


def test_a_name_may_hold_any_sign(client: Client) -> None:
    """A tank called 1/2 north? has its page, its forms and its place on the round."""
    small_book(name="1/2 north? #ä")
    tank = queries.tanks()[0]
    page = client.get("/").content.decode()
    url = re.search(r'class="round-tank" href="([^"]+)"', page)
    assert url
    assert "1/2 north? #ä" in client.get(url.group(1)).content.decode()
    answer = client.post(f"{url.group(1)}note/waterline/", {"value": "18"}, follow=True)
    assert "noted for 1/2 north? #ä" in answer.content.decode()
    assert queries.entries(tank=tank.key)[0].value == 18.0


def test_a_sheet_left_as_it_was_changes_nothing(client: Client) -> None:
    """In inches 900 mm is shown as 35.43: what is not typed over is kept in full, so the pots still fit."""
    small_book(pots="162", night_spray="155.5 mL")
    client.post("/more/settings/", {"units": "us", "time_zone": "UTC", "currency": "USD"})
    before = queries.tank_named("North")
    page = client.get("/tanks/at/North/change/").content.decode()
    shown = dict(re.findall(r'<input type="(?:text|date)" name="(\w+)" id="\w+" value="([^"]*)"', page))
    assert shown["floor"] == "35.43 x 17.72"
    answer = client.post("/tanks/at/North/change/", shown | {"is_in_use": "yes", "lamp_hours": "10"})
    assert answer.status_code == 302
    after = queries.tank_named("North")
    night_l = before.plan.night_volume_l
    assert after == replace(before, lamp_hours=10.0, plan=replace(before.plan, night_mix=None))
    assert after.plan.night_volume_l == night_l == 0.1555


def test_words_are_put_right_without_a_quantity(client: Client) -> None:
    """A note has no amount: its sheet does not ask for one, and its title has no gap."""
    small_book()
    client.post("/tanks/at/North/note/note/", {"text": "lid cracked"})
    (entry,) = queries.entries(kinds=("note",))
    page = client.get(f"/entries/{entry.uuid}/").content.decode()
    assert "<h1>Words or a photo, North, " in page
    assert "How much" not in page
    client.post(f"/entries/{entry.uuid}/", {"at": "", "text": "lid chipped", "reason": "looked again"})
    assert [one.text for one in queries.entries(kinds=("note",))] == ["lid chipped"]


def test_a_bath_of_which_nothing_is_noted_is_said_to_be_taken_as_filled(client: Client) -> None:
    """The page does not claim to know where a bath stands that nobody has read or filled."""
    small_book()
    assert "the bath is taken to have been filled" in client.get("/tanks/at/North/").content.decode()
    read_waterline("20 mm")
    assert "the bath is taken to have been filled" not in client.get("/tanks/at/North/").content.decode()


def test_older_entries_leave_none_out(client: Client) -> None:
    """Forty-five readings noted at one instant are all seen, page by page."""
    tank = small_book()
    at = now() - timedelta(hours=1)
    news = [NewEntry(uuid4(), "waterline", at, tank.key, 10 + count / 10) for count in range(1, 46)]
    changes.note_entries(news, who="test")
    address, seen = "/tanks/at/North/", ""
    while address:
        page = client.get(address).content.decode()
        seen += page
        older = re.search(r'href="([^"#]*skip=[^"#]*)', page)
        address = older[1] if older else ""
    assert all(f"/entries/{new.uuid}/" in seen for new in news)
    assert client.get("/tanks/at/North/?skip=-3").status_code == 404


@pytest.mark.parametrize(("shows", "said"), [("1.30", "1.087"), ("9", "standard")])
def test_a_meter_check_is_judged_at_once(client: Client, shows: str, said: str) -> None:
    """Beside the word that it is noted stands what it says of the meter, good or past use."""
    small_book()
    typed = {"value": shows, "standard": "1.413"}
    page = client.post("/tanks/at/North/note/meter/", typed, follow=True).content.decode()
    (message,) = re.findall(r'role="status".*?</span>', page, re.S)
    assert "EC meter check: noted for North." in message
    assert said in message
