"""The charts of Sales: a release, or one line of it, from its opening on."""

from collections.abc import Sequence
from datetime import datetime
from functools import lru_cache

from halfwater.book import queries
from halfwater.deeds.demand import SalesOutlook, sales_outlook
from halfwater.pictures.sales import SalesPicture, sales_sentence, sales_spec, sales_steps, sales_table
from halfwater.plain.demand import LineOutlook, PastLine
from halfwater.web.chart import Chart, Key

_HOUR_S = 3600.0
_PLACES = 2  # of hours: half a minute, so that a page looked at again is the same


def lines_sold(release: int, now: datetime) -> tuple[PastLine, ...]:
    """The lines of a release that were on offer, with their sales."""
    return tuple(one for one in queries.past_lines(now) if one.release == release)


def release_chart(lines: Sequence[PastLine], now: datetime) -> Chart | None:
    """All lines of a release together; none before it opened."""
    if not lines:
        return None
    opened_at = min(one.opened_at for one in lines)
    moves = [move for one in lines for move in _moves(one, opened_at)]
    out = [one.sold_out_at for one in lines if one.is_sold_out and one.sold_out_at is not None]
    picture = SalesPicture(
        name=lines[0].release_name,
        offered=sum(one.offered for one in lines),
        steps=sales_steps(moves),
        until_h=_until_h(lines, opened_at, now, len(out) == len(lines)),
        sold_out_h=_hours(opened_at, max(out)) if len(out) == len(lines) else None,
    )
    return _chart(picture)


def line_chart(line: PastLine, now: datetime) -> Chart:
    """One line; where it sold out, with those who may have come too late."""
    told: LineOutlook | None = None
    known: SalesOutlook | None = None
    if line.is_sold_out and line.sold_out_at is not None:
        known = sales_outlook(now, line.release)
        told = next((one.outlook for one in known.lines if one.outlook.line.line == line.line), None)
    picture = SalesPicture(
        name=f"{line.taxon_name}, {line.grade}",
        offered=line.offered,
        steps=sales_steps(_moves(line, line.opened_at)),
        until_h=_until_h((line,), line.opened_at, now, told is not None),
        sold_out_h=_hours(line.opened_at, line.sold_out_at) if told and line.sold_out_at else None,
        unmet=told.unmet if told else None,
        unmet_until_h=_hours(line.opened_at, told.until_at) if told else 0.0,
        interest=known.interest if known else None,
    )
    return _chart(picture)


@lru_cache(maxsize=32)
def _chart(picture: SalesPicture) -> Chart:
    """The chart; the same picture is drawn up once."""
    keys = [Key("ordered", "shared/keys/water.html"), Key("offered", "shared/keys/clay.html")]
    if picture.has_fan:
        keys += [
            Key("would have been ordered", "shared/keys/ahead.html"),
            Key("80 % range", "shared/keys/fan.html"),
        ]
    if picture.sold_out_h is not None:
        keys.append(Key("sold out", "shared/keys/siphon.html"))
    table = sales_table(picture)
    return Chart("sales", f"{sales_sentence(picture)}.", sales_spec(picture), table, tuple(keys))


def _moves(line: PastLine, opened_at: datetime) -> list[tuple[float, int]]:
    came = [(_hours(opened_at, one.at), one.plants) for one in line.sales]
    went = [
        (_hours(opened_at, one.cancelled_at), -one.plants)
        for one in line.sales
        if one.cancelled_at is not None
    ]
    return came + went


def _until_h(lines: Sequence[PastLine], opened_at: datetime, now: datetime, is_sold_out: bool) -> float:
    """Until when sales are told: now, the closing, or shortly after the last plant went."""
    closed = [one.closed_at for one in lines if one.closed_at is not None]
    if is_sold_out:
        last = max((one.sold_out_at for one in lines if one.sold_out_at is not None), default=now)
        return max(_hours(opened_at, last) * 1.15, 1 / 60)
    return round(_hours(opened_at, max(closed) if len(closed) == len(lines) else now), _PLACES)


def _hours(start: datetime, end: datetime) -> float:
    return (end - start).total_seconds() / _HOUR_S
