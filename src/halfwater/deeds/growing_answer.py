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
from halfwater.science.ready_counts import ReadyDraws, drawn_counts, half_ready_days, ready_draws

DRAWS = 400
SEED = 1
STEP_DAYS = 7


@dataclass(frozen=True)
class GroupAnswer:
    """Numbers ready of taxa or of batches: whole numbers drawn, groups x draws x days x grades."""

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
    for_sale = np.array([pot.state != "kept" for pot in pots_of(facts, columns)], dtype=bool)
    needs = columns.need_leaves[here]
    chances = ready_chances(standing, days, needs, columns.rooted_days, for_sale, draws=DRAWS, seed=SEED)
    losses = draw_losses(loss_posterior(columns.losses, columns.loss_priors), DRAWS, SEED + 1)
    family = columns.losses.family[here]
    alive, alive_30d = _alive(standing, chances, losses, family)
    groups = [
        _group(standing, chances, losses, family, group, size)
        for group, size in (
            (standing.pots.taxon, len(columns.taxa)),
            (standing.pots.batch, len(columns.batches)),
        )
    ]
    return StockAnswer(
        facts, columns, everything, standing, chances, losses, alive, alive_30d, groups[0], groups[1]
    )


def pots_of(facts: StockFacts, columns: StockColumns) -> list[StandingPot]:
    """The standing pots in the order of the columns."""
    told = [pot for pot in facts.pots if pot.potted_on <= facts.on]
    return [told[row] for row in columns.standing]


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


def _group(
    standing: GrowthPosterior,
    chances: ReadyChances,
    losses: LossDraws,
    family: NDArray[np.intp],
    group: NDArray[np.intp],
    size: int,
) -> GroupAnswer:
    means = ready_draws(standing, chances, losses, family, group, size, seed=SEED + 2)
    counts = drawn_counts(means, SEED + 3)
    return GroupAnswer(counts, means, half_ready_days(means, chances.ahead_days, SEED + 4))
