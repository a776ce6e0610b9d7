"""The day to ship: rest days, midnights and forecasts laid into the calendar; the grower's days are kept."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.transit import (
    GrowerRules,
    HeatPack,
    Liner,
    PackingBench,
    ParcelLoad,
    PlaceDay,
    Route,
    RouteStop,
    ShippingBox,
    TransitLimits,
    WallLayer,
)
from halfwater.planning.ship_days import choose_ship_day, passage_from

MONDAY = date(2026, 3, 2)
ROUTE = Route(
    "north",
    (RouteStop("home", 4.0), RouteStop("hub", 20.0, "indoors"), RouteStop("north", 20.0, "vehicle")),
)
BOX = ShippingBox("foam", 300.0, 250.0, 200.0, (WallLayer("EPS I", 20.0), WallLayer("cardboard", 4.0)), 0.4)
LOAD = ParcelLoad(6, 0.4, 0.2, 0.2, 21.0)
NANA = [TransitLimits("Anubias", 7.0, 33.0, 7.0)]
EVERY_DAY = GrowerRules(ship_weekdays=(0, 1, 2, 3, 4, 5, 6), over_weekend=True)


def _forecast(lows, start=MONDAY, places=("home", "hub", "north")):
    """The same day at all places, its highest six above its lowest."""
    days = [start + timedelta(days=ahead) for ahead in range(len(lows))]
    return [
        PlaceDay(place, on, low, low + 6.0) for place in places for on, low in zip(days, lows, strict=True)
    ]


def _choose(lows, today=MONDAY, **more):
    bench = PackingBench(Liner("foil", WallLayer("foil bubble", 5.0)), HeatPack("two days", 40.0), **more)
    return choose_ship_day(BOX, LOAD, ROUTE, _forecast(lows), NANA, today, 4, bench)


def test_a_way_without_rest_days():
    """Handed over on Monday at four, it is there on Wednesday at noon; legs break at midnights."""
    passage = passage_from(ROUTE, MONDAY, _forecast([5.0] * 9), MONDAY)
    assert passage.arrives_on == date(2026, 3, 4)
    assert passage.rests == 0
    assert sum(leg.span_h for leg in passage.legs) == pytest.approx(44.0)
    assert [(leg.clock_h, leg.span_h) for leg in passage.legs] == [
        (16.0, 4.0), (20.0, 4.0), (0.0, 16.0), (16.0, 8.0), (0.0, 12.0),
    ]  # fmt: skip
    assert [leg.ahead_days for leg in passage.legs] == [0.0, 0.0, 1.0, 1.0, 2.0]


def test_rest_days_are_spent_where_it_was():
    """Handed over on a Friday, it would leave the hub on Saturday evening: it lies there for two days."""
    friday = MONDAY + timedelta(days=4)
    passage = passage_from(ROUTE, friday, _forecast([5.0] * 12), MONDAY)
    assert passage.rests == 2
    assert passage.arrives_on == date(2026, 3, 10)
    assert sum(leg.span_h for leg in passage.legs) == pytest.approx(44.0 + 48.0)
    lying = [leg for leg in passage.legs if leg.name.startswith("hub")]
    assert sum(leg.span_h for leg in lying) == pytest.approx(20.0 + 48.0)
    assert passage_from(replace(ROUTE, rest_days=()), friday, _forecast([5.0] * 12), MONDAY).rests == 0


def test_each_day_has_its_own_weather():
    """The legs carry the lowest and highest of their place and day."""
    passage = passage_from(ROUTE, MONDAY, _forecast([1.0, 2.0, 3.0]), MONDAY)
    assert [leg.low_c for leg in passage.legs] == [1.0, 1.0, 2.0, 2.0, 3.0]
    assert all(leg.high_c == leg.low_c + 6.0 for leg in passage.legs)


def test_the_warm_day_is_chosen():
    """Frost at the beginning of the week: the parcel waits for the first day that needs least."""
    choice = _choose([-6.0, -6.0, -5.0, 12.0, 13.0, 14.0, 14.0, 14.0, 14.0, 14.0], rules=EVERY_DAY)
    assert choice.best is not None
    assert choice.best.on >= date(2026, 3, 4)
    assert choice.best.advice.decision == "ship"
    assert choice.days[0].advice.decision == "hold"
    earlier = [day for day in choice.days if day.on < choice.best.on]
    assert all(day.advice.decision != "ship" for day in earlier)
    assert "Ship on" in choice.sentence


def test_parcels_leave_on_the_grower_s_days():
    """Fair weather all week: Monday is taken; from Thursday on nothing leaves before Monday."""
    fair = [14.0] * 14
    assert _choose(fair).best.on == MONDAY
    later = _choose(fair, today=MONDAY + timedelta(days=3))
    assert later.best.on == MONDAY + timedelta(days=7)
    assert "no parcels leave on a Thursday" in later.days[0].why


def test_no_weekend_in_a_depot():
    """A day that would leave the parcel lying over rest days is judged and told, but not chosen."""
    rules = GrowerRules(ship_weekdays=(4,))
    choice = _choose([14.0] * 14, rules=rules)
    friday = choice.days[4]
    assert friday.rests == 2
    assert friday.advice is not None
    assert "lie still for 2 days" in friday.why
    assert choice.best is None
    assert "look again tomorrow" in choice.sentence
    assert _choose([14.0] * 14, rules=replace(rules, over_weekend=True)).best.on == friday.on


def test_beyond_the_forecast_nothing_is_judged():
    """Without a forecast for the last day of a way the day is named as not judged."""
    choice = _choose([14.0, 14.0, 14.0])
    assert [day.advice is not None for day in choice.days[:3]] == [True, False, False]
    assert "no forecast for" in choice.days[1].why
    nothing = choose_ship_day(BOX, LOAD, ROUTE, [], NANA, MONDAY, 1)
    assert nothing.best is None
    assert "can be judged" in nothing.sentence


def test_frost_all_week_is_held():
    """No day will do: hold, and look again."""
    choice = _choose([-8.0] * 14, rules=EVERY_DAY)
    assert choice.best is None
    assert all(day.advice.decision == "hold" for day in choice.days)
    assert any("not a guarantee" in caution for caution in choice.cautions)


@pytest.mark.parametrize(
    "asked",
    [
        lambda: passage_from(Route("empty", ()), MONDAY, [], MONDAY),
        lambda: passage_from(ROUTE, MONDAY, [], MONDAY),
        lambda: passage_from(ROUTE, MONDAY, _forecast([5.0] * 9), MONDAY + timedelta(days=1)),
        lambda: passage_from(Route("still", (RouteStop("home", 0.0),)), MONDAY, _forecast([5.0]), MONDAY),
        lambda: passage_from(replace(ROUTE, rest_days=tuple(range(7))), MONDAY, _forecast([5.0] * 9), MONDAY),
    ],
)
def test_ways_that_cannot_be_are_refused(asked):
    """No stop, no forecast, a day gone by, a stop of no time, a week of rest days."""
    with pytest.raises(RefusedInput):
        asked()
