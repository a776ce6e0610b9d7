"""Arrangements of a few pots that are no rows, found by letting crowded circles push each other apart."""

import numpy as np

from halfwater.science.room import Points

STARTS = 40
PUSHES = 90
_DONE = 1e-11


def crowded(
    count: int, inner_length_mm: float, inner_width_mm: float, apart_mm: float, known: Points
) -> Points | None:
    """Centres of a few circles in a rectangle, or None when no start found room.

    Damped Gauss-Newton steps on the overlaps, for many starts at once: some
    at random, some from a known arrangement with one more circle dropped in.
    The seed is fixed, so that the same floor always gives the same answer.

    Parameters
    ----------
    count : int
        How many circles.
    inner_length_mm : float
        Side of the rectangle the centres lie in. [mm] Valid 0 upward.
    inner_width_mm : float
        Its other side. [mm] Valid 0 upward.
    apart_mm : float
        Least distance of two centres. [mm] Valid above 0.
    known : array of x and y
        Centres of an arrangement with fewer circles, to start from, in mm.

    Returns
    -------
    array of x and y, or None
        Centres from the corner of the rectangle, in mm.

    Notes
    -----
    Overlaps of the answer are below 1e-11 of a spacing. None proves nothing.

    Source: own definition
    """
    rng = np.random.default_rng(20_000 + count)
    sides = np.array([inner_length_mm, inner_width_mm]) / apart_mm
    spots = rng.random((STARTS, count, 2)) * sides
    if len(known) == count - 1:
        half = STARTS // 2
        spots[:half, :-1] = known / apart_mm + rng.normal(0.0, 0.12, (half, count - 1, 2))
    damping = np.full(STARTS, 0.3)
    size = _overlap(spots, sides)[0]
    for _ in range(PUSHES):
        tried = _pushed(spots, sides, damping)
        new_size = _overlap(tried, sides)[0]
        better = new_size < size
        spots[better], size[better] = tried[better], new_size[better]
        damping = np.where(better, np.maximum(damping * 0.35, 1e-9), np.minimum(damping * 4.0, 1e3))
        if size.min() < _DONE**2:
            return np.asarray(np.clip(spots[size.argmin()], 0.0, sides) * apart_mm)
    return None


def _overlap(spots: Points, sides: Points) -> tuple[Points, Points, Points, Points]:
    """Sum of squared overlaps of each start; overlaps and directions of pairs; overlap with walls."""
    between = spots[:, :, None, :] - spots[:, None, :, :]
    far = np.sqrt((between**2).sum(axis=-1))
    far[:, np.arange(spots.shape[1]), np.arange(spots.shape[1])] = 2.0
    short = np.maximum(1.0 - far, 0.0)
    beyond = np.minimum(spots, 0.0) + np.maximum(spots - sides, 0.0)
    size = 0.5 * (short**2).sum(axis=(1, 2)) + (beyond**2).sum(axis=(1, 2))
    return size, short, between / np.maximum(far, 1e-12)[..., None], beyond


def _pushed(spots: Points, sides: Points, damping: Points) -> Points:
    """One damped step of every start against its overlaps."""
    starts, count, _ = spots.shape
    _, short, toward, beyond = _overlap(spots, sides)
    touching = (short > 0.0)[..., None, None] * toward[..., :, None] * toward[..., None, :]
    curve = -touching.transpose(0, 1, 3, 2, 4)
    every = np.arange(count)
    curve[:, every, :, every, :] += touching.sum(axis=2).transpose(1, 0, 2, 3)
    curve = curve.reshape(starts, 2 * count, 2 * count)
    slope = (beyond - (short[..., None] * toward).sum(axis=2)).reshape(starts, 2 * count)
    axis = np.arange(2 * count)
    curve[:, axis, axis] += (beyond != 0.0).reshape(starts, 2 * count) + damping[:, None]
    step = np.linalg.solve(curve, -slope[..., None])[..., 0]
    return np.asarray(spots + step.reshape(spots.shape))
