"""Tonight's round with the salts and the algae of a real book, noted with one tap."""

from datetime import timedelta
from uuid import uuid4

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.bath import baths_of
from halfwater.deeds.tonight import RoundLine, lines_as_planned, note_round, tonight
from halfwater.plain.entry import NewEntry
from tests.deeds.nurseries import NOW, TODAY, WHO, a_mix, a_nursery, a_tank, evenings, noted

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def book() -> None:
    """A tank sprayed for forty evenings, its EC read far past the limit twice."""
    a_nursery()
    changes.save_water(who=WHO, name="Tap", ec_ms_cm=0.3, is_ours=True)
    lamp = changes.save_lamp(who=WHO, name="Bar", ppfd_umol_m2_s=80.0)
    a_tank(night_mix=a_mix(), lamp=lamp, lamp_hours=12.0)
    noted("fill", value="5 L", at=_day(45))
    evenings(40, value="60ml")
    noted("waterline", value="19 mm", at=_day(2))


def _day(back: int) -> str:
    return (TODAY - timedelta(days=back)).isoformat()


def test_a_siphon_for_salts_is_noted_by_its_litres() -> None:
    """Due past the limit; one tap keeps the litres and the plain refill."""
    noted("ec", value="1.9", at=_day(2))
    noted("ec", value="1.95", at=_day(1))
    planned = tonight(None, NOW)
    siphon = next(job for job in planned.jobs if job.kind == "siphon")
    fill = next(job for job in planned.jobs if job.kind == "fill")
    assert siphon.to_line == ""
    note_round(lines_as_planned(planned), TODAY, WHO, NOW)
    (out,) = queries.entries(kinds=("siphon",))
    poured = queries.entries(kinds=("fill",))[0]
    assert out.value == pytest.approx(siphon.volume_l)
    assert (poured.value, poured.mix) == (pytest.approx(fill.volume_l), None)
    assert fill.what == "plain water"
    assert poured.word == "plain"


def test_a_fill_of_plain_water_is_not_taken_for_the_fill_mix() -> None:
    """The same litres say plain water or nothing: what says nothing brought the fill mix's salts."""
    changes.save_mix(who=WHO, name="Bath", use="fill", parts=[], ec_above_source_ms_cm=0.9)
    after = {}
    for word in ("plain", ""):
        entry = NewEntry(
            uuid4(), "fill", NOW - timedelta(hours=2), queries.tank_named("North").key, 3.0, word=word
        )
        changes.note_entries([entry], who=WHO, now=NOW)
        after[word] = baths_of(NOW)[entry.tank or 0].outlook
        changes.void_entry(entry.uuid, "tried", WHO, NOW)
    plain, unsaid = after["plain"], after[""]
    assert plain is not None
    assert unsaid is not None
    assert plain.ec_now.p50 < unsaid.ec_now.p50 - 0.15


def test_an_ec_that_was_asked_for_is_noted_in_its_line() -> None:
    """Read long ago: a reading is asked for, and typed into its line it stands in the book."""
    noted("ec", value="0.8", at=_day(30))
    planned = tonight(None, NOW)
    job = next(job for job in planned.jobs if job.kind == "ec")
    note_round([RoundLine(job, typed="0.9")], TODAY, WHO, NOW)
    assert queries.entries(kinds=("ec",))[0].value == 0.9
    assert all(job.kind != "ec" for job in tonight(None, NOW).jobs)


def test_algae_bring_one_act_and_then_patience() -> None:
    """With the bath below its line all month, hours come first; the new setting is noted in its line."""
    noted("sighting", value="algae some", at=_day(1))
    (act,) = [job for job in tonight(None, NOW).jobs if job.kind == "act"]
    assert act.what == "Shorten the day from 12 to 8 hours."
    note_round([RoundLine(act, typed="100 % 8 h")], TODAY, WHO, NOW)
    (lamp,) = queries.entries(kinds=("lamp",))
    assert (lamp.value, lamp.second) == (1.0, 8.0)
    assert all(job.kind != "act" for job in tonight(None, NOW).jobs)


def test_a_plain_evening_a_week_ago_asks_for_the_next() -> None:
    """The habit is kept up once it was noted: tonight's spray is plain water, and noted as such."""
    taxon = changes.save_taxon(who=WHO, name="Nana", group="Anubias barteri var. nana")
    batch = changes.save_batch(who=WHO, name="Nana", taxon=taxon, potted_on=TODAY - timedelta(days=40))
    tank = queries.tank_named("North").key
    changes.set_spots(tank, [f"A{place}" for place in range(1, 6)])
    changes.place_pots(tank, [f"A{place}" for place in range(1, 6)], batch, "growing", who=WHO)
    plain = changes.save_mix(who=WHO, name="Plain", use="weak", parts=[])
    (before,) = [job for job in tonight(None, NOW).jobs if job.kind == "spray"]
    assert before.mix == "Night"
    noted("spray", value="60ml", at=f"{_day(8)} 22:30", mix="Plain")
    (spray,) = [job for job in tonight(None, NOW).jobs if job.kind == "spray"]
    assert (spray.mix_key, spray.mix) == (None, "")
    assert plain
