"""Ship, liner, heat pack or hold: the mildest measure that keeps a parcel's plants safe, rules on top."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from halfwater.errors import RefusedInput
from halfwater.plain.figures import show
from halfwater.plain.growing import Span
from halfwater.plain.transit import (
    ArrivalFact,
    GrowerRules,
    Leg,
    Measure,
    PackingBench,
    ParcelLoad,
    ShippingBox,
    TransitAdvice,
    TransitLimits,
    TransitMargins,
    TransitOutlook,
)
from halfwater.planning.parcel_heat import MOST_PACKS, transit_outlooks
from halfwater.planning.transit_limits import tenderest
from halfwater.planning.transit_words import (
    CAUTIONS,
    PACK_CAUTION,
    advice_sentence,
    advice_workings,
    day_reasons,
    margin_workings,
    model_reason,
)
from halfwater.science import starting
from halfwater.science.insulation import MATERIALS
from halfwater.science.parcel_arrivals import ArrivalLessons, Arrived, lessons_of

CUBIC_FOOT_L = 28.316846592  # one pack each, as sellers use them
_INSULATED_M2K_W = 0.4  # a wall that holds back as much needs no liner: 15 mm of foam
_NOT_TO_BE_HAD = "What your rules ask for is not at hand, or would do harm on this way: so it is held."
_TO_SD = 1.0 / 2.5631031310892007  # an 80 % range of a normal law to its spread


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the grower's rules ask for on a way."""

    is_held: bool
    has_liner: bool
    has_pack: bool
    reasons: tuple[str, ...]

    @property
    def decision(self) -> str:
        """The word that the rules alone come to."""
        return "hold" if self.is_held else Measure(self.has_liner, int(self.has_pack)).decision

    def is_met_by(self, measure: Measure, is_insulated: bool) -> bool:
        """Whether a measure is at least what the rules ask for."""
        has_wall = measure.has_liner or is_insulated
        return (has_wall or not self.has_liner) and (measure.packs > 0 or not self.has_pack)


def margins_of(arrivals: Sequence[ArrivalFact], units: str = "metric") -> TransitMargins:
    """Corrections of forecasts and limits that the record of arrivals teaches.

    Parameters
    ----------
    arrivals : sequence of ArrivalFact
        Parcels that arrived; none give the starting values.
    units : str
        "metric" or "us", for the words.

    Returns
    -------
    TransitMargins
        Biases, shifts of limits, usual loss and delay, with how they were worked out.

    Raises
    ------
    RefusedInput
        If a record has more living plants than were sent, more damaged than living, or a range turned round.

    Notes
    -----
    As `lessons_of`: spoilt is dead or damaged; the spread of a forecast is its 80 % range over 2.563.

    Source: own definition

    Examples
    --------
    >>> margins_of(()).parcels
    0
    """
    lessons = lessons_of([_arrived(fact) for fact in arrivals])
    return _margins(len(arrivals), lessons, units)


def advise_parcel(
    box: ShippingBox,
    load: ParcelLoad,
    legs: Sequence[Leg],
    limits: Sequence[TransitLimits],
    seed: int,
    bench: PackingBench | None = None,
    units: str = "metric",
    draws: int = 400,
) -> TransitAdvice:
    """Advice for one parcel on one way: ship it as it is, lined, with heat packs, or hold it.

    The mildest measure is taken that keeps the chance of harm by cold and the chance of harm by heat within a
    tenth each. The grower's rules can only add caution to it; where both speak, both are said.

    Parameters
    ----------
    box : ShippingBox
        The box.
    load : ParcelLoad
        What is in it.
    legs : sequence of Leg
        The way with its weather, at least one leg.
    limits : sequence of TransitLimits
        Of each taxon in the box, at least one.
    seed : int
        Of the draws.
    bench : PackingBench or None
        Liner and heat packs at hand, the grower's own rules, what arrivals taught; None for nothing of it.
    units : str
        "metric" or "us", for the words.
    draws : int
        How many.

    Returns
    -------
    TransitAdvice
        Decision, measure, what was tried, reasons, cautions, workings.

    Raises
    ------
    RefusedInput
        If the box, its load, the way or the limits cannot be.

    Notes
    -----
    Tried: as it is, liner, then 1, 2 ... packs with and without it, up to one pack for each cubic foot begun.
    Too many days in the box hold it. Held by the model when no measure is safe; by the rules when the coldest
    or hottest forecast passes their line, or when what they ask for is not at hand or would do harm.

    Source: priors, Boxes on their way
    """
    if not legs:
        raise RefusedInput("legs", "none", "at least one leg of the way")
    hardest, bench = tenderest(limits), bench or PackingBench()
    margins = bench.margins or margins_of((), units)
    measures = measures_for(box, bench.liner is not None, bench.pack is not None, bench.rules.most_packs)
    tried = transit_outlooks(
        box, load, legs, hardest, measures, margins, seed, bench.liner, bench.pack, draws
    )
    asked = _asked(legs, tried[0].in_box_days, bench.rules, units)
    chosen, safe = _decided(tried, asked, hardest, is_insulated(box))
    shown = chosen or safe or min(tried, key=_harm)
    decision = chosen.measure.decision if chosen else "hold"
    denied = (_NOT_TO_BE_HAD,) if safe is not None and chosen is None and not asked.is_held else ()
    by_model = model_reason(safe, shown, hardest, units)
    return TransitAdvice(
        decision,
        shown.measure,
        shown,
        tried,
        safe.measure.decision if safe else "hold",
        asked.decision,
        advice_sentence(decision, shown, units),
        (by_model, *asked.reasons, *denied, *day_reasons(shown, hardest, margins)),
        (*CAUTIONS, PACK_CAUTION) if shown.measure.packs else CAUTIONS,
        (*advice_workings(box, load, bench, shown, hardest, units), *margins.workings),
    )


def measures_for(
    box: ShippingBox, has_liner: bool, has_packs: bool, most_packs: int | None = None
) -> tuple[Measure, ...]:
    """Measures that a box may be given, the mildest first.

    Parameters
    ----------
    box : ShippingBox
        The box.
    has_liner : bool
        Whether a liner is at hand.
    has_packs : bool
        Whether heat packs are.
    most_packs : int or None
        The grower's own limit.

    Returns
    -------
    tuple of Measure
        As it is, liner, then with each number of packs without and with liner.

    Raises
    ------
    RefusedInput
        If the limit is negative.

    Notes
    -----
    One pack for each cubic foot begun, six at most: more need more air than a closed box has.

    Source: priors, Boxes on their way
    """
    most = min(max(1, math.ceil(box.inside_l / CUBIC_FOOT_L)), MOST_PACKS) if has_packs else 0
    if most_packs is not None:
        if most_packs < 0:
            raise RefusedInput("most_packs", most_packs, "0 or more heat packs")
        most = min(most, most_packs)
    liners = (False, True) if has_liner else (False,)
    return tuple(Measure(has_liner, packs) for packs in range(most + 1) for has_liner in liners)


def is_insulated(box: ShippingBox) -> bool:
    """Whether a box needs no liner, for its walls hold back as much as one.

    Parameters
    ----------
    box : ShippingBox
        The box with its layers.

    Returns
    -------
    bool
        From 0.4 m2 K/W on, as 15 mm of foam have.

    Notes
    -----
    Sum of thickness over conductivity; the airs at both faces are left out. A material that is not known
    counts nothing here and is refused where the box is reckoned with.

    Source: own definition
    """
    held = 0.0
    for layer in box.layers:
        material = MATERIALS.get(layer.material)
        own = layer.conductivity_w_mk or (material.conductivity_w_mk if material else math.inf)
        held += layer.thickness_mm * 1e-3 / own
    return held >= _INSULATED_M2K_W


def _decided(
    tried: Sequence[TransitOutlook], asked: _Asked, limits: TransitLimits, is_lined: bool
) -> tuple[TransitOutlook | None, TransitOutlook | None]:
    """The mildest measure that is safe and all that the rules ask for, and the mildest that is safe."""
    safe = [outlook for outlook in tried if _is_safe(outlook, limits)]
    fitting = [outlook for outlook in safe if asked.is_met_by(outlook.measure, is_lined)]
    chosen = fitting[0] if fitting and not asked.is_held else None
    return chosen, safe[0] if safe else None


def _is_safe(outlook: TransitOutlook, limits: TransitLimits) -> bool:
    worst = max(outlook.p_too_cold, outlook.p_too_hot)
    return worst <= starting.HARM_FRAC and outlook.in_box_days <= limits.most_days


def _harm(outlook: TransitOutlook) -> float:
    return outlook.p_too_cold + outlook.p_too_hot


def _asked(legs: Sequence[Leg], days: float, rules: GrowerRules, units: str) -> _Asked:
    """What the grower's rules say to the forecasts of a way, each with its sentence."""
    low, high = min(leg.low_c for leg in legs), max(leg.high_c for leg in legs)
    cold, hot = f"the way has {show(low, 'c', units)}", f"the way has {show(high, 'c', units)}"
    checks = (
        ("hold", rules.hold_below_c, low, True, cold),
        ("hold", rules.hold_above_c, high, False, hot),
        ("heat pack", rules.pack_below_c, low, True, cold),
        ("liner", rules.liner_below_c, low, True, cold),
        ("liner", rules.liner_above_c, high, False, hot),
    )
    asked, reasons = [], []
    for word, line, value, is_below, seen in checks:
        if line is not None and (value < line if is_below else value > line):
            asked.append(word)
            side = "below" if is_below else "above"
            reasons.append(f"Your rule: {word} {side} {show(line, 'c', units)}; {seen}.")
    if rules.most_days is not None and days > rules.most_days:
        asked.append("hold")
        most, takes = show(rules.most_days, "days"), show(days, "days")
        reasons.append(f"Your rule: {most} in the box at most; this way takes {takes}.")
    return _Asked("hold" in asked, "liner" in asked, "heat pack" in asked, tuple(reasons))


def _arrived(fact: ArrivalFact) -> Arrived:
    if not 0 <= fact.alive <= fact.plants:
        raise RefusedInput("alive", fact.alive, f"0 to the {fact.plants} plants sent", fact.parcel)
    if not 0 <= fact.damaged <= fact.alive:
        raise RefusedInput("damaged", fact.damaged, f"0 to the {fact.alive} that live", fact.parcel)
    return Arrived(
        fact.plants,
        fact.plants - fact.alive + fact.damaged,
        fact.late_days,
        fact.coldest.p50,
        _spread(fact.coldest, fact.parcel),
        fact.hottest.p50,
        _spread(fact.hottest, fact.parcel),
        fact.low_limit_c,
        fact.high_limit_c,
        fact.logger_low_c,
        fact.logger_high_c,
    )


def _spread(span: Span, parcel: str) -> float:
    if not span.p10 <= span.p50 <= span.p90:
        raise RefusedInput("forecast", f"{span.p10:g} to {span.p90:g}", "a range in order", parcel)
    return (span.p90 - span.p10) * _TO_SD


def _margins(parcels: int, lessons: ArrivalLessons, units: str) -> TransitMargins:
    return TransitMargins(
        parcels,
        lessons.cold_bias.mean_c,
        lessons.cold_bias.sd_c,
        lessons.hot_bias.mean_c,
        lessons.hot_bias.sd_c,
        lessons.low_shift.mean_c,
        lessons.low_shift.sd_c,
        lessons.high_shift.mean_c,
        lessons.high_shift.sd_c,
        lessons.loss_frac,
        lessons.p_late,
        lessons.late_days,
        margin_workings(parcels, lessons, units),
    )
