"""Releases of one taxon that are over, or open still, for the tests of demand and prices."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from uuid import uuid4

from halfwater.book import changes, queries
from halfwater.plain.selling import NewBuyer, NewOrder, WantedLine
from tests.deeds.nurseries import NOW, WHO, a_nursery, a_tank
from tests.deeds.stocks import NANA, a_batch

EIGHTEEN = (1, 3, 6, 11, 18)  # minutes after the opening
RELEASE_DAYS = 28


def a_floor(pots: int = 40, now: datetime = NOW) -> None:
    """A nursery with one tank of nanas, each with nine leaves by today's count."""
    a_nursery()
    changes.load_starting_taxa(who=WHO)
    changes.set_spots(a_tank("North", pots=pots), [f"A{n}" for n in range(1, pots + 1)])
    a_batch("Nana, March", pots, (now - timedelta(days=250)).date())
    for pot in queries.standing_pots():
        changes.count_pot(pot.key, 9, who=WHO, at=now - timedelta(days=200), now=now)


def a_release(
    name: str, opened_at: datetime, orders: Sequence[float], pots: int = 5, price_minor: int = 950,
    days: float | None = 5.0,
) -> int:  # fmt: skip
    """A release of one line; each order takes a plant so many minutes after the opening."""
    taken = {*queries.offered_pots(), *queries.promised_pots()}
    free = [pot.key for pot in queries.standing_pots() if pot.key not in taken][:pots]
    taxon = next(one.key for one in queries.taxa() if one.name == NANA)
    release = changes.save_release(who=WHO, name=name)
    line = changes.save_line(who=WHO, release=release, taxon=taxon, grade="standard", price_minor=price_minor)
    changes.offer_pots(line, free, who=WHO, now=opened_at)
    changes.open_release(release, who=WHO, now=opened_at)
    for minutes in orders:
        new = NewOrder(str(uuid4()), NewBuyer("Anna"), (WantedLine(line, 1),))
        changes.place_order(new, who=WHO, now=opened_at + timedelta(minutes=minutes))
    if days is not None:
        changes.close_release(release, who=WHO, now=opened_at + timedelta(days=days))
    return release


def sold_out_releases(count: int, now: datetime = NOW, **more: int) -> list[int]:
    """Releases of five plants, each sold out in eighteen minutes."""
    first = now - timedelta(days=RELEASE_DAYS * count)
    return [
        a_release(f"Release {n + 1}", first + timedelta(days=RELEASE_DAYS * n), EIGHTEEN, **more)
        for n in range(count)
    ]
