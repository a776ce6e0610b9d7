"""What the plants of a tank bear in their bath: the tenderest taxon decides."""

from collections.abc import Iterable

from halfwater.errors import RefusedInput
from halfwater.plain.bath import EcLimit
from halfwater.plain.stock import TaxonFacts
from halfwater.science import starting
from halfwater.science.uptake import is_tender

_PRIOR = "ec_above_source_ms_cm"
_OWN = "ec_action_ms_cm"  # a limit the grower set for a taxon
_WIDEST = (0.3, 1.2)  # of any plant, above its water


def ec_limit(taxa: Iterable[TaxonFacts], source_ms_cm: float) -> EcLimit:
    """EC to aim at, to act at and never to pass, whole solution, for the taxa in one tank.

    The taxon that bears least decides; no taxon gives the widest range and the usual limits.

    Parameters
    ----------
    taxa : iterable of TaxonFacts
        Those that stand in the tank.
    source_ms_cm : float
        EC of the source water. [mS/cm] Valid 0..20.

    Returns
    -------
    EcLimit
        In mS/cm.

    Raises
    ------
    RefusedInput
        If the EC is nan or out of range.

    Notes
    -----
    Targets are the taxon's own range above the source, on top of the source. Action at 1.5, at 1.2 with
    ferns or Bucephalandra, or where the grower set a taxon's own; alarm at 2.0 of the whole solution. The
    tenderest is the one of least action limit, then of lowest upper target. A hard water may leave no room:
    then target and action overlap, as they stand.

    Source: priors, Salts in the bath
    """
    if not 0.0 <= source_ms_cm <= 20.0:
        raise RefusedInput("source EC", source_ms_cm, "a number from 0 to 20 mS/cm")
    found = []
    for taxon in taxa:
        low, high = next(
            ((prior.low, prior.high) for prior in taxon.priors if prior.quantity == _PRIOR), _WIDEST
        )
        tender = is_tender(taxon.group, taxon.name)
        usual = starting.TENDER_ACTION_EC_MS_CM if tender else starting.ACTION_EC_MS_CM
        action = next((prior.mean for prior in taxon.priors if prior.quantity == _OWN), usual)
        found.append((action, high, low, taxon.name))
    action, high, low, name = min(found, default=(starting.ACTION_EC_MS_CM, _WIDEST[1], _WIDEST[0], ""))
    return EcLimit(
        target_low_ms_cm=source_ms_cm + low,
        target_high_ms_cm=source_ms_cm + high,
        action_ms_cm=action,
        alarm_ms_cm=starting.ALARM_EC_MS_CM,
        taxon_name=name,
        source="starting values, Salts in the bath",
    )
