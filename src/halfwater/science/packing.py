"""How many pots a floor takes, and where each stands."""

import heapq
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.science import keep_outs as around
from halfwater.science.blocks import blocks_of, stand
from halfwater.science.bound import most_pots
from halfwater.science.crowd import crowded
from halfwater.science.room import Points, Rectangle, Room, room_of
from halfwater.science.rows import RowPlan, centres, row_plans, steps_that_fit

SQUARE = "square"
ALONG = "staggered along the length"
ACROSS = "staggered along the width"
MIXED = "mixed rows"
LOOSE = "no rows"
MOST_POTS = 20_000  # on one floor; more is a slip in a size
_MOST_FILLED = 1_000  # pots up to which gaps are looked for
_MOST_SEARCHED = 20  # pots up to which arrangements that are no rows are looked for
_EQUAL_ROWS = 0.85  # equal rows are preferred while they stay this near the widest spacing


@dataclass(frozen=True, slots=True)
class Spot:
    """A place for one pot: its name and the centre, from the front left corner."""

    name: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Packing:
    """How many pots fit, in which pattern, where, and what no pattern could exceed."""

    count: int
    pattern: str
    bound_count: int
    spots: tuple[Spot, ...]
    alternatives: tuple[tuple[str, int], ...]


def pack_floor(
    length_mm: float,
    width_mm: float,
    pot_mm: float,
    *,
    keep_outs: Sequence[Rectangle] = (),
    gap_mm: float = 0.0,
) -> Packing:
    """Largest number of pots found for a floor, with their places.

    Tries straight rows, staggered rows along either side with every number of
    pots in a row, staggered rows with some straight steps, blocks of different
    rows side by side, and, for a few pots, arrangements without rows. Around keep-outs rows are shifted, the
    floor is cut along the keep-outs, and gaps are filled.

    Parameters
    ----------
    length_mm : float
        Inside length of the floor. [mm] Valid above 0.
    width_mm : float
        Inside width of the floor. [mm] Valid above 0.
    pot_mm : float
        Widest outside diameter of a pot. [mm] Valid above 0, up to the shorter side.
    keep_outs : sequence of tuple
        Rectangles (x, y, length, width) where no pot may stand, from the front left corner, in mm.
    gap_mm : float
        Least clear distance between two pots; none is kept to walls and keep-outs. [mm] Valid 0 upward.

    Returns
    -------
    Packing
        count, pattern, bound_count, spots and the count of every pattern.

    Raises
    ------
    RefusedInput
        If a pot is larger than the floor, a size is no size, a keep-out
        does not lie on the floor, or more than 20 000 pots would fit.

    Notes
    -----
    Without keep-outs no pattern of equal rows holds more. Up to 20 pots a
    search finds the best known arrangements in squares; it may miss one
    elsewhere. `bound_count` is Oler's and is rarely reached. When
    keep-outs leave no place the count is 0.

    Source: oler-1961

    Examples
    --------
    >>> pack_floor(914.4, 457.2, 50.8).count
    176
    """
    room = room_of(length_mm, width_mm, pot_mm, gap_mm, keep_outs)
    bound_count = most_pots(length_mm, width_mm, pot_mm, gap_mm)
    if bound_count > MOST_POTS:
        raise RefusedInput("pot", f"{pot_mm:.4g} mm", f"a pot wide enough that no more than {MOST_POTS} fit")
    found = _around_keep_outs(room) if room.keep_outs else _on_bare_floor(room)
    found = [(pattern, points) for pattern, points in found if room.is_sound(points)]
    pattern, points = max(found, key=lambda entry: len(entry[1]))
    alternatives = tuple((name, len(where)) for name, where in found if len(where))
    return Packing(len(points), pattern, bound_count, _named(points, room), alternatives)


def lay_out(
    length_mm: float,
    width_mm: float,
    pot_mm: float,
    count: int,
    keep_outs: Sequence[Rectangle] = (),
    gap_mm: float = 0.0,
) -> tuple[Spot, ...]:
    """Spots for a given number of pots, spread evenly in rows.

    This is how the spots of a tank are named that holds fewer pots than would
    fit. Rows of equal number are preferred while they cost little spacing.

    Parameters
    ----------
    length_mm : float
        Inside length of the floor. [mm] Valid above 0.
    width_mm : float
        Inside width of the floor. [mm] Valid above 0.
    pot_mm : float
        Widest outside diameter of a pot. [mm] Valid above 0, up to the shorter side.
    count : int
        How many pots stand on the floor.
    keep_outs : sequence of tuple
        Rectangles (x, y, length, width) where no pot may stand, from the front left corner, in mm.
    gap_mm : float
        Least clear distance between two pots. [mm] Valid 0 upward.

    Returns
    -------
    tuple of Spot
        `count` spots in reading order from the front left: A1, A2 ... B1 ...

    Raises
    ------
    RefusedInput
        If the count is negative, no whole number or more than fits, or the
        floor is refused as in `pack_floor`.

    Notes
    -----
    When straight rows cannot hold the count, the spots of `pack_floor` are
    used, with the surplus left out evenly.

    Source: own definition

    Examples
    --------
    >>> [spot.name for spot in lay_out(914.4, 457.2, 50.8, 119)][::17]
    ['A1', 'B1', 'C1', 'D1', 'E1', 'F1', 'G1']
    """
    room = room_of(length_mm, width_mm, pot_mm, gap_mm, keep_outs)
    if isinstance(count, bool) or not float(count).is_integer() or count < 0:
        raise RefusedInput("pots", count, "a whole number of pots, 0 or more")
    if count == 0:
        return ()
    rows = _even_rows(room, int(count))
    if rows is not None:
        return _named(rows, room)
    packed = pack_floor(length_mm, width_mm, pot_mm, keep_outs=keep_outs, gap_mm=gap_mm)
    if count > packed.count:
        raise RefusedInput("pots", count, f"at most {packed.count} on this floor")
    kept = np.linspace(0, packed.count - 1, count).round().astype(int)
    return _named(np.array([(packed.spots[k].x_mm, packed.spots[k].y_mm) for k in kept]), room)


def row_name(index: int) -> str:
    """Letters of a row: A to Z, then AA, AB and so on.

    Parameters
    ----------
    index : int
        Which row, 0 at the front.

    Returns
    -------
    str
        The letters.

    Notes
    -----
    As columns are named in a spreadsheet.

    Source: own definition

    Examples
    --------
    >>> [row_name(row) for row in (0, 25, 26, 51, 52, 702)]
    ['A', 'Z', 'AA', 'AZ', 'BA', 'AAA']
    """
    letters, index = "", index + 1
    while index:
        index, letter = divmod(index - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


def _on_bare_floor(room: Room) -> list[tuple[str, Points]]:
    """Each pattern's best on a floor without keep-outs."""
    along = list(row_plans(*room.inner, room.apart_mm))
    across = list(row_plans(*room.inner[::-1], room.apart_mm))
    groups: dict[str, list[Points]] = {SQUARE: [], ALONG: [], ACROSS: [], MIXED: []}
    for plans, is_across in ((along, False), (across, True)):
        own, other = (ACROSS, ALONG) if is_across else (ALONG, ACROSS)
        staggered = [plan for plan in plans if not plan.square_steps and plan.rows > 1]
        groups[SQUARE].append(_best(room, [plan for plan in plans if plan.is_square], is_across))
        groups[own].append(_best(room, [p for p in staggered if not p.is_turned(room.apart_mm)], is_across))
        groups[other].append(_best(room, [p for p in staggered if p.is_turned(room.apart_mm)], is_across))
        groups[MIXED].append(_best(room, [plan for plan in plans if plan.is_mixed], is_across))
    found = [(pattern, max(points, key=len)) for pattern, points in groups.items()]
    best = max((points for _, points in found), key=len)
    count, blocks = blocks_of((0.0, 0.0, room.length_mm, room.width_mm), room)
    if count > len(best):
        found[3] = (MIXED, np.concatenate([stand(block, room) for block in blocks]))
    most = most_pots(room.length_mm, room.width_mm, room.pot_mm, room.gap_mm)
    best = max((points for _, points in found), key=len)
    loose = around.EMPTY
    while len(best) < min(most, _MOST_SEARCHED):
        more = crowded(len(best) + 1, *room.inner, room.apart_mm, best - room.pot_mm / 2.0)
        if more is None:
            break
        best = loose = more + room.pot_mm / 2.0
    return [*found, (LOOSE, loose)] if len(loose) else found


def _best(room: Room, plans: list[RowPlan], is_across: bool) -> Points:
    """Places of the plan with most pots; turned back when its rows run along the width."""
    if not plans:
        return around.EMPTY
    plan = max(plans, key=lambda plan: plan.count)
    inner = room.inner[::-1] if is_across else room.inner
    points = centres(plan, *inner, room.apart_mm)
    return np.asarray((points[:, ::-1] if is_across else points) + room.pot_mm / 2.0)


def _around_keep_outs(room: Room) -> list[tuple[str, Points]]:
    """Each pattern's best where keep-outs stand in the way."""
    turned = room.turned()
    square = [around.square_rows(room), around.square_rows(turned)[:, ::-1]]
    along = [around.shifted_rows(room), _thinned(room)]
    across = [around.shifted_rows(turned)[:, ::-1], _thinned(turned)[:, ::-1]]
    mixed = [around.cut_floor(room)]
    best = [max(group, key=len) for group in (square, along, across, mixed)]
    if max(len(points) for points in best) <= _MOST_FILLED:
        fuller = max((around.filled(room, points) for points in best), key=len)
        if len(fuller) > max(len(points) for points in best):
            best[3] = fuller
    return list(zip((SQUARE, ALONG, ACROSS, MIXED), best, strict=True))


def _thinned(room: Room) -> Points:
    plans = sorted(row_plans(*room.inner, room.apart_mm), key=lambda plan: -plan.count)
    return around.thinned(room, plans[:6])


def _even_rows(room: Room, count: int) -> Points | None:
    """The evenest straight rows that hold the count, or None when none do."""
    best: tuple[float, list[Points]] | None = None
    equal: tuple[float, list[Points]] | None = None
    for rows in range(1, min(count, steps_that_fit(room.inner[1], room.apart_mm) + 1) + 1):
        laid = _shared_out(room, count, rows)
        if laid is None:
            continue
        if best is None or laid[0] > best[0]:
            best = laid
        if len({len(row) for row in laid[1]}) == 1 and (equal is None or laid[0] > equal[0]):
            equal = laid
    if best is None:
        return None
    chosen = equal if equal is not None and equal[0] >= _EQUAL_ROWS * best[0] else best
    return np.concatenate(chosen[1])


def _shared_out(room: Room, count: int, rows: int) -> tuple[float, list[Points]] | None:
    """The count shared over so many rows, always to where pots stand widest; with the least spacing."""
    radius = room.pot_mm / 2.0
    heights = around.even_pieces(room, (radius, room.width_mm - radius), rows)
    pieces = [(row, piece) for row, y in enumerate(heights) for piece in room.stretches(float(y))]
    held = [0] * len(pieces)
    wide = [(-(end - start + room.pot_mm), row, place) for place, (row, (start, end)) in enumerate(pieces)]
    heapq.heapify(wide)
    for _ in range(count):
        while wide:
            _, row, place = heapq.heappop(wide)
            start, end = pieces[place][1]
            if held[place] <= steps_that_fit(max(end - start, 0.0), room.apart_mm):
                break
        else:
            return None
        held[place] += 1
        heapq.heappush(wide, (-(end - start + room.pot_mm) / (held[place] + 1), row, place))
    least = float(heights[1] - heights[0]) if rows > 1 else np.inf
    laid: list[list[float]] = [[] for _ in range(rows)]
    for (row, piece), number in zip(pieces, held, strict=True):
        if number:
            laid[row] += around.even_pieces(room, piece, number).tolist()
    least = min([least, *(float(np.diff(row).min()) for row in laid if len(row) > 1)])
    if least < room.apart_mm * (1.0 - 1e-9):
        return None
    return least, [
        np.column_stack([row, np.full(len(row), y)]) for row, y in zip(laid, heights, strict=True) if row
    ]


def _named(points: Points, room: Room) -> tuple[Spot, ...]:
    """Spots in reading order: rows from the front, and along each from the left."""
    rows: list[list[tuple[float, float]]] = []
    for x, y in sorted(map(tuple, points.tolist()), key=lambda point: (point[1], point[0])):
        if not rows or y - rows[-1][0][1] > room.apart_mm / 4.0:
            rows.append([])
        rows[-1].append((x, y))
    return tuple(
        Spot(f"{row_name(row)}{place}", x, y)
        for row, spots in enumerate(rows)
        for place, (x, y) in enumerate(sorted(spots), start=1)
    )
