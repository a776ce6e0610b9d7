"""An advice on a price in the grower's words: what to do, why, and what to try to know more."""

from dataclasses import replace

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.demand import DemandDraws
from halfwater.plain.figures import show_money, show_number
from halfwater.plain.pricing import LineToPrice, PriceAdvice
from halfwater.plain.working import Working
from halfwater.planning.static_price import best_price_elastic

RAISED = "Regular buyers remember prices: a rise of more than a step or two at once costs trust."
LOWERED = "Buyers who see prices fall learn to wait; lower once, and leave it there for some releases."
WAITING = "Offered plants that are left over lose worth here: so fewer are offered than may be wanted."


def told(
    advice: PriceAdvice,
    line: LineToPrice,
    draws: DemandDraws,
    to_try_minor: int | None,
    least_releases: int,
    currency: str,
) -> PriceAdvice:
    """Advice with its sentences, cautions and working.

    Parameters
    ----------
    advice : PriceAdvice
        The figures.
    line : LineToPrice
        What they were reckoned for.
    draws : DemandDraws
        The demand they were reckoned with.
    to_try_minor : int or None
        A price that would be worth a trial.
    least_releases : int
        From how many past releases anything is sure.
    currency : str
        For the sentences.

    Returns
    -------
    PriceAdvice
        The same with words.

    Notes
    -----
    Ranges are 80 % ranges, with the luck of one release in them; money reckoned ahead is shown without small
    coin where it is more than a few coins.

    Source: own definition
    """
    cautions = [
        text for verdict, text in (("raise", RAISED), ("lower", LOWERED)) if advice.verdict == verdict
    ]
    if line.left_cost_minor and advice.then.p_sold_out > 0.0:
        cautions.append(WAITING)
    return replace(
        advice,
        sentence=_sentence(advice, line, currency),
        reason=_reason(advice, line, draws, least_releases, currency),
        to_learn=_to_learn(advice, to_try_minor, currency),
        cautions=tuple(cautions),
        workings=_workings(advice, line, draws, currency),
    )


def _sentence(advice: PriceAdvice, line: LineToPrice, currency: str) -> str:
    name = f"{advice.taxon_name} ({advice.grade})"
    price = show_money(advice.price_minor, currency)
    asked = show_money(line.price_minor, currency)
    number = _plants(advice.offered)
    likely = _more(advice, currency)
    if not line.ready:
        return f"Nothing of {name} is ready to offer."
    if not advice.offered:
        brings = round(line.price_minor * (1.0 - line.fee_frac)) - line.sale_cost_minor
        return (
            f"Keep the {_plants(line.ready)} of {name}: sold at {asked} one brings"
            f" {show_money(brings, currency)} after costs, kept it is worth"
            f" {show_money(line.reserve_minor, currency)}."
        )
    if advice.verdict in ("raise", "lower"):
        verb = "Raise" if advice.verdict == "raise" else "Lower"
        return f"{verb} {name} from {asked} to {price} and offer {number}: {likely}."
    if advice.verdict in ("offer more", "offer fewer"):
        return f"Leave {name} at {price} and offer {number} instead of {line.offered}: {likely}."
    if advice.verdict == "hold":
        return f"Leave {name} at {price} and offer {number}: no price within reach is likely to earn more."
    if advice.is_trial:
        return (
            f"Try {name} at {price} instead of {asked} this once and offer {number}: whether that earns more"
            f" cannot be known yet (by what is known, {_span(advice, currency)})."
        )
    return (
        f"Ask {price} for {name} and offer {number}: the best price cannot be known yet,"
        f" it lies {_best_price(advice, currency)}."
    )


def _reason(
    advice: PriceAdvice, line: LineToPrice, draws: DemandDraws, least_releases: int, currency: str
) -> str:
    if not line.ready:
        return ""
    now = advice.now
    wanted = _count_range(now.wanted_p10, now.wanted_p90)
    meant = f" and {now.offered} meant to be offered: they sell out in {_cases(now.p_sold_out)}"
    asked = show_money(now.price_minor, currency)
    parts = [f"At {asked} {wanted} are likely wanted{meant if now.offered else ''}."]
    low, high = (show_number(float(one), 1) for one in np.quantile(draws.elasticity, (0.1, 0.9)))
    known = (
        "learned from prices that were changed"
        if draws.prices_tried
        else "a starting value, since no price was ever changed"
    )
    parts.append(f"One per cent more on the price loses {low} to {high} per cent of the buyers ({known}).")
    if advice.releases < least_releases and advice.offered:
        so_far = {0: "No release", 1: "Only one release"}.get(
            advice.releases, f"Only {advice.releases} releases"
        )
        parts.append(f"{so_far} so far: nothing is sure from fewer than {least_releases}.")
    elif advice.offered and advice.verdict in ("raise", "lower", "offer more", "offer fewer"):
        parts.append(f"The advice earns more in {_cases(advice.then.p_better)}.")
    return " ".join(parts)


def _to_learn(advice: PriceAdvice, to_try_minor: int | None, currency: str) -> str:
    minute = "note the minute at which it sells out, or how many are left at closing"
    if advice.is_trial:
        return f"Leave the prices of the other lines as they are, and {minute}."
    if advice.verdict == "cannot know yet" and to_try_minor is not None:
        return (
            f"At one of the next releases, ask {show_money(to_try_minor, currency)} for this line alone"
            f" while the other prices stand, and {minute}."
        )
    if not advice.offered:
        return ""
    if advice.verdict in ("raise", "lower"):
        few = min(advice.then.wanted_p10, advice.offered)
        return f"{minute.capitalize()}; if fewer than {few} are sold, the price is worth another look."
    return f"{minute.capitalize()}."


def _workings(
    advice: PriceAdvice, line: LineToPrice, draws: DemandDraws, currency: str
) -> tuple[Working, ...]:
    def money(minor: float) -> str:
        return show_money(round(minor), currency)

    then, now = advice.then, advice.now
    margin = then.price_minor * (1.0 - line.fee_frac) - line.sale_cost_minor - line.reserve_minor
    earned = Working(
        title="What it earns over keeping the plants",
        equation="(p × (1 − fee) − cost of a sale − worth if kept) × sold − loss × left over",
        inputs=(
            ("price p", money(then.price_minor)),
            ("fee", f"{100.0 * line.fee_frac:.1f} %"),
            ("cost of a sale", money(line.sale_cost_minor)),
            ("worth if kept", money(line.reserve_minor)),
            ("gain on each sold", money(margin)),
            ("loss of one left over", money(line.left_cost_minor)),
        ),
        value=f"{money(then.gain_minor)} on the mean ({money(then.gain_p10_minor)} to "
        f"{money(then.gain_p90_minor)}); now {money(now.gain_minor)}",
        source="own definition",
    )
    return (
        _wanted_working(advice, draws, currency),
        earned,
        _number_working(advice, line, margin),
        _textbook_working(advice, line, float(np.median(draws.elasticity)), currency),
    )


def _wanted_working(advice: PriceAdvice, draws: DemandDraws, currency: str) -> Working:
    low, middle, high = (show_number(float(one)) for one in np.quantile(draws.elasticity, (0.1, 0.5, 0.9)))
    then, now = advice.then, advice.now
    return Working(
        title="Plants wanted at another price",
        equation="wanted(p) = wanted(p₀) × (p / p₀)^−e",
        inputs=(
            ("price so far p₀", show_money(now.price_minor, currency)),
            ("wanted at it", _count_range(now.wanted_p10, now.wanted_p90)),
            ("price response e", f"{middle} ({low} to {high})"),
        ),
        value=f"{_count_range(then.wanted_p10, then.wanted_p90)} at {show_money(then.price_minor, currency)}",
        source="talluri-van-ryzin-2004",
        valid="prices near those that were asked",
    )


def _number_working(advice: PriceAdvice, line: LineToPrice, margin: float) -> Working:
    return Working(
        title="How many to offer",
        equation="least number that is too few in at most loss / (gain + loss) of the cases, or in 5 %",
        inputs=(
            ("gain on each sold", f"{margin:.0f}"),
            ("loss of one left over", str(line.left_cost_minor)),
            ("ready", str(line.ready)),
        ),
        value=f"{advice.offered} ({_count_range(advice.offered_p10, advice.offered_p90)} would be taken)",
        source="cachon-terwiesch",
        valid="one opening; plants left over keep their worth unless a loss is given",
    )


def _textbook_working(advice: PriceAdvice, line: LineToPrice, elasticity: float, currency: str) -> Working:
    """The price without any limit on plants, as textbooks have it; refused at a response of 1 or less."""
    cost = (line.sale_cost_minor + line.reserve_minor) / (1.0 - line.fee_frac)
    try:
        best = best_price_elastic(1.0, float(line.price_minor), elasticity, cost).price_minor
        value = show_money(round(best), currency)
    except RefusedInput as refused:
        value = f"none: {refused.accepted}"
    return Working(
        title="For comparison: the best price with plants without end",
        equation="p = c e / (e − 1), c = (cost of a sale + worth if kept) / (1 − fee)",
        inputs=(("c", show_money(round(cost), currency)), ("price response e", show_number(elasticity))),
        value=f"{value}; with the plants there are, the best price lies {_best_price(advice, currency)}",
        source="talluri-van-ryzin-2004",
        valid="a price response above 1",
    )


def _best_price(advice: PriceAdvice, currency: str) -> str:
    low, high = advice.best_price_p10_minor, advice.best_price_p90_minor
    if advice.is_best_price_open:
        return f"anywhere from {show_money(low, currency)} upward"
    if low == high:
        return f"near {show_money(low, currency)}"
    return f"between {show_money(low, currency)} and {show_money(high, currency)}"


def _more(advice: PriceAdvice, currency: str) -> str:
    return f"about {_about(advice.more_minor, currency)} more on the mean ({_span(advice, currency)})"


def _span(advice: PriceAdvice, currency: str) -> str:
    low, high = advice.more_p10_minor, advice.more_p90_minor
    least, most = _about(abs(low), currency), _about(abs(high), currency)
    if low < 0.0 < high:
        return f"from {least} less to {most} more"
    word = "more" if low + high >= 0.0 else "less"
    first, last = (least, most) if abs(low) <= abs(high) else (most, least)
    return f"{first} {word}" if first == last else f"{first} to {last} {word}"


def _about(minor: float, currency: str) -> str:
    """Money without small coin, unless it is little."""
    rounded = round(minor, -2) if abs(minor) >= 1000.0 else minor
    return show_money(round(rounded), currency).replace(".00 ", " ")


def _plants(count: int) -> str:
    return f"{count} plant" if count == 1 else f"{count} plants"


def _count_range(low: float, high: float) -> str:
    first, last = round(low), round(high)
    return str(first) if first == last else f"{first} to {last}"


def _cases(chance: float) -> str:
    if chance >= 0.995:
        return "practically all cases"
    return "hardly any case" if chance < 0.005 else f"{round(100.0 * chance)} of 100 cases"
