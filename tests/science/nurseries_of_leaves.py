"""A nursery simulated day by day, with its truth: births and deaths of single leaves, lags, miscounts."""

from dataclasses import dataclass

import numpy as np

from halfwater.science.leaf_gains import GrowthPots, GrowthPriors

NOW = 20_000.0
DAYS_AHEAD = 182


def priors(taxa=2, tanks=3):
    """Starting values of a few slow taxa; warmth and light as stated."""
    low, high = np.full(taxa, 0.8), np.full(taxa, 2.6)
    low[1::2], high[1::2] = 1.4, 4.8
    return GrowthPriors(
        rate_log=np.log(low * high) / 2,
        rate_sigma_log=np.log(high / low) / 3.29,
        lag_log=np.full(taxa, np.log(38.7)),
        lag_sigma_log=np.full(taxa, 0.40),
        first_leaves=np.full(taxa, 3.0),
        first_leaves_var=np.full(taxa, 0.8),
        leaf_life_days=np.full(taxa, 540.0),
        tips_per_30d=np.full(taxa, 0.1),
        tips_sigma_log=np.full(taxa, 0.6),
        warmth_log=np.zeros((taxa, tanks)),
        light_log=np.zeros((taxa, tanks)),
    )


@dataclass
class Nursery:
    """What the grower's book holds, and what is true."""

    pots: GrowthPots
    rate: np.ndarray  # of each pot, in 30 days
    leaves: np.ndarray  # pots x days from now on


def simulate(seed, *, taxa=2, tanks=3, batches=8, size=12, counts=3, pot_cv=0.30, off=0.2):
    """One nursery; batches were potted over the last ten months."""
    rng = np.random.default_rng(seed)
    start = priors(taxa, tanks)
    taxon_log = rng.normal(start.rate_log, start.rate_sigma_log)
    batch_taxon = rng.integers(taxa, size=batches)
    batch_log, tank_log = rng.normal(0, 0.25, batches), rng.normal(0, 0.2, tanks)
    lag_shift = rng.normal(0, 0.4 * np.sqrt(0.5), taxa)
    potted_batch = NOW - rng.integers(0, 300, batches)
    batch = np.repeat(np.arange(batches), size)
    n = len(batch)
    taxon, potted = batch_taxon[batch], potted_batch[batch].astype(float)
    tank = rng.integers(tanks, size=n)
    shape = 1 / pot_cv**2
    rate = np.exp(taxon_log[taxon] + batch_log[batch] + tank_log[tank]) * rng.gamma(shape, 1 / shape, n)
    lag = np.exp(start.lag_log[taxon] + lag_shift[taxon] + rng.normal(0, 0.4 * np.sqrt(0.5), n))
    first = 2 + rng.integers(0, 3, n)
    leaves, days = first.astype(float), np.arange(NOW - 300, NOW + DAYS_AHEAD + 1)
    table = np.zeros((n, len(days)))
    for place, day in enumerate(days):
        age = day - potted
        grown = np.maximum(age - lag, 0)
        born = rng.poisson(np.where(age > lag, rate * (1 + 0.1 * grown / 30) / 30, 0))
        died = rng.binomial(leaves.astype(int), 1 - np.exp(-1 / 540.0))
        leaves = np.where(age > 0, leaves - died + born, first)
        table[:, place] = leaves
    return Nursery(
        _book(rng, table, days, taxon, batch, tank, potted, first, counts, off, batches),
        rate,
        table[:, days >= NOW],
    )


def _book(rng, table, days, taxon, batch, tank, potted, first, counts, off, batches):
    n = len(taxon)
    pot, day, seen = [], [], []
    for i in range(n):
        last = int(NOW - potted[i])
        for at in sorted(rng.choice(last, min(counts, last), replace=False) + 1) if last else ():
            pot.append(i)
            day.append(potted[i] + at)
            slip = rng.choice([-1, 0, 1], p=[off / 2, 1 - off, off / 2])
            seen.append(max(table[i, int(potted[i] + at - days[0])] + slip, 0))
    every = np.arange(n)
    return GrowthPots(
        taxon=taxon, batch=batch, tank=tank, potted_day=potted,
        first_leaves=np.where(rng.random(n) < 0.7, first, np.nan), lag_factor=np.ones(n),
        count_pot=np.array(pot, dtype=np.intp), count_day=np.array(day, float),
        count_leaves=np.array(seen, float),
        stay_pot=every, stay_tank=tank, stay_from_day=potted, stay_to_day=np.full(n, NOW),
        now_day=NOW, batches=batches,
    )  # fmt: skip


def one_pot(days, leaves, first=3.0):
    """One pot potted on day 0, counted on some days."""
    count = len(days)
    return GrowthPots(
        taxon=np.zeros(1, dtype=int), batch=np.zeros(1, dtype=int), tank=np.zeros(1, dtype=int),
        potted_day=np.zeros(1), first_leaves=np.array([first]), lag_factor=np.ones(1),
        count_pot=np.zeros(count, dtype=int), count_day=np.array(days, float),
        count_leaves=np.array(leaves, float), stay_pot=np.zeros(0, dtype=int),
        stay_tank=np.zeros(0, dtype=int), stay_from_day=np.zeros(0), stay_to_day=np.zeros(0),
        now_day=400.0, batches=1,
    )  # fmt: skip
