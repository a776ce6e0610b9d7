"""The light over a floor, the air under a lid and the algae, from entries to advice."""

from datetime import timedelta

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.air import air_of, airs_of
from halfwater.deeds.algae import algae_of
from halfwater.deeds.light_map import light_map_of
from halfwater.errors import RefusedByBook, RefusedInput
from tests.deeds.nurseries import NOW, TODAY, WHO, a_nursery, a_tank, evenings, noted

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def book() -> None:
    """A nursery with a lamp over one tank."""
    a_nursery()
    lamp = changes.save_lamp(who=WHO, name="Bar", ppfd_umol_m2_s=80.0, power_w=30.0)
    a_tank(lamp=lamp, lamp_dimmer_frac=0.8, lamp_hours=10.0, stray_ppfd_umol_m2_s=5.0, stray_hours=8.0)


def _day(back: int) -> str:
    return (TODAY - timedelta(days=back)).isoformat()


def test_without_a_reading_the_map_is_the_lamp_as_described() -> None:
    """Wide ranges, the middle asked for first, and a setting with its power."""
    floor = light_map_of("north", NOW)
    assert len(floor.spots) == 119
    assert floor.readings == ()
    middle = next(spot for spot in floor.spots if spot.name == floor.read_next)
    assert middle.ppfd_umol_m2_s.p50 == pytest.approx(64.0, rel=0.05)
    assert floor.choices[0].is_now
    assert floor.choices[0].month_kwh == pytest.approx(30.0 * 0.8 * 10.0 * 30.0 / 1000.0)
    assert floor.cautions


def test_readings_narrow_the_map_where_they_stand() -> None:
    """Read at 50 with the lamp at half and 5 of stray light, it gets 45 of the lamp: 72 at 80 %."""
    wide = {spot.name: spot for spot in light_map_of("North", NOW).spots}["B4"].dli_mol_m2_d
    for _ in range(2):
        noted("light", value="50 at B4, dimmer 50 %, stray 5")
    noted("light", value="30 at A1, dimmer 50 %, stray 5", at=_day(1))
    floor = light_map_of("North", NOW)
    spot = {spot.name: spot for spot in floor.spots}["B4"]
    assert spot.ppfd_umol_m2_s.p50 == pytest.approx(45.0 / 0.5 * 0.8, rel=0.06)
    assert spot.dli_mol_m2_d.p90 / spot.dli_mol_m2_d.p10 < wide.p90 / wide.p10
    assert floor.read_next not in ("A1", "B4")


def test_a_reading_with_the_lamp_off_is_stray_light() -> None:
    """It is taken off the readings at its spot and stands for the light from elsewhere."""
    noted("light", value="20 at B4, lamp off", at=_day(1))
    noted("light", value="84 at B4")
    floor = light_map_of("North", NOW)
    assert floor.stray_mol_m2_d == pytest.approx(0.0036 * 20.0 * 8.0)
    assert [read.stray_ppfd_umol_m2_s for read in floor.readings] == [20.0]


def test_a_reading_darker_than_its_stray_light_is_odd() -> None:
    """It is named and left out; the map stands on the others."""
    noted("light", value="60 at A1", at=_day(1))
    noted("light", value="4 at B4, dimmer 80 %, stray 9")
    floor = light_map_of("North", NOW)
    assert [(read.spot, read.is_odd) for read in floor.readings] == [("A1", False), ("B4", True)]


def test_an_unknown_light_and_an_odd_target_are_refused() -> None:
    """No reading and no lamp; a taxon nobody has; a daily light no lamp gives."""
    a_tank("Dark")
    with pytest.raises(RefusedByBook, match="note a reading"):
        light_map_of("Dark", NOW)
    with pytest.raises(RefusedInput):
        light_map_of("North", NOW, target="400")
    with pytest.raises(RefusedInput):
        light_map_of("North", NOW, taxon="Oak")
    with pytest.raises(RefusedInput, match="daily light"):
        light_map_of("North", NOW, target="-2")
    assert light_map_of("North", NOW, target="2.5 mol").target_mol_m2_d == 2.5


def test_a_taxon_is_meant_by_a_part_of_its_name() -> None:
    """Its own best light is the target and it is told first; a part that several have is refused."""
    changes.load_starting_taxa()
    floor = light_map_of("North", NOW, taxon="nana")
    assert "nana" in floor.suits[0].taxon_name
    assert floor.target_mol_m2_d == floor.suits[0].best_mol_m2_d
    assert len({one.taxon for one in floor.suits}) == len(floor.suits)
    with pytest.raises(RefusedInput, match="Cryptocoryne wendtii group"):
        light_map_of("North", NOW, taxon="cryptocoryne")


def test_air_is_read_or_worked_out() -> None:
    """A fresh reading speaks; one of last spring does not."""
    assert air_of("North", NOW).how_known == "worked out"
    noted("air", value="25C 93%", at=_day(200))
    assert air_of("North", NOW).how_known == "worked out"
    noted("air", value="24C 95%", at=_day(3))
    air = air_of("North", NOW)
    assert (air.how_known, air.temp_c, air.rh_frac) == ("read", 24.0, 0.95)
    assert [one.tank_name for one in airs_of(NOW)] == ["North"]


def test_algae_are_heard_and_acted_on_in_order() -> None:
    """Seen with the bath past its limit line: the waterline first, and after a siphon patience."""
    evenings(20)
    noted("waterline", value="28 mm", at=_day(4))
    noted("sighting", value="algae some", at=_day(3))
    watch = algae_of("North", NOW)
    assert watch.wet_frac == 1.0
    assert watch.acts[0].lever == "waterline"
    assert watch.acts[0].is_next
    noted("siphon", value="to low line", at=_day(1))
    waiting = algae_of("North", NOW)
    assert not any(act.is_next for act in waiting.acts)


def test_months_that_were_looked_over_are_learned_from() -> None:
    """Looks without algae lower the chance; a month nobody looked says nothing."""
    before = algae_of("North", NOW)
    assert before.months == 0
    key = queries.tank_named("North").key
    changes.save_tank(key, who=WHO, set_up_on=TODAY - timedelta(days=400))
    for back in range(40, 380, 30):
        noted("note", value="looked over, nothing new", at=_day(back))
    after = algae_of("North", NOW)
    assert after.months == 12
    assert after.p_month.p50 < before.p_month.p50
