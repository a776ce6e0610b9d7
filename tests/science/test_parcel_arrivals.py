"""What arrivals teach: nothing without any, loggers before guesses, limits found again where they lie."""

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.parcel_arrivals import Arrived, Normal, bias_after, chance_of_harm, lessons_of


def _parcel(plants=10, spoilt=0, coldest_c=15.0, late_days=0.0, hottest_c=22.0, **more):
    return Arrived(plants, spoilt, late_days, coldest_c, 1.5, hottest_c, 1.5, 10.0, 33.0, **more)


def test_without_arrivals_the_starting_values_stand():
    """No parcel: no bias, no shift, the usual loss and the usual share of late ones."""
    lessons = lessons_of([])
    assert lessons.cold_bias == Normal(0.0, starting.BIAS_SD_C)
    assert lessons.low_shift.mean_c == 0.0
    assert lessons.low_shift.sd_c == pytest.approx(starting.LIMIT_SD_C, rel=1e-3)
    assert lessons.loss_frac == pytest.approx(starting.PARCEL_LOSS_FRAC, rel=0.01)
    assert (lessons.p_late, lessons.late_days) == (starting.LATE_FRAC, starting.LATE_DAYS)


def test_loggers_teach_the_bias():
    """Loggers that all read 2 below the forecast bring the bias near -2 and narrow it."""
    some = lessons_of([_parcel(logger_low_c=13.0)] * 3).cold_bias
    many = lessons_of([_parcel(logger_low_c=13.0)] * 40).cold_bias
    assert -2.0 < many.mean_c < some.mean_c < -1.0
    assert many.sd_c < some.sd_c < starting.BIAS_SD_C
    assert lessons_of([_parcel(logger_low_c=13.0)] * 40).hot_bias == Normal(0.0, starting.BIAS_SD_C)


def test_bias_by_rule():
    """Two equal precisions meet half way; a wide prior gives the mean of the errors."""
    assert bias_after([2.0], [1.0], Normal(0.0, 1.0)).mean_c == pytest.approx(1.0)
    wide = bias_after([1.0, 3.0], [1.0, 1.0], Normal(0.0, 1e6))
    assert wide.mean_c == pytest.approx(2.0, abs=1e-9)
    assert wide.sd_c == pytest.approx(0.5**0.5, rel=1e-9)


def test_sound_plants_below_the_limit_lower_it_and_spoilt_ones_above_raise_it():
    """Limits move toward what plants showed, and the side that was never near stays as it was."""
    hardy = lessons_of([_parcel(coldest_c=7.0)] * 5)
    tender = lessons_of([_parcel(spoilt=8, coldest_c=13.0)] * 5)
    assert hardy.low_shift.mean_c < -1.5
    assert tender.low_shift.mean_c > 1.5
    assert hardy.high_shift.mean_c == 0.0
    hot = lessons_of([_parcel(spoilt=8, hottest_c=31.0)] * 5)
    assert hot.high_shift.mean_c < -1.0
    assert hot.low_shift.mean_c == 0.0


def test_losses_in_fair_weather_are_not_the_weather_s():
    """One plant in ten lost far from every limit raises the usual loss, and hardly moves a limit."""
    lessons = lessons_of([_parcel(spoilt=1, coldest_c=19.0)] * 60)
    assert lessons.loss_frac == pytest.approx(0.10, abs=0.03)
    assert abs(lessons.low_shift.mean_c) < 0.5
    assert lessons_of([_parcel(coldest_c=19.0)] * 60).loss_frac < starting.PARCEL_LOSS_FRAC


def test_a_logger_is_believed_before_the_forecast():
    """Sound plants teach more of the limit when a logger shows how cold they were."""
    guessed = lessons_of([_parcel(coldest_c=8.0)])
    measured = lessons_of([_parcel(coldest_c=12.0, logger_low_c=8.0)])
    assert measured.low_shift.sd_c < guessed.low_shift.sd_c


def test_late_parcels():
    """The share of late ones leans on ten usual parcels; half a day is the line."""
    lessons = lessons_of([_parcel(late_days=2.0)] * 3 + [_parcel(late_days=0.4)] * 7)
    assert lessons.p_late == pytest.approx((1.0 + 3.0) / 20.0)
    assert lessons.late_days == pytest.approx((2.0 + 6.0) / 5.0)


def test_a_hidden_limit_is_found_again():
    """From 150 simulated parcels, warm and cold, the true shift and the true loss come back."""
    rng = np.random.default_rng(8)
    true_shift, true_loss, found = -2.5, 0.04, []
    for _ in range(4):
        parcels = []
        for said in rng.uniform(3.0, 18.0, 150):
            felt = said + rng.normal(0.0, 1.5)
            limits = 10.0 + true_shift + rng.normal(0.0, starting.PLANT_LIMIT_SD_C, 6)
            spoilt = (felt < limits) | (rng.random(6) < true_loss)
            parcels.append(_parcel(6, int(spoilt.sum()), float(said)))
        found.append(lessons_of(parcels))
    assert all(abs(x.low_shift.mean_c - true_shift) < 3.0 * x.low_shift.sd_c for x in found)
    assert np.mean([x.low_shift.mean_c for x in found]) == pytest.approx(true_shift, abs=0.5)
    assert np.mean([x.loss_frac for x in found]) == pytest.approx(true_loss, abs=0.02)


def test_the_order_of_parcels_does_not_matter():
    """The same parcels in another order teach the same."""
    parcels = [
        _parcel(spoilt=2, coldest_c=9.0),
        _parcel(late_days=1.0),
        _parcel(coldest_c=12.0, logger_low_c=9.0),
    ]
    forward, back = lessons_of(parcels), lessons_of(parcels[::-1])
    assert forward.low_shift.mean_c == pytest.approx(back.low_shift.mean_c, abs=1e-9)
    assert forward.loss_frac == pytest.approx(back.loss_frac, rel=1e-9)


def test_chance_of_harm_is_even_at_the_limit_and_turns_round():
    """One half at either limit; colder is worse below, warmer is worse above; sure far off."""
    even = Normal(0.0, 2.0)
    for is_low, worse in ((True, -3.0), (False, 3.0)):
        assert chance_of_harm(np.array([10.0]), 10.0, even, is_low) == 0.5
        assert chance_of_harm(np.array([10.0 + worse]), 10.0, even, is_low) > 0.85
        assert chance_of_harm(np.array([10.0 - 10 * worse]), 10.0, even, is_low) < 1e-6
    assert chance_of_harm(np.array([10.0]), 10.0, Normal(-3.0, 1.0)) < 0.1


@pytest.mark.parametrize(
    "asked",
    [
        lambda: lessons_of([_parcel(plants=0)]),
        lambda: lessons_of([_parcel(spoilt=11)]),
        lambda: lessons_of([_parcel(coldest_c=float("nan"))]),
        lambda: lessons_of([_parcel(late_days=-1.0)]),
        lambda: lessons_of([_parcel(logger_low_c=float("inf"))]),
        lambda: bias_after([1.0], [0.0], Normal(0.0, 1.0)),
        lambda: bias_after([float("nan")], [1.0], Normal(0.0, 1.0)),
        lambda: chance_of_harm(np.array([]), 10.0, Normal(0.0, 1.0)),
        lambda: chance_of_harm(np.array([1.0]), float("nan"), Normal(0.0, 1.0)),
    ],
)
def test_what_cannot_have_arrived_is_refused(asked):
    """More spoilt than sent, nan or a delay below nought are refused."""
    with pytest.raises(RefusedInput):
        asked()
