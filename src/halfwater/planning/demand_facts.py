"""Past lines as the demand model reads them: rows, spells on offer, and the orders seen in them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from statistics import median

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.demand import PastLine, Sale
from halfwater.science import starting
from halfwater.science.arrivals import OrderSizes, order_moments, sizes_after
from halfwater.science.demand_lines import DemandLines

_MINUTE_H = 1.0 / 60.0
_INSIDE_MINUTE_H = 0.25 * _MINUTE_H  # where an order stands in a minute known only by its number
_OUT_IN_MINUTE_H = 0.5 * _MINUTE_H  # and where a sell-out does
_TINY_H = 1e-7
_EDGES_H = np.array([0.25, 0.5, *(2.0**k for k in range(17))]) * _MINUTE_H  # cells grow by twos
_LAST_ORDER_FRAC = 0.1  # of the time to a sell-out known by its instant only: the cell of the last order
_MOST_HELD_FRAC = 0.5


@dataclass(frozen=True, slots=True)
class LineTimes:
    """One line's spells on offer and orders, in hours after its opening."""

    spells: tuple[tuple[float, float], ...]
    orders_h: tuple[float, ...]  # after the opening
    held: int  # plants taken before it
    is_out: bool
    is_least: bool  # sold out, and nobody knows when
    out_h: float | None
    until_h: float  # up to which what was wanted is counted


@dataclass(frozen=True)
class DemandFacts:
    """All past lines as arrays, with what is needed to find a line, taxon, grade and kind again."""

    lines: DemandLines
    sizes: OrderSizes
    place: tuple[int, ...]  # row of each line as it was given
    times: tuple[LineTimes, ...]  # by row
    taxa: tuple[int, ...]
    grades: tuple[str, ...]
    kinds: tuple[tuple[int, str], ...]
    reference_minor: tuple[int, ...]  # of each kind: the first price
    open_days: float


def demand_facts(past: Sequence[PastLine], now: datetime, open_days: float | None) -> DemandFacts:
    """Past lines as rows and cells of time.

    Parameters
    ----------
    past : sequence of PastLine
        Lines that were opened by now, in any order.
    now : datetime
        The instant of the answer.
    open_days : float, optional
        How long a line is taken to stay open; else what past lines did. [d] Valid above 0.

    Returns
    -------
    DemandFacts
        Rows by release, cells by line. [1]

    Raises
    ------
    RefusedInput
        If a line has no price, sold more than it offered, has orders without plants or more of them than it
        sold, closed before it opened, or opens later than now.

    Notes
    -----
    A line is on offer from its opening until its last plant goes, and again from a cancellation on; orders
    that were cancelled count for that only. Instants without seconds are minutes: an order lies inside its
    minute, a sell-out half through it. Cells of time grow by twos from 15 seconds. Orders before the opening
    count as plants, not as instants.

    Source: own definition
    """
    if open_days is not None and not (np.isfinite(open_days) and open_days > 0.0):
        raise RefusedInput("open_days", open_days, "days above 0")
    for line in past:
        _refuse(line, now)
    usual = open_days if open_days is not None else _usual_open_days(past)
    first: dict[int, datetime] = {}
    for line in past:
        first[line.release] = min(first.get(line.release, line.opened_at), line.opened_at)
    order = sorted(
        range(len(past)),
        key=lambda i: (first[past[i].release], past[i].release, past[i].opened_at, i),
    )
    rows = [past[i] for i in order]
    times = tuple(_times(line, now, usual) for line in rows)
    taxa, grades, kinds, reference = _names(rows)
    sizes = _sizes(rows, times)
    days = {release: (at - now).total_seconds() / 86_400.0 for release, at in first.items()}
    names = taxa, grades, kinds, reference
    place = tuple(int(row) for row in np.argsort(order)) if order else ()
    lines = _rows(rows, times, sizes, days, names)
    return DemandFacts(lines, sizes, place, times, taxa, grades, kinds, reference, usual)


Names = tuple[tuple[int, ...], tuple[str, ...], tuple[tuple[int, str], ...], tuple[int, ...]]


def _names(rows: Sequence[PastLine]) -> Names:
    """Taxa, grades and kinds as they came, and the first price of each kind."""
    taxa = tuple(dict.fromkeys(line.taxon for line in rows))
    grades = tuple(dict.fromkeys(line.grade for line in rows))
    first: dict[tuple[int, str], int] = {}
    for line in sorted(rows, key=lambda line: line.opened_at):
        first.setdefault((line.taxon, line.grade), line.price_minor)
    return taxa, grades, tuple(first), tuple(first.values())


def _refuse(line: PastLine, now: datetime) -> None:
    where = f"{line.release_name}, {line.taxon_name} {line.grade}".strip()
    if line.price_minor <= 0:
        raise RefusedInput("price_minor", line.price_minor, "a price above 0", where)
    if line.offered < 1:
        raise RefusedInput("offered", line.offered, "one plant or more", where)
    if not 0 <= line.sold <= line.offered:
        raise RefusedInput("sold", line.sold, f"from 0 to {line.offered}, the plants on offer", where)
    if line.opened_at > now:
        raise RefusedInput("opened_at", line.opened_at.isoformat(), "an opening that has been", where)
    if line.closed_at is not None and line.closed_at < line.opened_at:
        raise RefusedInput("closed_at", line.closed_at.isoformat(), "no earlier than its opening", where)
    if line.sold_out_at is not None and line.sold_out_at < line.opened_at and not line.sales:
        raise RefusedInput("sold_out_at", line.sold_out_at.isoformat(), "no earlier than its opening", where)
    if line.most_per_buyer is not None and line.most_per_buyer < 1:
        raise RefusedInput("most_per_buyer", line.most_per_buyer, "one plant or more, or none said", where)
    if any(sale.plants < 1 for sale in line.sales):
        raise RefusedInput("sales", min(s.plants for s in line.sales), "orders of one plant or more", where)
    standing = sum(sale.plants for sale in line.sales if sale.cancelled_at is None)
    if standing > line.sold:
        raise RefusedInput("sold", line.sold, f"no fewer than its orders took, {standing}", where)


def _usual_open_days(past: Sequence[PastLine]) -> float:
    """How long lines that did not sell out stayed open, or the starting value."""
    spans = [
        (line.closed_at - line.opened_at).total_seconds() / 86_400.0
        for line in past
        if line.closed_at is not None and not line.is_sold_out and line.closed_at > line.opened_at
    ]
    return float(median(spans)) if spans else starting.OPEN_DAYS


def _times(line: PastLine, now: datetime, open_days: float) -> LineTimes:
    """When a line was on offer and when its orders came."""
    instants = [sale.at for sale in line.sales] + ([line.sold_out_at] if line.sold_out_at else [])
    is_coarse = all(at.second == 0 and at.microsecond == 0 for at in instants)
    ends_at = min(line.closed_at or now, now)
    end_h = max(_hours(line, ends_at), _MINUTE_H)
    orders = tuple(
        _hours(line, sale.at) + (_INSIDE_MINUTE_H if is_coarse else -_TINY_H)
        for sale in line.sales
        if sale.cancelled_at is None and sale.at >= line.opened_at
    )
    held = sum(s.plants for s in line.sales if s.cancelled_at is None and s.at < line.opened_at)
    standing = sum(sale.plants for sale in line.sales if sale.cancelled_at is None)
    out_h: float | None = None
    if line.sales and standing == line.sold:
        spells = _spells(line, end_h, is_coarse)
        if not spells and not line.is_sold_out:
            spells = ((0.0, end_h),)
        if line.is_sold_out and spells:
            out_h = spells[-1][1]
    elif line.is_sold_out and line.sold_out_at is not None:
        out_h = max(_hours(line, line.sold_out_at) + (_OUT_IN_MINUTE_H if is_coarse else 0.0), _TINY_H)
        spells = ((0.0, out_h),)
    else:
        spells = ((0.0, end_h),)
    is_least = line.is_sold_out and out_h is None
    if is_least:
        spells = ((0.0, max(end_h, open_days * 24.0) if line.closed_at is None else end_h),)
    return LineTimes(
        spells, orders, held, line.is_sold_out, is_least, out_h, _until_h(line, now, spells[-1][1], open_days)
    )


def _until_h(line: PastLine, now: datetime, last_h: float, open_days: float) -> float:
    """Up to when what was wanted counts: its closing, unless that came with its selling out."""
    usual = open_days * 24.0
    if line.closed_at is None:
        return max(usual, _hours(line, now) if not line.is_sold_out else 0.0, last_h)
    closed = _hours(line, line.closed_at)
    if line.is_sold_out and closed <= last_h + 1.0:
        return max(usual, last_h)
    return max(closed, last_h)


def _spells(line: PastLine, end_h: float, is_coarse: bool) -> tuple[tuple[float, float], ...]:
    """When plants were left: until the last went, and again from a cancellation on."""
    changes = [(_hours(line, sale.at), 1, -sale.plants) for sale in line.sales]
    changes += [(_hours(line, s.cancelled_at), 0, s.plants) for s in line.sales if s.cancelled_at is not None]
    left, since, spells = line.offered, 0.0, []
    for at, _, plants in sorted(changes):
        before, left = left, left + plants
        if before > 0 >= left:
            out = at + (_OUT_IN_MINUTE_H if is_coarse else 0.0)
            if out > since + _TINY_H and at >= 0.0:
                spells.append((since, out))
        elif before <= 0 < left:
            since = max(at, 0.0)
    if left > 0 and end_h > since:
        spells.append((since, end_h))
    return tuple(spells)


def _hours(line: PastLine, at: datetime) -> float:
    return (at - line.opened_at).total_seconds() / 3_600.0


def _sizes(rows: Sequence[PastLine], times: Sequence[LineTimes]) -> OrderSizes:
    """Plants an order takes, from all orders that stood."""
    seen: list[tuple[int, bool, int]] = []
    for line, time in zip(rows, times, strict=True):
        standing = sorted(
            (sale for sale in line.sales if sale.cancelled_at is None), key=lambda sale: sale.at
        )
        last: Sale | None = standing[-1] if time.is_out and standing else None
        seen += [(sale.plants, sale is last, _limit(line, sale)) for sale in standing]
    prior = OrderSizes(starting.ORDER_ADDED, starting.ORDER_STOPPED)
    if not seen:
        return prior
    plants, cut, limits = zip(*seen, strict=True)
    return sizes_after(plants, cut, prior, limits=limits)


def _limit(line: PastLine, sale: Sale) -> int:
    """The limit, unless the grower gave someone more."""
    limit = line.most_per_buyer or 0
    return limit if sale.plants <= limit else 0


def _rows(
    rows: Sequence[PastLine],
    times: Sequence[LineTimes],
    sizes: OrderSizes,
    days: dict[int, float],
    names: Names,
) -> DemandLines:
    taxa, grades, kinds, reference = names
    releases = list(dict.fromkeys(line.release for line in rows))
    kind = np.array([kinds.index((line.taxon, line.grade)) for line in rows], dtype=np.intp)
    limit = np.array([line.most_per_buyer or 0 for line in rows], dtype=float)
    size, dispersion = order_moments(sizes.mean_chance, limit)
    usual = float(order_moments(sizes.mean_chance, 0.0)[0])
    is_least = np.array([time.is_least for time in times], dtype=bool)
    is_cut = np.array([time.is_out for time in times], dtype=bool) & ~is_least
    taken = np.array([line.sold for line in rows], dtype=float)
    price = np.array([line.price_minor for line in rows], dtype=float)
    cells = [cell for row, time in enumerate(times) for cell in _cells(row, time)]
    of_cell = np.array(cells, dtype=float).reshape(-1, 4)
    return DemandLines(
        taxon=np.array([taxa.index(line.taxon) for line in rows], dtype=np.intp),
        grade=np.array([grades.index(line.grade) for line in rows], dtype=np.intp),
        kind=kind,
        release=np.array([releases.index(line.release) for line in rows], dtype=np.intp),
        release_day=np.array([days[release] for release in releases]),
        price_log=np.log(price / np.array(reference, dtype=float)[kind]) if len(rows) else price,
        offset_log=np.log(size / usual),
        taken_weight=(taken + np.where(is_cut, (dispersion - 1.0) / 2.0, 0.0)) / dispersion,
        dispersion_factor=dispersion,
        is_least=is_least,
        is_cut=is_cut,
        limit=limit,
        held_frac=_held_frac(rows, times),
        cell_line=of_cell[:, 0].astype(np.intp),
        cell_from_h=of_cell[:, 1],
        cell_to_h=of_cell[:, 2],
        cell_orders=of_cell[:, 3],
    )


def _held_frac(rows: Sequence[PastLine], times: Sequence[LineTimes]) -> float:
    """Share of plants taken before the opening, by lines that did not sell out if there are any."""
    seen = [(line, time) for line, time in zip(rows, times, strict=True) if line.sales]
    whole = [(line, time) for line, time in seen if not time.is_out] or seen
    sold = sum(line.sold for line, _ in whole)
    return min(_MOST_HELD_FRAC, sum(time.held for _, time in whole) / sold) if sold else 0.0


def _cells(row: int, time: LineTimes) -> list[tuple[float, float, float, float]]:
    """Cells of time that a line was on offer in, with the orders seen in each."""
    if not time.orders_h and time.out_h is not None and not time.is_least:
        last = time.out_h * (1.0 - _LAST_ORDER_FRAC)
        return [(row, 0.0, last, 0.0), (row, last, time.out_h, 1.0)]
    found: list[tuple[float, float, float, float]] = []
    orders = np.array(time.orders_h if not time.is_least else ())
    for start, end in time.spells:
        inside = _EDGES_H[(start < _EDGES_H) & (end > _EDGES_H)]
        edges = np.r_[start, inside, end] if len(orders) else np.array([start, end])
        counts = np.histogram(orders, edges)[0] if len(orders) else np.zeros(len(edges) - 1)
        found += [
            (row, float(a), float(b), float(n)) for a, b, n in zip(edges[:-1], edges[1:], counts, strict=True)
        ]
    return found
