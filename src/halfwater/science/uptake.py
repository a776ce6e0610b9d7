"""What plants take out of a bath, by their groups; and what they leave of a strength."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.ions import ion_table

# For each of the seven salts of bath_facts.SALTS: milligrams taken for each of nitrogen, and the strength at
# which half of it is taken. The rest and urea are not taken.
SHARES = (
    0.0, 0.0, 1.0, starting.UPTAKE_P_FACTOR, starting.UPTAKE_K_FACTOR, starting.UPTAKE_CA_FACTOR,
    starting.UPTAKE_MG_FACTOR,
)  # fmt: skip
HALF_MG_L = tuple(starting.UPTAKE_HALF_N_MG_L * share for share in SHARES)
# What nitrogen does to the rest of the EC, mS/cm for each mg/L: urea turns into ammonium and bicarbonate;
# plants take more cations than anions, and the acid they give back uses bicarbonate up.
# For each milliequivalent in a litre.
_BICARBONATE_MS_CM = starting.ION_ACTIVITY_FRAC * ion_table()["HCO3-"].limiting_factor / 1000.0
UREA_LEAVES_MS_CM = _BICARBONATE_MS_CM / 14.007
_MORE_CATIONS = (
    starting.UPTAKE_K_FACTOR / 39.098 + starting.UPTAKE_CA_FACTOR / 20.039
    + starting.UPTAKE_MG_FACTOR / 12.1525 - starting.UPTAKE_P_FACTOR / 30.974
    + (1.0 - 2.0 * starting.NITRATE_TAKEN_FRAC) / 14.007
)  # fmt: skip
NITROGEN_USES_MS_CM = max(_MORE_CATIONS, 0.0) * _BICARBONATE_MS_CM
_SETTLING = 0.3  # of what a growing pot takes
_Z90 = 1.6448536269514722


@dataclass(frozen=True, slots=True)
class PlantUptake:
    """Nitrogen a pot of a group takes in thirty days, with its 90 % range."""

    word: str  # in the group's name or the taxon's
    n_mg_a_month: float
    low_n_mg_a_month: float
    high_n_mg_a_month: float
    leaf_mm2: float  # one leaf, one side


# The first group whose word stands in the name; the last holds for anything else.
PLANTS = (
    PlantUptake("petite", 4.0, 1.5, 9.0, 600.0),
    PlantUptake("large", 17.0, 6.0, 35.0, 6000.0),
    PlantUptake("anubias", 8.0, 3.0, 17.0, 2000.0),
    PlantUptake("bucephalandra", 3.0, 1.0, 7.0, 1000.0),
    PlantUptake("cryptocoryne", 12.0, 5.0, 26.0, 2500.0),
    PlantUptake("leptochilus", 13.0, 5.0, 28.0, 4000.0),
    PlantUptake("bolbitis", 13.0, 5.0, 28.0, 15000.0),
    PlantUptake("stem", 30.0, 10.0, 70.0, 300.0),
    PlantUptake("", 8.0, 3.0, 20.0, 2000.0),
)
TENDER = ("bucephalandra", "leptochilus", "bolbitis", "fern")


def plant_uptake(group: str, name: str = "") -> PlantUptake:
    """What a pot of a taxon takes, by its profile or its own name.

    Parameters
    ----------
    group : str
        The profile it was made from; may be empty.
    name : str
        Its own name.

    Returns
    -------
    PlantUptake
        Milligrams of nitrogen in thirty days, with a 90 % range.

    Notes
    -----
    The first group whose word is found, the profile first. Worked out from leaf area, leaf mass and tissue:
    15 to 32 mg N for each gram of dry mass gained.

    Source: priors, What plants take

    Examples
    --------
    >>> plant_uptake("Bucephalandra").n_mg_a_month
    3.0
    """
    words = group.casefold(), name.casefold()
    found = (one for text in words for one in PLANTS[:-1] if one.word in text)
    return next(found, PLANTS[-1])


def leaf_area(leaves: Iterable[tuple[str, float]]) -> float:
    """Leaf area of a tank, one side, from leaf counts.

    Parameters
    ----------
    leaves : iterable of tuple
        For each taxon: its group or name, and leaves in all.

    Returns
    -------
    float
        Area. [m2]

    Raises
    ------
    RefusedInput
        If a count is nan or below 0.

    Notes
    -----
    Leaves times the area of a grown leaf of the group; young leaves make it somewhat too large.

    Source: priors, What plants take

    Examples
    --------
    >>> leaf_area([("Anubias barteri var. nana", 600)])
    1.2
    """
    total = 0.0
    for name, count in leaves:
        if not 0 <= count < math.inf:
            raise RefusedInput("leaves", count, "a count from 0 up")
        total += plant_uptake(name).leaf_mm2 * count
    return total * 1e-6


def is_tender(group: str, name: str = "") -> bool:
    """Whether a taxon bears less salt than slow aroids do: ferns and Bucephalandra.

    Parameters
    ----------
    group : str
        The profile it was made from; may be empty.
    name : str
        Its own name.

    Returns
    -------
    bool
        True for ferns and Bucephalandra.

    Notes
    -----
    By words in either name.

    Source: priors, Salts in the bath
    """
    return any(word in text for text in (group.casefold(), name.casefold()) for word in TENDER)


def tank_uptake(pots: Iterable[tuple[str, int, int]]) -> tuple[float, float]:
    """Nitrogen the plants of a tank take a day once they find enough, and how unsure that is.

    Parameters
    ----------
    pots : iterable of tuple
        For each taxon in the tank: its group or name, pots that grow, pots that still settle.

    Returns
    -------
    tuple of float
        Milligrams a day, and the standard deviation of its logarithm. [1]

    Raises
    ------
    RefusedInput
        If a number of pots is below 0.

    Notes
    -----
    A settling pot takes three tenths. The spread is the mean of the groups' own, weighed by what they take;
    ranges of groups are about whole tanks, so they do not shrink with more pots. No pots: 0, starting spread.

    Source: priors, What plants take

    Examples
    --------
    >>> round(tank_uptake([("Anubias barteri var. nana", 60, 0)])[0], 1)
    16.0
    """
    total = spread = 0.0
    for name, growing, settling in pots:
        if growing < 0 or settling < 0:
            raise RefusedInput("pots", min(growing, settling), "0 or more pots")
        own = plant_uptake(name)
        amount = own.n_mg_a_month / 30.0 * (growing + _SETTLING * settling)
        total += amount
        spread += amount * math.log(own.high_n_mg_a_month / own.low_n_mg_a_month) / (2.0 * _Z90)
    return total, spread / total if total else starting.UPTAKE_SIGMA_LOG
