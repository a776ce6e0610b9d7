"""Joint draws from what is known of demand: of past lines, and of a line yet to open."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.arrivals import come_frac, hours_until, order_moments
from halfwater.science.demand import DemandPosterior
from halfwater.science.demand_fit import line_coordinates
from halfwater.science.demand_lines import seen_frac

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


_MANY = 1e5  # orders: beyond it a Poisson count is as good as normal


@dataclass(frozen=True)
class SharedDraws:
    """Draws of what all lines share, the node of each draw known."""

    node: Ints
    shared: Floats  # draws x shared
    add_chance: Floats  # of each draw: that a buyer adds one more


@dataclass(frozen=True)
class PastDraws:
    """Draws of what was wanted of past lines: draws x lines."""

    more: Floats  # plants that found nothing


@dataclass(frozen=True)
class NextLine:
    """A line yet to open; a row of -1 is a taxon, grade or kind that no line had so far."""

    taxon: int
    grade: int
    kind: int
    price_log: float  # over the reference of its kind
    open_h: float
    most_per_buyer: int  # 0 for no limit


@dataclass(frozen=True)
class NextDraws:
    """Draws of what a next line would meet."""

    wanted: Floats  # whole plants
    mean: Floats
    elasticity: Floats
    rush_h: Floats
    rush_frac: Floats
    tail_h: Floats
    orders: Floats
    at_orders: Floats  # even chances, kept for the instant at which it sells out


def shared_draws(posterior: DemandPosterior, rng: np.random.Generator, draws: int) -> SharedDraws:
    """Draws of level, taxa, grades, kinds, drift, elasticity and the law of interest.

    Parameters
    ----------
    posterior : DemandPosterior
        What is known.
    rng : Generator
        The source of chance.
    draws : int
        How many. Valid 1 upward.

    Returns
    -------
    SharedDraws
        One row a draw. [1]

    Raises
    ------
    RefusedInput
        If draws are below 1.

    Notes
    -----
    Nodes by their weight (evenly spread draws), then the node's normal law.

    Source: gelman-bda3, section 2.6; own definition of the mixture
    """
    if draws < 1:
        raise RefusedInput("draws", draws, "1 or more")
    fit = posterior.fit
    even = (np.arange(draws) + rng.random()) / draws
    node = np.minimum(np.searchsorted(np.cumsum(posterior.node_weight), even), len(fit.shared) - 1)
    chance = rng.standard_normal((draws, fit.shared.shape[1]))
    shared = np.empty_like(chance)
    for each in np.unique(node):
        rows = node == each
        root = np.linalg.cholesky(fit.inner[each])
        shared[rows] = fit.shared[each] + np.linalg.solve(root.T, chance[rows].T).T
    add_chance = rng.beta(posterior.sizes.a, posterior.sizes.b, draws)
    return SharedDraws(node, shared, add_chance)


def past_draws(
    posterior: DemandPosterior, common: SharedDraws, until_h: Floats, rng: np.random.Generator
) -> PastDraws:
    """Draws of the plants that past lines could not give.

    Parameters
    ----------
    posterior : DemandPosterior
        What is known.
    common : SharedDraws
        Draws of what all lines share.
    until_h : ndarray
        Of each line: hours after its opening up to which interest counts. [h] Valid 0 upward.
    rng : Generator
        The source of chance.

    Returns
    -------
    PastDraws
        Draws x lines. [1]

    Notes
    -----
    A line's own factor is gamma with shape k + y and rate k + m (y taken, m its mean while on offer, both
    over the dispersion); what came while it was not on offer is compound Poisson with that factor. An order
    that took the last pots wanted geometrically more. Where only "sold out" is known the total is the
    negative binomial cut off below at y.

    Source: gelman-bda3, section 2.6; own definition of the rest
    """
    lines, node = posterior.design.lines, common.node
    total, law = line_coordinates(posterior.design, common.shared, _release_draws(posterior, common, rng))
    came = seen_frac(lines, law)
    all_came = lines.held_frac + (1.0 - lines.held_frac) * come_frac(
        until_h, np.exp(law[..., 0]), 1.0 / (1.0 + np.exp(-law[..., 1])), np.exp(law[..., 2])
    )
    plants = np.exp(total + lines.offset_log)
    k = posterior.nodes.spread_shape[node][:, None]
    mean = plants * came / lines.dispersion_factor
    factor = rng.gamma(k + lines.taken_weight) / (k + mean)
    rest = plants * factor * np.maximum(all_came - came, 0.0)
    more = _random_plants(rest, common.add_chance[:, None], lines.limit, rng)
    more += _cut_short(lines.is_cut, lines.limit, common.add_chance, rng.random(rest.shape))
    if lines.is_least.any():
        rows = lines.is_least
        more[:, rows] = _beyond(
            lines.taken_weight[rows], k, mean[:, rows], rng.random((len(node), int(rows.sum())))
        )
        more[:, rows] *= lines.dispersion_factor[rows]
    return PastDraws(np.rint(more))


def next_draws(
    posterior: DemandPosterior, common: SharedDraws, line: NextLine, rng: np.random.Generator
) -> NextDraws:
    """Draws of the plants that a next line would be asked for, had it enough.

    Parameters
    ----------
    posterior : DemandPosterior
        What is known.
    common : SharedDraws
        Draws of what all lines share.
    line : NextLine
        The line.
    rng : Generator
        The source of chance; with the same one, draw i is the same world at every price and limit.

    Returns
    -------
    NextDraws
        One value a draw. [1]

    Raises
    ------
    RefusedInput
        If the hours are not above 0, the price is not a number, or the limit is below 0.

    Notes
    -----
    Mean = exp(level + taxon + grade + kind + drift now + release - e log(p / p0)) times the line's factor,
    the share of interest that comes while it is open, and the plants of an order under the limit over those
    without. Orders are Poisson, their sizes geometric up to the limit. What no line had so far is drawn
    from its starting spread.

    Source: own definition
    """
    if not (np.isfinite(line.open_h) and line.open_h > 0.0):
        raise RefusedInput("open_h", line.open_h, "hours above 0")
    if not np.isfinite(line.price_log) or line.most_per_buyer < 0:
        raise RefusedInput("price_log", line.price_log, "a price above 0 and a limit of 0 or more")
    places, shared, node = posterior.design.places, common.shared, common.node
    draws, held = len(node), posterior.design.lines.held_frac
    strange = rng.standard_normal((4, draws))
    own = rng.standard_normal((draws, 3)) / np.sqrt(posterior.nodes.release_precision[node])
    k = posterior.nodes.spread_shape[node]
    even = rng.random((6, draws))
    level = shared[:, places.level] + shared[:, places.drift.stop - 1] + own[:, 0]
    for row, (where, index, spread) in enumerate(
        (
            (places.taxon, line.taxon, starting.WANTED_TAXON_SIGMA_LOG),
            (places.grade, line.grade, starting.WANTED_GRADE_SIGMA_LOG),
            (places.kind, line.kind, starting.WANTED_KIND_SIGMA_LOG),
        )
    ):
        level = level + (shared[:, where.start + index] if index >= 0 else spread * strange[row])
    bend = shared[:, places.elasticity]
    if line.taxon >= 0:
        bend = bend + shared[:, places.elasticity_taxon.start + line.taxon]
    else:
        bend = bend + starting.ELASTICITY_TAXON_SIGMA_LOG * strange[3]
    elasticity = np.exp(bend)
    rush, tail = np.exp(shared[:, 0] + own[:, 1]), np.exp(shared[:, 2])
    part = 1.0 / (1.0 + np.exp(-shared[:, 1] - own[:, 2]))
    came = held + (1.0 - held) * come_frac(line.open_h, rush, part, tail)
    limit = np.full(draws, float(line.most_per_buyer))
    usual = order_moments(common.add_chance, 0.0)[0]
    offset = order_moments(common.add_chance, limit)[0] / usual
    mean = np.exp(level - elasticity * line.price_log) * came * offset * _gamma(k, even[0])
    wanted, orders = _plants(mean, common.add_chance, limit, even[1:4])
    return NextDraws(wanted, mean, elasticity, rush, part, tail, orders, even[4])


def sell_out_hours(drawn: NextDraws, offered: int, open_h: float, held_frac: float) -> Floats:
    """Hours after the opening at which a next line would sell out.

    Parameters
    ----------
    drawn : NextDraws
        Draws of what it would meet.
    offered : int
        Plants on offer. [1] Valid 1 upward.
    open_h : float
        Hours it stays open. [h] Valid above 0.
    held_frac : float
        Share of all interest that came before the opening. [1] Valid 0..1.

    Returns
    -------
    ndarray
        One value a draw; inf where fewer are wanted than offered, 0 where holds take all. [h]

    Raises
    ------
    RefusedInput
        If no plant is on offer.

    Notes
    -----
    Of J orders in the open hours the one that takes the last plant is about the (offered x J / wanted)th;
    the share of interest before it is Beta(j, J - j + 1).

    Source: own definition
    """
    from scipy.special import betaincinv

    if offered < 1:
        raise RefusedInput("offered", offered, "1 or more")
    hours = np.full(len(drawn.wanted), np.inf)
    out = drawn.wanted >= offered
    orders = drawn.orders[out]
    place = np.clip(np.ceil(offered * orders / drawn.wanted[out]), 1.0, orders)
    law = drawn.rush_h[out], drawn.rush_frac[out], drawn.tail_h[out]
    all_came = held_frac + (1.0 - held_frac) * come_frac(open_h, *law)
    share = betaincinv(place, orders - place + 1.0, drawn.at_orders[out]) * all_came
    after = np.maximum(share - held_frac, 0.0) / (1.0 - held_frac)
    hours[out] = hours_until(after, *law)
    return hours


def _release_draws(posterior: DemandPosterior, common: SharedDraws, rng: np.random.Generator) -> Floats:
    """What each past release had of its own, given the shared numbers of each draw."""
    fit, node = posterior.fit, common.node
    chance = rng.standard_normal((len(node), *fit.of_release.shape[1:]))
    own = np.empty_like(chance)
    for each in np.unique(node):
        rows = node == each
        root = np.linalg.cholesky(fit.block[each])  # releases x 3 x 3
        away = common.shared[rows] - fit.shared[each]
        pull = np.einsum("rvs,ds->rvd", fit.cross[each], away)
        mean = fit.of_release[each][..., None] - np.linalg.solve(fit.block[each], pull)
        spread = np.linalg.solve(np.swapaxes(root, 1, 2), np.moveaxis(chance[rows], 0, -1))
        own[rows] = np.moveaxis(mean + spread, -1, 0)
    return own


def _gamma(shape: Floats, even: Floats) -> Floats:
    """A factor of mean 1 by its place in the law."""
    from scipy.special import gammaincinv

    factor: Floats = gammaincinv(shape, even) / shape
    return factor


def _plants(mean: Floats, add_chance: Floats, limit: Floats, even: Floats) -> tuple[Floats, Floats]:
    """Plants wanted, and the orders they come in, growing with the mean at equal even chances."""
    from scipy.special import gammaincinv, ndtri, pdtrik

    size = order_moments(add_chance, limit)[0]
    add = 1.0 - 1.0 / size  # chance of one more that gives this size on the mean
    about = np.maximum(mean / size, 1e-12)
    few = np.ceil(pdtrik(even[0], np.minimum(about, _MANY)) - 1e-9)
    orders = np.where(about < _MANY, few, np.rint(about + np.sqrt(about) * ndtri(even[0])))
    shape = np.maximum(orders * add, 1e-12)
    added = np.floor(gammaincinv(shape, even[1]) / (1.0 - add) + even[2])
    return orders + np.where(orders * add > 0.0, added, 0.0), orders


def _random_plants(mean: Floats, add_chance: Floats, limit: Floats, rng: np.random.Generator) -> Floats:
    """Plants wanted around a mean: orders at random, plants in each geometric."""
    size = order_moments(add_chance, limit)[0]
    orders = rng.poisson(mean / size)
    added = rng.negative_binomial(np.maximum(orders, 1), 1.0 / size)
    return np.where(orders > 0, orders + added, 0).astype(np.float64)


def _cut_short(is_cut: NDArray[np.bool_], limit: Floats, add_chance: Floats, even: Floats) -> Floats:
    """What the buyer of the last pots would have taken besides."""
    chance = np.maximum(add_chance, 1e-12)[:, None]
    more = np.floor(np.log1p(-even) / np.log(chance))
    most = np.where(limit > 0.0, limit - 1.0, np.inf)
    return np.where(is_cut, np.minimum(more, most), 0.0)


def _beyond(taken: Floats, k: Floats, mean: Floats, even: Floats) -> Floats:
    """Quasi counts above the one known to be reached, of a negative binomial cut off below."""
    from scipy.special import betainc

    reached = betainc(taken, k, mean / (k + mean))
    low, high = np.broadcast_to(taken, mean.shape).copy(), np.full_like(mean, 1e7)
    for _ in range(40):
        middle = np.sqrt(low * high)
        is_low = betainc(middle, k, mean / (k + mean)) > even * reached
        low, high = np.where(is_low, middle, low), np.where(is_low, high, middle)
    return low - taken
