"""Each standing pot in the outlook: its pace, its leaves, when it is ready, and whether it stands out."""

from datetime import date, timedelta

import numpy as np

from halfwater.deeds.clock import day_from_number
from halfwater.deeds.growing_answer import StockAnswer, pots_of
from halfwater.plain.figures import show_date
from halfwater.plain.growing import GradeDate, PotOutlook, Span
from halfwater.plain.stock import GRADES, StandingPot
from halfwater.science.growth import pot_paces
from halfwater.science.ready_counts import crossing_days

_TEN_SD = 1.2816  # standard deviations from the middle to 10 and 90 %
_SLOW_FACTOR = 0.85  # a pot is slow when nine chances in ten say that it is slower than this
_BEHIND = 0.03  # or when a pot of the batch's pace would hardly have gained so little
_ODD_SD = 3.2
_LEVELS = (0.1, 0.5, 0.9)


def pot_outlooks(answer: StockAnswer) -> tuple[PotOutlook, ...]:
    """One outlook a standing pot, in walking order."""
    standing, chances = answer.standing, answer.chances
    mean, spread = pot_paces(standing)
    pace_log = standing.rate_log + np.log(mean)
    shared = chances.pace_sigma_log[chances.cell]
    sigma = np.sqrt(np.log1p(spread**2) + shared**2)
    rising = np.maximum.accumulate(chances.p_ready, axis=1)
    levels = np.broadcast_to(np.array(_LEVELS), (len(mean), len(GRADES), len(_LEVELS)))
    days = crossing_days(np.moveaxis(rising, 2, 1), levels, chances.ahead_days)
    last = rising[:, -1] * answer.alive[:, -1:]
    is_slow = (mean * np.exp(_TEN_SD * spread) < _SLOW_FACTOR) | (standing.p_behind < _BEHIND)
    is_slow &= (standing.spans > 0) & (mean < _SLOW_FACTOR) & (np.abs(standing.odd_sd) <= _ODD_SD)
    found = []
    for row, pot in enumerate(pots_of(answer.facts, answer.columns)):
        why = _why(answer, row, bool(is_slow[row]), float(np.exp(pace_log[row])), float(mean[row]))
        found.append(
            PotOutlook(
                pot=pot,
                rate_per_30d=lognormal_span(float(pace_log[row]), float(sigma[row])),
                leaves=_leaves(float(chances.mean_leaves[row, 0]), float(chances.sd_leaves[row, 0])),
                dates=_dates(answer, row, pot, days[row], last[row]),
                p_ready_frac=float(chances.p_ready[row, 0, 0]),
                p_lost_per_30d_frac=float(1.0 - answer.alive_30d[row]),
                is_slow=bool(is_slow[row]),
                is_odd=_is_odd(answer, row),
                why=why,
            )
        )
    return tuple(found)


def lognormal_span(log: float, sigma: float) -> Span:
    """Median and 80 % range of a lognormal quantity."""
    ends = np.exp(log + sigma * _TEN_SD * np.array([-1.0, 0.0, 1.0]))
    return Span(*ends.tolist())


def day_ahead(on: date, days: float) -> date | None:
    """The date some days from a day on; None where it lies past the horizon."""
    return on + timedelta(days=int(np.ceil(days))) if np.isfinite(days) else None


def _leaves(mean: float, sd: float) -> Span:
    return Span(max(mean - _TEN_SD * sd, 0.0), mean, mean + _TEN_SD * sd)


def _dates(
    answer: StockAnswer, row: int, pot: StandingPot, days: np.ndarray, last: np.ndarray
) -> tuple[GradeDate, ...]:
    facts, columns = answer.facts, answer.columns
    taxon = answer.standing.pots.taxon[row]
    need = columns.need_leaves[columns.standing[row]]
    rooting = float(columns.rooted_days[taxon]) - (facts.on - pot.potted_on).days
    is_rooted = rooting <= 0
    found = []
    for place, grade in enumerate(GRADES):
        seen = need[place] < 0 or (pot.leaves is not None and pot.leaves >= need[place])
        dates = [day_ahead(facts.on, max(float(value), rooting)) for value in days[place]]
        if seen and is_rooted:
            dates = [facts.on] * 3
        rule = int(columns.rule_leaves[taxon, place])
        found.append(GradeDate(grade, rule, *dates, bool(seen and is_rooted), float(last[place])))
    return tuple(found)


def _is_odd(answer: StockAnswer, row: int) -> bool:
    standing = answer.standing
    return bool(np.isfinite(standing.wild_leaves[row]) or abs(standing.odd_sd[row]) > _ODD_SD)


def _why(answer: StockAnswer, row: int, is_slow: bool, pace: float, factor: float) -> str:
    """What stands out about a pot, in words."""
    standing = answer.standing
    said = []
    if is_slow:
        said.append(f"makes {pace:.1f} leaves in 30 days where its batch makes {pace / factor:.1f}")
    wild, off = standing.wild_leaves[row], standing.odd_sd[row]
    if np.isfinite(wild):
        on = show_date(day_from_number(float(standing.wild_day[row])), answer.facts.on)
        said.append(f"the count of {wild:.0f} on {on} does not fit the other counts and is left out")
    elif abs(off) > _ODD_SD:
        way = "many more" if off > 0 else "far fewer"
        said.append(f"{way} leaves were counted than could be expected from the count before")
    return "; ".join(said)
