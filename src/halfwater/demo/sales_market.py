"""Who would buy at Fennhollow, hidden from the book: how many, how fast, how dear, and what they take."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from halfwater.demo.sales_buyers import BUYERS, is_allowed
from halfwater.demo.truth import Floats

RUSH_FRAC, RUSH_DAYS, TAIL_DAYS = 0.65, 0.3 / 24, 2.5  # of all who come, most within the first half hour
GROWTH_A_RELEASE = 0.05  # word gets around
ALSO_FRAC = 0.3  # of those who come for one thing take another with it
REGULAR = 6  # the first of the buyers come twice as often
# What a grower needs to see on his bench, whatever the dice say: hours before the last midnight.
LATE_VISITS_H = (5.2, 3.1)


@dataclass(frozen=True, slots=True)
class LinePlan:
    """A kind and grade that releases offer, what is asked for it, and what is wanted of it in truth."""

    kind: str
    grade: str
    leaves: tuple[int, int]  # the fewest, and one more than the most
    most: int  # pots offered
    prices: tuple[int, ...]  # in cents, release by release; the last stays
    orders: float  # who would take some at the lowest of these prices
    elasticity: float
    limit_per_buyer: int | None = None
    every: int = 1  # in each, in every second release ...
    text: str = ""
    since: int = 0  # the first release that has it

    def is_in(self, release: int) -> bool:
        """Whether a release, counted from 0, has such a line."""
        return release >= self.since and release % self.every == self.every - 1

    def price_minor(self, release: int) -> int:
        """Asked in a release, counted from 0."""
        return self.prices[min(release, len(self.prices) - 1)]

    def keeps_frac(self, release: int) -> float:
        """Share of those interested at the lowest price who take it at this one."""
        return float((self.price_minor(release) / min(self.prices)) ** -self.elasticity)


MANY = 10**6
LINES: tuple[LinePlan, ...] = (
    LinePlan(
        "nana", "standard", (8, 12), 6, (790, 790, 790, 890, 890, 890), 7.5, 0.9, 3,
        text="Rooted in clay, 8 leaves or more.",
    ),
    LinePlan("nana", "large", (12, MANY), 5, (1290, 1290, 1390), 4.5, 1.4, 2, 1, "A clump of its own."),
    LinePlan(
        "bucephalandra", "standard", (12, MANY), 4, (890, 990, 990, 990, 1090), 7.0, 1.3, 2,
        text="Red stalks, wavy leaves.",
    ),
    LinePlan("java fern", "standard", (8, MANY), 5, (750,), 1.9, 1.5, text="On its rhizome: do not bury it."),
    LinePlan("crypt", "standard", (8, 12), 6, (590, 590, 650, 590), 2.0, 1.8, text="Grown emersed."),
    LinePlan("crypt", "small", (5, 8), 4, (390,), 0.9, 1.8, None, 2, "For those with patience."),
    LinePlan("crypt", "large", (12, MANY), 8, (890,), 0.6, 1.8, since=4, text="Full pots, for a foreground."),
    LinePlan("large anubias", "standard", (6, MANY), 2, (1190,), 1.0, 1.0, 1, 1, "Broad leaf."),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Want:
    """So many plants of a line, by its place in LINES."""

    line: int
    plants: int


@dataclass(frozen=True, slots=True)
class Visit:
    """Somebody who comes to buy."""

    day: float  # of the book, with its fraction
    buyer: int
    wants: tuple[Want, ...]
    is_by_hand: bool  # writes a message instead of using the shop


def visits(
    rng: Generator, release: int, offered: Sequence[int], opened: float, closed: float, buyers: int
) -> tuple[Visit, ...]:
    """All who come while a release is open, in order of time; the limits are known to them."""
    interest = {line: _interest(LINES[line], release) for line in offered}
    comers = [line for line in offered for _ in range(int(rng.poisson(interest[line])))]
    days = opened + _after(rng, len(comers))
    weights = np.where(np.arange(buyers) < REGULAR, 2.0, 1.0)
    who = rng.choice(buyers, min(len(comers), buyers), replace=False, p=weights / weights.sum())
    came = []
    for line, day, buyer in zip(comers, days, who, strict=False):
        wants = [_want(rng, line)]
        others = [one for one in offered if LINES[one].kind != LINES[line].kind]
        if others and rng.random() < ALSO_FRAC:
            share = np.array([interest[one] for one in others])
            wants.append(_want(rng, int(rng.choice(others, p=share / share.sum()))))
        came.append(Visit(float(day), int(buyer), tuple(wants), bool(rng.random() < 0.25)))
    return tuple(sorted((one for one in came if one.day < closed), key=lambda one: one.day))


def late_visits(midnight: float, taken: Sequence[Visit], offered: Sequence[int]) -> list[Visit]:
    """Two more on the last evening of the book, who take of the lines that sell slowest."""
    known = {one.buyer for one in taken}
    slow = slowest(offered)[:2]
    free = (
        buyer
        for buyer, who in enumerate(BUYERS)
        if buyer not in known and all(is_allowed(who.place, LINES[line].kind) for line in slow)
    )
    baskets = ((Want(slow[0], 2),), tuple(Want(line, 1) for line in slow))
    return [
        Visit(midnight - hours / 24, buyer, wants, False)
        for hours, buyer, wants in zip(LATE_VISITS_H, free, baskets, strict=False)
    ]


def slowest(offered: Sequence[int]) -> list[int]:
    """The lines on offer, those first of which most is left as a rule."""
    return sorted(offered, key=lambda line: LINES[line].orders / LINES[line].most)


def _interest(line: LinePlan, release: int) -> float:
    return line.orders * line.keeps_frac(release) * (1 + GROWTH_A_RELEASE * release)


def _after(rng: Generator, count: int) -> Floats:
    is_rush = rng.random(count) < RUSH_FRAC
    return np.asarray(np.where(is_rush, rng.exponential(RUSH_DAYS, count), rng.exponential(TAIL_DAYS, count)))


def _want(rng: Generator, line: int) -> Want:
    plants = 1 + int(rng.random() < 0.5) + int(rng.random() < 0.2)
    return Want(line, min(plants, LINES[line].limit_per_buyer or plants))
