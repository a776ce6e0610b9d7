"""What plants stand in a box, and the rules that a new book starts with."""

from collections.abc import Sequence

from halfwater.errors import RefusedInput
from halfwater.plain.transit import GrowerRules, TransitLimits

# Words in the name of a taxon or of its group -> lowest, highest temperature, days; docs/starting-values.md.
LIMITS: dict[str, tuple[float, float, float]] = {
    "Anubias": (7.0, 33.0, 7.0),
    "Bucephalandra": (7.0, 32.0, 7.0),
    "Cryptocoryne": (8.0, 33.0, 4.0),
    "Leptochilus": (4.0, 32.0, 7.0),
    "Bolbitis": (6.0, 30.0, 4.0),
    "stems": (5.0, 33.0, 3.5),
}
OTHER_LIMITS = (8.0, 30.0, 4.0)
USUAL_RULES = GrowerRules(
    liner_below_c=10.0, pack_below_c=10.0, hold_below_c=4.0, liner_above_c=30.0, hold_above_c=34.0
)


def limits_of(taxon_name: str, group: str = "") -> TransitLimits:
    """Limits in a box that a taxon starts with.

    Parameters
    ----------
    taxon_name : str
        Its name.
    group : str
        The profile it was made from; tried after the name.

    Returns
    -------
    TransitLimits
        Of the first word of the table that stands in either; those of any other taxon where none does.

    Notes
    -----
    A table, tagged as guesses; a taxon's own limits take their place.

    Source: priors, Limits in a box

    Examples
    --------
    >>> limits_of("Anubias barteri var. nana").low_c
    7.0
    """
    for text in (taxon_name, group):
        for word, (low, high, days) in LIMITS.items():
            if word.lower() in text.lower():
                return TransitLimits(taxon_name, low, high, days)
    return TransitLimits(taxon_name, *OTHER_LIMITS)


def tenderest(limits: Sequence[TransitLimits]) -> TransitLimits:
    """Limits that all plants of a box stand.

    Parameters
    ----------
    limits : sequence of TransitLimits
        Of each taxon in it, at least one.

    Returns
    -------
    TransitLimits
        The highest lower limit, the lowest upper limit, the fewest days; named after the taxon that feels the
        cold most.

    Raises
    ------
    RefusedInput
        If there is none, or a taxon's limits are not in order.

    Notes
    -----
    Plants of different needs in one box are judged by the tenderest of each.

    Source: own definition
    """
    if not limits:
        raise RefusedInput("limits", "none", "the limits of at least one taxon")
    for one in limits:
        if not (one.low_c < one.high_c and one.most_days > 0.0):
            raise RefusedInput(
                "limits", f"{one.low_c:g} to {one.high_c:g} C", "low below high", one.taxon_name
            )
    coldest = max(limits, key=lambda one: one.low_c)
    return TransitLimits(
        coldest.taxon_name,
        coldest.low_c,
        min(one.high_c for one in limits),
        min(one.most_days for one in limits),
    )
