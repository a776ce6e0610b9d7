"""Small invented nurseries for the accounts, and their costs worked out by hand: day by day, in fractions.

The reckoning here shares no code with the package. It knows pots that move, die, are cut and are sold;
purchases that last, rent and lamps; tanks that stand empty.
"""

import random
from collections import defaultdict
from datetime import date, timedelta
from fractions import Fraction

from halfwater.plain.costing import (
    CostBatch,
    CostFacts,
    CostPot,
    CostTank,
    ParentShare,
    Purchase,
    SoldOrder,
    SoldPlant,
    TaskDone,
)
from halfwater.plain.stock import Stay

ON = date(2026, 6, 30)
BEGINS = date(2025, 11, 3)


def tank(key=1, spots=10, floor_m2=0.5, **more):
    """A tank of ten spots."""
    return CostTank(key=key, name=f"T{key}", spots=spots, floor_m2=floor_m2, **more)


def batch(key=1, potted_on=BEGINS, taxon=1):
    """A batch of a taxon."""
    return CostBatch(key=key, name=f"B{key}", taxon=taxon, taxon_name=f"taxon {taxon}", potted_on=potted_on)


def pots(batch, count, first=1, **more):
    """Pots of a batch that stand, unless more is said."""
    asked = {"state": "growing", "potted_on": batch.potted_on} | more
    return tuple(
        CostPot(key=first + n, name=f"{batch.name} {n + 1}", batch=batch.key, **asked) for n in range(count)
    )


def stays(pots, tank=1, from_on=None, to_on=None):
    """One stay each, from potting until it left."""
    return tuple(Stay(pot.key, tank, "A1", from_on or pot.potted_on, to_on or pot.left_on) for pot in pots)


def sale(number, pots, on, price_minor=1000, **more):
    """An order of the pots at one price."""
    plants = tuple(SoldPlant(price_minor=price_minor, taxon=1, pot=pot.key) for pot in pots)
    return SoldOrder(number=number, on=on, plants=plants, **more)


def nursery(batches, pots, stays, **more):
    """Facts of a nursery with two tanks."""
    asked = {"tanks": (tank(1), tank(2, spots=20, floor_m2=0.4)), "on": ON, "currency": "EUR"} | more
    return CostFacts(batches=tuple(batches), pots=tuple(pots), stays=tuple(stays), **asked)


def any_nursery(seed):
    """A nursery in which everything happens that may, at random."""
    chance = random.Random(seed)
    span = (ON - BEGINS).days
    batches, all_pots, all_stays, parents, orders = [], [], [], [], []
    for number in range(1, chance.randint(3, 7)):
        made = batch(number, BEGINS + timedelta(days=chance.randint(0, span - 20)), chance.randint(1, 2))
        batches.append(made)
        for n in range(chance.randint(1, 5)):
            pot, stood = _any_pot(chance, made, number * 10 + n)
            all_pots.append(pot)
            all_stays += stood
            if pot.state == "sold" and chance.random() < 0.8:
                orders.append(sale(len(orders) + 1, [pot], pot.left_on, chance.randint(0, 2000)))
        older = [one for one in batches[:-1] if one.potted_on <= made.potted_on]
        for parent in chance.sample(older, min(len(older), chance.randint(0, 2))):
            cut = [pot for pot in all_pots if pot.batch == parent.key]
            named = chance.choice([None, chance.choice(cut).key])
            sections = chance.choice([None, 1, 3])
            parents.append(
                ParentShare(batch=number, parent_batch=parent.key, parent_pot=named, sections=sections)
            )
    return nursery(
        batches, all_pots, all_stays, parents=tuple(parents), orders=tuple(orders),
        purchases=tuple(_any_purchase(chance, len(batches)) for _ in range(8)),
        work=tuple(_any_work(chance, len(batches)) for _ in range(20)),
    )  # fmt: skip


def _any_pot(chance, made, key):
    most = (ON - made.potted_on).days
    state = chance.choice(["growing", "kept", "sold", "lost", "lost"])
    left = made.potted_on + timedelta(days=chance.randint(0, most)) if state in ("sold", "lost") else None
    kept = made.potted_on + timedelta(days=chance.randint(0, most)) if state == "kept" else None
    pot = CostPot(
        key=key,
        name=f"pot {key}",
        batch=made.key,
        state=state,
        potted_on=made.potted_on,
        left_on=left,
        kept_on=kept,
    )
    moved = made.potted_on + timedelta(days=chance.randint(0, ((left or ON) - made.potted_on).days))
    return pot, [Stay(key, 1, "A1", made.potted_on, moved), Stay(key, 2, "B1", moved, left)]


def _any_purchase(chance, batches):
    on = BEGINS + timedelta(days=chance.randint(0, (ON - BEGINS).days))
    where = chance.choice([{}, {"tank": 1}, {"tank": 2}, {"batch": chance.randint(1, batches)}])
    life = chance.choice([None, 1, 7, 36]) if "batch" not in where else None
    kind = "plants" if "batch" in where else chance.choice(["room", "equipment", "feed"])
    ended, back = None, 0
    if life and chance.random() < 0.3:
        ended, back = on + timedelta(days=chance.randint(0, (ON - on).days)), chance.randint(0, 500)
    return Purchase(
        on=on, kind=kind, text="something", amount_minor=chance.randint(-300, 20_000), life_months=life,
        ended_on=ended, got_back_minor=back, **where,
    )  # fmt: skip


def _any_work(chance, batches):
    where = chance.choice([{}, {"tank": 1}, {"tank": 2}, {"batch": chance.randint(1, batches)}])
    on = BEGINS + timedelta(days=chance.randint(0, (ON - BEGINS).days))
    return TaskDone(on=on, task="other", minutes=float(chance.randint(0, 50)), **where)


class ByHand:
    """Money (in fractions of a coin) and minutes of each pot, day by day."""

    def __init__(self, facts):
        self.facts = facts
        self.pot = {pot.key: pot for pot in facts.pots}
        self.money = defaultdict(Fraction)
        self.minutes = defaultdict(Fraction)
        self.alone = [Fraction(), Fraction()]
        self.unused = [Fraction(), Fraction()]
        self.ahead = Fraction()
        happened = [one.on for one in (*facts.purchases, *facts.work)] + [
            stay.from_on for stay in facts.stays
        ]
        first = min(happened)
        self.days = [first + timedelta(days=n) for n in range((facts.on - first).days + 1)]
        self.spent = defaultdict(Fraction)  # (tank or None, day) -> money
        self.worked = defaultdict(Fraction)
        self.laid = []  # day, batch, money, minutes
        self._read()
        self._rates()
        for day in self.days:
            self._morning(day)
            for key, place in self._standing(day):
                self.money[key] += self.rate[place, day.year, day.month][0]
                self.minutes[key] += self.rate[place, day.year, day.month][1]
        for key in [pot.key for pot in facts.pots if pot.state == "lost"]:
            assert not self.money[key]

    def _read(self):
        potted = {one.key: one.potted_on for one in self.facts.batches}
        for one in self.facts.purchases:
            if one.batch is not None:
                self.laid.append((max(one.on, potted[one.batch]), one.batch, Fraction(one.amount_minor), 0))
                continue
            count = one.on.month - 1 + (one.life_months or 1)
            ends = self._clipped(one.on.year + count // 12, count % 12 + 1, one.on.day)
            life = (ends - one.on).days
            over = min(ends, one.ended_on or ends)
            for n in range(life):
                day = one.on + timedelta(days=n)
                if day < over and day <= self.facts.on:
                    self.spent[one.tank, day] += Fraction(one.amount_minor, life)
                elif one.ended_on is not None:
                    self.spent[one.tank, one.ended_on] += Fraction(one.amount_minor, life)
                else:
                    self.ahead += Fraction(one.amount_minor, life)
            if one.ended_on is not None:
                self.spent[one.tank, one.ended_on] -= one.got_back_minor
        for one in self.facts.work:
            if one.batch is not None:
                self.laid.append((max(one.on, potted[one.batch]), one.batch, 0, Fraction(one.minutes)))
            else:
                self.worked[one.tank, one.on] += Fraction(one.minutes)

    @staticmethod
    def _clipped(year, month, day):
        while True:
            try:
                return date(year, month, day)
            except ValueError:
                day -= 1

    def _standing(self, day):
        return [
            (stay.pot, stay.tank)
            for stay in self.facts.stays
            if stay.from_on <= day and (stay.to_on is None or day < stay.to_on)
        ]

    def _rates(self):
        area = {one.key: Fraction(str(one.floor_m2)) / one.spots for one in self.facts.tanks}
        self.rate = defaultdict(lambda: [Fraction(), Fraction()])
        for year, month in sorted({(day.year, day.month) for day in self.days}):
            days = [day for day in self.days if (day.year, day.month) == (year, month)]
            for place in (*area, None):
                used = {day: Fraction() for day in days}
                for day in days:
                    for _, where in self._standing(day):
                        used[day] += area[where] if place is None else (where == place)
                whole = sum(used.values())
                money = sum((self.spent[place, day] for day in days if used[day]), Fraction())
                self.unused[0] += sum((self.spent[place, day] for day in days if not used[day]), Fraction())
                minutes = sum((self.worked[place, day] for day in days), Fraction())
                if not whole:
                    self.unused[1] += minutes
                    continue
                for where in area:
                    share = area[where] if place is None else Fraction(where == place)
                    self.rate[where, year, month][0] += money * share / whole
                    self.rate[where, year, month][1] += minutes * share / whole

    def _there(self, number, day):
        return [
            pot.key
            for pot in self.facts.pots
            if pot.batch == number and pot.potted_on <= day and (pot.left_on is None or pot.left_on >= day)
        ]

    def _morning(self, day):
        self._cuts(day)
        for on, number, money, minutes in self.laid:
            if on == day:
                self._give(self._there(number, day), money, minutes)
        for number in [one.key for one in self.facts.batches]:
            there = self._there(number, day)
            dead = [key for key in there if self.pot[key].state == "lost" and self.pot[key].left_on == day]
            money, minutes = sum(self.money[key] for key in dead), sum(self.minutes[key] for key in dead)
            for key in dead:
                self.money[key] = self.minutes[key] = Fraction()
            if dead:
                self._give([key for key in there if key not in dead], money, minutes)

    def _give(self, keys, money, minutes):
        for key in keys:
            self.money[key] += Fraction(money) / len(keys)
            self.minutes[key] += Fraction(minutes) / len(keys)
        if not keys:
            self.alone[0] += money
            self.alone[1] += minutes

    def _cuts(self, day):
        pieces = []  # donor, batch, sections
        for made in self.facts.batches:
            edges = [one for one in self.facts.parents if one.batch == made.key and made.potted_on == day]
            count = sum(pot.batch == made.key for pot in self.facts.pots)
            told = sum(one.sections or 0 for one in edges)
            untold = sum(one.sections is None for one in edges)
            for one in edges:
                donors = self._there(one.parent_batch, day)
                kept = [key for key in donors if (since := self.pot[key].kept_on) and since <= day]
                donors = kept or donors
                if one.parent_pot is not None:
                    donors = [key for key in self._there(one.parent_batch, day) if key == one.parent_pot]
                sections = Fraction(max(count - told, untold), max(untold, 1))
                sections = sections if one.sections is None else Fraction(one.sections)
                pieces += [(key, made.key, sections / len(donors)) for key in donors]
        before = {key: (self.money[key], self.minutes[key]) for key, *_ in pieces}
        for donor, had in before.items():
            given = sum(piece[2] for piece in pieces if piece[0] == donor)
            pot = self.pot[donor]
            is_all = (pot.kept_on is not None and pot.kept_on <= day) or pot.left_on == day
            part = Fraction(1) if is_all else given / (given + 1)
            self.money[donor] -= had[0] * part
            self.minutes[donor] -= had[1] * part
            for _, made, sections in [piece for piece in pieces if piece[0] == donor]:
                keys = [pot.key for pot in self.facts.pots if pot.batch == made]
                self._give(keys, had[0] * part * sections / given, had[1] * part * sections / given)
