"""Real kitchen spoons: which of them come nearest to an amount, and how far off they leave it."""

from dataclasses import dataclass
from math import floor

from halfwater.errors import RefusedInput
from halfwater.science.limits import Limits

TEASPOON_ML = 4.92892159375  # US customary, exact (nist-hb44)
STARTING_TEASPOON_G = 5.0  # level teaspoon of soluble feed; derived: 4 to 6 g (priors, Mixes)
DRY_SPREAD_FRAC = 0.25  # how far a spoon of dry feed may be out (priors, Mixes)
SIMPLER_FRAC = 0.03  # fewer scoops are worth this much error
_VOLUME = Limits("volume", 0, 1e7, "mL")
_MASS = Limits("mass", 0, 1e7, "g")
TEASPOON_WEIGHT = Limits("teaspoon weight", 0.5, 15, "g")
_MOST_EIGHTHS = 20 * 24  # twenty tablespoons
_EIGHTHS = ((24, "tbsp"), (8, "tsp"), (4, "1/2 tsp"), (2, "1/4 tsp"), (1, "1/8 tsp"))


@dataclass(frozen=True, slots=True)
class Spoonful:
    """An amount in spoons.

    `error_frac` is what rounding to real spoons does (positive: too much); `spread_frac` is how
    uncertain the spoonful itself is, 0 for a liquid and a quarter for a dry feed.
    """

    text: str  # "1 1/2 tsp"
    volume_ml: float  # what the spoons hold
    mass_g: float | None  # what they weigh, for a dry feed
    error_frac: float
    spread_frac: float


def spoons(
    volume_ml: float | None = None, mass_g: float | None = None, teaspoon_g: float | None = None
) -> Spoonful:
    """An amount of feed in real spoons, with the error they cause.

    Spoons are the US tablespoon, teaspoon, half, quarter and eighth. The nearest sum of them is taken,
    or a simpler one where that costs no more than 3 %.

    Parameters
    ----------
    volume_ml : float, optional
        Amount of a liquid. [mL] Valid 0..1e7.
    mass_g : float, optional
        Amount of a dry feed, in place of `volume_ml`. [g] Valid 0..1e7.
    teaspoon_g : float, optional
        What a level teaspoon of the dry feed weighs. [g] Valid 0.5..15.

    Returns
    -------
    Spoonful
        Text, volume, mass, rounding error and spread.

    Raises
    ------
    RefusedInput
        If neither or both amounts are given, if a dry amount comes without the weight of a
        teaspoon, or if a number is nan or out of range.

    Notes
    -----
    Amounts are whole eighths of a teaspoon. Under a sixteenth no spoon comes near: the text says
    "too little for a spoon", the volume is 0 and the error -1 (use a syringe, or weigh it); 0 gives
    "none". Over twenty tablespoons the text is "too much for spoons" and the figures stand. A spoon
    of dry feed is uncertain by a quarter whatever the rounding: weigh it.

    Source: nist-hb44, appendix C (teaspoon); priors, Mixes (spread of a dry spoon)

    Examples
    --------
    >>> spoons(volume_ml=7.4).text
    '1 1/2 tsp'
    """
    if (volume_ml is None) == (mass_g is None):
        raise RefusedInput("amount", None, "either a volume in mL or a mass in g")
    if volume_ml is not None:
        wanted_ml, grams_per_ml, spread = _VOLUME.one(volume_ml), None, 0.0
    else:
        mass = _MASS.one(mass_g)
        if teaspoon_g is None:
            raise RefusedInput("teaspoon weight", "", "what a level teaspoon of it weighs, such as 5 g")
        grams_per_ml = TEASPOON_WEIGHT.one(teaspoon_g) / TEASPOON_ML
        wanted_ml, spread = mass / grams_per_ml, DRY_SPREAD_FRAC
    eighths = _eighths_for(wanted_ml / TEASPOON_ML * 8)
    held_ml = eighths * TEASPOON_ML / 8
    return Spoonful(
        text=_spoon_text(eighths, wanted_ml),
        volume_ml=held_ml,
        mass_g=None if grams_per_ml is None else held_ml * grams_per_ml,
        error_frac=held_ml / wanted_ml - 1 if wanted_ml > 0 else 0.0,
        spread_frac=spread if eighths else 0.0,
    )


def _eighths_for(wanted: float) -> int:
    """Whole eighths of a teaspoon for a wanted number of them: fewest scoops within 3 %, else nearest."""
    nearest = floor(wanted + 0.5)
    if nearest > _MOST_EIGHTHS:
        return nearest
    low, high = wanted * (1 - SIMPLER_FRAC), wanted * (1 + SIMPLER_FRAC)
    close = range(max(1, floor(low)), floor(high) + 1)
    candidates = [n for n in close if low <= n <= high]
    return min(candidates, key=lambda n: (_scoops(n), abs(n - wanted), n), default=nearest)


def _scoops(eighths: int) -> int:
    """How many times a spoon is dipped to measure so many eighths."""
    count = 0
    for size, _ in _EIGHTHS:
        count += eighths // size
        eighths %= size
    return count


def _spoon_text(eighths: int, wanted_ml: float) -> str:
    """The spoons by name, largest first: "2 tbsp + 1 1/2 tsp"."""
    if eighths == 0:
        return "none" if wanted_ml == 0 else "too little for a spoon"
    if eighths > _MOST_EIGHTHS:
        return "too much for spoons"
    tablespoons, rest = divmod(eighths, 24)
    teaspoons, rest = divmod(rest, 8)
    parts = [f"{tablespoons} tbsp"] if tablespoons else []
    fractions = [name for size, name in _EIGHTHS[2:] if rest & size]
    if teaspoons and fractions:
        parts.append(f"{teaspoons} {fractions.pop(0)}")
    elif teaspoons:
        parts.append(f"{teaspoons} tsp")
    return " + ".join(parts + fractions)
