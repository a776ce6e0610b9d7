"""A spray judged as the leaves feel it: strong enough, not too strong, and plain water once a week."""

from halfwater.errors import RefusedInput
from halfwater.plain.bath import FilmAdvice
from halfwater.plain.growing import Span
from halfwater.science import starting
from halfwater.science.foliar import Film, film_on_leaves, left_on_leaf, nights_of_salt

_FRESH = "Fresh potable water and coarse droplets; clean the sprayer every week."
_SOONER = (
    "Leaves that stay wet all night favour bacteria: spraying an hour or two before the lamp goes off, or as "
    "it comes on, is worth a trial."
)


def film_advice(
    spray_l: float, leaf_m2: float, n_mg_l: float, ec_above_source_ms_cm: float,
    *, tender: bool = False, plain_days_ago: float | None = None,
) -> FilmAdvice:  # fmt: skip
    """Tonight's spray on the leaves: its film, what runs off, its strength, and whether plain water is due.

    Bounds are those of a spray given every night; ferns and Bucephalandra take half.

    Parameters
    ----------
    spray_l : float
        Sprayed in this tank. [L] Valid 0..20.
    leaf_m2 : float
        Leaf area in it, one-sided. [m2] Valid 0..100.
    n_mg_l : float
        Nitrogen of the spray, urea in it. [mg/L] Valid 0..20000.
    ec_above_source_ms_cm : float
        EC over the source water; urea does not show in it. [mS/cm] Valid 0..20.
    tender : bool
        Whether ferns or Bucephalandra stand in the tank.
    plain_days_ago : float or None
        When it last had plain water; None: never. [d] Valid 0 upward.

    Returns
    -------
    FilmAdvice
        Film in mL/m2, strength in words, cautions.

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    See `film_on_leaves`. The range of the film is that of waxy to cupped leaves. Plain water is due when the
    last was six evenings ago or more, and never for a spray that is plain itself.

    Source: priors, Foliar feeding
    """
    if not 0.0 <= ec_above_source_ms_cm <= 20.0:
        raise RefusedInput("EC of the spray", ec_above_source_ms_cm, "a number from 0 to 20 mS/cm")
    if plain_days_ago is not None and not plain_days_ago >= 0.0:
        raise RefusedInput("last plain evening", plain_days_ago, "0 days ago or more")
    film = film_on_leaves(spray_l, leaf_m2)
    low = film_on_leaves(spray_l, leaf_m2, hold_ml_m2=starting.FILM_LOW_ML_M2)
    high = film_on_leaves(spray_l, leaf_m2, hold_ml_m2=starting.FILM_HIGH_ML_M2)
    factor = starting.TENDER_FACTOR if tender else 1.0
    on_leaf = _ec_word(ec_above_source_ms_cm, factor)
    strength = _n_word(n_mg_l, factor)
    is_feed = n_mg_l > 0.0 or ec_above_source_ms_cm > 0.05
    is_due = is_feed and (plain_days_ago is None or plain_days_ago >= starting.PLAIN_EVERY_DAYS - 1.0)
    days_left = (
        starting.PLAIN_EVERY_DAYS if plain_days_ago is None else starting.PLAIN_EVERY_DAYS - plain_days_ago
    )
    return FilmAdvice(
        film_ml_m2=film.film_ml_m2,
        film_range=Span(low.film_ml_m2, film.film_ml_m2, high.film_ml_m2),
        run_off_frac=film.run_off_frac,
        n_mg_m2=left_on_leaf(film.film_ml_m2, n_mg_l),
        ec_on_leaf=on_leaf,
        strength=strength,
        plain_night=_plain_night(is_feed, is_due, days_left),
        is_plain_night=is_due,
        said=_said(film, on_leaf, strength, is_due, is_feed),
        cautions=_cautions(ec_above_source_ms_cm, n_mg_l, factor, on_leaf, strength),
    )  # fmt: skip


def _ec_word(ec: float, factor: float) -> str:
    if ec > starting.NIGHTLY_MOST_EC_MS_CM * factor:
        return "too strong"
    if ec > starting.NIGHTLY_USUAL_EC_MS_CM * factor:
        return "strong"
    return "usual" if ec >= starting.NIGHTLY_MILD_EC_MS_CM * factor else "mild"


def _n_word(n_mg_l: float, factor: float) -> str:
    if n_mg_l > starting.NIGHTLY_HIGH_N_MG_L * factor:
        return "strong"
    return "usual" if n_mg_l >= starting.NIGHTLY_LOW_N_MG_L * factor else "weak"


def _plain_night(is_feed: bool, is_due: bool, days_left: float) -> str:
    if not is_feed:
        return ""
    if is_due:
        return "tonight"
    days = round(days_left)
    return "tomorrow" if days <= 1 else f"in {days} days"


def _said(film: Film, on_leaf: str, strength: str, is_due: bool, is_feed: bool) -> str:
    if is_due:
        return "Plain water tonight: it sheds the salt of the week's sprays and slows slime."
    if not is_feed:
        return "Plain water: nothing dries on, and salt of earlier sprays is washed into the bath."
    if on_leaf == "too strong":
        return "Too strong for leaves: dilute it before it is sprayed."
    if film.on_leaves_l == 0.0:
        return "No leaves are counted here: all of the spray reaches the bath."
    share = round(100 * film.run_off_frac)
    by_meter = "" if on_leaf != "strong" else ", strong by its EC"
    return f"A {strength} feed{by_meter}; {share} % of it runs off into the bath at once."


def _cautions(
    ec_above_source: float, n_mg_l: float, factor: float, on_leaf: str, strength: str
) -> tuple[str, ...]:
    """Scorch first, then what urea hides, then hygiene."""
    told = []
    most = starting.NIGHTLY_MOST_EC_MS_CM * factor
    times = nights_of_salt(int(starting.PLAIN_EVERY_DAYS) - 1)
    if on_leaf in ("strong", "too strong"):
        told.append(
            f"EC {ec_above_source:.2f} above the water: tips and edges may burn as it dries on, {times:.1f} "
            f"nights' worth by the end of a week; never above {most:g}."
        )
    if strength == "strong":
        high = starting.NIGHTLY_HIGH_N_MG_L * factor
        told.append(f"{n_mg_l:.0f} mg/L N is above the {high:g} that leaves are given every night.")
    told.append(_FRESH)
    told.append(_SOONER)
    return tuple(told)
