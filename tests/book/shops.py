"""A small book of sales for tests: a release with a line and pots behind it."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import uuid4

from halfwater.book import changes
from halfwater.plain.selling import NewBuyer, NewHold, NewOrder, OrderFacts, WantedLine
from tests.book.builders import NOW, WHO, a_tank

POTTED = date(2026, 5, 1)
ANNA = NewBuyer("Anna", "anna@example.org", "1 Pond Lane", "Northland")
BEN = NewBuyer("Ben", "ben@example.org")


@dataclass(frozen=True, slots=True)
class Shop:
    """Keys of what stands in the book."""

    tank: int
    taxon: int
    batch: int
    pots: tuple[int, ...]
    release: int
    line: int


def a_shop(pots: int = 4, offered: int | None = None, is_open: bool = True, **line: object) -> Shop:
    """A tank with ready pots of one taxon, behind the one line of a release."""
    tank = a_tank()
    changes.set_spots(tank, [f"A{n}" for n in range(1, pots + 1)])
    taxon = changes.save_taxon(who=WHO, name="Moss fern")
    batch = changes.save_batch(who=WHO, name="MF-1", taxon=taxon, potted_on=POTTED)
    keys = changes.place_pots(tank, pots, batch, "ready", 9, who=WHO)
    release = changes.save_release(who=WHO, name="November")
    fields = {"release": release, "taxon": taxon, "grade": "standard", "price_minor": 950}
    key = changes.save_line(who=WHO, **(fields | line))
    if offered != 0:
        changes.offer_pots(key, keys[:offered], who=WHO, now=NOW - timedelta(hours=1))
    if is_open:
        changes.open_release(release, who=WHO, now=NOW - timedelta(hours=1))
    return Shop(tank, taxon, batch, keys, release, key)


def an_order(line: int | None = None, plants: int = 1, **fields: object) -> NewOrder:
    """An order that is sound unless `fields` say otherwise."""
    wanted = () if line is None else (WantedLine(line, plants),)
    return replace(NewOrder(key=str(uuid4()), buyer=ANNA, lines=wanted), **fields)  # type: ignore[arg-type]


def place(line: int | None = None, plants: int = 1, **fields: object) -> OrderFacts:
    """Place an order now."""
    return changes.place_order(an_order(line, plants, **fields), who=WHO, now=NOW)


def a_hold(line: int, plants: int = 1, minutes: int = 30, **fields: object) -> NewHold:
    """A hold that runs for so many minutes from now."""
    return replace(NewHold(str(uuid4()), line, plants, NOW + timedelta(minutes=minutes)), **fields)  # type: ignore[arg-type]
