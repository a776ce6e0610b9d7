"""A tank's entries to its answer: from nothing at all to years of evenings."""

import json
import math

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.science.evenings import WaterRow
from halfwater.science.reckoning import reckon_water
from halfwater.science.vessel import Vessel, bath_depth, bath_volume, lines
from halfwater.science.water_facts import KeptState, TankWater

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
