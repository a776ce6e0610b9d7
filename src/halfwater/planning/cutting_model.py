"""The cutting plan as a linear problem: stock by stage and scenario, common near decisions in whole pots.

What stands after an action is the variable, so that nothing can be sold or cut that is not there. Week 0 is the
same in all scenarios and is written once.
"""

from dataclasses import dataclass, field

import numpy as np

from halfwater.plain.cutting import PlanFacts
from halfwater.planning.cutting_stock import Stand
from halfwater.planning.cutting_weeks import Step
from halfwater.planning.problem import Draft, Floats, Problem, Whole
from halfwater.science import starting

GROWTH, LINES, SPOTS, MINUTES = "growth", "lines", "spots", "minutes"
DEMAND, KEPT, ENDING, SET_UP = "demand", "least kept", "end worth", "set-up"
SHORT_FACTOR = 5.0  # what a coin missing from the end worth costs: more than any sale brings
SELL_MIN = starting.HARVEST_MIN + starting.PACK_MIN


@dataclass(slots=True)
class TaxonColumns:
    """Where the decisions of one taxon stand; lists have one entry a step, None where there is no such decision."""

    stock: list[Whole] = field(default_factory=list)  # scenarios x stages, after the step's actions
    sold: list[Whole | None] = field(default_factory=list)  # scenarios x sold stages; step 0: one a group
    cut: list[Whole | None] = field(default_factory=list)  # scenarios x cut stages; step 0: one a group
    lines: list[Whole | None] = field(default_factory=list)  # scenarios x priced grades; near: 1 x grades
    classes: list[Whole | None] = field(default_factory=list)  # near: pots cut, by sections they give
    set_up: list[int | None] = field(default_factory=list)
    sections: list[Floats] = field(default_factory=list)  # that a pot of each near cut gives
    short: int = -1

    def near_cuts(self, place: int) -> Whole | None:
        """Where a near step's cuts stand, each a number of pots."""
        return self.classes[place] if self.classes[place] is not None else self.cut[place]

    def sections_cut(self, place: int, x: Floats) -> float:
        """Sections that a near step's cuts make."""
        cuts = self.near_cuts(place)
        return 0.0 if cuts is None else float(self.sections[place] @ x[cuts])


@dataclass(frozen=True, slots=True)
class Model:
    """The problem and where in it each decision stands."""

    problem: Problem
    columns: tuple[TaxonColumns, ...]
    minute_rows: tuple[Whole, ...]
    spot_rows: tuple[Whole, ...]


@dataclass(slots=True)
class Desk:
    """A plan's problem while it is written: all that the writers of rows share."""

    facts: PlanFacts
    steps: tuple[Step, ...]
    stands: tuple[Stand, ...]
    scenarios: int
    draft: Draft = field(default_factory=Draft)
    columns: list[TaxonColumns] = field(default_factory=list)
    idle: list[tuple[Floats, ...]] = field(default_factory=list)  # pots by scenario if nothing were done
    minute_rows: list[Whole] = field(default_factory=list)
    spot_rows: list[Whole] = field(default_factory=list)

    @property
    def minute_minor(self) -> float:
        """What a minute is worth to the grower."""
        return (self.facts.habit.hour_minor or 0) / 60.0

    @property
    def has_minutes(self) -> bool:
        """Whether minutes matter at all."""
        is_wished = any(wish.kind == "most minutes" for wish in self.facts.wishes)
        return self.facts.habit.minutes_a_week is not None or self.minute_minor > 0 or is_wished

    def finished(self) -> Model:
        """The model, no more rows being added."""
        rows = tuple(self.minute_rows), tuple(self.spot_rows)
        return Model(self.draft.finished(), tuple(self.columns), *rows)


def cutting_desk(
    facts: PlanFacts,
    steps: tuple[Step, ...],
    stands: tuple[Stand, ...],
    worths: tuple[Floats, ...],
    scenarios: int,
) -> Desk:
    """The cutting plan as a problem to which wishes can still be added.

    Parameters
    ----------
    facts : PlanFacts
        Spots, habit and prices.
    steps : tuple of Step
        Weeks of the plan.
    stands : tuple of Stand
        The taxa as the plan counts them.
    worths : tuple of numpy.ndarray
        What a pot of each stage is worth, one array a taxon.
    scenarios : int
        How many growth scenarios there are. Valid from 1 on.

    Returns
    -------
    Desk
        The problem, and where each decision stands in it.

    Notes
    -----
    y(t) = A y(t-1) - sold - cut + e sum(m cut), y >= 0; sum y <= spots; near decisions whole and common; far ones
    by scenario. Maximised: mean of price · sold - minutes · their worth - 5 · (what is missing of the end worth).
    Doing nothing keeps every rule: limits give way where even that would break them. No taxa give a problem
    without columns. Nan was refused before.

    Source: own definition
    """
    desk = Desk(facts, steps, stands, scenarios)
    for stand in stands:
        _grow(desk, stand)
    _share_spots(desk)
    if facts.habit.minutes_a_week is not None:
        desk.minute_rows += minute_rows(desk, facts.habit.minutes_a_week, MINUTES)
    for place, (stand, worth) in enumerate(zip(stands, worths, strict=True)):
        _keep(desk, place)
        _end(desk, stand, place, worth)
    return desk


def minute_rows(desk: Desk, limit: float, rule: str) -> list[Whole]:
    """Rows that hold the minutes of each step: cutting, setting up, harvest and packing.

    Parameters
    ----------
    desk : Desk
        The problem, its columns written.
    limit : float
        Minutes a week. [min] Valid from 0 on.
    rule : str
        What the rows are called.

    Returns
    -------
    list of numpy.ndarray
        Numbers of the rows, one array a step.

    Notes
    -----
    2.5 min a section, 20 min a batch, 5 min a plant sold; spread over the weeks of a far step. A limit of 0 lets
    nothing be done; nan was refused before.

    Source: priors, Minutes
    """
    made = []
    for place, step in enumerate(desk.steps):
        copies = 1 if step.is_near or place == 0 else desk.scenarios
        row = desk.draft.rows(copies, rule, high=limit * step.weeks)
        for stand, columns in zip(desk.stands, desk.columns, strict=True):
            _minutes_of(desk, stand, columns, place, row)
        made.append(row)
    return made


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
    The matrix of a week, multiplied by itself. No steps give {}. Nan does not occur in a chain that was built; any
    whole number of weeks from 1 on is in range.

    Source: own definition
    """
    return {weeks: np.linalg.matrix_power(stand.weekly, weeks) for weeks in sorted({s.weeks for s in steps})}


def _grow(desk: Desk, stand: Stand) -> None:
    """Columns and balance rows of one taxon over all steps."""
    columns, idle = TaxonColumns(), []
    over = powers(stand, desk.steps)
    standing = np.broadcast_to(stand.counts, (desk.scenarios, stand.stages))
    for place, step in enumerate(desk.steps):
        if place:
            standing = np.einsum("wij,wj->wi", over[desk.steps[place - 1].weeks], standing)
        idle.append(standing.sum(axis=1))
        _begin(desk, stand, columns, step) if place == 0 else _carry_on(desk, stand, columns, place, over)
    desk.columns.append(columns)
    desk.idle.append(tuple(idle))


def _begin(desk: Desk, stand: Stand, columns: TaxonColumns, step: Step) -> None:
    """Week 0: today's pots, group by group."""
    draft, groups = desk.draft, stand.groups
    is_whole, pots = desk.steps[0].is_near, np.array([group.pots for group in groups], dtype=float)
    stage = np.array([group.stage for group in groups], dtype=np.int64)
    sections = np.array([group.sections for group in groups], dtype=float)
    can_sell = np.array([g.stage in stand.sold_stages and not g.is_keeper for g in groups], dtype=bool)
    stock = draft.columns((1, stand.stages))
    cost = desk.minute_minor * starting.CUT_MIN * sections
    cut = draft.columns(len(groups), gain=-cost, high=np.where(sections > 1, pots, 0.0), is_whole=is_whole)
    balance = draft.rows(stand.stages, GROWTH, stand.counts, stand.counts)
    draft.put(balance, stock[0], 1.0)
    draft.put(balance[stage], cut, 1.0)
    draft.put(balance[stand.chain.entry], cut, -sections)
    there = draft.rows(len(groups), GROWTH, high=pots)
    draft.put(there, cut, 1.0)
    sold = lines = None
    if step.releases and stand.lines:
        sold = draft.columns(len(groups), high=np.where(can_sell, pots, 0.0), is_whole=is_whole)
        draft.put(balance[stage], sold, 1.0)
        draft.put(there, sold, 1.0)
        rank = np.array([stand.rank[g.stage] for g in groups])
        lines = _offer(desk, stand, step, sold[None, :], rank)
    columns.stock.append(stock)
    columns.sold.append(sold)
    columns.cut.append(cut)
    columns.lines.append(lines)
    columns.classes.append(None)
    columns.sections.append(sections)
    columns.set_up.append(_set_up(desk, stand, 0, cut, sections))


def _carry_on(desk: Desk, stand: Stand, columns: TaxonColumns, place: int, over: dict[int, Floats]) -> None:
    """A later step: what stood before, grown on, less what is sold and cut."""
    draft, step, scenarios = desk.draft, desk.steps[place], desk.scenarios
    matrix, before = over[desk.steps[place - 1].weeks], columns.stock[-1]
    stock = draft.columns((scenarios, stand.stages))
    balance = draft.rows((scenarios, stand.stages), GROWTH, 0.0, 0.0)
    draft.put(balance, stock, 1.0)
    draft.put(balance[:, :, None], np.broadcast_to(before, stock.shape)[:, None, :], -matrix)
    sold = lines = None
    if step.releases and stand.lines and stand.sold_stages:
        sold = draft.columns((scenarios, len(stand.sold_stages)))
        draft.put(balance[:, list(stand.sold_stages)], sold, 1.0)
        lines = _offer(desk, stand, step, sold, np.array(stand.rank)[list(stand.sold_stages)])
    cut, classes = _cut(desk, stand, place, balance)
    columns.stock.append(stock)
    columns.sold.append(sold)
    columns.cut.append(cut)
    columns.lines.append(lines)
    columns.classes.append(classes)
    sections = np.array(sorted({stand.sections[s] for s in stand.cut_stages}), dtype=float)
    columns.sections.append(sections)
    columns.set_up.append(None if classes is None else _set_up(desk, stand, place, classes, sections))


def _cut(desk: Desk, stand: Stand, place: int, balance: Whole) -> tuple[Whole | None, Whole | None]:
    """Cuts by stage and scenario; near ones add up to a common whole number for each count of sections."""
    if not stand.cut_stages:
        return None, None
    draft, is_near = desk.draft, desk.steps[place].is_near
    sections = np.array([stand.sections[stage] for stage in stand.cut_stages], dtype=float)
    minutes = 0.0 if is_near else desk.minute_minor * far_section_min() / desk.scenarios
    cut = draft.columns((desk.scenarios, len(sections)), gain=-minutes * sections)
    draft.put(balance[:, list(stand.cut_stages)], cut, 1.0)
    draft.put(balance[:, [stand.chain.entry]], cut, -sections)
    if not is_near:
        return cut, None
    kinds = np.array(sorted(set(sections)))
    most = sum(group.pots for group in stand.groups) + total_spots(desk.facts)
    classes = draft.columns(
        len(kinds), gain=-desk.minute_minor * starting.CUT_MIN * kinds, high=float(most), is_whole=True
    )
    same = draft.rows((desk.scenarios, len(kinds)), LINES, 0.0, 0.0)
    draft.put(same[:, np.searchsorted(kinds, sections)], cut, 1.0)
    draft.put(same, classes, -1.0)
    return cut, classes


def _offer(desk: Desk, stand: Stand, step: Step, sold: Whole, rank: Whole) -> Whole:
    """Lines of a release: each grade sold from pots of that grade or a larger one."""
    draft, ranks = desk.draft, np.array(stand.lines)
    copies, weight = (1, 1.0) if step.is_near else (len(sold), 1.0 / len(sold))
    price, most = stand.price[ranks - 1], stand.most[ranks - 1] * len(step.releases)
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


def _share_spots(desk: Desk) -> None:
    """No more pots than spots; where more stand today, no more than would stand untouched."""
    for place in range(len(desk.steps)):
        copies = 1 if place == 0 else desk.scenarios
        idle = sum((each[place] for each in desk.idle), np.zeros(desk.scenarios))[:copies]
        row = desk.draft.rows(copies, SPOTS, high=np.maximum(float(total_spots(desk.facts)), idle))
        for columns in desk.columns:
            desk.draft.put(row[:, None], columns.stock[place], 1.0)
        desk.spot_rows.append(row)


def _minutes_of(desk: Desk, stand: Stand, columns: TaxonColumns, place: int, row: Whole) -> None:
    draft, is_near = desk.draft, desk.steps[place].is_near
    lines, cut, classes, set_up = (
        columns.lines[place], columns.cut[place], columns.classes[place], columns.set_up[place],
    )  # fmt: skip
    if lines is not None:
        draft.put(row[:, None], lines, SELL_MIN)
    if set_up is not None:
        draft.put(row, set_up, starting.BATCH_MIN)
    each = starting.CUT_MIN if is_near else far_section_min()
    if classes is not None:
        draft.put(row, classes, each * np.array(sorted({stand.sections[s] for s in stand.cut_stages})))
    elif place == 0 and cut is not None:
        draft.put(row, cut, each * np.array([group.sections for group in stand.groups]))
    elif cut is not None:
        draft.put(row[:, None], cut, each * np.array([stand.sections[s] for s in stand.cut_stages]))


def _keep(desk: Desk, taxon: int) -> None:
    """After each release the least number of pots stands, or as many as would stand untouched."""
    least = float(max(desk.facts.habit.least_kept, 0))
    for place, stock in enumerate(desk.columns[taxon].stock):
        if desk.columns[taxon].sold[place] is not None and least > 0:
            low = np.minimum(least, desk.idle[taxon][place][: len(stock)])
            row = desk.draft.rows(len(stock), KEPT, low=low)
            desk.draft.put(row[:, None], stock, 1.0)


def _end(desk: Desk, stand: Stand, taxon: int, worth: Floats) -> None:
    """The stock at the end is worth at least what it is worth today, on the mean of the scenarios."""
    stock = desk.columns[taxon].stock[-1]
    matrix = powers(stand, desk.steps[-1:])[desk.steps[-1].weeks]
    value = np.einsum("s,wst->wt", worth, matrix) / desk.scenarios
    short = desk.draft.columns(1, gain=-SHORT_FACTOR)
    row = desk.draft.rows(1, ENDING, low=float(worth @ stand.counts))
    if len(stock) == 1:
        value = value.sum(axis=0, keepdims=True)
    desk.draft.put(row, stock, value)
    desk.draft.put(row, short, 1.0)
    desk.columns[taxon].short = int(short[0])


def total_spots(facts: PlanFacts) -> int:
    """Spots of all tanks.

    Parameters
    ----------
    facts : PlanFacts
        Its tanks.

    Returns
    -------
    int
        0 without tanks.

    Notes
    -----
    A sum of whole numbers; there is no nan and no range.

    Source: own definition
    """
    return sum(tank.spots for tank in facts.tanks)


def far_section_min() -> float:
    """Minutes a section takes in far weeks, its share of setting up for a batch included.

    Returns
    -------
    float
        Minutes. [min]

    Notes
    -----
    CUT_MIN + BATCH_MIN / BATCH_SECTIONS. No inputs, so that there is nothing at 0, nan or outside.

    Source: priors, Minutes
    """
    return starting.CUT_MIN + starting.BATCH_MIN / starting.BATCH_SECTIONS
