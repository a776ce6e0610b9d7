"""The weather on a way, as lines or as a table; papers of a parcel; advice described on the spot."""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.book import queries
from halfwater.deeds import packing, packing_goods
from halfwater.deeds.announce import announcement
from halfwater.deeds.clock import local_day
from halfwater.deeds.packing_papers import packing_slip, parcel_label, pick_list
from halfwater.deeds.parcel_advice import ship_days
from halfwater.deeds.ship_weather import forecast_of, show_legs, weather_of
from halfwater.deeds.taxa import care_of, known_taxon, save_care
from halfwater.errors import RefusedInput
from halfwater.plain.transit import LEG_KINDS, Route, RouteStop
from tests.deeds.nurseries import NOW, WHO
from tests.deeds.test_packing import MILD, an_order, goods, packed

BOTH = "Depot 12 h, -3 to 9 C, indoors\nVan 8 h, 0.5 to 6 C, vehicle from 5:30"


def test_legs_follow_one_another_from_the_hour_of_handing_over() -> None:
    """Clock and age of the forecast run on; a leg that says its own hour begins then."""
    depot, van = weather_of(BOTH)
    assert (depot.low_c, depot.high_c, depot.clock_h, depot.kind) == (-3.0, 9.0, 16.0, "indoors")
    assert (van.clock_h, van.kind, van.ahead_days) == (5.5, "vehicle", 1.5)
    assert weather_of("Van 8 h, 0 to 6")[0].kind == "outside"
    assert weather_of("Depot 30 h 1/2 C; Van 4 h 1/2 C")[1].clock_h == 22.0


def test_fahrenheit_by_sign_heading_or_the_grower_s_units() -> None:
    """41 F is 5 C, whichever way it is said."""
    for typed, units in (
        ("Van 8 h, 41 to 50 F", "metric"),
        ("Van 8 h, 41 to 50", "us"),
        ("leg,hours,min f,max f\nVan,8,41,50", "metric"),
    ):
        (leg,) = weather_of(typed, units)
        assert (leg.low_c, leg.high_c) == pytest.approx((5.0, 10.0))


def test_a_table_says_the_same_as_lines() -> None:
    """Headings in any of their names and order, decimal commas and semicolons."""
    table = "Name;Max °C;Min °C;Hours;Kind;From\nDepot;9;-3;12;indoors;\nVan;6;0,5;8;vehicle;5:30\n"
    assert weather_of(table) == weather_of(BOTH)
    assert weather_of(("\ufeff" + table).encode()) == weather_of(BOTH)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("", "one leg a line"),
        ("Depot 12 h", "one leg a line"),
        ("Depot 12 h, 9 to 3 C", "a highest not below the lowest"),
        ("Depot 900 h, 3 to 9 C", "at most 720"),
        ("leg,hours,min,max\nDepot,12,3,9\nVan,x,0,6", "row 3, column hours"),
        ("leg,hours,min,max,kind\nDepot,12,3,9,moon", "row 2, column kind"),
        ("leg,hours,min,max,clock\nDepot,12,3,9,25", "below 24"),
    ],
)
def test_what_cannot_be_used_is_named(typed: str, says: str) -> None:
    """A line by itself, a cell by its row and column."""
    with pytest.raises(RefusedInput, match=says):
        weather_of(typed)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.integers(1, 96), st.integers(-20, 35), st.integers(0, 15), st.sampled_from(LEG_KINDS)
        ),
        min_size=1,
        max_size=4,
    )
)  # fmt: skip
def test_legs_shown_are_read_back(parts: list[tuple[int, int, int, str]]) -> None:
    """What the form shows gives the same legs again."""
    lines = [
        f"Stop {n} {hours} h, {low} to {low + more} C, {kind}"
        for n, (hours, low, more, kind) in enumerate(parts)
    ]
    legs = weather_of("\n".join(lines))
    assert weather_of(show_legs(legs)) == legs


def test_a_forecast_is_a_table_of_places_and_days() -> None:
    """Each place and day once; a day that is none is named."""
    (day,) = forecast_of("place,date,min,max\nDepot,2026-11-23,3,9")
    assert (day.place, day.on, day.low_c, day.high_c) == ("Depot", date(2026, 11, 23), 3.0, 9.0)
    with pytest.raises(RefusedInput, match="column date"):
        forecast_of("place,date,min,max\nDepot,soon,3,9")
    with pytest.raises(RefusedInput, match="place, date, min, max"):
        forecast_of("Depot 3 to 9")


@pytest.mark.django_db
def test_the_ship_day_is_chosen_from_a_week() -> None:
    """Frost until Tuesday, mild from Wednesday: Wednesday, for Monday and Tuesday are held back."""
    goods()
    facts = packing.parcel_view(packed(an_order("2").number)).facts
    lows = {21: 5, 22: 5, 23: -15, 24: -15, 25: 12, 26: 12, 27: 12, 28: 12}
    rows = [f"Depot,2026-11-{day},{low},{low + 5}" for day, low in lows.items()]
    forecast = forecast_of("\n".join(("place,date,min,max", *rows)))
    route = Route("Post", (RouteStop("Depot", 24.0),))
    choice = ship_days(facts, route, forecast, NOW, "metric")
    assert choice is not None
    assert choice.best is not None
    assert (local_day(NOW, queries.nursery()), choice.best.on) == (date(2026, 11, 20), date(2026, 11, 25))


@pytest.mark.django_db
def test_slip_label_and_pick_list_tell_what_lies_in_a_parcel() -> None:
    """Plants by taxon with their pots and care, the buyer outside, plants to fetch tank by tank."""
    goods()
    order = an_order("3")
    (tank,) = pick_list(NOW)
    assert (tank.tank, [stop.item.spot for stop in tank.stops]) == ("North", ["A1", "A2", "A3"])
    key = packed(order.number, pack="Pack", packs="1", weather=MILD)
    slip = packing_slip(key)
    (line,) = slip.lines
    assert (line.plants, len(line.pots), slip.parcel_of, len(slip.hints)) == (3, 3, (1, 1), 2)
    assert "emersed" in line.care
    label = parcel_label(key)
    assert (label.name, label.place) == ("Anna", "Northland")
    assert "Live plants" in label.marks
    assert pick_list(NOW) == ()


@pytest.mark.django_db
def test_a_care_note_of_its_own_is_told_to_buyers() -> None:
    """On the slip and in the announcement; emptied, the usual one is told again."""
    goods()
    order = an_order("1")
    taxon = known_taxon(order.lines[0].taxon)
    usual = care_of(taxon)
    assert care_of(save_care(taxon.key, {"care": "Keep it moist."}, WHO)) == "Keep it moist."
    assert packing_slip(packed(order.number)).lines[0].care == "Keep it moist."
    assert order.release is not None
    assert announcement(order.release, NOW).lines[0].care == "Keep it moist."
    assert care_of(save_care(taxon.key, {"care": ""}, WHO)) == usual


@pytest.mark.django_db
def test_a_parcel_without_a_day_stays_on_the_bench() -> None:
    """An order without a ship day is listed so, and its parcel is not lost from sight."""
    goods()
    order = an_order("1")
    packing_goods.save_ship_rule_sheet({"ship_weekdays": "Mon"}, WHO)
    key = packed(order.number)
    packing.arrange_parcel(key, {"ship_on": ""}, WHO, NOW)
    bench = packing.packing_bench(NOW, date(2026, 11, 20))
    assert [one.facts.key for one in bench.parcels] == [key]
    assert not bench.is_ship_day
    later = packing.packing_bench(NOW, date(2026, 11, 30))
    assert [one.number for one in later.overdue] == []
