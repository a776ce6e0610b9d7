"""First-run set-up: one short form that ends on a useful Tonight."""

import pytest
from django.test import Client

from halfwater.book import queries
from tests.web.books import SET_UP, small_book


def test_an_empty_book_opens_on_set_up(client: Client) -> None:
    """Who opens the pages for the first time is asked to describe one tank."""
    answer = client.get("/")
    assert answer.status_code == 302
    assert answer["Location"] == "/setup/"
    assert "Set up the book" in client.get("/setup/").content.decode()


def test_set_up_ends_on_a_useful_tonight(client: Client) -> None:
    """Right after set-up the page says what to spray, what to mix and how to fill the bath."""
    answer = client.post("/setup/", SET_UP, follow=True)
    page = answer.content.decode()
    assert answer.redirect_chain == [("/", 302)]
    assert "Reedmoor" in page
    assert "150 mL" in page
    assert "0.075 mL" in page  # 0.5 mL/L in 150 mL
    assert "54 mg/L" in page  # 9 % N w/w, 1.2 kg/L, 0.5 mL/L
    assert "Fill" in page


def test_a_count_left_empty_means_as_many_as_fit(client: Client) -> None:
    """162 pots of 50 mm stand in 18 rows of 9 on a floor of 900 by 450 mm, and no fewer are placed."""
    client.post("/setup/", SET_UP)
    tank = queries.tank_named("North")
    assert tank.pots >= 162
    assert len(queries.spots(tank.key)) == tank.pots


def test_inches_are_read_as_inches(client: Client) -> None:
    """A floor in inches and a dose in spoons are taken as a US grower writes them."""
    typed = {
        "units": "us",
        "floor": "36 x 18",
        "height": "18",
        "pot": "2 in",
        "pots": "119",
        "dose": "1/4 tsp/gal",
    }
    client.post("/setup/", SET_UP | typed)
    tank = queries.tank_named("North")
    assert (tank.length_mm, tank.width_mm) == pytest.approx((914.4, 457.2))
    assert tank.pots == 119
    assert queries.nursery().currency == "USD"


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("floor", "very big", "length and width such as 90 x 45 cm"),
        ("floor", "", "such as 90 x 45 cm"),
        ("pot", "2 m", "a pot smaller than the floor"),
        ("pots", "5000", "at most"),
        ("pots", "-3", "whole number"),
        ("height", "nan", "length"),
        ("time_zone", "Atlantis", "time zone such as europe/berlin"),
        ("dose", "", "dose such as"),
        ("label", "nine", "9-3-6"),
    ],
)
def test_a_bad_value_is_answered_beside_its_field(client: Client, field: str, typed: str, said: str) -> None:
    """What cannot be used is said beside the field, all that was typed stays, and nothing is written."""
    answer = client.post("/setup/", SET_UP | {field: typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    start = page.index(f'id="{field}-refusal"')
    assert said in page[start : start + 400].lower()
    assert "Reedmoor" in page
    assert not queries.tanks(in_use=None)
    assert not queries.nursery().is_set_up


def test_every_bad_value_is_answered_at_once(client: Client) -> None:
    """Three slips are shown together, not one after the other."""
    page = client.post("/setup/", SET_UP | {"floor": "x", "height": "y", "dose": "z"}).content.decode()
    assert page.count('class="field-refusal"') == 3


def test_set_up_is_over_once_there_is_a_tank(client: Client) -> None:
    """The set-up page does not overwrite a book that stands."""
    small_book()
    assert client.get("/setup/").status_code == 302
    client.post("/setup/", SET_UP | {"name": "Other"})
    assert [tank.name for tank in queries.tanks()] == ["North"]
