"""Settings of dimmer and hours that give a wanted daily light, with what each costs; whom a spot suits."""

from collections.abc import Callable, Sequence

from halfwater.errors import RefusedInput
from halfwater.plain.lighting import LightChoice
from halfwater.science.limits import Limits

MONTH_DAYS = 30.0
LEAST_H, MOST_H = 6.0, 16.0  # hours offered; longer days feed algae more than plants
STEP_H = 0.5
DIMMER_STEP_FRAC = 0.05
_CLOSE_FRAC = 0.05  # of the wanted light: nearer than this is as wanted
_PPFD = Limits("lamp's light at full power", 0, 3000, "umol/m2/s")
_DAILY = Limits("daily light", 0, 60, "mol/m2/d")
_POWER = Limits("power of the lamp", 0, 10_000, "W")
_PRICE = Limits("price of a kilowatt-hour", 0, 100_000, "of the smallest coin")
_HOURS = Limits("hours of light", 0, 24, "hours a day")
_DIMMER = Limits("dimmer", 0, 1, "(1 is full power)")


def light_choices(
    ppfd_umol_m2_s: float, target_mol_m2_d: float, stray_mol_m2_d: float = 0.0, *,
    power_w: float | None = None, kwh_minor: float | None = None,
    now: tuple[float, float] | None = None,
) -> tuple[LightChoice, ...]:  # fmt: skip
    """Dimmer and hours that give a wanted daily light, each with its power and cost for thirty days.

    The setting of today comes first, so that it can be held against the others; then one a day length, the
    shortest first.

    Parameters
    ----------
    ppfd_umol_m2_s : float
        The lamp's light at full power where the wanted light is to be. [umol/m2/s] Valid 0..3000.
    target_mol_m2_d : float
        Wanted daily light, stray light in it. [mol/m2/d] Valid 0..60.
    stray_mol_m2_d : float
        Daily light from elsewhere. [mol/m2/d] Valid 0..60.
    power_w : float or None
        Power drawn at full. [W] Valid 0..10000.
    kwh_minor : float or None
        Price of a kilowatt-hour in the smallest coin. [minor] Valid 0..100000.
    now : tuple of float or None
        Today's dimmer and hours.

    Returns
    -------
    tuple of LightChoice
        Empty but for today's where stray light alone is enough or the lamp is too weak for sixteen hours.

    Raises
    ------
    RefusedInput
        If a number is nan or out of range.

    Notes
    -----
    hours = (target - stray) / (0.0036 L dimmer), in half hours from 6 to 16, dimmer in steps of a twentieth;
    only those within a twentieth of what is wanted. kWh = P dimmer hours 30 / 1000, power taken as falling
    with the dimmer, which flatters cheap drivers. Light and power are both in proportion, so that all choices
    cost about alike: what differs is how close the steps come, and what a grower wants of the day.

    Source: purdue-ho-238; own definition (choice)

    Examples
    --------
    >>> [(one.dimmer_frac, one.lamp_h) for one in light_choices(100, 2.16)][:2]
    [(1.0, 6.0), (0.9, 6.5)]
    """
    full, wanted = _PPFD.one(ppfd_umol_m2_s), _DAILY.one(target_mol_m2_d)
    stray = _DAILY.one(stray_mol_m2_d)
    power = None if power_w is None else _POWER.one(power_w)
    price = None if kwh_minor is None else _PRICE.one(kwh_minor)

    def choice(dimmer: float, hours: float, *, is_now: bool = False) -> LightChoice:
        daily = 0.0036 * full * dimmer * hours + stray
        kwh = None if power is None else power * dimmer * hours * MONTH_DAYS / 1000.0
        cost = None if kwh is None or price is None else kwh * price
        return LightChoice(dimmer, hours, daily, kwh, cost, is_now, _note(daily, wanted, hours))

    found = []
    if now is not None:
        found.append(choice(_DIMMER.one(now[0]), _HOURS.one(now[1]), is_now=True))
    if full <= 0.0 or wanted <= stray:
        return tuple(found)
    return (*found, *_nearest(full, wanted - stray, choice))


def _nearest(
    full: float, lamp_mol_m2_d: float, choice: Callable[[float, float], LightChoice]
) -> Sequence[LightChoice]:
    """The best dimmer for each day length, those that come close only."""
    kept = []
    steps = round((MOST_H - LEAST_H) / STEP_H)
    for step in range(steps + 1):
        hours = LEAST_H + STEP_H * step
        exact = lamp_mol_m2_d / (0.0036 * full * hours)
        dimmer = round(exact / DIMMER_STEP_FRAC) * DIMMER_STEP_FRAC
        off = abs(dimmer / exact - 1.0)
        if 0.0 < dimmer <= 1.0 + 1e-9 and off <= _CLOSE_FRAC:
            kept.append(choice(min(round(dimmer, 4), 1.0), hours))
    return kept


def _note(daily: float, wanted: float, hours: float) -> str:
    """What is to be said of a choice."""
    if wanted and abs(daily / wanted - 1.0) > _CLOSE_FRAC:
        way = "over" if daily > wanted else "under"
        return f"{100 * abs(daily / wanted - 1.0):.0f} % {way} what is wanted"
    return "a long day: algae like it more than plants do" if hours > 12.0 else ""


def spot_word(
    low_mol_m2_d: float, mid_mol_m2_d: float, high_mol_m2_d: float, wants: tuple[float, float]
) -> str:
    """Whether the light of a spot suits a taxon: too dim, good, too bright, or not known.

    Parameters
    ----------
    low_mol_m2_d : float
        Low end of the 80 % range of the spot's daily light. [mol/m2/d] Valid 0 upward.
    mid_mol_m2_d : float
        Its median. [mol/m2/d] Valid 0 upward.
    high_mol_m2_d : float
        High end. [mol/m2/d] Valid 0 upward.
    wants : tuple of float
        What the taxon takes, from and to.

    Returns
    -------
    str
        One of SPOT_LIGHTS.

    Raises
    ------
    RefusedInput
        If what the taxon takes is turned round.

    Notes
    -----
    Good where the median lies within; dim or bright where it lies outside. Not known where the 80 % range
    spans the whole of what the taxon takes and more: then the reading decides, not the map.

    Source: own definition

    Examples
    --------
    >>> spot_word(1.5, 2.0, 2.5, (1.2, 4.0))
    'good'
    """
    least, most = wants
    if not least <= most:
        raise RefusedInput("light of a taxon", f"{least:g} to {most:g}", "from the least to the most")
    if low_mol_m2_d < least and high_mol_m2_d > most:
        return "not known"
    if mid_mol_m2_d < least:
        return "too dim"
    return "too bright" if mid_mol_m2_d > most else "good"
