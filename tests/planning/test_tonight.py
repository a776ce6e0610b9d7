"""Tonight's round: what is asked for, what can wait, in which order, with which amounts."""

import math
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.plain.mixes import FeedFacts, MixFacts, MixPart
from halfwater.planning.night import Job, PlannedSpray, Round, RoundInputs, TankNight, WaterOutlook
from halfwater.planning.tonight import plan_round
from halfwater.science import starting

ON = date(2026, 11, 20)
FEED = FeedFacts(1, "Leaf", "liquid", "w/w", 1.2, 0.09, 0.03, 0.06, None, None, None, {}, None)
NIGHT = MixFacts(1, "Night", "night", (MixPart(FEED, 0.5, None, "0.5 ml/l"),), None)
FILL = MixFacts(2, "Bath", "fill", (MixPart(FEED, 0.2, None, "0.2 ml/l"),), None)
SPRAY = PlannedSpray("night", 0.15, 1, "Night")
CALM = WaterOutlook(
    depth_mm=19.0, volume_l=6.0, low_line_mm=16.0, limit_line_mm=24.0, low_volume_l=5.0,
    siphon_volume_l=1.0, p_past_limit_frac=0.01, siphon_p10_on=ON + timedelta(days=20),
    siphon_p50_on=ON + timedelta(days=26), siphon_p90_on=ON + timedelta(days=33), reading_gain_days=0.4,
)  # fmt: skip
NORTH = TankNight(1, "North", 1, (SPRAY,), CALM, read_days_ago=5.0, looked_days_ago=2.0)


def a_round(*tanks: TankNight, mixes: tuple[MixFacts, ...] = (NIGHT,), units: str = "metric") -> Round:
    """The round of these tanks."""
    return plan_round(RoundInputs(ON, tanks, {mix.key: mix for mix in mixes}, units))


def a_tank(
    name: str = "North", key: int = 1, water: WaterOutlook | None = CALM, **facts: object
) -> TankNight:
    """A calm tank, with what the test changes."""
    return replace(NORTH, name=name, key=key, place=key, water=water, **facts)  # type: ignore[arg-type]


def kinds(planned: Round) -> list[tuple[str, str]]:
    """Kind and tank of each job in order."""
    return [(job.kind, job.tank) for job in planned.jobs]


def the_job(planned: Round, kind: str) -> Job:
    """The one job of a kind."""
    (job,) = (job for job in planned.jobs if job.kind == kind)
    return job


def test_a_calm_tank_is_only_sprayed() -> None:
    """A tank far from its limit line, read and looked over lately, wants its spray and nothing else."""
    planned = a_round(NORTH)
    assert kinds(planned) == [("mix", ""), ("spray", "North")]
    assert planned.minutes == pytest.approx(starting.MIX_MIN + starting.SPRAY_MIN)


@pytest.mark.parametrize(("chance", "is_due"), [(0.099, False), (0.10, True), (0.6, True)])
def test_a_siphon_is_due_from_a_chance_of_a_tenth(chance: float, is_due: bool) -> None:
    """The siphon is decided by the chance of passing the limit line before the next round."""
    planned = a_round(a_tank(water=replace(CALM, p_past_limit_frac=chance)))
    assert (("siphon", "North") in kinds(planned)) == is_due


def test_a_bath_at_its_limit_line_is_siphoned_tonight() -> None:
    """A level at the line is due whatever the forecast says, with its litres, line and date."""
    planned = a_round(a_tank(water=replace(CALM, depth_mm=24.0, p_past_limit_frac=0.0, siphon_volume_l=2.5)))
    job = the_job(planned, "siphon")
    assert (job.volume_l, job.to_line, job.line_mm, job.by_on) == (2.5, "low", 16.0, ON)
    assert job.minutes == starting.SIPHON_MIN


def test_a_siphon_is_due_by_the_early_end_of_its_range() -> None:
    """By when: the 10 % date, and never a date that has gone."""
    soon = replace(CALM, p_past_limit_frac=0.2, siphon_p10_on=ON + timedelta(days=1))
    gone = replace(CALM, p_past_limit_frac=0.2, siphon_p10_on=ON - timedelta(days=3))
    assert the_job(a_round(a_tank(water=soon)), "siphon").by_on == ON + timedelta(days=1)
    assert the_job(a_round(a_tank(water=gone)), "siphon").by_on == ON


def test_readings_are_ranked_by_what_they_narrow_and_three_at_most() -> None:
    """The reading that narrows a siphon date most comes first; small gains are not asked for."""
    gains = {"A": 2.0, "B": 9.0, "C": 0.9, "D": 4.0, "E": 3.0}
    tanks = [
        a_tank(name, key, replace(CALM, reading_gain_days=gain))
        for key, (name, gain) in enumerate(gains.items(), 1)
    ]
    reads = [job for job in a_round(*tanks).jobs if job.kind == "read"]
    assert [(job.tank, job.rank) for job in sorted(reads, key=lambda job: job.rank or 0)] == [
        ("B", 1),
        ("D", 2),
        ("E", 3),
    ]
    assert next(job for job in reads if job.rank == 1).gain_days == 9.0


def test_a_reading_not_asked_for_says_why() -> None:
    """Taken today, worth too little, or worth less than three others: each its own sentence."""
    wide = replace(CALM, reading_gain_days=9.0)
    tanks = [a_tank(name, key, wide) for key, name in enumerate(("A", "B", "C", "D"), start=1)]
    tanks += [a_tank("Read", 5, wide, read_days_ago=0.1), a_tank("Sure", 6)]
    told = a_round(*tanks).not_needed
    assert "No further reading at Read: taken today." in told
    assert "No reading at Sure: it would narrow a siphon date too little tonight." in told
    assert "No reading at D yet: the others narrow their dates more." in told


def test_no_reading_where_the_tank_is_siphoned_or_was_read_today() -> None:
    """A siphon tells the level itself, and a reading of today is there already."""
    wide = replace(CALM, reading_gain_days=9.0)
    assert ("read", "North") not in kinds(a_round(a_tank(water=replace(wide, p_past_limit_frac=0.5))))
    assert ("read", "North") not in kinds(a_round(a_tank(water=wide, read_days_ago=0.0)))
    assert ("read", "North") in kinds(a_round(a_tank(water=wide, read_days_ago=1.0)))


def test_a_new_tank_is_filled_to_its_low_line() -> None:
    """A bath about which nothing is noted wants its first fill, with the fill mix made up for it."""
    planned = a_round(a_tank(is_filled=False), mixes=(NIGHT, FILL))
    job = the_job(planned, "fill")
    assert (job.volume_l, job.mix, job.line_mm) == (5.0, "Bath", 16.0)
    assert {made.mix: made.volume_l for made in planned.mixes_to_make} == {"Bath": 5.0, "Night": 0.15}


def test_a_bath_that_runs_dry_is_topped_up() -> None:
    """Below half the low line the bath is filled by what is missing up to it."""
    planned = a_round(a_tank(water=replace(CALM, depth_mm=7.0, volume_l=2.2)))
    assert the_job(planned, "fill").volume_l == pytest.approx(2.8)
    assert ("fill", "North") not in kinds(a_round(a_tank(water=replace(CALM, depth_mm=9.0, volume_l=2.8))))


def test_sprays_are_summed_by_mix_and_made_up_to_a_mark() -> None:
    """What two tanks take is mixed once: 0.15 + 0.18 L make 350 mL, with half a millilitre a litre."""
    planned = a_round(NORTH, a_tank("South", 2, sprays=(replace(SPRAY, volume_l=0.18),)))
    (made,) = planned.mixes_to_make
    assert made.volume_l == pytest.approx(0.35)
    assert made.parts[0].amount_ml == pytest.approx(0.175)
    assert "North and South: 330 mL" in the_job(planned, "mix").why


def test_what_is_noted_is_done_and_not_mixed() -> None:
    """A spray that stands in the book is neither asked for again nor mixed for."""
    planned = a_round(a_tank(sprays=(replace(SPRAY, is_noted=True),)))
    assert planned.jobs == ()
    assert planned.mixes_to_make == ()
    assert planned.done == ("North: the night spray is noted.",)


def test_look_over_weekly_and_again_after_a_sighting() -> None:
    """A look-over is due after seven days, or while a sighting is to be watched."""
    assert ("look", "North") in kinds(a_round(a_tank(looked_days_ago=7.0)))
    assert ("look", "North") in kinds(a_round(a_tank(looked_days_ago=None)))
    watched = a_round(a_tank(looked_days_ago=1.0, sighting="algae"))
    assert "algae" in the_job(watched, "look").why
    assert ("look", "North") not in kinds(a_round(a_tank(looked_days_ago=0.0, sighting="algae")))


def test_leaves_are_counted_monthly_where_something_grows() -> None:
    """A tank without growing pots has nothing to count."""
    assert ("count", "North") in kinds(a_round(a_tank(growing_pots=20, counted_days_ago=30.0)))
    assert ("count", "North") not in kinds(a_round(a_tank(growing_pots=20, counted_days_ago=29.0)))
    assert ("count", "North") not in kinds(a_round(a_tank(growing_pots=0)))


def test_it_says_what_needs_no_doing() -> None:
    """The calm is told too: no siphon before a date, no reading, no look-over."""
    told = " ".join(a_round(NORTH, a_tank("South", 2)).not_needed)
    assert "No siphon at North and South: the earliest date is Thu 10 Dec, at North." in told
    assert "No reading at North and South" in told
    assert "No look-over at North and South" in told


def test_a_tank_without_clay_has_no_forecast_and_says_why() -> None:
    """Where nothing can be said about the bath, the tank is sprayed and the reason given."""
    planned = a_round(a_tank(water=None, why_no_water="no pots are described"))
    assert ("spray", "North") in kinds(planned)
    assert "No forecast for North: no pots are described." in planned.not_needed


def test_depths_are_told_in_the_growers_units() -> None:
    """A nursery in US units reads inches."""
    planned = a_round(a_tank(water=replace(CALM, depth_mm=25.4)), units="us")
    assert "about 1 in" in the_job(planned, "siphon").why


def test_no_tanks_make_an_empty_round() -> None:
    """Nothing to walk past: no jobs, no minutes."""
    planned = a_round()
    assert planned.jobs == ()
    assert planned.minutes == 0


@pytest.mark.parametrize("bad", [-0.1, math.nan, math.inf])
def test_numbers_no_evening_has_are_refused(bad: float) -> None:
    """A negative, nan or infinite volume, depth or chance is refused, never clipped."""
    with pytest.raises(RefusedInput):
        a_round(a_tank(sprays=(replace(SPRAY, volume_l=bad),)))
    with pytest.raises(RefusedInput):
        a_round(a_tank(water=replace(CALM, depth_mm=bad)))
    with pytest.raises(RefusedInput):
        a_round(a_tank(water=replace(CALM, p_past_limit_frac=bad)))


def test_a_spray_of_an_unknown_mix_is_refused() -> None:
    """A mix that is not among the mixes cannot be made up."""
    with pytest.raises(RefusedInput, match="one of the mixes"):
        a_round(a_tank(sprays=(replace(SPRAY, mix=9),)))


@given(st.permutations(range(1, 6)), st.lists(st.floats(0, 1), min_size=5, max_size=5))
def test_the_walk_follows_the_places_whatever_the_order_given(order: list[int], chances: list[float]) -> None:
    """Tanks come in walking order, and the same tanks give the same round in any order."""
    tanks = [a_tank(f"T{key}", key, replace(CALM, p_past_limit_frac=chances[key - 1])) for key in range(1, 6)]
    planned = a_round(*(tanks[key - 1] for key in order))
    assert planned == a_round(*tanks)
    walked = [job.tank_key for job in planned.jobs if job.tank_key is not None]
    assert walked == sorted(walked)
    assert planned.minutes == pytest.approx(sum(job.minutes for job in planned.jobs))
    assert len({job.key for job in planned.jobs}) == len(planned.jobs)


def test_a_reading_that_cannot_be_right_is_asked_for_again() -> None:
    """A doubted reading comes first, whatever a reading elsewhere would gain, and says what was read."""
    doubted = a_tank("North", 1, replace(CALM, doubted_mm=58.0, reading_gain_days=0.1), read_days_ago=1.0)
    wide = a_tank("South", 2, replace(CALM, reading_gain_days=30.0))
    readings = {job.tank: job for job in a_round(doubted, wide).jobs if job.kind == "read"}
    assert (readings["North"].rank, readings["South"].rank) == (1, 2)
    assert "58 mm" in readings["North"].why


def test_every_tank_has_its_siphon_date_the_earliest_first() -> None:
    """The round lists the dates of all tanks, those without one last; of an unknown bath it says nothing."""
    later = a_tank("Later", 1, replace(CALM, siphon_p50_on=ON + timedelta(days=50)))
    never = a_tank("Never", 2, replace(CALM, siphon_p10_on=None, siphon_p50_on=None, siphon_p90_on=None))
    sooner = a_tank("Sooner", 3, replace(CALM, due_volume_l=2.7))
    unknown = a_tank("Unknown", 4, None)
    planned = a_round(later, never, sooner, unknown)
    assert [ahead.tank for ahead in planned.siphons] == ["Sooner", "Later", "Never"]
    assert planned.siphons[0].volume_l == 2.7
