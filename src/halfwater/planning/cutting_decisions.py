"""A solved plan as numbers: what is sold and cut in each step and scenario, and what then stands."""

from dataclasses import dataclass

import numpy as np

from halfwater.planning.cutting_columns import TaxonColumns
from halfwater.planning.cutting_stock import Stand
from halfwater.planning.cutting_weeks import Step
from halfwater.planning.problem import Floats, Whole


@dataclass(frozen=True, slots=True)
class TaxonDecisions:
    """One taxon: arrays of scenarios x stages, one a step; lines by small, standard, large."""

    taxon: int
    sold: tuple[Floats, ...]
    cut: tuple[Floats, ...]
    sections: tuple[Floats, ...]  # made by the cuts, one a scenario
    lines: tuple[Floats, ...]  # scenarios x 3
    stock: tuple[Floats, ...]  # after the step's actions
    sold_today: tuple[float, ...]  # of each group of today's pots
    cut_today: tuple[float, ...]
    cut_kinds: tuple[dict[int, float], ...]  # near steps and today: sections a pot gives -> pots cut
    extra: tuple[Floats, ...]  # sections beyond those of the stages, one a scenario
    has_set_up: tuple[bool, ...]
    worth_minor: Floats  # of a pot of each stage
    short_minor: float  # what the mean end worth lacks


@dataclass(frozen=True, slots=True)
class Decisions:
    """All taxa, with the draws that the scenarios are."""

    draws: tuple[int, ...]
    steps: tuple[Step, ...]
    taxa: tuple[TaxonDecisions, ...]
    income_minor: Floats  # of each scenario


def decisions_of(
    draws: tuple[int, ...],
    steps: tuple[Step, ...],
    stands: tuple[Stand, ...],
    columns: tuple[TaxonColumns, ...],
    worths: tuple[Floats, ...],
    x: Floats,
) -> Decisions:
    """The decisions that stand in a solution.

    Parameters
    ----------
    draws : tuple of int
        The scenarios.
    steps : tuple of Step
        The plan's weeks.
    stands : tuple of Stand
        The taxa as counted.
    columns : tuple of TaxonColumns
        Where each decision stands.
    worths : tuple of numpy.ndarray
        What a pot of each stage is worth.
    x : numpy.ndarray
        The solution. [1] Valid within the problem's limits.

    Returns
    -------
    Decisions
        As arrays by taxon, step, scenario and stage.

    Notes
    -----
    Amounts below 1e-9 are nought. No taxa give an income of 0 in each scenario; nan does not occur in a
    solution.

    Source: own definition
    """
    tidy = np.where(np.abs(x) < 1e-9, 0.0, x)
    taxa = tuple(
        _taxon(len(draws), steps, stand, place, worth, tidy)
        for stand, place, worth in zip(stands, columns, worths, strict=True)
    )
    income = np.zeros(len(draws))
    for stand, taxon in zip(stands, taxa, strict=True):
        income += sum(
            (lines @ np.nan_to_num(stand.price_minor) for lines in taxon.lines), np.zeros(len(draws))
        )
    return Decisions(draws, steps, taxa, income)


def _taxon(
    scenarios: int, steps: tuple[Step, ...], stand: Stand, columns: TaxonColumns, worth: Floats, x: Floats
) -> TaxonDecisions:
    stage = np.array([group.stage for group in stand.groups], dtype=int)
    gives = np.array([group.sections for group in stand.groups], dtype=float)
    sold, cut, sections, lines, kinds, extra = [], [], [], [], [], []
    by_stage = np.array(stand.sections, dtype=float)
    for place, _ in enumerate(steps):
        is_first = place == 0
        here = list(stand.sold_stages), list(stand.cut_stages)
        sold.append(_spread(scenarios, stand.stages, columns.sold[place], stage if is_first else here[0], x))
        cut.append(_spread(scenarios, stand.stages, columns.cut[place], stage if is_first else here[1], x))
        first_cut = columns.cut[0]
        more = columns.extra[place]
        extra.append(np.broadcast_to(0.0 if more is None else x[more], scenarios))
        made = cut[-1] @ by_stage + extra[-1]
        if is_first and first_cut is not None:
            made = np.full(scenarios, gives @ x[first_cut])
        sections.append(made)
        lines.append(_spread(scenarios, 3, columns.lines[place], [rank - 1 for rank in stand.lines], x))
        kinds.append(_kinds(columns, place, x) if steps[place].is_near or is_first else {})
    nothing = np.zeros(len(stand.groups))
    first_sold, first_cut = columns.sold[0], columns.cut[0]
    return TaxonDecisions(
        taxon=stand.taxon.key, sold=tuple(sold), cut=tuple(cut), sections=tuple(sections), lines=tuple(lines),
        stock=_stock(steps, stand, sold, cut, sections),
        sold_today=tuple((nothing if first_sold is None else x[first_sold]).tolist()),
        cut_today=tuple((nothing if first_cut is None else x[first_cut]).tolist()),
        cut_kinds=tuple(kinds), extra=tuple(extra),
        has_set_up=tuple(column is not None and x[column] > 0.5 for column in columns.set_up),
        worth_minor=worth, short_minor=float(x[columns.short]),
    )  # fmt: skip


def _stock(
    steps: tuple[Step, ...], stand: Stand, sold: list[Floats], cut: list[Floats], sections: list[Floats]
) -> tuple[Floats, ...]:
    """What stands after each step's actions."""
    standing = np.tile(stand.counts, (len(stand.weekly), 1))
    after = []
    for place, step in enumerate(steps):
        standing = standing - sold[place] - cut[place]
        standing[:, stand.chain.entry] += sections[place]
        after.append(standing)
        for _ in range(step.weeks):
            standing = np.einsum("wij,wj->wi", stand.weekly, standing)
    return tuple(after)


def _spread(scenarios: int, width: int, columns: Whole | None, where: object, x: Floats) -> Floats:
    """Values put to the stages they are about, in all scenarios."""
    spread = np.zeros((scenarios, width))
    if columns is None:
        return spread
    values = np.broadcast_to(np.atleast_2d(x[columns]), (scenarios, columns.shape[-1]))
    places = np.asarray(where, dtype=int)
    for value, place in zip(values.T, places, strict=True):
        spread[:, place] += value
    return spread


def _kinds(columns: TaxonColumns, place: int, x: Floats) -> dict[int, float]:
    """Pots cut in a near step by the sections each gives."""
    cuts = columns.near_cuts(place)
    found: dict[int, float] = {}
    if cuts is not None:
        for sections, pots in zip(columns.sections[place], x[cuts], strict=True):
            if pots > 0:
                found[int(sections)] = found.get(int(sections), 0.0) + float(pots)
    return found
