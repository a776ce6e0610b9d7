"""What blank evenings, double taps and late notes count for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.evenings import (
    EveningHabit,
    WaterRow,
    chance_blank_was_sprayed,
    evening_of,
    spray_past,
    usual_amount,
    without_double_taps,
)

EVENING = 20.0 / 24.0


def past(rows, *, days, habit=None, plan=0.15):
    """The sprays of the first `days` days."""
    return spray_past(
        rows,
        habit or EveningHabit(),
        start_day=0.0,
        now_day=float(days),
        evening_frac=EVENING,
        plan_night_l=plan,
    )


def every_evening(days, amount=0.18):
    """A grower who never misses."""
    return [WaterRow(d + EVENING, "spray", amount, word="night") for d in range(days)]


def test_noted_sprays_count_in_full():
    """A grower who notes each evening is taken at the word."""
    answer = past(every_evening(40), days=40)
    assert sum(answer.spray_l) == pytest.approx(40 * 0.18)
    assert answer.habit.noted_frac > 0.8
    assert usual_amount(answer.habit, 0.15) == pytest.approx(0.18, abs=0.004)


def test_nobody_notes_so_the_plan_is_taken():
    """Without any note the plan is supposed to have been sprayed nearly every evening, in doubt."""
    answer = past([], days=30)
    assert sum(answer.spray_l) == pytest.approx(30 * 0.95 * 0.15, rel=0.01)
    assert sum(answer.variance_l2) > 0.0


def test_a_blank_of_somebody_who_notes_was_likely_missed():
    """After forty noted evenings a blank one counts for less than a third of a spray."""
    rows = every_evening(40)
    blank = past(rows, days=41)
    assert sum(blank.spray_l) - 40 * 0.18 < 0.18 / 3


def test_a_skip_is_an_evening_noted():
    """An evening noted as not sprayed adds nothing and no doubt."""
    rows = [*every_evening(40), WaterRow(40 + EVENING, "skip")]
    answer = past(rows, days=41)
    assert sum(answer.spray_l) == pytest.approx(40 * 0.18)


def test_a_note_next_morning_belongs_to_last_evening():
    """Seven in the morning is still last evening; half past twelve is the new one."""
    assert evening_of(10 + 7 / 24) == 9
    assert evening_of(10 + 12.5 / 24) == 10
    answer = past([WaterRow(1 + 7 / 24, "spray", 0.15)], days=1.5)
    assert answer.spray_l == (0.15,)


def test_a_grower_who_notes_next_morning_is_counted_once():
    """Without a planned morning spray each of forty notes at seven is last night's spray, not one more."""
    late = [WaterRow(d + 1 + 7 / 24, "spray", 0.15, word="morning") for d in range(40)]
    answer = past(late, days=40.4)
    assert sum(answer.spray_l) == pytest.approx(40 * 0.15, rel=0.02)
    assert answer.habit.noted_frac > 0.8


def test_two_taps_are_one_spray():
    """The same spray noted twice within the hour counts once; another amount counts too."""
    rows = [WaterRow(1.8, "spray", 0.15), WaterRow(1.81, "spray", 0.15), WaterRow(1.82, "spray", 0.05)]
    assert [r.value for r in without_double_taps(rows)] == [0.15, 0.05]


def test_going_on_from_a_noon_is_the_same():
    """Evenings taken in two halves give the same sprays and habit as in one go."""
    rows = [r for r in every_evening(30) if int(r.day) % 7]
    whole = past(rows, days=30)
    first = spray_past(
        [r for r in rows if r.day < 15.5],
        EveningHabit(),
        start_day=0.0,
        now_day=15.5,
        evening_frac=EVENING,
        plan_night_l=0.15,
    )
    second = spray_past(
        [r for r in rows if r.day >= 15.5],
        first.habit,
        start_day=15.5,
        now_day=30.0,
        evening_frac=EVENING,
        plan_night_l=0.15,
    )
    assert first.spray_l + second.spray_l == pytest.approx(whole.spray_l)
    assert second.habit == whole.habit


@given(st.floats(0, 1), st.floats(0, 1))
def test_more_noting_makes_a_blank_mean_more(one, other):
    """The more evenings are noted, the less likely a blank was sprayed."""
    low, high = sorted((one, other))
    assert chance_blank_was_sprayed(low) >= chance_blank_was_sprayed(high)


def test_shares_and_days_out_of_range_are_refused():
    """A share above 1, a nan day and an end before the start are refused."""
    with pytest.raises(RefusedInput, match="from 0 to 1"):
        chance_blank_was_sprayed(1.2)
    with pytest.raises(RefusedInput, match="finite"):
        evening_of(float("nan"))
    with pytest.raises(RefusedInput, match="at or after"):
        spray_past([], EveningHabit(), start_day=2.0, now_day=1.0, evening_frac=0.8, plan_night_l=None)
