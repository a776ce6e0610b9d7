"""Demand as the book tells it: what past releases say of all who would have bought, and what comes next."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache

import numpy as np

from halfwater.book import queries
from halfwater.deeds.demand_words import said_ahead, said_far, said_in_all, said_of_line, why_unsure
from halfwater.errors import RefusedInput
from halfwater.plain.demand import DemandDraws, DemandOutlook, Interest, LineOutlook, PastLine, PriceResponse
from halfwater.plain.growing import Span
from halfwater.plain.selling import LineFacts, ReleaseFacts
from halfwater.plain.working import Working
from halfwater.planning.demand import LearnedDemand, demand_outlook, learn_demand, predict

WHILE_OPEN = timedelta(minutes=1)  # so often the answer is worked out anew while a line is on offer
WHEN_OVER = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class SalesLine:
    """A line that was on offer or still is, with what its sales say."""

    outlook: LineOutlook  # the line itself, wanted and unmet with their ranges, hours to the sell-out
    is_open: bool
    said: str  # in one sentence


@dataclass(frozen=True, slots=True)
class LineAhead:
    """A line to come: one that is drafted, or a kind as it was offered last."""

    taxon: int
    taxon_name: str
    grade: str
    price_minor: int
    offered: int
    wanted: Span
    p_sold_out: float
    sell_out_h: Span | None  # of the cases in which it sells out; None: hardly any does
    releases: int  # past ones that had this taxon in this grade
    said: str
    line: int | None = None  # its key in the book, where it is drafted


@dataclass(frozen=True, slots=True)
class SalesOutlook:
    """Demand as it is known now: of past and open lines, of those to come, in price and in time."""

    now_at: datetime
    release_name: str  # "": of all releases
    releases: int  # that were opened so far
    lines: tuple[SalesLine, ...]  # the newest opening first
    ahead: tuple[LineAhead, ...]
    price_response: PriceResponse
    interest: Interest
    open_days: float
    said: str  # all in one sentence
    learn_next: str
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """A next line whose demand is asked for."""

    taxon: int
    taxon_name: str
    grade: str
    price_minor: int
    offered: int
    open_days: float | None = None
    most_per_buyer: int | None = None


def sales_outlook(now: datetime, release: int | None = None) -> SalesOutlook:
    """What all releases, or one alone, say of demand; a drafted one is foreseen."""
    past, at = past_of(now)
    known = _outlook(past, at)
    facts = None if release is None else _release(release, now)
    lines = tuple(
        SalesLine(one, is_open, said_of_line(one, is_open))
        for one in sorted(known.lines, key=lambda one: (one.line.opened_at, one.line.release), reverse=True)
        if facts is None or one.line.release == facts.key
        for is_open in (_is_open(one.line, at),)
    )
    asked = _last_offers(past) if facts is None else _drafted(facts, past)
    draws = draws_of(past, at, tuple(one for _, one in asked))
    both = tuple(zip(asked, draws, strict=True))
    ahead = tuple(_ahead(line, one) for (line, _), one in both if one is not None)
    far = tuple(said_far(one.taxon_name, one.grade) for (_, one), found in both if found is None)
    releases = len({line.release for line in past})
    unmet = known.unmet if facts is None else known.unmet_by_release.get(facts.key, Span(0.0, 0.0, 0.0))
    return SalesOutlook(
        now_at=now, release_name="" if facts is None else facts.name, releases=releases, lines=lines,
        ahead=ahead, price_response=known.price_response, interest=known.interest, open_days=known.open_days,
        said=said_in_all([one.outlook for one in lines], unmet, ahead), learn_next=known.learn_next,
        cautions=(*why_unsure(releases, known.price_response), *far),
        workings=known.workings,
    )  # fmt: skip


def past_of(now: datetime) -> tuple[tuple[PastLine, ...], datetime]:
    """The lines that demand is learned from, and the instant it is told for.

    That is the end of the minute or hour `now` falls in: looked at again at once, the answer is the same. A
    line that was closed before its opening was never on offer, and one that asked nothing tells of no price.
    """
    past = tuple(
        line
        for line in queries.past_lines(now)
        if line.price_minor > 0 and (line.closed_at is None or line.closed_at >= line.opened_at)
    )
    step = WHILE_OPEN if any(_is_open(line, now) for line in past) else WHEN_OVER
    return past, now + (datetime.min.replace(tzinfo=now.tzinfo) - now) % step


def draws_of(
    past: tuple[PastLine, ...], at: datetime, asked: tuple[Asked, ...]
) -> tuple[DemandDraws | None, ...]:
    """The demand that each of some next lines would meet; in all of them draw i is the same world.

    None where a price is so far from those asked so far that nobody can say, such as one mistyped.
    """
    return _draws(past, at, asked)


def open_days_of(release: ReleaseFacts) -> float | None:
    """How long a release is meant to stay open; None where it does not say."""
    if release.opens_at is None or release.closes_at is None or release.closes_at <= release.opens_at:
        return None
    return (release.closes_at - release.opens_at).total_seconds() / 86_400.0


@lru_cache(maxsize=4)
def _outlook(past: tuple[PastLine, ...], at: datetime) -> DemandOutlook:
    return demand_outlook(_learned(past, at), at)


@lru_cache(maxsize=4)
def _learned(past: tuple[PastLine, ...], at: datetime) -> LearnedDemand:
    return learn_demand(past, at)


@lru_cache(maxsize=8)
def _draws(
    past: tuple[PastLine, ...], at: datetime, asked: tuple[Asked, ...]
) -> tuple[DemandDraws | None, ...]:
    learned = _learned(past, at)
    return tuple(_predicted(learned, one) for one in asked)


def _predicted(learned: LearnedDemand, one: Asked) -> DemandDraws | None:
    try:
        return predict(
            learned, one.taxon, one.grade, price_minor=one.price_minor, offered=max(one.offered, 1),
            taxon_name=one.taxon_name, open_days=one.open_days, most_per_buyer=one.most_per_buyer,
        )  # fmt: skip
    except RefusedInput as refused:
        if refused.field != "price_minor":
            raise
        return None


def _is_open(line: PastLine, at: datetime) -> bool:
    return not line.is_sold_out and (line.closed_at is None or line.closed_at > at)


def _release(key: int, now: datetime) -> ReleaseFacts:
    facts = queries.release(key, now)
    if facts is None:
        raise RefusedInput("release", key, "a release of the book")
    return facts


def _last_offers(past: Sequence[PastLine]) -> tuple[tuple[None, Asked], ...]:
    """Each kind that was ever on offer, as it was the last time."""
    last: dict[tuple[int, str], PastLine] = {}
    for line in sorted(past, key=lambda line: line.opened_at):
        last[line.taxon, line.grade] = line
    return tuple(
        (None, Asked(*kind_of(one), one.price_minor, one.offered, None, one.most_per_buyer))
        for one in sorted(last.values(), key=lambda line: (line.taxon_name.casefold(), line.grade))
    )


def _drafted(facts: ReleaseFacts, past: Sequence[PastLine]) -> tuple[tuple[int, Asked], ...]:
    """The lines of a release that was not on offer yet."""
    was = {line.line for line in past}
    days = open_days_of(facts)
    return tuple(
        (one.key, Asked(*kind_of(one), one.price_minor, one.offered, days, one.limit_per_buyer))
        for one in facts.lines
        if one.key not in was and one.price_minor > 0 and facts.state != "closed"
    )


def kind_of(line: PastLine | LineFacts) -> tuple[int, str, str]:
    """Taxon, its name, and grade."""
    return line.taxon, line.taxon_name, line.grade


def _ahead(line: int | None, draws: DemandDraws) -> LineAhead:
    hours = np.array(draws.sell_out_h)
    out = np.isfinite(hours)
    p_sold_out = float(out.mean())
    wanted = _span(np.array(draws.wanted, dtype=float))
    after = _span(hours[out]) if p_sold_out >= 0.1 else None
    return LineAhead(
        draws.taxon, draws.taxon_name, draws.grade, draws.price_minor, draws.offered, wanted, p_sold_out,
        after, draws.releases, said_ahead(draws, wanted, p_sold_out, after), line,
    )  # fmt: skip


def _span(values: np.ndarray) -> Span:
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9))
    return Span(float(low), float(middle), float(high))
