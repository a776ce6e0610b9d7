"""What a mix is said to be: EC with its rule and error, urea apart, clots, cost, and what is not known."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import Dose, SaltFacts, ShelfItem, SourceWater, WaterPart
from halfwater.plain.mixes import MixFacts, MixPart
from halfwater.planning.meter import judge_meter
from halfwater.planning.mix_look import compare_mixes, look_at_mix
from halfwater.planning.shelf import contents_of, doses_of_mix
from halfwater.planning.source_water import blended_water, dissolved_water
from tests.planning.shelves import HOAGLAND_DOSES, RAIN, TAP, feed, salt


def _by_name(look: object) -> dict[str, float]:
    return {line.what: line.in_all_mg_l for line in look.strengths}  # type: ignore[attr-defined]


def test_salts_in_rain_are_known_by_their_ions() -> None:
    """Hoagland's salts in rain: EC by the ions, even, clear, with its pH and its bound above it."""
    look = look_at_mix("Hoagland", HOAGLAND_DOSES, RAIN)
    assert look.ec.rule == "ions"
    assert look.ec.ec_low_ms_cm < 2.17 < look.ec.ec_high_ms_cm
    assert look.ec.bound_ms_cm > look.ec.ec_high_ms_cm
    assert look.charge.off_frac == pytest.approx(0, abs=1e-9)
    assert look.state == "clear"
    assert look.ph == pytest.approx(5.0, abs=0.3)
    assert _by_name(look)["N"] == pytest.approx(210, abs=1)


def test_hard_water_lifts_the_ph_and_adds_its_own() -> None:
    """In hard water the mix has the water's calcium, a higher pH and a higher EC, but less than the sum."""
    soft, hard = look_at_mix("mix", HOAGLAND_DOSES, RAIN), look_at_mix("mix", HOAGLAND_DOSES, TAP)
    assert _by_name(hard)["Ca"] - _by_name(soft)["Ca"] == pytest.approx(60, abs=1e-6)
    assert hard.ph > soft.ph + 0.5
    assert hard.ph_standing > hard.ph
    assert hard.ec.ec_ms_cm > soft.ec.ec_ms_cm + 0.3
    assert hard.ec.ec_above_source_ms_cm < soft.ec.ec_ms_cm  # ions hinder each other


def test_urea_and_the_meter() -> None:
    """Two feeds alike but for urea in place of nitrate: same N, far less EC, and the urea is said."""
    nitrate = feed(forms=(0.06, 0.03, 0.0), density_kg_l=1.2)
    urea = feed(forms=(0.0, 0.0, 0.09), density_kg_l=1.2)
    by_nitrate, by_urea = (look_at_mix("mix", (Dose(one, dose_ml_l=1),), RAIN) for one in (nitrate, urea))
    assert _by_name(by_nitrate)["N"] == pytest.approx(_by_name(by_urea)["N"])
    assert by_urea.ec.ec_ms_cm < 0.5 * by_nitrate.ec.ec_ms_cm
    assert by_urea.ec.urea_mg_l == pytest.approx(108)
    assert "no EC meter sees" in by_urea.ec.text
    assert any("Urea" in one for one in by_urea.not_modelled)


def test_label_read_by_volume_or_by_weight_differs_by_the_density() -> None:
    """The same 9 % N as w/w and as w/v: strengths and EC differ by the density (the trap of labels)."""
    by_weight = look_at_mix("mix", (Dose(feed(), dose_ml_l=1),), RAIN)
    by_volume = look_at_mix("mix", (Dose(feed(basis="w/v", density_kg_l=None), dose_ml_l=1),), RAIN)
    assert _by_name(by_weight)["N"] / _by_name(by_volume)["N"] == pytest.approx(1.2)
    assert by_weight.ec.ec_ms_cm > 1.15 * by_volume.ec.ec_ms_cm


def test_a_silent_label_gives_a_wide_answer() -> None:
    """Without forms the range spans no urea to mostly urea, wider than where the label tells them."""
    told = feed("20-20-20", (0.2, 0.2, 0.2), (0.056, 0.039, 0.105), "dry", "w/w", None)
    silent = feed("20-20-20", (0.2, 0.2, 0.2), (None, None, None), "dry", "w/w", None)
    known, unknown = (look_at_mix("mix", (Dose(one, dose_g_l=0.5),), RAIN).ec for one in (told, silent))
    assert unknown.urea_mg_l is None
    assert unknown.ec_low_ms_cm < known.ec_ms_cm < unknown.ec_high_ms_cm
    assert unknown.ec_high_ms_cm / unknown.ec_low_ms_cm > 1.5 * known.ec_high_ms_cm / known.ec_low_ms_cm


@pytest.mark.parametrize(
    ("forms", "low", "high"),
    [((0.056, 0.039, 0.105), 0.30, 0.50), ((0.12, 0.08, 0.0), 0.55, 0.80)],
)
def test_label_rule_meets_printed_tables(forms: tuple[float, float, float], low: float, high: float) -> None:
    """100 mg/L N of a urea-rich feed is about 0.4 mS/cm, of a nitrate feed 0.6 to 0.75, as labels print."""
    figures = (0.2, 0.2, 0.2) if forms[2] else (0.2, 0.1, 0.2)
    one = feed("feed", figures, forms, "dry", "w/w", None)
    ec = look_at_mix("mix", (Dose(one, dose_g_l=0.5),), RAIN).ec
    assert low < ec.ec_ms_cm < high


def test_water_by_ec_alone_adds_its_ec_and_says_what_it_hides() -> None:
    """A water of which only the EC is known: EC added, no pH, no bound, and the missing analysis named."""
    look = look_at_mix("mix", HOAGLAND_DOSES, SourceWater("tap", ec_ms_cm=0.4))
    assert look.ec.rule == "water by EC alone"
    assert look.ec.ec_ms_cm == pytest.approx(look.ec.ec_above_source_ms_cm + 0.4)
    assert (look.ph, look.ec.bound_ms_cm) == (None, None)
    assert any("only the EC is known" in one for one in look.not_modelled)


def test_clots_are_named_with_what_falls_out() -> None:
    """A mix a hundred times too strong clots: gypsum by name, in milligrams, and so is the whole mix."""
    strong = tuple(replace(dose, dose_g_l=100 * dose.dose_g_l) for dose in HOAGLAND_DOSES)
    look = look_at_mix("stock of all", strong, RAIN)
    assert look.state == "settles"
    assert look.settlings[0].mineral == "Gypsum"
    assert look.settlings[0].settles_mg_l == pytest.approx(32_000, rel=0.15)
    assert any("roughly" in one for one in look.cautions)


def test_what_a_litre_costs() -> None:
    """A kilogram for 1000: a litre costs the grams in it; with one thing unpriced there is no cost."""
    look = look_at_mix("mix", HOAGLAND_DOSES, RAIN)
    assert look.cost_minor == pytest.approx(sum(dose.dose_g_l for dose in HOAGLAND_DOSES))
    free = (*HOAGLAND_DOSES, Dose(salt("KCl", None), dose_g_l=0.01))
    unpriced = look_at_mix("mix", free, RAIN)
    assert (unpriced.cost_minor, unpriced.unpriced) == (None, ("KCl",))
    bottle = look_at_mix("mix", (Dose(feed(), dose_ml_l=2),), RAIN)
    assert bottle.cost_minor == pytest.approx(2 * 2400 / 1000)


def test_acid_uses_up_alkalinity() -> None:
    """Nitric acid of 60 % brings a hard water's pH down, and is cautioned about."""
    acid = ShelfItem(SaltFacts(5, "nitric acid 60 %", "HNO3", 0.6, 1.37))
    plain, soured = look_at_mix("tap", (), TAP), look_at_mix("tap", (Dose(acid, dose_ml_l=0.2),), TAP)
    assert soured.ph < plain.ph - 0.8
    assert "Acid into water" in soured.cautions[0]


def test_iron_without_chelate_is_cautioned() -> None:
    """Ferrous sulphate in tap water rusts out; a chelate does not."""
    free, held = salt("FeSO4·7H2O"), salt("NaFeEDTA·3H2O")
    looks = [look_at_mix("mix", (Dose(one, dose_g_l=0.01),), TAP) for one in (free, held)]
    assert any("rusts" in one for one in looks[0].cautions)
    assert not any("rusts" in one for one in looks[1].cautions)


def test_mixes_of_the_book_are_compared_in_one_water() -> None:
    """A mix of the book is looked at by its doses; several come back in their order."""
    bottle = feed().product
    mix = MixFacts(1, "Night mix", "night", (MixPart(bottle, 0.5, None, "0.5 mL/L"),), None)
    looks = compare_mixes([("Night mix", doses_of_mix(mix)), ("Hoagland", HOAGLAND_DOSES)], TAP)
    assert [look.name for look in looks] == ["Night mix", "Hoagland"]
    assert looks[0].ec.ec_ms_cm < looks[1].ec.ec_ms_cm


@given(st.floats(0.02, 1.0), st.floats(1.05, 3))
@settings(max_examples=15, deadline=None)
def test_ec_rises_with_the_dose_but_less_than_it(part: float, times: float) -> None:
    """More salt is more EC, and never as much more as there is more salt."""
    weak = tuple(replace(dose, dose_g_l=part * dose.dose_g_l) for dose in HOAGLAND_DOSES)
    strong = tuple(replace(dose, dose_g_l=times * dose.dose_g_l) for dose in weak)
    low, high = (look_at_mix("mix", doses, RAIN).ec.ec_ms_cm for doses in (weak, strong))
    assert low < high < times * low


def test_blends_add_by_volume() -> None:
    """Half tap and half rain has half the tap's calcium; with a water by EC alone only the EC is left."""
    half = blended_water((WaterPart(TAP, 0.5), WaterPart(RAIN, 0.5)))
    assert half.strength.ca_mg_l == pytest.approx(30)
    unknown = blended_water((WaterPart(SourceWater("well", ec_ms_cm=0.8), 0.5), WaterPart(RAIN, 0.5)))
    assert not unknown.has_ions
    assert unknown.ec_ms_cm == pytest.approx(0.4, abs=1e-3)
    with pytest.raises(RefusedInput, match="add up to 1"):
        blended_water((WaterPart(TAP, 0.5), WaterPart(RAIN, 0.4)))


def test_an_analysis_that_does_not_fit_is_doubted() -> None:
    """An EC twice what the ions make, and hardness that the ions do not give, are both said."""
    wrong = replace(TAP, ec_ms_cm=1.2, hardness_mg_l=400.0)
    notes = " ".join(dissolved_water(wrong).notes)
    assert "its EC says 1.20" in notes
    assert "does not fit" in notes


def test_hardness_fills_what_the_analysis_leaves_out() -> None:
    """Hardness beside calcium tells the magnesium; alone it is taken as calcium, and said."""
    both = SourceWater("tap", hardness_mg_l=191.0, ca_mg_l=60.0)
    assert dissolved_water(both).strength.mg_mg_l == pytest.approx((191 - 149.8) / 4.118, abs=0.1)
    alone = dissolved_water(SourceWater("tap", hardness_mg_l=200.0, alkalinity_mg_l=180.0, ph=7.5))
    assert alone.strength.ca_mg_l == pytest.approx(200 / 2.497, abs=0.1)
    assert any("calcium alone" in note for note in alone.notes)


@pytest.mark.parametrize(("water", "field"), [
    (replace(TAP, alkalinity_mg_l=-5.0), "alkalinity"), (replace(TAP, ca_mg_l=-1.0), "calcium"),
    (replace(TAP, ph=12.0), "pH of the water"), (SourceWater("pond"), "water"),
    (SourceWater("rain", ec_ms_cm=0.4, is_pure=True), "EC"), (replace(TAP, ec_ms_cm=580.0), "EC reading"),
])  # fmt: skip
def test_impossible_waters_are_refused(water: SourceWater, field: str) -> None:
    """A negative alkalinity, a pH of 12, a rain of 0.4 mS/cm, an EC in µS/cm: refused by name."""
    with pytest.raises(RefusedInput) as refused:
        dissolved_water(water)
    assert refused.value.field == field


@pytest.mark.parametrize("item", [
    feed(figures=(0.6, 0.4, 0.2), forms=(None, None, None)), salt("KNO"), salt("KNO3", purity_frac=98.0),
    replace(salt("KNO3"), pack_g=None), replace(salt("KNO3"), pack_minor=-1), salt("HNO3", density_kg_l=9.0),
])  # fmt: skip
def test_impossible_things_on_the_shelf_are_refused_by_name(item: ShelfItem) -> None:
    """Over 100 % on a label, a formula that does not parse, a purity in per cent, a price without a pack."""
    with pytest.raises(RefusedInput, match=item.name.replace("-", r"\-")):
        contents_of(item)


def test_a_dose_needs_one_figure_and_a_density_where_it_turns() -> None:
    """Two figures are refused, and so is a w/w liquid by volume without its density."""
    with pytest.raises(RefusedInput, match="mL/L or g/L"):
        look_at_mix("mix", (Dose(salt("KNO3"), 1.0, 1.0),), RAIN)
    with pytest.raises(RefusedInput, match="density"):
        look_at_mix("mix", (Dose(feed(density_kg_l=None, pack_minor=None), dose_ml_l=1.0),), RAIN)


def test_meter_check_in_words() -> None:
    """A meter that is right, one that is put right, and one that is cleaned."""
    texts = [judge_meter(1.413, reading).text for reading in (1.42, 1.33, 0.9)]
    assert "right within 3 %" in texts[0]
    assert "put right by 1.062" in texts[1]
    assert "Clean the probe" in texts[2]
