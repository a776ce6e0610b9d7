"""Batches and taxa in the outlook: their pace, their losses, and how many will be ready when."""

from datetime import timedelta

import numpy as np

from halfwater.deeds.growing_answer import GroupAnswer, StockAnswer, pots_of
from halfwater.deeds.growing_pots import day_ahead, lognormal_span
from halfwater.plain.growing import BatchOutlook, GradeDate, PotOutlook, ReadyCount, Span, TaxonOutlook
from halfwater.plain.stock import GRADES
from halfwater.science import starting

_QUANTILES = (10, 50, 90)


def taxon_outlooks(answer: StockAnswer) -> tuple[TaxonOutlook, ...]:
    """The taxa that have pots standing, in the order of their names."""
    standing, facts = answer.standing, answer.facts
    priors = answer.columns.growth_priors
    pots = pots_of(facts, answer.columns)
    found = []
    for place in np.unique(standing.pots.taxon):
        taxon, mine = facts.taxa[place], np.flatnonzero(standing.pots.taxon == place)
        settling, later = _losses(answer, mine)
        found.append(
            TaxonOutlook(
                taxon=taxon.key,
                taxon_name=taxon.name,
                pots=len(mine),
                kept=sum(pots[row].state == "kept" for row in mine),
                rate_per_30d=_pace(answer, mine),
                prior_rate_per_30d=lognormal_span(
                    float(priors.rate_log[place]), float(priors.rate_sigma_log[place])
                ),
                settling_loss_frac=settling,
                loss_per_30d_frac=later,
                ready_now=_ready_now(answer.by_taxon, place),
                counts=_counts(answer, answer.by_taxon, place, taxon.key, taxon.name, None),
                counted_pots=int(np.sum(standing.spans[mine] > 0)),
            )
        )
    return tuple(found)


def batch_outlooks(answer: StockAnswer, outlooks: tuple[PotOutlook, ...]) -> tuple[BatchOutlook, ...]:
    """The batches that have pots standing."""
    standing = answer.standing
    found = []
    for place in np.unique(standing.pots.batch):
        mine = np.flatnonzero(standing.pots.batch == place)
        pot = outlooks[mine[0]].pot
        counted = [outlooks[row].pot.counted_on for row in mine]
        found.append(
            BatchOutlook(
                batch=pot.batch,
                batch_name=pot.batch_name,
                taxon=pot.taxon,
                taxon_name=pot.taxon_name,
                pots=len(mine),
                rate_per_30d=_pace(answer, mine),
                loss_per_30d_frac=_loss_ahead(answer, mine),
                half_ready=_half(answer, place, int(standing.pots.taxon[mine[0]])),
                counts=_counts(answer, answer.by_batch, place, pot.taxon, pot.taxon_name, pot.batch),
                last_counted_on=max((on for on in counted if on is not None), default=None),
                slow=tuple(outlooks[row].pot.key for row in mine if outlooks[row].is_slow),
            )
        )
    return tuple(found)


def _pace(answer: StockAnswer, mine: np.ndarray) -> Span:
    """Pace of a usual pot of some, where they stand: what they share, drawn."""
    chances = answer.chances
    cells, pots = np.unique(chances.cell[mine], return_counts=True)
    mode = answer.standing.rate_log[chances.cell_pot[cells]]
    drawn = np.exp(mode + chances.pace_log[:, cells]) @ (pots / pots.sum())
    return _span(drawn)


def _losses(answer: StockAnswer, mine: np.ndarray) -> tuple[Span, Span]:
    """Losses of new sections and of settled pots, where pots of some stand."""
    losses, pots = answer.losses, answer.standing.pots
    taxon, tank = pots.taxon[mine[0]], np.unique(pots.tank[mine])
    place = losses.tank_log[:, tank].mean(axis=1) + starting.LOSS_PARENT_SIGMA_LOG**2 / 2.0
    early = np.exp(losses.settling_log[:, taxon] + place) * starting.SETTLING_DAYS / 30.0
    return _span(-np.expm1(-early)), _span(-np.expm1(-np.exp(losses.later_log[:, taxon] + place)))


def _loss_ahead(answer: StockAnswer, mine: np.ndarray) -> Span:
    """Losses of the coming thirty days among some pots, at their age."""
    losses, pots = answer.losses, answer.standing.pots
    family = answer.columns.losses.family[answer.columns.standing]
    place = losses.tank_log[:, pots.tank[mine]] + losses.family_log[:, family[mine]]
    age = pots.now_day - pots.potted_day[mine]
    early = np.clip((starting.SETTLING_DAYS - age) / 30.0, 0.0, 1.0)
    taxon = pots.taxon[mine]
    rate = early * np.exp(losses.settling_log[:, taxon]) + (1 - early) * np.exp(losses.later_log[:, taxon])
    return _span(-np.expm1(-rate * np.exp(place)).mean(axis=1))


def _ready_now(group: GroupAnswer, place: int) -> dict[str, Span]:
    """Pots at exactly each grade today."""
    reached = group.counts[place, :, 0]
    larger = np.concatenate((reached[:, 1:], np.zeros((len(reached), 1), dtype=np.int64)), axis=1)
    exactly = np.maximum(np.sort(reached, axis=0) - np.sort(larger, axis=0), 0)
    return {grade: _span(exactly[:, k]) for k, grade in enumerate(GRADES)}


def _counts(
    answer: StockAnswer,
    group: GroupAnswer,
    place: int,
    taxon: int,
    taxon_name: str,
    batch: int | None,
) -> tuple[ReadyCount, ...]:
    ends = np.percentile(group.counts[place], _QUANTILES, axis=0, method="inverted_cdf")
    mean = group.means.mean[place].mean(axis=0)
    on = [answer.facts.on + timedelta(days=int(day)) for day in answer.chances.ahead_days[group.which]]
    return tuple(
        ReadyCount(taxon, taxon_name, grade, on[d], *ends[:, d, g].tolist(), float(mean[d, g]), batch)
        for g, grade in enumerate(GRADES)
        for d in range(len(on))
    )


def _half(answer: StockAnswer, place: int, taxon: int) -> tuple[GradeDate, ...]:
    """When half of a batch's pots have each grade."""
    drawn, on = answer.by_batch.half_days[place], answer.facts.on
    found = []
    for k, grade in enumerate(GRADES):
        days = drawn[:, k]
        rule = int(answer.columns.rule_leaves[taxon, k])
        if np.isnan(days).all():
            found.append(GradeDate(grade, rule, None, None, None))
            continue
        ends = np.percentile(days, _QUANTILES, method="inverted_cdf")
        dates = [day_ahead(on, float(day)) for day in ends]
        found.append(GradeDate(grade, rule, *dates, bool(ends[1] <= 0), float(np.isfinite(days).mean())))
    return tuple(found)


def _span(drawn: np.ndarray) -> Span:
    return Span(*np.percentile(drawn, _QUANTILES, method="inverted_cdf").tolist())
