"""Simulated baths with a hidden truth about their salts, many at once; knows nothing of the filter.

Ions in milliequivalents with charge balance; films on leaves and crusts on glass that are washed down late;
clay that exchanges with the bath slowly; urea, ammonium and nitrate apart; plants that feed at a flat pace
until little is left; EC by ions with what neighbours leave of it. Day by day, all books side by side.
"""

from dataclasses import dataclass

import numpy as np

PAST, AHEAD = 420, 400
NO3, NH4, UREA, P, K, CA, MG, REST = range(8)
EQ = np.array([14.007, 14.007, 14.007, 30.974, 39.098, 20.039, 12.1525, 1.0])  # mg per milliequivalent
MOBILITY = np.array([71.4, 73.5, 0.0, 36.0, 73.5, 59.5, 53.0, 52.0]) / 1000.0
CHARGE = np.array([-1, 1, 0, -1, 1, 1, 1, 0])


@dataclass
class Books:
    """Columns are books, from `start` to PAST; noted is what the grower of each wrote."""

    length_mm: np.ndarray
    width_mm: np.ndarray
    pots: np.ndarray
    fill_frac: np.ndarray
    plan_l: np.ndarray
    start: np.ndarray
    source: np.ndarray  # (8, books), meq/L
    night: np.ndarray
    poured: np.ndarray
    told_uptake: np.ndarray
    ec_every: np.ndarray
    ec: np.ndarray  # (days, books), true, each evening before the spray
    volume: np.ndarray
    passes: np.ndarray  # day of passing the limit line after the book's end; -1: never
    noted: list  # of (day, kind, value, to_line, mix), one list a book


def conductivity(ions):
    """EC of a solution in meq/L of ions, mS/cm."""
    total = np.tensordot(MOBILITY, ions, axes=1)
    return total * (1.0 - 0.115 * np.sqrt(np.maximum(total, 0.0)))


def _recipe(rng, n, books):
    """A feed of so many mg/L of nitrogen, in meq/L, the charges made even by other ions."""
    forms = rng.dirichlet([3.0, 2.0, 1.5], books).T
    ions = np.zeros((8, books))
    ions[[NO3, NH4, UREA]] = forms * n / 14.007
    for ion, low, high in ((P, 0.1, 0.25), (K, 0.7, 1.3), (CA, 0.0, 0.6), (MG, 0.1, 0.2)):
        ions[ion] = n * rng.uniform(low, high, books) / EQ[ion]
    even = np.abs((CHARGE[:, None] * ions).sum(axis=0))
    ions[REST] = even + 0.1 * rng.random(books) * ions.sum(axis=0)
    return ions


def _curve(length, width, pots, fill_frac, porosity):
    """Litres under each tenth of a millimetre, low and limit line: slices of a floor among pots."""
    height = 50.0
    z = np.arange(0.05, 120.0, 0.1)
    radius = (38.0 + 12.0 * z / height) / 2.0
    solid = np.where(z < fill_frac * height, pots * np.pi * radius**2 * (1.0 - porosity), 0.0)
    litres = np.concatenate(([0.0], np.cumsum((length * width - solid) * 0.1) / 1e6))
    low, limit = height / 3.0, fill_frac * height - 6.0
    return litres, litres[round(low * 10)], litres[round(limit * 10)]


def simulated_books(seed, books):
    """So many baths of many habits, with what was noted and what was true."""
    rng = np.random.default_rng(seed)
    u = rng.uniform
    length, width = u(600, 1250, books).round(), u(300, 500, books).round()
    pots = (length * width / 2500.0 * u(0.3, 0.7, books) / 1.6).astype(int)
    fill_frac = u(0.6, 0.75, books).round(3)
    shape = [
        _curve(*v) for v in zip(length, width, pots, fill_frac, rng.normal(0.44, 0.02, books), strict=True)
    ]
    believed = [_curve(*v, 0.44)[0] for v in zip(length, width, pots, fill_frac, strict=True)]
    low, limit = (np.array([s[i] for s in shape]) for i in (1, 2))
    clay_l = pots * np.pi * 22.0**2 * fill_frac * 50.0 / 1e6
    plan = (0.15 * (length * width / 540_000) ** 0.7 * np.exp(rng.normal(0, 0.3, books))).round(2)
    start = (PAST - np.exp(u(np.log(30), np.log(PAST - 5), books))).astype(int)
    source = np.zeros((8, books))
    source[CA], source[MG] = u(0.3, 2.5, books), u(0.1, 0.6, books)
    source[REST] = source[CA] + source[MG] + u(0.2, 1.0, books)
    night = source + _recipe(rng, u(20, 80, books), books)
    poured = source + _recipe(rng, u(10, 60, books), books) * (rng.random(books) < 0.6)
    told_uptake = pots * u(3.0, 13.0, books) / 30.0
    world = _World(rng, books, low, limit, clay_l, plan, source, night, poured, told_uptake)
    world.refill = np.where(rng.random(books) < 0.5, u(0.5, 3.0, books), 0.0)
    world.ec_every = rng.choice([0, 7, 14, 30], books, p=[0.15, 0.3, 0.3, 0.25])
    world.ruler_every = rng.choice([0, 7, 14, 30], books, p=[0.15, 0.35, 0.25, 0.25])
    world.start = start
    for day in range(PAST + AHEAD):
        world.turn(day, believed)
    return Books(
        length, width, pots, fill_frac, plan, start, source, night, poured, told_uptake, world.ec_every,
        np.array(world.ecs), np.array(world.volumes), world.passes, world.noted,
    )  # fmt: skip


class _World:
    """Everything that stands and flows, all books side by side."""

    def __init__(self, rng, books, low, limit, clay_l, plan, source, night, poured, told_uptake):
        u = rng.uniform
        self.rng, self.books, self.low, self.limit, self.plan = rng, books, low, limit, plan
        self.source, self.night, self.poured = source, night, poured
        self.volume = low * u(0.9, 1.1, books)
        self.bath = poured * np.exp(rng.normal(0, 0.08, books))
        self.clay_l, self.clay = clay_l * u(0.05, 0.18, books), source * u(1.0, 1.3, books)
        self.exchange = u(0.05, 0.5, books)
        self.film, self.glass = np.zeros((8, books)), np.zeros((8, books))
        self.catch = np.clip(rng.normal(0.55, 0.13, books), 0.2, 0.85)
        self.crust, self.washed, self.drips = u(0.1, 0.6, books), u(0.5, 0.95, books), u(0.0, 0.1, books)
        self.absorbed = np.exp(u(np.log(0.03), np.log(0.3), books))
        self.loss = np.exp(rng.normal(np.log(0.03), 0.6, books)) + 0.006
        self.spell = np.zeros(books)
        self.phase, self.urea = u(0, 365, books), np.log(2) / u(1.5, 8.0, books)
        self.wants = told_uptake * np.exp(rng.normal(0, 0.5, books))
        self.ratio = np.array([0.12, 1.2, 0.52, 0.15])[:, None] * np.exp(rng.normal(0, 0.25, (4, books)))
        self.flat_until, self.pace = u(6.0, 30.0, books), u(0.0, 0.25, books)
        self.gaps, self.unnoted = u(0.02, 0.15, books), u(0.0, 0.4, books)
        self.bias, self.strokes = np.exp(rng.normal(0, 0.05, books)), u(0.04, 0.2, books)
        self.strength = np.exp(rng.normal(0, 0.06, books))  # of what is mixed, over what the label says
        self.meter, self.by_line = rng.normal(1.0, 0.02, books), rng.random(books) < 0.5
        self.looks, self.ecs, self.volumes = u(0.3, 0.8, books), [], []
        self.noted = [[] for _ in range(books)]
        self.passes = np.full(books, -1)

    def turn(self, day, believed):
        """One day: vapour, plants and clay, then the evening's round."""
        rng = self.rng
        if day == 0:
            self.lives = np.zeros(self.books, dtype=bool)
        begins = self.start == day
        for book in np.flatnonzero(begins):
            self.noted[book].append((day + 0.80, "fill", round(float(self.volume[book]), 1), "", 2))
        self.lives |= begins
        self._grow(day)
        self.ecs.append(conductivity(self.bath))
        self.volumes.append(self.volume.copy())
        if day < PAST:
            self._measure(day, believed)
            self._siphon(day)
        elif day > PAST:
            over = (self.passes < 0) & (self.volume >= self.limit)
            self.passes[over] = day
        self._spray(day, rng)

    def _measure(self, day, believed):
        rng, age = self.rng, day - self.start
        due = self.lives & (age > 0) & (self.ruler_every > 0) & (age % np.maximum(self.ruler_every, 1) == 3)
        for book in np.flatnonzero(due & (rng.random(self.books) < 0.8)):
            depth = np.searchsorted(believed[book], self.volume[book]) / 10.0 + rng.normal(0, 0.9)
            self.noted[book].append((day + 0.825, "waterline", max(round(depth), 0.0), "", None))
        due = self.lives & (age > 0) & (self.ec_every > 0) & (age % np.maximum(self.ec_every, 1) == 4)
        for book in np.flatnonzero(due & (rng.random(self.books) < 0.85)):
            seen = self.ecs[-1][book] * self.meter[book] * rng.normal(1, 0.025) + rng.normal(0, 0.01)
            self.noted[book].append((day + 0.826, "ec", max(round(seen, 2), 0.0), "", None))

    def _siphon(self, day):
        rng = self.rng
        due = self.lives & (self.volume >= self.limit * 0.97) & (rng.random(self.books) < self.looks)
        for book in np.flatnonzero(due):
            taken = self.volume[book] - self.low[book] * rng.normal(1, 0.05)
            line = "low" if self.by_line[book] else ""
            value = None if line else max(0.1, round(taken * rng.normal(1, 0.04), 1))
            self.noted[book].append((day + 0.830, "siphon", value, line, None))
            self.volume[book] -= taken
            if self.refill[book]:
                self._pour(book, day, self.refill[book])
        for book in np.flatnonzero(self.lives & (self.volume < 0.35 * self.low)):
            self._pour(book, day, self.low[book] - self.volume[book])

    def _pour(self, book, day, litres):
        rng = self.rng
        self.noted[book].append((day + 0.832, "fill", round(float(litres), 1), "", 2))
        litres *= rng.normal(1, 0.03)
        mixed = self.poured[:, book] * rng.normal(1, 0.07)
        self.bath[:, book] = (self.bath[:, book] * self.volume[book] + mixed * litres) / (
            self.volume[book] + litres
        )
        self.volume[book] += litres

    def _spray(self, day, rng):
        books = self.books
        entry = rng.random(books) >= self.gaps
        given = (entry | (rng.random(books) < self.unnoted)) & self.lives
        if day < PAST:
            for book in np.flatnonzero(entry & self.lives):
                self.noted[book].append((day + 0.834 + 0.01 * rng.random(), "spray", self.plan[book], "", 1))
        litres = self.plan * self.bias * np.exp(rng.normal(0, self.strokes)) * given
        catch = np.clip(self.catch * np.exp(rng.normal(0, 0.07, books)), 0, 1)
        self.catch = np.clip(self.catch * np.exp(rng.normal(0, 0.004, books)), 0.1, 0.95)
        brought = litres * (self.source + (self.night - self.source) * self.strength)
        salt = self.bath * self.volume + catch * brought
        washed = self.film * self.washed * given
        dripped = self.glass * self.drips * given
        salt += washed + dripped
        stays = (1 - catch) * brought
        self.film += (1 - self.crust) * stays - washed
        self.glass += self.crust * stays - dripped
        self.volume = self.volume + catch * litres
        self.bath = salt / np.maximum(self.volume, 1e-6)

    def _grow(self, day):
        rng, books = self.rng, self.books
        self.spell = 0.9 * self.spell + rng.normal(0, 0.1, books)
        season = np.cos(2 * np.pi * (day - self.phase) / 365)
        gone = np.minimum(self.loss * np.exp(0.25 * season + self.spell), 0.5 * self.volume) * self.lives
        salt = self.bath * self.volume
        self.volume = self.volume - gone
        bath = salt / self.volume
        film = self.film
        taken_by_leaves = film * np.array([1, 1, 1.3, 0.7, 1, 0.3, 0.5, 0])[:, None] * self.absorbed
        self.film = film - taken_by_leaves
        for pool in (bath, self.clay):
            turned = pool[UREA] * -np.expm1(-self.urea) * self.lives
            pool[UREA] -= turned
            pool[NH4] += turned
            pool[REST] += turned
        wants = self.wants * (1 + self.pace * season) * self.lives / self.volume
        self._feed(bath, wants)
        flow = self.exchange * self.clay_l * (self.clay - bath) * self.lives
        share = flow / (self.volume + self.clay_l)
        self.bath = bath + share
        self.clay = self.clay - share * self.volume / self.clay_l

    def _feed(self, bath, wants):
        """Plants take at a flat pace until little is left; others make good what ions they take unevenly."""
        n = (bath[NO3] + bath[NH4]) * 14.007
        took = wants * np.minimum(1, n / self.flat_until)
        took = np.minimum(took, 0.5 * n)
        ammonium = bath[NH4] * 1.4
        share = ammonium / np.maximum(ammonium + bath[NO3], 1e-9)
        away = np.zeros_like(bath)
        away[NH4] = np.minimum(took * share / 14.007, bath[NH4])
        away[NO3] = np.minimum(took / 14.007 - away[NH4], bath[NO3])
        for row, ion in enumerate((P, K, CA, MG)):
            most = wants * self.ratio[row] / EQ[ion]
            away[ion] = most * np.minimum(1, bath[ion] * EQ[ion] / (self.flat_until * self.ratio[row]))
            away[ion] = np.minimum(away[ion], 0.5 * bath[ion])
        bath -= away
        uneven = -(CHARGE[:, None] * away).sum(axis=0)  # more anions taken: bicarbonate given back
        bath[REST] = np.maximum(bath[REST] + uneven, 0.05)
