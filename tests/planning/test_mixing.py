"""A mix to make: amounts, water, strength, spoons, cautions."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.plain.mixes import FeedFacts, MixFacts, MixPart
from halfwater.planning.mixing import MixToMake, label_of, mix_strength, plan_mix, volume_to_make
from halfwater.science.feed import Strength
from halfwater.science.spoons import TEASPOON_ML


def a_feed(name: str = "Leaf", **facts: object) -> FeedFacts:
    """A liquid feed of 9-3-6, with what the test changes."""
    sound = {
        "key": 1, "name": name, "form": "liquid", "basis": "w/w", "density_kg_l": 1.2,
        "n_frac": 0.09, "p2o5_frac": 0.03, "k2o_frac": 0.06,
        "n_nitrate_frac": None, "n_ammonium_frac": None, "n_urea_frac": None,
        "other_frac": {}, "teaspoon_g": None,
    }  # fmt: skip
    return FeedFacts(**(sound | facts))


def a_powder(name: str = "Powder", **facts: object) -> FeedFacts:
    """A dry feed of 20-20-20, with what the test changes."""
    sound = {"form": "dry", "density_kg_l": None, "n_frac": 0.2, "p2o5_frac": 0.2, "k2o_frac": 0.2}
    return a_feed(name, **(sound | facts))


def a_mix(*parts: MixPart, use: str = "night", ec: float | None = None) -> MixFacts:
    """A mix of parts."""
    return MixFacts(1, "Evening", use, parts, ec)


def a_part(feed: FeedFacts, dose_ml_l: float | None = None, dose_g_l: float | None = None) -> MixPart:
    """A feed at a dose."""
    return MixPart(feed, dose_ml_l, dose_g_l, "as typed")


def cautions_of(made: MixToMake) -> str:
    """All cautions in one text."""
    return " ".join(made.cautions)


def test_a_liquid_mix_is_measured_out() -> None:
    """Half a millilitre a litre of 9-3-6 in 2 L: 1 mL of feed, 1.999 L of water, 54 mg/L N."""
    made = plan_mix(a_mix(a_part(a_feed(), 0.5)), 2.0)
    assert made.parts[0].amount_ml == pytest.approx(1.0)
    assert made.parts[0].amount_g is None
    assert made.water_l == pytest.approx(1.999)
    assert made.n_mg_l == pytest.approx(54)
    assert made.parts[0].spoon_text == "1/4 tsp"
    assert made.parts[0].spoon_error_frac == pytest.approx(0.25 * TEASPOON_ML - 1)
    assert made.parts[0].spoon_spread_frac == 0.0


def test_a_dry_mix_is_weighed() -> None:
    """A gram a litre of powder in 2.5 L is 2.5 g, in spoons of the grower's own, doubtful by a quarter."""
    made = plan_mix(a_mix(a_part(a_powder(teaspoon_g=5.0), dose_g_l=1.0)), 2.5)
    assert made.parts[0].amount_g == pytest.approx(2.5)
    assert made.parts[0].amount_ml is None
    assert made.parts[0].spoon_text == "1/2 tsp"
    assert made.parts[0].spoon_spread_frac == 0.25
    assert made.water_l == 2.5
    assert "weigh it" in cautions_of(made)
    assert "taken as 5 g" not in cautions_of(made)


def test_a_powder_dosed_by_the_spoon_counts_a_starting_weight_and_says_so() -> None:
    """A quarter teaspoon a gallon of 20 % N is about 65 mg/L, and the spoon assumed is shown."""
    made = plan_mix(a_mix(a_part(a_powder(), dose_ml_l=250 / 768)), 3.785411784)
    assert made.parts[0].amount_g == pytest.approx(1.25)
    assert made.parts[0].spoon_text == "1/4 tsp"
    assert made.parts[0].spoon_error_frac == pytest.approx(0, abs=1e-9)
    assert 53 < made.n_mg_l < 79
    assert "Powder is taken as 5 g" in cautions_of(made)


def test_a_liquid_weighed_out_is_given_by_volume_where_its_density_is_known() -> None:
    """1.2 g/L of a liquid of 1.2 kg/L is 1 mL/L; without its density it stays in grams, without spoons."""
    made = plan_mix(a_mix(a_part(a_feed(), dose_g_l=1.2)), 3.0)
    assert made.parts[0].amount_ml == pytest.approx(3.0)
    bare = plan_mix(a_mix(a_part(a_feed(density_kg_l=None), dose_g_l=1.2)), 3.0)
    assert bare.parts[0].amount_g == pytest.approx(3.6)
    assert (bare.parts[0].spoon_text, bare.parts[0].spoon_error_frac) == ("", None)
    assert bare.n_mg_l == pytest.approx(made.n_mg_l)


def test_a_missing_density_leaves_the_amounts_and_says_why() -> None:
    """Without its density a w/w liquid can be measured out, but its strength cannot be said."""
    mix = a_mix(a_part(a_feed("Green", density_kg_l=None), 2.0))
    made = plan_mix(mix, 1.0)
    assert made.parts[0].amount_ml == pytest.approx(2.0)
    assert (made.strength, made.n_mg_l, made.p_mg_l, made.k_mg_l) == (None, None, None, None)
    assert "feed Green: density" in made.why
    assert made.why == made.parts[0].why
    with pytest.raises(RefusedInput, match=r"feed Green: density .*1.2 kg/L"):
        mix_strength(mix)


def test_plain_water_is_a_mix() -> None:
    """A rinse of plain water has no parts, no strength and no call for gloves."""
    made = plan_mix(a_mix(), 0.6)
    assert made.water_l == 0.6
    assert made.strength == Strength()
    assert "Gloves" not in cautions_of(made)


@given(st.floats(0.01, 500), st.floats(0, 100), st.floats(0, 50))
def test_amounts_go_with_the_volume_and_strength_does_not(
    volume_l: float, dose_ml_l: float, dose_g_l: float
) -> None:
    """Twice the volume takes twice of all and is no stronger."""
    mix = a_mix(a_part(a_feed(), dose_ml_l), a_part(a_powder(), dose_g_l=dose_g_l))
    once, twice = plan_mix(mix, volume_l), plan_mix(mix, 2 * volume_l)
    assert twice.parts[0].amount_ml == pytest.approx(2 * once.parts[0].amount_ml)
    assert twice.parts[1].amount_g == pytest.approx(2 * once.parts[1].amount_g)
    assert twice.water_l == pytest.approx(2 * once.water_l)
    assert twice.strength == once.strength


@given(st.floats(0.1, 50), st.floats(0, 50), st.floats(0, 10))
def test_nothing_is_lost_in_the_jug(volume_l: float, dose_ml_l: float, dose_g_l: float) -> None:
    """Water and liquids fill the volume, and the parts' strengths are the mix's."""
    mix = a_mix(a_part(a_feed(), dose_ml_l), a_part(a_powder(), dose_g_l=dose_g_l))
    made = plan_mix(mix, volume_l)
    assert made.water_l + made.parts[0].amount_ml / 1000 == pytest.approx(volume_l)
    assert made.n_mg_l == pytest.approx(made.parts[0].strength.n_mg_l + made.parts[1].strength.n_mg_l)
    assert made.strength == mix_strength(mix)
    assert made.n_mg_l == pytest.approx(108 * dose_ml_l + 200 * dose_g_l)


@given(st.floats(0, 999), st.sampled_from(["metric", "us"]))
def test_a_jug_holds_what_is_needed_and_hardly_more(needed_l: float, units: str) -> None:
    """The volume to make is never short (but for a hair) and never half a litre more."""
    made = volume_to_make(needed_l, units)
    assert made >= needed_l - 1e-8
    assert made - needed_l <= 0.5 + 1e-9


@pytest.mark.parametrize(
    ("needed_l", "units", "made_l"),
    [
        (0, "metric", 0),
        (0.6, "metric", 0.6),
        (0.601, "metric", 0.65),
        (1.2, "metric", 1.2),
        (1.21, "metric", 1.3),
        (5.2, "metric", 5.5),
        (0.1, "us", 4 * 0.0295735295625),
        (1.0, "us", 36 * 0.0295735295625),
        (3.785411784, "us", 3.785411784),
    ],
)
def test_a_jug_has_marks(needed_l: float, units: str, made_l: float) -> None:
    """50 mL under a litre, 100 mL under five, then half litres; 2 fl oz, half cups, pints."""
    assert volume_to_make(needed_l, units) == pytest.approx(made_l, rel=1e-9)


def test_more_needed_is_never_less_made() -> None:
    """Across the marks the volume to make never falls."""
    for units in ("metric", "us"):
        made = [volume_to_make(step * 0.01, units) for step in range(1000)]
        assert made == sorted(made)


def test_sprays_carry_the_sprayers_cautions_and_fills_do_not() -> None:
    """Clean water and a clean sprayer are asked for where it is sprayed; gloves wherever a feed is poured."""
    part = a_part(a_feed(), 0.5)
    for use in ("night", "weak"):
        assert "potable water" in cautions_of(plan_mix(a_mix(part, use=use), 1))
        assert "clean the sprayer every week" in cautions_of(plan_mix(a_mix(part, use=use), 1))
    fill = plan_mix(a_mix(part, use="fill"), 1)
    assert "sprayer" not in cautions_of(fill)
    assert "Gloves and eye protection" in cautions_of(fill)


def test_a_strong_spray_is_cautioned() -> None:
    """Above 75 mg/L N or an EC of 1.2 over the water a nightly spray is cautioned; a usual one is not."""
    usual = plan_mix(a_mix(a_part(a_feed(), 0.5), ec=0.5), 1)
    strong = plan_mix(a_mix(a_part(a_feed(), 1.0), ec=1.5), 1)
    assert "above the" not in cautions_of(usual)
    assert "108 mg/L N is above the 25 to 75" in cautions_of(strong)
    assert "EC 1.5" in cautions_of(strong)


def test_urea_is_told_because_no_meter_tells_it() -> None:
    """A mix with urea says how much an EC meter misses."""
    feed = a_feed(n_nitrate_frac=0.05, n_urea_frac=0.04)
    assert "24 mg/L of the nitrogen is urea" in cautions_of(plan_mix(a_mix(a_part(feed, 0.5)), 1))


def test_calcium_beside_phosphate_or_sulphate_is_cautioned() -> None:
    """Feeds that clot as concentrates are stirred in one by one; a feed of both is its maker's care."""
    lime = a_powder("Lime", p2o5_frac=0.0, k2o_frac=0.0, other_frac={"CaO": 0.26})
    salts = a_powder("Bitter", n_frac=0.0, p2o5_frac=0.0, k2o_frac=0.0, other_frac={"MgO": 0.16, "SO3": 0.32})
    both = a_feed(other_frac={"CaO": 0.01})
    apart = plan_mix(a_mix(a_part(lime, dose_g_l=1), a_part(salts, dose_g_l=1), use="fill"), 2)
    assert "clot" in cautions_of(apart)
    assert "clot" not in cautions_of(plan_mix(a_mix(a_part(both, 1)), 2))


def test_too_little_for_a_spoon_is_cautioned() -> None:
    """Where spoons are far off the mix says to use a syringe, or to weigh."""
    wet = plan_mix(a_mix(a_part(a_feed("Green"), 0.5)), 0.6)
    dry = plan_mix(a_mix(a_part(a_powder(), dose_g_l=0.1)), 0.6)
    assert "so little Green: use a syringe" in cautions_of(wet)
    assert "so little Powder: weigh it" in cautions_of(dry)


@pytest.mark.parametrize("volume_l", [0, -1, math.nan, math.inf, "2", 5000])
def test_nonsense_volumes_are_refused(volume_l: object) -> None:
    """No volume, negatives, nan, text and swimming pools are refused."""
    with pytest.raises(RefusedInput):
        plan_mix(a_mix(a_part(a_feed(), 1)), volume_l)


@pytest.mark.parametrize(
    "dose", [(None, None), (1, 1), (-1, None), (None, math.nan), ("1", None), (1001, None)]
)
@pytest.mark.parametrize("density", [1.2, None])
def test_nonsense_doses_are_refused_by_feed(dose: tuple, density: float | None) -> None:
    """A dose that is missing, double, negative, nan or text is refused with the feed's name."""
    with pytest.raises(RefusedInput, match="feed Leaf: dose"):
        plan_mix(a_mix(a_part(a_feed(density_kg_l=density), *dose)), 1)


def test_doses_must_leave_room_for_water() -> None:
    """Feeds that fill the jug alone are refused."""
    with pytest.raises(RefusedInput, match="room for water"):
        plan_mix(a_mix(a_part(a_feed(), 600), a_part(a_feed("Other"), 400)), 1)


@pytest.mark.parametrize(
    "wrong",
    [
        {"n_frac": 0.95},
        {"n_frac": math.nan},
        {"n_urea_frac": 0.01},
        {"form": ""},
        {"other_frac": {"Xy": 0.1}},
    ],
)
def test_impossible_labels_are_refused_by_feed(wrong: dict) -> None:
    """A label that cannot be is refused with the feed's name; a mix of it is made without a strength."""
    feed = replace(a_feed("Wrong"), **wrong)
    with pytest.raises(RefusedInput, match="feed Wrong"):
        label_of(feed)
    with pytest.raises(RefusedInput, match="feed Wrong"):
        mix_strength(a_mix(a_part(feed, 1)))
    made = plan_mix(a_mix(a_part(feed, 1)), 2)
    assert made.parts[0].amount_ml == 2
    assert made.strength is None
    assert "feed Wrong" in made.why


def test_a_spoon_that_weighs_nothing_is_refused_by_feed() -> None:
    """A teaspoon of no weight is refused with the feed's name."""
    with pytest.raises(RefusedInput, match="feed Powder: teaspoon weight"):
        plan_mix(a_mix(a_part(a_powder(teaspoon_g=0.0), dose_g_l=1)), 1)


def test_an_impossible_density_turns_no_grams_into_millilitres() -> None:
    """A liquid weighed out under an impossible density stays in grams."""
    made = plan_mix(a_mix(a_part(a_feed(density_kg_l=0.0), dose_g_l=1)), 1)
    assert (made.parts[0].amount_g, made.parts[0].amount_ml, made.strength) == (1, None, None)


def test_needed_volume_and_units_are_checked() -> None:
    """A negative need and unknown units are refused."""
    with pytest.raises(RefusedInput):
        volume_to_make(-0.1)
    with pytest.raises(RefusedInput, match="metric or us"):
        volume_to_make(1, "imperial")
