"""Fennhollow: fourteen months that a nursery could have had, with the truth behind them."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from halfwater.demo.batches import BATCHES, KINDS
from halfwater.demo.nursery import (
    BOOK_DAYS,
    NIGHT,
    NURSERY,
    PLACES,
    WEAK,
    daily_light,
    tank_facts,
)
from halfwater.demo.plants import NEVER, lost_after
from halfwater.demo.room import room_air
from halfwater.demo.sales import EVERY_DAYS, SHIP_AFTER, openings_days_ago
from halfwater.demo.sales_market import LINES
from halfwater.demo.simulator import DemoBook, simulated_nursery
from halfwater.demo.stock import state_of
from halfwater.demo.truth import passage
from halfwater.demo.water import hourly_water
from halfwater.plain.entry import CAUSES, KIND_UNITS
from halfwater.planning.mixing import plan_mix, volume_to_make

TODAY = date(2025, 5, 1)
SPOTS = {p.facts.name: [f"{chr(65 + i // 12)}{i % 12 + 1}" for i in range(p.facts.pots)] for p in PLACES}


@pytest.fixture(scope="module")
def book() -> DemoBook:
    """One demo book for all tests of this file."""
    return simulated_nursery(np.random.default_rng(36), TODAY, SPOTS)


def test_the_book_ends_last_evening(book: DemoBook) -> None:
    """The last entry is of the evening before, every tank was sprayed then, and nothing lies later."""
    zone = ZoneInfo(NURSERY.time_zone)
    yesterday = TODAY - timedelta(days=1)
    last = [e for e in book.entries if e.at.astimezone(zone).date() == yesterday and e.kind == "spray"]
    assert {e.tank for e in last if e.word == "night"} == {1, 2, 3, 4, 5}
    assert max(e.at for e in book.entries) < datetime(2025, 4, 30, 23, tzinfo=UTC)
    assert all(truth.last_on == yesterday for truth in book.truths.values())


def test_entries_are_of_many_kinds_and_sound(book: DemoBook) -> None:
    """Kinds of every evening occur, no identifier twice, causes and lines from the closed lists."""
    counted = Counter(e.kind for e in book.entries)
    assert set(counted) == set(KIND_UNITS) - {"ec", "ph", "meter", "light"}  # meters are read elsewhere
    assert 2000 < counted["spray"] < 2500
    assert counted["waterline"] > 100
    assert counted["skip"] > 5
    assert len({e.uuid for e in book.entries}) == len(book.entries)
    assert all(e.word in CAUSES for e in book.entries if e.kind == "loss")
    siphons = [e for e in book.entries if e.kind == "siphon"]
    assert {e.to_line for e in siphons} == {"", "low"}
    assert all((e.value is None) == (e.to_line == "low") for e in siphons)


def test_a_week_of_holiday_leaves_a_gap(book: DemoBook) -> None:
    """For a week nobody noted anything; one spray by a neighbour is in the truth only."""
    first_on = TODAY - timedelta(days=BOOK_DAYS)
    away = [first_on + timedelta(days=BOOK_DAYS - ago) for ago in range(194, 201)]
    noted = [e for e in book.entries if e.at.date() in away and e.kind in ("spray", "skip", "waterline")]
    # A spray of the evening before may be noted on the first morning away.
    late = [e for e in noted if e.word == "night" and e.at.date() == away[-1] and e.at.hour < 12]
    assert noted == late
    truth = book.truths["North"]
    sprayed = [truth.sprayed_l[(day - truth.first_on).days] > 0 for day in away]
    assert sum(sprayed) == 1


def test_siphons_come_round_every_one_to_two_months(book: DemoBook) -> None:
    """Common practice, no source: with an evening spray a tank is siphoned every one to two months."""
    leaky = {place.facts.name for place in PLACES if place.nature.ach_per_h > 4}  # hardly rises
    for name, truth in book.truths.items():
        if name in leaky:
            continue
        times = int((truth.siphoned_l > 0).sum())
        assert 25 <= truth.volume_l.size / times <= 85, name


def test_truth_is_within_the_starting_ranges(book: DemoBook) -> None:
    """Effective catch 0.3 to 0.8, some loss, bath above the floor and never far over the limit line."""
    for truth in book.truths.values():
        assert 0.3 < truth.catch_frac[30:].mean() < 0.8
        assert 0.0 < truth.loss_l_day.mean() < 0.1
        assert truth.depth_mm.min() > 2
        assert truth.depth_mm.max() < truth.curve.clay_line_mm
        on = passage(truth, truth.last_on)
        assert on is not None
        assert on >= truth.last_on


def test_readings_follow_the_truth(book: DemoBook) -> None:
    """A ruler reading is near the true depth of the evening before, give or take what it can err."""
    for place in PLACES:
        truth = book.truths[place.facts.name]
        rows = [e for e in book.entries if e.tank == place.facts.key and e.kind == "waterline"]
        off = [(e.value or 0) - truth.depth_mm[(e.at.date() - truth.first_on).days - 1] for e in rows]
        assert all(abs(one) < 4 for one in off)
        assert (not rows) == (place.habit.read_every_days is None)


def test_no_pot_stands_on_another(book: DemoBook) -> None:
    """On no evening two pots stand on one spot, and on the last there are pots of every state."""
    for day in range(0, BOOK_DAYS, 5):
        here = [
            [(tank, spot) for since, tank, spot in plant.stood if since <= day][-1]
            for plant in book.plants
            if plant.potted <= day < plant.off_spot
        ]
        assert len(here) == len(set(here))
    states = Counter(state_of(book.stock, place) for place in range(len(book.plants)))
    assert set(states) == {"settling", "growing", "ready", "kept", "sold", "lost"}
    assert states["growing"] + states["settling"] > 80


def test_sections_come_from_parents_that_had_them(book: DemoBook) -> None:
    """A parent stood, older and of its batch's parents, when it was cut, and gave no more than was noted."""
    cut = Counter[int]()
    for entry in book.entries:
        if entry.kind == "cut":
            cut[(entry.pot or 0) - 1] += int(entry.value or 0)
    given = Counter(plant.parent for plant in book.plants if plant.parent is not None)
    assert given == cut
    for plant in book.plants:
        if plant.parent is not None:
            parent = book.plants[plant.parent]
            assert parent.batch.name in plant.batch.parents
            assert parent.potted < plant.potted < parent.gone


def test_what_was_sold_was_ready_and_left_on_a_ship_day(book: DemoBook) -> None:
    """Pots left on Mondays after a release only, rooted and of the grade they were sold as; none was kept."""
    openings = {BOOK_DAYS - ago for ago in openings_days_ago(TODAY)}
    grade = {pot.plant: LINES[pot.line].leaves for one in book.stock.releases for pot in one.offered}
    sold = [(place, plant) for place, plant in enumerate(book.plants) if plant.sold != NEVER]
    assert len(sold) > 60
    for place, plant in sold:
        opening = next(day for day in openings if 0 < plant.sold - day < EVERY_DAYS)
        assert plant.sold - opening in SHIP_AFTER
        assert book.day(plant.sold).weekday() == 0
        assert not plant.is_kept
        assert plant.sold - plant.potted > 42
        low, high = grade[place]
        assert low <= book.stock.leaves[place, opening - 1] + 1
        assert book.stock.leaves[place, opening - 1] - 1 <= high


def test_the_same_seed_gives_the_same_nursery(book: DemoBook) -> None:
    """Everything random comes from the generator."""
    again = simulated_nursery(np.random.default_rng(36), TODAY, SPOTS)
    assert again.entries == book.entries


@pytest.mark.parametrize("today", [date(2024, 2, 29), date(2025, 8, 15), date(2025, 12, 31)])
def test_it_can_be_made_on_any_day(today: date) -> None:
    """On any day of the year some siphon is due within four weeks and another is two weeks away or more."""
    truths = simulated_nursery(np.random.default_rng(36), today, SPOTS).truths.values()
    waits = sorted((t.passes_on - t.last_on).days for t in truths if t.passes_on)
    assert waits[0] <= 25
    assert waits[-1] >= 14


def test_water_is_not_made_from_nothing() -> None:
    """A tank that nobody sprays only loses, the more the leakier its lid."""
    room = room_air(np.random.default_rng(1), date(2025, 1, 1), 60)
    none = np.zeros(60 * 24)
    leaky, tight = PLACES[2], PLACES[3]
    for place in (leaky, tight):
        hours = hourly_water(place, room, none, none)
        assert hours.caught_l.sum() == 0.0
        assert hours.lost_l.sum() > 0.0
    lost = [hourly_water(p, room, none, none).lost_l.sum() for p in (leaky, tight)]
    assert lost[0] > lost[1]


def test_no_more_is_caught_than_was_sprayed() -> None:
    """Over two months the bath gets less than the sprayer gave, and most of it while leaves are few."""
    place = PLACES[0]
    room = room_air(np.random.default_rng(2), date(2025, 1, 1), 60)
    spray = np.zeros(60 * 24)
    spray[20::24] = 0.15
    few, many = (hourly_water(place, room, np.full(60 * 24, m2), spray).caught_l.sum() for m2 in (0.1, 2.0))
    assert many < few < spray.sum()
    assert few > 0.4 * spray.sum()


def test_losses_come_in_patches() -> None:
    """Early losses have more neighbours lost than the same number strewn evenly would have."""
    beside = expected = 0.0
    for seed in range(40):
        lost = lost_after(np.random.default_rng(seed), 50, 0.11) < 60
        beside += float((lost[1:] & lost[:-1]).sum())
        expected += float(lost.mean() ** 2 * (lost.size - 1))
    assert beside > 1.2 * expected


def test_leaves_are_there_from_potting_to_the_end(book: DemoBook) -> None:
    """No leaves before potting, none once lost or sold, growth between."""
    for place, plant in enumerate(book.plants):
        assert not book.stock.leaves[place, : plant.potted].any()
        assert not book.stock.leaves[place, min(plant.gone + 1, 10**4) :].any()
    old = [p for p, plant in enumerate(book.plants) if plant.potted < 60 and plant.gone > 150]
    assert book.stock.leaves[old, 149].mean() > book.stock.leaves[old, 60].mean() + 2


def test_sprays_are_of_a_strength_and_size_that_can_be_measured() -> None:
    """Common practice, no source: 25 to 75 mg/L N at night, weaker in the morning, and a real spoon near."""
    morning_l = sum(place.facts.plan.morning_volume_l or 0.0 for place in PLACES)
    night_l = sum(place.facts.plan.night_volume_l or 0.0 for place in PLACES)
    night, weak = (
        plan_mix(mix, volume_to_make(litres)) for mix, litres in ((NIGHT, night_l), (WEAK, morning_l))
    )
    assert 25 <= night.strength.n_mg_l <= 75
    assert weak.strength.n_mg_l < 0.75 * night.strength.n_mg_l
    for made in (night, weak):
        assert all(part.spoon_text and (part.spoon_error_frac or 0) < 0.1 for part in made.parts)


def test_the_slip_is_one_of_the_readings(book: DemoBook) -> None:
    """What was put right stands among the entries; what was noted first differs in its value alone."""
    assert book.slip.right in book.entries
    assert book.slip.wrong.uuid not in {e.uuid for e in book.entries}
    assert book.slip.wrong.value != book.slip.right.value
    assert book.slip.wrong.at == book.slip.right.at


def test_every_tank_has_its_light_and_day() -> None:
    """Daily light between what slow plants need and what burns them; set up on its own day."""
    for place in PLACES:
        assert 1.0 < daily_light(place.facts) < 4.0
        assert tank_facts(place, TODAY).set_up_on == TODAY - timedelta(days=place.days_ago)
    assert len({KINDS[plan.kind].taxon for plan in BATCHES}) >= 4
