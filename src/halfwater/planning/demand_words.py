"""Demand in words: what an answer rests on, what would narrow it, and how it was worked out."""

from collections.abc import Sequence

from halfwater.plain.demand import Interest, LineOutlook, PastLine, PriceResponse
from halfwater.plain.growing import Span
from halfwater.plain.working import Working
from halfwater.planning.demand_facts import LineTimes

_BINDS_FRAC = 0.3  # of orders at the limit: it keeps buyers from more
_FEW_LINES = 3


def why_line(line: PastLine, time: LineTimes, unmet: Span) -> str:
    """What the answer about a past line rests on.

    Parameters
    ----------
    line : PastLine
        The line.
    time : LineTimes
        When it was on offer.
    unmet : Span
        Plants wanted beyond what it sold.

    Returns
    -------
    str
        One to three sentences.

    Notes
    -----
    Says how it ended, where the instants are missing, and where a limit for each buyer held orders down.

    Source: own definition
    """
    said = [_ending(line, time, unmet)]
    if time.held:
        said.append(f"{time.held} were held before the opening.")
    if any(sale.cancelled_at is not None for sale in line.sales):
        said.append("What was cancelled counts as time on offer, not as wanted.")
    at_limit = [sale.plants >= (line.most_per_buyer or 0) for sale in line.sales if sale.cancelled_at is None]
    if line.most_per_buyer and at_limit and sum(at_limit) >= _BINDS_FRAC * len(at_limit):
        said.append(f"The limit of {line.most_per_buyer} held many buyers down: without it more were wanted.")
    return " ".join(said)


def _ending(line: PastLine, time: LineTimes, unmet: Span) -> str:
    if time.is_least:
        return "Sold out, nobody noted when: at least that many were wanted; note the instant next time."
    if time.out_h is not None:
        said = f"Sold out {span_of_hours(time.out_h)} after the opening"
        wide = unmet.p90 > 3.0 * max(unmet.p50, 1.0)
        return f"{said}: many wanted it, or all came at once; the range is wide." if wide else f"{said}."
    if line.closed_at is None:
        return "Open still, with plants left."
    return "Closed with plants left: who wanted one found one."


def span_of_hours(after_h: float) -> str:
    """Hours as a grower says them.

    Parameters
    ----------
    after_h : float
        Hours. [h] Valid 0 upward.

    Returns
    -------
    str
        Minutes below two hours, hours below two days, else days.

    Notes
    -----
    Rounded to whole ones; less than a minute is said so.

    Source: own definition
    """
    if after_h < 1.0 / 60.0:
        return "less than a minute"
    for per_h, name, below in ((60.0, "minute", 2.0), (1.0, "hour", 48.0), (1.0 / 24.0, "day", float("inf"))):
        if after_h < below:
            count = round(after_h * per_h)
            return f"{count} {name}" if count == 1 else f"{count} {name}s"
    return "ever"


def why_price(elasticity: Span, changes: int, is_learned: bool) -> str:
    """What the answer about prices rests on.

    Parameters
    ----------
    elasticity : Span
        As it is known.
    changes : int
        Lines sold at another price than the first of their kind. Valid 0 upward.
    is_learned : bool
        Whether they narrowed it.

    Returns
    -------
    str
        One sentence.

    Notes
    -----
    Without a changed price nothing is claimed but the starting value.

    Source: own definition
    """
    if not changes:
        return "No price was ever changed: how buyers answer to one cannot be known yet."
    lines = "One line was" if changes == 1 else f"{changes} lines were"
    if not is_learned:
        return f"{lines} sold at a changed price: too little to know how buyers answer to one."
    fewer = [1.0 - 1.1**-e for e in (elasticity.p10, elasticity.p90)]
    return (
        f"{lines} sold at a changed price: ten per cent more lose {fewer[0]:.0%} to {fewer[1]:.0%} of buyers."
    )


def learn_next(past: Sequence[PastLine], price: PriceResponse, interest: Interest) -> str:
    """The one thing that would narrow the answer most.

    Parameters
    ----------
    past : sequence of PastLine
        All lines so far.
    price : PriceResponse
        What is known of prices.
    interest : Interest
        What is known of how interest comes.

    Returns
    -------
    str
        One sentence.

    Notes
    -----
    In turn: note instants, leave one line large enough to last, try another price, go on.

    Source: own definition
    """
    if len(past) < _FEW_LINES:
        return "Note the instant of each order of the next release: it tells how interest comes and goes."
    if not any(line.sales for line in past):
        return "Note the instant of each order: totals alone do not tell how interest comes and goes."
    if all(line.is_sold_out for line in past):
        return (
            "Offer more of one line, so that it lasts until closing: only then all who wanted one are seen."
        )
    if not price.is_learned:
        return (
            "Ask about 15 % more for one line of the next release: only a changed price tells what it does."
        )
    if not interest.is_learned:
        return "Leave one line open for some days: it tells how long interest goes on."
    return "Go on as before: each release narrows the ranges a little."


def demand_workings(
    lines: Sequence[LineOutlook], price: PriceResponse, interest: Interest, open_days: float
) -> tuple[Working, ...]:
    """How demand was worked out, step by step.

    Parameters
    ----------
    lines : sequence of LineOutlook
        The past lines.
    price : PriceResponse
        What is known of prices.
    interest : Interest
        What is known of how interest comes.
    open_days : float
        How long a line is taken to stay open. [d] Valid above 0.

    Returns
    -------
    tuple of Working
        Interest in time, wanted of a line, price.

    Notes
    -----
    Figures are medians of the draws, with 80 % ranges.

    Source: own definition
    """
    out = sum(line.line.is_sold_out for line in lines)
    return (
        Working(
            "How interest comes",
            "G(t) = 1 − w·exp(−t/rush) − (1 − w)·exp(−t/tail)",
            (
                ("rush", f"{interest.rush_h.p50:.3g} h"),
                ("w, share of the rush", f"{interest.rush_frac.p50:.2f}"),
                ("tail", f"{interest.tail_h.p50:.3g} h"),
            ),
            f"half of all has come after {span_of_hours(interest.half_h.p50)}",
            "own definition; starting values of demand, narrowed by the instants of orders",
            "no hours of the day: nights count like days",
        ),
        Working(
            "How many wanted one",
            "wanted ~ Gamma(k + y, k/μ + G); orders Poisson, plants in an order geometric",
            (
                ("lines", str(len(lines))),
                ("of them sold out", str(out)),
                ("plants in an order", f"{interest.plants_per_order:.2f}"),
                ("open for", f"{open_days:.3g} days"),
            ),
            f"{sum(line.mean_unmet for line in lines):.0f} plants more were wanted than sold, on the mean",
            "Gelman et al. 2013, section 2.6, with the share seen G as exposure",
        ),
        Working(
            "What a price does",
            "wanted(p) = wanted(p0)·(p/p0)^−e",
            (("changed prices", str(price.price_changes)),),
            f"e = {price.elasticity.p50:.2f} ({price.elasticity.p10:.2f} to {price.elasticity.p90:.2f})",
            "own definition; only changes within a taxon and grade speak of e",
            "near prices that were asked",
        ),
    )
