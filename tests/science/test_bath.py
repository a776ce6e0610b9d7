"""The salts of a bath: conservation, the water's own filter, readings, siphons, odd life."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.bath import filter_bath
from halfwater.science.bath_answer import reckon_bath
from halfwater.science.bath_facts import SALTS, SEEN_MS_CM, BathRow, KeptSalts, Solution, TankSalts
from halfwater.science.bath_solution import solution_of
from halfwater.science.feed import Strength
from halfwater.science.reckoning import reckon_water
from halfwater.science.vessel import Vessel, bath_volume, clay_volume, lines
from halfwater.science.water_facts import TankWater

VESSEL = Vessel(1200.0, 450.0, 450.0, 60, 50.0, 38.0, 50.0, 0.65, 0.44)
LINES = lines(VESSEL, 6.0, None)
LOW_L, LIMIT_L = (float(v) for v in bath_volume(VESSEL, [LINES.low_line_mm, LINES.limit_line_mm]))
HELD_L = starting.CLAY_HELD_FRAC * clay_volume(VESSEL)
SOURCE = Solution(0.3, ca_mg_l=30.0, mg_mg_l=5.0)
NIGHT = Solution(0.7, n_mg_l=40.0, urea_n_mg_l=10.0, p_mg_l=8.0, k_mg_l=45.0, ca_mg_l=45.0, mg_mg_l=10.0)
STRONG = Solution(2.4, n_mg_l=180.0, p_mg_l=35.0, k_mg_l=200.0, ca_mg_l=160.0, mg_mg_l=40.0)
EVENING = 20 / 24


def a_tank(uptake=0.0, vapour=0.025, **more):
    """A tank of sixty pots, sprayed with NIGHT (mix 1); STRONG is mix 2."""
    water = TankWater(VESSEL, LINES, 0.0, EVENING, 0.15, vapour_l_day=vapour)
    return TankSalts(water, {1: NIGHT, 2: STRONG}, SOURCE, 1, None, 1, uptake, **more)


def a_book(days, *, fill_l=LOW_L, spray=True, mix=1):
    """A first fill of NIGHT and a spray every evening."""
    rows = [BathRow(0.5, "fill", fill_l, mix=1)]
    return rows + [BathRow(d + EVENING, "spray", 0.15, "", "night", mix) for d in range(days) if spray]


def salt_mass(track, place):
    """One salt in bath and clay, litres times strength."""
    return track.end.mean[3 + place] * (track.end.mean[0] + HELD_L)


def test_salt_is_conserved_without_plants():
    """What fill and sprays brought is in the bath and its clay, whatever left as vapour."""
    tank = a_tank()
    track = filter_bath(tank, a_book(40), 40.0)
    brought = LOW_L * NIGHT.k_mg_l
    brought += 40 * 0.15 * NIGHT.k_mg_l * starting.SALT_ARRIVES_FRAC * (1.0 - tank.leaf_takes_frac)
    assert salt_mass(track, SALTS.index("K")) == pytest.approx(brought, rel=1e-9)


def test_nitrogen_is_conserved_while_urea_turns():
    """Urea only turns into nitrogen that the meter sees: both together stay what was brought."""
    tank = a_tank()
    track = filter_bath(tank, a_book(40), 40.0)
    arrives = starting.SALT_ARRIVES_FRAC * (1.0 - tank.leaf_takes_frac)
    brought = (LOW_L + 40 * 0.15 * arrives) * (NIGHT.n_mg_l + NIGHT.urea_n_mg_l)
    both = salt_mass(track, SALTS.index("N")) + salt_mass(track, SALTS.index("urea N"))
    assert both == pytest.approx(brought, rel=1e-9)
    assert salt_mass(track, SALTS.index("urea N")) < 0.2 * LOW_L * NIGHT.urea_n_mg_l


def test_the_meter_sees_no_urea():
    """Two solutions that differ by urea alone have one EC."""
    more = Solution(0.7, n_mg_l=40.0, urea_n_mg_l=200.0)
    assert SEEN_MS_CM @ more.salts == pytest.approx(0.7)


def test_the_water_is_the_waterlines_own():
    """Volume, catch and loss, with their variances, are what the waterline filter says: EC moves none."""
    rng = np.random.default_rng(3)
    rows = a_book(120)
    for day in range(3, 120, 9):
        rows.append(BathRow(day + 0.80, "waterline", 18.0 + 0.05 * day + rng.normal(0, 1)))
        rows.append(BathRow(day + 0.81, "ec", 0.6 + 0.05 * rng.normal()))
    rows += [BathRow(60.82, "siphon", None, "low"), BathRow(60.825, "fill", 1.0, mix=2)]
    rows += [BathRow(90.82, "siphon", 2.5)]
    track = filter_bath(a_tank(uptake=15.0), rows, 120.0)
    water = reckon_water([a_tank().water], [rows], 120.0, keep_days=[119.99999])
    kept = water[0].kept[0].state
    assert track.end.mean[:3] == pytest.approx((kept.volume_l, kept.catch_frac, kept.loss_l_day), rel=1e-4)
    assert track.end.water.state.cov == pytest.approx(kept.cov, rel=2e-3, abs=1e-9)


def well_known(days):
    """A bath whose depth and EC were read on the last noons."""
    depth = LINES.limit_line_mm - 1.0
    looks = [
        (d, kind, value) for d in range(5, days, 5) for kind, value in (("waterline", depth), ("ec", 0.7))
    ]
    looks += [(days + 0.55, "waterline", depth), (days + 0.551, "ec", 0.7)]
    return [*a_book(days), *(BathRow(day, kind, value) for day, kind, value in looks)]


@pytest.mark.parametrize("siphon", [BathRow(30.6, "siphon", 3.0), BathRow(30.6, "siphon", None, "low")])
def test_a_siphon_leaves_the_strength(siphon):
    """Taking solution out changes no strength, by litres or down to a line."""
    before = filter_bath(a_tank(), well_known(30), 30.5999)
    after = filter_bath(a_tank(), [*well_known(30), siphon], 30.6002)
    assert after.ec_ms_cm[-1] == pytest.approx(before.ec_ms_cm[-1], rel=2e-3)
    assert after.volume_l[-1] < before.volume_l[-1] - 2.0


def test_a_refill_of_water_dilutes():
    """Siphoned to the low line and filled up with plain water, the EC falls as the litres say."""
    rows = [*well_known(30), BathRow(30.6, "siphon", None, "low"), BathRow(30.61, "fill", 4.0, mix=9)]
    before = filter_bath(a_tank(), well_known(30), 30.5999).ec_ms_cm[-1]
    after = filter_bath(a_tank(), rows, 30.62).ec_ms_cm[-1]
    wet = LOW_L + HELD_L
    assert after == pytest.approx((before * wet + 4.0 * SOURCE.ec_ms_cm) / (wet + 4.0), rel=3e-3)


def test_water_that_leaves_alone_concentrates():
    """Without sprays the product of EC and volume stays, while the volume falls."""
    rows = [BathRow(0.5, "fill", LOW_L, mix=2), *(BathRow(d + EVENING, "skip") for d in range(60))]
    track = filter_bath(a_tank(vapour=0.1), rows, 60.0)
    product = track.ec_ms_cm[-1] * (track.volume_l[-1] + HELD_L)
    assert track.volume_l[-1] < 0.8 * LOW_L
    assert product == pytest.approx(LOW_L * STRONG.ec_ms_cm + HELD_L * SOURCE.ec_ms_cm, rel=1e-6)


def test_plants_empty_a_bath_but_not_below_nought():
    """Plants that could take far more than comes in leave traces, never less than nothing."""
    track = filter_bath(a_tank(uptake=200.0), a_book(200), 200.0)
    strengths = np.array(track.end.mean[4:10])
    assert (strengths >= 0.0).all()
    assert strengths[1] < 5.0
    assert track.ec_ms_cm.min() > 0.0


def test_plants_take_as_the_differential_equation_says():
    """Potassium over two months agrees with a general solver on (V C)' = s q S - u C / (C + K)."""
    from scipy.integrate import solve_ivp

    tank = a_tank(uptake=12.0)
    track = filter_bath(tank, a_book(60), 60.0)
    _, catch, loss = track.end.mean[:3]
    most, half = 12.0 * starting.UPTAKE_K_FACTOR, starting.UPTAKE_HALF_N_MG_L * starting.UPTAKE_K_FACTOR
    brought = 0.15 * NIGHT.k_mg_l * starting.SALT_ARRIVES_FRAC * (1.0 - tank.leaf_takes_frac)

    def moves(day, mass):
        wet = LOW_L + HELD_L + (0.15 * catch - loss) * day
        return brought - most * mass / (mass + half * wet)

    start = LOW_L * NIGHT.k_mg_l + HELD_L * SOURCE.k_mg_l
    end = solve_ivp(moves, (0.0, 59.5), [start], rtol=1e-9).y[0, -1]
    assert salt_mass(track, SALTS.index("K")) == pytest.approx(end, rel=0.05)  # stretches of ten days


def test_an_ec_reading_is_believed_and_narrows():
    """A reading pulls the EC to itself and cuts its spread to the meter's."""
    blind = filter_bath(a_tank(uptake=16.0), a_book(60), 60.0)
    told = filter_bath(a_tank(uptake=16.0), [*a_book(60), BathRow(59.9, "ec", 0.75)], 60.0)
    assert abs(told.ec_ms_cm[-1] - 0.75) < 0.3 * abs(blind.ec_ms_cm[-1] - 0.75)
    assert told.ec_var[-1] < 0.05 * blind.ec_var[-1]


def test_readings_teach_what_plants_take():
    """Readings that fall faster than expected raise the plants' appetite or lower what arrives."""
    rows = a_book(90)
    rows += [BathRow(d + 0.8, "ec", 0.62 - 0.0035 * d) for d in range(5, 90, 7)]
    told = filter_bath(a_tank(uptake=6.0), rows, 90.0)
    assert told.end.mean[11] > 0.1
    assert told.ec_ms_cm[-1] == pytest.approx(0.62 - 0.0035 * 90, abs=0.05)


def test_one_wild_reading_is_set_aside_and_two_are_not():
    """A slip of the pen is named and left out; when the next agrees with it, the bath was changed unnoted."""
    steady = [BathRow(d + 0.8, "ec", 0.6) for d in range(3, 60, 7)]
    rows = [*a_book(70), *steady, BathRow(60.8, "ec", 6.1)]
    once = filter_bath(a_tank(uptake=10.0), rows, 61.0)
    assert len(once.misfits) == 1
    assert once.misfits[0].read_ms_cm == 6.1
    assert once.ec_ms_cm[-1] < 0.8
    low = [BathRow(60.8, "ec", 0.2), BathRow(61.8, "ec", 0.21)]
    changed = filter_bath(a_tank(uptake=10.0), [*a_book(70), *steady, *low], 62.0)
    assert changed.ec_ms_cm[-1] == pytest.approx(0.21, abs=0.03)


def test_a_kept_state_goes_on_as_if_never_left():
    """From a noon's kept state, through its plain numbers and back, the answer is the same."""
    rows = a_book(100)
    rows += [BathRow(d + 0.8, "ec", 0.6) for d in range(5, 100, 7)]
    rows += [BathRow(40.82, "siphon", None, "low"), BathRow(40.83, "fill", 1.0, mix=2)]
    tank = a_tank(uptake=10.0)
    whole = filter_bath(tank, rows, 100.0, keep_days=[60.5])
    kept = KeptSalts.from_dict(whole.kept[0].as_dict())
    rest = filter_bath(tank, [row for row in rows if row.day > 60.5], 100.0, begin=kept)
    assert rest.ec_ms_cm[-1] == pytest.approx(whole.ec_ms_cm[-1], rel=1e-3)
    assert rest.ec_var[-1] == pytest.approx(whole.ec_var[-1], rel=2e-2)
    assert rest.siphon == whole.siphon
    again = filter_bath(tank, rows, 100.0, begin=kept)
    assert again.ec_ms_cm[-1] == rest.ec_ms_cm[-1]  # what lies before the kept state is passed over


def test_a_double_tap_counts_once():
    """The same reading sent twice within the hour is one reading."""
    once = [*a_book(30), BathRow(29.8, "ec", 0.9)]
    twice = [*once, BathRow(29.8 + 3 / 86400, "ec", 0.9)]
    tank = a_tank(uptake=10.0)
    assert filter_bath(tank, twice, 30.0).ec_ms_cm[-1] == filter_bath(tank, once, 30.0).ec_ms_cm[-1]


def test_ten_years_leave_a_sound_covariance():
    """After ten years of weekly readings no direction of the state has a negative variance."""
    rng = np.random.default_rng(5)
    rows = a_book(3650)
    rows += [BathRow(d + 0.8, "ec", float(0.6 + 0.03 * rng.normal())) for d in range(3, 3650, 7)]
    for day in range(40, 3650, 40):
        rows += [BathRow(day + 0.82, "siphon", None, "low"), BathRow(day + 0.83, "fill", 1.0, mix=1)]
    track = filter_bath(a_tank(uptake=12.0), rows, 3650.0)
    cov = np.array(track.end.cov).reshape(12, 12)
    assert np.abs(cov - cov.T).max() < 1e-6
    assert np.linalg.eigvalsh((cov + cov.T) / 2.0).min() > -1e-6
    assert track.ec_ms_cm[-1] == pytest.approx(0.6, abs=0.05)


def test_no_entries_still_answer():
    """A tank without an entry gets the starting values' wide answer."""
    answer = reckon_bath(a_tank(uptake=16.0), [], 10.0, look_back_day=30.0)
    low, mid, high = answer.ec_now
    assert 0.2 < low < mid < high < 2.0
    assert answer.ahead[-1].ec_p90_ms_cm - answer.ahead[-1].ec_p10_ms_cm > 0.1
    assert math.isnan(answer.last_reading_day)


def test_the_long_run_is_where_the_futures_go():
    """The closed form stands where ten siphons of the same habit lead."""
    tank = a_tank(uptake=8.0)
    rows = a_book(400)
    rows += [BathRow(d + 0.82, "siphon", None, "low") for d in range(40, 400, 40)]
    answer = reckon_bath(tank, rows, 400.0)
    assert answer.ec_at_siphon is not None
    assert answer.steady_ms_cm == pytest.approx(answer.ec_at_siphon[1], rel=0.12)
    assert answer.low_steady_ms_cm == pytest.approx(answer.steady_ms_cm)


def test_a_habit_of_refills_is_learned():
    """Litres siphoned and refilled, and what with, as the last siphons had them."""
    rows = a_book(150)
    for day in (40, 80, 120):
        rows += [BathRow(day + 0.82, "siphon", 4.0), BathRow(day + 0.83, "fill", 3.0, mix=2)]
    siphon = filter_bath(a_tank(), rows, 150.0).siphon
    assert (siphon.siphon_l, siphon.refill_l, siphon.times) == (4.0, 3.0, 3)
    assert siphon.refill_salts == pytest.approx(STRONG.salts)


def test_a_bath_that_only_dries_has_no_long_run():
    """More vapour than spray: no siphon is in sight, and no steady value is invented."""
    rows = [BathRow(0.5, "fill", LOW_L, mix=1), *(BathRow(d + EVENING, "skip") for d in range(60))]
    answer = reckon_bath(a_tank(vapour=0.2), rows, 60.0)
    assert answer.ec_at_siphon is None
    assert answer.steady_ms_cm is None
    assert answer.rates["water leaving"][1] > 0.0


@pytest.mark.parametrize("seen", [float("nan"), -0.1, 25.0])
def test_a_reading_out_of_range_is_refused(seen):
    """A meter's nonsense is refused with what would be taken, and nothing is worked out from it."""
    with pytest.raises(RefusedInput, match="EC"):
        filter_bath(a_tank(), [BathRow(0.5, "ec", seen)], 1.0)


def test_a_nan_instant_is_refused():
    """Now is a finite day or nothing is said."""
    with pytest.raises(RefusedInput, match="now_day"):
        reckon_bath(a_tank(), [], float("nan"))


def test_an_impossible_solution_is_refused():
    """A strength below nought is no solution."""
    with pytest.raises(RefusedInput, match="strength"):
        Solution(0.5, n_mg_l=-1.0)


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_any_book_gives_finite_numbers(data):
    """Whatever is noted in whatever order, the answer is finite and no variance is negative."""
    day = st.floats(0.0, 200.0)
    row = st.one_of(
        st.builds(BathRow, day, st.just("spray"), st.floats(0.0, 2.0), mix=st.sampled_from([1, 2, None])),
        st.builds(BathRow, day, st.just("fill"), st.floats(0.0, 30.0), mix=st.sampled_from([1, 2, 7, None])),
        st.builds(BathRow, day, st.just("siphon"), st.one_of(st.none(), st.floats(0.0, 30.0))),
        st.builds(BathRow, day, st.just("waterline"), st.floats(0.0, 60.0)),
        st.builds(BathRow, day, st.just("ec"), st.floats(0.0, 20.0)),
        st.builds(BathRow, day, st.just("skip")),
    )
    rows = data.draw(st.lists(row, max_size=40))
    track = filter_bath(a_tank(uptake=data.draw(st.floats(0.0, 100.0))), rows, 200.0)
    assert np.isfinite(track.end.mean).all()
    assert np.isfinite(track.ec_ms_cm).all()
    assert (np.array(track.end.mean[4:10]) >= 0.0).all()
    variances = np.diag(np.array(track.end.cov).reshape(12, 12))
    assert (variances > -1e-6 * (1.0 + np.abs(variances))).all()
    answer = reckon_bath(a_tank(uptake=10.0), rows, 200.0)
    for told in (answer.ec_now, answer.ec_in_90_days, answer.trend, *answer.salts_now.values()):
        assert np.isfinite(told).all()
        assert told[0] <= told[1] <= told[2]
    assert answer.ec_now[0] >= 0.0


def test_a_mix_becomes_a_solution():
    """A label's strength over its water: urea apart, EC of both together, doubt by how the EC is known."""
    strength = Strength(n_mg_l=60.0, p_mg_l=8.0, k_mg_l=50.0, n_urea_mg_l=20.0)
    measured = solution_of(strength, SOURCE, 0.4)
    assert (measured.n_mg_l, measured.urea_n_mg_l, measured.ca_mg_l) == (40.0, 20.0, 30.0)
    assert measured.ec_ms_cm == pytest.approx(0.7)
    guessed = solution_of(strength, SOURCE)
    assert guessed.ec_cv_frac > measured.ec_cv_frac
    assert 0.25 < guessed.ec_ms_cm - SOURCE.ec_ms_cm < 0.4
    unknown = solution_of(Strength(n_mg_l=60.0, n_urea_mg_l=None), SOURCE)
    assert (unknown.n_mg_l, unknown.urea_n_mg_l) == (60.0, 0.0)
    assert solution_of(Strength(), SOURCE).salts == pytest.approx(SOURCE.salts)


def test_a_refill_up_to_the_line_is_not_repeated_every_day():
    """Who pours in as much as was siphoned is not thought to siphon day after day: salts stay."""
    rows = [BathRow(0.5, "fill", LIMIT_L, mix=2)]
    rows += [BathRow(d + EVENING, "spray", 0.15, "", "night", 1) for d in range(120)]
    for day in (40, 80, 118):
        rows += [BathRow(day + 0.82, "siphon", 2.0), BathRow(day + 0.83, "fill", 2.0, mix=9)]
        rows += [BathRow(day + 0.80, "waterline", LINES.limit_line_mm)]
    answer = reckon_bath(a_tank(), rows, 120.0)
    assert answer.siphon.refill_l == 2.0
    assert answer.ec_in_90_days[1] > 0.4 * answer.ec_now[1]
    assert answer.steady_ms_cm is None  # such a bath never comes below its line again
