"""What a pot that is kept through the next release would still bring, by the worths of the plan's rows."""

import numpy as np

from halfwater.plain.cutting import KeptWorth
from halfwater.plain.stock import GRADES
from halfwater.planning.cutting_columns import Model, TaxonColumns
from halfwater.planning.cutting_decisions import Decisions
from halfwater.planning.cutting_growth import first_grown, powers
from halfwater.planning.cutting_stock import Stand
from halfwater.planning.cutting_weeks import Step
from halfwater.planning.problem import Floats

_NO_POT = 1e-6  # so few are counted as none


def kept_worths(
    decisions: Decisions, stands: tuple[Stand, ...], model: Model, row_worth: Floats
) -> tuple[KeptWorth, ...]:
    """What a pot of each priced grade is worth if the next release does not sell it.

    The least price at which selling it is better than keeping it, as the plan sees it.

    Parameters
    ----------
    decisions : Decisions
        The plan's weeks, and what it sells in them.
    stands : tuple of Stand
        The taxa as the plan counts them.
    model : Model
        The problem and where in it each decision stands.
    row_worth : numpy.ndarray
        What one more of each row's limit would bring; empty where nothing was solved. [minor] Valid as
        solved.

    Returns
    -------
    tuple of KeptWorth
        One for each priced grade of each taxon; none without a release that a later step follows. [minor]

    Notes
    -----
    sum over scenarios of (worth of a pot in the next step) · growth - worth of a spot, a mean over the
    pots of the grade that the plan sells in that release; where it sells none over today's, without any at
    its first stage. Later sales, cuts, losses, minutes and limits of demand are in it. Never below 0: a pot
    can be thrown away. A worth of 0 means that one more would find neither buyer nor use.

    Source: own definition
    """
    steps = decisions.steps
    at = next((place for place, step in enumerate(steps) if step.releases), None)
    if at is None or at + 1 >= len(steps) or not len(row_worth):
        return ()
    spot = float(row_worth[model.spot_rows[at]].sum())
    found = []
    for stand, columns, taxon in zip(stands, model.columns, decisions.taxa, strict=True):
        worth = _stage_worths(stand, columns, steps[at], at, row_worth) - spot
        for rank in stand.lines:
            stages = [stage for stage, own in enumerate(stand.rank) if own == rank]
            if stages:
                each = float(np.average(worth[stages], weights=_weights(stand, taxon.sold[at], stages)))
                found.append(KeptWorth(stand.taxon.key, GRADES[rank - 1], max(each, 0.0)))
    return tuple(found)


def _stage_worths(stand: Stand, columns: TaxonColumns, step: Step, at: int, row_worth: Floats) -> Floats:
    """What a pot of each stage brings from the next step on; nought for those still growing up."""
    grown = first_grown(stand)
    up = powers(stand, (step,))[step.weeks][:, grown:, grown:]
    worth = np.zeros(stand.stages)
    worth[grown:] = np.einsum("wi,wij->j", row_worth[columns.balance[at + 1]], up)
    return worth


def _weights(stand: Stand, sold: Floats, stages: list[int]) -> Floats:
    """Pots of these stages that are sold, else those that stand; without any the first stage alone."""
    first: Floats = np.eye(len(stages))[0]
    either: tuple[Floats, ...] = (sold.mean(axis=0)[stages], stand.counts[stages])
    return next((pots for pots in either if float(pots.sum()) > _NO_POT), first)
