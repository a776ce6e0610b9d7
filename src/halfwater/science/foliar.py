"""What a spray does on leaves: the film that hangs there, what runs off into the bath, what dries on."""

from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.limits import Limits

_SPRAY = Limits("spray", 0.0, 20.0, "L")
_LEAVES = Limits("leaf area", 0.0, 100.0, "m2")
_HOLD = Limits("film", 1.0, 1000.0, "mL on a m2")
_SHARE = Limits("share", 0.0, 1.0)
_STRENGTH = Limits("strength", 0.0, 20_000.0, "mg/L")


@dataclass(frozen=True, slots=True)
class Film:
    """Where one spray goes."""

    film_ml_m2: float  # on each square metre of leaf, one-sided
    on_leaves_l: float
    run_off_l: float  # beside the leaves and off them: reaches the bath at once

    @property
    def run_off_frac(self) -> float:
        """Share of the spray that runs off; 0 for no spray."""
        total = self.on_leaves_l + self.run_off_l
        return self.run_off_l / total if total else 0.0


def film_on_leaves(
    spray_l: float,
    leaf_m2: float,
    *,
    hold_ml_m2: float = starting.FILM_ML_M2,
    beside_frac: float = starting.SPRAY_BESIDE_FRAC,
) -> Film:
    """The film one spray leaves on leaves, and what reaches the bath at once.

    Parameters
    ----------
    spray_l : float
        Sprayed. [L] Valid 0..20.
    leaf_m2 : float
        Leaf area in the tank, one-sided. [m2] Valid 0..100.
    hold_ml_m2 : float
        What a leaf holds before it drips: low for waxy and steep leaves. [mL/m2] Valid 1..1000.
    beside_frac : float
        Share that falls between the leaves. [1] Valid 0..1.

    Returns
    -------
    Film
        mL on a m2 of leaf, litres on leaves, litres run off.

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    film = min((1 - beside) spray / leaf area, hold). Without leaves all runs off; what is held dries on and
    is washed down by the next spray.

    Source: priors, Foliar feeding

    Examples
    --------
    >>> film_on_leaves(0.15, 1.2).film_ml_m2
    62.5
    """
    spray, leaves = _SPRAY.one(spray_l), _LEAVES.one(leaf_m2)
    hold, beside = _HOLD.one(hold_ml_m2), _SHARE.one(beside_frac)
    if leaves == 0.0:
        return Film(0.0, 0.0, spray)
    film = min((1.0 - beside) * spray * 1000.0 / leaves, hold)
    held = film * leaves / 1000.0
    return Film(film, held, spray - held)


def spray_to_run_off(leaf_m2: float, *, hold_ml_m2: float = starting.FILM_ML_M2) -> float:
    """Spray that just wets all leaves, were none of it to fall beside them.

    Parameters
    ----------
    leaf_m2 : float
        Leaf area in the tank, one-sided. [m2] Valid 0..100.
    hold_ml_m2 : float
        What a leaf holds before it drips. [mL/m2] Valid 1..1000.

    Returns
    -------
    float
        Volume. [L]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    hold x area.

    Source: priors, Foliar feeding

    Examples
    --------
    >>> spray_to_run_off(1.2)
    0.12
    """
    return _HOLD.one(hold_ml_m2) * _LEAVES.one(leaf_m2) / 1000.0


def left_on_leaf(film_ml_m2: float, strength_mg_l: float) -> float:
    """What one night's film leaves on a square metre of leaf when it dries.

    Parameters
    ----------
    film_ml_m2 : float
        The film. [mL/m2] Valid 0 upward.
    strength_mg_l : float
        Of one nutrient in the spray. [mg/L] Valid 0..20000.

    Returns
    -------
    float
        Milligrams on a square metre. [mg/m2]

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    film x strength / 1000.

    Source: own definition

    Examples
    --------
    >>> left_on_leaf(100.0, 50.0)
    5.0
    """
    if not 0.0 <= film_ml_m2 < float("inf"):
        raise RefusedInput("film", film_ml_m2, "a number from 0 up")
    return film_ml_m2 * _STRENGTH.one(strength_mg_l) / 1000.0


def nights_of_salt(nights: int, *, washed_frac: float = starting.FILM_WASHED_FRAC) -> float:
    """How many single nights' worth of salt stand on a leaf after so many nights of feed.

    Parameters
    ----------
    nights : int
        Nights sprayed with feed since the last plain water. [1] Valid 0 upward.
    washed_frac : float
        Share of what dried on that the next spray washes off. [1] Valid above 0..1.

    Returns
    -------
    float
        In nights' worth. [1]

    Raises
    ------
    RefusedInput
        If a number is out of range.

    Notes
    -----
    (1 - (1 - w)^n) / w: with seven tenths washed off it stops near 1.4. A night of plain water leaves 1 - w
    of that.

    Source: priors, Foliar feeding

    Examples
    --------
    >>> round(nights_of_salt(6), 3)
    1.428
    """
    if nights < 0:
        raise RefusedInput("nights", nights, "0 or more nights")
    washed = _SHARE.one(washed_frac)
    if washed == 0.0:
        raise RefusedInput("washed share", washed_frac, "a share above 0")
    return float((1.0 - (1.0 - washed) ** nights) / washed)
