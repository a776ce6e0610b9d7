"""Boxes on their way: the exact solution against rivals, what is conserved, what is refused."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.insulation import (
    MATERIALS,
    Layer,
    biot_number,
    box_walls,
    conductivity_from_k_factor,
    heat_through_wall,
    resistance_from_r_value,
    time_constant,
    time_to_reach,
)
from halfwater.science.transit import Stretch, box_heat, pack_curve, parcel_temperatures

BOX = (0.5, 0.4, 500.0, 2000.0)
WAY = [Stretch(10.0, 5.0, 5.0, 3.0), Stretch(6.0, 18.0), Stretch(44.0, 0.0, 8.0, -2.0)]
SHIFTS = np.array([[1.0, 2.0, 0.0], [0.0, -1.0, 3.0]])


def _rates(heat, curve, draw, packs, shifts):
    """The two equations as an ordinary solver takes them: written anew, by hours."""
    starts = np.cumsum([0.0] + [stretch.span_h for stretch in WAY])

    def rates(hour, body):
        index = min(int(np.searchsorted(starts, hour, side="right")) - 1, len(WAY) - 1)
        leg = WAY[index]
        turn = 2.0 * np.pi * (hour - starts[index] - leg.peak_after_h) / 24.0
        outside = leg.mean_c + shifts[index] + leg.swing_c * np.cos(turn)
        power = packs * np.interp(hour, curve.after_h, curve.power_w, right=0.0)
        between = heat.between_w_k[draw] * (body[0] - body[1])
        walls = heat.through_w_k[draw] * (outside - body[0])
        return [
            3600.0 * (walls - between + power) / heat.air_j_k[draw],
            3600.0 * between / heat.plants_j_k[draw],
        ]

    return rates


def test_the_exact_solution_is_what_a_solver_finds():
    """Bends of weather and packs included, both bodies follow what a general solver of equations gives."""
    from scipy.integrate import solve_ivp

    heat = box_heat([0.5, 1.0], [0.4, 0.3], [500.0, 700.0], [2000.0, 3000.0])
    curve = pack_curve(16.0)
    track = parcel_temperatures(heat, WAY, 20.0, SHIFTS, curve, [1.0, 2.0])
    for draw in range(2):
        rates = _rates(heat, curve, draw, draw + 1.0, SHIFTS[draw])
        answer = solve_ivp(
            rates, (0.0, 60.0), [20.0, 20.0], t_eval=track.after_h, rtol=1e-7, atol=1e-7, max_step=0.25
        )
        assert np.abs(answer.y[0] - track.air_c[draw]).max() < 1e-3
        assert np.abs(answer.y[1] - track.plants_c[draw]).max() < 1e-3


def test_a_step_of_weather_is_a_matrix_exponential():
    """From one temperature into another, both bodies fade as exp(M t) says."""
    from scipy.linalg import expm

    through, between, air, plants = BOX
    matrix = 3600.0 * np.array(
        [[-(through + between) / air, between / air], [between / plants, -between / plants]]
    )
    track = parcel_temperatures(box_heat(*BOX), [Stretch(9.0, 2.0)], 21.0)
    for column in (1, 12, -1):
        wanted = 2.0 + expm(matrix * track.after_h[column]) @ [19.0, 19.0]
        assert [track.air_c[0, column], track.plants_c[0, column]] == pytest.approx(wanted, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(
    st.floats(0.05, 5.0), st.floats(0.05, 5.0), st.floats(50.0, 5000.0), st.floats(100.0, 2e4),
    st.floats(-20.0, 35.0), st.floats(0.0, 6.0),
)  # fmt: skip
def test_in_the_long_run(through, between, air, plants, outside, power):
    """Plants end at the temperature outside plus the power over what the walls let through."""
    curve = pack_curve(240.0, 1.0)
    steady = type(curve)((0.0, 1e6), (1.0, 1.0))
    box = box_heat(through, between, air, plants)
    slowest_h = (air + plants) / through / 3600.0 + plants / between / 3600.0
    way = [Stretch(min(1400.0, 40.0 * slowest_h + 1.0), outside)]
    track = parcel_temperatures(box, way, 18.0, 0.0, steady, power)
    if 40.0 * slowest_h < 1400.0:
        assert track.plants_c[0, -1] == pytest.approx(outside + power / through, abs=1e-6)
        assert track.air_c[0, -1] == pytest.approx(outside + power / through, abs=1e-6)


def test_heat_is_conserved():
    """What walls and packs bring in is what the two bodies hold more at the end."""
    curve = pack_curve(40.0)
    track = parcel_temperatures(box_heat(*BOX), [Stretch(60.0, 2.0, 6.0, 5.0)], 20.0, 0.0, curve, 1.0)
    seconds, air = track.after_h * 3600.0, track.air_c[0]
    walls_j = np.trapezoid(BOX[0] * (track.outside_c[0] - air), seconds)
    packs_j = np.trapezoid(curve.power_w, np.array(curve.after_h) * 3600.0)
    held_j = BOX[2] * (air[-1] - 20.0) + BOX[3] * (track.plants_c[0, -1] - 20.0)
    assert walls_j + packs_j == pytest.approx(held_j, abs=0.002 * packs_j)  # the rule of quarter hours


def test_the_swing_of_the_day_reaches_the_plants_weaker_and_later():
    """No plant is colder or warmer than the weather was, and its warmest moment comes after the day's."""
    track = parcel_temperatures(box_heat(*BOX), [Stretch(96.0, 10.0, 8.0, 15.0)], 10.0)
    last = track.after_h >= 72.0
    outside, plants = track.outside_c[0, last], track.plants_c[0, last]
    assert np.ptp(plants) < 0.9 * np.ptp(outside)
    assert 0.5 < track.after_h[last][plants.argmax()] - track.after_h[last][outside.argmax()] < 6.0
    assert plants.mean() == pytest.approx(10.0, abs=0.05)


def test_better_walls_more_packs_and_warmer_days_never_leave_plants_colder():
    """A pack, a warmer day and, on a cold way, a better wall each keep the coldest moment up."""
    cold = [Stretch(48.0, 2.0, 4.0, 5.0)]
    plain = parcel_temperatures(box_heat(*BOX), cold, 20.0)
    lined = parcel_temperatures(box_heat(0.3, *BOX[1:]), cold, 20.0)
    packed = parcel_temperatures(box_heat(*BOX), cold, 20.0, 0.0, pack_curve(72.0), 1.0)
    warm = parcel_temperatures(box_heat(*BOX), cold, 20.0, 1.5)
    assert plain.coldest_c < lined.coldest_c < packed.coldest_c
    assert warm.coldest_c > plain.coldest_c
    assert packed.hottest_c >= plain.hottest_c


def test_an_extreme_between_two_looks_is_missed_by_little():
    """The coldest of the looks lies within a hundredth of that of looks sixty times as dense."""
    legs = [Stretch(24.0, 3.0, 9.0, 7.3)]
    coarse = parcel_temperatures(box_heat(2.0, 2.0, 300.0, 300.0), legs, 3.0).coldest_c
    dense = parcel_temperatures(box_heat(2.0, 2.0, 300.0, 300.0), [Stretch(1 / 240, 3.0, 9.0, 7.3 - i / 240)
                                for i in range(5760)], 3.0).coldest_c  # fmt: skip
    assert coarse == pytest.approx(dense, abs=0.01)


@pytest.mark.parametrize(("label", "mean"), [(40.0, None), (72.0, None), (96.0, 2.0), (8.0, 5.0)])
def test_a_pack_keeps_its_mean(label, mean):
    """Over the label's hours a pack gives its mean; it starts warm soon, ends weak, and is cold at last."""
    curve = pack_curve(label, mean)
    hours = np.linspace(0.0, label, 100_001)
    power = np.interp(hours, curve.after_h, curve.power_w)
    wanted = 3.5 * (40.0 / label) ** 0.5 if mean is None else mean
    assert np.trapezoid(power, hours) / label == pytest.approx(wanted, rel=1e-6)
    assert curve.power_w[1] == max(curve.power_w)
    assert curve.power_w[-1] == 0.0
    assert curve.after_h[-1] > label


def test_usual_packs_hold_no_more_heat_than_their_iron():
    """A usual pack would need 50 to 110 g of iron at 7.4 kJ a gram, as packs of their weight hold."""
    for label, least, most in ((40.0, 50.0, 85.0), (72.0, 70.0, 110.0), (96.0, 80.0, 130.0)):
        curve = pack_curve(label)
        joules = np.trapezoid(curve.power_w, np.array(curve.after_h) * 3600.0)
        assert least < joules / 7400.0 < most


def test_a_pack_warms_a_cubic_foot_as_sellers_say():
    """In an insulated box of a cubic foot a usual pack holds the air 4 to 10 degrees up at its best."""
    foam = MATERIALS["EPS I"].conductivity_w_mk
    walls = box_walls(305.0, 305.0, 305.0, [Layer(19.0, foam), Layer(4.0, 0.065)])
    box = box_heat(walls.through_w_k, 0.4, 600.0, 2500.0)
    track = parcel_temperatures(box, [Stretch(40.0, 0.0)], 0.0, 0.0, pack_curve(40.0), 1.0)
    assert 4.0 < track.air_c.max() < 10.0


def test_walls_in_series():
    """Without edges worth speaking of, a large thin box has the resistance of its layers and airs."""
    walls = box_walls(2000.0, 2000.0, 2000.0, [Layer(1.0, 0.05), Layer(2.0, 0.1)])
    films = 1.0 / (2.5 + 5.13 * 0.9) + 0.13
    assert walls.through_w_k == pytest.approx(24.0 / (films + 0.001 / 0.05 + 0.002 / 0.1), rel=0.005)
    assert sum(walls.resistances) == pytest.approx(1.0 / walls.through_w_k)


def test_edges_and_corners_count_between_the_inner_and_the_outer_surface():
    """A thick wall passes more than its inner surface would, and less than its outer."""
    walls = box_walls(200.0, 200.0, 200.0, [Layer(40.0, 0.035)])
    conducted = 1.0 / walls.resistances[1]
    assert 0.035 * walls.inner_m2 / 0.04 < conducted < 0.035 * walls.outer_m2 / 0.04


def test_order_and_thickness_of_layers():
    """More wall passes less; foil inside holds back more than a dull face; wind takes some away."""
    thin, thick = (box_walls(300, 200, 150, [Layer(d, 0.035)]).through_w_k for d in (10.0, 30.0))
    assert thick < thin
    dull = box_walls(300, 200, 150, [Layer(5.0, 0.04), Layer(4.0, 0.065)])
    foil = box_walls(300, 200, 150, [Layer(5.0, 0.04, 0.05), Layer(4.0, 0.065)])
    assert foil.through_w_k < dull.through_w_k
    assert box_walls(300, 200, 150, [Layer(4.0, 0.065)], 0.04).through_w_k > dull.through_w_k


def test_more_swing_is_a_wider_day():
    """A swing added to a draw gives what a leg with that swing gives."""
    added = parcel_temperatures(box_heat(*BOX), [Stretch(30.0, 8.0, 3.0, 7.0)], 20.0, more_swing_c=2.0)
    wider = parcel_temperatures(box_heat(*BOX), [Stretch(30.0, 8.0, 5.0, 7.0)], 20.0)
    assert added.plants_c == pytest.approx(wider.plants_c, abs=1e-12)
    assert added.outside_c == pytest.approx(wider.outside_c, abs=1e-12)


REFUSED = [
    lambda: box_walls(300, 200, float("nan"), [Layer(5.0, 0.04)]),
    lambda: box_walls(300, 200, 100, []),
    lambda: box_walls(30, 20, 10, [Layer(60.0, 0.04)]),
    lambda: box_walls(300, 200, 100, [Layer(-1.0, 0.04)]),
    lambda: box_walls(300, 200, 100, [Layer(5.0, 0.04, 2.0)]),
    lambda: heat_through_wall(0.0, 5.0, 0.04, 10.0),
    lambda: conductivity_from_k_factor(0.0),
    lambda: resistance_from_r_value(float("nan")),
    lambda: time_constant(-1.0, 2.0),
    lambda: time_to_reach(1.0, 2.0),
    lambda: biot_number(4.0, 0.0, 0.3),
    lambda: pack_curve(2.0),
    lambda: pack_curve(40.0, float("inf")),
    lambda: box_heat(0.0, 1.0, 1.0, 1.0),
    lambda: box_heat(1.0, [1.0, float("nan")], 1.0, 1.0),
    lambda: parcel_temperatures(box_heat(*BOX), [], 20.0),
    lambda: parcel_temperatures(box_heat(*BOX), [Stretch(0.0, 5.0)], 20.0),
    lambda: parcel_temperatures(box_heat(*BOX), [Stretch(5.0, 99.0)], 20.0),
    lambda: parcel_temperatures(box_heat(*BOX), WAY, float("nan")),
    lambda: parcel_temperatures(box_heat(*BOX), WAY, 20.0, 0.0, pack_curve(40.0), -1.0),
]


@pytest.mark.parametrize("asked", REFUSED)
def test_what_cannot_be_is_refused(asked):
    """No nan, no wall without thickness, no way without legs passes in silence."""
    with pytest.raises(RefusedInput):
        asked()
