"""What is said of a parcel: the sentence, the reasons, the cautions and how it was worked out."""

from collections.abc import Sequence

from halfwater.plain.figures import show, show_list, show_number, show_range
from halfwater.plain.growing import Span
from halfwater.plain.transit import (
    HeatPack,
    PackingBench,
    ParcelLoad,
    ShippingBox,
    TransitLimits,
    TransitMargins,
    TransitOutlook,
    WallLayer,
)
from halfwater.plain.working import Working
from halfwater.planning.parcel_heat import BoxFigures, box_figures
from halfwater.science import starting
from halfwater.science.insulation import biot_number, time_constant
from halfwater.science.parcel_arrivals import ArrivalLessons, Normal
from halfwater.science.transit import pack_curve

CLAIM_DAYS = 14  # chilling may show so late
CAUTIONS = (
    "A forecast is not a guarantee, and neither is a box: the range holds eight times in ten.",
    f"Chilling can show up to two weeks later: keep claims open for {CLAIM_DAYS} days.",
)
PACK_CAUTION = (
    "A heat pack needs air and must never touch plants: wrap it, fix it to the lid or a wall, and leave "
    "air holes or space beside it. It is no guarantee: now and then one hardly warms."
)
_SOURCE = "priors, Boxes on their way"


def advice_sentence(decision: str, outlook: TransitOutlook, units: str) -> str:
    """Advice in one sentence, with the temperatures that stand behind it.

    Parameters
    ----------
    decision : str
        One of the four.
    outlook : TransitOutlook
        Of the measure that is shown.
    units : str
        "metric" or "us".

    Returns
    -------
    str
        The sentence.

    Notes
    -----
    Temperatures with their 80 % range.

    Source: own definition
    """
    coldest, hottest = _temps(outlook.coldest, units), _temps(outlook.hottest, units)
    felt = f"{coldest} in the coldest moment, {hottest} in the hottest"
    words = outlook.measure.words
    if decision == "hold":
        bare = outlook.measure.decision == "ship"
        return f"Hold it back: {words if bare else f'with {words}'} the plants would be at {felt}."
    return (
        f"Ship {words}: plants at {felt}." if decision == "ship" else f"Ship with {words}: plants at {felt}."
    )


def model_reason(
    safe: TransitOutlook | None, shown: TransitOutlook, limits: TransitLimits, units: str
) -> str:
    """What physics and the limits of the plants say, the grower's rules left out.

    Parameters
    ----------
    safe : TransitOutlook or None
        The mildest that is safe.
    shown : TransitOutlook
        The one that is shown, where none is.
    limits : TransitLimits
        Of the tenderest plants.
    units : str
        "metric" or "us".

    Returns
    -------
    str
        One sentence.

    Notes
    -----
    Safe is a chance of harm of at most a tenth, by cold and by heat.

    Source: own definition
    """
    line = show(starting.HARM_FRAC, "frac")
    if safe is not None:
        word = "the box as it is" if safe.measure.decision == "ship" else safe.measure.words
        cold, hot = _chance(safe.p_too_cold), _chance(safe.p_too_hot)
        return f"By the model, {word}: harm by cold {cold}, by heat {hot}, within the {line} that is taken."
    if shown.in_box_days > limits.most_days:
        days, most = show(shown.in_box_days, "days"), show(limits.most_days, "days")
        return f"By the model it is held: {days} in the box, and these plants stand {most}."
    is_cold = shown.p_too_cold >= shown.p_too_hot
    harm, word = (shown.p_too_cold, "cold") if is_cold else (shown.p_too_hot, "heat")
    limit = show(limits.low_c if is_cold else limits.high_c, "c", units)
    return (
        f"By the model it is held: with the best of what is at hand ({shown.measure.words}) the chance of "
        f"harm by {word} is {_chance(harm)}, against a limit of {limit}."
    )


def day_reasons(shown: TransitOutlook, limits: TransitLimits, margins: TransitMargins) -> tuple[str, ...]:
    """What is said of the days in the box.

    Parameters
    ----------
    shown : TransitOutlook
        The measure that is shown.
    limits : TransitLimits
        Of the tenderest plants.
    margins : TransitMargins
        With the share of late parcels.

    Returns
    -------
    tuple of str
        A sentence where a delay would be too long, none elsewhere.

    Notes
    -----
    Planned days plus the mean delay of late parcels against the limit.

    Source: own definition
    """
    late = shown.in_box_days + margins.late_days
    if shown.in_box_days <= limits.most_days < late:
        return (
            f"One in {round(1.0 / margins.p_late)} parcels comes late; then these would be in the box for "
            f"{show(late, 'days')}, longer than the {show(limits.most_days, 'days')} they stand.",
        )
    return ()


def advice_workings(
    box: ShippingBox,
    load: ParcelLoad,
    bench: PackingBench,
    shown: TransitOutlook,
    limits: TransitLimits,
    units: str,
) -> tuple[Working, ...]:
    """How the temperatures of a parcel were worked out: walls, heat held, packs, harm.

    Parameters
    ----------
    box : ShippingBox
        The box.
    load : ParcelLoad
        What is in it.
    bench : PackingBench
        With the liner and the packs at hand.
    shown : TransitOutlook
        The measure that is shown.
    limits : TransitLimits
        Of the tenderest plants.
    units : str
        "metric" or "us".

    Returns
    -------
    tuple of Working
        Three, or four with heat packs.

    Notes
    -----
    Middle figures; the ranges come from many draws around them.

    Source: own definition
    """
    figures = box_figures(box, load, bench.liner if shown.measure.has_liner else None)
    inward = (bench.liner.layer,) if bench.liner is not None and shown.measure.has_liner else ()
    steps = [_walls((*inward, *box.layers), figures, units), _held(load, figures, units)]
    if bench.pack is not None and shown.measure.packs:
        steps.append(_packs(bench.pack, shown.measure.packs, figures))
    return (*steps, _harm(shown, limits, units))


def margin_workings(parcels: int, lessons: ArrivalLessons, units: str) -> tuple[Working, ...]:
    """How arrivals corrected the forecasts.

    Parameters
    ----------
    parcels : int
        Arrivals noted.
    lessons : ArrivalLessons
        What they taught.
    units : str
        "metric" or "us".

    Returns
    -------
    tuple of Working
        One.

    Notes
    -----
    Starting values where nothing was noted.

    Source: own definition
    """
    noted = "no arrival noted yet: starting values" if not parcels else f"{parcels} noted"
    return (
        Working(
            "What arrivals teach",
            "bias: normal, precisions add; limits and usual loss: Bayes on a grid; late: beta share",
            (
                ("arrivals", noted),
                ("coldest, forecast off by", _shift(lessons.cold_bias, units)),
                ("hottest, forecast off by", _shift(lessons.hot_bias, units)),
                ("lower limits moved by", _shift(lessons.low_shift, units)),
                ("upper limits moved by", _shift(lessons.high_shift, units)),
                ("lost in fair weather", show(lessons.loss_frac, "frac")),
                ("late", f"{show(lessons.p_late, 'frac')}, by {show(lessons.late_days, 'days')}"),
            ),
            noted,
            _SOURCE,
            "damage that shows after the claim is not in it",
        ),
    )


def _walls(inward: Sequence[WallLayer], figures: BoxFigures, units: str) -> Working:
    layers = show_list([f"{show(layer.thickness_mm, 'mm', units)} {layer.material}" for layer in inward])
    walls = figures.walls
    return Working(
        "Heat through the walls",
        "1/U = 1/(h A) + sum of 1/(k S) + Rse/A; S = A/t + 0.54 x 4 (L + W + H) + 0.15 x 8 t",
        (
            ("walls, from the inside outward", layers),
            ("inner surface", show(walls.inner_m2, "m2", units)),
            ("outer surface", show(walls.outer_m2, "m2", units)),
            ("K/W, from the inside outward", ", ".join(show_number(part, 3) for part in walls.resistances)),
        ),
        f"{show_number(walls.through_w_k)} W for each °C",
        "incropera-dewitt, table 4.1; iso-6946, surface resistances",
        "closed box, still air; the spread allows for seams, wind and other parcels",
    )


def _held(load: ParcelLoad, figures: BoxFigures, units: str) -> Working:
    together = time_constant(figures.air_j_k + figures.plants_j_k, figures.walls.through_w_k)
    alone = time_constant(figures.plants_j_k, figures.between_w_k)
    biot = biot_number(starting.WRAP_W_M2K, figures.bundle_mm, starting.BUNDLE_W_MK)
    return Working(
        "Heat held by plants and box",
        "Ca dTa/dt = U (To - Ta) + K (Tp - Ta) + q; Cp dTp/dt = K (Ta - Tp)",
        (
            ("plants", f"{load.plants}, {show(load.plants_kg, 'kg', units)}"),
            ("water and wet paper", show(load.wet_kg, "kg", units)),
            ("plants with wet roots, Cp", f"{show_number(figures.plants_j_k, 0)} J/°C"),
            ("air, padding, half of the walls, Ca", f"{show_number(figures.air_j_k, 0)} J/°C"),
            ("between air and plants, K", f"{show_number(figures.between_w_k)} W/°C"),
            ("plants follow the air of the box in", show(alone, "h")),
            ("Biot number of the bundle", show_number(biot)),
        ),
        f"63 % of the way to the weather in {show(together, 'h')}",
        "incropera-dewitt, chapter 5",
        "one temperature for all plants: with a Biot number above 0.1 the outer ones run ahead",
    )


def _packs(pack: HeatPack, packs: int, figures: BoxFigures) -> Working:
    curve = pack_curve(pack.label_h, pack.mean_w)
    mean = (
        pack.mean_w
        if pack.mean_w is not None
        else starting.PACK_W * (starting.PACK_LABEL_H / pack.label_h) ** 0.5
    )
    top = max(curve.power_w)
    raised = packs * mean / figures.walls.through_w_k
    return Working(
        "Heat packs",
        "q(t): two hours to its best, then straight down to its label's hours; raised in the long run by q/U",
        (
            ("pack", f"{pack.name}, {show(pack.label_h, 'h')}"),
            ("packs", str(packs)),
            ("mean of one", f"{show(mean, 'w')}, {show(top, 'w')} at its best"),
        ),
        f"about {show_number(raised, 1)} °C warmer than the weather, on the mean",
        f"{_SOURCE}; iron-oxidation",
        "with air at the pack; cold slows it",
    )


def _harm(shown: TransitOutlook, limits: TransitLimits, units: str) -> Working:
    return Working(
        "Chance of harm",
        "mean over draws of Phi((limit + shift - T) / spread)",
        (
            ("tenderest", limits.taxon_name),
            ("stands", show_range(limits.low_c, limits.high_c, "c", units)),
            ("coldest moment", _temps(shown.coldest, units)),
            ("hottest moment", _temps(shown.hottest, units)),
            ("days in the box", f"{show(shown.in_box_days, 'days')} of {show(limits.most_days, 'days')}"),
            ("taken at most", show(starting.HARM_FRAC, "frac")),
        ),
        f"{_chance(shown.p_too_cold)} by cold, {_chance(shown.p_too_hot)} by heat",
        _SOURCE,
        "limits are guesses until arrivals are noted",
    )


def _temps(span: Span, units: str) -> str:
    return f"{show(span.p50, 'c', units)} ({show_range(span.p10, span.p90, 'c', units)})"


def _chance(p: float) -> str:
    return "under 1 %" if p < 0.01 else f"{round(100.0 * p)} %"


def _shift(normal: Normal, units: str) -> str:
    scale, unit = (1.8, "°F") if units == "us" else (1.0, "°C")
    return (
        f"{show_number(normal.mean_c * scale, 1)} {unit}, give or take {show_number(normal.sd_c * scale, 1)}"
    )
