"""Salts, nutrient solutions and conductivity against published numbers."""

import numpy as np
import pytest

from halfwater.planning.targets import published_targets
from halfwater.science.chemistry import ec_of_ions
from halfwater.science.conductivity import (
    check_meter,
    ec_at_25,
    ec_from_meter,
    meter_figure,
    temperature_slope,
)
from halfwater.science.formula import element_fractions
from halfwater.science.hardness import hardness_of
from halfwater.science.ions import added_ions, charges_of, ion_sum_ec, ion_table, scaled_ions
from halfwater.science.salts import dissolved_salt, salt_ions
from halfwater.science.solubility import most_dissolved
from halfwater.science.strengths import strength_of

# hoagland-arnon-1950, table 1: mmol/L of each salt (volumes of molar stock, from memory)
HOAGLAND_1 = {"KNO3": 5.0, "Ca(NO3)2·4H2O": 5.0, "KH2PO4": 1.0, "MgSO4·7H2O": 2.0}
# hoagland-arnon-1950, table 1: element, mmol/L, mg/L recomputed, ppm as printed and its last digit
HOAGLAND_1_HOLDS = [
    ("n_mg_l", 15.0, 210.1, 210, 1.0),
    ("p_mg_l", 1.0, 30.97, 31, 1.0),
    ("k_mg_l", 6.0, 234.6, 235, 1.0),
    ("ca_mg_l", 5.0, 200.4, 200, 1.0),
    ("mg_mg_l", 2.0, 48.61, 48.6, 0.1),
    ("s_mg_l", 2.0, 64.12, 64, 1.0),
]
# hoagland-arnon-1950, table 2: mg/L of each salt at 1 mL of stock to the litre
MICROS = {
    "H3BO3": 2.86, "MnCl2·4H2O": 1.81, "ZnSO4·7H2O": 0.22, "CuSO4·5H2O": 0.08, "H2MoO4·H2O": 0.02,
}  # fmt: skip
# hoagland-arnon-1950, table 2: recomputed, as printed, last digit printed
MICROS_HOLD = [
    ("b_mg_l", 0.500, 0.5, 0.1),
    ("mn_mg_l", 0.5025, 0.5, 0.1),
    ("zn_mg_l", 0.0500, 0.05, 0.01),
    ("cu_mg_l", 0.0204, 0.02, 0.01),
    ("mo_mg_l", 0.0107, 0.011, 0.001),
    ("cl_mg_l", 0.648, 0.65, 0.01),
]
# standard-methods-2510, table 2510:I: mmol/L of KCl, µS/cm at 25 °C, what PHREEQC may be off (it is low, and
# more so the stronger: partly mol/kg against mol/L), how far the plain sum of the ions is above
KCL = [
    (0.1, 14.9, 0.005, 0.006),
    (0.5, 73.9, 0.006, 0.014),
    (1.0, 146.9, 0.006, 0.020),
    (10.0, 1412.0, 0.013, 0.061),
    (100.0, 12890.0, 0.033, 0.16),
]
# vanysek-crc: limiting equivalent conductivities of salts, S cm²/eq (ions but calcium from memory)
LIMITING = [("KCl", 149.79), ("NaCl", 126.39), ("KNO3", 144.90), ("Ca(NO3)2", 130.89)]
# pratt-2001: 0.01 mol/kg KCl, °C and µS/cm
KCL_BY_TEMPERATURE = [
    (5.0, 890.96), (10.0, 1013.95), (15.0, 1141.45), (18.0, 1219.93), (20.0, 1273.03), (30.0, 1546.63),
    (35.0, 1687.79),
]  # fmt: skip
# pratt-2001: slopes referred to 25 °C, per cent a degree
SLOPES = [(10.0, 1.867), (15.0, 1.894), (20.0, 1.920), (30.0, 1.966), (35.0, 1.985)]
KCL_25 = 1.40823  # pratt-2001, mS/cm
# parkhurst-appelo-2013: Hoagland No. 1 by strength, µS/cm
HOAGLAND_EC = [(1.0, 2166.0), (0.5, 1142.0), (0.25, 597.0), (0.1, 249.0)]


def _solution(salts: dict[str, float], times: float = 1.0) -> dict[str, float]:
    return scaled_ions(added_ions(*(scaled_ions(salt_ions(name), n) for name, n in salts.items())), times)


@pytest.mark.parametrize(("field", "mmol", "exact", "printed", "digit"), HOAGLAND_1_HOLDS)
def test_hoagland_1_holds_what_is_printed(
    field: str, mmol: float, exact: float, printed: float, digit: float
) -> None:
    """Solution No. 1 holds the printed ppm of each macronutrient (hoagland-arnon-1950, table 1)."""
    found = getattr(strength_of(_solution(HOAGLAND_1)), field)
    assert found == pytest.approx(exact, rel=1e-3)
    assert found == pytest.approx(printed, abs=digit / 2)
    assert mmol > 0


def test_hoagland_1_is_even() -> None:
    """20.0 me/L of cations stand against 20.0 of anions (hoagland-arnon-1950, table 1)."""
    charges = charges_of(_solution(HOAGLAND_1))
    assert charges.cations_meq_l == pytest.approx(20.0, abs=1e-9)
    assert charges.anions_meq_l == pytest.approx(20.0, abs=1e-9)


@pytest.mark.parametrize(("field", "exact", "printed", "digit"), MICROS_HOLD)
def test_hoagland_micronutrients_hold_what_is_printed(
    field: str, exact: float, printed: float, digit: float
) -> None:
    """The traces of 1950, molybdenum 0.011 and not the 0.048 of 1938 (hoagland-arnon-1950, table 2)."""
    found = getattr(
        strength_of(added_ions(*(dissolved_salt(s, mg / 1000) for s, mg in MICROS.items()))), field
    )
    assert found == pytest.approx(exact, rel=2e-3, abs=5e-5)
    assert found == pytest.approx(printed, abs=digit / 2)


def test_ready_targets_are_the_published_ones() -> None:
    """No. 1 and No. 2 hold 210 ppm N, in No. 2 14 of it as ammonium (hoagland-arnon-1950)."""
    targets = {
        target.name: {one.what: one.strength_mg_l for one in target.wanted} for target in published_targets()
    }
    first, second = targets["Hoagland and Arnon No. 1"], targets["Hoagland and Arnon No. 2"]
    assert first["N-NO3"] == pytest.approx(210, abs=0.5)
    assert "N-NH4" not in first
    assert second["N-NO3"] + second["N-NH4"] == pytest.approx(210, abs=0.5)
    assert second["N-NH4"] == pytest.approx(14, abs=0.5)


def test_table_of_twelve_agrees_with_hoagland() -> None:
    """The table that Steiner's and Cooper's figures are from prints No. 1 as 210.10 N, 236.15 K, 200.39 Ca
    (de-rijck-schrevens-1998, fifth column; its K is 0.7 % high)."""
    found = strength_of(_solution(HOAGLAND_1))
    assert found.n_mg_l == pytest.approx(210.10, abs=0.01)
    assert found.ca_mg_l == pytest.approx(200.39, abs=0.01)
    assert found.k_mg_l == pytest.approx(236.15, rel=8e-3)


@pytest.mark.parametrize(("mmol", "printed", "off", "bound_over"), KCL)
def test_kcl_standards(mmol: float, printed: float, off: float, bound_over: float) -> None:
    """PHREEQC meets the KCl standards within its known deficit; the plain sum of ions is above every one
    (standard-methods-2510, table 2510:I)."""
    ions = {"K+": mmol, "Cl-": mmol}
    found, bound = 1000 * ec_of_ions(ions), 1000 * ion_sum_ec(ions)
    assert found == pytest.approx(printed, rel=off)
    assert found <= printed * 1.002
    assert bound / printed - 1 == pytest.approx(bound_over, abs=0.006)
    assert bound > printed


@pytest.mark.parametrize(("salt", "printed"), LIMITING)
def test_limiting_conductivities_add(salt: str, printed: float) -> None:
    """Ions conduct each by itself at infinite dilution (vanysek-crc; standard-methods-2510 for KCl)."""
    ions = salt_ions(salt)
    equivalents = charges_of(ions).cations_meq_l
    assert 1000 * ion_sum_ec(ions) / equivalents == pytest.approx(printed, abs=0.005)
    if salt == "KCl":
        assert 1000 * ion_sum_ec(ions) == pytest.approx(149.9, rel=1e-3)


def test_diffusion_agrees_with_conductivity() -> None:
    """Nernst and Einstein: calcium's 59.47 is 0.792e-5 cm2/s, potassium's 73.48 is 1.957e-5 (vanysek-crc)."""
    per = 8.314462618 * 298.15 / 96485.33212**2  # iupac-2021: R T / F2
    for symbol, printed in (("Ca+2", 0.792e-5), ("K+", 1.957e-5)):
        ion = ion_table()[symbol]
        assert per * ion.limiting_factor / abs(ion.charge) == pytest.approx(printed, abs=0.0005e-5)


@pytest.mark.parametrize(("times", "printed"), HOAGLAND_EC)
def test_ec_of_hoagland(times: float, printed: float) -> None:
    """A full solution by PHREEQC, a half, a quarter, a tenth, to 1 % (parkhurst-appelo-2013)."""
    assert 1000 * ec_of_ions(_solution(HOAGLAND_1, times)) == pytest.approx(printed, rel=0.01)


def test_ec_grows_less_than_strength() -> None:
    """Ten times a tenth is 8.7 times its EC, and the sum of ions, 2674.9, is a strict upper bound
    (parkhurst-appelo-2013; vanysek-crc)."""
    full, tenth = ec_of_ions(_solution(HOAGLAND_1)), ec_of_ions(_solution(HOAGLAND_1, 0.1))
    assert full / tenth == pytest.approx(8.69, abs=0.05)
    assert 1000 * ion_sum_ec(_solution(HOAGLAND_1)) == pytest.approx(2674.9, abs=0.5)
    assert ion_sum_ec(_solution(HOAGLAND_1)) > full


def test_rule_of_ten() -> None:
    """Cations in me/L over ten is the EC within 15 % (common practice, no source)."""
    ions = _solution(HOAGLAND_1)
    assert ec_of_ions(ions) == pytest.approx(charges_of(ions).cations_meq_l / 10, rel=0.15)


@pytest.mark.parametrize(("temp_c", "per_cent"), SLOPES)
def test_slopes_of_kcl(temp_c: float, per_cent: float) -> None:
    """Slopes of the 0.01 mol/kg standard, referred to 25 °C (pratt-2001)."""
    reading = dict(KCL_BY_TEMPERATURE)[temp_c] / 1000
    assert 100 * temperature_slope(KCL_25, reading, temp_c) == pytest.approx(per_cent, abs=0.002)


@pytest.mark.parametrize(("temp_c", "micro"), [row for row in KCL_BY_TEMPERATURE if row[0] >= 10])
def test_compensation_of_kcl(temp_c: float, micro: float) -> None:
    """With our slope a standard read at 10 to 35 °C comes back within 0.8 %, inside the range that is told
    (pratt-2001)."""
    found = ec_at_25(micro / 1000, temp_c)
    assert found.ec_ms_cm == pytest.approx(KCL_25, rel=8e-3)
    assert found.ec_low_ms_cm <= KCL_25 <= found.ec_high_ms_cm


@pytest.mark.parametrize(("temp_c", "micro"), [(0.0, 772.92), (5.0, 890.96)])
def test_cold_kcl_is_inside_the_range_that_is_told(temp_c: float, micro: float) -> None:
    """Below 10 °C the middle is off by up to 5 %, the told range holds the standard (pratt-2001)."""
    found = ec_at_25(micro / 1000, temp_c)
    assert found.ec_low_ms_cm <= KCL_25 <= found.ec_high_ms_cm
    assert found.ec_ms_cm == pytest.approx(KCL_25, rel=0.05)


def test_two_per_cent_is_too_much_in_the_cold() -> None:
    """A slope of 2 % puts a reading at 10 °C 2.9 % too high (pratt-2001)."""
    assert ec_at_25(1.01395, 10, 0.02).ec_ms_cm / KCL_25 - 1 == pytest.approx(0.029, abs=5e-4)


@pytest.mark.parametrize(
    ("ms_cm", "scale", "figure"),
    [(1.413, 500, 706.5), (1.413, 640, 904.3), (1.413, 700, 989.1), (2.4, 500, 1200.0), (2.4, 700, 1680.0)],
)
def test_scales_of_meters(ms_cm: float, scale: int, figure: float) -> None:
    """The same water on the scales of 500, 640 and 700 (meter-scales; usda-handbook-60)."""
    assert meter_figure(ms_cm, scale) == pytest.approx(figure, abs=0.05)
    assert ec_from_meter(figure, scale) == pytest.approx(ms_cm, rel=1e-4)


def test_no_scale_tells_the_salt() -> None:
    """0.01 mol/L of KCl is 745.5 mg/L, a factor of 0.528 (standard-methods-2510: real waters 0.55 to 0.9)."""
    mass = 10 * (39.0983 + 35.453)  # iupac-2021, mg/L
    assert mass == pytest.approx(745.5, abs=0.05)
    assert mass / 1412 == pytest.approx(0.528, abs=5e-4)
    assert element_fractions("KCl")["K"] + element_fractions("KCl")["Cl"] == pytest.approx(1)


def test_meter_in_the_1413_standard() -> None:
    """A meter that reads the standard of 1412 µS/cm as 1.483 shows 5 % too much (standard-methods-2510)."""
    found = check_meter(1.412, 1.4826)
    assert found.correction_factor * 1.4826 == pytest.approx(1.412, rel=1e-12)
    assert found.off_frac == pytest.approx(0.05, abs=1e-9)


def test_hardness_of_a_milligram() -> None:
    """Hardness is 2.497 Ca + 4.118 Mg in mg/L (water-hardness)."""
    assert hardness_of(1 / 40.078, 0) == pytest.approx(2.497, abs=5e-4)
    assert hardness_of(0, 1 / 24.305) == pytest.approx(4.118, abs=5e-4)


def test_solubility_is_read_between_the_tables_figures() -> None:
    """31.6 g of KNO3 to 100 g of water at 20 °C: 280 g in a litre; more when warmer (weast-astle-1981)."""
    at = [most_dissolved("KNO3", temp_c) for temp_c in (10, 20, 25, 30)]
    assert at[1] == pytest.approx(316 / 1.1264, rel=1e-9)
    assert list(at) == sorted(at)
    assert np.isclose(at[2], (at[1] + at[3]) / 2, rtol=0.02)
