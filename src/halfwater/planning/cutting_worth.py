"""What the floors could give for ever, and what a pot of each stage is worth by it."""

from dataclasses import dataclass, replace

import numpy as np

from halfwater.plain.cutting import PlanFacts, SteadyYield
from halfwater.plain.stock import GRADES
from halfwater.planning.cutting_columns import SELL_MIN, far_section_min, total_spots
from halfwater.planning.cutting_stock import Stand, scenario_draws, stand_of
from halfwater.planning.problem import Draft, Floats, Whole
from halfwater.planning.solve import Answer, solved

WEEKS_A_MONTH = 30.0 / 7.0


@dataclass(frozen=True, slots=True)
class _Flow:
    """Columns of one taxon in the steady problem, a week's flow each."""

    stock: Whole
    sold: Whole
    lines: Whole
    cut: Whole
    balance: Whole


def steady_yield(facts: PlanFacts) -> tuple[tuple[SteadyYield, ...], tuple[Floats, ...]]:
    """What the floors could give week after week for ever, and what a pot of each stage is worth.

    The yield is that of all taxa together, sharing spots, minutes and demand. The worths are each taxon's
    own: what
    one more pot of a stage would bring where the taxon had a floor to itself and buyers took all.

    Parameters
    ----------
    facts : PlanFacts
        Taxa with their draws, floors, prices and habit.

    Returns
    -------
    tuple
        One SteadyYield a taxon, and one array of worths a taxon in the order of its stages.

    Raises
    ------
    RefusedInput
        If a price, a cap or a draw is outside its range.

    Notes
    -----
    max p·sold, y = A y - sold - cut + e sum(m cut), sum y <= spots, sold <= cap / rhythm, at the mean of the
    draws; worths are the duals of the balance. A taxon without any price is counted at 1 a pot. No spots
    give a yield
    of 0; nan is refused where the facts are read.

    Source: own definition; caswell-2001, chapter 4
    """
    draws = scenario_draws(replace(facts, scenarios=1))
    stands = tuple(stand_of(facts, taxon, draws) for taxon in facts.taxa)
    return steady_flows(facts, stands), tuple(stage_worths(stand) for stand in stands)


def stage_worths(stand: Stand) -> Floats:
    """What one more pot of each stage is worth to a floor that is always full of its taxon.

    Parameters
    ----------
    stand : Stand
        Stages, growth at the mean of the draws, prices.

    Returns
    -------
    numpy.ndarray
        One value a stage. [minor]

    Raises
    ------
    RefusedInput
        If a price is nan where there is one.

    Notes
    -----
    Duals of the balance of one spot's steady problem, without caps and minutes; a pot may be thrown away,
    so that
    none is below 0. Without any price each grade counts 1. A price of 0 for all gives 0 for all.

    Source: own definition
    """
    priced = stand if stand.lines else replace(stand, price_minor=np.ones(3))
    free = replace(priced, most=np.full(3, np.inf))
    draft = Draft()
    flow = _flow(draft, free, 1.0, 0.0)
    away = draft.columns(stand.stages)
    draft.put(flow.balance, away, 1.0)
    draft.put(draft.rows(1, "spots", high=1.0), flow.stock, 1.0)
    answer = solved(draft.finished())
    return np.maximum(answer.row_worth[flow.balance], 0.0)


def steady_flows(facts: PlanFacts, stands: tuple[Stand, ...]) -> tuple[SteadyYield, ...]:
    """What all taxa together could give for ever, sharing spots, minutes and demand.

    Parameters
    ----------
    facts : PlanFacts
        Floors and habit.
    stands : tuple of Stand
        The taxa as the plan counts them.

    Returns
    -------
    tuple of SteadyYield
        One a taxon.

    Raises
    ------
    RefusedInput
        If a number of the problem is nan.

    Notes
    -----
    The steady problem of `steady_yield`; 30 days are 30/7 weeks. No stands give (); no prices give no sales.

    Source: own definition
    """
    habit, draft = facts.habit, Draft()
    minute_minor = (habit.hour_minor or 0) / 60.0
    flows = [_flow(draft, stand, float(habit.release_every_weeks), minute_minor) for stand in stands]
    spots = draft.rows(1, "spots", high=float(total_spots(facts)))
    limit = np.inf if habit.minutes_a_week is None else habit.minutes_a_week
    minutes = draft.rows(1, "minutes", high=limit)
    for stand, flow in zip(stands, flows, strict=True):
        draft.put(spots, flow.stock, 1.0)
        draft.put(minutes, flow.lines, SELL_MIN)
        draft.put(minutes, flow.cut, far_section_min() * np.array(stand.sections)[list(stand.cut_stages)])
    answer = solved(draft.finished())
    return tuple(_told(stand, flow, answer) for stand, flow in zip(stands, flows, strict=True))


def _flow(draft: Draft, stand: Stand, every_weeks: float, minute_minor: float) -> _Flow:
    """One taxon at rest: what grows in is sold, cut or lost."""
    matrix = stand.chain.matrix
    sold_stages, cut_stages, ranks = (
        list(stand.sold_stages),
        list(stand.cut_stages),
        np.array(stand.lines, dtype=int),
    )
    sections = np.array(stand.sections, dtype=float)[cut_stages]
    stock, sold = draft.columns(stand.stages), draft.columns(len(sold_stages))
    lines = draft.columns(
        len(ranks),
        gain=stand.price_minor[ranks - 1] - minute_minor * SELL_MIN,
        high=stand.most[ranks - 1] / every_weeks,
    )
    cut = draft.columns(len(cut_stages), gain=-minute_minor * far_section_min() * sections)
    balance = draft.rows(stand.stages, "growth", 0.0, 0.0)
    draft.put(balance[:, None], stock[None, :], np.eye(stand.stages) - matrix)
    draft.put(balance[sold_stages], sold, 1.0)
    draft.put(balance[cut_stages], cut, 1.0)
    draft.put(balance[stand.chain.entry], cut, -sections)
    rank = np.array(stand.rank, dtype=int)[sold_stages]
    for place, least in enumerate(ranks):
        row = draft.rows(1, "lines", low=-np.inf if place else 0.0, high=0.0)
        draft.put(row, lines[place:], 1.0)
        draft.put(row, sold[rank >= least], -1.0)
    return _Flow(stock, sold, lines, cut, balance)


def _told(stand: Stand, flow: _Flow, answer: Answer) -> SteadyYield:
    sold = answer.x[flow.lines] * WEEKS_A_MONTH
    grades = [GRADES[rank - 1] for rank in stand.lines]
    prices = np.array([stand.price_minor[rank - 1] for rank in stand.lines])
    return SteadyYield(
        taxon=stand.taxon.key,
        taxon_name=stand.taxon.name,
        sold_a_month={grade: float(pots) for grade, pots in zip(grades, sold, strict=True)},
        cut_a_month=float(answer.x[flow.cut].sum() * WEEKS_A_MONTH),
        pots_standing=float(answer.x[flow.stock].sum()),
        pots_now=float(len(stand.taxon.pots)),
        income_minor_a_month=float(prices @ sold),
    )
