"""Mixes built, kept, made as stocks, compared and put on a card."""

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from django.conf import settings
from django.test import Client, override_settings

from halfwater.book import queries
from tests.web.books import small_book

SALTS = {"Ca(NO3)2·4H2O": "9", "KNO3": "9", "KH2PO4": "9", "MgSO4·7H2O": "5"}
ASKED = {
    "target": "",
    "strengths": "N 33.04, P 5, K 40, Ca 30",
    "unit": "mg/L",
    "volume": "10",
    "water": "rain",
}


def salts(client: Client) -> dict[str, str]:
    """Four salts on the shelf; the ticks that ask for all of them."""
    small_book()
    for formula, price in SALTS.items():
        client.post("/mixes/salts/add/", {"formula": formula, "pack_price": price, "pack_size": "1 kg"})
    return {f"use_{feed.key}": "yes" for feed in queries.feeds() if feed.is_salt}


def test_the_form_asks_before_anything_is_built(client: Client) -> None:
    """The first visit shows the form, all of the shelf ticked, and no recipe."""
    ticks = salts(client)
    page = client.get("/mixes/build/").content.decode()
    assert "Work out the recipe" in page
    assert page.count("checked") == len(ticks) + 2  # the feed of the set-up, and mg/L
    assert "To measure for" not in page


def test_a_recipe_says_what_to_weigh(client: Client) -> None:
    """Calcium comes from calcium nitrate alone: 30 mg/L in 10 L are 1.77 g of it."""
    ticks = salts(client)
    page = client.get("/mixes/build/", ASKED | ticks).content.decode()
    assert "To measure for 10 L" in page
    assert "1.77 g" in page
    assert "Charges" in page
    assert "How this was worked out" in page


def test_what_is_missed_is_said_with_its_reason(client: Client) -> None:
    """No salt here brings iron: the page says that it is missed."""
    ticks = salts(client)
    page = client.get("/mixes/build/", ASKED | ticks | {"strengths": "N 30, K 40, Fe 2"}).content.decode()
    assert "What is missed, and why" in page
    assert "Fe, 100 % too little" in page


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("strengths", "N fifty"),
        ("volume", "plenty"),
        ("water_typed", "sea of fog"),
        ("part", "some"),
        ("temp", "warm"),
        ("temp", "90"),
        ("ec", "99"),
        ("ec", "0"),
        ("part", "9999 %"),
        ("volume", "0"),
        ("water_typed", "60% rain + 60% purified"),
        ("strengths", "N 0"),
        ("strengths", "Xx 5"),
        ("strengths", "N 99999"),
    ],
)
def test_a_refusal_keeps_what_was_typed(client: Client, field: str, typed: str) -> None:
    """Each bad field is answered beside itself, with all else still there."""
    ticks = salts(client)
    answer = client.get("/mixes/build/", ASKED | ticks | {field: typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f'id="{field}-refusal"' in page
    assert typed in page
    assert "To measure for" not in page


def test_the_pages_read_only_what_they_carry(client: Client) -> None:
    """No template of a recipe or of its stocks asks for a name that its page does not have."""
    ticks = salts(client)
    templates = [
        settings.TEMPLATES[0]
        | {"OPTIONS": settings.TEMPLATES[0]["OPTIONS"] | {"string_if_invalid": "!!%s!!"}}
    ]
    with override_settings(TEMPLATES=templates):
        for address in ("build", "build/stocks"):
            page = client.get(f"/mixes/{address}/", ASKED | ticks | {"strengths": "N 30, K 40, Fe 2"})
            assert page.status_code == 200
            assert "!!" not in page.content.decode().replace("<!", "")


def test_a_published_target_tells_where_it_is_from(client: Client) -> None:
    """A quarter of a published solution keeps its source and its note."""
    ticks = salts(client)
    asked = ASKED | ticks | {"strengths": "", "target": "Hoagland and Arnon No. 1", "part": "1/4"}
    page = client.get("/mixes/build/", asked).content.decode()
    assert "Source: hoagland-arnon-1950." in page
    assert "52.5 of 52.5" in page  # a quarter of 210.1 mg/L of nitrogen as nitrate


def test_nothing_ticked_is_refused(client: Client) -> None:
    """A recipe from nothing is answered above the form."""
    salts(client)
    answer = client.get("/mixes/build/", ASKED)
    assert answer.status_code == 422
    assert "at least one feed or salt ticked" in answer.content.decode()


def test_a_recipe_is_kept_as_a_mix(client: Client) -> None:
    """The recipe stands in the book with its doses, and its page follows."""
    ticks = salts(client)
    page = client.post("/mixes/build/keep/", ASKED | ticks | {"name": "Mild", "use": "fill"}, follow=True)
    assert "Mild is kept" in page.content.decode()
    mix = next(one for one in queries.mixes() if one.name == "Mild")
    dose = next(part.dose_g_l for part in mix.parts if part.feed.formula.startswith("Ca"))
    assert dose == pytest.approx(0.1768, rel=0.01)


def test_a_liquid_is_kept_by_volume(client: Client) -> None:
    """A feed with a density is poured: 30 mg/L of nitrogen are 0.278 mL/L of 9-3-6 at 1.2 kg/L."""
    small_book()
    feed = queries.feeds()[0]
    asked = ASKED | {"strengths": "N 30", f"use_{feed.key}": "yes", "name": "Poured", "use": "night"}
    client.post("/mixes/build/keep/", asked)
    mix = next(one for one in queries.mixes() if one.name == "Poured")
    assert mix.parts[0].dose_g_l is None
    assert mix.parts[0].dose_ml_l == pytest.approx(30 / (0.09 * 1200), rel=1e-3)


def test_a_recipe_without_a_name_is_not_kept(client: Client) -> None:
    """The recipe stays on the page with the refusal beside the name."""
    ticks = salts(client)
    before = len(queries.mixes())
    answer = client.post("/mixes/build/keep/", ASKED | ticks | {"name": "", "use": "fill"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'id="name-refusal"' in page
    assert "1.77 g" in page
    assert len(queries.mixes()) == before


def test_a_recipe_becomes_stocks(client: Client) -> None:
    """Calcium in A, phosphate and sulphate in B, with the cautions of concentrates."""
    ticks = salts(client)
    page = client.get("/mixes/build/stocks/", ASKED | ticks | {"stock": "100"}).content.decode()
    assert "A, 1 L" in page
    assert "17.7 g" in page  # 0.177 g/L, a hundred times
    assert "Keep A and B apart" in page
    assert "10 mL of each of A and B" in page


@pytest.mark.parametrize(
    ("field", "typed"),
    [("stock", "a lot"), ("stock", "300"), ("stock_volume", "plenty"), ("stock_volume", "0")],
)
def test_a_stock_that_cannot_be_is_answered(client: Client, field: str, typed: str) -> None:
    """The refusal stands beside the strength or the volume, for a recipe and for a mix of the book."""
    ticks = salts(client)
    key = queries.mixes()[0].key
    for address, asked in (("build/stocks", ASKED | ticks), (f"{key}/stocks", {})):
        answer = client.get(f"/mixes/{address}/", asked | {field: typed})
        assert answer.status_code == 422
        page = answer.content.decode()
        assert f'id="{field}-refusal"' in page
        assert f'value="{typed}"' in page


def test_stocks_of_what_cannot_be_built_lead_back_to_the_form(client: Client) -> None:
    """The form shows the refusal and all that was typed."""
    ticks = salts(client)
    answer = client.get("/mixes/build/stocks/", ASKED | ticks | {"strengths": "N fifty"}, follow=True)
    assert answer.status_code == 422
    assert 'id="strengths-refusal"' in answer.content.decode()


def test_a_grower_of_us_units_reads_them(client: Client) -> None:
    """Gallons to make, and the temperature in °F."""
    small_book(units="us", density="1.2 kg/L")
    asked = ASKED | {"strengths": "N 30", "volume": "2", f"use_{queries.feeds()[0].key}": "yes"}
    page = client.get("/mixes/build/", asked | {"temp": "68"}).content.decode()
    assert "To measure for 2 gal" in page
    assert "at 68 °F" in page


def test_an_empty_book_compares_nothing(client: Client) -> None:
    """Without a mix the page says so."""
    answer = client.get("/mixes/compare/")
    assert answer.status_code == 200
    assert "No mix to compare yet." in answer.content.decode()


def test_mixes_stand_side_by_side(
    client: Client, django_assert_max_num_queries: Callable[[int], AbstractContextManager[object]]
) -> None:
    """Each ticked mix is a row; the strongest is named; thirteen are too many."""
    small_book()
    feed = str(queries.feeds()[0].key)
    for place in range(13):
        typed = {"name": f"Mix {place}", "use": "fill", "feed_1": feed, "dose_1": f"{place + 1} mL/L"}
        client.post("/mixes/add/", typed)
    with django_assert_max_num_queries(12):  # not some for each mix
        page = client.get("/mixes/compare/").content.decode()
    assert page.count('<th scope="row">') == 12
    every = {f"mix_{mix.key}": "yes" for mix in queries.mixes()}
    assert client.get("/mixes/compare/", every).status_code == 422
    strong = {f"mix_{mix.key}": "yes" for mix in queries.mixes() if mix.name in ("Mix 1", "Mix 12")}
    assert "Mix 12 is the strongest" in client.get("/mixes/compare/", strong).content.decode()


def test_a_card_has_all_that_the_bench_needs(client: Client) -> None:
    """Name, amounts for the volume, EC, strengths and cautions on one page."""
    small_book()
    mix = queries.mixes()[0]
    page = client.get(f"/mixes/{mix.key}/card/", {"volume": "4"}).content.decode()
    assert "For 4 L" in page
    assert "2 mL" in page  # 0.5 mL/L of the set-up
    assert "mS/cm at 25 °C" in page
    assert "gloves" in page
    assert client.get(f"/mixes/{mix.key}/card/", {"volume": "plenty"}).status_code == 422


def test_a_mix_is_looked_at_in_another_water(client: Client) -> None:
    """A stronger water raises the EC; one nobody knows is answered with the page still there."""
    small_book()
    key = queries.mixes()[0].key
    page = client.get(f"/mixes/{key}/", {"water_typed": "1.2 mS/cm"}).content.decode()
    assert "water of 1.2 mS/cm" in page
    answer = client.get(f"/mixes/{key}/", {"water_typed": "sea of fog"})
    assert answer.status_code == 422
    assert "sea of fog" in answer.content.decode()
