"""Ions, salts by formula, PHREEQC behind its guard, meters, and amounts that come nearest."""

import math
from itertools import product

import numpy as np
import phreeqpython
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from halfwater.errors import RefusedInput
from halfwater.science import chemistry
from halfwater.science.chemistry import (
    ec_of_ions,
    fallen_out,
    knows_feeds,
    minerals,
    open_database,
    speciate,
)
from halfwater.science.conductivity import (
    check_meter,
    corrected_ec,
    ec_at_25,
    ec_from_meter,
    meter_figure,
    temperature_slope,
)
from halfwater.science.feed import Label, elements_per_dose
from halfwater.science.formula import element_fractions
from halfwater.science.hardness import carbonate_ions, hardness_of
from halfwater.science.ions import added_ions, charges_of, ion_sum_ec, ion_table, made_even, scaled_ions
from halfwater.science.recipe import nearest_amounts
from halfwater.science.salts import anhydrous, dissolved_salt, salt_ions, salt_mass
from halfwater.science.solubility import most_dissolved
from halfwater.science.strengths import field_of, label_ions, strength_of

SALTS = [
    "KNO3", "Ca(NO3)2·4H2O", "5Ca(NO3)2·NH4NO3·10H2O", "MgSO4·7H2O", "Mg(NO3)2·6H2O", "KH2PO4", "K2HPO4",
    "NH4H2PO4", "(NH4)2SO4", "NH4NO3", "K2SO4", "KCl", "CaCl2·2H2O", "CaSO4·2H2O", "FeSO4·7H2O", "FeCl3·6H2O",
    "MnSO4·4H2O", "MnCl2·4H2O", "ZnSO4·7H2O", "CuSO4·5H2O", "H3BO3", "Na2MoO4·2H2O", "(NH4)6Mo7O24·4H2O",
    "H2MoO4·H2O", "CO(NH2)2", "Na2B4O7·10H2O", "K2SiO3", "HNO3", "H3PO4", "KOH", "Ca(OH)2", "CoCl2·6H2O",
    "NH4Fe(SO4)2·12H2O", "K2CO3", "KHCO3",
]  # fmt: skip
UNREAD = [
    "",
    " ",
    "KNO",
    "Xy",
    "KSO4",
    "Ca(NO3",
    "CaN2O6",
    "MgSO4.7H2O",
    "Fe",
    "KNO3)",
    "2",
    "Ca(NO3)2 4 H2O x",
]
HOAGLAND = added_ions(
    *(scaled_ions(salt_ions(f), n) for f, n in (("KNO3", 5), ("Ca(NO3)2", 5), ("KH2PO4", 1), ("MgSO4", 2)))
)


@pytest.mark.parametrize("formula", SALTS)
def test_a_salt_is_even_and_holds_its_elements(formula: str) -> None:
    """Each salt's charges cancel, and its ions bring the share of each element that its formula has."""
    assert charges_of(salt_ions(formula)).off_frac == pytest.approx(0, abs=1e-12)
    brought = strength_of(dissolved_salt(formula, 1.0))
    if formula.startswith("5Ca"):
        return  # its leading number is read by ours alone
    for element, share in element_fractions(formula).items():
        if element in ("H", "O", "C"):
            continue
        assert getattr(brought, field_of(element)) == pytest.approx(1000 * share, rel=1e-9)


def test_commercial_calcium_nitrate_is_the_double_salt() -> None:
    """5Ca(NO3)2·NH4NO3·10H2O holds 15.5 % N, 1.3 % of it ammonium, and 18.5 % Ca, as its label says."""
    found = strength_of(dissolved_salt("5Ca(NO3)2·NH4NO3·10H2O", 1.0))
    assert found.n_mg_l == pytest.approx(155.5, abs=0.5)
    assert found.n_ammonium_mg_l == pytest.approx(13, abs=0.5)
    assert found.ca_mg_l == pytest.approx(185.5, abs=0.5)


def test_hydrate_and_purity_count() -> None:
    """Half of Epsom salt is water; a salt of 90 % brings 0.9 of what the pure one brings."""
    dry, wet = dissolved_salt("MgSO4", 1.0)["Mg+2"], dissolved_salt("MgSO4·7H2O", 1.0)["Mg+2"]
    assert wet / dry == pytest.approx(120.37 / 246.47, rel=1e-3)
    assert dissolved_salt("KNO3", 1.0, 0.9)["K+"] == pytest.approx(0.9 * dissolved_salt("KNO3", 1.0)["K+"])


@pytest.mark.parametrize("formula", ["NaFeEDTA·3H2O", "C10H12FeN2NaO8·3H2O"])
def test_chelated_iron_is_held(formula: str) -> None:
    """Iron in EDTA stays in its grip: one charge, 13.3 % Fe, no free iron to rust."""
    assert dict(salt_ions(formula)) == {"Na+": 1, "FeEDTA-": 1}
    assert strength_of(dissolved_salt(formula, 1.0)).fe_mg_l == pytest.approx(132.6, abs=0.5)


@pytest.mark.parametrize("formula", UNREAD)
def test_a_formula_that_does_not_parse_is_refused(formula: str) -> None:
    """What is no salt is refused with the formulas that would be taken."""
    with pytest.raises(RefusedInput) as refused:
        salt_ions(formula)
    assert "KNO3" in refused.value.accepted


def test_ways_to_write_a_hydrate() -> None:
    """Raised dot, plus, lowered figures and blanks are read alike."""
    masses = {
        round(salt_mass(text), 9) for text in ("MgSO4·7H2O", "MgSO4 + 7 H2O", "MgSO₄·7H₂O", "MgSO4*7H2O")
    }
    assert len(masses) == 1
    assert anhydrous("MgSO₄·7H₂O") == "MgSO4"


@given(st.dictionaries(st.sampled_from(sorted(ion_table())), st.floats(0, 50), max_size=6))
@settings(max_examples=40, deadline=None)
def test_made_even_is_even_and_adds_one_ion(ions: dict[str, float]) -> None:
    """Whatever an analysis lacks, the result is even, and only sodium or chloride is added."""
    even = made_even(ions)
    charges = charges_of(even.ions)
    assert charges.cations_meq_l == pytest.approx(charges.anions_meq_l, abs=1.01e-6)
    for symbol, amount in ions.items():
        if symbol != even.added:
            assert even.ions.get(symbol, 0.0) == amount


@given(st.floats(0.01, 1), st.sampled_from(["KNO3", "KCl", "Ca(NO3)2", "MgSO4", "K2SO4", "NH4NO3", "NaCl"]))
@settings(max_examples=30, deadline=None)
def test_the_sum_of_ions_is_an_upper_bound_only(mmol: float, salt: str) -> None:
    """The plain sum of ions is never below PHREEQC, the less so the stronger the solution."""
    weak, strong = scaled_ions(salt_ions(salt), mmol), scaled_ions(salt_ions(salt), 20 * mmol)
    water = ec_of_ions({})  # PHREEQC counts what water itself conducts, the sum does not
    assert ion_sum_ec(weak) >= (ec_of_ions(weak) - water) * 0.995  # and holds slightly other mobilities
    assert ion_sum_ec(strong) > ec_of_ions(strong)
    assert ion_sum_ec(strong) / ec_of_ions(strong) > ion_sum_ec(weak) / ec_of_ions(weak) - 1e-3


def test_urea_conducts_nothing() -> None:
    """No meter sees urea: alone it conducts nothing, beside salts it changes nothing."""
    assert ec_of_ions({"urea": 20.0}) == pytest.approx(0, abs=1e-4)
    assert ec_of_ions({**HOAGLAND, "urea": 20.0}) == pytest.approx(ec_of_ions(HOAGLAND), rel=1e-9)


def test_pitzer_is_refused_and_found_out() -> None:
    """pitzer.dat is refused by name; and a database without nitrogen is found out by what it loses."""
    with pytest.raises(RefusedInput, match=r"phreeqc\.dat"):
        open_database("pitzer.dat")
    assert not knows_feeds(phreeqpython.PhreeqPython(database="pitzer.dat"))
    assert knows_feeds(open_database())


def test_chemistry_is_the_only_door_to_phreeqc() -> None:
    """PHREEQC is loaded late: importing the module does not import the library's name into it."""
    assert not hasattr(chemistry, "phreeqpython")


def test_ph_of_known_solutions() -> None:
    """0.001 mol/L nitric acid is pH 3.0, potassium hydroxide 11, pure water 7 and 5.6 in the air."""
    assert speciate({"H+": 1.0, "NO3-": 1.0}).ph == pytest.approx(3.0, abs=0.03)
    assert speciate({"K+": 1.0, "OH-": 1.0}).ph == pytest.approx(11.0, abs=0.05)
    assert speciate({}).ph == pytest.approx(7.0, abs=0.01)
    assert speciate({}, has_air=True).ph == pytest.approx(5.6, abs=0.05)


def test_uneven_ions_are_refused() -> None:
    """PHREEQC would make up any missing charge with acid: so uneven ions never reach it."""
    with pytest.raises(RefusedInput, match="even"):
        ec_of_ions({"K+": 1.0})


def test_gypsum_dissolves_as_much_as_it_does() -> None:
    """A litre holds about 15 mmol of gypsum at 25 °C; ten more fall out as ten more."""
    ions = {"Ca+2": 25.0, "SO4-2": 25.0}
    left = 25.0 - fallen_out(ions, "Gypsum") / salt_mass("CaSO4·2H2O")
    assert left == pytest.approx(15.4, abs=0.6)
    more = {"Ca+2": 35.0, "SO4-2": 35.0}
    assert 35.0 - fallen_out(more, "Gypsum") / salt_mass("CaSO4·2H2O") == pytest.approx(left, abs=0.05)
    table = most_dissolved("CaSO4·2H2O", 25)
    assert table is not None
    assert left * salt_mass("CaSO4·2H2O") / 1000 == pytest.approx(table, rel=0.05)


def test_after_falling_out_it_is_saturated() -> None:
    """What is left of a clotting stock stands at an index of 0, for each mineral that falls out."""
    strong = scaled_ions(HOAGLAND, 50)
    for name, mineral in minerals().items():
        taken = fallen_out(strong, name) / salt_mass(mineral.formula)
        if not taken:
            continue
        removed = {ion: count * taken for ion, count in mineral.takes.items()}
        if name == "Gypsum":
            left = {ion: amount - removed.get(ion, 0.0) for ion, amount in strong.items()}
            assert speciate(left).indices[name] == pytest.approx(0, abs=0.01)


def test_hard_water_leaves_lime_in_the_air() -> None:
    """Hard water is near balance as drawn and far over it once its carbon dioxide has gone."""
    ions = made_even({"Ca+2": 2.5, **carbonate_ions(220, 7.2)}).ions
    drawn, stood = speciate(ions), speciate(ions, has_air=True)
    assert stood.ph > drawn.ph + 0.7
    assert stood.indices["Calcite"] > drawn.indices["Calcite"] + 0.7
    assert fallen_out(ions, "Calcite", has_air=True) > 100


def test_struvite_needs_ammonium() -> None:
    """Magnesium, ammonium and phosphate clot when it is not acid; without ammonium struvite cannot be."""
    base = {"Mg+2": 5.0, "NH4+": 10.0, "HPO4-2": 10.0}
    assert speciate(base).indices["Struvite"] > 0
    assert "Struvite" not in speciate({"Mg+2": 5.0, "K+": 10.0, "HPO4-2": 10.0}).indices


@pytest.mark.parametrize("ph", [5.0, 6.5, 7.4, 8.3, 9.4])
def test_carbonate_keeps_its_alkalinity_and_ph(ph: float) -> None:
    """Alkalinity is all there again as charge, and PHREEQC finds the pH that was put in."""
    ions = carbonate_ions(150, ph)
    assert ions["HCO3-"] + 2 * ions["CO3-2"] == pytest.approx(150 / 50.043)
    assert speciate(made_even(ions).ions).ph == pytest.approx(ph, abs=0.15)  # pK without activities


def test_negative_alkalinity_is_refused() -> None:
    """Alkalinity under nought is no alkalinity."""
    with pytest.raises(RefusedInput, match="alkalinity"):
        carbonate_ions(-5, 7)


def test_silent_labels_need_a_share_of_urea() -> None:
    """A label without its forms of nitrogen becomes ions only once a share of urea is named."""
    strength = elements_per_dose(Label(n_frac=0.2, form="dry"), dose_g_l=1)
    with pytest.raises(RefusedInput, match="forms"):
        label_ions(strength)
    assert label_ions(strength, 1.0) == pytest.approx({"urea": 200 / 28.014}, rel=1e-4)
    assert label_ions(strength, 0.0)["NO3-"] == label_ions(strength, 0.0)["NH4+"]


@pytest.mark.parametrize(("call", "field"), [
    (lambda: ec_at_25(1413, 25), "EC reading"), (lambda: ec_at_25(1, 60), "temperature"),
    (lambda: ec_from_meter(500, 600), "meter scale"), (lambda: meter_figure(-1, 500), "EC reading"),
    (lambda: check_meter(1413, 1.4), "standard"), (lambda: check_meter(1.413, math.nan), "EC reading"),
    (lambda: check_meter(1.413, 1.3, has_compensation=False), "temperature"),
    (lambda: temperature_slope(1, 1, 25), "temperature"), (lambda: temperature_slope(0, 1, 20), "EC at 25 C"),
    (lambda: hardness_of(-1, 0), "hardness ion"), (lambda: speciate({"K": 1}), "ion"),
    (lambda: speciate({"K+": -1}), "strength of an ion"), (lambda: speciate({}, 90), "temperature"),
    (lambda: fallen_out({}, "Quartz"), "mineral"), (lambda: dissolved_salt("KNO3", 1, 98), "purity"),
    (lambda: most_dissolved("KNO3", 60), "temperature"), (lambda: field_of("Xy"), "element"),
])  # fmt: skip
def test_bad_input_is_refused_by_name(call: object, field: str) -> None:
    """A reading out of the meter's range, an unknown ion, a purity in per cent: refused, and named."""
    with pytest.raises(RefusedInput) as refused:
        call()  # type: ignore[operator]
    assert refused.value.field == field


def test_meter_far_off_is_cleaned_not_corrected() -> None:
    """A meter a third off gets no factor; one 6 % off does."""
    assert not check_meter(1.413, 0.94).is_usable
    assert check_meter(1.413, 0.94).correction_factor == 1.0
    assert check_meter(1.413, 1.328).correction_factor == pytest.approx(1.064, abs=1e-3)


def test_meter_without_compensation_is_judged_at_its_temperature() -> None:
    """At 20 °C a true meter without compensation reads the 1413 standard as 1.278, and is told right."""
    found = check_meter(1.413, 1.2787, 20, has_compensation=False)
    assert found.off_frac == pytest.approx(0, abs=2e-3)
    assert found.spread_frac > check_meter(1.413, 1.413).spread_frac


def test_checks_count_for_what_comes_after() -> None:
    """Each reading takes the last check before it, in whatever order they were noted; earlier ones none."""
    found = corrected_ec([1.0, 1.0, 1.0, 1.0], [1.0, 5.0, 9.0, 9.5], [9.0, 4.0], [0.9, 1.1])
    assert found.tolist() == [1.0, 1.1, 0.9, 0.9]
    assert corrected_ec([1.0], [3.0], [], []).tolist() == [1.0]


def test_nearest_amounts_agree_with_another_solver() -> None:
    """The amounts are those of scipy's bounded least squares on the same shares."""
    rng = np.random.default_rng(5)
    for _ in range(20):
        brings = rng.uniform(0, 200, (6, 5)) * (rng.random((6, 5)) < 0.6)
        wanted = rng.uniform(10, 200, 6)
        weight = rng.uniform(0.5, 2, 6)
        found = nearest_amounts(brings, wanted, wanted, weight, np.zeros(5))
        matrix = brings * (weight / wanted)[:, None]
        other = lsq_linear(matrix, weight, (0, np.inf), tol=1e-12).x
        ours, theirs = (np.linalg.norm(matrix @ x - weight) for x in (found, other))
        assert ours <= theirs + 1e-6


def test_nearest_amounts_beat_a_grid() -> None:
    """No mix on a fine grid of amounts comes nearer."""
    brings = np.array([[100.0, 0.0, 30.0], [20.0, 150.0, 60.0], [0.0, 10.0, 90.0]])
    wanted = np.array([80.0, 120.0, 40.0])
    found = nearest_amounts(brings, wanted, wanted, np.ones(3), np.zeros(3))
    grid = np.array(list(product(np.linspace(0, 1.2, 25), repeat=3)))
    misses = np.linalg.norm((grid @ brings.T - wanted) / wanted, axis=1)
    assert np.linalg.norm((brings @ found - wanted) / wanted) <= misses.min() + 1e-9


def test_among_equals_the_less_disliked_is_taken() -> None:
    """Two things that bring the same: the cheaper is taken; without a price any of them will do."""
    brings = [[100.0, 100.0]]
    assert nearest_amounts(brings, [50.0], [50.0], [1.0], [5.0, 1.0])[1] == pytest.approx(0.5, rel=1e-3)
    assert nearest_amounts(brings, [50.0], [50.0], [1.0], [1.0, 5.0])[0] == pytest.approx(0.5, rel=1e-3)
