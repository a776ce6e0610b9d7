"""The demo's chemistry: what its book tells is told of the truth behind it."""

from collections.abc import Iterable
from datetime import UTC, date, datetime

import numpy as np
import pytest

from halfwater.deeds.algae import algae_of
from halfwater.deeds.bath import bath_of, baths_of
from halfwater.deeds.demo import demo_book, load_demo
from halfwater.deeds.light_map import light_map_of
from halfwater.deeds.meter import meter_checks
from halfwater.deeds.mix_build import BuildAsked, build_mix
from halfwater.deeds.shelf import shelf
from halfwater.deeds.tonight import tonight
from halfwater.demo.chemistry import TAP, TARGET, BathSalts, meter_shows
from halfwater.demo.lamp_light import FALLS, true_ppfd
from halfwater.demo.nursery import BOOK_DAYS, PLACES
from halfwater.plain.bath import EcOn
from halfwater.planning.source_water import dissolved_water

NOW = datetime(2025, 5, 1, 17, 0, tzinfo=UTC)
TODAY = date(2025, 5, 1)
MEQ = {"ca_mg_l": 20.039, "mg_mg_l": 12.153, "na_mg_l": 22.990, "k_mg_l": 39.098}
LESS_MEQ = {"alkalinity_mg_l": 50.044, "cl_mg_l": 35.453, "so4_mg_l": 48.031, "no3_mg_l": 62.005}


@pytest.mark.django_db
def test_the_book_of_the_demo_holds_its_truth() -> None:
    """Baths, light, shelf and the evening, from one demo book."""
    load_demo(NOW)
    hold_baths()
    hold_meter()
    hold_light()
    hold_shelf()
    hold_evening()


def hold_baths() -> None:
    """Ranges of EC hold the hidden one on most days of the tanks, and one bath is past its limit."""
    truths, held = demo_book(TODAY).truths, {}
    for place in PLACES:
        outlook = bath_of(place.facts.name, NOW).outlook
        assert outlook is not None
        truth = truths[place.facts.name]
        course = {day: float(ec) for day, ec in zip(_days(truth.first_on), truth.ec_ms_cm, strict=False)}
        held[place.facts.name] = np.mean(
            [_holds(one, course[one.on]) for one in outlook.past if one.on in course]
        )
        assert outlook.ec_now.p90 - outlook.ec_now.p10 < 0.6, place.facts.name
    assert np.mean(list(held.values())) > 0.75, held
    past = {
        bath.tank.name: bath.outlook.p_past_action_now_frac for bath in baths_of(NOW).values() if bath.outlook
    }
    assert [name for name, chance in past.items() if chance > 0.5] == ["Nook"]
    assert truths["Nook"].ec_ms_cm[-1] > 1.2
    north = bath_of("North", NOW).outlook
    assert north is not None
    assert north.ph is not None
    assert north.ph.trend_a_month is not None


def _days(first_on: date) -> Iterable[date]:
    return (date.fromordinal(first_on.toordinal() + day) for day in range(BOOK_DAYS))


def _holds(one: EcOn, ec_ms_cm: float) -> bool:
    return one.p10_ms_cm <= ec_ms_cm <= one.p90_ms_cm


def hold_meter() -> None:
    """The meter's checks tell how much it shows too little, within what a check can tell."""
    newest = next(one for one in meter_checks() if one.is_in_force)
    assert newest.check.correction_factor == pytest.approx(1.0 / meter_shows(BOOK_DAYS - 33), abs=0.02)
    assert newest.check.correction_factor > 1.01


def hold_light() -> None:
    """Ranges of the light hold the true one over most spots of floors that were read; it is uneven."""
    shares = []
    for place in PLACES:
        if place.facts.name not in FALLS:
            continue
        floor = light_map_of(place.facts.name, NOW)
        true = [true_ppfd(place, spot.x_mm, spot.y_mm) * floor.dimmer_frac for spot in floor.spots]
        assert max(true) > 1.25 * min(true)
        told = [spot.ppfd_umol_m2_s for spot in floor.spots]
        shares.append(np.mean([span.p10 <= ppfd <= span.p90 for span, ppfd in zip(told, true, strict=True)]))
        assert len(floor.readings) == len(FALLS[place.facts.name].reads)
    assert min(shares) > 0.5, shares
    assert np.mean(shares) > 0.7, shares
    assert light_map_of("Window", NOW).stray_mol_m2_d > 0.3


def hold_shelf() -> None:
    """Feeds and salts have prices, the target can be built from the shelf, and its recipe has a cost."""
    rows = shelf()
    assert all(row.item.pack_minor for row in rows)
    assert sum(row.is_salt for row in rows) >= 3
    built = build_mix(BuildAsked(target=TARGET.name))
    assert built.water_name == TAP.name
    assert built.recipe.look.cost_minor is not None
    assert all(abs(one.off_frac) < 0.25 for one in built.recipe.missed), built.recipe.missed


def hold_evening() -> None:
    """The salts ask for little: a siphon with its refill, one reading, one plain evening, one act."""
    jobs = tonight(None, NOW).jobs
    assert [job.tank for job in jobs if job.kind == "fill"] == ["Nook"]
    assert len([job for job in jobs if job.kind == "ec"]) <= 1
    assert len([job for job in jobs if job.kind == "act"]) <= 1
    plain = [job for job in jobs if job.kind == "spray" and job.session == "night" and job.mix_key is None]
    assert [job.tank for job in plain] == ["Shelf"]
    assert algae_of("Window", NOW).acts


def test_the_tap_water_is_possible() -> None:
    """Cations and anions of the analysis balance within one per cent, and its EC is what its ions conduct."""
    plus = sum((getattr(TAP, name) or 0.0) / weight for name, weight in MEQ.items())
    minus = sum((getattr(TAP, name) or 0.0) / weight for name, weight in LESS_MEQ.items())
    assert plus == pytest.approx(minus, rel=0.01)
    assert dissolved_water(TAP).ec_ms_cm == pytest.approx(TAP.ec_ms_cm, rel=0.1)
    hardness_mg_l = (TAP.ca_mg_l or 0.0) * 2.497 + (TAP.mg_mg_l or 0.0) * 4.118
    assert hardness_mg_l == pytest.approx(TAP.hardness_mg_l, rel=0.01)


def test_salts_are_neither_made_nor_lost_by_a_siphon() -> None:
    """What a siphon leaves has the EC it had; what is poured in brings what it holds; leaves only take."""
    place = PLACES[0]
    salts = BathSalts.of(place)
    salts.pour(8.0, 0.5)
    before = salts.ec(8.0)
    salts.siphon(8.0, 3.0)
    assert salts.ec(5.0) == pytest.approx(before)
    mass = salts.food + salts.rest
    salts.day(place, 0.0, 0.0, 5.0, 4.0, is_plain=True)
    assert 0.8 * mass < salts.food + salts.rest < mass
    salts.day(place, 0.2, 0.0, 5.0, 0.0, is_plain=True)
    plain = salts.food + salts.rest
    salts.day(place, 0.2, 0.0, 5.0, 0.0, is_plain=False)
    assert salts.food + salts.rest > plain
