"""The growth of the whole stock, reckoned once for a state of the book: posterior, chances, joint draws."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from halfwater.deeds.growing_facts import StockColumns, StockFacts, stock_columns
from halfwater.plain.stock import StandingPot
from halfwater.science.growth import GrowthPosterior, growth_posterior, some_pots
from halfwater.science.losses import LossDraws, draw_losses, loss_posterior, survival
from halfwater.science.ready import ReadyChances, ready_chances
from halfwater.science.ready_counts import (
    ReadyDraws,
    drawn_counts,
    half_ready_days,
    merged_draws,
    ready_draws,
    some_days,
)

DRAWS = 400
SEED = 1
STEP_DAYS = 7
BATCH_STEP = 4  # batches are told every fourth week
MANY_POTS = 1000  # with more of them fewer draws tell as much


@dataclass(frozen=True)
class GroupAnswer:
    """Numbers ready of taxa or of batches: whole numbers drawn, groups x draws x days x grades."""

    which: NDArray[np.intp]  # the days, by their places
    counts: NDArray[np.int64]
    means: ReadyDraws
    half_days: NDArray[np.float64]  # groups x draws x grades


@dataclass(frozen=True)
class StockAnswer:
    """All that is reckoned of the stock; `standing` pots are numbered as in `facts.pots` that have one."""

    facts: StockFacts
    columns: StockColumns
    everything: GrowthPosterior
    standing: GrowthPosterior
    chances: ReadyChances
    losses: LossDraws
    alive: NDArray[np.float64]  # standing pots x days: chance to live
    alive_30d: NDArray[np.float64]
    by_taxon: GroupAnswer
    by_batch: GroupAnswer


@lru_cache(maxsize=4)
def reckon_stock(facts: StockFacts, horizon_days: int) -> StockAnswer:
    """The growth of the stock; the same question is remembered."""
    columns = stock_columns(facts)
    everything = growth_posterior(columns.growth, columns.growth_priors)
    here = columns.standing
    standing = some_pots(everything, here)
    days = np.unique(np.append(np.arange(0, horizon_days, STEP_DAYS), horizon_days)).astype(float)
    for_sale = np.array([_is_for_sale(pot) for pot in pots_of(facts, columns)], dtype=bool)
    needs = columns.need_leaves[here]
    draws = DRAWS if len(here) <= MANY_POTS else DRAWS // 2
    chances = ready_chances(standing, days, needs, columns.rooted_days, for_sale, draws=draws, seed=SEED)
    losses = draw_losses(loss_posterior(columns.losses, columns.loss_priors), draws, SEED + 1)
    family = columns.losses.family[here]
    alive, alive_30d = _alive(standing, chances, losses, family)
    batches = ready_draws(
        standing, chances, losses, family, standing.pots.batch, len(columns.batches), seed=SEED + 2
    )
    taxon_of = np.zeros(len(columns.batches), dtype=np.intp)
    taxon_of[columns.growth.batch] = columns.growth.taxon
    return StockAnswer(
        facts=facts,
        columns=columns,
        everything=everything,
        standing=standing,
        chances=chances,
        losses=losses,
        alive=alive,
        alive_30d=alive_30d,
        by_taxon=_group(merged_draws(batches, taxon_of, len(columns.taxa)), days, 1),
        by_batch=_group(batches, days, BATCH_STEP),
    )


def pots_of(facts: StockFacts, columns: StockColumns) -> list[StandingPot]:
    """The standing pots in the order of the columns."""
    told = [pot for pot in facts.pots if pot.potted_on <= facts.on]
    return [told[row] for row in columns.standing]


def _is_for_sale(pot: StandingPot) -> bool:
    return pot.state != "kept" and pot.promised_to is None


def _alive(
    standing: GrowthPosterior, chances: ReadyChances, losses: LossDraws, family: NDArray[np.intp]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Each pot's chance to live until each day, and for thirty days."""
    first = chances.cell_pot
    pots = standing.pots
    age = pots.now_day - pots.potted_day[first]
    days = np.append(chances.ahead_days, 30.0)
    cells = survival(losses, pots.taxon[first], pots.tank[first], family[first], age, days).mean(axis=0)
    each = cells[chances.cell]
    return each[:, :-1], each[:, -1]


def _group(means: ReadyDraws, ahead_days: NDArray[np.float64], step: int) -> GroupAnswer:
    """Whole numbers on every so many days, and when half of each group is ready."""
    which = np.unique(np.append(np.arange(0, len(ahead_days), step), len(ahead_days) - 1))
    told = some_days(means, which)
    return GroupAnswer(
        which, drawn_counts(told, SEED + 3), told, half_ready_days(means, ahead_days, SEED + 4)
    )
