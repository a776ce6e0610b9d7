"""Packing: what it finds is sound, no worse than rows, and never above the bound."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from halfwater.errors import RefusedInput
from halfwater.science.blocks import most_in_rows
from halfwater.science.keep_outs import filled, square_rows
from halfwater.science.packing import Packing, Spot, lay_out, pack_floor
from halfwater.science.room import Room
from halfwater.science.rows import row_plans

Rectangle = tuple[float, float, float, float]
FLOOR = (914.4, 457.2)  # 36 x 18 in


def assert_sound(
    spots: tuple[Spot, ...], length: float, width: float, pot: float, gap: float, outs: list[Rectangle]
) -> None:
    """Hold every pot against walls, keep-outs and every other pot, one by one."""
    for spot in spots:
        assert pot / 2 - 1e-6 <= spot.x_mm <= length - pot / 2 + 1e-6
        assert pot / 2 - 1e-6 <= spot.y_mm <= width - pot / 2 + 1e-6
        for x, y, out_length, out_width in outs:
            nearest = (min(max(spot.x_mm, x), x + out_length), min(max(spot.y_mm, y), y + out_width))
            assert math.dist((spot.x_mm, spot.y_mm), nearest) >= pot / 2 - 1e-5
    for one, other in itertools.combinations(spots, 2):
        assert math.dist((one.x_mm, one.y_mm), (other.x_mm, other.y_mm)) >= pot + gap - 1e-5
    assert len({spot.name for spot in spots}) == len(spots)


def best_of_all_row_sequences(length: float, width: float, pot: float) -> int:
    """Brute force: every sequence of tight full and shifted rows, each as near the last as it may be."""
    full = math.floor((length - pot) / pot + 1e-9) + 1
    shifted = math.floor((length - 1.5 * pot) / pot + 1e-9) + 1 if length >= 1.5 * pot else 0
    best = 0
    stack = [(0.0, False, full)]
    while stack:
        height, is_shifted, count = stack.pop()
        best = max(best, count)
        for following in (False, True):
            after = height + (pot * math.sqrt(3) / 2 if following != is_shifted else pot)
            if after <= width - pot + 1e-9 and (shifted or not following):
                stack.append((after, following, count + (shifted if following else full)))
    return best


@st.composite
def floors(draw: st.DrawFn) -> tuple[float, float, float, float, list[Rectangle]]:
    """Draw a floor, a pot, a gap and up to three keep-outs on the floor."""
    length, width = draw(st.floats(60, 900)), draw(st.floats(60, 500))
    pot, gap = draw(st.floats(30, 60)), draw(st.sampled_from([0.0, 0.0, 4.0, 25.0]))
    outs = []
    for _ in range(draw(st.integers(0, 3))):
        x, y = draw(st.floats(0, length)), draw(st.floats(0, width))
        outs.append((x, y, draw(st.floats(0, length - x)), draw(st.floats(0, min(60.0, width - y)))))
    return length, width, pot, gap, outs


@settings(max_examples=40, deadline=None)
@given(floors())
def test_every_packing_is_sound(floor: tuple[float, float, float, float, list[Rectangle]]) -> None:
    """No pot overlaps another, a wall or a keep-out, and the count keeps to the bound."""
    length, width, pot, gap, outs = floor
    packing = pack_floor(length, width, pot, gap_mm=gap, keep_outs=outs)
    assert packing.count == len(packing.spots) <= packing.bound_count
    assert_sound(packing.spots, length, width, pot, gap, outs)


@settings(max_examples=25, deadline=None)
@given(floors(), st.integers(0, 10_000))
def test_every_layout_is_sound(floor: tuple[float, float, float, float, list[Rectangle]], draw: int) -> None:
    """Any number of pots up to what fits gets exactly as many sound spots."""
    length, width, pot, gap, outs = floor
    most = pack_floor(length, width, pot, gap_mm=gap, keep_outs=outs).count
    count = draw % (most + 1)
    spots = lay_out(length, width, pot, count, outs, gap)
    assert len(spots) == count
    assert_sound(spots, length, width, pot, gap, outs)


@settings(max_examples=30, deadline=None)
@given(st.floats(40, 400), st.floats(40, 330), st.floats(30, 60))
def test_no_sequence_of_rows_holds_more(length: float, width: float, pot: float) -> None:
    """Brute force over all tight sequences of rows, along either side, never beats the answer."""
    assume(pot <= min(length, width))
    rows = max(best_of_all_row_sequences(length, width, pot), best_of_all_row_sequences(width, length, pot))
    assert pack_floor(length, width, pot).count >= rows


@settings(max_examples=25, deadline=None)
@given(st.floats(100, 900), st.floats(100, 500), st.floats(30, 90), st.floats(0.3, 3.0))
def test_neither_turning_nor_scaling_changes_the_count(
    length: float, width: float, pot: float, scale: float
) -> None:
    """Turned or drawn in another unit, a floor takes as many pots, give or take a tie in the cuts."""
    packing = pack_floor(length, width, pot)
    assume(packing.count > 20)
    assert abs(pack_floor(width, length, pot).count - packing.count) <= 1
    assert pack_floor(length * scale, width * scale, pot * scale).count == packing.count


@settings(max_examples=25, deadline=None)
@given(floors())
def test_keep_outs_and_gaps_never_add_pots(floor: tuple[float, float, float, float, list[Rectangle]]) -> None:
    """A bare floor takes at least as many; one pot is allowed, the search is not exhaustive."""
    length, width, pot, gap, outs = floor
    bare = pack_floor(length, width, pot).count
    assert pack_floor(length, width, pot, keep_outs=outs, gap_mm=gap).count <= bare + 1


@settings(max_examples=60, deadline=None)
@given(st.floats(40, 900), st.floats(40, 500), st.floats(20, 60), st.sampled_from([0.0, 7.0]))
def test_counting_rows_agrees_with_making_them(length: float, width: float, pot: float, gap: float) -> None:
    """The quick count of the best rows is the count of the best plan."""
    assume(pot <= min(length, width))
    inner, apart = (length - pot, width - pot), pot + gap
    plans = [*row_plans(*inner, apart), *row_plans(*inner[::-1], apart)]
    piece = (0.0, 0.0, length, width)
    assert most_in_rows(piece, Room(length, width, pot, gap)) == max(plan.count for plan in plans)


def test_two_blocks_of_rows_can_beat_one() -> None:
    """12.9 by 8.27 pots: one block of rows holds 108, two blocks with different rows three more."""
    packing = pack_floor(1293.2, 827.1, 100.0)
    assert packing.count >= 111
    assert packing.pattern == "mixed rows"
    assert_sound(packing.spots, 1293.2, 827.1, 100.0, 0.0, [])


def test_a_usual_floor() -> None:
    """36 x 18 in with 2 in pots: nine staggered steps and one straight one, 18 and 17 by turns."""
    packing = pack_floor(*FLOOR, 50.8)
    assert (packing.count, packing.pattern, packing.bound_count) == (176, "mixed rows", 183)
    assert dict(packing.alternatives)["staggered along the length"] == 5 * 18 + 5 * 17
    assert dict(packing.alternatives)["square"] == 9 * 18


def test_spots_are_named_in_reading_order() -> None:
    """Rows from the front, places from the left, AA after Z."""
    spots = pack_floor(*FLOOR, 50.8).spots
    assert [spot.name for spot in spots[:3]] == ["A1", "A2", "A3"]
    assert spots[0].y_mm < spots[-1].y_mm
    assert spots[17].name == "A18"
    assert spots[18].name == "B1"
    tall = pack_floor(60.0, 1600.0, 50.0).spots
    assert [spot.name for spot in tall[25:28]] == ["Z1", "AA1", "AB1"]


def test_119_pots_stand_in_seven_rows_of_seventeen() -> None:
    """A real layout of small pots on one floor (common practice, no source)."""
    spots = lay_out(*FLOOR, 50.8, 119)
    assert [spot.name for spot in spots] == [f"{row}{place}" for row in "ABCDEFG" for place in range(1, 18)]
    assert_sound(spots, *FLOOR, 50.8, 0.0, [])


def test_a_layout_is_spread_over_the_whole_floor() -> None:
    """Twelve pots do not crowd into a corner: mirrored, the floor looks the same."""
    spots = lay_out(*FLOOR, 50.8, 12)
    assert sum(spot.x_mm for spot in spots) / 12 == pytest.approx(FLOOR[0] / 2)
    assert sum(spot.y_mm for spot in spots) / 12 == pytest.approx(FLOOR[1] / 2)


def test_more_than_fits_cannot_be_laid_out() -> None:
    """The refusal says how many would fit."""
    with pytest.raises(RefusedInput, match="at most 176 on this floor"):
        lay_out(*FLOOR, 50.8, 177)
    assert lay_out(*FLOOR, 50.8, 0) == ()


def test_a_brace_across_parts_the_floor() -> None:
    """Two halves beside a brace take together what each takes alone, at least."""
    packing = pack_floor(*FLOOR, 50.8, keep_outs=[(440.0, 0.0, 34.4, 457.2)])
    assert packing.count >= 2 * pack_floor(440.0, 457.2, 50.8).count


def test_a_floor_with_no_place_left_takes_none() -> None:
    """A keep-out over everything leaves nought pots, and a pot as wide as the floor just fits."""
    assert pack_floor(*FLOOR, 50.8, keep_outs=[(0.0, 0.0, *FLOOR)]).count == 0
    assert pack_floor(100.0, 100.0, 100.0).count == 1


@pytest.mark.parametrize(
    ("length", "width", "pot", "gap", "outs"),
    [
        (100.0, 40.0, 50.0, 0.0, []),
        (0.0, 40.0, 5.0, 0.0, []),
        (math.nan, 40.0, 5.0, 0.0, []),
        (100.0, math.inf, 5.0, 0.0, []),
        (100.0, 40.0, -5.0, 0.0, []),
        (100.0, 40.0, 5.0, -1.0, []),
        (100.0, 40.0, 5.0, math.nan, []),
        (9000.0, 9000.0, 5.0, 0.0, []),
        (100.0, 40.0, 5.0, 0.0, [(90.0, 0.0, 20.0, 5.0)]),
        (100.0, 40.0, 5.0, 0.0, [(-1.0, 0.0, 20.0, 5.0)]),
        (100.0, 40.0, 5.0, 0.0, [(math.nan, 0.0, 20.0, 5.0)]),
    ],
)
def test_floors_that_cannot_be_are_refused(
    length: float, width: float, pot: float, gap: float, outs: list[Rectangle]
) -> None:
    """A pot larger than the floor, sizes that are none, keep-outs off the floor."""
    with pytest.raises(RefusedInput):
        pack_floor(length, width, pot, gap_mm=gap, keep_outs=outs)


@pytest.mark.parametrize("count", [-1, 2.5, True, math.nan])
def test_numbers_of_pots_that_cannot_be_are_refused(count: float) -> None:
    """Only whole numbers of pots are laid out."""
    with pytest.raises(RefusedInput, match="whole number"):
        lay_out(*FLOOR, 50.8, count)  # type: ignore[arg-type]


def test_the_same_floor_gives_the_same_answer() -> None:
    """Also where a search with random starts was used."""
    first, second = (pack_floor(1000.0, 1000.0, 2000.0 * 0.1704) for _ in range(2))
    assert isinstance(first, Packing)
    assert first == second
    assert first.pattern == "no rows"


@pytest.mark.parametrize(
    "keep_outs", [((100.0, 40.0, 60.0, 30.0),), ((0.0, 0.0, 31.0, 200.0), (150.0, 90.0, 8.0, 8.0))]
)
def test_gaps_are_filled_as_by_hand(keep_outs):
    """On the fine grid every free place is taken in turn, as when each is tried against all pots."""
    room = Room(333.0, 190.0, 38.0, 2.0, keep_outs)
    standing = square_rows(room)[::3]
    nine_to_a_pot = [np.linspace(19.0, 19.0 + side, 1 + math.ceil(side / 40.0 * 9)) for side in room.inner]
    pots = [tuple(pot) for pot in standing]
    for x in nine_to_a_pot[0]:
        for y in nine_to_a_pot[1]:
            if room.clear(np.array([[x, y]]))[0] and all(math.dist((x, y), pot) >= 40.0 for pot in pots):
                pots.append((x, y))
    np.testing.assert_allclose(filled(room, standing), pots)
    assert len(pots) > len(standing)
