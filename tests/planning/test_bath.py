"""What the bath's page says: limits, verdicts, siphon and refill, pH, the spray on leaves."""

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.bath import CAUSES_OF_EC
from halfwater.plain.stock import PriorFact, TaxonFacts
from halfwater.planning.bath import BathNotes, bath_outlook
from halfwater.planning.bath_limit import ec_limit
from halfwater.planning.bath_ph import ph_verdict
from halfwater.planning.bath_refill import RefillChoice, refill_advice, usual_refill
from halfwater.planning.bath_verdict import ec_verdict
from halfwater.planning.foliar import film_advice
from halfwater.science.bath_answer import reckon_bath
from halfwater.science.bath_facts import BathRow, Solution, TankSalts
from halfwater.science.vessel import Vessel, lines
from halfwater.science.water_facts import TankWater

VESSEL = Vessel(1200.0, 450.0, 450.0, 60, 50.0, 38.0, 50.0, 0.65, 0.44)
LINES = lines(VESSEL, 6.0, None)
WATER = Solution(0.2, ca_mg_l=20.0, mg_mg_l=4.0)
STRONG = Solution(2.0, n_mg_l=150.0, p_mg_l=25.0, k_mg_l=170.0, ca_mg_l=120.0, mg_mg_l=30.0)
WEAK = Solution(0.35, n_mg_l=10.0, p_mg_l=2.0, k_mg_l=12.0, ca_mg_l=22.0, mg_mg_l=5.0)
PLAIN = RefillChoice("plain water", 0.2)
NOW = 90.0


@cache
def bath(spray, ecs=(), uptake=0.0, vapour=0.02, is_sprayed=True, depth_mm=None):
    """Ninety days under one spray, with weekly EC readings that go from the first value to the second."""
    water = TankWater(VESSEL, LINES, 0.0, 20 / 24, 0.15, vapour_l_day=vapour)
    share = (ecs[0] if ecs else 0.35) / STRONG.ec_ms_cm
    first = Solution(*(share * x for x in (2.0, 150.0, 0.0, 25.0, 170.0, 120.0, 30.0)))
    tank = TankSalts(water, {1: spray, 2: WEAK, 3: first}, WATER, 1, None, 2, uptake)
    rows = [BathRow(0.5, "fill", 9.0, mix=3)]
    rows += [BathRow(d + 20 / 24, "spray" if is_sprayed else "skip", 0.15, mix=1) for d in range(90)]
    if ecs:
        rows += [BathRow(d + 0.81, "ec", ecs[0] + (ecs[1] - ecs[0]) * d / 90.0) for d in range(2, 90, 7)]
    if depth_mm:
        slope = (depth_mm[1] - depth_mm[0]) / 90.0
        rows += [BathRow(d + 0.80, "waterline", depth_mm[0] + slope * d) for d in range(2, 90, 7)]
    return reckon_bath(tank, rows, NOW, look_back_day=30.0)


def taxon(name, low, high, group=""):
    """A taxon by its range of EC above the source."""
    return TaxonFacts(1, name, group, (PriorFact("ec_above_source_ms_cm", 0.6, low, high, "G", "priors"),))


def test_the_tenderest_taxon_decides():
    """One Bucephalandra among Anubias sets the limit of the tank, and is named."""
    found = ec_limit([taxon("Anubias nana", 0.3, 1.2), taxon("Bucephalandra", 0.2, 0.9)], 0.3)
    assert (found.action_ms_cm, found.taxon_name) == (1.2, "Bucephalandra")
    assert (found.target_low_ms_cm, found.target_high_ms_cm) == pytest.approx((0.5, 1.2))


def test_a_tank_of_no_known_taxon_has_the_usual_limit():
    """Nothing known of the plants: 1.5 and 2.0."""
    found = ec_limit([], 0.3)
    assert (found.action_ms_cm, found.alarm_ms_cm, found.taxon_name) == (1.5, 2.0, "")


def test_a_strong_spray_is_called_overfed():
    """A bath that climbs under a strong spray while its water rises is overfed."""
    verdict = ec_verdict(bath(STRONG, (0.5, 1.6), depth_mm=(16.0, 24.0)))
    assert (verdict.trend, verdict.word) == ("rising", "overfed")
    assert verdict.to_tell == ""


def test_a_drying_bath_is_called_evaporating():
    """A bath nobody sprays, whose water sinks as its EC climbs, is drying."""
    verdict = ec_verdict(bath(WEAK, (0.35, 0.6), vapour=0.08, is_sprayed=False, depth_mm=(20.0, 11.0)))
    assert (verdict.trend, verdict.word) == ("rising", "evaporating")


def test_a_thin_spray_on_a_bath_without_appetite_is_called_diluted():
    """A strong bath that only gets thin spray is thinned."""
    verdict = ec_verdict(bath(WATER, (1.6, 1.1), uptake=0.3, depth_mm=(14.0, 26.0)))
    assert (verdict.trend, verdict.word) == ("falling", "diluted")


def test_hungry_plants_are_called_hungry():
    """Readings that fall fast under a fair spray at a steady waterline: the plants take it."""
    verdict = ec_verdict(bath(WEAK, (1.2, 0.5), uptake=25.0, depth_mm=(18.0, 18.5)))
    assert (verdict.trend, verdict.word) == ("falling", "hungry")
    assert {cause.name for cause in verdict.causes} == {"spray", "plants", "water added", "water leaving"}


def test_causes_not_told_apart_name_the_reading():
    """When salt and water may each be the cause, the sentence names what to read."""
    answer = replace(bath(STRONG, (0.5, 1.6)), p_by_salts=0.5, p_rising=0.95, trend=(0.1, 0.2, 0.3))
    verdict = ec_verdict(answer)
    assert verdict.word not in CAUSES_OF_EC
    assert "waterline" in verdict.to_tell
    falling = ec_verdict(replace(answer, p_rising=0.05, trend=(-0.3, -0.2, -0.1)))
    assert "nitrate" in falling.to_tell


def test_a_still_bath_is_steady_and_a_doubtful_one_is_not_known():
    """Within a twentieth a month and a narrow range it holds; with a wide one nobody knows."""
    answer = bath(WEAK, (0.5, 0.5))
    assert ec_verdict(replace(answer, trend=(-0.05, 0.0, 0.06), p_rising=0.5)).word == "steady"
    doubtful = ec_verdict(replace(answer, trend=(-0.4, 0.02, 0.5), p_rising=0.55))
    assert (doubtful.word, doubtful.to_tell) == (
        "not known yet",
        "Read the EC again in a week, before the round.",
    )


def test_a_bath_past_its_limit_is_to_be_siphoned_to_its_target():
    """Past 1.5 the refill is due, and mixing its litres gives the target."""
    answer, limit = bath(STRONG, (0.8, 2.0), depth_mm=(16.0, 24.0)), ec_limit([], 0.2)
    advice = refill_advice(answer, limit, PLAIN, target_ms_cm=1.0)
    assert advice.is_due
    assert advice.is_reachable
    assert advice.ec_after.p50 == pytest.approx(1.0)
    left = answer.volume_l[1] + answer.held_l - advice.siphon_l
    mixed = (left * answer.ec_now[1] + advice.refill_l * 0.2) / (left + advice.refill_l)
    assert mixed == pytest.approx(1.0)
    assert left + advice.refill_l - answer.held_l == pytest.approx(
        min(answer.after_siphon_l, answer.volume_l[1])
    )


def test_plain_water_is_poured_in_where_the_fill_mix_would_take_the_whole_bath():
    """Far past the limit a fill mix near the target takes too much out; a weak one does."""
    strong, limit = bath(STRONG, (0.8, 1.5), depth_mm=(16.0, 24.0)), ec_limit([], 0.2)
    middle = (limit.target_low_ms_cm + min(limit.target_high_ms_cm, limit.action_ms_cm)) / 2.0
    near, weak = RefillChoice("Bath", middle - 0.02), RefillChoice("Bath", 0.3)
    assert usual_refill(strong, limit, near, PLAIN) == PLAIN
    assert usual_refill(strong, limit, weak, PLAIN) == weak
    assert usual_refill(strong, limit, None, PLAIN) == PLAIN
    assert usual_refill(bath(WEAK), limit, near, PLAIN) == near
    assert usual_refill(bath(WEAK), limit, RefillChoice("Bath", middle + 0.1), PLAIN) == PLAIN


def test_a_trend_into_the_range_asks_for_nothing():
    """Rising from below the range or falling from above it, the cause is told and nothing is to be done."""
    limit = ec_limit([], 0.2)
    rising = bath(STRONG, (0.5, 1.6), depth_mm=(16.0, 24.0))
    assert "Spray weaker" in ec_verdict(rising, limit).said
    thin = replace(limit, target_low_ms_cm=3.0, target_high_ms_cm=4.0)
    assert "it may" in ec_verdict(rising, thin).said
    falling = bath(WEAK, (1.2, 0.5), uptake=25.0, depth_mm=(18.0, 18.5))
    assert "stronger." in ec_verdict(falling, limit).said
    assert "it may" in ec_verdict(falling, replace(limit, target_low_ms_cm=0.1, target_high_ms_cm=0.2)).said


def test_a_target_below_the_refill_is_answered_with_the_best():
    """No refill brings a bath below its own strength: what can be had is said."""
    limit = ec_limit([], 0.2)
    advice = refill_advice(bath(STRONG, (0.8, 2.0)), limit, RefillChoice("strong mix", 1.4), target_ms_cm=0.9)
    assert not advice.is_reachable
    assert "cannot" in advice.said
    assert advice.ec_after.p50 >= 1.4 - 1e-9


def test_the_page_of_a_bath():
    """Sentence, figures, picture, workings: all there, in the order of time, dates as dates."""
    answer = bath(STRONG, (0.8, 1.3), uptake=8.0, depth_mm=(16.0, 23.0))
    notes = BathNotes(ph=((date(1970, 3, 1), 6.4),))
    page = bath_outlook(answer, ec_limit([], 0.2), PLAIN, NOW, tank=1, tank_name="Rill", notes=notes)
    assert page.on == date(1970, 4, 1)
    assert page.said.startswith("EC 1.")
    assert page.ec_at_siphon is not None
    assert page.siphon_p50_on >= page.on
    assert [n.name for n in page.nutrients] == ["N", "urea N", "P", "K", "Ca", "Mg"]
    assert all(n.mg_l.p10 <= n.mg_l.p50 <= n.mg_l.p90 for n in page.nutrients)
    assert [one.on for one in page.past] == sorted({one.on for one in page.past})
    assert page.ahead[0].on == page.on
    assert page.ahead[-1].on == page.on + timedelta(days=90)
    assert len(page.workings) == 4
    assert page.ph.word == "good"


def test_a_bath_never_read_asks_for_a_reading():
    """Without a reading the page still answers, and asks for one."""
    page = bath_outlook(bath(WEAK), ec_limit([], 0.2), PLAIN, NOW, tank=1, tank_name="Rill")
    assert page.last_reading_on is None
    assert page.narrows_most.startswith("EC has never been read")


def test_the_alarm_comes_before_everything_else():
    """Past 2.0 the sentence says tonight."""
    answer = replace(bath(STRONG, (0.8, 2.0)), ec_now=(2.1, 2.3, 2.5), p_past_action_now=1.0)
    page = bath_outlook(answer, ec_limit([], 0.2), PLAIN, NOW, tank=1, tank_name="Rill")
    assert "tonight" in page.said
    assert any("mouth" in caution for caution in page.cautions)
    assert any("stay beside it" in caution for caution in page.cautions)


@pytest.mark.parametrize(
    ("ph", "word"),
    [
        (6.2, "good"),
        (5.5, "good"),
        (7.0, "good"),
        (5.2, "tolerated"),
        (7.5, "tolerated"),
        (4.6, "too low"),
        (8.1, "too high"),
    ],
)
def test_ph_is_judged(ph, word):
    """Aimed at 5.5 to 7.0, tolerated from 5.0 to 7.8."""
    assert ph_verdict([(date(2024, 5, 1), ph)]).word == word


def test_ph_that_moves_names_what_would_explain_it():
    """Falling pH points to soft water and ammonium, climbing pH to hard water."""
    first = date(2024, 5, 1)
    falling = ph_verdict([(first, 6.8), (first + timedelta(days=30), 6.0)])
    assert falling.trend_a_month == pytest.approx(-0.8)
    assert "soft water" in falling.to_tell
    climbing = ph_verdict([(first, 6.4), (first + timedelta(days=30), 7.4)])
    assert "hard water" in climbing.to_tell


def test_ph_beyond_the_scale_is_refused():
    """15 is no pH, and no reading at all is no verdict."""
    with pytest.raises(RefusedInput, match="pH"):
        ph_verdict([(date(2024, 5, 1), 15.0)])
    assert ph_verdict([]) is None


def test_a_usual_spray_on_leaves():
    """150 mL on 1.2 m2 of leaf: half falls between, the film stays below what leaves hold."""
    advice = film_advice(0.15, 1.2, 50.0, 0.4, plain_days_ago=2.0)
    assert advice.film_ml_m2 == pytest.approx(62.5)
    assert advice.run_off_frac == pytest.approx(0.5)
    assert advice.n_mg_m2 == pytest.approx(3.125)
    assert (advice.ec_on_leaf, advice.strength, advice.plain_night) == ("usual", "usual", "in 5 days")


def test_ferns_take_half():
    """What is usual for Anubias is strong for ferns and Bucephalandra."""
    assert film_advice(0.15, 1.2, 50.0, 0.4, plain_days_ago=1.0).strength == "usual"
    tender = film_advice(0.15, 1.2, 50.0, 0.4, tender=True, plain_days_ago=1.0)
    assert (tender.strength, tender.ec_on_leaf) == ("strong", "strong")


def test_a_scorching_spray_is_said_first():
    """Above 1.2 the sentence says dilute, and the first caution is the burn."""
    advice = film_advice(0.15, 1.2, 120.0, 1.5, plain_days_ago=1.0)
    assert advice.ec_on_leaf == "too strong"
    assert "dilute" in advice.said.lower()
    assert "burn" in advice.cautions[0]


def test_plain_water_once_a_week():
    """Six evenings after the last plain water, or never having had it, tonight is plain."""
    assert film_advice(0.15, 1.2, 50.0, 0.4, plain_days_ago=6.0).is_plain_night
    assert film_advice(0.15, 1.2, 50.0, 0.4).plain_night == "tonight"
    assert film_advice(0.15, 1.2, 0.0, 0.0).plain_night == ""


@pytest.mark.parametrize(
    ("field", "values"),
    [
        ("spray", (-0.1, 1.2, 50.0, 0.4)),
        ("leaf area", (0.1, float("nan"), 50.0, 0.4)),
        ("EC", (0.1, 1.0, 50.0, 99.0)),
    ],
)
def test_impossible_sprays_are_refused(field, values):
    """Each figure is held to what it can be, and named."""
    with pytest.raises(RefusedInput, match=field):
        film_advice(*values)
