"""What to do about algae, one thing at a time, in the order in which to act."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from halfwater.plain.figures import show
from halfwater.plain.growing import Span
from halfwater.plain.lid import AlgaeAct, AlgaeWatch
from halfwater.plain.working import Working
from halfwater.science.algae import AlgaeHazard, algae_chance, pull_levers

ACT_FRAC = 0.25  # chance in a month from which on something is worth doing unseen
SEEN_DAYS = 30  # a sighting so old is over, unless it is seen again
WET_FRAC = 0.05  # of a month: below this the waterline is not what feeds them
LEAST_H = 8.0  # hours are not taken below this
_STRENGTHS = {1: "little", 2: "some", 3: "much"}


@dataclass(frozen=True, slots=True)
class AlgaeFacts:
    """One tank as algae find it."""

    tank: int
    tank_name: str
    ppfd_umol_m2_s: float  # the lamp's, as it is set
    lamp_h: float
    stray_mol_m2_d: float
    is_light_known: bool
    ec_ms_cm: float
    wet_frac: float  # share of the last month with the bath above its limit line
    seen_on: date | None
    seen_strength: int  # 0 to 3
    acted_on: date | None = None  # a siphon or another setting of the lamp since it was seen


def algae_acts(hazard: AlgaeHazard, facts: AlgaeFacts, on: date) -> AlgaeWatch:
    """The chance of algae in one tank, and what to do in its order: waterline, hours, intensity.

    The first lever that can still be pulled is the next act; the others wait for it, and all wait for a
    month after a siphon or another setting of the lamp.

    Parameters
    ----------
    hazard : AlgaeHazard
        What is believed, from the grower's own months.
    facts : AlgaeFacts
        The tank.
    on : date
        Today.

    Returns
    -------
    AlgaeWatch
        No acts where nothing was seen for a month and the chance is below a quarter.

    Raises
    ------
    RefusedInput
        If a figure is nan or out of range.

    Notes
    -----
    The order is common practice: light on a wet surface makes algae, and a dry surface costs plants nothing.
    The waterline is left out where the bath stood below its limit line all month, hours where they are
    eight or fewer. Each act's chance is that of its lever alone.

    Source: own definition
    """
    daily = 0.0036 * facts.ppfd_umol_m2_s * facts.lamp_h + facts.stray_mol_m2_d
    chance = algae_chance(hazard, daily, facts.ec_ms_cm, facts.wet_frac)
    month = Span(*(float(np.asarray(x)) for x in (chance.low_frac, chance.p_frac, chance.high_frac)))
    is_seen = facts.seen_on is not None and (on - facts.seen_on).days <= SEEN_DAYS and facts.seen_strength > 0
    acts: tuple[AlgaeAct, ...] = ()
    if (is_seen and facts.seen_strength >= 2) or month.p50 >= ACT_FRAC:
        acts = _acts(hazard, facts, is_waiting=_is_waiting(facts, on))
    return AlgaeWatch(
        tank=facts.tank,
        tank_name=facts.tank_name,
        p_month=month,
        acts=acts,
        seen_on=facts.seen_on,
        seen_word=_STRENGTHS.get(facts.seen_strength, "") if is_seen else "",
        dli_mol_m2_d=daily if facts.is_light_known else None,
        ec_ms_cm=facts.ec_ms_cm,
        wet_frac=facts.wet_frac,
        months=hazard.months,
        seen_months=hazard.seen,
        said=_said(facts, month, acts, is_seen),
        workings=(_working(hazard, facts, daily, month),),
    )


def _is_waiting(facts: AlgaeFacts, on: date) -> bool:
    """Whether something was done since algae were seen, and has to show yet."""
    acted, seen = facts.acted_on, facts.seen_on
    return acted is not None and (seen is None or acted >= seen) and (on - acted).days < SEEN_DAYS


def _acts(hazard: AlgaeHazard, facts: AlgaeFacts, *, is_waiting: bool) -> tuple[AlgaeAct, ...]:
    after = dict(
        pull_levers(
            hazard, facts.ppfd_umol_m2_s, facts.lamp_h, facts.stray_mol_m2_d, facts.ec_ms_cm, facts.wet_frac
        )
    )
    shorter = max(facts.lamp_h * 2.0 / 3.0, LEAST_H)
    told = []
    if facts.wet_frac >= WET_FRAC:
        told.append(("waterline", "Siphon to the low line and keep the bath under its limit line."))
    if facts.lamp_h > LEAST_H:
        told.append(("hours", f"Shorten the day from {facts.lamp_h:g} to {shorter:.3g} hours."))
    if facts.ppfd_umol_m2_s > 0.0:
        told.append(("intensity", "Turn the dimmer down by a third."))
    return tuple(
        AlgaeAct(lever, said, after[lever], is_next=place == 0 and not is_waiting)
        for place, (lever, said) in enumerate(told)
    )


def _said(facts: AlgaeFacts, month: Span, acts: tuple[AlgaeAct, ...], is_seen: bool) -> str:
    chance = f"a {100 * month.p50:.0f} % chance of a nuisance in a month"
    if is_seen:
        seen = (
            f"Algae were seen here ({_STRENGTHS.get(facts.seen_strength, 'little')}); {chance} from now on."
        )
    else:
        seen = f"No algae were seen here lately; {chance}."
    if not acts:
        return f"{seen} Nothing needs doing."
    if not acts[0].is_next:
        return f"{seen} Something was done since: give it a month before the next."
    return f"{seen} First: {acts[0].said[0].lower()}{acts[0].said[1:]}"


def _working(hazard: AlgaeHazard, facts: AlgaeFacts, daily: float, month: Span) -> Working:
    return Working(
        "Chance of algae in a month",
        "logit p = b0 + b1 (DLI − 2) + b2 (EC − 0.6) / 0.4 + b3 wet",
        (
            ("daily light", show(daily, "mol_m2_d") if facts.is_light_known else "not known, taken as 0"),
            ("EC of the bath", show(facts.ec_ms_cm, "ms_cm")),
            ("share of the month above the limit line", show(facts.wet_frac, "frac")),
            ("tank-months of this nursery", f"{hazard.months}, {hazard.seen} of them with algae"),
        ),
        f"{100 * month.p50:.0f} % ({100 * month.p10:.0f} to {100 * month.p90:.0f} %)",
        "starting values, Algae; gelman-bda3, section 16.3",
        "a guess until a dozen months of this nursery have been heard",
    )
