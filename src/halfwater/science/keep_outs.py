"""Arrangements around keep-outs: shifted rows, floors cut at a keep-out, gaps filled afterwards."""

import math
from collections.abc import Iterator
from functools import cache

import numpy as np

from halfwater.science.blocks import blocks_of, most_in_rows, stand
from halfwater.science.room import Points, Rectangle, Room
from halfwater.science.rows import RowPlan, centres, steps_that_fit

SHIFTS = 8
_SPACINGS = 8
_FINE = 9  # grid points to a spacing when gaps are looked for
_MOST_CUTS = 3  # keep-outs up to which the floor is cut into every set of rectangles

_EDGE = 1e-6  # mm: less than this is no overlap and no piece

EMPTY: Points = np.zeros((0, 2))


def square_rows(room: Room) -> Points:
    """Centres of the most pots in straight rows, each filled piece by piece.

    Rows may lie at any height at which they touch the wall, a keep-out or the
    row before; the best choice among those is exact.

    Parameters
    ----------
    room : Room
        The floor with its keep-outs.

    Returns
    -------
    array of x and y
        Centres from the front left corner of the floor, in mm.

    Notes
    -----
    Both sides of a thin keep-out keep the distance of two pots.

    Source: own definition
    """
    heights = np.array(_row_heights(room))
    counts = np.array([sum(_in_row(room, piece) for piece in room.stretches(y)) for y in heights])
    best = np.zeros(len(heights) + 1, dtype=np.int64)
    before = np.searchsorted(heights, heights - room.apart_mm + 1e-9 * room.apart_mm, side="right")
    for place, count in enumerate(counts):
        best[place + 1] = max(best[place], best[before[place]] + count)
    chosen, place = [], len(heights)
    while place > 0:
        if best[place] == best[place - 1]:
            place -= 1
            continue
        chosen.append(heights[place - 1])
        place = int(before[place - 1])
    rows = [_row(room, y) for y in reversed(chosen)]
    return np.concatenate(rows) if rows else EMPTY


def shifted_rows(room: Room) -> Points:
    """Centres of the most pots that a staggered pattern leaves standing.

    Parameters
    ----------
    room : Room
        The floor with its keep-outs.

    Returns
    -------
    array of x and y
        Centres from the front left corner of the floor, in mm.

    Notes
    -----
    Eight shifts either way for each of the closest spacings.

    Source: own definition
    """
    best = EMPTY
    inner_length_mm = room.inner[0]
    spacings = {room.apart_mm} | {
        inner_length_mm / parts
        for full in range(2, steps_that_fit(inner_length_mm, room.apart_mm) + 2)
        for parts in (full - 1, full - 0.5)
        if room.apart_mm <= inner_length_mm / parts <= 2.0 * room.apart_mm
    }
    for spacing in sorted(spacings)[:_SPACINGS]:
        step = max(math.sqrt(max(room.apart_mm**2 - spacing**2 / 4.0, 0.0)), room.apart_mm / 2.0)
        for across in np.arange(SHIFTS) / SHIFTS * spacing:
            for up in np.arange(SHIFTS) / SHIFTS * step:
                best = _better(best, _lattice(room, spacing, step, across, up))
    return best


def thinned(room: Room, plans: list[RowPlan]) -> Points:
    """Centres of the most pots that plans for the bare floor leave standing.

    Parameters
    ----------
    room : Room
        The floor with its keep-outs.
    plans : list of RowPlan
        Plans made for the floor without its keep-outs.

    Returns
    -------
    array of x and y
        Centres from the front left corner of the floor, in mm.

    Notes
    -----
    Each plan is tried with its front to the back and its left to the right.

    Source: own definition
    """
    best = EMPTY
    for plan in plans:
        points = centres(plan, *room.inner, room.apart_mm) + room.pot_mm / 2.0
        for x_sign in (0.0, room.length_mm):
            for y_sign in (0.0, room.width_mm):
                mirrored = np.abs(np.array([x_sign, y_sign]) - points)
                best = _better(best, mirrored[room.clear(mirrored)])
    return best


def cut_floor(room: Room) -> Points:
    """Centres of the most pots when the floor is cut along keep-outs, each piece with its own rows.

    Parameters
    ----------
    room : Room
        The floor with its keep-outs.

    Returns
    -------
    array of x and y
        Centres from the front left corner of the floor, in mm.

    Notes
    -----
    None with more than three keep-outs: the ways to cut grow too many.

    Source: own definition
    """
    if not 0 < len(room.keep_outs) <= _MOST_CUTS:
        return EMPTY

    @cache
    def best(piece: Rectangle) -> tuple[int, tuple[Rectangle, ...]]:
        inside = [out for out in room.keep_outs if _overlaps(piece, out)]
        if not inside:
            count = most_in_rows(piece, room)
            return (count, (piece,)) if count else (0, ())
        answers: list[tuple[int, tuple[Rectangle, ...]]] = [(0, ())]
        for one, other in _cuts(piece, inside, room.gap_mm):
            first, second = best(one), best(other)
            answers.append((first[0] + second[0], first[1] + second[1]))
        return max(answers, key=lambda answer: answer[0])

    pieces = best((0.0, 0.0, room.length_mm, room.width_mm))[1]
    points = [stand(block, room) for piece in pieces for block in blocks_of(piece, room)[1]]
    return np.concatenate(points) if points else EMPTY


def filled(room: Room, points: Points) -> Points:
    """Centres of the same pots, with one more wherever a fine grid still finds room.

    Parameters
    ----------
    room : Room
        The floor with its keep-outs.
    points : array of x and y
        Centres of the pots that stand already, in mm.

    Returns
    -------
    array of x and y
        Centres from the front left corner of the floor, in mm.

    Notes
    -----
    Nine places are tried to a spacing, either way.

    Source: own definition
    """
    grid = [np.linspace(0.0, side, 1 + math.ceil(side / room.apart_mm * _FINE)) for side in room.inner]
    across, along = (places + room.pot_mm / 2.0 for places in grid)
    places = np.stack(np.meshgrid(across, along, indexing="ij"), axis=-1)
    is_free = room.clear(places.reshape(-1, 2)).reshape(places.shape[:2])

    def occupy(x: float, y: float) -> None:
        window = tuple(
            slice(*np.searchsorted(side, (at - room.apart_mm, at + room.apart_mm)))
            for side, at in ((across, x), (along, y))
        )
        is_free[window] &= np.hypot(*np.moveaxis(places[window] - (x, y), -1, 0)) >= room.apart_mm

    for x, y in points:
        occupy(x, y)
    more = []
    for row, x in enumerate(across):
        while is_free[row].any():
            y = along[is_free[row].argmax()]
            more.append((x, y))
            occupy(x, y)
    return np.concatenate([points, np.array(more)]) if more else points


def even_pieces(room: Room, stretch: tuple[float, float], number: int) -> Points:
    """Places of pots spread evenly on a piece of a row.

    Parameters
    ----------
    room : Room
        The floor with its keep-outs.
    stretch : tuple
        From where to where a centre may lie, in mm.
    number : int
        How many pots, 1 or more.

    Returns
    -------
    array of x and y
        Their places along the row, in mm.

    Notes
    -----
    Pots stand half a space off the ends while that leaves them apart, else end to end.

    Source: own definition
    """
    start, end = stretch
    if number == 1:
        return np.array([(start + end) / 2.0])
    outside = (end - start + room.pot_mm) / number
    if outside >= room.apart_mm:
        return np.asarray(start - room.pot_mm / 2.0 + outside * (np.arange(number) + 0.5))
    return np.linspace(start, end, number)


def _row_heights(room: Room) -> list[float]:
    """Heights at which a row touches a wall or keep-out, or a row that does so in turn."""
    low, high = room.pot_mm / 2.0, room.width_mm - room.pot_mm / 2.0
    starts = {low, high}
    for _, front, _, width in room.keep_outs:
        starts |= {front - low, front + width + low, front, front + width}
    most = steps_that_fit(high - low, room.apart_mm) + 1
    heights = {
        start + sign * step * room.apart_mm for start in starts for step in range(most) for sign in (-1, 1)
    }
    edge = 1e-9 * room.apart_mm
    return sorted({min(max(height, low), high) for height in heights if low - edge <= height <= high + edge})


def _in_row(room: Room, stretch: tuple[float, float]) -> int:
    return steps_that_fit(max(stretch[1] - stretch[0], 0.0), room.apart_mm) + 1


def _row(room: Room, y: float) -> Points:
    """A row filled piece by piece; pots either side of a thin keep-out still keep their distance."""
    pieces = [_end_to_end(room, stretch) for stretch in room.stretches(y)]
    kept: list[float] = []
    for x in np.concatenate(pieces) if pieces else []:
        if not kept or x - kept[-1] >= room.apart_mm * (1.0 - 1e-9):
            kept.append(float(x))
    return np.column_stack([kept, np.full(len(kept), y)]) if kept else EMPTY


def _end_to_end(room: Room, stretch: tuple[float, float]) -> Points:
    """As many pots as a piece of a row takes, spread from end to end."""
    number = _in_row(room, stretch)
    return np.linspace(*stretch, number) if number > 1 else np.array([stretch[0]])


def _lattice(room: Room, spacing: float, step: float, across: float, up: float) -> Points:
    inner_length_mm, inner_width_mm = room.inner
    rows = np.arange(steps_that_fit(inner_width_mm, step) + 2)
    columns = np.arange(-1, steps_that_fit(inner_length_mm, spacing) + 2)
    y = np.repeat(up + rows * step, len(columns))
    x = (across + columns[None, :] * spacing + (rows[:, None] % 2) * spacing / 2.0).ravel()
    points = np.column_stack([x, y]) + room.pot_mm / 2.0
    return np.asarray(points[room.clear(points)])


def _overlaps(piece: Rectangle, out: Rectangle) -> bool:
    return (
        out[0] < piece[0] + piece[2] - _EDGE
        and out[0] + out[2] > piece[0] + _EDGE
        and out[1] < piece[1] + piece[3] - _EDGE
        and out[1] + out[3] > piece[1] + _EDGE
    )


def _cuts(piece: Rectangle, outs: list[Rectangle], gap: float) -> Iterator[tuple[Rectangle, Rectangle]]:
    """Every way to part a piece along a side of a keep-out, a gap apart."""
    x, y, length, width = piece
    for at in sorted({edge for out in outs for edge in (out[0], out[0] + out[2])}):
        if x + _EDGE < at < x + length - _EDGE:
            after = min(at + gap, x + length)
            yield (x, y, at - x, width), (after, y, x + length - after, width)
    for at in sorted({edge for out in outs for edge in (out[1], out[1] + out[3])}):
        if y + _EDGE < at < y + width - _EDGE:
            after = min(at + gap, y + width)
            yield (x, y, length, at - y), (x, after, length, y + width - after)


def _better(first: Points, second: Points) -> Points:
    return second if len(second) > len(first) else first
