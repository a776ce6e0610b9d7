"""The demo book: Fennhollow, an invented nursery, put into an empty book in one transaction."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, fields, replace
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np
from django.core.management import call_command
from django.db import transaction

from halfwater.book import changes, queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.demo_chemistry import fill_demo_shelf, with_readings
from halfwater.deeds.demo_sales import bring_demo_sales
from halfwater.deeds.floor import spot_places
from halfwater.demo.batches import (
    HOUR_MINOR,
    KINDS,
    LEAST_KEPT,
    MINUTES_A_WEEK,
    PRICES,
    RELEASE_EVERY_WEEKS,
    BatchPlan,
)
from halfwater.demo.lamp_light import SpotMm
from halfwater.demo.nursery import FEEDS, LAMPS, MIXES, NURSERY, PLACES, POTS
from halfwater.demo.sales import next_opening_days
from halfwater.demo.simulator import DemoBook, Slip, simulated_nursery, standing_pot
from halfwater.errors import RefusedByBook
from halfwater.plain.entry import NewEntry
from halfwater.plain.mixes import MixFacts
from halfwater.plain.tank import TankFacts

WHO = "demo"
SEEDS = (47, 42, 34, 60, 61, 35, 50, 38)  # the likeliest to fit first: each try costs half a second
AT_LINE_MM = (-0.4, 3.0)  # about the limit line
WELL_BELOW_MM = -3.0
READ = tuple(place.facts.name for place in PLACES if place.habit.read_every_days is not None)

Keys = dict[int, int]  # key in the scenario -> key in the book


@dataclass(frozen=True, slots=True)
class DemoLoaded:
    """What stands in the demo book."""

    nursery: str
    tanks: int
    entries: int  # written now; 0 when the demo was there already
    first_on: date
    last_on: date  # the evening of the last entry
    was_there: bool


def load_demo(now: datetime) -> DemoLoaded:
    """Put the demo nursery into the book, its last evening the one before `now`.

    Loading it twice on a day changes nothing. A demo of another day is made anew, so that
    tonight is tonight.

    Raises
    ------
    RefusedByBook
        If the book holds a nursery of its own.
    """
    today = local_day(now, NURSERY)
    with transaction.atomic():
        standing = queries.tanks(in_use=None)
        if not standing:
            return _load(today, now)
        newest = queries.entries(limit=1)
        if not newest or not _is_demo():
            refusal = "The demo goes into an empty book only, and this one holds tanks."
            raise RefusedByBook(refusal, standing[0].name)
        last_on = newest[0].day
        if not today - timedelta(days=1) <= last_on <= today:
            call_command("flush", interactive=False, verbosity=0)
            return _load(today, now)
        return DemoLoaded(NURSERY.name, len(standing), 0, min(t.set_up_on for t in standing), last_on, True)


def _is_demo() -> bool:
    """Whether what stands in the book is the demo: its name, and its first entry by its hand."""
    first = queries.entries(limit=1, newest_first=False)
    return queries.nursery().name == NURSERY.name and first[0].who == WHO


def demo_book(today: date) -> DemoBook:
    """The demo with its hidden truth, as `load_demo` writes it on that day.

    Of several simulated nurseries the first in which a siphon stands at the door tonight.
    """
    spots = _names(_floors())
    for seed in SEEDS:
        demo = simulated_nursery(np.random.default_rng(seed), today, spots)
        if _has_siphon_at_door(demo):
            break
    return with_readings(demo, _floors())


def _has_siphon_at_door(demo: DemoBook) -> bool:
    """A tank that is read at its limit line, none far above it, and one with weeks to go."""
    over_mm = [float(t.depth_mm[-1]) - t.curve.limit_line_mm for t in demo.truths.values() if t.tank in READ]
    return AT_LINE_MM[0] < max(over_mm) < AT_LINE_MM[1] and min(over_mm) < WELL_BELOW_MM


def _names(floors: Mapping[str, Iterable[SpotMm]]) -> dict[str, list[str]]:
    """The names of the spots of every tank, in reading order."""
    return {tank: [name for name, _, _ in spots] for tank, spots in floors.items()}


def _floors() -> dict[str, list[SpotMm]]:
    """The spots of every tank with their places, in reading order."""
    found = {}
    for tank in (place.facts for place in PLACES):
        top_mm = tank.pot.top_mm if tank.pot else 0.0
        found[tank.name] = spot_places(tank.length_mm, tank.width_mm, top_mm, tank.pots, tank.keep_outs)
    return found


def _load(today: date, now: datetime) -> DemoLoaded:
    demo = demo_book(today)
    changes.save_nursery(who=WHO, **asdict(NURSERY))
    changes.load_starting_taxa(who=WHO)
    fill_demo_shelf(WHO)
    mixes = _save_mixes()
    tanks = _save_tanks(demo.tanks, mixes)
    taxa = {taxon.name: taxon.key for taxon in queries.taxa()}
    _save_prices(taxa, today)
    batches = _save_batches(demo.batches, taxa, today)
    entries = _in_book_keys(demo.entries, tanks, mixes, batches)
    noted = _stand(demo, _before_the_slip_was_seen(entries, demo.slip), tanks, batches, now)
    _put_right(entries, demo.slip, now)
    bring_demo_sales(demo, WHO, now)
    first_on = min(tank.set_up_on for tank in demo.tanks)
    last_on = max(truth.last_on for truth in demo.truths.values())
    return DemoLoaded(NURSERY.name, len(tanks), noted, first_on, last_on, False)


def _save_mixes() -> Keys:
    feeds = {feed.key: changes.save_feed(who=WHO, **_without_key(feed)) for feed in FEEDS}
    return {mix.key: changes.save_mix(who=WHO, parts=_parts(mix, feeds), **_mix_fields(mix)) for mix in MIXES}


def _mix_fields(mix: MixFacts) -> dict[str, Any]:
    return {"name": mix.name, "use": mix.use, "ec_above_source_ms_cm": mix.ec_above_source_ms_cm}


def _parts(mix: MixFacts, feeds: Keys) -> list[dict[str, Any]]:
    return [
        {"feed": feeds[p.feed.key], "dose_ml_l": p.dose_ml_l, "dose_g_l": p.dose_g_l, "typed": p.typed}
        for p in mix.parts
    ]


def _save_tanks(tanks: Iterable[TankFacts], mixes: Keys) -> Keys:
    pots = {pot.key: changes.save_pot(who=WHO, **_without_key(pot)) for pot in POTS}
    lamps = {lamp.key: changes.save_lamp(who=WHO, **_without_key(lamp)) for lamp in LAMPS}
    spots = _names(_floors())
    keys = {}
    for tank in tanks:
        plan = tank.plan
        flat = {
            **_without_key(tank, "plan"),
            "pot": pots[tank.pot.key] if tank.pot else None,
            "lamp": lamps[tank.lamp.key] if tank.lamp else None,
            "night_mix": mixes[plan.night_mix] if plan.night_mix else None,
            "night_volume_l": plan.night_volume_l,
            "morning_mix": mixes[plan.morning_mix] if plan.morning_mix else None,
            "morning_volume_l": plan.morning_volume_l,
        }
        keys[tank.key] = changes.save_tank(who=WHO, **flat)
        changes.set_spots(keys[tank.key], spots[tank.name])
    return keys


def _save_batches(plans: Iterable[BatchPlan], taxa: Mapping[str, int], today: date) -> Keys:
    return {
        plan.key: changes.save_batch(
            who=WHO,
            name=plan.name,
            taxon=taxa[KINDS[plan.kind].taxon],
            potted_on=plan.potted_on(today),
            parent_note=plan.parent_note,
            blade=plan.blade,
        )
        for plan in plans
    }


def _save_prices(taxa: Mapping[str, int], today: date) -> None:
    for kind, grades in PRICES.items():
        for grade, (price_minor, most) in grades.items():
            changes.save_price(taxa[KINDS[kind].taxon], grade, price_minor, most, who=WHO)
    changes.save_cutting_habit(
        who=WHO,
        minutes_a_week=MINUTES_A_WEEK,
        release_every_weeks=RELEASE_EVERY_WEEKS,
        next_release_on=today + timedelta(days=next_opening_days(today)),
        least_kept=LEAST_KEPT,
        hour_minor=HOUR_MINOR,
    )


def _in_book_keys(entries: Iterable[NewEntry], tanks: Keys, mixes: Keys, batches: Keys) -> list[NewEntry]:
    return [
        replace(
            entry,
            tank=tanks[entry.tank] if entry.tank else None,
            mix=mixes[entry.mix] if entry.mix else None,
            batch=batches[entry.batch] if entry.batch else None,
        )
        for entry in entries
    ]


def _stand(demo: DemoBook, entries: Iterable[NewEntry], tanks: Keys, batches: Keys, now: datetime) -> int:
    """The pots as they stand, what they were cut from, and all entries; gives how many entries are new."""
    names = {tank.name: tanks[tank.key] for tank in demo.tanks}
    pots = [standing_pot(demo, place, batches, names) for place in range(len(demo.plants))]
    first = {
        place: (names[plant.stood[0][1]], plant.stood[0][2]) for place, plant in enumerate(demo.plants, 1)
    }
    keys, noted = changes.bring_collection(pots, first, tuple(entries), who=WHO, now=now)
    parents: dict[int, set[tuple[int, int]]] = {}
    for plant in demo.plants:
        if plant.parent is not None:
            parent = demo.plants[plant.parent]
            own = parents.setdefault(batches[plant.batch.key], set())
            own.add((batches[parent.batch.key], keys[plant.parent + 1]))
    for batch, some in parents.items():
        changes.save_lineage(batch, sorted(some), who=WHO)
    return len(noted.new)


def _before_the_slip_was_seen(entries: Iterable[NewEntry], slip: Slip) -> list[NewEntry]:
    """The entries with the slip in the place of what it was put right to."""
    wrong = slip.wrong
    return [
        replace(entry, uuid=wrong.uuid, value=wrong.value, typed=wrong.typed)
        if entry.uuid == slip.right.uuid
        else entry
        for entry in entries
    ]


def _put_right(entries: Iterable[NewEntry], slip: Slip, now: datetime) -> None:
    """Void the slip and write it anew."""
    right = next(entry for entry in entries if entry.uuid == slip.right.uuid)
    changes.rewrite_entry(slip.wrong.uuid, right, slip.reason, WHO, now)


def _without_key(facts: Any, *others: str) -> dict[str, Any]:
    """The fields of a plain record, but for its key."""
    return {f.name: getattr(facts, f.name) for f in fields(facts) if f.name not in ("key", *others)}
