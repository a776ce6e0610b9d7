"""The air under a lid and the acts against algae, as advice."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.planning.algae_acts import AlgaeFacts, algae_acts
from halfwater.planning.lid_air import lid_air
from halfwater.planning.lid_facts import LidFacts
from halfwater.science.algae import learn_algae, start_algae

TODAY = date(2026, 11, 20)
LID = LidFacts(
    tank=1, tank_name="North", air_volume_l=140.0, floor_m2=0.4, leaf_m2=0.5, lamp_h=10.0, wanted_g_30d=8.0,
    room_temp_c=22.0, room_rh_frac=0.5, ach_per_h=None, read_temp_c=None, read_rh_frac=None, read_on=None,
    described_temp_c=None, described_rh_frac=None, litres_per_mm=0.25, loss_l_day=None,
)  # fmt: skip
ALGAE = AlgaeFacts(
    tank=1, tank_name="North", ppfd_umol_m2_s=60.0, lamp_h=12.0, stray_mol_m2_d=0.0, is_light_known=True,
    ec_ms_cm=0.8, wet_frac=0.5, seen_on=TODAY - timedelta(days=3), seen_strength=2,
)  # fmt: skip


def test_a_reading_beats_a_description_beats_physics() -> None:
    """Humidity is worked out until somebody says or reads it."""
    assert lid_air(LID).how_known == "worked out"
    described = replace(LID, described_rh_frac=0.9)
    assert (lid_air(described).how_known, lid_air(described).rh_frac) == ("described", 0.9)
    read = replace(described, read_rh_frac=0.95, read_temp_c=25.0, read_on=TODAY)
    assert (lid_air(read).how_known, lid_air(read).rh_frac, lid_air(read).read_on) == ("read", 0.95, TODAY)


def test_a_tight_lid_asks_for_the_experiment_and_a_loose_one_does_not() -> None:
    """One air change a day starves eight grams a month; twenty an hour do not."""
    tight, loose = lid_air(replace(LID, ach_per_h=0.05)), lid_air(replace(LID, ach_per_h=20.0))
    assert tight.growth_frac.p50 < 0.5 < 0.85 < loose.growth_frac.p50
    assert "pencils" in tight.experiment
    assert loose.experiment == ""
    assert tight.vapour_l_day.p50 < loose.vapour_l_day.p50
    assert lid_air(replace(LID, wanted_g_30d=0.0)).experiment == ""


def test_vapour_lowers_the_waterline_by_its_volume() -> None:
    """A litre over a bath of a quarter litre a millimetre is four millimetres."""
    air = lid_air(LID)
    assert air.waterline_mm_day.p50 == pytest.approx(air.vapour_l_day.p50 / 0.25)


@given(st.floats(0.3, 1.0), st.floats(10, 35), st.floats(0, 20), st.floats(0, 50))
def test_any_lid_gives_ordered_ranges(rh: float, temp: float, ach: float, wanted: float) -> None:
    """Ranges run from low to high; dew is nearer in damper air; growth lies between none and all."""
    facts = replace(LID, read_rh_frac=rh, read_temp_c=temp, ach_per_h=ach, wanted_g_30d=wanted)
    air = lid_air(facts)
    for span in (air.vapour_l_day, air.growth_frac, air.co2_umol_mol):
        assert span.p10 <= span.p50 + 1e-9 <= span.p90 + 2e-9
    assert -1e-9 <= air.growth_frac.p50 <= 1.0 + 1e-9
    assert air.made_g_30d <= wanted + 1e-9
    if rh > 0.97:
        assert air.dew_margin_c < 0.0


def test_air_drier_than_the_room_takes_vapour_in() -> None:
    """Nothing is said to go as vapour below nought: it comes in."""
    said = lid_air(replace(LID, read_rh_frac=0.1, read_temp_c=23.0, read_on=TODAY)).said
    assert "takes in about" in said
    assert "-" not in said


def test_open_water_is_set_against_the_lid() -> None:
    """By hand: 0.00005 (2811 - 0.5 * 2645) Pa is 0.074 kg/(m2 h), and buoyancy no less; 0.4 m2, 24 h."""
    facts = replace(LID, read_rh_frac=0.95, read_temp_c=23.0, read_on=TODAY)
    (bare,) = [w for w in lid_air(facts).workings if "no lid" in w.title]
    assert float(bare.value.removeprefix("about ").split()[0]) >= 0.7
    frozen = replace(facts, room_temp_c=-5.0)
    assert not [w for w in lid_air(frozen).workings if "no lid" in w.title]


def test_nonsense_is_refused() -> None:
    """A humidity over 100 % and air of no volume."""
    with pytest.raises(RefusedInput):
        lid_air(replace(LID, read_rh_frac=1.4, read_temp_c=25.0))
    with pytest.raises(RefusedInput):
        lid_air(replace(LID, air_volume_l=0.0))


def test_the_waterline_comes_first_then_hours_then_intensity() -> None:
    """Levers stand in their order, only the first is to be pulled now, and each lowers the chance."""
    watch = algae_acts(start_algae(), ALGAE, TODAY)
    assert [act.lever for act in watch.acts] == ["waterline", "hours", "intensity"]
    assert [act.is_next for act in watch.acts] == [True, False, False]
    assert all(act.p_after_frac < watch.p_month.p50 for act in watch.acts)
    assert watch.seen_word == "some"


def test_a_dry_surface_and_a_short_day_leave_the_dimmer() -> None:
    """A lever that is pulled already is not named again."""
    dry = algae_acts(start_algae(), replace(ALGAE, wet_frac=0.0), TODAY)
    assert [act.lever for act in dry.acts] == ["hours", "intensity"]
    short = algae_acts(start_algae(), replace(ALGAE, wet_frac=0.0, lamp_h=8.0), TODAY)
    assert [act.lever for act in short.acts] == ["intensity"]


def test_after_an_act_the_next_waits_for_a_month() -> None:
    """A siphon since the sighting: nothing more now; a month later the next lever is due."""
    acted = replace(ALGAE, acted_on=TODAY - timedelta(days=1))
    watch = algae_acts(start_algae(), acted, TODAY)
    assert not any(act.is_next for act in watch.acts)
    assert "give it a month" in watch.said
    later = algae_acts(
        start_algae(), replace(acted, seen_on=TODAY + timedelta(days=28)), TODAY + timedelta(days=35)
    )
    assert later.acts[0].is_next


def test_nothing_seen_and_little_light_asks_for_nothing() -> None:
    """A dim tank whose bath stands low needs no doing."""
    calm = replace(ALGAE, seen_on=None, seen_strength=0, lamp_h=8.0, ppfd_umol_m2_s=40.0, wet_frac=0.0)
    watch = algae_acts(start_algae(), calm, TODAY)
    assert watch.acts == ()
    assert "Nothing needs doing" in watch.said


def test_the_growers_own_months_are_believed() -> None:
    """Sixty bright months without algae lower the chance that the start would give."""
    learned = learn_algae([2.6] * 60, [0.8] * 60, [0.5] * 60, [0] * 60)
    before, after = (algae_acts(hazard, ALGAE, TODAY).p_month.p50 for hazard in (start_algae(), learned))
    assert after < before / 3.0
    assert algae_acts(learned, ALGAE, TODAY).months == 60
