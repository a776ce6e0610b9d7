"""The shelf, waters, targets and recipes as deeds: typed, kept, looked at."""

import pytest

from halfwater.book import changes, queries
from halfwater.deeds import meter, mix_build, shelf, source_water
from halfwater.deeds.mix_build import BuildAsked
from halfwater.deeds.mix_sheet import save_feed_sheet
from halfwater.errors import RefusedByBook, RefusedInput
from tests.deeds.nurseries import WHO, a_mix, a_nursery, a_tank, noted

pytestmark = pytest.mark.django_db
SALTS = ("Ca(NO3)2·4H2O", "KNO3", "KH2PO4", "MgSO4·7H2O")


@pytest.fixture(autouse=True)
def book() -> None:
    """A nursery with four salts on its shelf."""
    a_nursery()
    for formula in SALTS:
        typed = {"formula": formula, "pack_price": "5.00", "pack_size": "1 kg"}
        shelf.save_salt_sheet(typed, WHO)


def test_a_salt_sheet_names_what_it_knows() -> None:
    """A salt without a name takes the usual one; price and pack give what a gram costs."""
    rows = {row.feed.formula: row for row in shelf.shelf()}
    assert rows["MgSO4·7H2O"].name == "Epsom salt"
    assert all(
        row.is_salt and row.item.pack_minor == 500 and row.item.pack_g == 1000.0 for row in rows.values()
    )


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"formula": "Xy7Q"}, "formula"),
        ({"formula": ""}, "formula"),
        ({"formula": "KNO3", "purity": "140 %"}, "purity"),
        ({"formula": "KNO3", "pack_price": "5.00"}, "pack_size"),
        ({"formula": "KNO3", "pack_price": "5.00", "pack_size": "some"}, "pack_size"),
    ],
)
def test_a_bad_salt_sheet_is_refused(typed: dict[str, str], field: str) -> None:
    """The field is named, and the shelf stays as it was."""
    with pytest.raises(RefusedInput) as refused:
        shelf.save_salt_sheet(typed, WHO)
    assert refused.value.field == field
    assert len(shelf.shelf()) == len(SALTS)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("CuSO4.5H2O", "CuSO4·5H2O"),
        ("CuSO4 * 5 H2O", "CuSO4·5H2O"),
        ("CuSO4 x 5H2O", "CuSO4·5H2O"),
        ("CuSO4x5H2O", "CuSO4·5H2O"),
        ("CuSO4 · 5 H2O", "CuSO4·5H2O"),
        ("CuSO4 pentahydrate", "CuSO4·5H2O"),
        ("MnSO4 Monohydrate", "MnSO4·H2O"),
        ("K2SO4 anhydrous", "K2SO4"),
        ("5Ca(NO3)2.NH4NO3.10H2O", "5Ca(NO3)2·NH4NO3·10H2O"),
    ],
)
def test_crystal_water_as_growers_write_it(typed: str, kept: str) -> None:
    """A stop, a star, an x, blanks or a word before the crystal water: one formula is kept."""
    key = shelf.save_salt_sheet({"salt_name": "other", "formula": typed}, WHO)
    assert [row.feed.formula for row in shelf.shelf() if row.key == key] == [kept]


def test_what_is_used_up_is_not_mixed_from() -> None:
    """A feed that is not at hand stays in the book and off the shelf."""
    typed = {"label": "9-3-6", "form": "liquid", "density": "1.2 kg/L", "feed_name": "Leaf",
             "pack_price": "12.00", "pack_size": "500 mL", "at_hand": "no"}  # fmt: skip
    save_feed_sheet(typed, WHO)
    assert "Leaf" not in [row.name for row in shelf.shelf()]
    (row,) = [row for row in shelf.shelf(at_hand=False) if row.name == "Leaf"]
    assert (row.item.pack_minor, row.item.pack_ml) == (1200, 500.0)


def test_a_recipe_for_strengths_is_met_from_salts() -> None:
    """Four salts meet six strengths that are consistent, in rain water, and the cost follows the prices."""
    asked = BuildAsked(strengths="N-NO3 50, K 40, Ca 40, P 6", water="rain", volume="10 L")
    built = mix_build.build_mix(asked)
    held = {line.what: line.in_all_mg_l for line in built.recipe.look.strengths}
    assert held["Ca"] == pytest.approx(40.0, rel=0.25)
    grams = sum(part.amount_g or 0.0 for part in built.recipe.parts)
    assert built.recipe.look.cost_minor == pytest.approx(0.5 * grams / 10.0, rel=1e-6)
    assert built.water_name == "rain"


def test_a_published_target_by_the_beginning_of_its_name() -> None:
    """A quarter of a published solution; a beginning that several have is refused with the names."""
    names = [kept.target.name for kept in mix_build.targets()]
    built = mix_build.build_mix(BuildAsked(target=names[0], part="1/4", water="purified"))
    assert built.recipe.target.name == f"{names[0]}, 25 %"
    with pytest.raises(RefusedInput, match="one of"):
        mix_build.build_mix(BuildAsked(target="H"))


def test_a_kept_recipe_is_a_mix_like_any_other() -> None:
    """Its doses stand in the book, and looked at it holds what the recipe held."""
    asked = BuildAsked(strengths="N 50, K 40, Mg 10, P 8", water="rain")
    built = mix_build.build_mix(asked)
    mix_build.keep_recipe(asked, "From salts", "night", WHO)
    (mix,) = queries.mixes()
    assert len(mix.parts) == len(built.recipe.parts)
    look = mix_build.look_at("From salts", "rain")
    assert look.ec.rule == "ions"
    assert look.ec.ec_ms_cm == pytest.approx(built.recipe.look.ec.ec_ms_cm, rel=1e-6)
    assert [one.name for one in mix_build.compare(water="rain")] == ["From salts"]


def test_stocks_of_a_mix_keep_calcium_apart() -> None:
    """Calcium nitrate stands in A, phosphate and sulphate in B."""
    asked = BuildAsked(strengths="N-NO3 50, K 40, Ca 30, P 8, Mg 10, S 13", water="rain")
    plan = mix_build.stocks_of(asked, "1:100", "0.5 L")
    bottles = {stock.name: {part.name for part in stock.parts} for stock in plan.stocks}
    (with_calcium,) = [parts for parts in bottles.values() if "Calcium nitrate" in parts]
    assert not with_calcium & {"Monopotassium phosphate", "Epsom salt"}
    assert plan.factor == 100


def test_an_own_target_is_typed_and_found() -> None:
    """Millimoles are kept as milligrams, weights stay, and the name finds it."""
    typed = {"target_name": "Mild", "strengths": "K 1, N-NO3 2 x3", "unit": "mmol/L"}
    key = mix_build.save_target_sheet(typed, WHO)
    mine = mix_build.targets()[0]
    assert mine.key == key
    assert [(one.what, round(one.strength_mg_l, 2), one.weight) for one in mine.target.wanted] == [
        ("K", 39.1, 1.0),
        ("N-NO3", 28.01, 3.0),
    ]
    with pytest.raises(RefusedInput):
        mix_build.save_target_sheet({"target_name": "None", "strengths": "lots"}, WHO)


def test_waters_are_named_and_blended() -> None:
    """Ours by default; a blend adds by volume; what nobody knows is refused with what would do."""
    assert source_water.water_named().ec_ms_cm == source_water.UNKNOWN.ec_ms_cm
    source_water.save_water_sheet({"water_name": "Tap", "water_ec": "0.5", "ours": "on"}, WHO)
    assert source_water.water_named().ec_ms_cm == 0.5
    assert source_water.water_named("40 % Tap + 60 % rain").ec_ms_cm == pytest.approx(0.2, abs=0.02)
    for bad in ("Lake", "50 % Tap + 20 % rain"):
        with pytest.raises(RefusedInput):
            source_water.water_named(bad)


def test_a_wrong_ph_is_refused_beside_its_own_field() -> None:
    """A pH of 15 is no fault of the EC."""
    with pytest.raises(RefusedInput) as refused:
        source_water.save_water_sheet({"water_name": "Odd", "ph": "15", "water_ec": "0.4"}, WHO)
    assert refused.value.field == "ph"
    assert "Odd" not in [kept.water.name for kept in source_water.waters()]


def test_a_water_sheet_is_held_to_what_water_can_be() -> None:
    """A negative alkalinity is refused at its field; an analysis gives hardness in words."""
    with pytest.raises(RefusedInput) as refused:
        source_water.save_water_sheet({"water_name": "Tap", "alkalinity": "-40"}, WHO)
    assert refused.value.field == "alkalinity"
    typed = {"water_name": "Tap", "alkalinity": "150", "ca": "60", "mg": "10", "ph": "7.6"}
    view = source_water.water_view(source_water.save_water_sheet(typed, WHO))
    # 60 mg Ca and 10 mg Mg in a litre are 191 mg/L as CaCO3
    assert view.hardness_mg_l == pytest.approx(191.0, abs=1.0)
    assert "hard" in view.said


def test_meter_checks_put_readings_right_from_then_on() -> None:
    """The newest usable check before a reading decides; one too far off corrects nothing."""
    noted("meter", "", "1.35 of 1.413", "2026-11-01 12:00")
    noted("meter", "", "0.70 of 1.413", "2026-11-10 12:00")
    newest, first = meter.meter_checks()
    assert (newest.is_in_force, first.is_in_force) == (False, True)
    factor = meter.corrections()
    assert factor(newest.at) == pytest.approx(1.413 / 1.35, rel=1e-3)
    assert factor(first.at.replace(month=10)) == 1.0
    assert meter.judged("1.41 of 1.413").is_usable


@pytest.mark.parametrize(
    "typed", ["1380 of 1413", "1380 of 1413 uS/cm", "1380 µS/cm of 1413 µS/cm", "1380 uS in 1413 at 25 C"]
)
def test_a_check_told_in_microsiemens(typed: str) -> None:
    """The bottle says 1413: it is read as 1.413 mS/cm, and a small standard by its unit."""
    found = meter.judged(typed)
    assert (found.read_ms_cm, found.standard_ms_cm) == (1.38, 1.413)
    assert meter.judged("82 of 84 uS/cm").standard_ms_cm == 0.084


@pytest.mark.parametrize(
    ("kind", "typed"),
    [("ec", "25 mS/cm"), ("ec", "25000 uS/cm"), ("meter", "25 of 12.88"), ("meter", "1.38 of 42")],
)
def test_what_no_meter_shows_is_refused_when_noted(kind: str, typed: str) -> None:
    """A reading beyond a meter's 20 mS/cm is refused at once, not kept and passed over."""
    a_tank()
    with pytest.raises(RefusedInput, match="20 mS/cm") as refused:
        noted(kind, "North" if kind == "ec" else "", typed)
    assert refused.value.field == kind


def test_an_empty_book_says_what_it_needs() -> None:
    """No mix to compare, nothing on the shelf, no target typed."""
    with pytest.raises(RefusedByBook, match="no mix"):
        mix_build.compare()
    with pytest.raises(RefusedInput, match="strengths such as"):
        mix_build.build_mix(BuildAsked())
    for row in shelf.shelf():
        changes.save_feed(row.key, who=WHO, is_at_hand=False)
    with pytest.raises(RefusedByBook, match="shelf is empty"):
        mix_build.build_mix(BuildAsked(strengths="N 50"))


def test_a_labelled_mix_is_looked_at_too() -> None:
    """A feed by its label gives a wider EC and says that its ions are not known."""
    a_mix()
    look = mix_build.look_at("night")
    assert look.ec.rule != "ions"
    assert look.ec.ec_low_ms_cm < look.ec.ec_ms_cm < look.ec.ec_high_ms_cm
