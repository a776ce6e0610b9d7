"""What is assumed of whole groups of plants: how long leaves live, how tips are added, warmth and light."""

from dataclasses import dataclass

_MONTH_DAYS = 30.4375


@dataclass(frozen=True, slots=True)
class PlantGroup:
    """A group of plants that grow alike, by a word in the group's name."""

    word: str
    leaf_life_days: float
    tips_per_30d: float  # growing tips added once it grows
    tips_low_per_30d: float  # 90 % range
    tips_high_per_30d: float
    none_c: float  # no growth at and below
    best_c: float
    best_to_c: float
    limit_c: float  # no growth at and above
    half_mol_m2_d: float  # daily light of half the pace that endless light would give
    rooted_days: float  # before that nothing of it is sold


_AROID = (13.0, 25.0, 28.0, 36.0, 1.5, 42.0)
_FERN = (8.0, 22.0, 27.0, 33.0, 2.0, 42.0)
# The first group whose word stands in the name; the last holds for anything else.
GROUPS = (
    PlantGroup("petite", 18 * _MONTH_DAYS, 0.20, 0.08, 0.45, *_AROID),
    PlantGroup("anubias", 18 * _MONTH_DAYS, 0.10, 0.03, 0.25, *_AROID),
    PlantGroup("bucephalandra", 14 * _MONTH_DAYS, 0.20, 0.08, 0.45, *_AROID),
    PlantGroup("cryptocoryne", 8 * _MONTH_DAYS, 0.22, 0.08, 0.50, *_AROID),
    PlantGroup("leptochilus", 13 * _MONTH_DAYS, 0.15, 0.05, 0.35, *_FERN),
    PlantGroup("bolbitis", 13 * _MONTH_DAYS, 0.15, 0.05, 0.35, *_FERN),
    PlantGroup("stem", 3 * _MONTH_DAYS, 0.50, 0.20, 1.00, 10.0, 23.0, 30.0, 36.0, 5.0, 14.0),
    PlantGroup("", 14 * _MONTH_DAYS, 0.15, 0.05, 0.40, *_AROID),
)


def plant_group(group: str, name: str = "") -> PlantGroup:
    """The group a taxon belongs to, by its profile or its own name.

    Parameters
    ----------
    group : str
        The profile it was made from; may be empty.
    name : str
        Its own name.

    Returns
    -------
    PlantGroup
        What is assumed of such plants.

    Notes
    -----
    The first group whose word is found, the profile first; else what slow aroids do.

    Source: priors, Groups of plants

    Examples
    --------
    >>> plant_group("Easy stems").rooted_days
    14.0
    """
    words = group.casefold(), name.casefold()
    found = (one for text in words for one in GROUPS[:-1] if one.word in text)
    return next(found, GROUPS[-1])
