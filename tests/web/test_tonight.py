"""Tonight: one tap notes the round, each line can be changed or skipped, and it can be undone."""

import re
from dataclasses import replace

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from halfwater.book import queries
from halfwater.deeds.tank_sheet import save_tank_sheet
from halfwater.deeds.tonight import tonight as plan_tonight
from halfwater.web.tonight.page import tonight_page
from tests.web.books import now, read_waterline, small_book

MOST_QUERIES = 25


def _round(client: Client) -> dict[str, str]:
    """The form of the round as the page offers it."""
    page = client.get("/").content.decode()
    form = page[page.index('id="round"') : page.index("Note the whole round")]
    inputs = re.findall(r'<input type="(\w[\w-]*)" name="([^"]+)"[^>]*value="([^"]*)"', form)
    return {
        name: value for kind, name, value in inputs if kind != "checkbox" and name != "csrfmiddlewaretoken"
    }


def _standing(kind: str) -> list[float | None]:
    return [entry.value for entry in queries.entries(kinds=(kind,))]


def test_one_tap_notes_the_round_as_planned(client: Client) -> None:
    """The button alone notes the spray with its amount and its mix."""
    small_book()
    read_waterline("18 mm")
    answer = client.post("/tonight/note/", _round(client), follow=True)
    assert "The round is noted" in answer.content.decode()
    (spray,) = queries.entries(kinds=("spray",))
    assert spray.value == pytest.approx(0.15)
    assert spray.mix_name == "Night mix"


def test_tapped_twice_it_is_kept_once(client: Client) -> None:
    """A second tap with a wet finger changes nothing."""
    small_book()
    read_waterline("18 mm")
    form = _round(client)
    client.post("/tonight/note/", form)
    client.post("/tonight/note/", form)
    assert len(_standing("spray")) == 1


def test_a_line_changed_first_is_noted_as_changed(client: Client) -> None:
    """The amount typed over the planned one is what the book keeps."""
    small_book()
    read_waterline("18 mm")
    form = _round(client)
    name = next(name for name in form if name.startswith("amount-spray"))
    client.post("/tonight/note/", form | {name: "180"})
    assert _standing("spray") == [pytest.approx(0.18)]


def test_a_line_skipped_is_noted_as_skipped(client: Client) -> None:
    """An evening without a spray is an entry too."""
    small_book()
    read_waterline("18 mm")
    form = _round(client)
    name = next(name for name in form if name.startswith("amount-spray"))
    client.post("/tonight/note/", form | {name.replace("amount", "skip"): "yes"})
    assert _standing("spray") == []
    assert len(_standing("skip")) == 1


def test_a_reading_typed_on_the_round_is_noted(client: Client) -> None:
    """A reading the round asks for is noted with it, and only if it was taken."""
    small_book()
    form = _round(client)
    fills = [name for name in form if name.startswith("amount-fill")]
    assert fills
    client.post("/tonight/note/", form | {fills[0]: "5"})
    assert _standing("fill") == [pytest.approx(5.0)]
    assert _standing("waterline") == []


@pytest.mark.parametrize("typed", ["lots", "-150", "nan", "90 L", "3 kg"])
def test_a_bad_amount_keeps_all_and_notes_nothing(client: Client, typed: str) -> None:
    """One amount that cannot be used: said beside its line, kept as typed, no line noted."""
    small_book()
    form = _round(client)
    name = next(name for name in form if name.startswith("amount-spray"))
    answer = client.post("/tonight/note/", form | {name: typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert f'value="{typed}"' in page
    assert f'id="{name}-refusal"' in page
    assert queries.entries() == ()


def test_the_round_can_be_undone(client: Client) -> None:
    """Undo makes the round void, and the page asks for it again."""
    small_book()
    read_waterline("18 mm")
    page = client.post("/tonight/note/", _round(client), follow=True).content.decode()
    undo = re.search(r'action="(/tonight/undo/[^"]+)"', page)
    assert undo
    client.post(undo.group(1))
    assert _standing("spray") == []
    assert any(name.startswith("amount-spray") for name in _round(client))
    client.post("/tonight/note/", _round(client))
    assert len(_standing("spray")) == 1


def test_undo_without_a_round_says_so(client: Client) -> None:
    """There is nothing to take back on an evening without a noted round."""
    small_book()
    assert "nothing is undone" in client.post("/tonight/undo/2024-01-01/", follow=True).content.decode()


def test_it_says_what_needs_no_doing(client: Client) -> None:
    """A tank in order is named as such."""
    small_book()
    read_waterline("17 mm")
    page = client.get("/").content.decode()
    assert "Needs no doing" in page
    assert "No siphon at North" in page


def test_twenty_tanks_take_few_queries(
    client: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """The queries of the page do not grow with the tanks."""
    small_book()
    for place in range(19):
        typed = {"name": f"Tank {place}", "floor": "600 x 300", "height": "400", "pot": "50", "pots": "40"}
        save_tank_sheet(typed, who="test", now=now())
    client.get("/")
    with django_assert_max_num_queries(MOST_QUERIES):
        client.get("/")


def test_a_caution_about_one_mix_names_it() -> None:
    """What holds for every mix is said once; what holds for one is said of that one."""
    small_book()
    planned = plan_tonight(None, now())
    (recipe,) = planned.mixes_to_make
    strong = replace(recipe, mix="Strong", cautions=("Gloves.", "7 mg/L is urea."))
    weak = replace(recipe, mix="Weak", cautions=("Gloves.",))
    planned = replace(planned, jobs=(), mixes_to_make=(strong, weak))
    page = tonight_page(planned, "metric", planned.on, can_undo=False)
    assert page.cautions == ("Gloves.", "Strong: 7 mg/L is urea.")
