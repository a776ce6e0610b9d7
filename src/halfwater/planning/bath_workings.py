"""How the figures of a bath were worked out: equation, inputs, value, source."""

from halfwater.plain.bath import EcLimit, RefillAdvice
from halfwater.plain.figures import show, show_range
from halfwater.plain.growing import Span
from halfwater.plain.working import Working
from halfwater.science.bath_facts import BathAnswer

_PRIORS = "starting values, Salts in the bath"


def bath_workings(
    answer: BathAnswer, limit: EcLimit, refill: RefillAdvice, units: str = "metric"
) -> tuple[Working, ...]:
    """The steps behind a bath's figures, in the order of its page.

    EC now, EC at the siphon, the long run, the refill.

    Parameters
    ----------
    answer : BathAnswer
        The bath as reckoned.
    limit : EcLimit
        What its plants bear.
    refill : RefillAdvice
        What to do.
    units : str
        "metric" or "us".

    Returns
    -------
    tuple of Working
        Three or four steps.

    Notes
    -----
    The long run is left out for a bath that is never siphoned.

    Source: own definition
    """
    steps = [_now(answer, units), _at_siphon(answer, limit, units)]
    if answer.steady_ms_cm is not None:
        steps.append(_long_run(answer, units))
    return (*steps, _refill(answer, refill, units))


def _range(values: tuple[float, float, float], suffix: str, units: str) -> str:
    return f"{show(values[1], suffix, units)} ({show_range(values[0], values[2], suffix, units)})"


def _now(answer: BathAnswer, units: str) -> Working:
    return Working(
        title="EC now",
        equation="(V + held) C' = s X + fills + (V + held) C - taken by plants; EC = rest + ions; "
        "then corrected by each reading",
        inputs=(
            ("bath", _range(answer.volume_l, "l", units)),
            ("held by the clay", show(answer.held_l, "l", units)),
            ("share of the spray's salts that arrives", _range(answer.arrives_frac, "frac", units)),
            ("nitrogen the plants would take a day", f"{answer.uptake_n_mg_day[1]:.3g} mg"),
            ("EC readings", str(len(answer.readings))),
            ("set aside as odd", str(len(answer.misfits))),
        ),
        value=_range(answer.ec_now, "ms_cm", units),
        source=f"extended Kalman filter (durbin-koopman-2012); {_PRIORS}",
        valid="0 to 20 mS/cm; ions of the five nutrients at the strength of a bath, within about 10 %",
    )


def _at_siphon(answer: BathAnswer, limit: EcLimit, units: str) -> Working:
    causes = tuple(
        (f"{name}, a month", show(value[1], "ms_cm", units)) for name, value in answer.rates.items()
    )
    if answer.ec_at_siphon is None:
        value = "no siphon is in sight within 400 days"
    else:
        value = _range(answer.ec_at_siphon, "ms_cm", units)
    return Working(
        title="EC at the siphon",
        equation="the same balance, drawn forward four hundred times with its sprays, until the limit line",
        inputs=(*causes, ("action limit", show(limit.action_ms_cm, "ms_cm", units))),
        value=value,
        source=_PRIORS,
        valid="today's habit kept up",
    )


def _long_run(answer: BathAnswer, units: str) -> Working:
    return Working(
        title="Where the habit leads",
        equation="x C + u r C / (C + K) = brought from siphon to siphon",
        inputs=(
            ("bath after siphon and refill", show(answer.after_siphon_l, "l", units)),
            ("refill", show(answer.siphon.refill_l, "l", units)),
            ("siphons it was learned from", str(answer.siphon.times)),
        ),
        value=f"{show(answer.steady_ms_cm, 'ms_cm', units)} at the siphon, "
        f"{show(answer.low_steady_ms_cm, 'ms_cm', units)} after it",
        source="salt balance, closed form",
        valid="the same sprays, siphons and plants for many siphons",
    )


def _refill(answer: BathAnswer, refill: RefillAdvice, units: str) -> Working:
    after: Span = refill.ec_after
    return Working(
        title="Siphon and refill",
        equation="x = (EC W + A EC_y - t (W + A)) / (EC - EC_y), y = x + A, W = V + held",
        inputs=(
            ("bath", _range(answer.volume_l, "l", units)),
            ("EC", _range(answer.ec_now, "ms_cm", units)),
            ("target", show(refill.target_ms_cm, "ms_cm", units)),
            ("refill with", refill.refill_name),
        ),
        value=f"siphon {show(refill.siphon_l, 'l', units)}, refill {show(refill.refill_l, 'l', units)}: "
        f"{_range((after.p10, after.p50, after.p90), 'ms_cm', units)}",
        source="mixing of two waters",
        valid="once the bath has mixed, about a day",
    )
