"""How sales are told in short: states with their tones, instants, spots, orders in a row."""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.releases import show_instant
from halfwater.plain.figures import show_money
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.selling import OfferedPot, OrderFacts, ReleaseFacts

ORDER_TONES = {"placed": "due", "paid": "due", "packed": "due", "cancelled": "past"}
RELEASE_TONES = {"drafted": "quiet", "sold out": "due", "closed": "quiet"}
WAITING = ("placed", "paid", "packed")
_MOST_RUNS = 16  # named of each tank
_SPOT = re.compile(r"([A-Za-z]+)(\d+)$")


@dataclass(frozen=True, slots=True)
class OrderRow:
    """An order in a list."""

    title: str
    url: str
    state: str
    tone: str
    what: str
    in_all: str
    placed: str
    missing: int = 0


def order_rows(orders: Sequence[OrderFacts]) -> tuple[OrderRow, ...]:
    """Orders as they stand in a list."""
    nursery = queries.nursery()
    return tuple(_order_row(one, nursery) for one in orders)


def _order_row(order: OrderFacts, nursery: NurseryFacts) -> OrderRow:
    return OrderRow(
        title=f"{order.number} · {order.buyer.name or 'erased'}",
        url=reverse("order", args=[order.number]),
        state=order.state,
        tone=order_tone(order.state),
        what=what_of(order),
        in_all=show_money(order.goods_minor + order.postage_minor, nursery.currency),
        placed=show_instant(order.placed_at, nursery),
        missing=missing_in(order),
    )


def order_tone(state: str) -> str:
    """The tone of an order's state: due until it is sent."""
    return ORDER_TONES.get(state, "quiet" if state == "arrived" else "")


def plants_said(count: int, word: str = "plant") -> str:
    """ "1 plant", "12 plants"."""
    return f"{count} {word}{'' if count == 1 else 's'}"


def spots_in_short(pots: Iterable[OfferedPot]) -> str:
    """Where pots stand, runs of spots drawn together: "South A1-A4, B2; North C1".

    Of many scattered ones the first runs of each tank are named.
    """
    by_tank: dict[str, list[str]] = defaultdict(list)
    for pot in pots:
        by_tank[pot.tank].append(pot.spot)
    return "; ".join(f"{tank} {_named(_runs(spots))}" for tank, spots in by_tank.items() if tank)


def _named(runs: Sequence[str]) -> str:
    rest = f" and {len(runs) - _MOST_RUNS} more rows" if len(runs) > _MOST_RUNS else ""
    return f"{', '.join(runs[:_MOST_RUNS])}{rest}"


def _runs(spots: Sequence[str]) -> list[str]:
    found: list[list[str]] = []
    last = ("", -1)
    for spot in spots:
        match = _SPOT.match(spot)
        here = (match[1], int(match[2])) if match else (spot, -1)
        if match and here == (last[0], last[1] + 1):
            found[-1][1:] = [spot]
        else:
            found.append([spot])
        last = here
    return ["-".join(run) for run in found]


def what_of(order: OrderFacts) -> str:
    """What an order is of, in short: "2 Nana standard, 1 Lace large"."""
    parts = [
        f"{line.plants - line.cancelled} {line.taxon_name} {line.grade}".strip()
        for line in order.lines
        if line.plants > line.cancelled
    ]
    return ", ".join(parts) or "no plant left"


def missing_in(order: OrderFacts) -> int:
    """Plants of an order that have no pot any more."""
    return sum(line.missing for line in order.lines) if order.state in WAITING else 0


def release_said(facts: ReleaseFacts) -> str:
    """How a release stands, in one sentence."""
    offered, ordered = (sum(getattr(line, name) for line in facts.lines) for name in ("offered", "ordered"))
    free = sum(line.free for line in facts.lines)
    if facts.state == "drafted":
        lines = plants_said(len(facts.lines), "line")
        opens = (
            f"it opens {show_instant(facts.opens_at, queries.nursery())}"
            if facts.opens_at
            else "no opening is set"
        )
        pots = (
            f"{plants_said(offered, 'pot')} stand behind {lines}"
            if offered
            else "No pot stands behind it yet"
        )
        return f"{pots}; {opens}."
    if facts.state == "sold out":
        return f"Sold out: all {ordered} plants are ordered."
    if facts.state == "closed":
        return f"Closed: {ordered} of {offered} plants were sold."
    return f"{ordered} of {offered} plants are ordered, {free} can still be had."
