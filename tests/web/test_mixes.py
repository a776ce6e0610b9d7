"""Mixes: the shelf, the waters, the targets and the meter on their pages."""

import pytest
from django.test import Client

from halfwater.book import queries
from halfwater.deeds.meter import meter_checks
from halfwater.deeds.shelf import shelf
from halfwater.deeds.source_water import waters
from tests.web.books import small_book

SALT = {"formula": "KNO3", "purity": "99", "pack_price": "8.90", "pack_size": "1 kg", "at_hand": "yes"}


def test_a_salt_is_kept_by_its_formula(client: Client) -> None:
    """A salt gets the usual name of its formula, and its pack stands beside it."""
    small_book()
    page = client.post("/mixes/salts/add/", SALT, follow=True).content.decode()
    assert "Potassium nitrate" in page
    assert "8.90" in page
    (salt,) = [row for row in shelf() if row.is_salt]
    assert (salt.feed.purity_frac, salt.feed.pack_g) == (0.99, 1000.0)


@pytest.mark.parametrize("typed", ["MgSO4·7H2O", "MgSO4.7H2O", "MgSO4*7H2O"])
def test_the_raised_dot_may_be_a_full_stop(client: Client, typed: str) -> None:
    """No keyboard has the dot before the crystal water: what is typed for it is read as one."""
    small_book()
    client.post("/mixes/salts/add/", {"formula": typed})
    (salt,) = [row for row in shelf() if row.is_salt]
    assert (salt.feed.formula, salt.name) == ("MgSO4·7H2O", "Epsom salt")


def test_a_formula_that_cannot_be_read_is_answered(client: Client) -> None:
    """What was typed stays, and nothing is kept."""
    small_book()
    answer = client.post("/mixes/salts/add/", SALT | {"formula": "Kx(NO3"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'value="Kx(NO3"' in page
    assert 'value="8.90"' in page
    assert not [row for row in shelf() if row.is_salt]


def test_a_feed_is_used_up_and_at_hand_again(client: Client) -> None:
    """The switch takes a feed out of the recipes and puts it back."""
    small_book()
    key = queries.feeds()[0].key
    page = client.post(f"/mixes/feeds/{key}/at-hand/", {"at_hand": "no"}, follow=True).content.decode()
    assert "used up" in page
    assert not shelf()
    client.post(f"/mixes/feeds/{key}/at-hand/", {"at_hand": "yes"})
    assert len(shelf()) == 1


def test_a_change_of_a_feed_keeps_that_it_is_used_up(client: Client) -> None:
    """The sheet of a feed shows the switch as it stands."""
    small_book()
    key = queries.feeds()[0].key
    client.post(f"/mixes/feeds/{key}/at-hand/", {"at_hand": "no"})
    page = client.get(f"/mixes/feeds/{key}/").content.decode()
    assert 'name="at_hand" value="no" checked' in page


def test_a_water_becomes_ours_and_says_what_it_is(client: Client) -> None:
    """After keeping it the page says how hard it is, as the two ions tell."""
    small_book()
    typed = {"water_name": "Well", "ca": "40", "mg": "12", "alkalinity": "120", "ours": "yes"}
    page = client.post("/mixes/waters/add/", typed, follow=True).content.decode()
    assert "Well is of middling hardness: 149 mg/L as CaCO3" in page
    (kept,) = waters()
    assert kept.is_ours
    assert kept.water.ca_mg_l == 40.0


def test_a_water_with_a_negative_alkalinity_is_answered(client: Client) -> None:
    """The refusal stands beside its field and all that was typed stays."""
    small_book()
    answer = client.post("/mixes/waters/add/", {"water_name": "Well", "ca": "40", "alkalinity": "-5"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'id="alkalinity-refusal"' in page
    assert 'value="40"' in page
    assert not waters()


def test_a_target_is_kept_changed_and_taken_out(client: Client) -> None:
    """A target of the grower's own is listed, its strengths come back as typed, and it can go."""
    small_book()
    client.post("/mixes/targets/add/", {"target_name": "Mild", "strengths": "N 30, K 40 x2", "unit": "mg/L"})
    (own,) = queries.own_targets()
    page = client.get(f"/mixes/targets/{own.key}/").content.decode()
    assert "N 30, K 40 x2" in page
    listed = client.post(f"/mixes/target/{own.key}/remove/", follow=True).content.decode()
    assert "Mild" not in listed
    assert not queries.own_targets()


def test_a_target_of_an_ec_no_meter_reads_is_answered(client: Client) -> None:
    """The refusal stands beside the EC, not beside the strengths."""
    small_book()
    typed = {"target_name": "Mild", "strengths": "N 30, K 40", "unit": "mmol/L", "target_ec": "99"}
    answer = client.post("/mixes/targets/add/", typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert 'id="target_ec-refusal"' in page
    assert 'id="strengths-refusal"' not in page
    assert "N 30, K 40" in page


def test_only_waters_and_targets_are_taken_out(client: Client) -> None:
    """Another noun in the address is no page."""
    small_book()
    key = queries.feeds()[0].key
    assert client.post(f"/mixes/feed/{key}/remove/").status_code == 404


def test_a_meter_check_tells_the_factor(client: Client) -> None:
    """A meter that shows 1.25 of 1.413 is put right by 1.130."""
    small_book()
    page = client.post("/mixes/meter/", {"meter": "1.25 of 1.413"}, follow=True).content.decode()
    assert "1.130" in page
    assert "in force" in page
    (past,) = meter_checks()
    assert past.check.is_usable


def test_a_meter_far_off_is_not_usable(client: Client) -> None:
    """Half of the standard is no reading to correct: the page says so and the factor stays 1."""
    small_book()
    page = client.post("/mixes/meter/", {"meter": "0.5 of 1.413"}, follow=True).content.decode()
    assert "is-due" in page
    (past,) = meter_checks()
    assert not past.check.is_usable


def test_a_meter_check_that_cannot_be_read_is_answered(client: Client) -> None:
    """The words stay in the field."""
    small_book()
    answer = client.post("/mixes/meter/", {"meter": "about right"})
    assert answer.status_code == 422
    assert 'value="about right"' in answer.content.decode()
    assert not meter_checks()
