"""Labels and doses: what holds for every feed, and what is refused."""

import math
from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.feed import Label, Strength, dose_for_nitrogen, elements_per_dose, read_label
from halfwater.science.formula import element_fractions, oxide_factor
from halfwater.science.spoons import TEASPOON_ML

SHARE = st.floats(0, 0.2)
DOSE = st.floats(0, 500)
NAMES = [part.name for part in fields(Strength)]


@st.composite
def labels(draw: st.DrawFn) -> Label:
    """Any sound label of a liquid, with its nitrogen split at random."""
    n, split = draw(SHARE), sorted((draw(st.floats(0, 1)), draw(st.floats(0, 1))))
    return Label(
        n_frac=n,
        p2o5_frac=draw(SHARE),
        k2o_frac=draw(SHARE),
        other_frac={"MgO": draw(SHARE), "Fe": draw(st.floats(0, 0.01))},
        density_kg_l=draw(st.floats(0.8, 1.6)),
        n_nitrate_frac=n * split[0],
        n_ammonium_frac=n * (split[1] - split[0]),
        n_urea_frac=n * (1 - split[1]),
    )


@given(labels(), DOSE, st.floats(0, 2))
def test_strength_is_linear_in_the_dose(label: Label, dose_ml_l: float, times: float) -> None:
    """Twice the dose is twice of everything, and no dose is nothing."""
    once = elements_per_dose(label, dose_ml_l=dose_ml_l)
    more = elements_per_dose(label, dose_ml_l=times * dose_ml_l)
    for name in NAMES:
        assert getattr(more, name) == pytest.approx(times * getattr(once, name), rel=1e-9, abs=1e-12)


@given(labels(), DOSE)
def test_nitrogen_forms_add_up_to_nitrogen(label: Label, dose_ml_l: float) -> None:
    """Nitrate, ammonium and urea nitrogen make up the nitrogen."""
    found = elements_per_dose(label, dose_ml_l=dose_ml_l)
    forms = (found.n_nitrate_mg_l, found.n_ammonium_mg_l, found.n_urea_mg_l)
    if None not in forms:
        assert sum(forms) == pytest.approx(found.n_mg_l, rel=1e-9, abs=1e-9)


@given(labels(), st.floats(0, 400))
def test_volume_and_weight_of_a_liquid_agree(label: Label, dose_ml_l: float) -> None:
    """A liquid dosed by weight brings what the same amount by volume brings."""
    assert label.density_kg_l is not None
    by_volume = elements_per_dose(label, dose_ml_l=dose_ml_l)
    by_weight = elements_per_dose(label, dose_g_l=dose_ml_l * label.density_kg_l)
    for name in NAMES:
        assert getattr(by_weight, name) == pytest.approx(getattr(by_volume, name), rel=1e-9, abs=1e-12)


@given(labels(), DOSE)
def test_conventions_differ_by_the_density(label: Label, dose_ml_l: float) -> None:
    """The same figures read as w/w and as w/v differ by the density, in every element."""
    assert label.density_kg_l is not None
    density = label.density_kg_l
    figures = {"n_frac": label.n_frac / 4, "k2o_frac": label.k2o_frac / 4}
    by_weight = elements_per_dose(Label(**figures, density_kg_l=density), dose_ml_l=dose_ml_l)
    by_volume = elements_per_dose(Label(**figures, basis="w/v"), dose_ml_l=dose_ml_l)
    assert by_weight.n_mg_l == pytest.approx(density * by_volume.n_mg_l, rel=1e-12)
    assert by_weight.k_mg_l == pytest.approx(density * by_volume.k_mg_l, rel=1e-12)


@given(labels(), st.floats(0, 400))
def test_an_element_never_outweighs_the_feed(label: Label, dose_g_l: float) -> None:
    """All elements together weigh no more than the feed that brought them."""
    found = elements_per_dose(label, dose_g_l=dose_g_l)
    elements = sum(getattr(found, name) for name in NAMES if not name.startswith("n_") or name == "n_mg_l")
    assert elements <= 1000 * dose_g_l + 1e-9


@given(labels(), labels(), st.floats(0, 100))
def test_strengths_add(one: Label, other: Label, dose_ml_l: float) -> None:
    """Two feeds in one litre bring the sum, whichever goes in first."""
    first, second = (elements_per_dose(label, dose_ml_l=dose_ml_l) for label in (one, other))
    assert (first + second).p_mg_l == first.p_mg_l + second.p_mg_l
    assert first + second == second + first


@given(labels(), st.floats(0.1, 300))
def test_dose_for_nitrogen_is_the_inverse(label: Label, n_mg_l: float) -> None:
    """The dose for a nitrogen strength brings that strength, by volume and by weight."""
    if label.n_frac < 0.001:
        return
    dose = dose_for_nitrogen(label, n_mg_l)
    assert elements_per_dose(label, dose_g_l=dose.dose_g_l).n_mg_l == pytest.approx(n_mg_l, rel=1e-9)
    assert dose.dose_ml_l is not None
    assert elements_per_dose(label, dose_ml_l=dose.dose_ml_l).n_mg_l == pytest.approx(n_mg_l, rel=1e-9)


def test_a_dry_feed_by_the_teaspoon_counts_its_weight() -> None:
    """A teaspoon a litre of a powder that weighs 5 g to the spoon is 5 g/L."""
    label = Label(n_frac=0.2, form="dry")
    spooned = elements_per_dose(label, dose_ml_l=TEASPOON_ML, teaspoon_g=5)
    assert spooned.n_mg_l == pytest.approx(elements_per_dose(label, dose_g_l=5).n_mg_l, rel=1e-12)


def test_forms_nobody_stated_are_unknown_not_nought() -> None:
    """Without forms on the label urea is None, and stays None in a sum; a feed without N has none."""
    silent = elements_per_dose(Label(n_frac=0.1, form="dry"), dose_g_l=1)
    assert silent.n_urea_mg_l is None
    assert (silent + Strength()).n_urea_mg_l is None
    assert elements_per_dose(Label(k2o_frac=0.1, form="dry"), dose_g_l=1).n_urea_mg_l == 0.0


def test_a_form_left_out_beside_others_is_nought() -> None:
    """Nitrate and ammonium that make up the nitrogen leave no urea; print rounding is spread over them."""
    label = Label(n_frac=0.155, n_nitrate_frac=0.144, n_ammonium_frac=0.012, form="dry")
    found = elements_per_dose(label, dose_g_l=1)
    assert found.n_urea_mg_l == 0.0
    assert found.n_nitrate_mg_l + found.n_ammonium_mg_l == pytest.approx(155)


def test_elements_and_oxides_on_one_label() -> None:
    """Magnesium stated as the element counts whole, calcium stated as lime by its oxide."""
    label = Label(other_frac={"Mg": 0.02, "CaO": 0.1}, form="dry")
    found = elements_per_dose(label, dose_g_l=1)
    assert found.mg_mg_l == pytest.approx(20)
    assert found.ca_mg_l == pytest.approx(100 * oxide_factor("CaO", "Ca"))


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ("9-3-6", (0.09, 0.03, 0.06)),
        (" 15,5 - 0 - 0 ", (0.155, 0.0, 0.0)),
        ("NPK 20–20–20", (0.2, 0.2, 0.2)),
        ("9/3/6 %", (0.09, 0.03, 0.06)),
        ("0.5-0-0.25", (0.005, 0.0, 0.0025)),
    ],
)
def test_labels_as_printed(text: str, figures: tuple[float, float, float]) -> None:
    """The ways a label is printed are read alike."""
    label = read_label(text)
    assert (label.n_frac, label.p2o5_frac, label.k2o_frac) == figures


def test_label_with_others() -> None:
    """Figures after a plus are read by their name."""
    assert read_label("12-12-17 + 2 MgO + 0,1Fe").other_frac == {"MgO": 0.02, "Fe": 0.001}


@pytest.mark.parametrize(
    "text", ["", "9-3", "9-3-6-1", "a-b-c", "-9-3-6", "9--3-6", "60-40-20", "nan-1-1", "1e3-0-0", None, 936,
             "9-3-6 + 2", "9-3-6 + 2 Xy", "9-3-6 + 2 MgO + 1 MgO", "9-3-6 + 2 MgO + 1 Mg", "9-3-6 + 2 P"]
)  # fmt: skip
def test_nonsense_labels_are_refused(text: object) -> None:
    """What is no label, adds up to too much or states an element twice is refused."""
    with pytest.raises(RefusedInput):
        read_label(text)


def test_too_much_on_a_label_says_how_much() -> None:
    """A label over 100 % is refused with its sum and what would be taken."""
    with pytest.raises(RefusedInput, match=r"120 % in all.*100 % or less"):
        read_label("60-40-20")


def test_potassium_chloride_is_no_nonsense() -> None:
    """Potassium chloride passes 100 % as K2O plus Cl though it is a true salt; its elements do not."""
    chloride = element_fractions("KCl")
    label = Label(
        k2o_frac=chloride["K"] / oxide_factor("K2O", "K"), other_frac={"Cl": chloride["Cl"]}, form="dry"
    )
    found = elements_per_dose(label, dose_g_l=1)
    assert found.k_mg_l + found.cl_mg_l == pytest.approx(1000)


def test_strong_w_v_label_needs_its_density() -> None:
    """Over 100 % w/v is possible only for a dense liquid whose density is known."""
    with pytest.raises(RefusedInput, match="density"):
        Label(n_frac=0.5, k2o_frac=0.6, basis="w/v")
    assert Label(n_frac=0.5, k2o_frac=0.6, basis="w/v", density_kg_l=1.5).n_frac == 0.5


def test_forms_that_do_not_add_up_are_refused() -> None:
    """Forms that make up another sum than the nitrogen are refused with the sum wanted."""
    with pytest.raises(RefusedInput, match=r"add up to the 9 % N"):
        Label(n_frac=0.09, n_nitrate_frac=0.03, n_urea_frac=0.03)


def test_liquid_without_density_says_what_is_accepted() -> None:
    """A w/w liquid dosed by volume asks for density, a w/v label or a dose by weight."""
    with pytest.raises(RefusedInput, match=r"1.2 kg/L.*w/v.*g/L") as refused:
        elements_per_dose(read_label("9-3-6"), dose_ml_l=2.6)
    assert refused.value.field == "density"
    assert elements_per_dose(read_label("9-3-6"), dose_g_l=1).n_mg_l == pytest.approx(90)


@pytest.mark.parametrize(
    "dose",
    [
        {},
        {"dose_ml_l": 1, "dose_g_l": 1},
        {"dose_ml_l": -1},
        {"dose_ml_l": math.nan},
        {"dose_ml_l": "2"},
        {"dose_ml_l": 1001},
        {"dose_g_l": math.inf},
    ],
)
def test_nonsense_doses_are_refused(dose: dict) -> None:
    """Missing, double, negative, nan, text and endless doses are refused."""
    with pytest.raises(RefusedInput):
        elements_per_dose(read_label("9-3-6", density_kg_l=1.2), **dose)


@pytest.mark.parametrize(
    "wrong",
    [
        {"n_frac": 9},
        {"n_frac": -0.1},
        {"n_frac": math.nan},
        {"form": "gas"},
        {"basis": "v/v"},
        {"form": "dry", "basis": "w/v"},
        {"density_kg_l": 0.0},
        {"density_kg_l": 12},
        {"other_frac": {"Mg": -0.1}},
        {"other_frac": {"Gold": 0.1}},
    ],
)
def test_impossible_labels_are_refused(wrong: dict) -> None:
    """A per cent given for a fraction, nan, negatives, unknown kinds and elements are refused."""
    with pytest.raises(RefusedInput):
        Label(**wrong)


def test_dry_by_volume_and_w_v_by_weight_need_their_figures() -> None:
    """A dry feed by volume asks for a spoon's weight, a w/v liquid by weight for its density."""
    with pytest.raises(RefusedInput, match="teaspoon"):
        elements_per_dose(Label(n_frac=0.2, form="dry"), dose_ml_l=1)
    with pytest.raises(RefusedInput, match=r"1\.2 kg/L"):
        elements_per_dose(Label(n_frac=0.2, basis="w/v"), dose_g_l=1)


def test_no_nitrogen_no_dose_for_it() -> None:
    """A feed without nitrogen cannot be dosed by nitrogen."""
    with pytest.raises(RefusedInput, match="holds nitrogen"):
        dose_for_nitrogen(Label(k2o_frac=0.3, form="dry"), 50)


@pytest.mark.parametrize("formula", ["", "Xx2", "MgSO4.7H2O", "K2(", "5-0-0"])
def test_unreadable_formulas_are_refused(formula: str) -> None:
    """Unknown elements and a full stop before crystal water are refused, never misread."""
    with pytest.raises(RefusedInput):
        element_fractions(formula)


@given(st.sampled_from(["KNO3", "Ca(NO3)2·4H2O", "MgSO4+7H2O", "P2O5", "CO(NH2)2"]))
def test_fractions_add_up_to_one(formula: str) -> None:
    """A compound is made of its elements and nothing else."""
    assert sum(element_fractions(formula).values()) == pytest.approx(1, rel=1e-12)


def test_an_oxide_without_the_element_is_refused() -> None:
    """There is no iron in lime."""
    with pytest.raises(RefusedInput, match="Ca"):
        oxide_factor("CaO", "Fe")
