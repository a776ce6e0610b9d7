"""The accounts of ten years: ten tanks, three thousand pots, forty thousand rows of work.

Claims: all accounts, down to each plant, within 1 s; and no slower than the plain way of laying each day on
each pot that stands, which gives pot-days alone: no money, work, parents, losses, orders or months.
"""

import random
import sys
from datetime import date, timedelta
from time import perf_counter

from halfwater.plain.costing import (
    CostBatch,
    CostFacts,
    CostPot,
    CostTank,
    MonthlyCharge,
    ParentShare,
    PowerUse,
    Purchase,
    SoldOrder,
    SoldPlant,
    Tariff,
    TaskDone,
)
from halfwater.plain.stock import Stay
from halfwater.planning.costing import accounts

TANKS, BATCHES, BATCH_POTS = 10, 150, 20
BEGINS, ENDS = date(2017, 1, 1), date(2026, 12, 31)
MOST_S, LEAST_RATIO = 1.0, 1.0


def main() -> int:
    """Make the accounts three times, lay out pot-days by hand once, and hold the claims."""
    facts = ten_years()
    times = []
    for _ in range(3):
        begun = perf_counter()
        found = accounts(facts)
        times.append(perf_counter() - begun)
    begun = perf_counter()
    stood = day_by_day(facts)
    plain_s = perf_counter() - begun
    took = min(times)
    went = found.went
    held = went.sold_minor + went.orders_minor + went.standing_minor + went.lost_minor + went.unused_minor
    is_whole = held + went.store_minor + went.ahead_minor == went.spent_minor
    holds = took <= MOST_S and plain_s >= LEAST_RATIO * took and is_whole
    print(
        f"{len(facts.pots)} pots, {stood} pot-days, {len(facts.work)} rows of work: "
        f"{took:.2f} s of {MOST_S:.0f} allowed; "
        f"pot-days laid out day by day {plain_s:.1f} s, {plain_s / took:.1f} times the accounts; "
        f"every coin {'kept' if is_whole else 'NOT KEPT'} -> {'holds' if holds else 'DOES NOT HOLD'}"
    )
    return int(not holds)


def day_by_day(facts: CostFacts) -> int:
    """Pot-days and their equal share of each tank's day, pot by pot: what the accounts are timed against."""
    carried = {pot.key: 0.0 for pot in facts.pots}
    count, day = 0, BEGINS
    while day <= facts.on:
        standing: dict[int, list[int]] = {tank.key: [] for tank in facts.tanks}
        for stay in facts.stays:
            if stay.from_on <= day and (stay.to_on is None or day < stay.to_on):
                standing[stay.tank].append(stay.pot)
        for pots in standing.values():
            for pot in pots:
                carried[pot] += 1.0 / len(pots)
                count += 1
        day += timedelta(days=1)
    return count


def ten_years(seed: int = 1) -> CostFacts:
    """An invented nursery: batches from twenty kept parents, one in seven pots lost, the rest sold."""
    chance = random.Random(seed)
    span = (ENDS - BEGINS).days
    tanks = tuple(CostTank(key=n, name=f"Tank {n}", spots=60, floor_m2=0.5) for n in range(TANKS))
    batches, pots, stays, orders = [], [], [], []
    for number in range(BATCHES):
        on = BEGINS + timedelta(days=number * (span - 10) // BATCHES)
        taxon = number % 5
        batches.append(
            CostBatch(key=number, name=f"B{number}", taxon=taxon, taxon_name=f"taxon {taxon}", potted_on=on)
        )
        for place in range(BATCH_POTS):
            pot, stood = _pot(chance, number, place, on)
            pots.append(pot)
            stays += stood
            if pot.state == "sold" and pot.left_on is not None:
                orders.append(_order(len(orders) + 1, pot.key, taxon, pot.left_on))
    return CostFacts(
        on=ENDS,
        currency="EUR",
        tanks=tanks,
        batches=tuple(batches),
        pots=tuple(pots),
        stays=tuple(stays),
        parents=_parents(),
        purchases=_feed(),
        charges=(MonthlyCharge(kind="room", text="rent", amount_minor=4500, from_on=BEGINS),),
        tariffs=(Tariff(from_on=BEGINS, kwh_minor=31.7),),
        power=tuple(
            PowerUse(from_on=BEGINS, power_w=30.0, hours=10.0, dimmer_frac=0.7, tank=n) for n in range(TANKS)
        ),
        work=tuple(_work(span)),
        orders=tuple(orders),
        hour_minor=1500,
    )


def _parents() -> tuple[ParentShare, ...]:
    """Twenty kept parents, one after the other."""
    return tuple(
        ParentShare(batch=n, parent_batch=n % 20, parent_pot=n % 20 * BATCH_POTS) for n in range(21, BATCHES)
    )


def _feed() -> tuple[Purchase, ...]:
    days = [BEGINS + timedelta(days=30 * n) for n in range(119)]
    return tuple(Purchase(on=on, kind="feed", text="feed", amount_minor=1999, life_months=2) for on in days)


def _pot(chance: random.Random, batch: int, place: int, on: date) -> tuple[CostPot, list[Stay]]:
    key, days, tank = batch * BATCH_POTS + place, chance.randint(20, 400), chance.randrange(TANKS)
    is_parent = place == 0 and batch < 20
    off = on + timedelta(days=days)
    is_gone = off <= ENDS and not is_parent
    state = chance.choice(["lost", *["sold"] * 6]) if is_gone else "kept" if is_parent else "growing"
    moved, left_on = on + timedelta(days=10), off if is_gone else None
    kept_on = moved if is_parent else None
    pot = CostPot(
        key=key,
        name=f"B{batch} {place}",
        batch=batch,
        state=state,
        potted_on=on,
        left_on=left_on,
        kept_on=kept_on,
    )
    return pot, [Stay(key, tank, "A1", on, moved), Stay(key, (tank + 1) % TANKS, "A1", moved, left_on)]


def _order(number: int, pot: int, taxon: int, on: date) -> SoldOrder:
    plants = (SoldPlant(price_minor=950, taxon=taxon, pot=pot),)
    return SoldOrder(
        number=number,
        on=on,
        plants=plants,
        release=on.year * 12 + on.month,
        release_name=f"{on:%Y-%m}",
        fee_minor=63,
        postage_charged_minor=490,
        postage_paid_minor=510,
    )


def _work(span: int) -> list[TaskDone]:
    rows = []
    for day in (BEGINS + timedelta(days=n) for n in range(span)):
        rows.append(TaskDone(on=day, task="mix"))
        rows += [TaskDone(on=day, task="spray", tank=tank) for tank in range(TANKS)]
    return rows


if __name__ == "__main__":
    sys.exit(main())
