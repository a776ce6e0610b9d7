"""What a tank's salts, light and air say: a page each, and nothing on them ends in a fault."""

import re

import pytest
from django.test import Client

from halfwater.book import changes, queries
from halfwater.deeds.notes import Typed, note
from halfwater.web.tanks.light import spots_text
from tests.web.books import batch_on_row_a, now, read_waterline, small_book

PAGES = ("bath", "light", "air")


def _page(client: Client, path: str, status: int = 200) -> str:
    answer = client.get(f"/tanks/at/North/{path}")
    assert answer.status_code == status, path
    return " ".join(answer.content.decode().split())


def _note(kind: str, value: str, **more: str) -> None:
    note(Typed(kind, "North", value, **more), who="test", now=now())


def _read_light(value: str = "62", spot: str = "D9") -> None:
    _note("light", value, spot=spot, second="100 %")
    _note("lamp", "100 %", second="10 h")


@pytest.mark.parametrize("page", PAGES)
def test_a_new_tank_has_every_page(client: Client, page: str) -> None:
    """Nothing is noted and nothing stands there: the page answers in a sentence."""
    small_book()
    assert '<p class="answer' in _page(client, f"{page}/")


@pytest.mark.parametrize("page", PAGES)
def test_a_tank_laid_up_has_every_page(client: Client, page: str) -> None:
    """A tank that is not in use is read all the same; its algae are not watched."""
    tank = small_book()
    batch_on_row_a()
    changes.save_tank(tank.key, who="test", is_in_use=False)
    shown = _page(client, f"{page}/")
    assert ("laid up: its algae are not watched" in shown) == (page == "air")


@pytest.mark.parametrize("page", ["", *PAGES])
def test_a_tank_without_pots_says_so(client: Client, page: str) -> None:
    """No pot is described: each page answers in words, and none shows the name of a field."""
    tank = small_book()
    changes.save_tank(tank.key, who="test", pot=None)
    shown = _page(client, f"{page}/" if page else "")
    assert ("pots described" in shown) or ("no pots are described" in shown) or page == "air"
    assert "depth_mm" not in shown


def test_the_draughtiest_lid_of_the_book_has_its_pages(client: Client) -> None:
    """What the book takes as air changes the physics takes too."""
    tank = small_book()
    changes.save_tank(tank.key, who="test", lid_ach_per_h=100.0)
    assert "100 an hour" in _page(client, "air/")
    assert '<p class="answer' in _page(client, "")


def test_a_floor_without_lamp_or_reading_says_what_to_note(client: Client) -> None:
    """No light is known: the page says so and leads to the reading, without a map."""
    small_book()
    shown = _page(client, "light/?target=much")
    assert "Nothing is known of the light in North yet" in shown
    assert "#note-light" in shown
    assert "floor-map" not in shown


def test_the_light_stands_at_every_spot(client: Client) -> None:
    """From one reading: a figure at each spot in both drawings, a table, evenness, and what to read next."""
    small_book()
    batch_on_row_a()
    _read_light()
    shown = _page(client, "light/")
    pots = queries.tank_named("North").pots
    assert shown.count('class="light-number') == 2 * pots
    assert shown.count("light-read") == 2
    for part in ("Dimmest over mean", "Read next", "~ uncertain", "1 noted", "Turned a quarter round"):
        assert part in shown, part


def test_the_map_shows_the_lamp_where_asked(client: Client) -> None:
    """The strength of the lamp in place of the daily light; an unknown wish shows the daily light."""
    small_book()
    _read_light()
    daily, strength = _page(client, "light/"), _page(client, "light/?shown=strength")
    first = re.compile(r'class="light-number[^>]*>(~?[\d.]+)<')
    middle = queries.tank_named("North").pots // 2
    assert float(first.findall(strength)[middle].strip("~")) > float(first.findall(daily)[middle].strip("~"))
    assert first.findall(_page(client, "light/?shown=moon")) == first.findall(daily)


def test_a_lamp_without_hours_is_said(client: Client) -> None:
    """A reading alone gives no daily light: the page asks for the hours."""
    small_book()
    _note("light", "62", spot="D9", second="100 %")
    assert "taken to burn 0 h a day" in _page(client, "light/")


def test_settings_are_found_for_a_wanted_light(client: Client) -> None:
    """The wanted light stands in the sentence, what was typed stands in the field."""
    small_book()
    _read_light("100")
    shown = _page(client, "light/?target=2.5")
    assert "Settings that give 2.5 mol/m²/d" in shown
    assert 'value="2.5"' in shown
    assert "100 %, now" in shown


@pytest.mark.parametrize("target", ["-3", "nan", "2.5 mS/cm"])
def test_a_bad_wish_for_light_is_answered_beside_its_field(client: Client, target: str) -> None:
    """422, the map stays, and what was typed is still there."""
    small_book()
    _read_light()
    shown = _page(client, f"light/?target={target}", 422)
    assert "floor-map" in shown
    assert 'id="target-refusal"' in shown
    assert f'value="{target}"' in shown


def test_an_unknown_taxon_is_refused(client: Client) -> None:
    """A taxon the book does not have is answered beside the field."""
    small_book()
    _read_light()
    assert 'id="taxon-refusal"' in _page(client, "light/?taxon=moss+of+the+moon", 422)


@pytest.mark.parametrize("query", ["target=-1", "target=salty", "refill=soup"])
def test_a_bad_refill_is_answered_beside_its_field(client: Client, query: str) -> None:
    """422, the salts stay on the page, and what was typed is still there."""
    small_book()
    batch_on_row_a()
    shown = _page(client, f"bath/?{query}", 422)
    name, _, value = query.partition("=")
    assert f'id="{name}-refusal"' in shown
    assert "Siphon and refill" in shown
    assert name == "refill" or f'value="{value}"' in shown


def test_a_refill_is_worked_out_as_asked(client: Client) -> None:
    """Another water and a wanted EC give another advice than the usual one."""
    small_book()
    batch_on_row_a()
    read_waterline("20")
    _note("ec", "1.9")
    usual, asked = _page(client, "bath/"), _page(client, "bath/?target=0.4")
    part = re.compile(r'id="refill-part".*?</form>')
    assert part.findall(usual) != part.findall(asked)
    assert 'class="answer is-past"' in usual


def test_the_bath_says_that_ec_was_never_read(client: Client) -> None:
    """Without a reading it answers from what was sprayed, and names the reading that narrows it most."""
    small_book()
    batch_on_row_a()
    assert "EC has never been read here" in _page(client, "bath/")


def test_the_legend_names_what_the_picture_holds(client: Client) -> None:
    """A bath never filled or read has no key of a fill or of a reading, one that was has both."""
    small_book()
    batch_on_row_a()
    keys = re.compile(r'class="legend".*?</ul>')
    before = " ".join(keys.findall(_page(client, "bath/")))
    assert "fill" not in before
    assert "reading" not in before
    _note("ec", "0.8")
    _note("fill", "2 L")
    after = " ".join(keys.findall(_page(client, "bath/")))
    assert "fill" in after
    assert "reading" in after


def test_the_air_says_how_humidity_is_known(client: Client) -> None:
    """Worked out first, read once it is noted."""
    small_book()
    batch_on_row_a()
    assert "(worked out)" in _page(client, "air/")
    _note("air", "24 C", second="93 %")
    shown = _page(client, "air/")
    assert "93 % damp under the lid (read)" in shown
    for part in (
        "Growth the air allows",
        "Algae within a month",
        "Off the waterline",
        "CO2 by day",
        "The cheap experiment",
        "dew point",
        "no source",
    ):
        assert part in shown, part


def test_the_next_act_against_algae_is_marked(client: Client) -> None:
    """Seen: the acts stand in their order and only the first of them is next."""
    small_book()
    _read_light("100")
    changes.save_tank(
        queries.tank_named("North").key, who="test", stray_ppfd_umol_m2_s=60.0, stray_hours=14.0
    )
    _note("sighting", "algae much")
    shown = _page(client, "air/")
    assert "Algae were seen here (much)" in shown
    assert "#note-sighting" in shown
    assert shown.count('class="is-next"') <= 1


def test_the_page_of_a_tank_leads_to_all_three(client: Client) -> None:
    """A sentence each for light, air and algae, with the way to the rest."""
    small_book()
    shown = _page(client, "")
    for part in PAGES:
        assert f'href="/tanks/at/North/{part}/"' in shown
    assert 'href="/tanks/at/North/air/#algae"' in shown


def test_the_page_of_a_tank_follows_its_light_readings(client: Client) -> None:
    """Where the light was read, the map's sentence stands in place of the lamp's description."""
    small_book()
    assert "over its spots" not in _page(client, "")
    _read_light()
    assert "over its spots" in _page(client, "")


def test_the_list_says_whose_salts_are_past_their_limit(client: Client) -> None:
    """A word on the card, only where it is so."""
    small_book()
    batch_on_row_a()
    said = "salts past their limit"
    assert said not in client.get("/tanks/").content.decode()
    read_waterline("20")
    _note("ec", "1.9")
    assert said in client.get("/tanks/").content.decode()


def test_spots_are_told_in_few_signs() -> None:
    """Neighbours of a row are one run."""
    assert spots_text(("A3", "B1", "A1", "A2", "A7")) == "A1 to A3, A7, B1"
    assert spots_text(()) == ""
