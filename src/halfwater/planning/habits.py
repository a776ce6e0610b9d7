"""The stock under today's habits, as a population: where it leads, and where an hour of care pays most."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import CuttingPlan, HabitView, PlanFacts, StagePay
from halfwater.planning.cutting_stock import Stand, stand_of
from halfwater.planning.whole_pots import Floats
from halfwater.science.stage_chain import chain_matrix
from halfwater.science.stages import StageView, elasticity_of, stage_view

STEP_DAYS = 28.0
MONTH_DAYS = 30.0
NEAR_DAYS = 12 * 7.0  # of a plan that are read as its habit
_NUDGE = 1e-4
FEWER, FASTER = "fewer losses", "faster growth"


@dataclass(frozen=True, slots=True)
class PastHabit:
    """What was cut and sold of a taxon over some days."""

    taxon: int
    days: float
    sold: Mapping[str, float] = field(default_factory=dict)  # grade -> pots
    cut: float = 0.0  # pots cut up
    sections: float = 0.0  # made from them


def habit_of_plan(facts: PlanFacts, plan: CuttingPlan) -> tuple[PastHabit, ...]:
    """What a plan cuts and sells in its first twelve weeks, read as a habit.

    Parameters
    ----------
    facts : PlanFacts
        Its taxa.
    plan : CuttingPlan
        Its actions and releases.

    Returns
    -------
    tuple of PastHabit
        One a taxon.

    Notes
    -----
    Cuts are those of the weeks that the plan names; sales the offers of near releases and the medians of
    later ones. A plan without weeks gives nothing cut or sold; there is no nan in a plan.

    Source: own definition
    """
    days = min(NEAR_DAYS, 7.0 * plan.weeks)
    until = plan.on + timedelta(days=days)
    found = []
    for taxon in facts.taxa:
        sold: dict[str, float] = {}
        for line in plan.releases:
            if line.taxon == taxon.key and line.on < until:
                pots = line.pots.p50 if line.offered is None else float(line.offered)
                sold[line.grade] = sold.get(line.grade, 0.0) + pots
        cuts = [a for a in plan.actions if a.kind == "cut" and a.taxon == taxon.key and a.on < until]
        found.append(
            PastHabit(
                taxon.key, days, sold, float(sum(a.pots for a in cuts)), float(sum(a.sections for a in cuts))
            )
        )
    return tuple(found)


def habit_views(facts: PlanFacts, past: Sequence[PastHabit]) -> tuple[HabitView, ...]:
    """Where each taxon's stock leads when it goes on being cut and sold as it was.

    Parameters
    ----------
    facts : PlanFacts
        Today's pots and how they grow.
    past : sequence of PastHabit
        What was cut and sold; a taxon without any is neither cut nor sold.

    Returns
    -------
    tuple of HabitView
        One a taxon, its matrix of four weeks.

    Raises
    ------
    RefusedInput
        If a past has no days, or counts that are negative or nan.

    Notes
    -----
    A = G (1 - C - (1 - C) S + e k C): of what stands at the start of four weeks a share C of the stages that
    give two sections or more is cut into k sections each, a share S of each grade is sold, then all grow by
    G, at the mean of the draws. A share is what was taken in four weeks over that and what stands today,
    so that it is never above 1, and 0 where nothing was taken. Elasticities: dln(lambda) for a small
    share less loss, or more pace, in the stages of one kind. Growth without limit of spots.

    Source: caswell-2001, sections 4.5 and 9.2
    """
    known = {one.taxon: _checked(one) for one in past}
    return tuple(_view(facts, taxon.key, known.get(taxon.key)) for taxon in facts.taxa)


def _checked(past: PastHabit) -> PastHabit:
    if not past.days > 0.0:
        raise RefusedInput("days", past.days, "days above 0")
    for name, amount in (("cut", past.cut), ("sections", past.sections), *past.sold.items()):
        if not 0.0 <= amount < np.inf:
            raise RefusedInput(name, amount, "0 or more pots")
    return past


@dataclass(frozen=True, slots=True)
class _Habit:
    """Shares of a taxon's stages that are cut and sold in four weeks, and sections of each cut."""

    cut: Floats
    sold: Floats
    sections: Floats


def _view(facts: PlanFacts, key: int, past: PastHabit | None) -> HabitView:
    taxon = next(taxon for taxon in facts.taxa if taxon.key == key)
    stand = stand_of(facts, taxon, (0,))
    habit = _shares(stand, past or PastHabit(key, STEP_DAYS))
    matrix = _matrix(stand, habit, np.ones(stand.stages), np.ones(stand.stages))
    view = stage_view(matrix)
    pays = _pays(stand, habit, matrix, view)
    standing = stand.counts / max(stand.counts.sum(), 1.0)
    elasticity = np.zeros_like(matrix) if view.elasticity_frac is None else view.elasticity_frac
    growth = view.growth_factor ** (MONTH_DAYS / STEP_DAYS)
    return HabitView(
        taxon=key,
        taxon_name=taxon.name,
        stages=stand.chain.names,
        matrix=_rows(matrix),
        growth_a_month=growth,
        is_settling_down=view.stable_frac is not None,
        stable=() if view.stable_frac is None else tuple(float(share) for share in view.stable_frac),
        standing=tuple(float(share) for share in standing),
        elasticities=_rows(elasticity),
        pays=pays,
        said=_said(stand, habit, view, growth, pays),
    )


def _shares(stand: Stand, past: PastHabit) -> _Habit:
    """Shares taken in four weeks: taken over taken and standing."""
    cut, sold = np.zeros(stand.stages), np.zeros(stand.stages)
    steps = past.days / STEP_DAYS
    stages = list(stand.cut_stages) or [stand.stages - 1]
    cut[stages] = _share(past.cut / steps, stand.counts[stages].sum())
    for rank, grade in enumerate(("small", "standard", "large"), start=1):
        at = [stage for stage, own in enumerate(stand.rank) if own == rank]
        sold[at] = _share(past.sold.get(grade, 0.0) / steps, stand.counts[at].sum())
    given = np.array(stand.sections, dtype=float)
    if past.cut:
        own = float((given[stages] * cut[stages]).sum() / max(cut[stages].sum(), 1e-12))
        given = given * (past.sections / past.cut) / own
    return _Habit(cut, sold, given)


def _share(taken: float, standing: float) -> float:
    return taken / (taken + standing) if taken > 0.0 else 0.0


def _matrix(stand: Stand, habit: _Habit, loss_factor: Floats, pace_factor: Floats) -> Floats:
    chain = stand.chain
    growth = chain_matrix(chain.move_per_day * pace_factor, chain.loss_per_day * loss_factor, STEP_DAYS)
    kept = np.diag((1.0 - habit.cut) * (1.0 - habit.sold))
    kept[chain.entry] += habit.cut * habit.sections
    return np.asarray(growth @ kept)


def _pays(stand: Stand, habit: _Habit, matrix: Floats, view: StageView) -> tuple[StagePay, ...]:
    """What a small share less loss or more pace does to growth, by kind of stage."""
    if view.sensitivity_factor is None or not habit.cut.any():
        return ()  # without cuts there is no growth to pay for
    found, ones = [], np.ones(stand.stages)
    for name, stages in _kinds(stand).items():
        nudge = np.zeros(stand.stages)
        nudge[stages] = _NUDGE
        for care, up, down in (
            (FEWER, _matrix(stand, habit, ones - nudge, ones), _matrix(stand, habit, ones + nudge, ones)),
            (FASTER, _matrix(stand, habit, ones, ones + nudge), _matrix(stand, habit, ones, ones - nudge)),
        ):
            slope = (up - down) / (2.0 * _NUDGE)
            found.append(StagePay(stand.taxon.name, name, care, elasticity_of(matrix, slope, 1.0)))
    return tuple(sorted(found, key=lambda pay: (-pay.elasticity, pay.stage, pay.care)))


def _kinds(stand: Stand) -> dict[str, list[int]]:
    """Stages in the words of the trade."""
    kinds: dict[str, list[int]] = {}
    names = ("below small", "small", "standard", "large")
    for stage, rank in enumerate(stand.rank):
        name = "settling" if stage < stand.chain.settling else names[rank]
        kinds.setdefault(name, []).append(stage)
    return kinds


def _said(stand: Stand, habit: _Habit, view: StageView, growth: float, pays: Sequence[StagePay]) -> str:
    """The view in plain words."""
    name = stand.taxon.name
    if not habit.cut.any():
        taken = "what is sold is not replaced" if habit.sold.any() else "no pot is added, and losses go on"
        return f"{name}: none was cut, so that {taken}."
    change = 100.0 * (growth - 1.0)
    word = (
        "holds its size"
        if abs(change) < 0.05
        else f"{'grows' if change > 0 else 'shrinks'} by {abs(change):.1f} % a month"
    )
    words = [f"{name} {word} under today's habits, as long as spots last."]
    if view.stable_frac is not None:
        words.append(_structure_said(stand, view.stable_frac))
    else:
        words.append("It comes to no stable structure.")
    if pays and pays[0].elasticity > 0.0:
        best = pays[0]
        tenth = 100.0 * 0.1 * best.elasticity * MONTH_DAYS / STEP_DAYS
        words.append(
            f"An hour of care pays most where it brings {best.care} among {best.stage} pots: "
            f"a tenth {'less' if best.care == FEWER else 'more'} adds about {tenth:.2f} % a month."
        )
    return " ".join(words)


def _structure_said(stand: Stand, stable: Floats) -> str:
    """Which kind of stage is furthest from where it would settle."""
    total = max(stand.counts.sum(), 1.0)
    gaps = {
        name: (100.0 * float(stand.counts[stages].sum()) / total, 100.0 * float(stable[stages].sum()))
        for name, stages in _kinds(stand).items()
    }
    name, (now, then) = max(gaps.items(), key=lambda gap: abs(gap[1][0] - gap[1][1]))
    return f"Today {now:.0f} % of its pots are {name}; in the long run it would be {then:.0f} %."


def _rows(matrix: Floats) -> tuple[tuple[float, ...], ...]:
    return tuple(tuple(float(value) for value in row) for row in matrix)
