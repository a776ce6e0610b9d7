"""Labels, oxides and doses against published numbers."""

import pytest

from halfwater.science.feed import Label, dose_for_nitrogen, elements_per_dose, read_label
from halfwater.science.formula import element_fractions, oxide_factor
from halfwater.science.spoons import TEASPOON_ML, spoons

GALLON_L = 3.785411784  # nist-hb44, appendix C, exact
OUNCE_G = 28.349523125  # nist-hb44, appendix C, exact
POUND_KG = 0.45359237  # nist-sp811, appendix B, exact
OUNCE_PER_100_GAL_G_L = OUNCE_G / (100 * GALLON_L)  # nist-hb44: the two lines above

# vce-spes-201, table 1 as printed, and the same with today's masses (iupac-2021); SO3 is not printed there.
OXIDES = [
    ("P2O5", "P", 0.4365, 0.43643),
    ("K2O", "K", 0.8301, 0.83015),
    ("MgO", "Mg", 0.6032, 0.60304),
    ("CaO", "Ca", 0.7147, 0.71470),
    ("SO4", "S", 0.3339, 0.33376),
    ("SO3", "S", None, 0.40046),
    ("NO3", "N", None, 0.22590),
    ("NH4", "N", None, 0.77648),
]

# vce-spes-201, table 1 as printed
SALTS_PRINTED = [
    ("KCl", "K", 0.5244),
    ("KCl", "Cl", 0.4756),
    ("K2SO4", "K", 0.4487),
    ("K2SO4", "S", 0.1840),
]

# iupac-2021: mass per cent recomputed with a general library
SALTS = [
    ("KNO3", {"K": 38.672, "N": 13.854}),
    ("Ca(NO3)2·4H2O", {"Ca": 16.972, "N": 11.863}),
    ("KH2PO4", {"K": 28.731, "P": 22.761}),
    ("MgSO4·7H2O", {"Mg": 9.861, "S": 13.008}),
    ("K2SO4", {"K": 44.875, "S": 18.399}),
    ("NH4NO3", {"N": 34.999}),
    ("CO(NH2)2", {"N": 46.646}),
]

# priors, Mixes: mg/L N of 1 tsp/gal at 4 and at 6 g to the teaspoon
SPOON_OF_DRY = [
    (0.10, 106, 159),
    (0.15, 159, 238),
    (0.20, 211, 317),
    (0.24, 254, 380),
]


@pytest.mark.parametrize(("oxide", "element", "printed", "exact"), OXIDES)
def test_oxides_hold_what_the_table_says(
    oxide: str, element: str, printed: float | None, exact: float
) -> None:
    """Oxide factors are the published ones; the table's older atomic masses differ by up to 5e-4."""
    assert oxide_factor(oxide, element) == pytest.approx(exact, rel=1e-4)
    if printed is not None:
        assert oxide_factor(oxide, element) == pytest.approx(printed, rel=5e-4)


@pytest.mark.parametrize(("salt", "element", "printed"), SALTS_PRINTED)
def test_printed_salts_hold_what_the_table_says(salt: str, element: str, printed: float) -> None:
    """Salts hold the printed share of their element; older atomic masses differ by up to 5e-4."""
    assert element_fractions(salt)[element] == pytest.approx(printed, rel=5e-4)


def test_lime_in_carbonate() -> None:
    """Calcium carbonate counts as 0.5603 of lime (vce-spes-201, table 1; half the last digit)."""
    lime = element_fractions("CaCO3")["Ca"] / oxide_factor("CaO", "Ca")
    assert lime == pytest.approx(0.5603, abs=5e-5)


@pytest.mark.parametrize(("salt", "shares"), SALTS)
def test_salts_hold_their_elements(salt: str, shares: dict[str, float]) -> None:
    """Every salt of a hobbyist's shelf holds its elements by mass, crystal water counted."""
    for element, per_cent in shares.items():
        assert 100 * element_fractions(salt)[element] == pytest.approx(per_cent, rel=2e-4)


@pytest.mark.parametrize(
    ("label", "ounces"),
    [("20-20-20", 13.5), ("15-15-15", 18.0)],  # umass-fertcalc
)
def test_dry_label_by_the_ounce(label: str, ounces: float) -> None:
    """Both of the page's feeds bring "200 ppm N": 202.21 mg/L without its rounding."""
    strength = elements_per_dose(read_label(label, form="dry"), dose_g_l=ounces * OUNCE_PER_100_GAL_G_L)
    assert strength.n_mg_l == pytest.approx(202.21, rel=1e-4)
    assert round(strength.n_mg_l, -2) == 200


def test_dry_label_gives_elements_not_oxides() -> None:
    """13.5 oz of 20-20-20 in 100 gal brings P and K as elements (umass-fertcalc; vce-spes-201)."""
    strength = elements_per_dose(read_label("20-20-20", form="dry"), dose_g_l=13.5 * OUNCE_PER_100_GAL_G_L)
    assert strength.p_mg_l == pytest.approx(88.25, rel=1e-3)
    assert strength.k_mg_l == pytest.approx(167.87, rel=1e-3)


def test_rule_of_75() -> None:
    """An ounce in 100 gal is 75 ppm at 100 % (tamu-ipm; exactly 74.8915, so the rule is good to 0.2 %)."""
    whole = elements_per_dose(Label(n_frac=1.0, form="dry"), dose_g_l=OUNCE_PER_100_GAL_G_L).n_mg_l
    assert whole == pytest.approx(74.8915, abs=5e-5)
    assert whole == pytest.approx(75, rel=2e-3)


def test_calcium_nitrate_by_the_ounce() -> None:
    """Of 15 % N an ounce gives 11.23 (printed 11.25), and 250 ppm needs 22.25 oz (tamu-ipm: "22")."""
    label = Label(n_frac=0.15, form="dry")
    one = elements_per_dose(label, dose_g_l=OUNCE_PER_100_GAL_G_L).n_mg_l
    assert one == pytest.approx(11.23, abs=5e-3)
    assert one == pytest.approx(11.25, rel=2e-3)
    dose_g_l = dose_for_nitrogen(label, 250).dose_g_l
    assert dose_g_l is not None
    assert dose_g_l / OUNCE_PER_100_GAL_G_L == pytest.approx(22.25, abs=5e-3)


def test_misprinted_product_is_not_copied() -> None:
    """33 % N gives 24.7 mg/L an ounce, not the 29.75 that tamu-ipm prints twice; 200 ppm needs 8.09 oz."""
    label = Label(n_frac=0.33, form="dry")
    one = elements_per_dose(label, dose_g_l=OUNCE_PER_100_GAL_G_L).n_mg_l
    assert one == pytest.approx(24.75, rel=2e-3)  # the rule of 75 done right
    assert abs(one - 29.75) > 5
    dose_g_l = dose_for_nitrogen(label, 200).dose_g_l
    assert dose_g_l is not None
    assert dose_g_l / OUNCE_PER_100_GAL_G_L == pytest.approx(8.09, abs=5e-3)


def test_liquid_by_weight_with_its_density() -> None:
    """28 % N at 10.6 lb/gal: 2.97 lb N a gallon, 1.2702 kg/L, 355.6 mg/L N from 1 mL/L (camberato-2023)."""
    density_kg_l = 10.6 * POUND_KG / GALLON_L
    assert density_kg_l == pytest.approx(1.2702, abs=5e-5)
    label = read_label("28-0-0", density_kg_l=density_kg_l)
    one = elements_per_dose(label, dose_ml_l=1)
    assert one.n_mg_l == pytest.approx(355.6, rel=1e-3)
    pounds_a_gallon = one.n_mg_l / 1e6 / POUND_KG * 1000 * GALLON_L
    assert pounds_a_gallon == pytest.approx(2.968, abs=5e-4)
    assert round(pounds_a_gallon, 2) == 2.97


def test_label_conventions_differ_by_the_density() -> None:
    """The same 28 % read as w/v gives 280 mg/L: the conventions differ by the density (camberato-2023)."""
    density_kg_l = 10.6 * POUND_KG / GALLON_L
    by_weight = elements_per_dose(read_label("28-0-0", density_kg_l=density_kg_l), dose_ml_l=1).n_mg_l
    by_volume = elements_per_dose(read_label("28-0-0", basis="w/v"), dose_ml_l=1).n_mg_l
    assert by_volume == pytest.approx(280, rel=1e-12)
    assert by_weight / by_volume == pytest.approx(density_kg_l, rel=1e-12)
    assert by_weight / by_volume == pytest.approx(1.27, abs=5e-3)


@pytest.mark.parametrize(("n_frac", "at_4_g", "at_6_g"), SPOON_OF_DRY)
def test_teaspoon_of_dry_feed(n_frac: float, at_4_g: float, at_6_g: float) -> None:
    """A teaspoon a gallon of a dry feed spans the range that the starting values state."""
    label, dose_ml_l = Label(n_frac=n_frac, form="dry"), 1000 / 768
    for teaspoon_g, printed in ((4, at_4_g), (6, at_6_g)):
        found = elements_per_dose(label, dose_ml_l=dose_ml_l, teaspoon_g=teaspoon_g).n_mg_l
        assert found == pytest.approx(printed, abs=0.5)


def test_quarter_teaspoon_of_dry_feed() -> None:
    """A quarter teaspoon a gallon of a 20 % N feed is 53 to 79 mg/L (priors, Mixes)."""
    label = Label(n_frac=0.20, form="dry")
    low, high = (elements_per_dose(label, dose_ml_l=0.25 * 1000 / 768, teaspoon_g=g).n_mg_l for g in (4, 6))
    assert (round(low), round(high)) == (53, 79)


def test_spoons_are_us_measures() -> None:
    """A teaspoon is 4.92892159375 mL, a tablespoon three, a gallon 768 (nist-hb44, appendix C, exact)."""
    assert pytest.approx(4.92892159375, rel=1e-12) == TEASPOON_ML
    assert spoons(volume_ml=14.78676478125).text == "1 tbsp"
    assert spoons(volume_ml=14.78676478125).error_frac == pytest.approx(0, abs=1e-12)
    assert pytest.approx(1000 * GALLON_L, rel=1e-12) == 768 * TEASPOON_ML
