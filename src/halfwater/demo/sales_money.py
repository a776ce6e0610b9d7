"""What Fennhollow paid for, and the minutes somebody timed there."""

from dataclasses import dataclass
from datetime import date, timedelta

from numpy.random import Generator

from halfwater.demo.nursery import BOOK_DAYS, PLACES
from halfwater.demo.sales import Release


@dataclass(frozen=True, slots=True)
class Paid:
    """A purchase, so many days before today."""

    days_ago: int
    kind: str  # one of plain.costing.PURCHASE_KINDS
    text: str
    amount_minor: int
    life_months: int | None = None
    enough_for: int | None = None
    tank: str = ""
    batch: str = ""


_TANKS = {"North": (21900, 11500), "South": (15900, 9900), "Window": (12900, 6400), "Shelf": (7900, 5200),
          "Nook": (8900, 6400)}  # fmt: skip
PURCHASES: tuple[Paid, ...] = (
    *(
        Paid(place.days_ago + days, "equipment", text, amount, months, None, place.facts.name)
        for place in PLACES
        for days, text, amount, months in (
            (6, "tank with lid", _TANKS[place.facts.name][0], 120),
            (4, "lamp", _TANKS[place.facts.name][1], 60),
        )
    ),
    Paid(424, "plants", "three old clumps", 4500, batch="N-1"),
    Paid(420, "plants", "wavy form, in a cup", 6400, batch="B-1"),
    Paid(400, "plants", "one large fern", 1800, batch="F-1"),
    Paid(390, "plants", "a bunch of crowns", 1500, batch="C-1"),
    Paid(250, "plants", "broad leaf, one plant", 2900, batch="P-1"),
    Paid(150, "plants", "brown form, bought in", 7200, batch="B-4"),
    Paid(423, "potting", "net pots and clay for 400", 9200, enough_for=400),
    Paid(160, "potting", "net pots and clay for 200", 4800, enough_for=200),
    Paid(423, "feed", "Liquid 9-3-6, 1 L, and Dry 15-5-20, 2 kg", 3900, 18),
    Paid(220, "feed", "Liquid 3-1-2, 1 L", 1450, 9),
    Paid(40, "feed", "Liquid 3-1-2, 1 L", 1590, 9),
    Paid(421, "equipment", "EC meter, hygrometer, ruler", 6200, 36),
    Paid(96, "equipment", "sprayer nozzle, fine and coarse", 890, 12),
    Paid(6, "equipment", "siphon hose", 650, 24),
    Paid(182, "packing", "cartons, foam boxes, paper for 100 parcels", 15900, enough_for=100),
    Paid(182, "packing", "heat packs and foil for 40 parcels", 5600, enough_for=40),
)
# Kind, what, cents a month, first day as days before today.
CHARGES: tuple[tuple[str, str, int, int], ...] = (
    ("room", "corner of the cellar", 2500, 425),
    ("other", "web shop", 900, 185),
)
TARIFFS: tuple[tuple[int, str], ...] = ((425, "34.9"), (150, "29.2"))  # days before today, cents for a kWh
POWER: tuple[tuple[str, float, float, int], ...] = (("fan over the lamps", 6.0, 12.0, 300),)
# Channel, who takes it, cents of an order, share of its price.
FEES: tuple[tuple[str, str, int, float], ...] = (("file", "payment service", 25, 0.021),)
TIMED_EVERY_DAYS = 21


@dataclass(frozen=True, slots=True)
class Timed:
    """Minutes somebody noted of a task, late on an evening of the book."""

    day: int
    task: str  # one of plain.costing.TASKS
    minutes: float


def timed_work(rng: Generator, releases: tuple[Release, ...]) -> tuple[Timed, ...]:
    """Every third week the sprays of an evening are timed, and on ship days the packing."""
    found = [
        Timed(day, "spray", float(round(rng.normal(11.0, 1.5))))
        for day in range(60, BOOK_DAYS, TIMED_EVERY_DAYS)
    ]
    for release in releases:
        plants: dict[int, int] = {}
        for number, order in enumerate(release.orders):
            if order.is_sent and order.ship_day is not None:
                plants[order.ship_day] = plants.get(order.ship_day, 0) + len(release.pots_of(number))
        found += [
            Timed(day, "pack", float(round(3 + 2.1 * count * rng.uniform(0.85, 1.2))))
            for day, count in plants.items()
        ]
    return tuple(sorted(found, key=lambda one: one.day))


def paid_on(today: date, days_ago: int) -> date:
    """A day so long before today."""
    return today - timedelta(days=days_ago)
