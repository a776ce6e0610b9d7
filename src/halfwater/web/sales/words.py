"""Sales in words: states with their tones, plants, instants, spots in short."""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from halfwater.deeds.demand_words import said_hours
from halfwater.deeds.releases import show_instant
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.selling import OfferedPot, OrderFacts

RELEASE_TONES = {"drafted": "quiet", "open": "", "sold out": "due", "closed": "quiet"}
ORDER_TONES = {"placed": "due", "paid": "due", "packed": "due", "cancelled": "past"}
_SPOT = re.compile(r"([A-Za-z]+)(\d+)$")


def order_tone(state: str) -> str:
    """The tone of an order's state: due until it is sent."""
    return ORDER_TONES.get(state, "quiet" if state == "arrived" else "")


def plants_said(count: int) -> str:
    """ "1 plant", "12 plants"."""
    return f"{count} plant{'' if count == 1 else 's'}"


def said_in(at: datetime, now: datetime) -> str:
    """How far off an instant is: "in 3 hours", "2 days ago"."""
    gap = abs(at - now)
    if gap < timedelta(minutes=1):
        return "now"
    span = said_hours(gap.total_seconds() / 3600.0)
    return f"in {span}" if at > now else f"{span} ago"


def instant_said(at: datetime | None, nursery: NurseryFacts, now: datetime) -> str:
    """An instant with how far off it is."""
    return f"{show_instant(at, nursery)}, {said_in(at, now)}" if at else "not set"


def spots_in_short(pots: Iterable[OfferedPot]) -> str:
    """Where pots stand, runs of spots drawn together: "South A1-A4, B2; North C1"."""
    by_tank: dict[str, list[str]] = defaultdict(list)
    for pot in pots:
        by_tank[pot.tank].append(pot.spot)
    return "; ".join(f"{tank} {', '.join(_runs(spots))}" for tank, spots in by_tank.items() if tank)


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
    return sum(line.missing for line in order.lines) if order.state in ("placed", "paid", "packed") else 0
