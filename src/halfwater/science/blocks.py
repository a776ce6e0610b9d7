"""A bare rectangle of floor filled with rows, in one block or in several side by side."""

from collections.abc import Iterator

import numpy as np

from halfwater.science.bound import SLACK
from halfwater.science.room import Points, Rectangle, Room
from halfwater.science.rows import centres, row_plans, steps_that_fit

_EDGE = 1e-6  # mm: less than this is no piece
_DEEPEST = 3  # how often a piece is cut again


def most_in_rows(piece: Rectangle, room: Room) -> int:
    """Number of pots in the best rows of a bare piece of floor, along either side.

    Parameters
    ----------
    piece : tuple
        x, y, length and width of the piece, in mm.
    room : Room
        The floor it belongs to, with the pots and their gap.

    Returns
    -------
    int
        The count, 0 where no pot fits.

    Notes
    -----
    The largest count of `row_plans`, without making the plans.

    Source: own definition

    Examples
    --------
    >>> most_in_rows((0.0, 0.0, 36.0, 18.0), Room(36.0, 18.0, 2.0, 0.0))
    176
    """
    inner = _inner(piece, room)
    if inner is None:
        return 0
    return max(_most_along(*inner, room.apart_mm), _most_along(*inner[::-1], room.apart_mm))


def blocks_of(piece: Rectangle, room: Room, depth: int = _DEEPEST) -> tuple[int, tuple[Rectangle, ...]]:
    """Pieces that hold the most pots when each gets its own rows, and how many that is.

    Where rows of one kind leave a strip at the end, two blocks with different
    rows often hold a pot or two more.

    Parameters
    ----------
    piece : tuple
        x, y, length and width of a bare piece of floor, in mm.
    room : Room
        The floor it belongs to, with the pots and their gap.
    depth : int
        How often the parts are cut again.

    Returns
    -------
    tuple
        The count, and the pieces as (x, y, length, width) in mm.

    Notes
    -----
    Cuts are tried after whole straight rows, whole staggered rows and half
    rows; the best one is kept if it gains a pot, then its parts are cut again.

    Source: own definition
    """
    best = most_in_rows(piece, room)
    chosen: tuple[Rectangle, Rectangle] | None = None
    if depth:
        for one, other in _cuts(piece, room):
            count = most_in_rows(one, room) + most_in_rows(other, room)
            if count > best:
                best, chosen = count, (one, other)
    if chosen is None:
        return best, (piece,) if best else ()
    first, second = (blocks_of(part, room, depth - 1) for part in chosen)
    return first[0] + second[0], first[1] + second[1]


def stand(piece: Rectangle, room: Room) -> Points:
    """Centres of the best rows of one bare piece, from the corner of the floor.

    Parameters
    ----------
    piece : tuple
        x, y, length and width of the piece, in mm.
    room : Room
        The floor it belongs to, with the pots and their gap.

    Returns
    -------
    array of x and y
        Centres from the front left corner of the floor, in mm.

    Notes
    -----
    Rows run along the side that lets more pots stand, the length when equal.

    Source: own definition
    """
    inner = _inner(piece, room)
    if inner is None:
        return np.zeros((0, 2))
    along = max(row_plans(*inner, room.apart_mm), key=lambda plan: plan.count)
    across = max(row_plans(*inner[::-1], room.apart_mm), key=lambda plan: plan.count)
    if across.count > along.count:
        points = centres(across, *inner[::-1], room.apart_mm)[:, ::-1]
    else:
        points = centres(along, *inner, room.apart_mm)
    return np.asarray(points + np.array(piece[:2]) + room.pot_mm / 2.0)


def _inner(piece: Rectangle, room: Room) -> tuple[float, float] | None:
    sides = piece[2] - room.pot_mm, piece[3] - room.pot_mm
    if min(sides) < -SLACK * room.apart_mm:
        return None
    return max(sides[0], 0.0), max(sides[1], 0.0)


def _most_along(inner_length_mm: float, inner_width_mm: float, apart_mm: float) -> int:
    widest = steps_that_fit(inner_length_mm, apart_mm) + 1
    best = widest * (steps_that_fit(inner_width_mm, apart_mm) + 1)
    full = np.arange(1, widest + 1)
    even = (inner_length_mm / (full - 0.5)).astype(np.float64)
    fits = even >= apart_mm * (1.0 - SLACK)
    if fits.any():
        best = max(best, int((full[fits] * (_fit(inner_width_mm, _steps(even[fits], apart_mm)) + 1)).max()))
    if widest < 2:
        return best
    full = full[1:, None]
    step = _steps(inner_length_mm / (full - 1), apart_mm)
    rows = np.arange(2, max(int(_fit(inner_width_mm, step).max()) + 2, 3))[None, :]
    spare = np.maximum(inner_width_mm - (rows - 1) * step, 0.0)
    gain = np.maximum(apart_mm - step, 1e-12 * apart_mm)
    squares = np.minimum(rows - 2, np.where(step < apart_mm, _fit(spare, gain), rows - 2))
    count = np.where(rows <= _fit(inner_width_mm, step) + 1, full * rows - (rows - squares) // 2, 0)
    return max(best, int(count.max()))


def _steps(spacing: Points, apart_mm: float) -> Points:
    return np.maximum(np.sqrt(np.maximum(apart_mm**2 - spacing**2 / 4.0, 0.0)), apart_mm / 2.0)


def _fit(side: float | Points, step: Points) -> Points:
    return np.floor(side / step + SLACK * (1.0 + side / step)).astype(np.int64)


def _cuts(piece: Rectangle, room: Room) -> Iterator[tuple[Rectangle, Rectangle]]:
    x, y, length, width = piece
    for at in _places(length, room):
        yield (x, y, at, width), (x + at + room.gap_mm, y, length - at - room.gap_mm, width)
    for at in _places(width, room):
        yield (x, y, length, at), (x, y + at + room.gap_mm, length, width - at - room.gap_mm)


def _places(side: float, room: Room) -> list[float]:
    """Where a side may be cut so that whole rows stand before the cut and a pot still fits after it."""
    last = side - room.gap_mm - room.pot_mm
    places = set()
    for step in (room.apart_mm / 2.0, room.apart_mm * 3.0**0.5 / 2.0):
        places |= {room.pot_mm + rows * step for rows in range(steps_that_fit(max(side, 0.0), step) + 1)}
    return sorted(place for place in places if place <= last + _EDGE)
