"""What a water analysis means: alkalinity and hardness, told as CaCO3, as ions."""

from halfwater.science.ions import IonsMmolL, read_data
from halfwater.science.limits import Limits

ALKALINITY = Limits("alkalinity", 0, 1000, "mg/L as CaCO3")
HARDNESS = Limits("hardness", 0, 2000, "mg/L as CaCO3")
WATER_PH = Limits("pH of the water", 4.5, 9.5)
_WATER = read_data("water.toml")
CACO3_MG_MEQ: float = _WATER["lime"]["mg_meq"]  # half a mole of CaCO3
CACO3_MG_MMOL = 2 * CACO3_MG_MEQ
_FIRST_PK: float = _WATER["carbonic_acid"]["first_pk"]
_SECOND_PK: float = _WATER["carbonic_acid"]["second_pk"]


def carbonate_ions(alkalinity_mg_l: float, ph: float) -> IonsMmolL:
    """Carbonate of a water from its alkalinity and pH.

    Tap water's buffer: what holds its pH up and what acid feeds use up.

    Parameters
    ----------
    alkalinity_mg_l : float
        Total alkalinity as CaCO3. [mg/L] Valid 0..1000.
    ph : float
        pH of the water. [1] Valid 4.5..9.5.

    Returns
    -------
    Mapping of str to float
        Bicarbonate, carbonate and dissolved carbon dioxide. [mmol/L]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range; alkalinity is never negative (such a water is an acid).

    Notes
    -----
    A = HCO3 + 2 CO3 with pK 6.35 and 10.33; what borate, silicate and hydroxide add is left out. 0 gives
    none of each.

    Source: plummer-busenberg-1982

    Examples
    --------
    >>> round(carbonate_ions(100, 7.0)["HCO3-"], 2)
    2.0
    """
    charge, acidity = ALKALINITY.one(alkalinity_mg_l) / CACO3_MG_MEQ, WATER_PH.one(ph)
    carbonate_to_bicarbonate = 10 ** (acidity - _SECOND_PK)
    bicarbonate = charge / (1 + 2 * carbonate_to_bicarbonate)
    return {
        "HCO3-": bicarbonate,
        "CO3-2": bicarbonate * carbonate_to_bicarbonate,
        "CO2": bicarbonate * 10 ** (_FIRST_PK - acidity),
    }


def hardness_of(ca_mmol_l: float, mg_mmol_l: float) -> float:
    """Hardness of a water from its calcium and magnesium.

    Both together, told as if all were CaCO3.

    Parameters
    ----------
    ca_mmol_l : float
        Calcium. [mmol/L] Valid 0..20.
    mg_mmol_l : float
        Magnesium. [mmol/L] Valid 0..20.

    Returns
    -------
    float
        Hardness as CaCO3. [mg/L]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    H = 100.09 (Ca + Mg); in milligrams 2.497 Ca + 4.118 Mg.

    Source: water-hardness

    Examples
    --------
    >>> round(hardness_of(1.0, 0.5), 1)
    150.1
    """
    most = Limits("hardness ion", 0, 20, "mmol/L")
    return CACO3_MG_MMOL * (most.one(ca_mmol_l) + most.one(mg_mmol_l))
