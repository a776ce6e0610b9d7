"""The plan and its rivals in the same thousand futures, in whole pots."""

import numpy as np

from halfwater.errors import RefusedInput
from halfwater.plain.cutting import CuttingPlan, PlanFacts, PolicyResult
from halfwater.plain.growing import Span
from halfwater.planning.cutting_worth import stage_worths
from halfwater.planning.futures_floor import Floor, world_of
from halfwater.planning.policies import FollowPlan, Policy, SellReady, played
from halfwater.planning.whole_pots import Floats

FUTURES = 1000


def run_futures(facts: PlanFacts, plan: CuttingPlan, futures: int = FUTURES) -> tuple[PolicyResult, ...]:
    """What the plan and two rivals bring, each in the same futures.

    A future is one joint draw of how the taxa grow, and chance for every pot. The rules of each policy stand
    at the top of planning/policies.py. Stock left at the end is valued by the steady worth of its stages.

    Parameters
    ----------
    facts : PlanFacts
        What the plan was made from.
    plan : CuttingPlan
        Its actions, releases and stock ahead are followed.
    futures : int
        How many. Valid from 1 on.

    Returns
    -------
    tuple of PolicyResult
        The plan, "sell all that is ready", "keep a fifth".

    Raises
    ------
    RefusedInput
        If there are no futures, or the plan is of another day or length than the facts.

    Notes
    -----
    Income is the price of what was sold, without the worth of minutes; ranges are the quantiles 0.1, 0.5, 0.9
    over the futures. The end is below the start when it is worth less by more than a thousandth. Draws of
    nan are refused by the stages.

    Source: own definition
    """
    if futures < 1:
        raise RefusedInput("futures", futures, "1 or more")
    if (plan.on, plan.weeks) != (facts.on, facts.weeks):
        raise RefusedInput("plan", f"{plan.on}, {plan.weeks} weeks", f"{facts.on}, {facts.weeks} weeks")
    world = world_of(facts, futures)
    worths = tuple(stage_worths(stand) for stand in world.stands)
    start_minor = float(Floor.of_today(world).worth_minor(worths)[0])
    policies: tuple[Policy, ...] = (
        FollowPlan(plan, world),
        SellReady("sell all that is ready", 0.0),
        SellReady("keep a fifth", 0.2),
    )
    return tuple(_result(policy.name, played(world, policy), worths, start_minor) for policy in policies)


def _result(name: str, floor: Floor, worths: tuple[Floats, ...], start_minor: float) -> PolicyResult:
    end = floor.worth_minor(worths)
    p10, p50, p90 = (float(value) for value in np.quantile(floor.income_minor, (0.1, 0.5, 0.9)))
    return PolicyResult(
        name=name,
        income_minor=Span(p10, p50, p90),
        mean_income_minor=float(floor.income_minor.mean()),
        end_worth_minor=float(end.mean()),
        start_worth_minor=start_minor,
        p_end_below_start_frac=float((end < start_minor * 0.999).mean()),
        sold=float(floor.sold.mean()),
    )
