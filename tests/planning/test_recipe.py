"""Recipes for targets: met where the shelf can, missed with the reason where it cannot; stocks A and B."""

from dataclasses import replace

import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.chemistry import Dose, SourceWater
from halfwater.planning.measuring import small_dose
from halfwater.planning.mix_look import look_at_mix
from halfwater.planning.recipe import make_recipe
from halfwater.planning.shelf import contents_of
from halfwater.planning.stocks import plan_stocks
from halfwater.planning.targets import part_of_target, published_targets, typed_target
from tests.planning.shelves import HOAGLAND_DOSES, RAIN, SALTS, TAP, feed, salt

HOAGLAND, HOAGLAND_2 = published_targets()[:2]


def test_hoagland_is_found_again_from_its_salts() -> None:
    """From six salts the recipe for Hoagland No. 1 is the published one, to the milligram, nothing missed."""
    answer = make_recipe(SALTS, RAIN, HOAGLAND)
    found = {part.item.name: part.dose_g_l for part in answer.parts}
    assert found == pytest.approx({dose.item.name: dose.dose_g_l for dose in HOAGLAND_DOSES}, rel=2e-4)
    assert answer.missed == ()
    assert "give Hoagland" in answer.sentence
    assert answer.look.cost_minor == pytest.approx(sum(found.values()))


def test_hoagland_2_takes_the_ammonium_phosphate() -> None:
    """No. 2 wants ammonium: NH4H2PO4 takes the place of KH2PO4."""
    names = {part.item.name for part in make_recipe(SALTS, RAIN, HOAGLAND_2).parts}
    assert "NH4H2PO4" in names
    assert "KH2PO4" not in names


def test_the_water_is_counted_first() -> None:
    """What the tap brings is not added again: magnesium and calcium of water and salts make the target."""
    target = typed_target("mine", {"Ca": 80, "Mg": 20, "N": 60})
    answer = make_recipe((*SALTS, salt("Mg(NO3)2·6H2O")), TAP, target)
    lines = {line.what: line for line in answer.look.strengths}
    assert lines["Ca"].in_all_mg_l == pytest.approx(80, rel=0.01)
    assert lines["Ca"].water_mg_l == pytest.approx(60)
    assert lines["Mg"].in_all_mg_l == pytest.approx(20, rel=0.01)


def test_what_is_missed_says_why() -> None:
    """Iron is on no shelf, the tap has too much calcium, sulphur comes only with magnesium."""
    target = typed_target("mine", {"N": 50, "Fe": 2, "Ca": 20, "Mg": 5, "S": 30})
    shelf = (salt("KNO3"), salt("MgSO4·7H2O"))
    soft = replace(TAP, so4_mg_l=0.0, mg_mg_l=0.0)
    missed = {one.what: one for one in make_recipe(shelf, soft, target).missed}
    assert missed["Fe"].why == "Nothing on the shelf holds Fe."
    assert "water alone brings 60" in missed["Ca"].why
    assert "MgSO4·7H2O" in missed["S"].why or "MgSO4·7H2O" in missed["Mg"].why
    assert missed["Fe"].off_frac == pytest.approx(-1)


def test_a_target_no_shelf_can_reach_is_said_in_a_sentence() -> None:
    """Boric acid makes no nitrogen: no part is taken and the sentence says so."""
    answer = make_recipe((salt("H3BO3"),), RAIN, typed_target("mine", {"N": 50}))
    assert answer.parts == ()
    assert answer.sentence == "Nothing on this shelf brings the water nearer to mine."
    assert answer.missed[0].why == "Nothing on the shelf holds N."


@pytest.mark.parametrize("water", [RAIN, TAP, SourceWater("tap", ec_ms_cm=0.4)])
def test_an_ec_is_met_at_the_proportions(water: SourceWater) -> None:
    """An EC of 1.2 is met in rain, tap and a water by EC alone; in rain at the proportions asked."""
    answer = make_recipe(SALTS, water, typed_target("mine", {"N": 100, "P": 15, "K": 100}, ec_ms_cm=1.2))
    assert answer.look.ec.ec_ms_cm == pytest.approx(1.2, abs=0.002)
    lines = {line.what: line.in_all_mg_l for line in answer.look.strengths}
    if water is RAIN:
        assert lines["N"] / lines["K"] == pytest.approx(1.0, rel=0.02)


def test_an_ec_below_the_water_or_beyond_the_shelf_is_refused() -> None:
    """The tap's own EC is above 0.3; urea makes no EC at all: both are said."""
    with pytest.raises(RefusedInput, match="of the water itself"):
        make_recipe(SALTS, TAP, typed_target("mine", {"N": 100}, ec_ms_cm=0.3))
    with pytest.raises(RefusedInput, match="urea"):
        make_recipe((salt("CO(NH2)2"),), RAIN, typed_target("mine", {"N": 100}, ec_ms_cm=0.3))


def test_what_comes_along_unasked_is_said() -> None:
    """Ammonium phosphate as the nitrogen brings 30.97 mg of phosphorus with each 14.01 mg: a mole each."""
    told = make_recipe((salt("NH4H2PO4"),), RAIN, typed_target("mine", {"N": 14.007})).sentence
    assert "It also brings P 31 mg/L, which nobody asked for" in told
    asked = make_recipe((salt("NH4H2PO4"),), RAIN, typed_target("mine", {"N": 14.007, "P": 30.974}))
    assert asked.sentence == "NH4H2PO4 gives mine."
    epsom = make_recipe(SALTS, RAIN, typed_target("mine", {"N": 50, "K": 40, "Mg": 5})).sentence
    assert "S " not in epsom  # 6.6 mg/L along with the magnesium is no news


def test_feeds_and_salts_together() -> None:
    """A bottle and a salt: the bottle gives the nitrogen, told in millilitres, the salt what is wanting."""
    target = typed_target("mine", {"N": 54, "P": 7.9, "K": 60})
    answer = make_recipe((feed(), salt("K2SO4")), RAIN, target, volume_l=2)
    parts = {part.item.name: part for part in answer.parts}
    assert parts["9-3-6"].amount_ml == pytest.approx(1.0, rel=0.02)
    assert parts["9-3-6"].amount_g == pytest.approx(1.2, rel=0.02)
    assert answer.missed == ()


def test_scale_of_weights_does_not_matter() -> None:
    """Ten times every weight and a shuffled shelf change no amount."""
    wants = {"N": 60, "P": 20, "K": 40, "Ca": 50}
    plain = make_recipe(SALTS, RAIN, typed_target("mine", wants))
    heavy = make_recipe(
        tuple(reversed(SALTS)), RAIN, typed_target("mine", wants, weights=dict.fromkeys(wants, 10.0))
    )
    one, other = ({part.item.name: part.dose_g_l for part in answer.parts} for answer in (plain, heavy))
    assert one == pytest.approx(other, rel=2e-3)


def test_cheaper_of_two_equals_is_taken() -> None:
    """Two jars of the same salt: the cheaper one is taken."""
    dear, cheap = replace(salt("KNO3", 5000)), salt("KNO3", 800, purity_frac=0.999)
    shelf = (replace(dear, product=replace(dear.product, name="dear")), cheap)
    assert [part.item.name for part in make_recipe(shelf, RAIN, typed_target("mine", {"K": 50})).parts] == [
        "KNO3"
    ]


def test_mmol_and_mg_are_the_same_target() -> None:
    """6 mmol/L of potassium is 234.6 mg/L."""
    assert typed_target("mine", {"K": 6}, "mmol/L").wanted[0].strength_mg_l == pytest.approx(234.6, abs=0.05)


def test_part_of_a_target() -> None:
    """A quarter of Hoagland wants a quarter of each."""
    quarter = part_of_target(HOAGLAND, 0.25)
    pairs = zip(quarter.wanted, HOAGLAND.wanted, strict=True)
    assert all(one.strength_mg_l == pytest.approx(whole.strength_mg_l / 4) for one, whole in pairs)


@pytest.mark.parametrize(("strengths", "unit"), [
    ({}, "mg/L"), ({"N": 0}, "mg/L"), ({"N": -5}, "mg/L"), ({"Xy": 5}, "mg/L"), ({"N": 5}, "ppm"),
    ({"N": 5, "N-NO3": 3}, "mg/L"), ({"N": float("nan")}, "mg/L"),
])  # fmt: skip
def test_impossible_targets_are_refused(strengths: dict[str, float], unit: str) -> None:
    """Nothing wanted, a negative, an unknown element, an unknown unit, nitrogen told twice."""
    with pytest.raises(RefusedInput):
        typed_target("mine", strengths, unit)
    with pytest.raises(RefusedInput, match="shelf"):
        make_recipe((), RAIN, HOAGLAND)


def test_too_little_to_weigh_becomes_a_strong_solution() -> None:
    """8 mg of copper sulphate: a round weight in a bottle, and the millilitres that hold the amount."""
    contents = contents_of(salt("CuSO4·5H2O"))
    small = small_dose(contents, 0.008, 0.1, 20)
    assert small is not None
    assert small.stock_g >= 2.0
    assert small.stock_g / small.stock_ml * small.dose_ml == pytest.approx(0.008)
    assert 2 <= small.dose_ml <= 60
    assert small_dose(contents, 5.0, 0.1, 20) is None
    assert small_dose(contents, 0.0, 0.1, 20) is None


def test_stocks_keep_calcium_apart() -> None:
    """Hoagland at 1:100: calcium in A, phosphate and sulphate in B, both clear, 10 mL of each a litre."""
    plan = plan_stocks(make_recipe(SALTS, RAIN, HOAGLAND), RAIN, 100, 2.0, 15)
    bottles = {stock.name: {part.name: part for part in stock.parts} for stock in plan.stocks}
    assert "Ca(NO3)2·4H2O" in bottles["A"]
    assert {"KH2PO4", "MgSO4·7H2O"} <= set(bottles["B"])
    assert bottles["A"]["Ca(NO3)2·4H2O"].amount_g == pytest.approx(236.2, abs=0.2)
    assert plan.holds
    assert plan.dose_ml_l == 10
    assert plan.diluted.ec.ec_ms_cm == pytest.approx(2.17, abs=0.01)
    assert any("apart" in one for one in plan.cautions)


def test_all_in_one_bottle_clots_and_the_stocks_do_not() -> None:
    """The reason for A and B: the same salts at 1:100 in one bottle drop gypsum."""
    together = tuple(replace(dose, dose_g_l=100 * dose.dose_g_l) for dose in HOAGLAND_DOSES)
    assert look_at_mix("one bottle", together, RAIN).state == "settles"
    assert all(stock.state != "settles" for stock in plan_stocks(HOAGLAND_DOSES, RAIN, 100).stocks)


def test_more_than_dissolves_is_said_and_a_weaker_stock_named() -> None:
    """Potassium sulphate at 1:200 in a cold room does not dissolve; the plan names a strength that holds."""
    plan = plan_stocks(
        (Dose(salt("K2SO4"), dose_g_l=0.8), Dose(salt("KNO3"), dose_g_l=0.2)), RAIN, 200, 1.0, 5
    )
    assert not plan.holds
    assert plan.most_factor is not None
    assert plan.most_factor < 200
    assert f"1:{plan.most_factor} holds" in plan.sentence
    assert plan_stocks((Dose(salt("K2SO4"), dose_g_l=0.8),), RAIN, plan.most_factor, 1.0, 5).holds
    warm = plan_stocks(
        (Dose(salt("K2SO4"), dose_g_l=0.8), Dose(salt("KNO3"), dose_g_l=0.2)), RAIN, 200, 1.0, 30
    )
    assert warm.most_factor >= plan.most_factor


def test_calcium_with_phosphate_in_one_product_stands_apart() -> None:
    """A feed that holds both calcium and sulphur goes into a bottle of its own, with a caution on labels."""
    both = feed("all in one", other={"Ca": 0.02, "S": 0.01})
    plan = plan_stocks((Dose(both, dose_ml_l=0.5), *HOAGLAND_DOSES), RAIN, 50)
    assert [stock.name for stock in plan.stocks] == ["A", "B", "C"]
    assert any("label" in one for one in plan.stocks[2].cautions)


def test_a_strong_recipe_names_what_a_litre_holds() -> None:
    """15 g/L at 1:200 would be 3 kg in a litre: refused with the most; at 1:10 the plan stands."""
    doses = (Dose(salt("Ca(NO3)2·4H2O"), dose_g_l=15.0),)
    with pytest.raises(RefusedInput, match="at most 1:100"):
        plan_stocks(doses, RAIN, 200)
    assert plan_stocks(doses, RAIN, 10).holds


@pytest.mark.parametrize(("factor", "litres"), [(0, 1), (500, 1), (100, 0), (float("nan"), 1)])
def test_impossible_stocks_are_refused(factor: float, litres: float) -> None:
    """A stock weaker than the mix, one of 1:500, none at all."""
    with pytest.raises(RefusedInput):
        plan_stocks(HOAGLAND_DOSES, RAIN, factor, litres)
    with pytest.raises(RefusedInput):
        plan_stocks((), RAIN)
