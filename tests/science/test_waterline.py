"""The water filter against a rival, brute force, and what must hold of any bath."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.waterline_filter import rival
from halfwater.errors import RefusedInput
from halfwater.science.waterline import (
    WaterEvents,
    WaterNoise,
    WaterState,
    filter_water,
    gather_stretches,
    state_at_end,
)

NOISE = WaterNoise(1.4e-4, 1.3e-5, 1.2e-6)
START = WaterState(0.0, 5.0, 0.5, 0.03, (0.1, 0.0, 0.0, 0.02, 0.0, 0.001))


def a_bath(days, seed=1, every=7):
    """Sprays each evening but one in ten, a reading every few days before the spray."""
    rng = np.random.default_rng(seed)
    spray = np.where(rng.random(days) < 0.9, rng.normal(0.15, 0.02, days), 0.0)
    volume = 5.0 + np.concatenate(([0.0], np.cumsum(0.55 * spray - 0.035)))[:-1]
    reading = np.full(days, np.nan)
    reading[::every] = volume[::every] + rng.normal(0.0, 0.1, len(reading[::every]))
    at = np.flatnonzero(~np.isnan(reading))
    events = WaterEvents(
        spray_day=np.arange(days) * 1.0,
        spray_l=spray,
        spray_var=np.zeros(days),
        reading_day=at * 1.0,
        reading_l=reading[at],
        reading_var=np.full(len(at), 0.01),
    )
    return events, spray, reading


def test_same_means_as_the_rival():
    """Means and covariances agree with statsmodels' filter at every reading of two years."""
    events, spray, reading = a_bath(730)
    track = filter_water([START], [gather_stretches(events, 0.0, 729.0, NOISE)], NOISE, doubts_readings=False)
    by_days = rival(spray, reading).filter()
    for row, column in enumerate((track.volume_l, track.catch_frac, track.loss_l_day)):
        np.testing.assert_allclose(column[:-1], by_days.filtered_state[row, ::7], rtol=1e-6)
    for entry, (i, j) in enumerate([(0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2)]):
        np.testing.assert_allclose(
            track.cov[:-1, entry], by_days.filtered_state_cov[i, j, ::7], rtol=1e-6, atol=1e-15
        )


def test_looking_changes_nothing():
    """Looking at the state every day leaves the end as it was."""
    events, _, _ = a_bath(200)
    plain = filter_water([START], [gather_stretches(events, 0.0, 199.0, NOISE)], NOISE)
    looked = gather_stretches(events, 0.0, 199.0, NOISE, look_days=np.arange(0.25, 199.0))
    watched = state_at_end(filter_water([START], [looked], NOISE))
    expected = state_at_end(plain)
    assert watched.volume_l == pytest.approx(expected.volume_l, rel=1e-9)
    assert watched.catch_frac == pytest.approx(expected.catch_frac, rel=1e-9)
    assert watched.cov == pytest.approx(expected.cov, rel=1e-7, abs=1e-15)


def test_many_baths_in_one_pass_as_each_alone():
    """Baths with histories of different length come out as if filtered alone."""
    baths = [a_bath(days, seed) for seed, days in enumerate((30, 200, 365))]
    stretches = [gather_stretches(b[0], 0.0, 400.0, NOISE) for b in baths]
    together = filter_water([START] * 3, stretches, NOISE)
    for i, own in enumerate(stretches):
        alone = state_at_end(filter_water([START], [own], NOISE))
        assert state_at_end(together, i).volume_l == pytest.approx(alone.volume_l, rel=1e-12)
        assert state_at_end(together, i).cov == pytest.approx(alone.cov, rel=1e-9)


def test_going_on_from_a_kept_state():
    """Filtering to a noon and on from there equals filtering in one go."""
    events, _, _ = a_bath(120)
    whole = state_at_end(filter_water([START], [gather_stretches(events, 0.0, 119.5, NOISE)], NOISE))
    first = state_at_end(filter_water([START], [gather_stretches(events, 0.0, 60.5, NOISE)], NOISE))
    second = state_at_end(filter_water([first], [gather_stretches(events, 60.5, 119.5, NOISE)], NOISE))
    assert second.volume_l == pytest.approx(whole.volume_l, rel=1e-12)
    assert second.cov == pytest.approx(whole.cov, rel=1e-9)


@settings(max_examples=25)
@given(
    st.lists(st.tuples(st.floats(0, 50), st.floats(0, 0.4)), max_size=20),
    st.lists(st.tuples(st.floats(0, 50), st.floats(-0.1, 1.0)), max_size=5),
)
def test_water_is_conserved_when_nothing_is_unknown(sprays, pours):
    """With catch and loss known, the end is the start plus what came less what went."""
    known = WaterState(0.0, 9.0, 0.6, 0.02, (0.0,) * 6)
    events = WaterEvents(
        spray_day=np.array([d for d, _ in sprays]),
        spray_l=np.array([v for _, v in sprays]),
        spray_var=np.zeros(len(sprays)),
        moved_day=np.array([d for d, _ in pours]),
        moved_l=np.array([v for _, v in pours]),
        moved_var=np.zeros(len(pours)),
    )
    still = WaterNoise(0.0, 0.0, 0.0)
    end = state_at_end(filter_water([known], [gather_stretches(events, 0.0, 50.0, still)], still))
    expected = 9.0 + 0.6 * sum(v for _, v in sprays) + sum(v for _, v in pours) - 0.02 * 50.0
    assert end.volume_l == pytest.approx(expected, abs=1e-9)
    assert end.cov[0] == pytest.approx(0.0, abs=1e-12)


@settings(max_examples=25)
@given(st.lists(st.floats(0, 100), min_size=1, max_size=30), st.floats(0.001, 0.5))
def test_readings_never_make_less_certain(days, variance):
    """Each further reading lowers, or leaves, the variance of the volume at the end."""
    end = 100.0
    before = np.inf
    for count in range(len(days) + 1):
        events = WaterEvents(
            reading_day=np.array(sorted(days)[:count]),
            reading_l=np.full(count, 4.0),
            reading_var=np.full(count, variance),
        )
        track = filter_water(
            [START], [gather_stretches(events, 0.0, end, NOISE)], NOISE, doubts_readings=False
        )
        assert track.cov[-1, 0] <= before * (1 + 1e-9)
        before = track.cov[-1, 0]


def test_a_slip_of_the_ruler_is_set_aside():
    """One impossible reading among good ones is named and moves nothing."""
    events, _, _ = a_bath(100)
    read = events.reading_l.copy()
    read[8] += 6.0
    slipped = WaterEvents(**{**vars(events), "reading_l": read})
    track = filter_water([START], [gather_stretches(slipped, 0.0, 99.0, NOISE)], NOISE)
    assert np.flatnonzero(track.is_misfit).tolist() == [8]
    clean = filter_water([START], [gather_stretches(events, 0.0, 99.0, NOISE)], NOISE)
    assert abs(track.volume_l[-1] - clean.volume_l[-1]) < 0.1


def test_a_siphon_nobody_noted_is_believed_the_second_time():
    """Two readings in a row that agree on a jump move the level there."""
    events, _, _ = a_bath(100)
    read = events.reading_l.copy()
    read[8:] -= 2.5
    siphoned = WaterEvents(**{**vars(events), "reading_l": read})
    track = filter_water([START], [gather_stretches(siphoned, 0.0, 99.0, NOISE)], NOISE)
    assert np.flatnonzero(track.is_misfit).tolist() == [8]
    assert abs(track.volume_l[9] - read[9]) < 0.2
    assert abs(track.catch_frac[-1] - 0.55) < 0.1


def test_a_siphon_to_the_low_line_sets_the_level():
    """Lowering to a line makes the volume that of the line and breaks its tie to the past."""
    events = WaterEvents(
        lowered_day=np.array([10.0]), lowered_l=np.array([2.0]), lowered_var=np.array([0.04])
    )
    track = filter_water([START], [gather_stretches(events, 0.0, 10.0, NOISE)], NOISE)
    assert track.volume_l[0] == 2.0
    assert track.cov[0, 0] == 0.04
    assert track.cov[0, 1] == 0.0


def test_an_unfinite_number_is_refused():
    """A nan among the events is refused, not carried along."""
    with pytest.raises(RefusedInput, match="finite"):
        gather_stretches(WaterEvents(spray_day=np.array([np.nan])), 0.0, 1.0, NOISE)


def test_baths_and_histories_must_pair():
    """A starting state without its history is refused."""
    with pytest.raises(RefusedInput, match="one starting state"):
        filter_water([START], [], NOISE)
