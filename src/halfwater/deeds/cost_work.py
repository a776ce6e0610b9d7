"""Minutes for the accounts: what was done by the record, and what somebody timed."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from halfwater.book import queries
from halfwater.book.queries.work import DayCount
from halfwater.deeds.clock import local_day
from halfwater.plain.costing import TaskDone
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.packing import ParcelFacts
from halfwater.plain.selling import OrderFacts, ReleaseFacts
from halfwater.plain.stock import BatchFacts

_KINDS = ("spray", "skip", "siphon", "waterline", "ec", "air", "leaves", "work")
_READINGS = ("waterline", "ec", "air")


def work_done(
    on: date,
    batches: Sequence[BatchFacts],
    orders: Sequence[OrderFacts],
    parcels: Sequence[ParcelFacts],
    releases: Sequence[ReleaseFacts],
    nursery: NurseryFacts,
) -> tuple[TaskDone, ...]:
    """Everything that was done up to a day: by starting minutes, or as timed where somebody noted it.

    Minutes noted for a task take the place of the starting ones of that task and day, in the tank they name
    or in all; they are shared by how much of it was done where.
    """
    counts = queries.day_counts(_KINDS)
    assumed = [
        *_rounds(one for one in counts if one.kind != "work"),
        *_potting(batches),
        *_selling(orders, parcels, nursery),
        *_listing(releases, nursery),
    ]
    timed = [one for one in counts if one.kind == "work"]
    return tuple(row for row in _overruled(assumed, timed) if row.on <= on)


def _rounds(counts: Iterable[DayCount]) -> Iterable[TaskDone]:
    """The evening's walk: mixing once a day, spraying or looking, reading, siphoning, counting."""
    mixed: set[date] = set()
    seen: set[tuple[date, int | None, str]] = set()
    for one in counts:
        if one.kind == "spray" and one.on not in mixed:
            mixed.add(one.on)
            yield TaskDone(on=one.on, task="mix")
        task = {"spray": "spray", "skip": "look", "siphon": "siphon", "leaves": "count"}.get(one.kind, "read")
        if task == "read":
            if (one.on, one.tank, task) in seen:
                continue
            seen.add((one.on, one.tank, task))
        times = 1.0 if one.kind in _READINGS else float(one.count)
        yield TaskDone(on=one.on, task=task, count=times, tank=one.tank)


def _potting(batches: Sequence[BatchFacts]) -> Iterable[TaskDone]:
    """Setting up a batch, and cutting and potting its sections."""
    for batch in batches:
        pots = sum(batch.counts.values())
        yield TaskDone(on=batch.potted_on, task="batch", batch=batch.key)
        if pots and (batch.parents or batch.parent_note):
            task = "cut stem" if "stem" in batch.taxon_name.casefold() else "cut"
            yield TaskDone(on=batch.potted_on, task=task, count=float(pots), batch=batch.key)


def _selling(
    orders: Sequence[OrderFacts], parcels: Sequence[ParcelFacts], nursery: NurseryFacts
) -> Iterable[TaskDone]:
    """Lifting, packing, parcels and messages of orders that left; the way to the post once a day."""
    boxes: dict[int, int] = defaultdict(int)
    for parcel in parcels:
        for number in parcel.orders[:1]:  # a box for two orders is one box
            boxes[number] += parcel.sent_at is not None
    trips: set[date] = set()
    for order in orders:
        if order.state == "cancelled" or not order.plants:
            continue
        yield TaskDone(on=local_day(order.placed_at, nursery), task="messages", order=order.number)
        if order.sent_at is None:
            continue
        on = local_day(order.sent_at, nursery)
        for task in ("harvest", "pack"):
            yield TaskDone(on=on, task=task, count=float(order.plants), order=order.number)
        yield TaskDone(on=on, task="parcel", count=float(boxes[order.number] or 1), order=order.number)
        trips.add(on)
    for on in sorted(trips):
        yield TaskDone(on=on, task="trip")


def _listing(releases: Sequence[ReleaseFacts], nursery: NurseryFacts) -> Iterable[TaskDone]:
    for release in releases:
        if release.opened_at is not None and release.lines:
            on = local_day(release.opened_at, nursery)
            yield TaskDone(on=on, task="listing", count=float(len(release.lines)), release=release.key)


def _overruled(assumed: Iterable[TaskDone], timed: Iterable[DayCount]) -> Iterable[TaskDone]:
    rows: dict[tuple[date, str], list[TaskDone]] = defaultdict(list)
    for row in assumed:
        rows[row.on, row.task].append(row)
    for noted in timed:
        of_day = rows[noted.on, noted.word]
        meant = [
            row
            for row in of_day
            if (noted.tank is None or row.tank == noted.tank)
            and (noted.batch is None or row.batch == noted.batch)
        ]
        if not meant:
            of_day.append(
                TaskDone(
                    on=noted.on, task=noted.word, minutes=noted.value, tank=noted.tank, batch=noted.batch
                )
            )  # fmt: skip
            continue
        whole = sum(row.count for row in meant)
        for row in meant:
            share = noted.value * row.count / whole
            of_day[of_day.index(row)] = replace(row, minutes=(row.minutes or 0.0) + share)
    return [row for some in rows.values() for row in some]
