"""Slips in every form: answered beside their field, with all that was typed, and nothing written."""

import html
import re
from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from halfwater.book import queries
from tests.web.books import SET_UP, batch_on_row_a, small_book

TANK = {"name": "South", "floor": "900 x 450", "height": "450", "pot": "50", "pots": ""}
FEED = {"feed_name": "Green", "form": "liquid", "label": "9-3-6", "basis": "w/w", "density": "1.2"}
MIX = {"name": "Strong", "use": "fill", "feed_1": "1", "dose_1": "2 mL/L"}
SETTINGS = {"nursery": "Reedmoor", "units": "metric", "time_zone": "UTC", "currency": "EUR"}
BATCH = {"name": "July", "new_taxon": "Nana wavy"}
LONG = "x" * 90


def refusals(page: str) -> dict[str, str]:
    """What stands beside each refused field, by the id of the field."""
    found = re.findall(r'id="([^"]+)-refusal"[^>]*>(.*?)</p>', page, re.DOTALL)
    return {name: html.unescape(text) for name, text in found}


def png() -> bytes:
    """A small sound picture."""
    data = BytesIO()
    Image.new("RGB", (40, 30), "green").save(data, "PNG")
    return data.getvalue()


def held() -> tuple[int, ...]:
    """How much the book holds."""
    return (
        len(queries.entries()), len(queries.tanks(in_use=None)), len(queries.pots()), len(queries.feeds()),
        len(queries.mixes()), len(queries.lamps()), len(queries.batches()), len(queries.taxa()),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("floor", "90 cm", "length and width"),
        ("floor", "900 m x 450 m", "up to 10000 mm"),
        ("floor", "0 x 45 cm", "ength"),
        ("height", "999 m", "up to 10000 mm"),
        ("height", "2 cm", "at least 50 mm, that of the pots"),
        ("pot", "5x5", "rim x foot x height"),
        ("pots", "0", "1 to 176 pots"),
        ("night_spray", "5000 L", "0 to 100 L"),
        ("density", "40", "0.7 to 2.5 kg/L"),
        ("nursery", LONG, "at most 80 signs"),
        ("name", "No\7rth", "figures and signs only"),
    ],
)
def test_a_slip_in_set_up_is_said_beside_its_own_field(
    client: Client, field: str, typed: str, said: str
) -> None:
    """What the book refuses stands under the name the field has on the page, with what was typed there."""
    answer = client.post("/setup/", SET_UP | {field: typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert list(refusals(page)) == [field]
    assert said in refusals(page)[field]
    assert typed in html.unescape(page)
    assert held()[1:3] == (0, 0)
    assert not queries.nursery().is_set_up


@pytest.mark.parametrize(
    ("url", "sound", "field", "typed"),
    [
        ("/tanks/add/", TANK, "night_spray", "5000 L"),
        ("/tanks/add/", TANK, "clay_fill", "0"),
        ("/tanks/add/", TANK, "name", "north"),
        ("/tanks/at/North/change/", TANK, "set_up_on", "2999-01-01"),
        ("/tanks/at/North/change/", TANK, "stray_ppfd", "90000"),
        ("/tanks/at/North/change/", TANK, "morning_spray", "5000 L"),
        ("/mixes/feeds/add/", FEED, "density", "0"),
        ("/mixes/feeds/add/", FEED, "feed_name", LONG),
        ("/mixes/feeds/add/", FEED, "teaspoon", "0"),
        ("/mixes/add/", MIX, "ec", "99"),
        ("/mixes/add/", MIX, "name", LONG),
        ("/more/settings/", SETTINGS, "nursery", LONG),
        ("/more/settings/", SETTINGS, "room_temp", "99"),
        ("/more/lamps/add/", {"name": "Shelf"}, "ppfd", "90000"),
        ("/more/lamps/add/", {"name": "Shelf"}, "power", "90 kW"),
        ("/stock/add/", BATCH, "new_taxon", "y" * 200),
        ("/stock/add/", BATCH, "parent_note", "z" * 400),
    ],
)
def test_a_slip_on_a_sheet_is_said_beside_its_own_field(
    client: Client, url: str, sound: dict[str, str], field: str, typed: str
) -> None:
    """No refusal of the book stands far from its field, and none leaves half a change behind."""
    small_book()
    before = held()
    answer = client.post(url, sound | {field: typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert list(refusals(page)) == [field]
    assert typed in html.unescape(page)
    assert held() == before


@pytest.mark.parametrize(
    ("kind", "typed", "field", "said"),
    [
        ("air", {"value": "24", "second": "damp"}, "air-second", "62 %"),
        ("air", {"value": "24", "second": "150"}, "air-second", "62 %"),
        ("air", {"value": "warm", "second": "90"}, "air-value", "temperature"),
        ("lamp", {"value": "80", "second": "30"}, "lamp-second", "at most 24"),
        ("lamp", {"value": "180", "second": "10"}, "lamp-value", "62 %"),
        ("loss", {"value": "0", "cause": "rot"}, "loss-value", "from 1"),
        ("loss", {"value": "1", "cause": "boredom"}, "loss-cause", "dried out"),
        ("leaves", {"value": "5", "spot": "Z99"}, "leaves-spot", "A1 to "),
    ],
)
def test_a_slip_in_one_of_two_fields_is_said_beside_that_one(
    client: Client, kind: str, typed: dict[str, str], field: str, said: str
) -> None:
    """Temperature and humidity, dimmer and hours, number and cause are each answered for themselves."""
    small_book()
    answer = client.post(f"/tanks/at/North/note/{kind}/", typed)
    found = refusals(answer.content.decode())
    assert answer.status_code == 422
    assert list(found) == [field]
    assert said in found[field]
    assert queries.entries() == ()


def test_the_air_is_noted_without_its_humidity(client: Client) -> None:
    """The field says optional, so a temperature alone is kept, and can be written anew as it stands."""
    small_book()
    client.post("/tanks/at/North/note/air/", {"value": "24.5", "second": ""})
    (entry,) = queries.entries(kinds=("air",))
    assert (entry.value, entry.second) == (24.5, None)
    typed = {"value": entry.typed, "at": "", "text": "by the door", "reason": "words added"}
    client.post(f"/entries/{entry.uuid}/", typed)
    assert [(one.value, one.text) for one in queries.entries(kinds=("air",))] == [(24.5, "by the door")]


def test_a_loss_written_anew_keeps_its_batch(client: Client) -> None:
    """What the form does not ask again is carried over from the old entry."""
    small_book()
    batch = batch_on_row_a()
    client.post("/tanks/at/North/note/loss/", {"value": "1", "cause": "rot", "batch": "June", "spot": "a2"})
    (entry,) = queries.entries(kinds=("loss",))
    assert (entry.batch, entry.spot) == (batch, "A2")
    client.post(f"/entries/{entry.uuid}/", {"value": "2 melt", "at": "", "text": "", "reason": "miscounted"})
    (anew,) = queries.entries(kinds=("loss",))
    assert (anew.value, anew.word, anew.batch, anew.spot) == (2.0, "melt", batch, "A2")


@pytest.mark.parametrize(
    ("photo", "at", "field"),
    [(b"not a picture", "", "note-photo"), (png(), "2999-01-01", "note-at")],
)
def test_a_refused_note_leaves_no_photo_behind(client: Client, photo: bytes, at: str, field: str) -> None:
    """A text named .png is refused beside its field; a sound photo is kept only with its entry."""
    small_book()
    before = photos()
    sent = {"text": "lid cracked", "at": at, "photo": SimpleUploadedFile("lid.png", photo, "image/png")}
    answer = client.post("/tanks/at/North/note/note/", sent)
    assert answer.status_code == 422
    assert list(refusals(answer.content.decode())) == [field]
    assert "lid cracked" in answer.content.decode()
    assert photos() == before
    assert queries.entries() == ()


def photos() -> list[Path]:
    """The files in the photo folder."""
    return sorted(path for path in Path(settings.PHOTO_FOLDER).rglob("*") if path.is_file())


def test_a_long_text_is_not_said_back_in_full(client: Client) -> None:
    """The refusal stays short; the field still holds all that was typed."""
    page = client.post("/setup/", SET_UP | {"height": LONG}).content.decode()
    assert "…”" in refusals(page)["height"]
    assert f'value="{LONG}"' in page
