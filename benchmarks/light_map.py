"""The claim: the light map of a floor of 400 spots from 60 readings, and how even it is, take at most 50 ms
of processor time together, and the map alone at most a quarter of a dense Gaussian process of the same
model, with medians and ranges the same to a millionth.

Peer: Gaussian process regression as scipy offers it, in the same run: for each of the twelve shapes the
likelihood by `scipy.stats.multivariate_normal` and the full covariance of all spots by `scipy.linalg.solve`.
Both run on one thread, in a process of their own: threads that wait for each other count as processor time.
"""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from itertools import product

import numpy as np
from scipy import linalg, stats

from halfwater.science import starting
from halfwater.science.light_map import LightReading, evenness, map_light

LENGTH_MM, WIDTH_MM = 2000.0, 1000.0
COLUMNS, ROWS, READINGS = 25, 16, 60
MOST_MS, LEAST_RATIO, APART = 50.0, 4.0, 1e-6
REACHES, SPREADS, LEVEL_SD = (0.2, 0.35, 0.6, 1.0), (0.05, 0.12, 0.25), 3.0
Z80 = float(stats.norm.ppf(0.9))


def floor() -> tuple[np.ndarray, list[LightReading]]:
    """Spots in rows, and readings at sixty of them under a lamp with a hot spot."""
    rng = np.random.default_rng(5)
    along = (np.arange(COLUMNS) + 0.5) * LENGTH_MM / COLUMNS
    across = (np.arange(ROWS) + 0.5) * WIDTH_MM / ROWS
    spots = np.array([(x, y) for y in across for x in along])
    readings = []
    for x, y in spots[rng.choice(len(spots), READINGS, replace=False)]:
        fall = 0.65 ** (((2 * x / LENGTH_MM - 1) ** 2 + (2 * y / WIDTH_MM - 1) ** 2) / 2)
        hot = 1 + 0.2 * np.exp(-(((x - 700.0) / 500.0) ** 2))
        readings.append(LightReading(x, y, 90.0 * fall * hot * rng.normal(1.0, 0.04), 1.0, 0.0))
    return spots, readings


def dense(spots: np.ndarray, readings: list[LightReading]) -> tuple[np.ndarray, np.ndarray]:
    """Mean and spread of log light at each spot, by whole covariance matrices."""
    at = np.array([(one.x_mm, one.y_mm) for one in readings])
    seen = np.log([one.ppfd_umol_m2_s for one in readings])
    level = seen.mean()
    here, there = corner(at), corner(spots)
    logs, means, variances = [], [], []
    for reach, spread in product(REACHES, SPREADS):
        noise = starting.LIGHT_READING_SD_LOG**2 * np.eye(len(at))
        between = covariance(at, at, reach, spread) + noise
        rest = seen - level - starting.CORNER_LIGHT_LOG * here
        logs.append(stats.multivariate_normal(np.zeros(len(at)), between).logpdf(rest))
        to_spots = covariance(at, spots, reach, spread)
        solved = linalg.solve(between, np.column_stack((rest, to_spots)), assume_a="pos")
        means.append(level + starting.CORNER_LIGHT_LOG * there + to_spots.T @ solved[:, 0])
        after = covariance(spots, spots, reach, spread) - to_spots.T @ solved[:, 1:]
        variances.append(np.diag(after))
    weights = np.exp(np.array(logs) - max(logs))
    weights /= weights.sum()
    mean = weights @ np.array(means)
    second = weights @ (np.array(variances) + np.array(means) ** 2)
    return mean, np.sqrt(second - mean**2)


def covariance(first: np.ndarray, second: np.ndarray, reach: float, spread: float) -> np.ndarray:
    """Level, fall to the corners, and a squared exponential rest."""
    sides = np.array((LENGTH_MM, WIDTH_MM))
    apart = ((first[:, None] - second[None]) / (reach * sides)) ** 2
    fall = starting.CORNER_LIGHT_SD_LOG**2 * np.outer(corner(first), corner(second))
    return LEVEL_SD**2 + fall + spread**2 * np.exp(-apart.sum(axis=2) / 2)


def corner(at: np.ndarray) -> np.ndarray:
    """Squared distance from the middle, 1 in the corners."""
    sides = np.array((LENGTH_MM, WIDTH_MM))
    return (((2 * at - sides) / sides) ** 2).sum(axis=1) / 2


def milliseconds(run: Callable[[], object], times: int) -> float:
    """Shortest processor time of a call: what else the machine does only adds."""
    taken = []
    for _ in range(times):
        begin = time.process_time()
        run()
        taken.append(time.process_time() - begin)
    return 1e3 * min(taken)


def main() -> int:
    """Measure on one thread."""
    if sys.argv[1:] == ["--measure"]:
        return measured()
    one_thread = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    return subprocess.run([sys.executable, __file__, "--measure"], env=one_thread, check=False).returncode


def measured() -> int:
    """Print the figures and whether they hold."""
    spots, readings = floor()
    light = map_light(readings, LENGTH_MM, WIDTH_MM, spots)
    mean, spread = dense(spots, readings)
    low, high = np.exp(mean - Z80 * spread), np.exp(mean + Z80 * spread)
    mine = np.stack((light.low_umol_m2_s, light.ppfd_umol_m2_s, light.high_umol_m2_s))
    apart = float(np.abs(mine / np.stack((low, np.exp(mean), high)) - 1.0).max())
    alone = milliseconds(lambda: map_light(readings, LENGTH_MM, WIDTH_MM, spots), 15)
    even = milliseconds(lambda: evenness(light, np.random.default_rng(1)), 15)
    peer = milliseconds(lambda: dense(spots, readings), 5)
    print(f"medians and ranges apart         {apart:.1e} over {len(spots)} spots   at most {APART:.0e}")
    print(f"map of {len(spots)} spots, {READINGS} readings  {alone:.1f} ms")
    print(f"how even it is                   {even:.1f} ms")
    print(f"both                             {alone + even:.1f} ms   at most {MOST_MS:.0f} ms")
    print(f"dense Gaussian process by scipy  {peer:.1f} ms")
    print(f"ratio                            {peer / alone:.1f}   at least {LEAST_RATIO:.0f}")
    held = apart <= APART and alone + even <= MOST_MS and peer >= LEAST_RATIO * alone
    print("holds" if held else "DOES NOT HOLD")
    return 0 if held else 1


if __name__ == "__main__":
    sys.exit(main())
