"""A tank's entries to its answer: from nothing at all to years of evenings."""

import json
import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.evenings import WaterRow
from halfwater.science.reckoning import reckon_water
from halfwater.science.vessel import Vessel, bath_depth, bath_volume, lines
from halfwater.science.water_facts import KeptState, TankWater, WaterAnswer

EVENING = 20.0 / 24.0
VESSEL = Vessel(914.4, 457.2, 400.0, 119, 50.8, 38.0, 50.8, 0.625, 0.44)
TANK = TankWater(VESSEL, lines(VESSEL, 6.0, None), 0.0, EVENING, 0.15)
LOW_L, LIMIT_L = (float(bath_volume(VESSEL, mm)) for mm in (TANK.lines.low_line_mm, TANK.lines.limit_line_mm))


def a_year(catch=0.6, loss=0.03, days=365, read_every=7, missed=0.1, seed=4):
    """Entries of a grower whose bath obeys the simplest law, siphoned to the low line when near the limit."""
    rng = np.random.default_rng(seed)
    volume, rows = LOW_L, [WaterRow(0.5, "fill", LOW_L)]
    for day in range(1, days):
        volume -= loss
        if day % read_every == 0:
            mm = float(bath_depth(VESSEL, max(volume, 0.0))) + rng.normal(0.0, 0.6)
            rows.append(WaterRow(day + EVENING - 0.02, "waterline", round(2.0 * mm) / 2.0))
        if volume > LIMIT_L - 0.1:
            rows.append(WaterRow(day + EVENING - 0.01, "siphon", None, "low"))
            volume = LOW_L
        sprayed = rng.random() > missed
        rows.append(
            WaterRow(day + EVENING, "spray" if sprayed else "skip", 0.15 if sprayed else None, "", "night")
        )
        volume += catch * 0.15 * sprayed
    return rows, volume


def test_with_nothing_noted_the_usual_pace_comes_out():
    """Common practice, no source: with an evening spray a siphon comes round every one to two months."""
    answer = reckon_water([TANK], [[]], 0.9)[0]
    assert 30.0 <= answer.siphon_p50_day <= 61.0
    assert answer.siphon_p10_day < 30.0
    assert answer.siphon_p90_day > 61.0


@pytest.mark.parametrize(("catch", "loss"), [(0.45, 0.02), (0.6, 0.03), (0.75, 0.05)])
def test_catch_and_loss_are_learned(catch, loss):
    """A year of evenings, some missed, finds the net rise closely, catch and loss within their ranges."""
    rows, volume = a_year(catch, loss)
    answer = reckon_water([TANK], [rows], 365.0)[0]
    assert answer.volume_l == pytest.approx(volume, abs=0.35)
    truth = catch * answer.spray_l_evening - loss
    assert answer.net_l_day == pytest.approx(truth, abs=0.006)
    assert abs(answer.catch_frac - catch) < 2.0 * answer.catch_sd_frac
    assert abs(answer.loss_l_day - loss) < 2.0 * answer.loss_sd_l_day


def test_several_tanks_come_out_as_each_alone():
    """Order and company change no answer."""
    books = [a_year(seed=seed)[0] for seed in range(3)]
    together = reckon_water([TANK] * 3, books, 365.0)
    for own, answer in zip(books, together, strict=True):
        alone = reckon_water([TANK], [own], 365.0)[0]
        assert answer.siphon_p50_day == pytest.approx(alone.siphon_p50_day, rel=1e-6)
        assert answer.catch_frac == pytest.approx(alone.catch_frac, rel=1e-9)


@pytest.mark.parametrize("noon", [60.5, 200.5, 300.5])
def test_a_kept_state_carries_on_exactly(noon):
    """From a state kept in the book, through JSON and back, the answer is that of the whole history."""
    rows, _ = a_year()
    whole = reckon_water([TANK], [rows], 365.0, keep_days=[noon])[0]
    kept = KeptState.from_dict(json.loads(json.dumps(whole.kept[0].as_dict())))
    resumed = reckon_water([TANK], [[r for r in rows if r.day > noon]], 365.0, starts=[kept])[0]
    assert resumed.depth_mm == pytest.approx(whole.depth_mm, rel=1e-9)
    assert resumed.siphon_p50_day == pytest.approx(whole.siphon_p50_day, rel=1e-6)


def test_a_long_silence_forgets_the_level_and_keeps_what_was_learned():
    """Nineteen months without an entry: the bath stands somewhere between its lines, not at the rim."""
    rows, _ = a_year()
    late = reckon_water([TANK], [rows], 365.0 + 580.0)[0]
    soon = reckon_water([TANK], [rows], 365.0)[0]
    assert TANK.lines.low_line_mm < late.depth_mm < TANK.lines.limit_line_mm
    assert late.volume_sd_l > 3.0 * soon.volume_sd_l
    assert abs(late.catch_frac - soon.catch_frac) < 0.15


def test_a_reading_after_a_silence_is_believed():
    """The first reading after months without a note sets the level."""
    rows, _ = a_year()
    answer = reckon_water([TANK], [[*rows, WaterRow(700.0, "waterline", 22.0)]], 700.1)[0]
    assert answer.depth_mm == pytest.approx(22.0, abs=1.0)
    assert answer.misfits == ()


def test_a_reading_promises_what_it_then_gives():
    """The narrowing promised for a reading is of the size that the reading brings."""
    rows, _ = a_year(read_every=1000)
    before = reckon_water([TANK], [rows], 365.0)[0]
    depth = float(bath_depth(VESSEL, before.volume_l))
    after = reckon_water([TANK], [[*rows, WaterRow(364.99, "waterline", depth)]], 365.0)[0]
    narrower = (before.siphon_p90_day - before.siphon_p10_day) - (after.siphon_p90_day - after.siphon_p10_day)
    assert before.reading_gain_days > 2.0
    assert narrower == pytest.approx(before.reading_gain_days, rel=0.6)


def test_the_picture_meets_now_from_both_sides():
    """Past and fan meet at the level of now, and the fan's range is in order."""
    rows, _ = a_year()
    answer = reckon_water([TANK], [rows], 365.0, look_back_day=60.0)[0]
    assert answer.past[-1].depth_p50_mm == pytest.approx(answer.depth_mm, abs=0.01)
    assert abs(answer.ahead[0].depth_p50_mm - answer.depth_mm) < 1.0
    assert all(d.depth_p10_mm <= d.depth_p50_mm <= d.depth_p90_mm for d in (*answer.past, *answer.ahead))


def test_a_tank_of_tonight_has_its_picture_too():
    """With nothing noted yet there is a level now and a fan ahead."""
    answer = reckon_water([TANK], [[]], 0.9, look_back_day=60.0)[0]
    assert len(answer.past) >= 1
    assert len(answer.ahead) > 30


def test_a_siphon_takes_the_litres_between_the_lines():
    """Litres to siphon are those between limit and low line by the vessel curve."""
    answer = reckon_water([TANK], [[]], 0.9)[0]
    assert answer.siphon_volume_l == pytest.approx(LIMIT_L - LOW_L, rel=1e-12)


def test_questions_that_cannot_be_answered_are_refused():
    """Unpaired entries and a now that is no day are refused; no tanks give no answers."""
    with pytest.raises(RefusedInput, match="one list of entries"):
        reckon_water([TANK], [], 1.0)
    with pytest.raises(RefusedInput, match="finite day"):
        reckon_water([TANK], [[]], math.nan)
    assert reckon_water([], [], 1.0) == ()


def sprayed(first, evenings, litres):
    """An evening spray noted each day."""
    return [WaterRow(first + day + EVENING, "spray", litres, "", "night") for day in range(evenings)]


def test_what_is_poured_after_an_emptying_siphon_stands_in_the_bath():
    """Fifty litres noted from a bath that held six: it is empty, and three litres later it holds three."""
    rows = [WaterRow(0.5, "fill", 6.0), WaterRow(10.0, "siphon", 50.0), WaterRow(10.01, "fill", 3.0)]
    answer = reckon_water([TANK], [rows], 10.02)[0]
    assert answer.volume_l == pytest.approx(3.0, abs=0.02)


@pytest.mark.parametrize(
    ("set_up_day", "poured", "held", "sd"),
    [(99.0, 1.0, 0.0, 0.2), (0.0, 1.0, (LOW_L - 1.0) / 2, 2.5), (0.0, LOW_L, 0.0, 0.4)],
)
def test_a_first_fill_finds_an_empty_bath_in_a_new_tank_or_when_it_is_a_whole_one(
    set_up_day, poured, held, sd
):
    """A litre poured into a tank that has run for months is a topping up, and may stand on anything."""
    tank = replace(TANK, set_up_day=set_up_day)
    answer = reckon_water([tank], [[WaterRow(100.5, "fill", poured)]], 100.6)[0]
    assert answer.volume_l == pytest.approx(held + poured, abs=0.01)
    assert answer.volume_sd_l == pytest.approx(sd, abs=0.25)


@pytest.mark.parametrize("turned", [False, True])
def test_what_is_noted_of_the_day_of_the_first_fill_comes_after_it(turned):
    """Fill, spray and reading noted with the date alone: the ruler met the filled bath, in any order."""
    rows = [WaterRow(EVENING, "fill", 5.5), WaterRow(EVENING, "waterline", 17.0), *sprayed(0, 1, 0.15)]
    answer = reckon_water([TANK], [rows[::-1] if turned else rows], 0.9)[0]
    assert answer.misfits == ()
    assert answer.depth_mm == pytest.approx(17.0, abs=0.6)


def test_without_spray_a_bath_is_not_thought_to_rise():
    """The usual pace of siphons is one of sprayed tanks: with no spray planned the loss stays above 0."""
    answer = reckon_water([replace(TANK, plan_night_l=0.0)], [[]], 0.9)[0]
    assert answer.loss_l_day > 0.0
    assert answer.net_l_day < 0.0
    assert math.isnan(answer.siphon_p50_day)


@pytest.mark.parametrize("vapour_l_day", [-0.02, 0.0, 0.002, 0.025, 0.3])
def test_a_loss_is_never_told_below_nought(vapour_l_day):
    """Whatever physics starts from, and after readings that rise as fast as the spray."""
    tank = replace(TANK, vapour_l_day=vapour_l_day)
    rows = [WaterRow(0.5, "fill", 4.0), *sprayed(1, 40, 0.1)]
    rows += [WaterRow(day + 0.8, "waterline", 12.0 + 0.29 * day) for day in range(1, 40, 3)]
    for entries in ([], rows):
        answer = reckon_water([tank], [entries], 41.0)[0]
        assert answer.loss_l_day >= 0.0
        assert answer.loss_sd_l_day > 0.0
        assert 0.0 <= answer.catch_frac <= 1.1


def test_a_reading_above_a_rim_lowered_since_stops_no_other_tank():
    """A tank whose height was put right keeps its old reading in the book: it counts, and does not fit."""
    low = replace(TANK, vessel=replace(VESSEL, height_mm=60.0))
    rows = [WaterRow(0.5, "fill", LOW_L), WaterRow(5.8, "waterline", 210.0), WaterRow(9.8, "waterline", 18.0)]
    answer = reckon_water([low], [rows], 10.0)[0]
    assert [misfit.day for misfit in answer.misfits] == [5.8]
    assert answer.depth_mm == pytest.approx(18.0, abs=1.5)


def test_mornings_nobody_notes_count_before_as_after():
    """A grower who notes readings only: planned mornings bring water in the past as in the forecast."""
    tank = replace(TANK, plan_night_l=0.1, plan_morning_l=0.05)
    once = replace(TANK, plan_night_l=0.15)
    rows = [WaterRow(0.5, "fill", LOW_L)]
    rows += [WaterRow(day + 0.8, "waterline", 16.7 + 0.17 * day) for day in range(5, 46, 5)]
    twice, single = (reckon_water([t], [rows], 46.0)[0] for t in (tank, once))
    assert twice.catch_frac == pytest.approx(single.catch_frac, abs=0.02)
    assert twice.net_l_day == pytest.approx(single.net_l_day, abs=0.004)


def test_a_morning_noted_without_an_amount_is_the_planned_one():
    """Nought is nought, and no amount is the plan's."""
    tank = replace(TANK, plan_morning_l=0.05)
    base = [WaterRow(0.5, "fill", LOW_L), *sprayed(0, 3, 0.15)]
    levels = []
    for amount in (0.0, None, 0.05):
        morning = WaterRow(2.3, "spray", amount, "", "morning")
        levels.append(reckon_water([tank], [[*base, morning]], 2.9)[0].volume_l)
    assert levels[0] == pytest.approx(levels[1] - 0.55 * 0.05, abs=0.004)
    assert levels[1] == levels[2]


FLOATS = [name.name for name in fields(WaterAnswer) if name.type in (float, "float")]
MAY_BE_NAN = {"siphon_p10_day", "siphon_p50_day", "siphon_p90_day", "dry_p10_day", "last_reading_day"}
KINDS = ("spray", "skip", "fill", "siphon", "waterline")
ENTRY = st.builds(
    lambda day, at, kind, amount, session: WaterRow(
        day + at, kind, None if kind == "skip" or (amount == 0.3 and kind != "waterline") else
        100.0 * amount if kind == "waterline" else amount,
        "low" if kind == "siphon" and amount == 0.3 else "", session if kind == "spray" else "",
    ),
    st.integers(-60, 200), st.sampled_from([0.0, 0.3, EVENING]), st.sampled_from(KINDS),
    st.sampled_from([0.0, 0.15, 0.16, 0.3, 1.0, 4.0]), st.sampled_from(["night", "morning"]),
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(ENTRY, max_size=40), st.floats(-60.0, 400.0), st.randoms())
def test_any_entries_in_any_order_have_an_answer(rows, now, luck):
    """Every field finite, or nan where nothing is foreseen; ranges in order; chances within 0..1."""
    answer = reckon_water([TANK], [rows], now)[0]
    for name in FLOATS:
        assert math.isfinite(getattr(answer, name)) or name in MAY_BE_NAN, name
    dates = (answer.siphon_p10_day, answer.siphon_p50_day, answer.siphon_p90_day)
    told = [date for date in dates if not math.isnan(date)]
    assert told == sorted(told)
    assert all(math.isnan(date) for date in dates[len(told) :])
    assert 0.0 <= answer.depth_low_mm <= answer.depth_mm <= answer.depth_high_mm <= VESSEL.height_mm
    assert 0.0 <= answer.p_past_limit_now <= answer.p_past_limit_next_evening <= 1.0
    assert answer.reading_gain_days >= 0.0
    shuffled = list(rows)
    luck.shuffle(shuffled)
    if len({(row.day, row.kind) for row in rows}) == len(rows):
        assert repr(reckon_water([TANK], [shuffled], now)[0]) == repr(answer)
