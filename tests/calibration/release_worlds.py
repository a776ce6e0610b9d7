"""Simulated nurseries that sell: every buyer who ever comes is drawn, and most are never seen.

Shares no code with the demand model. Buyers come one by one by a law of the world's own, take what is left
or find nothing; what a grower would have noted is kept apart from the truth.
"""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import numpy as np

from halfwater.plain.demand import PastLine, Sale

NOW = datetime(2026, 11, 1, 12, tzinfo=UTC)
OPEN_H = 168.0
LONG_H = 24.0 * 400.0  # by then everyone who would ever come has come


@dataclass(frozen=True)
class World:
    """How a kind of nursery differs from the usual one."""

    law: str = "two"  # how interest comes: "two", "weibull", "power", "night", "single"
    noted: str = "instants"  # what is known: "instants", "minutes", "totals", "mixed"
    sizes: str = "usual"  # plants in an order: "one", "usual", "shops"
    releases: tuple[int, int] = (3, 12)
    few_offered: float = 0.7  # plants on offer over what is wanted on the mean, spread by half
    limit: int | None = None
    cancelled: float = 0.0
    held: float = 0.0
    line_sd: float | None = None


WORLDS = {
    "usual": World(),
    "totals": World(noted="totals"),
    "mixed": World(noted="mixed"),
    "minutes": World(noted="minutes"),
    "two releases": World(releases=(2, 2)),
    "scarce": World(few_offered=0.3),
    "scarce totals": World(few_offered=0.3, noted="totals"),
    "batches": World(sizes="shops"),
    "limit": World(limit=2),
    "cancelled": World(cancelled=0.15),
    "held": World(held=0.15),
    "weibull": World(law="weibull"),
    "power": World(law="power"),
    "night": World(law="night"),
    "wild lines": World(line_sd=0.8),
}


@dataclass(frozen=True)
class Market:
    """One nursery's past as noted, the buyers who came, and what its next line really meets."""

    past: tuple[PastLine, ...]
    buyers: tuple[np.ndarray, ...]  # of each line: hours and plants wanted of all who came
    coming: PastLine  # the next line, nothing sold yet
    coming_buyers: np.ndarray


def simulated_market(rng: np.random.Generator, world: World) -> Market:
    """One nursery of a kind, with a hidden truth."""
    level = np.log(15.0) + 1.0 * rng.standard_normal()
    taxa = rng.integers(1, 6)
    taste = 0.7 * rng.standard_normal(taxa)
    grade = dict(zip(("small", "standard"), 0.4 * rng.standard_normal(2), strict=True))
    kind = {(x, g): 0.3 * rng.standard_normal() for x in range(taxa) for g in grade}
    price = {both: int(rng.integers(6, 30)) * 100 for both in kind}
    bend = 1.5 * np.exp(0.6 * rng.standard_normal())
    law = Law(rng, world.law)
    line_sd = world.line_sd or 0.35 * rng.choice([0.5, 1.0, 1.6])
    moves = rng.random() < 0.5
    count = int(rng.integers(*world.releases, endpoint=True))
    drift, lines, buyers = 0.35 * rng.standard_normal(), [], []
    for release in range(count + 1):
        opened = NOW - timedelta(days=21 * (count - release) + 10)
        drift = 0.94 * drift + 0.35 * np.sqrt(1 - 0.94**2) * rng.standard_normal()
        shock, own = 0.3 * rng.standard_normal(), law.of_release(rng)
        some = [both for both in kind if rng.random() < 0.6] or [next(iter(kind))]
        for both in some if release < count else some[:1]:
            factor = np.exp(0.12 * rng.integers(-1, 2)) if moves and release else 1.0
            mean = np.exp(
                level + taste[both[0]] + grade[both[1]] + kind[both] + drift + shock - bend * np.log(factor)
            )
            shape = 1.0 / np.expm1(line_sd**2)
            came = own.buyers(rng, mean * rng.gamma(shape) / shape, world)
            guess = np.exp(level + taste[both[0]] + grade[both[1]])
            offered = max(1, round(guess * world.few_offered * np.exp(0.5 * rng.standard_normal())))
            line = PastLine(
                release, f"R{release}", both[0], f"T{both[0]}", both[1], round(price[both] * factor),
                offered, opened, opened + timedelta(hours=OPEN_H), (), 0, None, world.limit,
            )  # fmt: skip
            lines.append(noted(rng, sell(line, came), world))
            buyers.append(came)
    past = [one for one in lines if one.release < count]
    return Market(tuple(past), tuple(buyers[: len(past)]), lines[-1], buyers[-1])


class Law:
    """How interest comes in one nursery; each release draws its own about it."""

    def __init__(self, rng: np.random.Generator, kind: str) -> None:
        self.kind = kind
        self.rush = 1.2 * np.exp(2.0 * rng.standard_normal())
        self.tail = 72.0 * np.exp(0.8 * rng.standard_normal())
        self.odds = 0.405 + 1.1 * rng.standard_normal()

    def of_release(self, rng: np.random.Generator) -> "Law":
        """The law of one release."""
        own = object.__new__(Law)
        own.kind, own.tail = self.kind, self.tail
        own.rush = self.rush * np.exp(0.4 * rng.standard_normal())
        own.odds = self.odds + 0.4 * rng.standard_normal()
        return own

    def hours(self, rng: np.random.Generator, n: int) -> np.ndarray:
        """Instants of n buyers, sorted."""
        if self.kind == "weibull":
            found = (self.rush * 4.0) * rng.weibull(0.5, n)
        elif self.kind == "power":
            found = self.rush * rng.pareto(0.9, n)
        else:
            is_rush = rng.random(n) < 1.0 / (1.0 + np.exp(-self.odds))
            found = np.where(is_rush, self.rush, self.tail) * rng.exponential(size=n)
        if self.kind == "night":  # opened at six in the evening: nobody comes from eleven to seven
            into = found % 24.0
            found = np.where((into > 5.0) & (into < 13.0), found - into + 13.0 + rng.random(n), found)
        return np.sort(np.minimum(found, LONG_H))

    def buyers(self, rng: np.random.Generator, mean: float, world: World) -> np.ndarray:
        """All who come: hours after the opening (before it where they asked early), and plants wanted."""
        size = {"one": 1.0, "usual": 1.35, "shops": 2.2}[world.sizes]
        n = rng.poisson(mean / size)
        if world.sizes == "shops":
            wanted = np.where(rng.random(n) < 0.2, rng.integers(4, 11, n), 1)
        else:
            wanted = rng.geometric(1.0 / size, n)
        if world.limit:
            wanted = np.minimum(wanted, world.limit)
        hours = np.where(rng.random(n) < world.held, -2.0, self.hours(rng, n))
        cancels = (rng.random(n) < world.cancelled) & (hours >= 0.0)
        after = np.where(cancels, hours + rng.exponential(20.0, n), np.inf)
        came = np.column_stack([hours, wanted, np.where(after < OPEN_H, after, np.inf)])
        return came[np.argsort(hours, kind="stable")]


def sell(line: PastLine, came: np.ndarray) -> PastLine:
    """The line as it was sold: buyers take what is left, some cancel later."""
    left, sales, back = line.offered, [], []
    for at_h, wanted, cancels_h in came[came[:, 0] <= OPEN_H]:
        while back and back[0][0] <= at_h:
            left += back.pop(0)[1]
        taken = int(min(left, wanted))
        if taken:
            left -= taken
            cancelled = line.opened_at + timedelta(hours=cancels_h) if np.isfinite(cancels_h) else None
            back = sorted([*back, (cancels_h, taken)])
            sales.append(Sale(line.opened_at + timedelta(hours=at_h), taken, cancelled))
    sold = sum(sale.plants for sale in sales if sale.cancelled_at is None)
    out = max((s.at for s in sales), default=None) if sold == line.offered else None
    return replace(line, sales=tuple(sales), sold=sold, sold_out_at=out)


def noted(rng: np.random.Generator, line: PastLine, world: World) -> PastLine:
    """The line as a grower notes it."""
    how = world.noted
    if how == "mixed":
        how = str(rng.choice(["instants", "minutes", "totals", "no instant"]))
    if how == "no instant":
        return replace(line, sales=(), sold_out_at=None)
    if how == "totals":
        return replace(line, sales=(), sold_out_at=_minute(line.sold_out_at))
    if how == "minutes":
        sales = tuple(replace(s, at=_minute(s.at), cancelled_at=_minute(s.cancelled_at)) for s in line.sales)
        return replace(line, sales=sales, sold_out_at=_minute(line.sold_out_at))
    return line


def _minute(at: datetime | None) -> datetime | None:
    return at.replace(second=0, microsecond=0) if at else None


def wanted_until(came: np.ndarray, until_h: float) -> int:
    """Plants that all who came by then wanted, those who would have cancelled left out."""
    return int(came[(came[:, 0] <= until_h) & np.isinf(came[:, 2]), 1].sum())
