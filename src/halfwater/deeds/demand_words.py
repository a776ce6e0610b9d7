"""Demand in the grower's words: what a sell-out says, what is left open, what comes next."""

from collections.abc import Sequence

from halfwater.plain.demand import DemandDraws, LineOutlook, PriceResponse
from halfwater.plain.growing import Span
from halfwater.planning.demand_words import span_of_hours
from halfwater.planning.price import LEAST_RELEASES

_SURELY, _HARDLY = 0.9, 0.1


def said_hours(after_h: float) -> str:
    """Hours in words: 18 minutes, 5 hours, 3 days."""
    return span_of_hours(after_h)


def said_of_line(one: LineOutlook, is_open: bool) -> str:
    """What a line's sales say, in a sentence or two."""
    line = one.line
    name = f"{line.taxon_name} ({line.grade}), {line.release_name}"
    if line.is_sold_out and one.sold_out_after_h is None:
        return f"{name}: {_all(line.offered)} sold, nobody noted when; {_more(one.unmet)}."
    if line.is_sold_out:
        after = said_hours(one.sold_out_after_h or 0.0)
        return f"{name}: {_all(line.offered)} sold in {after}; {_more(one.unmet)}."
    if is_open:
        return (
            f"{name}: {line.sold} of {line.offered} sold so far; by its closing {spans(one.wanted)} "
            f"{_are(one.wanted)} wanted: {_will_it(one.wanted, line.offered)}."
        )
    return (
        f"{name}: {line.sold} of {line.offered} sold, {line.offered - line.sold} left at closing: who wanted "
        "one found one."
    )


def _all(offered: int) -> str:
    return "the only one" if offered == 1 else f"all {offered}"


def _are(span: Span) -> str:
    return "is" if round(span.p10) == round(span.p90) == 1 else "are"


def _more(unmet: Span) -> str:
    """How many found nothing."""
    if unmet.p90 < 0.5:
        return "hardly anyone found nothing"
    return f"{spans(unmet)} more would have been taken, had there been enough"


def _will_it(wanted: Span, offered: int) -> str:
    for least, word in (
        (wanted.p10, "it will most likely sell out"),
        (wanted.p50, "it sells out more likely than not"),
        (wanted.p90, "it may sell out"),
    ):
        if offered <= least:
            return word
    return "it will hardly sell out"


def said_ahead(draws: DemandDraws, wanted: Span, p_sold_out: float, after_h: Span | None) -> str:
    """What a next line would meet."""
    name = f"{draws.taxon_name} ({draws.grade})"
    told = f"{name}: {spans(wanted)} wanted"
    if p_sold_out < _HARDLY:
        told += f"; {draws.offered} would hardly sell out"
    elif after_h is not None:
        chance = "most likely" if p_sold_out >= _SURELY else f"in {round(100 * p_sold_out)} of 100 cases"
        told += f"; {draws.offered} sell out {chance}, then within {_hours(after_h)}"
    if not draws.releases:
        told += "; never offered so far, so that only other kinds speak for it"
    return f"{told}."


def said_far(taxon_name: str, grade: str) -> str:
    """Why a line is not foreseen."""
    return (
        f"{taxon_name} ({grade}): its price is so far from those asked so far that nobody can say what it "
        "would do; look at it again."
    )


def _hours(after_h: Span) -> str:
    low, high = said_hours(after_h.p10), said_hours(after_h.p90)
    return low if low == high else f"{low} to {high}"


def said_in_all(lines: Sequence[LineOutlook], unmet: Span, ahead: Sequence[object]) -> str:
    """All lines in one sentence; `unmet` is what they lacked together."""
    if not lines:
        return (
            "Not on offer yet: what follows is foreseen."
            if ahead
            else "No line was on offer yet: the first release begins to tell what is wanted."
        )
    out = sum(one.line.is_sold_out for one in lines)
    sold = sum(one.line.sold for one in lines)
    plants = "1 plant" if sold == 1 else f"{sold} plants"
    which = "1 line" if len(lines) == 1 else f"{len(lines)} lines"
    told = f"{plants} sold on {which}"
    if not out:
        return f"{told}."
    sold_out = ", sold out" if len(lines) == 1 else f", {out} of them sold out"
    return f"{told}{sold_out}; {_more(unmet)}."


def why_unsure(releases: int, price: PriceResponse) -> tuple[str, ...]:
    """What keeps the answers from being sure."""
    said = []
    if 0 < releases < LEAST_RELEASES:
        few = "one release" if releases == 1 else f"{releases} releases"
        said.append(
            f"From {few} nothing is sure: a good day and a plant that is much wanted look alike; from "
            f"{LEAST_RELEASES} on they begin to be told apart."
        )
    if releases and not price.is_learned:
        said.append(price.why)
    return tuple(said)


def spans(span: Span) -> str:
    """A count with its 80 % range: about 9 (80 %: 2 to 31)."""
    low, high = round(span.p10), round(span.p90)
    return str(low) if low == high else f"about {round(span.p50)} (80 %: {low} to {high})"
