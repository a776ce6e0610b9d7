"""Every plan is reckoned anew, week by week and scenario by scenario, without the problem it came from."""

from dataclasses import dataclass

import numpy as np

from halfwater.plain.cutting import Action, PlanFacts, PlanTaxon
from halfwater.plain.stock import GRADES
from halfwater.planning.cutting_decisions import Decisions, TaxonDecisions
from halfwater.planning.problem import Floats
from halfwater.science import starting
from halfwater.science.stage_chain import StageChain, stage_chain, stage_of

_NEAR_ENOUGH = 1e-4  # of a pot, or of a minute
HOLDS = (
    "nothing is sold or cut that does not stand there",
    "there is a spot for every pot",
    "no release sells more than the most you gave, nor any week without a release",
    "the minutes of each week are kept",
    "the least number of pots of each taxon stays",
    "near cuts and offers are whole pots and hold in every scenario",
    "the stock at the end is worth what it is worth today, or what is missing is said",
    "income, pots and spots named agree with the figures",
)


@dataclass(slots=True)
class _Look:
    """One taxon while it is gone through."""

    taxon: PlanTaxon
    made: TaxonDecisions
    usual: StageChain  # at the mean of the draws
    chain: StageChain  # its matrices by scenario
    stock: Floats
    idle: Floats
    start_minor: float


def check_plan(facts: PlanFacts, decisions: Decisions, actions: tuple[Action, ...] = ()) -> tuple[str, ...]:
    """What is wrong with a plan, found by reckoning it anew.

    Nothing of the problem or its solution is taken on trust but the decisions themselves: the stock is
    carried on
    week by week from today's pots.

    Parameters
    ----------
    facts : PlanFacts
        What the plan was made from.
    decisions : Decisions
        Sales and cuts by step, scenario and stage.
    actions : tuple of Action
        The plan in words, with named pots and spots.

    Returns
    -------
    tuple of str
        One sentence a fault; empty where the plan holds.

    Raises
    ------
    RefusedInput
        If the growth of a taxon is outside its range.

    Notes
    -----
    x <- A (x - sold - cut + sections), a week at a time; every rule of HOLDS is compared with a slack of
    1e-4. An
    empty plan of no pots holds. Nan in the decisions is a fault.

    Source: own definition
    """
    faults = _weeks_fault(facts, decisions)
    looks = [
        _look(facts, decisions, taxon, made) for taxon, made in zip(facts.taxa, decisions.taxa, strict=True)
    ]
    income = np.zeros(len(decisions.draws))
    for place, step in enumerate(decisions.steps):
        for look in looks:
            faults += _stock_faults(facts, look, decisions, place)
            income += look.made.lines[place] @ np.nan_to_num(_prices(facts, look.taxon)[0])
        faults += _shared_faults(facts, looks, decisions, place)
        for look in looks:
            for _ in range(step.weeks):
                look.stock = np.einsum("wij,wj->wi", look.chain.matrix, look.stock)
                look.idle = np.einsum("wij,wj->wi", look.chain.matrix, look.idle)
    faults += [fault for look in looks for fault in _end_faults(look)]
    if not np.allclose(income, decisions.income_minor, rtol=1e-6, atol=0.01):
        faults.append("the income told is not that of the sales")
    for look in looks:
        faults += _extra_faults(look) + _named_faults(facts, look, actions)
    faults += _spot_faults(facts, actions)
    return tuple(dict.fromkeys(faults))


def _look(facts: PlanFacts, decisions: Decisions, taxon: PlanTaxon, made: TaxonDecisions) -> _Look:
    draws, picked = taxon.draws, list(decisions.draws)
    columns = (draws.leaf_rate_per_30d, draws.lag_days, draws.settling_loss_frac, draws.loss_per_30d_frac)
    rate, lag, settling, loss = (np.asarray(column, dtype=float) for column in columns)
    fixed = (draws.leaf_life_days, draws.tips_per_30d)
    size = (taxon.grade_leaves, taxon.first_leaves)
    usual = stage_chain(*size, rate.mean(), lag.mean(), settling.mean(), loss.mean(), *fixed)
    chain = stage_chain(*size, rate[picked], lag[picked], settling[picked], loss[picked], *fixed)
    counts = np.zeros(len(chain.names))
    for pot in taxon.pots:
        counts[stage_of(usual, pot.leaves, pot.is_settled, pot.age_days)] += 1.0
    stock = np.tile(counts, (len(picked), 1))
    return _Look(taxon, made, usual, chain, stock, stock.copy(), float(made.worth_minor @ counts))


def _weeks_fault(facts: PlanFacts, decisions: Decisions) -> list[str]:
    at = 0
    for step in decisions.steps:
        if step.start != at or step.weeks < 1 or (step.is_near and step.weeks != 1):
            return [f"week {at} is not planned once"]
        at += step.weeks
    return [] if at == facts.weeks else [f"{at} weeks are planned of {facts.weeks}"]


def _releases(facts: PlanFacts, start: int, weeks: int) -> int:
    """Releases that fall into some weeks, counted day by day."""
    habit = facts.habit
    every = 7 * habit.release_every_weeks
    first = every if habit.next_release_on is None else (habit.next_release_on - facts.on).days
    found = 0
    for week in range(start, start + weeks):
        days = range(7 * week, 7 * week + 7)
        found += any((day - first) % every == 0 and (day >= first or first < 0) for day in days)
    return found


def _prices(facts: PlanFacts, taxon: PlanTaxon) -> tuple[Floats, Floats]:
    price, most = np.full(3, np.nan), np.full(3, np.inf)
    for fact in facts.prices:
        if fact.taxon == taxon.key:
            place = ("small", "standard", "large").index(fact.grade)
            price[place] = fact.price_minor
            most[place] = np.inf if fact.most_per_release is None else fact.most_per_release
    return price, most


def _stock_faults(facts: PlanFacts, look: _Look, decisions: Decisions, place: int) -> list[str]:
    """Sales and cuts of one taxon in one step, and what stands after them."""
    step, made, name = decisions.steps[place], look.made, look.taxon.name
    sold, cut, lines, sections = made.sold[place], made.cut[place], made.lines[place], made.sections[place]
    said = []
    look.stock = look.stock - sold - cut
    look.stock[:, look.chain.entry] += sections
    here = f"{name}, week {step.start}"
    if not (np.isfinite(sold).all() and np.isfinite(cut).all() and np.isfinite(lines).all()):
        return [f"{here}: a number is missing"]
    if min(sold.min(), cut.min(), lines.min(), look.stock.min()) < -_NEAR_ENOUGH:
        said.append(f"{here}: more is sold or cut than stands there")
    if not np.allclose(sections, _sections_due(look, cut, place), atol=_NEAR_ENOUGH):
        said.append(f"{here}: the sections are not those that the cut pots give")
    said += _line_faults(facts, look, step.start, step.weeks, sold, lines, here)
    least = np.minimum(float(max(facts.habit.least_kept, 0)), look.idle.sum(axis=1))
    if sold.sum() > _NEAR_ENOUGH and (look.stock.sum(axis=1) < least - _NEAR_ENOUGH).any():
        said.append(f"{here}: fewer pots stay than are to be kept")
    if step.is_near and not (_is_common(lines) and _is_common(sections)):
        said.append(f"{here}: a near decision is not in whole pots, or not the same in all scenarios")
    return said


def _sections_due(look: _Look, cut: Floats, place: int) -> Floats:
    """Sections the cut pots give: by their rhizome today, by their leaves later."""
    taxon = look.taxon
    if place == 0:
        return np.full(len(cut), sum(kind * pots for kind, pots in _today(look).items()))
    grown = np.maximum(look.chain.lowest_leaves - taxon.first_leaves, 0.0) * taxon.mm_per_leaf
    by_stage = np.floor((taxon.section_mm + grown) / taxon.section_mm + 1e-9)
    return np.asarray(cut @ by_stage + look.made.extra[place])


def _extra_faults(look: _Look) -> list[str]:
    """Sections beyond those of the stages: no more in all than today's rhizomes have."""
    taxon, given, there = look.taxon, np.sum(look.made.extra, axis=0), 0
    for pot in taxon.pots:
        stage = stage_of(look.usual, pot.leaves, pot.is_settled, pot.age_days)
        grown = max(float(look.usual.lowest_leaves[stage]) - taxon.first_leaves, 0.0) * taxon.mm_per_leaf
        there += max(pot.sections - int((taxon.section_mm + grown) / taxon.section_mm + 1e-9), 0)
    if given.max(initial=0.0) > there + _NEAR_ENOUGH or given.min(initial=0.0) < -_NEAR_ENOUGH:
        return [f"{taxon.name}: more sections are taken than today's rhizomes give"]
    return []


def _today(look: _Look) -> dict[int, float]:
    """Today's cuts by sections, held against the pots that can give them."""
    there: dict[int, int] = {}
    for pot in look.taxon.pots:
        there[max(pot.sections, 1)] = there.get(max(pot.sections, 1), 0) + 1
    found: dict[int, float] = {}
    for sections, pots in look.made.cut_kinds[0].items():
        found[sections] = min(pots, float(there.get(sections, 0)))
    return found


def _line_faults(
    facts: PlanFacts, look: _Look, start: int, weeks: int, sold: Floats, lines: Floats, here: str
) -> list[str]:
    said = []
    price, most = _prices(facts, look.taxon)
    opens = _releases(facts, start, weeks)
    if not opens and (sold.sum() > _NEAR_ENOUGH or lines.sum() > _NEAR_ENOUGH):
        said.append(f"{here}: something is sold without a release")
    if (
        lines > np.where(np.isfinite(most), np.nan_to_num(most, posinf=0.0) * opens, np.inf) + _NEAR_ENOUGH
    ).any():
        said.append(f"{here}: a release sells more than buyers take")
    if lines[:, np.isnan(price)].sum() > _NEAR_ENOUGH:
        said.append(f"{here}: a grade is sold that has no price")
    ranks = np.array([GRADES.index(grade) + 1 if grade else 0 for grade in look.chain.grade])
    above = [sold[:, ranks >= rank].sum(axis=1) - lines[:, rank - 1 :].sum(axis=1) for rank in (1, 2, 3)]
    if min(float(each.min()) for each in above) < -_NEAR_ENOUGH or sold[:, ranks == 0].sum() > _NEAR_ENOUGH:
        said.append(f"{here}: a pot is sold above its grade")
    if np.abs(sold.sum(axis=1) - lines.sum(axis=1)).max() > _NEAR_ENOUGH:
        said.append(f"{here}: the lines are not what leaves the tanks")
    return said


def _is_common(amounts: Floats) -> bool:
    is_same = bool(np.ptp(amounts, axis=0).max(initial=0.0) < _NEAR_ENOUGH)
    return is_same and bool(np.abs(amounts - np.round(amounts)).max(initial=0.0) < _NEAR_ENOUGH)


def _shared_faults(facts: PlanFacts, looks: list[_Look], decisions: Decisions, place: int) -> list[str]:
    """Spots and minutes, which all taxa share."""
    step, said = decisions.steps[place], list[str]()
    if not looks:
        return said
    spots = float(sum(tank.spots for tank in facts.tanks))
    standing, idle = (sum(part.sum(axis=1) for part in parts) for parts in _parts(looks))
    if (standing > np.maximum(spots, idle) + _NEAR_ENOUGH).any():
        said.append(f"week {step.start}: more pots than spots")
    minutes = np.zeros(len(decisions.draws))
    for look in looks:
        sold, sections = look.made.lines[place].sum(axis=1), look.made.sections[place]
        minutes += sold * (starting.HARVEST_MIN + starting.PACK_MIN) + sections * starting.CUT_MIN
        if step.is_near:
            minutes += starting.BATCH_MIN * (sections > 0.5)
        else:
            minutes += sections * starting.BATCH_MIN / starting.BATCH_SECTIONS
    limits = [wish.amount for wish in facts.wishes if wish.kind == "most minutes"]
    if facts.habit.minutes_a_week is not None:
        limits.append(facts.habit.minutes_a_week)
    if limits and (minutes > min(limits) * step.weeks + _NEAR_ENOUGH * 10).any():
        said.append(f"week {step.start}: more minutes than there are")
    return said


def _parts(looks: list[_Look]) -> tuple[list[Floats], list[Floats]]:
    return [look.stock for look in looks], [look.idle for look in looks]


def _end_faults(look: _Look) -> list[str]:
    """The end worth, on the mean of the scenarios, by worths that are none below nought."""
    said = []
    end = float((look.stock @ look.made.worth_minor).mean())
    if end + look.made.short_minor < look.start_minor - 1e-4 * max(look.start_minor, 1.0):
        said.append(f"{look.taxon.name}: the stock at the end is worth less than today's, unsaid")
    if look.made.worth_minor.min(initial=0.0) < 0 or not np.isfinite(look.made.worth_minor).all():
        said.append(f"{look.taxon.name}: a pot is worth less than nothing")
    return said


def _named_faults(facts: PlanFacts, look: _Look, actions: tuple[Action, ...]) -> list[str]:
    """Named pots stand there, are named once, and the best parents are not among those sold."""
    said = []
    pots = {pot.key: pot for pot in look.taxon.pots}
    mine = [action for action in actions if action.taxon == look.taxon.key]
    gone = [pot.key for action in mine if action.kind in ("sell", "cut") for pot in action.named]
    if len(gone) != len(set(gone)):
        said.append(f"{look.taxon.name}: a pot is named twice")
    if any(pot.key not in pots for action in mine for pot in action.named):
        said.append(f"{look.taxon.name}: a pot is named that does not stand there")
    sold = [pot.key for action in mine if action.kind == "sell" for pot in action.named]
    least = min(max(facts.habit.least_kept, 0), len(pots))
    if sold and len(pots) - len(set(sold)) < least:
        said.append(f"{look.taxon.name}: fewer named pots stay than are to be kept")
    for action in mine:
        if len(action.named) > action.pots:
            said.append(f"{look.taxon.name}: more pots are named than the {action.kind} asks for")
    return said


def _spot_faults(facts: PlanFacts, actions: tuple[Action, ...]) -> list[str]:
    """Spots for new sections are free, or freed by a sale before, and given once."""
    free = {f"{tank.name}: {spot}" for tank in facts.tanks for spot in tank.free}
    given: set[str] = set()
    for week in sorted({action.week for action in actions}):
        for action in actions:
            if action.week == week and action.kind == "sell":
                free |= {f"{pot.tank}: {pot.spot}" for pot in action.named}
        for action in actions:
            if action.week != week or action.kind != "cut":
                continue
            for spot in action.to_spots:
                full = spot if ": " in spot else f"{action.to_tank}: {spot}"
                if full not in free or full in given:
                    return [f"{full} is not free for a new section"]
                given.add(full)
    return []
