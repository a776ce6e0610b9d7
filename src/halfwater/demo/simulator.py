"""Fourteen months of Fennhollow, hour by hour, as a hurried grower notes them; the truth is kept apart."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np
from numpy.random import Generator

from halfwater.demo.batches import BATCHES, KINDS, BatchPlan
from halfwater.demo.curve import bath_curve
from halfwater.demo.keeping import (
    EVENING_HOUR,
    Flags,
    Visits,
    drawn_visits,
    evenings_at_home,
    note_air,
    note_sprays,
    walked,
)
from halfwater.demo.noting import Pen
from halfwater.demo.nursery import (
    BOOK_DAYS,
    LAMP_SETTINGS,
    LOOK_EVERY_DAYS,
    LOOKED_DAYS_AGO,
    NOTES,
    NURSERY,
    PLACES,
    SIGHTINGS,
    SLIP,
    Place,
    daily_light,
    tank_facts,
)
from halfwater.demo.plants import Plant
from halfwater.demo.room import Room, room_air
from halfwater.demo.sales import openings_days_ago
from halfwater.demo.sales_money import timed_work
from halfwater.demo.sales_parcels import SentParcel, parcels_of
from halfwater.demo.stock import Stock, grown_stock, state_of
from halfwater.demo.truth import Floats, Truth
from halfwater.demo.water import hourly_water
from halfwater.plain.entry import NewEntry
from halfwater.plain.stock import GONE_STATES, StandingPot
from halfwater.plain.tank import TankFacts

AHEAD_DAYS = 400
SMOOTHING_DAYS = 15


@dataclass(frozen=True, slots=True)
class Slip:
    """An entry as it was first noted, wrongly: voided, and written anew as the one it stands for."""

    wrong: NewEntry
    right: NewEntry
    reason: str


@dataclass(frozen=True, slots=True)
class DemoBook:
    """All that goes into the demo book, and the truth that does not."""

    today: date
    tanks: tuple[TankFacts, ...]
    batches: tuple[BatchPlan, ...]
    plants: tuple[Plant, ...]  # every pot there ever was; entries name it by its place here, from 1
    entries: tuple[NewEntry, ...]  # as they stand
    slip: Slip  # one of them, as it was noted before it was put right
    truths: dict[str, Truth]
    stock: Stock  # leaves and rhizomes as they truly are, and go on to be
    parcels: tuple[SentParcel, ...]

    @property
    def first_on(self) -> date:
        """The first day of the book."""
        return self.today - timedelta(days=BOOK_DAYS)

    def day(self, day: int) -> date:
        """A day of the book, counted from 0."""
        return self.first_on + timedelta(days=day)

    def instant(self, day: float) -> datetime:
        """An instant by the clock on the wall, told as a day of the book with its fraction."""
        midnight = datetime.combine(self.first_on, time(0), ZoneInfo(NURSERY.time_zone))
        return (midnight + timedelta(seconds=round(day * 86_400))).astimezone(UTC)


def simulated_nursery(rng: Generator, today: date, spots: Mapping[str, Sequence[str]]) -> DemoBook:
    """The nursery of nursery.py from fourteen months before `today` to last evening.

    `spots` names the spots of every tank in reading order, at least as many as it has pots.
    """
    first_on = today - timedelta(days=BOOK_DAYS)
    days = BOOK_DAYS + AHEAD_DAYS
    room = room_air(rng, first_on, days)
    here = evenings_at_home(rng, days, BOOK_DAYS)
    lit = {place.facts.name: daily_light(place.facts) for place in PLACES}
    openings = [BOOK_DAYS - ago for ago in openings_days_ago(today)]
    stock = grown_stock(rng.spawn(1)[0], lit, spots, days, openings)
    entries: list[NewEntry] = []
    truths: dict[str, Truth] = {}
    for place, own in zip(PLACES, rng.spawn(len(PLACES)), strict=True):
        evening = time(EVENING_HOUR, tzinfo=ZoneInfo(NURSERY.time_zone))
        pen = Pen(own, place.facts.key, first_on, evening)
        _note_stock(pen, place, stock)
        leaf_area = stock.leaf_area_m2(place.facts.name)
        truths[place.facts.name] = _tank_course(own, pen, place, room, here, leaf_area)
        _note_rest(pen, place)
        _note_look_overs(pen, place, here)
        entries += pen.entries()
    sales = rng.spawn(1)[0]
    entries += _work_entries(sales, first_on, stock)
    tanks = tuple(tank_facts(place, today) for place in PLACES)
    ordered = tuple(sorted(entries, key=lambda entry: entry.at))
    parcels = parcels_of(sales, first_on, stock.releases)
    return DemoBook(today, tanks, BATCHES, stock.plants, ordered, _slip(rng, ordered), truths, stock, parcels)


def standing_pot(
    demo: DemoBook, place: int, batches: Mapping[int, int], tanks: Mapping[str, int]
) -> StandingPot:
    """A pot as its grower has it on the last evening; keys of batches and tanks are the book's.

    Its own key is its place among the plants, from 1.
    """
    plant, stock = demo.plants[place], demo.stock
    kind = KINDS[plant.batch.kind]
    state = state_of(stock, place)
    is_here = state not in GONE_STATES
    counted, leaves = stock.counted.get(place, (plant.potted, plant.first_leaves))
    measured, rhizome_mm = stock.measured.get(place, (None, None))
    return StandingPot(
        key=place + 1,
        number=plant.number,
        batch=batches[plant.batch.key],
        batch_name=plant.batch.name,
        taxon=0,
        taxon_name=kind.taxon,
        state=state,
        potted_on=demo.day(plant.potted),
        tank=tanks[plant.tank] if is_here else None,
        tank_name=plant.tank if is_here else "",
        spot=plant.spot if is_here else "",
        leaves=leaves,
        counted_on=demo.day(counted),
        piece=plant.piece,
        section_mm=plant.section_mm,
        first_leaves=plant.first_leaves,
        rhizome_mm=rhizome_mm,
        measured_on=None if measured is None else demo.day(measured),
        left_on=None if is_here else demo.day(plant.off_spot),
        cause=plant.cause if state == "lost" else "",
    )


def _note_stock(pen: Pen, place: Place, stock: Stock) -> None:
    """What was noted of the pots of a tank."""
    for one in stock.happenings:
        if one.tank == place.facts.name:
            pen.put(
                one.kind, pen.at(one.day, one.minutes), one.value, word=one.word, text=one.text,
                batch=stock.plants[one.plant].batch.key, spot=one.spot, pot=one.plant + 1,
            )  # fmt: skip


def _work_entries(rng: Generator, first_on: date, stock: Stock) -> tuple[NewEntry, ...]:
    """Minutes that were timed, of no tank alone."""
    pen = Pen(rng, 0, first_on, time(EVENING_HOUR, tzinfo=ZoneInfo(NURSERY.time_zone)))
    for one in timed_work(rng, stock.releases):
        pen.put("work", pen.at(one.day, 50), one.minutes, word=one.task, typed=f"{one.minutes:g} min")
    return tuple(replace(entry, tank=None) for entry in pen.entries())


def _tank_course(
    rng: Generator, pen: Pen, place: Place, room: Room, here: Flags, leaf_area_m2: Floats
) -> Truth:
    """The water of a tank and what is noted of it."""
    visits = drawn_visits(rng, place, here, BOOK_DAYS)
    hours = hourly_water(place, room, np.repeat(leaf_area_m2, 24), visits.hourly_l())
    curve = bath_curve(place.facts, place.nature.porosity_frac)
    volume, siphoned, ec_ms_cm = walked(rng, pen, place, curve, visits, hours, leaf_area_m2)
    note_sprays(pen, place, visits, BOOK_DAYS)
    if place.facts.inside_temp_c is None:
        note_air(rng, pen, hours, BOOK_DAYS - place.days_ago, BOOK_DAYS)
    start = BOOK_DAYS - place.days_ago
    caught, lost = (course.reshape(-1, 24).sum(axis=1) for course in (hours.caught_l, hours.lost_l))
    return Truth(
        tank=place.facts.name,
        first_on=pen.first_on + timedelta(days=start),
        curve=curve,
        volume_l=volume[start:],
        depth_mm=curve.depth_of(volume[start:]),
        catch_frac=_effective_catch(place, caught, visits)[start:BOOK_DAYS],
        loss_l_day=lost[start:BOOK_DAYS],
        siphoned_l=siphoned[start:],
        ec_ms_cm=ec_ms_cm[start:],
        sprayed_l=(visits.night_l + visits.morning_l)[start:BOOK_DAYS],
        net_l=(caught - lost)[start:],
    )


def _effective_catch(place: Place, caught_l: Floats, visits: Visits) -> Floats:
    """Share of the litres the grower believes he sprayed that reached the bath, over about two weeks."""
    believed = visits.noted_l * visits.is_sprayed
    believed = believed + (place.facts.plan.morning_volume_l or 0.0) * visits.is_sprayed
    window = np.ones(SMOOTHING_DAYS)
    got, given = (np.convolve(course, window, mode="same") for course in (caught_l, believed))
    return np.asarray(np.divide(got, given, out=np.zeros_like(got), where=given > 0))


def _note_rest(pen: Pen, place: Place) -> None:
    """Lamp settings, what was seen, and words."""
    name = place.facts.name
    for ago, tank, dimmer, hours in LAMP_SETTINGS:
        if tank == name:
            typed = f"{dimmer:g} {hours:g} h"
            pen.put("lamp", pen.at(BOOK_DAYS - ago, -20), dimmer, second=hours, typed=typed)
    for ago, tank, what, much, words in SIGHTINGS:
        if tank == name:
            pen.put("sighting", pen.at(BOOK_DAYS - ago, 15), much, word=what, text=words)
    for ago, tank, words in NOTES:
        if tank == name:
            pen.put("note", pen.at(BOOK_DAYS - ago, 30), None, text=words)


def _note_look_overs(pen: Pen, place: Place, here: Flags) -> None:
    """A minute of looking at the tank once a week, or on the next evening that somebody is there."""
    last = BOOK_DAYS - LOOKED_DAYS_AGO[place.facts.name]
    first = BOOK_DAYS - place.days_ago + LOOK_EVERY_DAYS
    for day in range(last, first, -LOOK_EVERY_DAYS):
        evening = next((one for one in range(day, min(day + 4, BOOK_DAYS)) if here[one]), None)
        if evening is not None:
            pen.put("note", pen.at(evening, 14), None, text="looked over, nothing new")


def _slip(rng: Generator, entries: Sequence[NewEntry]) -> Slip:
    """A reading whose two digits changed places when it was typed."""
    name, back = SLIP
    key = next(place.facts.key for place in PLACES if place.facts.name == name)
    readings = [
        entry
        for entry in entries
        if entry.tank == key and entry.kind == "waterline" and _turned(entry.value) != entry.value
    ]
    right = readings[-1 - back]
    depth_mm = _turned(right.value)
    uuid = UUID(bytes=rng.bytes(16), version=4)
    wrong = replace(right, uuid=uuid, value=depth_mm, typed=f"{depth_mm:g} mm")
    return Slip(wrong, right, "digits the wrong way round")


def _turned(depth_mm: float | None) -> float:
    """A depth with its two digits in the other order. [mm]"""
    tens, ones = divmod(int(depth_mm or 0), 10)
    return float(10 * ones + tens)
