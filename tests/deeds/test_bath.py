"""The salts of each bath, from entries to advice."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from halfwater.book import changes, queries
from halfwater.deeds.bath import bath_of, baths_of, refill_choices
from halfwater.errors import RefusedInput
from halfwater.science.bath_facts import MODEL
from tests.deeds.nurseries import NOW, TODAY, WHO, a_mix, a_nursery, a_tank, evenings, noted

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def book() -> None:
    """A nursery with one tank, sprayed for forty evenings."""
    a_nursery()
    changes.save_water(who=WHO, name="Tap", ec_ms_cm=0.3, is_ours=True)
    a_tank(night_mix=a_mix())
    noted("fill", value="6 L", at=(TODAY - timedelta(days=45)).isoformat())
    evenings(40)


def _day(back: int) -> str:
    return (TODAY - timedelta(days=back)).isoformat()


def test_a_reading_is_where_the_bath_stands() -> None:
    """A bath read this evening stands there, within what a meter leaves open."""
    noted("ec", value="0.95")
    outlook = bath_of("north", NOW).outlook
    assert outlook is not None
    assert outlook.ec_now.p10 < 0.95 < outlook.ec_now.p90
    assert outlook.ec_now.p90 - outlook.ec_now.p10 < 0.25
    assert outlook.last_reading_on == TODAY
    assert "EC reading" not in outlook.narrows_most  # not another one on the same evening
    assert [one.ec_ms_cm for one in outlook.readings] == [0.95]
    assert outlook.past
    assert outlook.ahead
    assert [mark.kind for mark in outlook.marks] == ["fill"]


def test_readings_are_put_right_by_the_meter_check_before_them() -> None:
    """A meter that shows a tenth too little reads 0.90 where the bath stands at 1.0."""
    noted("meter", "", "1.27 of 1.413", _day(20))
    noted("ec", value="0.90")
    (reading,) = bath_of("North", NOW).outlook.readings  # type: ignore[union-attr]
    assert reading.ec_ms_cm == pytest.approx(0.90 * 1.413 / 1.27, rel=1e-3)


def test_past_its_limit_a_siphon_and_refill_is_due() -> None:
    """Twice read far past the limit: due now, and with plain water it comes back to its range."""
    noted("ec", value="1.9", at=_day(1))
    noted("ec", value="1.92")
    outlook = bath_of("North", NOW, refill="rain").outlook
    assert outlook is not None
    assert outlook.refill.is_due
    assert outlook.p_past_action_now_frac > 0.5
    assert outlook.refill.refill_name == "rain"
    assert outlook.refill.ec_after.p50 == pytest.approx(outlook.refill.target_ms_cm, abs=0.02)
    assert outlook.cautions


def test_a_refill_nobody_knows_is_refused() -> None:
    """The mixes and waters that would do are named."""
    with pytest.raises(RefusedInput, match="Night"):
        bath_of("North", NOW, refill="Lemonade")
    assert {choice.name for choice in refill_choices()} == {"Tap", "Night"}


def test_ph_is_judged() -> None:
    """The newest pH speaks, with its trend."""
    noted("ph", value="6.9", at=_day(30))
    noted("ph", value="6.2")
    outlook = bath_of("North", NOW).outlook
    assert outlook is not None
    assert outlook.ph is not None
    assert (outlook.ph.ph, outlook.ph.word) == (6.2, "good")


def test_all_tanks_take_no_more_queries_than_one() -> None:
    """The number of queries does not grow with the tanks."""
    baths_of(NOW)
    with CaptureQueriesContext(connection) as one:
        baths_of(NOW)
    for name in ("South", "East", "West"):
        a_tank(name)
        noted("spray", name, "150ml")
    baths_of(NOW)
    with CaptureQueriesContext(connection) as four:
        found = baths_of(NOW)
    assert len(found) == 4
    assert len(four) <= len(one) + 1  # whether a state is worth keeping may be asked once more
    assert len(four) <= 18


def test_kept_states_give_the_same_answer() -> None:
    """Going on from a kept state and beginning with the first entry agree."""
    a_tank("Long", set_up_on=TODAY - timedelta(days=200))
    for back in range(180, 0, -3):
        noted("spray", "Long", "150ml", _day(back))
    noted("ec", "Long", "0.7", _day(2))
    key = queries.tank_named("Long").key
    first = baths_of(NOW)[key].outlook
    assert key in queries.checkpoints(MODEL, NOW)
    again = baths_of(NOW)[key].outlook
    assert first is not None
    assert again is not None
    assert again.ec_now.p50 == pytest.approx(first.ec_now.p50, rel=0.02)


def test_a_tank_without_pots_says_why() -> None:
    """No outlook, and the sentence that says what is missing."""
    a_tank("Bare", pots=0)
    bath = bath_of("Bare", NOW)
    assert bath.outlook is None
    assert "Bare" in bath.why
