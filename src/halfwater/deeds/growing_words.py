"""What the outlook says in words: the one count worth most, and how the figures were worked out."""

import numpy as np

from halfwater.deeds.growing_answer import StockAnswer, pots_of
from halfwater.plain.figures import show_date
from halfwater.plain.working import Working
from halfwater.science import starting

_LOOK_DAYS = 91.0  # what a count would narrow is looked at a quarter ahead
_FEW = 5  # pots of a batch that are enough


def count_next(answer: StockAnswer) -> str:
    """The one stock-take that would narrow the forecast most; empty without pots for sale."""
    chances, standing = answer.chances, answer.standing
    if not chances.pots.sum():
        return ""
    day = int(np.argmin(np.abs(chances.ahead_days - _LOOK_DAYS)))
    table = chances.p_ready_sum[:, :, chances.p_ready_sum.shape[2] // 2, day].sum(axis=2)
    cells = table[:, -2] - table[:, 1]
    batch = standing.pots.batch[chances.cell_pot]
    worth = np.bincount(batch, cells)
    best = int(np.argmax(worth))
    if worth[best] <= 0.5:
        return ""
    pots = [pot for pot in pots_of(answer.facts, answer.columns) if pot.batch == answer.columns.batches[best]]
    counted = max((pot.counted_on for pot in pots if pot.counted_on is not None), default=None)
    since = f"last counted on {show_date(counted, answer.facts.on)}" if counted else "not counted yet"
    some = f"{_FEW} of its {len(pots)} pots" if len(pots) > _FEW else "its pots"
    name = pots[0].batch_name
    return f"Count the leaves of batch {name}, {since}: {some} are enough to narrow the forecast most."


def growth_workings(answer: StockAnswer) -> tuple[Working, ...]:
    """How pace, readiness and losses were worked out."""
    return _pace(answer), _ready(), _numbers(answer)


def _pace(answer: StockAnswer) -> Working:
    spans = int(answer.everything.spans.sum())
    return Working(
        title="Pace of each pot",
        equation="new leaves = taxon × batch × tank × warmth × light × the pot's own factor, at random",
        inputs=(
            ("spans between two counts", f"{spans}"),
            ("pots of one batch differ by", f"{starting.POT_CV_FRAC:.0%}"),
            ("batches of one taxon differ by", f"{starting.BATCH_SIGMA_LOG:.0%}"),
            ("tanks differ by", f"{starting.TANK_SIGMA_LOG:.0%}"),
            ("a count is off by", f"{starting.COUNT_SD_LEAVES:g} leaf"),
        ),
        value=f"{len(answer.standing.spans)} pots standing",
        source="Gamma-Poisson counts with crossed effects; starting values until counts say more",
        valid="plants that make leaves one by one",
    )


def _ready() -> Working:
    return Working(
        title="When a pot is ready",
        equation="leaves left of the last count + new leaves ≥ leaves of the grade, and rooted",
        inputs=(
            ("before the first new leaf", "a lag of its own, longer for pieces from the middle"),
            ("rooted after", f"{starting.ROOTED_DAYS:.0f} days, stems {starting.ROOTED_STEM_DAYS:.0f}"),
        ),
        value="10, 50 and 90 % of the waiting time",
        source="waiting time of a Gamma-Poisson count, a beta-prime law",
    )


def _numbers(answer: StockAnswer) -> Working:
    return Working(
        title="How many are ready",
        equation="sum over pots of chance to be ready × chance to live; what pots share is drawn together",
        inputs=(
            ("pots share", "pace of taxon, batch and tank, lag of the taxon, losses of tank and parent"),
            ("draws", f"{len(answer.losses.settling_log)}"),
        ),
        value="10, 50 and 90 % of the drawn numbers",
        source="own definition; held to simulated nurseries",
    )
