"""The bath's page: what the salts are now, where they go, why, and what to do."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import floor, isnan

from halfwater.plain.bath import (
    BathMark,
    BathOutlook,
    EcLimit,
    EcOn,
    EcRead,
    EcVerdict,
    NutrientOutlook,
    RefillAdvice,
)
from halfwater.plain.figures import show, show_range
from halfwater.plain.growing import Span
from halfwater.planning.bath_ph import ph_verdict
from halfwater.planning.bath_refill import RefillChoice, refill_advice
from halfwater.planning.bath_verdict import ec_verdict
from halfwater.planning.bath_workings import bath_workings
from halfwater.science import starting
from halfwater.science.bath_facts import SALTS, BathAnswer, EcDay
from halfwater.science.siphon import siphon_minutes

_EPOCH = date(1970, 1, 1)
_FRESH_DAYS = 3.0
_STALE_DAYS = 14.0  # older than this, an EC reading is the first thing to ask for
_NARROWS = {
    "ec": "An EC reading of the bath narrows this most.",
    "waterline": "A reading of the waterline narrows this most: the same salt in less water is stronger.",
    "plants": "EC readings two weeks apart narrow this most: they tell what the plants take.",
    "spray": "EC of the spray, measured once when it is mixed, narrows this most.",
}
_SPENT = "Spent solution waters house plants or goes down the sink: never to a drain that leads outdoors."
_SIPHON = "Never start a siphon by mouth. Lamps and pumps off before hands go into the water."
_UREA = "Nitrogen as urea does not show on the meter until it has turned: {amount} of it now."


@dataclass(frozen=True, slots=True)
class BathNotes:
    """What stands in the book beside the reckoning: siphons and fills for the picture, pH as read."""

    marks: tuple[BathMark, ...] = ()
    ph: tuple[tuple[date, float], ...] = ()


_NOTHING = BathNotes()


def bath_outlook(
    answer: BathAnswer, limit: EcLimit, choice: RefillChoice, now_day: float, *,
    tank: int, tank_name: str, notes: BathNotes = _NOTHING, target_ms_cm: float | None = None,
    units: str = "metric",
) -> BathOutlook:  # fmt: skip
    """One tank's salts for page, command and Tonight, from its reckoning.

    What the page says in one sentence, its figures, its picture and its workings.

    Parameters
    ----------
    answer : BathAnswer
        What `reckon_bath` gave.
    limit : EcLimit
        What the plants bear.
    choice : RefillChoice
        What would be poured in after a siphon.
    now_day : float
        Now, the local day the answer was reckoned for. [d] Valid any finite.
    tank : int
        Key of the tank.
    tank_name : str
        Its name.
    notes : BathNotes
        Siphons, fills and pH readings; nothing by default.
    target_ms_cm : float or None
        Wanted EC after the refill; None takes the middle of the target range. [mS/cm] Valid 0..20.
    units : str
        "metric" or "us", for sentences.

    Returns
    -------
    BathOutlook
        Dates are nursery days.

    Raises
    ------
    RefusedInput
        If a pH or a target is out of range.

    Notes
    -----
    No arithmetic of its own beyond dates; see `ec_verdict`, `refill_advice`, `ph_verdict`.

    Source: own definition
    """
    verdict = ec_verdict(answer, limit)
    refill = refill_advice(answer, limit, choice, target_ms_cm=target_ms_cm, units=units)
    readings = _readings(answer)
    in_sight = answer.ec_at_siphon is not None
    siphon_on = _on(now_day + answer.siphon_p50_day) if in_sight else None
    return BathOutlook(
        tank=tank,
        tank_name=tank_name,
        on=_on(now_day),
        ec_now=Span(*answer.ec_now),
        ec_at_siphon=Span(*answer.ec_at_siphon) if answer.ec_at_siphon is not None else None,
        siphon_p50_on=siphon_on,
        ec_in_90_days=Span(*answer.ec_in_90_days),
        steady_ms_cm=answer.steady_ms_cm,
        low_steady_ms_cm=answer.low_steady_ms_cm,
        p_past_action_now_frac=answer.p_past_action_now,
        p_past_action_at_siphon_frac=answer.p_past_action_at_siphon if in_sight else None,
        limit=limit,
        nutrients=_nutrients(answer),
        verdict=verdict,
        refill=refill,
        ph=ph_verdict(notes.ph),
        last_reading_on=None if isnan(answer.last_reading_day) else _on(answer.last_reading_day),
        odd=tuple(reading for reading in readings if reading.is_odd),
        readings=readings,
        marks=notes.marks,
        past=_days(answer.past),
        ahead=_days(answer.ahead),
        said=_said(answer, limit, verdict, siphon_on, units),
        narrows_most=_narrows_most(answer, now_day),
        learned=_learned(answer),
        cautions=_cautions(answer, refill, units),
        workings=bath_workings(answer, limit, refill, units),
    )


def _on(day: float) -> date:
    """The date of a local day counted from 1970."""
    return _EPOCH + timedelta(days=floor(day))


def _readings(answer: BathAnswer) -> tuple[EcRead, ...]:
    odd = {(misfit.day, misfit.read_ms_cm) for misfit in answer.misfits}
    return tuple(EcRead(_on(day), ec, _is_odd(day, ec, odd)) for day, ec in answer.readings)


def _learned(answer: BathAnswer) -> dict[str, Span]:
    """What the readings taught of this tank."""
    return {
        "salts that arrive": Span(*answer.arrives_frac),
        "nitrogen taken, mg a day": Span(*answer.uptake_n_mg_day),
    }


def _is_odd(day: float, ec: float, odd: set[tuple[float, float]]) -> bool:
    """Whether this reading is one of those set aside; the filter may have moved it by a moment."""
    return any(abs(day - other) < 0.1 and ec == read for other, read in odd)


def _days(days: Sequence[EcDay]) -> tuple[EcOn, ...]:
    """One range a date, the last of the day."""
    last = {_on(one.day): one for one in days}
    return tuple(EcOn(on, one.ec_p10_ms_cm, one.ec_p50_ms_cm, one.ec_p90_ms_cm) for on, one in last.items())


def _nutrients(answer: BathAnswer) -> tuple[NutrientOutlook, ...]:
    """Nutrients in the order of a label, urea after the nitrogen that the meter sees."""
    told = []
    for name in ("N", "urea N", "P", "K", "Ca", "Mg"):
        later = answer.salts_at_siphon.get(name)
        steady = None if answer.steady_salts is None else float(answer.steady_salts[SALTS.index(name)])
        told.append(
            NutrientOutlook(
                name=name,
                mg_l=Span(*answer.salts_now[name]),
                at_siphon_mg_l=None if later is None else Span(*later),
                steady_mg_l=None if name == "urea N" else steady,
            )
        )
    return tuple(told)


def _said(answer: BathAnswer, limit: EcLimit, verdict: EcVerdict, siphon_on: date | None, units: str) -> str:
    """The one sentence of the page."""
    low, mid, high = answer.ec_now
    now = f"EC {show(mid, 'ms_cm', units)} ({show_range(low, high, 'ms_cm', units)})"
    if mid > limit.alarm_ms_cm:
        return f"{now}: past the {limit.alarm_ms_cm:g} no slow plant is kept at. Siphon and refill tonight."
    if answer.p_past_action_now >= 0.5:
        return f"{now}: past the limit of {limit.action_ms_cm:g}. Siphon and refill."
    if answer.ec_at_siphon is None:
        return f"{now}; no siphon is in sight. {verdict.said}"
    then = show(answer.ec_at_siphon[1], "ms_cm", units)
    days = round(answer.siphon_p50_day)
    when = "now" if days < 1 else f"in {days} day{'' if days == 1 else 's'}"
    if answer.p_past_action_at_siphon >= 0.5:
        return (
            f"{now}; it will pass the limit of {limit.action_ms_cm:g} before its siphon {when}: {then} then."
        )
    return f"{now}, about {then} when its siphon is due {when}. {verdict.said}"


def _narrows_most(answer: BathAnswer, now_day: float) -> str:
    """The one measurement worth most."""
    if isnan(answer.last_reading_day):
        return "EC has never been read here. One reading of the bath narrows this most."
    if now_day - answer.last_reading_day > _STALE_DAYS or not answer.narrowing:
        return _NARROWS["ec"]
    is_fresh = now_day - answer.last_reading_day < _FRESH_DAYS  # a second one so soon tells little
    worth = {name: gain for name, gain in answer.narrowing.items() if not (is_fresh and name == "ec")}
    return _NARROWS[max(worth, key=lambda name: worth[name])] if worth else ""


def _cautions(answer: BathAnswer, refill: RefillAdvice, units: str) -> tuple[str, ...]:
    """What to mind with hands in the bath."""
    urea = answer.salts_now["urea N"][1]
    told = [_SIPHON, _SPENT] if refill.is_due or refill.siphon_l > 0.0 else []
    if refill.siphon_l > 0.0:
        told.append(_siphon_runs(refill.siphon_l, units))
    if urea >= 1.0:
        told.append(_UREA.format(amount=show(urea, "mg_l", units)))
    return tuple(told)


def _siphon_runs(siphon_l: float, units: str) -> str:
    """How long to stay beside the hose; a bath sinks little under so long a head."""
    bore_mm, head_mm = starting.SIPHON_BORE_MM, starting.SIPHON_HEAD_MM
    minutes = siphon_minutes(siphon_l, head_mm, bore_mm, starting.SIPHON_HOSE_MM)
    took = f"{minutes:.0f} minutes" if minutes >= 1.5 else "a minute"
    hose = f"a hose of {show(bore_mm, 'mm', units)}"
    return (
        f"{show(siphon_l, 'l', units)} run out in about {took} through {hose}, "
        f"its end {show(head_mm, 'mm', units)} below the water: stay beside it."
    )
