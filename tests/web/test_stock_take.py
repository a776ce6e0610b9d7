"""The stock-take: one tap a pot, nothing typed is lost, every tap taken back; the list all or nothing."""

import re

from django.test import Client

from halfwater.book import queries
from halfwater.web.stock.take import known_walk
from tests.web.books import batch_on_row_a, small_book

WALK = "/stock/take/at/North/"


def _page(client: Client, url: str = WALK) -> str:
    return client.get(url).content.decode()


def _hidden(page: str) -> dict[str, str]:
    """The marks of the first form of a page."""
    return dict(re.findall(r'type="hidden" name="(spot|uuid)"[^>]*? value="([^"]+)"', page)[:2])


def _tap(client: Client, page: str, said: str) -> str:
    answer = client.post(WALK, _hidden(page) | {"said": said}, follow=True)
    assert answer.status_code == 200
    return answer.content.decode()


def _leaves(spot: str) -> int | None:
    return next(pot.leaves for pot in queries.standing_pots() if pot.spot == spot)


def _counted_book(client: Client) -> str:
    """A book whose first pot was counted with seven leaves; the page of its next pot."""
    small_book()
    batch_on_row_a()
    return _tap(client, _page(client), "7")


def test_a_tap_notes_the_pot_and_leads_to_the_next(client: Client) -> None:
    """After A1 comes A2, and the count stands in the book."""
    page = _counted_book(client)
    assert "<h1>A2</h1>" in page
    assert _leaves("A1") == 7
    (entry,) = queries.entries(kinds=("leaves",))
    assert (entry.value, entry.spot) == (7.0, "A1")


def test_the_last_count_is_the_default_and_steps_go_from_it(client: Client) -> None:
    """Seven leaves last time: unchanged is one tap, and so are six, eight, nine and ten."""
    _counted_book(client)
    page = _page(client, f"{WALK}?at=A1")
    assert "7 leaves, as before" in page
    assert re.findall(r'name="said" value="(\d+)"', page) == ["6", "8", "9", "10"]
    _tap(client, page, "same")
    assert _leaves("A1") == 7
    assert len(queries.entries(kinds=("leaves",))) == 2


def test_a_second_tap_with_the_same_mark_is_kept_once(client: Client) -> None:
    """A wet finger taps twice: one count."""
    small_book()
    batch_on_row_a()
    page = _page(client)
    _tap(client, page, "5")
    _tap(client, page, "5")
    assert len(queries.entries(kinds=("leaves",))) == 1


def test_the_count_is_taken_back_where_it_was_made(client: Client) -> None:
    """Undo makes the entry void, puts the pot back and shows it again."""
    page = _counted_book(client)
    undo = re.search(r'action="(/stock/take/undo/[^"]+)"', page)
    assert undo
    back = client.post(undo.group(1), follow=True).content.decode()
    assert "<h1>A1</h1>" in back
    assert _leaves("A1") is None
    assert queries.entries(kinds=("leaves",)) == ()


def test_a_bad_number_stands_where_it_was_typed(client: Client) -> None:
    """What cannot be used is said beside the field, kept as typed, and nothing is noted."""
    small_book()
    batch_on_row_a()
    answer = client.post(WALK, _hidden(_page(client)) | {"leaves": "many"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="many"' in page
    assert 'id="leaves-refusal"' in page
    assert queries.entries() == ()


def test_a_loss_is_noted_with_its_cause(client: Client) -> None:
    """The pot leaves its spot, and the walk goes on."""
    page = _counted_book(client)
    page = _tap(client, page, "lost rot")
    assert "<h1>A3</h1>" in page
    assert [pot.cause for pot in queries.standing_pots(gone=True) if pot.state == "lost"] == ["rot"]


def test_a_state_is_noted(client: Client) -> None:
    """A pot kept as a parent is kept from now on."""
    page = _counted_book(client)
    _tap(client, page, "kept")
    assert [pot.spot for pot in queries.standing_pots() if pot.state == "kept"] == ["A2"]


def test_when_all_are_counted_it_says_so(client: Client) -> None:
    """After the last pot the walk ends with an answer, and the list of tanks knows."""
    small_book()
    batch_on_row_a()
    page = _page(client)
    for _ in known_walk("North").stops:
        page = _tap(client, page, "4")
    assert "are counted today" in page
    assert "all counted" in _page(client, "/stock/take/")


def _typed_list(client: Client) -> dict[str, str]:
    page = _page(client, f"{WALK}list/")
    uuid = re.search(r'name="uuid" value="([^"]+)"', page)
    assert uuid
    return {"uuid": uuid.group(1), "on": ""}


def test_a_list_is_noted_whole(client: Client) -> None:
    """Three cells filled: three pots noted, the empty ones left alone; sent twice, kept once."""
    small_book()
    batch_on_row_a()
    typed = _typed_list(client) | {"spot-A1": "6", "spot-A2": "lost melt", "spot-A3": "kept"}
    assert "3 pots of North noted" in client.post(f"{WALK}list/", typed, follow=True).content.decode()
    assert _leaves("A1") == 6
    count = len(queries.entries())
    client.post(f"{WALK}list/", typed)
    assert len(queries.entries()) == count


def test_a_bad_cell_keeps_the_whole_list_back(client: Client) -> None:
    """Both bad cells are named beside themselves, the good one is kept as typed, nothing is noted."""
    small_book()
    batch_on_row_a()
    typed = _typed_list(client) | {"spot-A1": "6", "spot-A2": "plenty", "spot-A3": "-4"}
    answer = client.post(f"{WALK}list/", typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert page.count('class="field-refusal"') == 2
    assert all(f'value="{value}"' in page for value in ("6", "plenty", "-4"))
    assert queries.entries() == ()


def test_a_tank_without_pots_has_no_walk(client: Client) -> None:
    """There is nothing to count where nothing stands."""
    small_book()
    assert client.get(WALK).status_code == 404


def test_the_lineage_of_a_batch_is_drawn(client: Client) -> None:
    """A batch, its taxon and an empty book each have their lineage page."""
    assert "no lineage" in _page(client, "/stock/lineage/")
    small_book()
    key = batch_on_row_a()
    page = _page(client, f"/stock/lineage/?batch={key}")
    assert "June has no parent in the book" in page
    assert f'href="/stock/{key}/"' in page
    assert client.get("/stock/lineage/?of=nobody").status_code == 404
