"""What the cutting plan starts from: stages, growth in each scenario, and today's pots by stage."""

from collections import Counter
from dataclasses import dataclass

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import PlanFacts, PlanPot, PlanTaxon
from halfwater.plain.stock import GRADES
from halfwater.planning.problem import Floats
from halfwater.science.stage_chain import StageChain, stage_chain, stage_of


@dataclass(frozen=True, slots=True)
class Group:
    """Pots of a taxon that the plan need not tell apart today."""

    stage: int
    sections: int
    is_keeper: bool  # among the parents that are never sold
    pots: int


@dataclass(frozen=True, slots=True)
class Stand:
    """A taxon as the plan counts it."""

    taxon: PlanTaxon
    chain: StageChain  # at the mean of the draws
    weekly: Floats  # scenario x stage to x stage from: one week
    sections: tuple[int, ...]  # a pot of each stage gives at least, itself included
    rank: tuple[int, ...]  # grade of each stage: 0 below small, 1 small, 2 standard, 3 large
    price_minor: Floats  # of small, standard, large; nan: not sold
    most: Floats  # pots a release sells of each; inf: no limit
    keepers: tuple[int, ...]  # keys of the pots that are never sold
    groups: tuple[Group, ...]

    @property
    def stages(self) -> int:
        """How many there are."""
        return len(self.rank)

    @property
    def counts(self) -> Floats:
        """Pots standing today, by stage."""
        found = np.zeros(self.stages)
        for group in self.groups:
            found[group.stage] += group.pots
        return found

    @property
    def extras(self) -> tuple[int, ...]:
        """Sections that a pot of each group gives beyond what its stage gives."""
        return tuple(max(group.sections - self.sections[group.stage], 0) for group in self.groups)

    @property
    def lines(self) -> tuple[int, ...]:
        """Ranks that have a price, the smallest first."""
        return tuple(rank for rank in (1, 2, 3) if not np.isnan(self.price_minor[rank - 1]))

    @property
    def sold_stages(self) -> tuple[int, ...]:
        """Stages that can be sold: in a grade with a price, or above one."""
        lowest = min(self.lines, default=len(GRADES) + 1)
        return tuple(stage for stage, rank in enumerate(self.rank) if rank >= lowest)

    @property
    def cut_stages(self) -> tuple[int, ...]:
        """Stages that give two sections or more."""
        return tuple(stage for stage, sections in enumerate(self.sections) if sections > 1)


def sections_of(leaves: float, first_leaves: float, section_mm: float, mm_per_leaf: float) -> int:
    """Sections a pot gives when it is cut, the piece that stays in the pot included.

    The rhizome is as long as the section it was potted with, and longer by what each new leaf brought.

    Parameters
    ----------
    leaves : float
        Leaves on the pot. [leaf] Valid from 0 on; a pot below its first leaves has not grown.
    first_leaves : float
        Leaves of a fresh section. [leaf] Valid from 0 on.
    section_mm : float
        Length of a section. [mm] Valid above 0.
    mm_per_leaf : float
        Rhizome made with each leaf. [mm/leaf] Valid from 0 on.

    Returns
    -------
    int
        1 or more.

    Raises
    ------
    RefusedInput
        If a value is outside its range or nan.

    Notes
    -----
    floor((s + max(L - L0, 0) m) / s). At 0 leaves it is 1: a fresh section. Leaves that died since are not
    known, so that an old pot may give more. Sections of 25 to 40 mm are common practice, without a source.

    Source: own definition

    Examples
    --------
    >>> sections_of(12.0, 3.0, 30.0, 4.0)
    2
    """
    for name, value in (("leaves", leaves), ("first_leaves", first_leaves), ("mm_per_leaf", mm_per_leaf)):
        if not (0 <= value < np.inf):
            raise RefusedInput(name, value, "a number from 0 on")
    if not (0 < section_mm < np.inf):
        raise RefusedInput("section_mm", section_mm, "a length above 0 mm")
    return int((section_mm + max(leaves - first_leaves, 0.0) * mm_per_leaf) / section_mm + 1e-9)


def scenario_draws(facts: PlanFacts) -> tuple[int, ...]:
    """Which joint draws of growth the plan's scenarios are.

    The draws are put in order of how fast they are over all taxa, and each scenario is taken from its own
    part of that order: few scenarios then have the spread of many draws.

    Parameters
    ----------
    facts : PlanFacts
        Its draws, number of scenarios and seed.

    Returns
    -------
    tuple of int
        Places among the draws, the slowest scenario first.

    Raises
    ------
    RefusedInput
        If there is no scenario, a taxon has no draws, or the taxa have not equally many draws.

    Notes
    -----
    Order by the mean over taxa of log rate; W parts of equal size; one draw of each part at random. 0
    scenarios are
    refused; fewer draws than scenarios give as many scenarios as draws; nan rates are refused by the stages.

    Source: own definition
    """
    if facts.scenarios < 1:
        raise RefusedInput("scenarios", facts.scenarios, "1 or more")
    sizes = {len(taxon.draws.leaf_rate_per_30d) for taxon in facts.taxa}
    if len(sizes) > 1 or 0 in sizes:
        raise RefusedInput("draws", sorted(sizes), "the same number of draws, at least 1, for each taxon")
    if not sizes:
        return tuple(range(facts.scenarios))
    speed = np.mean([np.log(taxon.draws.leaf_rate_per_30d) for taxon in facts.taxa], axis=0)
    order = np.argsort(np.round(speed, 9), kind="stable")
    wanted = min(facts.scenarios, len(order))
    edges = np.linspace(0, len(order), wanted + 1)
    inside = np.random.default_rng(facts.seed).random(wanted)
    places = np.minimum((edges[:-1] + inside * np.diff(edges)).astype(int), len(order) - 1)
    return tuple(int(draw) for draw in order[places])


def stand_of(facts: PlanFacts, taxon: PlanTaxon, draws: tuple[int, ...]) -> Stand:
    """A taxon as the plan counts it: stages, growth by scenario, prices, and today's pots by stage.

    Parameters
    ----------
    facts : PlanFacts
        Prices and habit.
    taxon : PlanTaxon
        The taxon, with its pots and draws.
    draws : tuple of int
        The scenarios, as places among the draws.

    Returns
    -------
    Stand
        Its arrays have one row a scenario, the order that of `draws`.

    Raises
    ------
    RefusedInput
        If a price or a cap is negative, or a pot has nan leaves.

    Notes
    -----
    Keepers are the least number to keep: pots marked as kept come first, then those that give most sections,
    then the quickest, then those with most leaves. No pots give no groups. Nan and values outside are
    refused.

    Source: own definition
    """
    chain = _chain(taxon, None)
    price, most = _prices(facts, taxon)
    keepers = frozenset(pot.key for pot in keepers_first(taxon.pots)[: max(facts.habit.least_kept, 0)])
    counted = Counter(
        (stage_of(chain, pot.leaves, pot.is_settled, pot.age_days), max(pot.sections, 1), pot.key in keepers)
        for pot in taxon.pots
    )
    return Stand(
        taxon=taxon,
        chain=chain,
        weekly=_chain(taxon, draws).matrix,
        sections=tuple(
            sections_of(float(leaves), taxon.first_leaves, taxon.section_mm, taxon.mm_per_leaf)
            for leaves in chain.lowest_leaves
        ),
        rank=tuple(GRADES.index(grade) + 1 if grade else 0 for grade in chain.grade),
        price_minor=price,
        most=most,
        keepers=tuple(sorted(keepers)),
        groups=tuple(Group(*place, pots) for place, pots in sorted(counted.items())),
    )


def keepers_first(pots: tuple[PlanPot, ...]) -> tuple[PlanPot, ...]:
    """Pots in the order in which they are worth keeping as parents.

    Parameters
    ----------
    pots : tuple of PlanPot
        Standing pots of one taxon.

    Returns
    -------
    tuple of PlanPot
        The best parent first.

    Notes
    -----
    Marked as kept, then sections, pace, leaves (each the most first), then the name. No pots give (). Nan
    does not
    occur in a pot that the stages took; there is no range.

    Source: own definition
    """
    return tuple(
        sorted(pots, key=lambda p: (not p.is_kept, -p.sections, -p.rate_factor, -p.leaves, p.name, p.key))
    )


def _chain(taxon: PlanTaxon, draws: tuple[int, ...] | None) -> StageChain:
    """Stages at the mean of all draws, or one matrix for each of the draws named."""
    joint = taxon.draws
    columns = (joint.leaf_rate_per_30d, joint.lag_days, joint.settling_loss_frac, joint.loss_per_30d_frac)
    values = [np.asarray(column, dtype=float) for column in columns]
    rate, lag, settling, loss = (np.mean(v) if draws is None else v[list(draws)] for v in values)
    return stage_chain(
        taxon.grade_leaves, taxon.first_leaves, rate, lag, settling, loss, joint.leaf_life_days,
        joint.tips_per_30d,
    )  # fmt: skip


def _prices(facts: PlanFacts, taxon: PlanTaxon) -> tuple[Floats, Floats]:
    price, most = np.full(3, np.nan), np.full(3, np.inf)
    for fact in facts.prices:
        if fact.taxon != taxon.key:
            continue
        place = GRADES.index(fact.grade)
        if fact.price_minor < 0:
            raise RefusedInput("price_minor", fact.price_minor, "0 or more", f"{taxon.name}, {fact.grade}")
        cap = fact.most_per_release
        if cap is not None and cap < 0:
            raise RefusedInput("most_per_release", cap, "0 or more", f"{taxon.name}, {fact.grade}")
        price[place] = float(fact.price_minor)
        most[place] = np.inf if cap is None else float(cap)
    return price, most
