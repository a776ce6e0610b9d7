"""Ship, liner, heat pack or hold: mild measures first, rules only toward caution, arrivals correct."""

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.growing import Span
from halfwater.plain.transit import (
    DECISIONS,
    ArrivalFact,
    GrowerRules,
    HeatPack,
    Leg,
    Liner,
    Measure,
    PackingBench,
    ParcelLoad,
    ShippingBox,
    TransitLimits,
    WallLayer,
)
from halfwater.planning.parcel_heat import box_figures, delayed, transit_outlooks
from halfwater.planning.shipping import advise_parcel, is_insulated, margins_of, measures_for
from halfwater.planning.transit_limits import LIMITS, OTHER_LIMITS, USUAL_RULES, limits_of, tenderest

FOAM = ShippingBox("foam", 300.0, 250.0, 200.0, (WallLayer("EPS I", 20.0), WallLayer("cardboard", 4.0)), 0.4)
CARTON = ShippingBox("carton", 300.0, 250.0, 200.0, (WallLayer("cardboard", 4.0),), 0.2)
LOAD = ParcelLoad(8, 0.5, 0.3, 0.2, 21.0)
LINER = Liner("foil", WallLayer("foil bubble", 5.0))
PACK = HeatPack("two days", 40.0)
NANA = [TransitLimits("Anubias", 7.0, 33.0, 7.0)]


def _way(low_c, high_c):
    """Two days from door to door."""
    return [
        Leg("here", 4.0, low_c, high_c, 16.0),
        Leg("van", 10.0, low_c, high_c, 20.0, "vehicle", 1.0),
        Leg("hall", 12.0, low_c, high_c, 6.0, "indoors", 2.0),
        Leg("van", 10.0, low_c, high_c, 18.0, "vehicle", 2.0),
        Leg("door", 6.0, low_c, high_c, 8.0, "outside", 3.0),
    ]


def _advise(low_c, high_c, box=FOAM, limits=NANA, **more):
    bench = PackingBench(**{"liner": LINER, "pack": PACK, **more})
    return advise_parcel(box, LOAD, _way(low_c, high_c), limits, 5, bench)


def test_weather_makes_the_decision():
    """Fair weather ships, cold asks for a pack, frost and heat are held; each says so by the model."""
    decisions = [_advise(*way).decision for way in ((15, 22), (6, 12), (-6, 0), (26, 40))]
    assert decisions == ["ship", "heat pack", "hold", "hold"]
    assert _advise(15, 22).measure == Measure()
    assert _advise(6, 12).measure.packs == 1
    assert "By the model" in _advise(-6, 0).reasons[0]
    assert _advise(26, 40).sentence.startswith("Hold")


def test_the_mildest_safe_measure_is_taken():
    """Whatever is milder than what is chosen does more harm than is taken; what is chosen does not."""
    for way in ((15, 22), (9, 15), (6, 12), (4, 10)):
        advice = _advise(*way)
        if advice.decision != "hold":
            milder = advice.tried[: advice.tried.index(advice.outlook)]
            assert all(max(o.p_too_cold, o.p_too_hot) > 0.10 for o in milder)
            assert max(advice.outlook.p_too_cold, advice.outlook.p_too_hot) <= 0.10


def test_measures_are_ordered_and_counted():
    """One pack for each cubic foot begun, without more than the grower allows; none without packs."""
    assert [m.words for m in measures_for(FOAM, True, True)] == [
        "as it is", "liner", "1 heat pack", "liner and 1 heat pack",
    ]  # fmt: skip
    large = replace(FOAM, length_mm=600.0, width_mm=400.0)
    assert max(m.packs for m in measures_for(large, False, True)) == 2
    assert max(m.packs for m in measures_for(large, True, True, 1)) == 1
    assert measures_for(large, False, False) == (Measure(),)
    assert [m.decision for m in measures_for(FOAM, True, True)] == ["ship", "liner", "heat pack", "heat pack"]


def test_liner_and_pack_keep_plants_warmer_in_the_cold():
    """On the same draws a liner, then a pack, then both keep the coldest moment higher, at each quantile."""
    tried = {o.measure.words: o.coldest for o in _advise(4, 10).tried}
    for low, high in (
        ("as it is", "liner"),
        ("as it is", "1 heat pack"),
        ("1 heat pack", "liner and 1 heat pack"),
    ):
        assert tried[low].p10 < tried[high].p10
        assert tried[low].p50 < tried[high].p50


@pytest.mark.parametrize("way", [(15, 22), (9, 15), (6, 12), (0, 7), (22, 33)])
@pytest.mark.parametrize(
    "rules",
    [
        USUAL_RULES,
        GrowerRules(pack_below_c=16.0),
        GrowerRules(liner_below_c=20.0),
        GrowerRules(hold_below_c=16.0),
        GrowerRules(hold_above_c=20.0),
        GrowerRules(most_days=1.0),
        GrowerRules(liner_above_c=20.0),
    ],
)
def test_rules_only_add_caution(way, rules):
    """With rules the decision is never milder than the model's or the rules' own; both are said."""
    free, ruled = _advise(*way), _advise(*way, rules=rules)
    order = DECISIONS.index
    assert order(ruled.decision) >= order(free.decision)
    assert order(ruled.decision) >= order(ruled.by_rules) or (
        ruled.by_rules == "liner" and ruled.measure == Measure()
    )
    assert ruled.by_model == free.decision
    assert "By the model" in ruled.reasons[0]
    if ruled.by_rules != "ship":
        assert any("Your rule" in reason for reason in ruled.reasons)


def test_a_rule_cannot_loosen_the_model():
    """Rules with far lines leave a frosty way held."""
    rules = GrowerRules(pack_below_c=-30.0, hold_below_c=-40.0, hold_above_c=60.0, most_days=30.0)
    advice = _advise(-6, 0, rules=rules)
    assert (advice.decision, advice.by_model, advice.by_rules) == ("hold", "hold", "ship")


def test_what_a_rule_asks_for_must_be_at_hand():
    """A pack asked for and not at hand holds the parcel, and says why."""
    advice = _advise(12, 20, pack=None, rules=GrowerRules(pack_below_c=16.0))
    assert (advice.decision, advice.by_model) == ("hold", "ship")
    assert any("not at hand" in reason for reason in advice.reasons)


def test_foam_is_a_liner():
    """A rule that asks for a liner is met by an insulated box, not by a carton."""
    rules = GrowerRules(liner_below_c=16.0)
    assert (is_insulated(FOAM), is_insulated(CARTON)) == (True, False)
    assert _advise(14, 22, rules=rules, limits=[TransitLimits("hardy", 2.0, 40.0, 7.0)]).decision == "ship"
    assert _advise(14, 22, CARTON, rules=rules).decision == "liner"


def test_too_long_a_way_is_held():
    """More days than the plants stand are held by the model; a near thing is said."""
    short = [TransitLimits("stems", 5.0, 33.0, 1.0)]
    held = _advise(15, 22, limits=short)
    assert held.decision == "hold"
    assert "days in the box" in held.reasons[0]
    near = _advise(15, 22, limits=[TransitLimits("stems", 5.0, 33.0, 2.0)])
    assert near.decision == "ship"
    assert any("comes late" in reason for reason in near.reasons)


def test_the_tenderest_decide():
    """A box with several taxa is judged by the highest low, the lowest high and the fewest days."""
    both = tenderest([limits_of("Bolbitis heudelotii"), limits_of("Cryptocoryne wendtii")])
    assert both == TransitLimits("Cryptocoryne wendtii", 8.0, 30.0, 4.0)
    mixed = _advise(3, 9, limits=[*NANA, TransitLimits("tender", 14.0, 33.0, 7.0)])
    assert DECISIONS.index(mixed.decision) >= DECISIONS.index(_advise(3, 9).decision)


def test_limits_by_name_then_group():
    """The taxon's own name is read first, then its profile; a stranger gets the careful ones."""
    assert limits_of("Somebody's crossing", "Anubias, petite and mini types").low_c == LIMITS["Anubias"][0]
    assert limits_of("Bucephalandra", "Anubias").high_c == LIMITS["Bucephalandra"][1]
    other = limits_of("unheard of")
    assert (other.low_c, other.high_c, other.most_days) == OTHER_LIMITS


def test_limits_are_the_documented_ones():
    """The table of docs/starting-values.md is the table of the code."""
    page = (Path(__file__).parents[2] / "docs" / "starting-values.md").read_text(encoding="utf-8")
    text = page.split("## Limits in a box", 1)[1].split("\n## ", 1)[0]
    rows = re.findall(r"^\| ([\w ]+) \| ([\d.]+) \| ([\d.]+) \| ([\d.]+) \|", text, flags=re.M)
    said = {name: (float(low), float(high), float(days)) for name, low, high, days in rows}
    assert said.pop("any other") == OTHER_LIMITS
    assert said == LIMITS


def test_cautions_are_always_there():
    """No advice without: a forecast is no guarantee, claims stay open; packs bring their own."""
    plain, packed = _advise(15, 22), _advise(6, 12)
    for advice in (plain, packed):
        assert any("not a guarantee" in caution for caution in advice.cautions)
        assert any("14 days" in caution for caution in advice.cautions)
    assert any("never touch plants" in caution for caution in packed.cautions)
    assert not any("never touch plants" in caution for caution in plain.cautions)


def test_workings_show_what_it_came_from():
    """Walls, heat held, packs and harm are each worked out, with their source and range."""
    advice = _advise(6, 12)
    titles = [working.title for working in advice.workings]
    assert titles == [
        "Heat through the walls", "Heat held by plants and box", "Heat packs", "Chance of harm",
        "What arrivals teach",
    ]  # fmt: skip
    assert all(working.value and working.source and working.inputs for working in advice.workings)
    assert "°F" in advise_parcel(FOAM, LOAD, _way(6, 12), NANA, 5, units="us").sentence


def test_ranges_hold_together():
    """Ranges are in order, physics alone is kept apart, the curve runs from start to end."""
    advice = _advise(9, 15)
    for outlook in advice.tried:
        for span in (outlook.coldest, outlook.hottest, outlook.bare_coldest, outlook.bare_hottest):
            assert span.p10 <= span.p50 <= span.p90
        assert outlook.coldest.p50 <= outlook.hottest.p50
        assert outlook.hours[0].after_h == 0.0
        assert outlook.hours[-1].after_h == pytest.approx(42.0)
        assert outlook.in_box_days == pytest.approx(42.0 / 24.0)


def test_the_same_seed_gives_the_same_answer_and_draws_agree():
    """One seed is one answer; another seed moves the middle by little."""
    first, again = _advise(6, 12), _advise(6, 12)
    other = advise_parcel(FOAM, LOAD, _way(6, 12), NANA, 6, PackingBench(LINER, PACK))
    assert first == again
    for a, b in zip(first.tried, other.tried, strict=True):
        assert a.coldest.p50 == pytest.approx(b.coldest.p50, abs=0.7)


def test_a_delay_is_a_day_before_the_last_leg():
    """The late way lies a day longer where it was, with weather forecast further ahead."""
    late = delayed(_way(5, 10))
    assert [leg.span_h for leg in late] == [4.0, 10.0, 12.0, 10.0, 24.0, 6.0]
    assert late[4].ahead_days == late[3].ahead_days + 1.0
    assert late[-1].ahead_days == 4.0
    assert len(delayed([Leg("only", 5.0, 1.0, 2.0)])) == 2


def test_sun_on_a_vehicle_warms_only_what_has_a_day():
    """A closed vehicle is hotter by day than the street; one kept even is not; a hall swings less."""

    def hottest(kind, low, high):
        legs = [Leg("a", 24.0, low, high, 0.0, kind)]
        margins = margins_of(())
        return transit_outlooks(CARTON, LOAD, legs, NANA[0], [Measure()], margins, 3)[0].hottest.p50

    assert hottest("vehicle", 15, 30) > hottest("outside", 15, 30) > hottest("indoors", 15, 30)
    assert hottest("vehicle", 25, 25) == pytest.approx(hottest("outside", 25, 25))


def _arrival(**changes):
    fact = ArrivalFact(
        "P-1", date(2026, 1, 5), 6, 6, 0, 0.0, Span(8.0, 10.0, 12.0), Span(18.0, 20.0, 22.0), 7.0, 33.0
    )
    return replace(fact, **changes)


def test_arrivals_change_the_next_advice():
    """Loggers that read colder than forecast raise the chance of harm of the next way, and the reverse."""
    colder = margins_of([_arrival(logger_low_c=6.0, alive=3)] * 12)
    warmer = margins_of([_arrival(logger_low_c=13.0)] * 12)
    assert colder.cold_bias_c < -2.0 < 2.0 < warmer.cold_bias_c
    assert colder.parcels == 12
    harm = {m: _advise(8, 14, margins=m).tried[0].p_too_cold for m in (colder, margins_of(()), warmer)}
    assert harm[colder] > harm[margins_of(())] > harm[warmer]
    assert "12 noted" in colder.workings[0].value


@pytest.mark.parametrize(
    "changes",
    [
        {"alive": 7},
        {"alive": -1},
        {"damaged": 7},
        {"alive": 2, "damaged": 3},
        {"coldest": Span(9.0, 8.0, 7.0)},
    ],
)
def test_arrivals_that_cannot_be_are_refused(changes):
    """More living than sent, more damaged than living, a range turned round."""
    with pytest.raises(RefusedInput) as refusal:
        margins_of([_arrival(**changes)])
    assert refusal.value.where == "P-1"


@pytest.mark.parametrize(
    "asked",
    [
        lambda: advise_parcel(FOAM, LOAD, [], NANA, 1),
        lambda: advise_parcel(FOAM, LOAD, _way(5, 10), [], 1),
        lambda: advise_parcel(FOAM, LOAD, _way(10, 5), NANA, 1),
        lambda: advise_parcel(FOAM, LOAD, _way(float("nan"), 5), NANA, 1),
        lambda: advise_parcel(FOAM, replace(LOAD, plants=0), _way(5, 10), NANA, 1),
        lambda: advise_parcel(FOAM, replace(LOAD, plants_kg=9.0), _way(5, 10), NANA, 1),
        lambda: advise_parcel(FOAM, replace(LOAD, wet_kg=-1.0), _way(5, 10), NANA, 1),
        lambda: advise_parcel(replace(FOAM, layers=(WallLayer("felt", 5.0),)), LOAD, _way(5, 10), NANA, 1),
        lambda: advise_parcel(FOAM, LOAD, [replace(_way(5, 10)[0], kind="rocket")], NANA, 1),
        lambda: advise_parcel(FOAM, LOAD, [replace(_way(5, 10)[0], clock_h=25.0)], NANA, 1),
        lambda: advise_parcel(FOAM, LOAD, [replace(_way(5, 10)[0], ahead_days=-1.0)], NANA, 1),
        lambda: advise_parcel(FOAM, LOAD, _way(5, 10), [TransitLimits("upside", 30.0, 10.0, 3.0)], 1),
        lambda: advise_parcel(FOAM, LOAD, _way(5, 10), NANA, 1, draws=3),
        lambda: measures_for(FOAM, True, True, -1),
        lambda: transit_outlooks(FOAM, LOAD, _way(5, 10), NANA[0], [Measure(True)], margins_of(()), 1),
        lambda: box_figures(FOAM, ParcelLoad(1, 0.0)),
    ],
)
def test_what_cannot_be_sent_is_refused(asked):
    """No way, no limits, nan, unknown walls, too much in the box: each is refused, not guessed at."""
    with pytest.raises(RefusedInput):
        asked()
