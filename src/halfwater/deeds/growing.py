"""How the stock grows: the outlook of pots, batches and taxa, and draws for the plan."""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache

import numpy as np

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.growing_answer import StockAnswer, pots_of, reckon_stock
from halfwater.deeds.growing_facts import Climate, StockFacts
from halfwater.deeds.growing_groups import batch_outlooks, taxon_outlooks
from halfwater.deeds.growing_pots import pot_outlooks
from halfwater.deeds.growing_words import count_next, growth_workings
from halfwater.deeds.light import light_of
from halfwater.plain.growing import GrowthDraws, StockOutlook
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.stock import StandingPot
from halfwater.science import starting
from halfwater.science.effects import draw_effects
from halfwater.science.growth import pot_paces

HORIZON_DAYS = 182
_SETTLED_FRAC = 0.5  # a pot is past its lag when that is likelier than not


@dataclass(frozen=True, slots=True)
class GrowingPot:
    """A standing pot as the cutting plan asks for it."""

    pot: StandingPot
    leaves: float  # expected today
    is_settled: bool  # past its lag
    rate_factor: float  # its pace against a usual pot of the taxon


def stock_outlook(now: datetime, horizon_days: int = HORIZON_DAYS) -> StockOutlook:
    """The whole stock from today to the horizon; without pots an empty one."""
    return _outlook(gather_stock(now), horizon_days)


def growth_draws(now: datetime, draws: int = 200) -> tuple[GrowthDraws, ...]:
    """Joint draws of how each taxon of the book grows, where its pots stand today."""
    return _draws(gather_stock(now), draws)


def plan_pots(now: datetime) -> tuple[GrowingPot, ...]:
    """The standing pots with what the plan needs to know of their growth."""
    answer = reckon_stock(gather_stock(now), HORIZON_DAYS)
    standing = answer.standing
    usual = _usual_log(answer)
    mean, _ = pot_paces(standing)
    pace = mean * np.exp(standing.rate_log - usual[standing.pots.taxon])
    begun = np.sum(standing.lag_weight * (standing.lag_day <= standing.pots.now_day), axis=1)
    pots = pots_of(answer.facts, answer.columns)
    return tuple(
        GrowingPot(pot, float(leaves), bool(settled > _SETTLED_FRAC), float(factor))
        for pot, leaves, settled, factor in zip(
            pots, answer.chances.mean_leaves[:, 0], begun, pace, strict=True
        )
    )


def gather_stock(now: datetime) -> StockFacts:
    """What the growth is reckoned from, a few queries in all."""
    nursery = queries.nursery()
    return StockFacts(
        on=local_day(now, nursery),
        taxa=queries.taxa(),
        pots=tuple(map(_as_it_grows, queries.standing_pots(gone=True))),
        counts=queries.leaf_counts(),
        stays=queries.stays(),
        parents=queries.lineage(),
        cuts=_cuts(nursery),
        climates=_climates(),
    )


def _as_it_grows(pot: StandingPot) -> StandingPot:
    """A pot that is offered grows as before: the same question is then remembered."""
    return replace(pot, is_offered=False) if pot.is_offered else pot


def _cuts(nursery: NurseryFacts) -> tuple[tuple[int, date], ...]:
    """The pots that were cut, and when."""
    entries = queries.entries(kinds=("cut",), newest_first=False)
    return tuple((one.pot, local_day(one.at, nursery)) for one in entries if one.pot is not None)


def _climates() -> tuple[Climate, ...]:
    """Warmth and light of each tank, as set or as last noted."""
    newest = queries.last_entries(kinds=("air", "lamp"))
    found = []
    for tank in queries.tanks(in_use=None):
        air = newest.get((tank.key, "air"))
        temp_c = tank.inside_temp_c if tank.inside_temp_c is not None or air is None else air.value
        has_light = tank.lamp is not None or tank.stray_hours > 0
        light = light_of(tank, newest.get((tank.key, "lamp"))).dli_mol_m2_d if has_light else None
        found.append(Climate(tank.key, temp_c, light))
    return tuple(found)


@lru_cache(maxsize=4)
def _outlook(facts: StockFacts, horizon_days: int) -> StockOutlook:
    answer = reckon_stock(facts, horizon_days)
    pots = pot_outlooks(answer)
    return StockOutlook(
        on=facts.on,
        horizon_on=facts.on + timedelta(days=horizon_days),
        taxa=taxon_outlooks(answer),
        batches=batch_outlooks(answer, pots),
        pots=pots,
        count_next=count_next(answer),
        workings=growth_workings(answer),
    )


def _usual_log(answer: StockAnswer) -> np.ndarray:
    """Log pace of a usual pot of each taxon in the tanks where its pots stand: batches left out."""
    effects = answer.everything.fit.effect_log
    return _with_place(answer, effects[None, :])[0]


def _with_place(answer: StockAnswer, effects: np.ndarray) -> np.ndarray:
    """Drawn log paces of taxa with the mean of the tanks where they stand: draws x taxa."""
    row, taxon = answer.standing.row, answer.standing.pots.taxon
    taxa = len(answer.columns.taxa)
    own = np.einsum("ik,sik->si", row.weight[:, 1:], effects[:, row.index[:, 1:]])
    found = effects[:, :taxa].copy()
    for place in np.unique(taxon):
        found[:, place] += own[:, taxon == place].mean(axis=1)
    return found


@lru_cache(maxsize=4)
def _draws(facts: StockFacts, draws: int) -> tuple[GrowthDraws, ...]:
    answer = reckon_stock(facts, HORIZON_DAYS)
    everything, priors, losses = answer.everything, answer.columns.growth_priors, answer.losses
    rng = np.random.default_rng(draws)
    effects, _ = draw_effects(everything.fit, draws, 11)
    pace = np.exp(_with_place(answer, effects))
    shift = everything.shift_mean_log + everything.shift_sd * rng.standard_normal((draws, len(facts.taxa)))
    lag = np.exp(priors.lag_log + shift * priors.lag_sigma_log)
    which = rng.integers(len(losses.settling_log), size=draws)
    place = _place_losses(answer, rng, which)
    early = -np.expm1(-np.exp(losses.settling_log[which] + place) * starting.SETTLING_DAYS / 30.0)
    later = -np.expm1(-np.exp(losses.later_log[which] + place))
    sigma = float(np.sqrt(np.log1p(starting.POT_CV_FRAC**2) + starting.BATCH_SIGMA_LOG**2))
    return tuple(
        GrowthDraws(
            taxon=taxon.key,
            leaf_rate_per_30d=tuple(pace[:, k].tolist()),
            lag_days=tuple(lag[:, k].tolist()),
            settling_loss_frac=tuple(early[:, k].tolist()),
            loss_per_30d_frac=tuple(later[:, k].tolist()),
            pot_sigma_log=sigma,
            leaf_life_days=float(priors.leaf_life_days[k]),
            tips_per_30d=float(priors.tips_per_30d[k]),
        )
        for k, taxon in enumerate(facts.taxa)
    )


def _place_losses(answer: StockAnswer, rng: np.random.Generator, which: np.ndarray) -> np.ndarray:
    """What tank and parent add to the log loss of new sections: mean tank, a parent not known yet."""
    losses, pots = answer.losses, answer.standing.pots
    tanks = np.unique(pots.tank)
    mean = losses.tank_log[which][:, tanks].mean(axis=1) if len(tanks) else np.zeros(len(which))
    new = starting.LOSS_PARENT_SIGMA_LOG * rng.standard_normal((len(which), len(answer.columns.taxa)))
    return np.asarray(mean[:, None] + new)
