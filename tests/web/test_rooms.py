"""Stock, mixes, settings and the export."""

from io import BytesIO
from zipfile import ZipFile

import pytest
from django.test import Client

from halfwater.book import queries
from tests.web.books import batch_on_row_a, read_waterline, small_book


def test_a_batch_is_added_with_a_taxon_of_its_own(client: Client) -> None:
    """A name that is not in the list becomes a taxon, with the picked one's starting values."""
    small_book()
    model = queries.taxa()[0]
    client.post("/stock/add/", {"name": "June", "taxon": str(model.key), "new_taxon": "Nana wavy"})
    (batch,) = queries.batches()
    assert batch.taxon_name == "Nana wavy"
    taxon = next(one for one in queries.taxa() if one.name == "Nana wavy")
    assert {one.quantity for one in taxon.priors} == {one.quantity for one in model.priors}


def test_stock_counts_pots_by_state(client: Client) -> None:
    """The page says how many pots stand and how many of them are ready."""
    small_book()
    batch_on_row_a()
    ready = queries.counts_by_state()["ready"]
    page = client.get("/stock/").content.decode()
    assert f"{ready} pots of 1 batch stand on the floors" in page


@pytest.mark.parametrize("spots", ["Z99", "A1-", "B3-A1", "1"])
def test_spots_that_are_not_there_are_refused(client: Client, spots: str) -> None:
    """A spot that the floor does not have is said, and no pot is placed."""
    small_book()
    key = batch_on_row_a()
    before = queries.counts_by_state()
    answer = client.post(
        "/tanks/at/North/place/", {"tank": "North", "spots": spots, "batch": str(key), "state": "growing"}
    )
    assert answer.status_code == 422
    assert "this floor has A1 to" in answer.content.decode()
    assert queries.counts_by_state() == before


def test_a_mix_says_what_it_contains(client: Client) -> None:
    """Two teaspoons to the gallon of a 9-3-6 of 1.2 kg/L bring 281 mg/L of nitrogen."""
    small_book()
    feed = queries.feeds()[0]
    typed = {"name": "Strong", "use": "fill", "feed_1": str(feed.key), "dose_1": "2 tsp/gal"}
    page = client.post("/mixes/add/", typed, follow=True).content.decode()
    assert "281 mg/L of nitrogen" in page
    strong = next(mix for mix in queries.mixes() if mix.name == "Strong")
    measured = client.get(f"/mixes/{strong.key}/", {"volume": "1 gal"}).content.decode()
    assert "2 tsp" in measured


def test_a_volume_that_cannot_be_is_answered(client: Client) -> None:
    """The page stays, with what would be accepted beside the field."""
    small_book()
    key = queries.mixes()[0].key
    answer = client.get(f"/mixes/{key}/", {"volume": "plenty"})
    assert answer.status_code == 422
    assert 'value="plenty"' in answer.content.decode()


def test_a_dose_without_its_feed_is_refused(client: Client) -> None:
    """A dose that stands alone is answered beside the feed that is missing."""
    small_book()
    answer = client.post("/mixes/add/", {"name": "Odd", "use": "night", "dose_1": "1 mL/L"})
    assert answer.status_code == 422
    assert 'id="feed_1-refusal"' in answer.content.decode()
    assert len(queries.mixes()) == 1


def test_settings_are_kept_or_answered(client: Client) -> None:
    """A good setting is kept; a bad one is said beside its field."""
    small_book()
    typed = {
        "nursery": "Sedge",
        "units": "us",
        "time_zone": "America/New_York",
        "evening_hour": "21",
        "currency": "usd",
    }
    assert client.post("/more/settings/", typed).status_code == 302
    assert queries.nursery().evening_hour == 21
    assert client.post("/more/settings/", typed | {"evening_hour": "25"}).status_code == 422
    assert client.post("/more/settings/", typed | {"evening_hour": "8"}).status_code == 422
    assert queries.nursery().evening_hour == 21


def test_a_lamp_is_described(client: Client) -> None:
    """A lamp measured in lux carries its own factor."""
    small_book()
    client.post("/more/lamps/add/", {"name": "Bar", "lux": "4000", "lux_per_umol": "60"})
    (lamp,) = queries.lamps()
    assert (lamp.lux, lamp.lux_per_umol) == (4000.0, 60.0)


def test_the_export_holds_the_tables(client: Client) -> None:
    """One zip file with the tables that the import reads."""
    small_book()
    read_waterline("20 mm")
    answer = client.get("/more/export/")
    names = {name.rpartition("/")[2] for name in ZipFile(BytesIO(answer.content)).namelist()}
    assert {"tanks.csv", "entries.csv"} <= names
