"""How the stock of a cutting plan grows on: balances of what can be sold or cut, young pots in figures.

A pot too young to be sold or cut moves on by itself. Its way is reckoned beforehand, so that only the stages
in
which something can be decided are columns of the problem.
"""

import numpy as np

from halfwater.planning.cutting_columns import (
    DEMAND,
    GROWTH,
    LINES,
    SELL_MIN,
    SET_UP,
    Desk,
    TaxonColumns,
    Young,
    far_section_min,
    total_spots,
)
from halfwater.planning.cutting_stock import Stand
from halfwater.planning.cutting_weeks import Step
from halfwater.planning.problem import Floats, Whole
from halfwater.science import starting

_NOTHING_LEFT = 1e-8  # of a pot: so few are counted as none


def powers(stand: Stand, steps: tuple[Step, ...]) -> dict[int, Floats]:
    """Growth over each length of step, by scenario.

    Parameters
    ----------
    stand : Stand
        The taxon's growth over a week.
    steps : tuple of Step
        Their lengths are wanted.

    Returns
    -------
    dict
        Weeks -> matrices, scenario x stage to x stage from.

    Notes
    -----
    The matrix of a week, multiplied by itself. No steps give {}. Nan does not occur in a chain that was
    built; any
    whole number of weeks from 1 on is in range.

    Source: own definition
    """
    return {weeks: np.linalg.matrix_power(stand.weekly, weeks) for weeks in sorted({s.weeks for s in steps})}


def first_grown(stand: Stand) -> int:
    """The first stage in which a pot can be sold or cut.

    Parameters
    ----------
    stand : Stand
        Stages with their grades, prices and sections.

    Returns
    -------
    int
        A place in the chain; the number of stages where nothing can ever be decided.

    Notes
    -----
    The least of all stages that are sold or give two sections. Nothing is at 0, nan or outside.

    Source: own definition
    """
    return min((*stand.sold_stages, *stand.cut_stages), default=stand.stages)


def grow(desk: Desk, stand: Stand) -> None:
    """Columns and balances of one taxon over all steps.

    Parameters
    ----------
    desk : Desk
        The problem; the taxon's columns are added to it.
    stand : Stand
        The taxon as the plan counts it.

    Returns
    -------
    None
        The desk has one more taxon.

    Notes
    -----
    grown(t) = A grown(t-1) + (out of young, by when they came in) - sold - cut. A taxon without pots has
    rows all the
    same. Nan was refused before.

    Source: own definition
    """
    columns, idle = TaxonColumns(), []
    over = powers(stand, desk.steps)
    standing = np.broadcast_to(stand.counts, (desk.scenarios, stand.stages))
    still = standing[:, : first_grown(stand)]
    for place, step in enumerate(desk.steps):
        if place:
            matrix = over[desk.steps[place - 1].weeks]
            standing = np.einsum("wij,wj->wi", matrix, standing)
            still = _carry_on(desk, stand, columns, place, matrix, still)
        else:
            _begin(desk, stand, columns, step)
        idle.append(standing.sum(axis=1))
        columns.young_pots.append(still.sum(axis=1))
        columns.still.append(still)
    columns.most_extra = max(stand.extras, default=0)
    _pool(desk, stand, columns)
    desk.columns.append(columns)
    desk.idle.append(tuple(idle))


def _begin(desk: Desk, stand: Stand, columns: TaxonColumns, step: Step) -> None:
    """Week 0: today's pots, group by group."""
    draft, groups, grown = desk.draft, stand.groups, first_grown(stand)
    is_whole, pots = step.is_near, np.array([group.pots for group in groups], dtype=float)
    stage = np.array([group.stage for group in groups], dtype=np.int64)
    sections = np.array([group.sections for group in groups], dtype=float)
    can_sell = np.array([g.stage in stand.sold_stages and not g.is_keeper for g in groups], dtype=bool)
    is_grown = stage >= grown
    stock = draft.columns((1, stand.stages - grown))
    section_min = starting.CUT_MIN if step.is_near else far_section_min()
    cost = desk.minute_minor * section_min * sections
    cut = draft.columns(len(groups), gain=-cost, high=np.where(sections > 1, pots, 0.0), is_whole=is_whole)
    balance = draft.rows(stand.stages - grown, GROWTH, stand.counts[grown:], stand.counts[grown:])
    columns.balance.append(balance)
    draft.put(balance, stock[0], 1.0)
    draft.put(balance[stage[is_grown] - grown], cut[is_grown], 1.0)
    there = draft.rows(len(groups), GROWTH, high=pots)
    draft.put(there, cut, 1.0)
    sold = lines = None
    if step.releases and stand.lines:
        sold = draft.columns(len(groups), high=np.where(can_sell, pots, 0.0), is_whole=is_whole)
        draft.put(balance[stage[is_grown] - grown], sold[is_grown], 1.0)
        draft.put(there, sold, 1.0)
        lines = _offer(desk, stand, step, sold[None, :], np.array([stand.rank[g.stage] for g in groups]))
    young = [
        _young(desk, stand, cut[[n]], -1.0, stage[n]) for n in np.flatnonzero(~is_grown & (sections > 1))
    ]
    young.append(_fresh(desk, stand, cut[None, :], sections))
    _note(columns, stock, sold, cut, lines, None, sections, young)
    columns.extra.append(None)
    columns.set_up.append(_set_up(desk, stand, 0, cut, sections))


def _carry_on(
    desk: Desk, stand: Stand, columns: TaxonColumns, place: int, matrix: Floats, still: Floats
) -> Floats:
    """A later step: what stood before, grown on, less sales and cuts; today's young pots are given back."""
    draft, step, scenarios, grown = desk.draft, desk.steps[place], desk.scenarios, first_grown(stand)
    within, out, up = matrix[:, :grown, :grown], matrix[:, grown:, :grown], matrix[:, grown:, grown:]
    before = columns.stock[-1]
    stock = draft.columns((scenarios, stand.stages - grown))
    due = np.einsum("wij,wj->wi", out, still)
    balance = draft.rows(stock.shape, GROWTH, due, due)
    columns.balance.append(balance)
    draft.put(balance, stock, 1.0)
    draft.put(balance[:, :, None], np.broadcast_to(before, stock.shape)[:, None, :], -up)
    young = _move_on(desk, columns.young[-1], balance, within, out)
    sold = lines = None
    if step.releases and stand.lines and stand.sold_stages:
        sold = draft.columns((scenarios, len(stand.sold_stages)))
        draft.put(balance[:, np.array(stand.sold_stages) - grown], sold, 1.0)
        lines = _offer(desk, stand, step, sold, np.array(stand.rank)[list(stand.sold_stages)])
    cut, classes = _cut(desk, stand, place, balance)
    sections = np.array(sorted({stand.sections[s] for s in stand.cut_stages}), dtype=float)
    cuts, gives = (
        (None if cut is None else cut),
        np.array([stand.sections[s] for s in stand.cut_stages], float),
    )
    if classes is not None:
        cuts, gives = classes[None, :], sections
    extra = None
    if cuts is not None:
        extra = _extra(desk, stand, cuts, step.is_near)
        if extra is not None:
            cuts, gives = np.concatenate([cuts, extra[:, None]], axis=1), np.append(gives, 1.0)
        young.append(_fresh(desk, stand, cuts, gives))
    _note(columns, stock, sold, cut, lines, classes, sections, young)
    columns.extra.append(extra)
    near = None if cuts is None or not step.is_near else cuts[0]
    columns.set_up.append(None if near is None else _set_up(desk, stand, place, near, gives))
    return np.asarray(np.einsum("wij,wj->wi", within, still))


def _move_on(desk: Desk, young: list[Young], balance: Whole, within: Floats, out: Floats) -> list[Young]:
    """Young pots a step later: who has grown comes into the balance, the rest stays young."""
    left = []
    for each in young:
        come = np.einsum("wij,wj->wi", out, each.pots)
        desk.draft.put(balance, each.column[:, None], np.where(np.abs(come) > _NOTHING_LEFT, -come, 0.0))
        pots = np.einsum("wij,wj->wi", within, each.pots)
        if np.abs(pots).max(initial=0.0) > _NOTHING_LEFT:
            left.append(Young(each.column, pots))
    return left


def _note(
    columns: TaxonColumns, stock: Whole, sold: Whole | None, cut: Whole | None, lines: Whole | None,
    classes: Whole | None, sections: Floats, young: list[Young],
) -> None:  # fmt: skip
    columns.stock.append(stock)
    columns.sold.append(sold)
    columns.cut.append(cut)
    columns.lines.append(lines)
    columns.classes.append(classes)
    columns.sections.append(sections)
    columns.young.append(young)


def _young(desk: Desk, stand: Stand, column: Whole, pots: float, stage: int) -> Young:
    """Pots at a young stage, in all scenarios."""
    state = np.zeros((desk.scenarios, first_grown(stand)))
    state[:, stage] = pots
    return Young(column, state)


def _fresh(desk: Desk, stand: Stand, cuts: Whole, sections: Floats) -> Young:
    """The sections made by some cuts (copies x kinds), as one column a copy."""
    made = desk.draft.columns(len(cuts))
    row = desk.draft.rows(len(cuts), GROWTH, 0.0, 0.0)
    desk.draft.put(row, made, -1.0)
    desk.draft.put(row[:, None], cuts, sections)
    return _young(desk, stand, made, 1.0, stand.chain.entry)


def _extra(desk: Desk, stand: Stand, cuts: Whole, is_near: bool) -> Whole | None:
    """Sections that today's pots with long rhizomes give beyond their stage, whenever they are cut."""
    most = max(stand.extras, default=0)
    if not most:
        return None
    weight, section_min = (1.0, starting.CUT_MIN) if is_near else (1.0 / len(cuts), far_section_min())
    total = float(sum(n * group.pots for n, group in zip(stand.extras, stand.groups, strict=True)))
    gain = -desk.minute_minor * section_min * weight
    extra = desk.draft.columns(len(cuts), gain=gain, high=total, is_whole=is_near)
    row = desk.draft.rows(len(cuts), LINES, high=0.0)
    desk.draft.put(row, extra, 1.0)
    desk.draft.put(row[:, None], cuts, -float(most))
    return extra


def _pool(desk: Desk, stand: Stand, columns: TaxonColumns) -> None:
    """Extra sections are given once: what is cut or sold today takes its own along."""
    each = np.array(stand.extras, dtype=float)
    if not columns.most_extra:
        return
    total = float(each @ [group.pots for group in stand.groups])
    row = desk.draft.rows(desk.scenarios, LINES, high=total)
    for gone in (columns.cut[0], columns.sold[0]):
        if gone is not None:
            desk.draft.put(row[:, None], gone, each)
    for extra in columns.extra:
        if extra is not None:
            desk.draft.put(row, extra, 1.0)


def _cut(desk: Desk, stand: Stand, place: int, balance: Whole) -> tuple[Whole | None, Whole | None]:
    """Cuts by stage and scenario; near ones add up to a common whole number for each count of sections."""
    if not stand.cut_stages:
        return None, None
    draft, is_near = desk.draft, desk.steps[place].is_near
    sections = np.array([stand.sections[stage] for stage in stand.cut_stages], dtype=float)
    minutes = 0.0 if is_near else desk.minute_minor * far_section_min() / desk.scenarios
    cut = draft.columns((desk.scenarios, len(sections)), gain=-minutes * sections)
    draft.put(balance[:, np.array(stand.cut_stages) - first_grown(stand)], cut, 1.0)
    if not is_near:
        return cut, None
    kinds = np.array(sorted(set(sections)))
    most = sum(group.pots for group in stand.groups) + total_spots(desk.facts)
    gain = -desk.minute_minor * starting.CUT_MIN * kinds
    classes = draft.columns(len(kinds), gain=gain, high=float(most), is_whole=True)
    same = draft.rows((desk.scenarios, len(kinds)), LINES, 0.0, 0.0)
    draft.put(same[:, np.searchsorted(kinds, sections)], cut, 1.0)
    draft.put(same, classes, -1.0)
    return cut, classes


def _offer(desk: Desk, stand: Stand, step: Step, sold: Whole, rank: Whole) -> Whole:
    """Lines of a release: each grade sold from pots of that grade or a larger one."""
    draft, ranks = desk.draft, np.array(stand.lines)
    copies, weight = (1, 1.0) if step.is_near else (len(sold), 1.0 / len(sold))
    price, most = stand.price_minor[ranks - 1], stand.most[ranks - 1] * len(step.releases)
    gain = weight * (price - desk.minute_minor * SELL_MIN)
    lines = draft.columns((copies, len(ranks)), gain=gain, is_whole=step.is_near)
    spread = np.broadcast_to(lines, (len(sold), len(ranks)))
    for place, least in enumerate(ranks):
        chosen = sold[:, rank >= least]
        row = draft.rows(len(sold), LINES, low=-np.inf if place else 0.0, high=0.0)
        draft.put(row[:, None], spread[:, place:], 1.0)
        draft.put(row[:, None], chosen, -1.0)
    limited = np.isfinite(most)
    if limited.any():
        row = draft.rows((copies, int(limited.sum())), DEMAND, high=most[limited])
        draft.put(row, lines[:, limited], 1.0)
    return lines


def _set_up(desk: Desk, stand: Stand, place: int, cuts: Whole, sections: Floats) -> int | None:
    """Setting up for a batch: once a taxon and near week in which any pot is cut."""
    if not desk.has_minutes or not desk.steps[place].is_near or not len(cuts):
        return None
    draft = desk.draft
    most = float(total_spots(desk.facts) + sum(g.pots for s in desk.stands for g in s.groups))
    if desk.facts.habit.minutes_a_week is not None:
        within = max(desk.facts.habit.minutes_a_week - starting.BATCH_MIN, 0.0) / starting.CUT_MIN
        most = min(most, within)
    begun = draft.columns(1, gain=-desk.minute_minor * starting.BATCH_MIN, high=1.0, is_whole=True)
    row = draft.rows(1, SET_UP, high=0.0)
    draft.put(row, cuts, sections)
    draft.put(row, begun, -most)
    return int(begun[0])
