"""Chance in whole pots: how many of some pots move on or are lost, from numbers that all policies share."""

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]
_BLOCK = 512  # pots at once: more would let the chance of none fall below what a float holds


class CommonChance:
    """Numbers between 0 and 1 that hang on seed, week and question, and on nothing that was done."""

    def __init__(self, seed: int, shape: tuple[int, ...]) -> None:
        self.seed = seed
        self.shape = shape

    def numbers(self, week: int, question: int) -> Floats:
        """One number a future, line and stage; the same ones whenever they are asked for."""
        return np.random.default_rng([self.seed, week, question]).random(self.shape)


def whole_binomial(pots: Counts, probability: Floats, p_at: Floats) -> Counts:
    """How many of some pots meet a fate that each meets by itself.

    The inverse of the distribution at a given number: the same number gives more pots where there are more
    to begin with, so that policies that differ a little fare alike in the same future.

    Parameters
    ----------
    pots : numpy.ndarray of int
        Pots that may meet it. [1] Valid 0 or more.
    probability : numpy.ndarray
        Of each. [1] Valid 0..1.
    p_at : numpy.ndarray
        Numbers to invert at. [1] Valid 0 to under 1.

    Returns
    -------
    numpy.ndarray of int
        Shape of `pots`; from 0 to the pots. [1]

    Raises
    ------
    RefusedInput
        If pots are negative, or a probability or number that counts is nan or outside 0..1.

    Notes
    -----
    Smallest k whose binomial distribution function reaches the number; above one half the pots that do
    not meet the fate are counted. More than 512 pots go in blocks, each with a number of its own that is
    made from the first. 0 pots give 0.

    Source: own definition
    """
    met = np.zeros(pots.shape, dtype=np.int64)
    at = np.nonzero(pots)
    left, p, u = pots[at], probability[at], p_at[at]
    _check(left, p, u)
    is_turned = p > 0.5
    p = np.where(is_turned, 1.0 - p, p)
    found = np.zeros(left.shape, dtype=np.int64)
    while left.any():
        block = np.minimum(left, _BLOCK)
        fewer = _inverse(block, p, np.where(is_turned, 1.0 - u, u))
        found += np.where(is_turned, block - fewer, fewer)
        left = left - block
        u = _next(u)
    met[at] = found
    return met


def _next(chance: Floats) -> Floats:
    """Another number of the same place, as good as independent: the bits of the first well mixed."""
    bits = (chance * 2.0**53).astype(np.uint64) + np.uint64(0x9E3779B97F4A7C15)
    bits = (bits ^ (bits >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    bits = (bits ^ (bits >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return np.asarray(((bits ^ (bits >> np.uint64(31))) >> np.uint64(11)) / 2.0**53)


def _check(pots: Counts, probability: Floats, chance: Floats) -> None:
    if (pots < 0).any():
        raise RefusedInput("pots", int(pots.min()), "0 or more")
    for name, values in (("probability", probability), ("chance", chance)):
        if not ((values >= 0.0) & (values <= 1.0)).all():
            raise RefusedInput(name, "a number outside 0 to 1", "numbers from 0 to 1")


def _inverse(pots: Counts, probability: Floats, chance: Floats) -> Counts:
    """Inverse binomial for probabilities up to one half: steps up while the sum is not above."""
    found = np.zeros(pots.shape, dtype=np.int64)
    place = np.arange(pots.size)
    n, odds, u = pots, probability / (1.0 - probability), chance
    mass = (1.0 - probability) ** pots
    total = mass.copy()
    step = 0
    while place.size:
        goes_on = (total < u) & (step < n)
        found[place] = step
        place, n, odds, u = place[goes_on], n[goes_on], odds[goes_on], u[goes_on]
        mass = mass[goes_on] * odds * (n - step) / (step + 1)
        total = total[goes_on] + mass
        step += 1
    return found


def fates(matrix: Floats) -> Floats:
    """What a stage matrix says one after another: leaving, then being lost, then how far a pot moves.

    Parameters
    ----------
    matrix : numpy.ndarray
        From column to row, forward only; leading axes are draws. [1] Valid columns that sum to 1 at most.

    Returns
    -------
    numpy.ndarray
        Last axes: stage from, question. Question 0: leaves the stage; 1: lost if it leaves; 1 + k: moves k
        stages if it moves at least k. [1]

    Notes
    -----
    A probability over what is left by the questions before it; 0 where nothing is left. nan cannot stand in a
    chain; a matrix that turns pots back is outside: such moves would count as losses.

    Source: own definition
    """
    stages = matrix.shape[-1]
    asked = np.zeros((*matrix.shape[:-2], stages, stages + 1))
    for stage in range(stages):
        column = matrix[..., stage]
        moved = column[..., stage + 1 :].sum(axis=-1)
        leaves = np.maximum(1.0 - column[..., stage], moved)
        asked[..., stage, 0] = np.minimum(leaves, 1.0)
        asked[..., stage, 1] = np.where(leaves > 0, 1.0 - _ratio(moved, leaves), 0.0)
        for on in range(1, stages - stage):
            further = column[..., stage + on :].sum(axis=-1)
            asked[..., stage, 1 + on] = _ratio(column[..., stage + on], further)
        if stage + 1 < stages:
            asked[..., stage, stages - stage] = 1.0
    return asked


def _ratio(part: Floats, whole: Floats) -> Floats:
    return np.divide(np.minimum(part, whole), whole, out=np.zeros_like(whole), where=whole > 0.0)


def grown(pots: Counts, p_fates: Floats, chance: CommonChance, week: int) -> tuple[Counts, Counts]:
    """Pots by stage a week later, and how many were lost.

    Parameters
    ----------
    pots : numpy.ndarray of int
        Last axis stages. [1] Valid 0 or more.
    p_fates : numpy.ndarray
        What `fates` says: questions first, then the shape of the pots. [1] Valid 0..1.
    chance : CommonChance
        Numbers shared by all policies, of the shape of the pots.
    week : int
        Which week of the futures it is.

    Returns
    -------
    tuple of numpy.ndarray of int
        Pots a week later, in the shape of `pots`; pots lost, without the stages. [1]

    Raises
    ------
    RefusedInput
        If pots are negative.

    Notes
    -----
    Multinomial, asked one question after another: as many pots as before, less the lost. 0 pots stay 0; nan
    probabilities are refused by `whole_binomial`.

    Source: own definition
    """
    leaving = whole_binomial(pots, p_fates[0], chance.numbers(week, 0))
    lost = whole_binomial(leaving, p_fates[1], chance.numbers(week, 1))
    after = pots - leaving
    moving = leaving - lost
    for on in range(1, pots.shape[-1]):
        if not moving.any():
            break
        here = whole_binomial(moving, p_fates[1 + on], chance.numbers(week, 1 + on))
        after[..., on:] += here[..., :-on]
        moving = moving - here
    return after, lost.sum(axis=-1)
