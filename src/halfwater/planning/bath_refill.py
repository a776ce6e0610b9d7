"""Siphon x litres and refill with y: what brings a bath back to where its plants want it."""

from dataclasses import dataclass

from halfwater.plain.bath import EcLimit, RefillAdvice
from halfwater.plain.figures import show
from halfwater.plain.growing import Span
from halfwater.science.bath_facts import BathAnswer
from halfwater.science.steady_bath import Refill, ec_after_refill, refill_for_target

_MOST_TAKEN_FRAC = 2.0 / 3.0  # of a bath, before plain water is poured in instead of the fill mix
_DUE = 0.5  # chance of being past the limit at which it is time


@dataclass(frozen=True, slots=True)
class RefillChoice:
    """What the grower would pour in."""

    name: str  # of the mix or water
    ec_ms_cm: float


def usual_refill(
    answer: BathAnswer, limit: EcLimit, fill: RefillChoice | None, water: RefillChoice
) -> RefillChoice:
    """What is poured in where nobody said: the fill mix, unless only plain water brings the bath down enough.

    Parameters
    ----------
    answer : BathAnswer
        The bath as reckoned.
    limit : EcLimit
        What its plants bear.
    fill : RefillChoice or None
        The fill mix, where there is one.
    water : RefillChoice
        The nursery's own water.

    Returns
    -------
    RefillChoice
        One of the two.

    Raises
    ------
    RefusedInput
        If an EC of what could be poured in is out of range.

    Notes
    -----
    The fill mix where it is below the middle of the target range, and, for a bath above that, where it
    reaches it with at least a third of the bath left standing.

    Source: own definition
    """
    middle = (limit.target_low_ms_cm + min(limit.target_high_ms_cm, limit.action_ms_cm)) / 2.0
    if fill is None or fill.ec_ms_cm > middle:
        return water
    volume, ec = answer.volume_l[1], answer.ec_now[1]
    if ec <= middle:
        return fill
    plan = refill_for_target(
        volume, ec, middle, fill.ec_ms_cm, end_l=min(answer.after_siphon_l, volume) or volume,
        held_l=answer.held_l,
    )  # fmt: skip
    return fill if plan.is_reachable and plan.siphon_l <= _MOST_TAKEN_FRAC * volume else water


def refill_advice(
    answer: BathAnswer, limit: EcLimit, choice: RefillChoice, *, target_ms_cm: float | None = None,
    units: str = "metric",
) -> RefillAdvice:  # fmt: skip
    """Litres to siphon and to refill so that the bath comes to its target, with the range that gives.

    The bath ends at the volume it has after the usual siphon. Due where it is likelier than not past the
    action limit, now or at its siphon date.

    Parameters
    ----------
    answer : BathAnswer
        The bath as reckoned.
    limit : EcLimit
        What its plants bear.
    choice : RefillChoice
        What would be poured in.
    target_ms_cm : float or None
        Wanted EC; None takes the middle of the target range. [mS/cm] Valid 0..20.
    units : str
        "metric" or "us", for the sentence.

    Returns
    -------
    RefillAdvice
        Litres, EC before and after, and one sentence.

    Raises
    ------
    RefusedInput
        If the target or the EC of what is poured in is out of range.

    Notes
    -----
    See `refill_for_target`. The range after holds the litres fixed and takes the range before. A target
    that this refill cannot reach is answered with the best it can.

    Source: own definition
    """
    middle = (limit.target_low_ms_cm + min(limit.target_high_ms_cm, limit.action_ms_cm)) / 2.0
    target = middle if target_ms_cm is None else target_ms_cm
    volume, ec = answer.volume_l[1], answer.ec_now[1]
    plan = refill_for_target(
        volume, ec, target, choice.ec_ms_cm, end_l=min(answer.after_siphon_l, volume) or volume,
        held_l=answer.held_l,
    )  # fmt: skip
    after = [
        ec_after_refill(volume, x, plan.siphon_l, plan.refill_l, choice.ec_ms_cm, held_l=answer.held_l)
        for x in answer.ec_now
    ]
    at_siphon = answer.p_past_action_at_siphon
    is_due = answer.p_past_action_now >= _DUE or at_siphon >= _DUE
    return RefillAdvice(
        is_due=is_due,
        siphon_l=plan.siphon_l,
        refill_l=plan.refill_l,
        refill_name=choice.name,
        ec_before=Span(*answer.ec_now),
        ec_after=Span(*after),
        target_ms_cm=target,
        said=_said(plan, choice, target, is_due, units),
        is_reachable=plan.is_reachable,
    )


def _said(plan: Refill, choice: RefillChoice, target: float, is_due: bool, units: str) -> str:
    wanted = show(target, "ms_cm", units)
    if not plan.is_reachable:
        best = show(plan.ec_ms_cm, "ms_cm", units)
        has = show(choice.ec_ms_cm, "ms_cm", units)
        if not is_due:
            return f"Nothing is due. {choice.name} at {has} would bring the bath to {best}, not to {wanted}."
        return (
            f"{choice.name} at {has} cannot bring the bath to {wanted}: "
            f"siphoning {show(plan.siphon_l, 'l', units)} and refilling "
            f"{show(plan.refill_l, 'l', units)} leaves {best}."
        )
    does = (
        f"Siphon {show(plan.siphon_l, 'l', units)} and refill with {show(plan.refill_l, 'l', units)} of "
        f"{choice.name}"
    )
    if is_due:
        return f"{does}: the bath comes to {wanted}."
    return f"Nothing is due. {does} would bring the bath to {wanted}."
