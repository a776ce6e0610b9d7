"""The demand model held against slopes by differences, brute-force weighting, and its own limits."""

from dataclasses import replace

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.science import starting
from halfwater.science.arrivals import OrderSizes, come_frac
from halfwater.science.demand import DemandPosterior, demand_posterior
from halfwater.science.demand_draws import NextLine, next_draws, past_draws, sell_out_hours, shared_draws
from halfwater.science.demand_fit import fit_nodes, line_coordinates
from halfwater.science.demand_lines import DemandLines, line_terms, seen_frac

ONE_EACH = OrderSizes(1e-4, 1e4)  # every order takes one plant


def lines(*cells, taken, is_least=False, price_log=0.0, held_frac=0.0) -> DemandLines:
    """Lines of one taxon and grade, each in a release of its own; a cell is line, from, to, orders."""
    n = len(taken)
    of_cell = np.array(cells, dtype=float)
    nought = np.zeros(n, dtype=np.intp)
    return DemandLines(
        taxon=nought,
        grade=nought,
        kind=nought,
        release=np.arange(n),
        release_day=np.linspace(-20.0 * n, -20.0, n),
        price_log=np.broadcast_to(price_log, n).astype(float),
        offset_log=np.zeros(n),
        taken_weight=np.array(taken, dtype=float),
        dispersion_factor=np.ones(n),
        is_least=np.broadcast_to(is_least, n).copy(),
        is_cut=np.zeros(n, dtype=bool),
        limit=np.zeros(n),
        held_frac=held_frac,
        cell_line=of_cell[:, 0].astype(np.intp),
        cell_from_h=of_cell[:, 1],
        cell_to_h=of_cell[:, 2],
        cell_orders=of_cell[:, 3],
    )


MIXED = lines(
    (0, 0.0, 0.1, 3), (0, 0.1, 0.5, 2), (0, 0.5, 20.0, 4), (1, 0.0, 2.0, 0), (1, 30.0, 40.0, 1),
    (2, 0.0, 168.0, 0),
    taken=[9.0, 6.0, 5.0], is_least=[False, False, True], held_frac=0.05,
)  # fmt: skip


def test_slopes_are_those_of_the_value() -> None:
    """Slopes in all four numbers agree with differences, also where only a least number is known."""
    rng = np.random.default_rng(1)
    total, law = 2.5 + rng.random((4, 3)), np.array([0.2, 0.3, 4.0]) + 0.5 * rng.standard_normal((4, 3, 3))
    shape = np.array([1.5, 4.0, 10.0, 60.0])
    slope = line_terms(MIXED, shape, total, law).slope
    step = 1e-6
    for number in range(4):
        up, down = [total.copy(), law.copy()], [total.copy(), law.copy()]
        for one, sign in ((up, step), (down, -step)):
            if number:
                one[1][..., number - 1] += sign
            else:
                one[0] += sign
        rise = line_terms(MIXED, shape, *up).value - line_terms(MIXED, shape, *down).value
        assert slope[..., number] == pytest.approx(rise / (2 * step), rel=1e-4, abs=1e-5)


def test_information_is_never_below_nought() -> None:
    """What a line tells is a sum of squares at any law."""
    rng = np.random.default_rng(2)
    law = np.array([0.0, 0.0, 4.0]) + rng.standard_normal((50, 3, 3))
    found = line_terms(MIXED, np.full(50, 5.0), rng.normal(2.0, 1.0, (50, 3)), law).information
    assert np.linalg.eigvalsh(found).min() > -1e-9


def test_interest_seen_adds_up_over_spells() -> None:
    """The share seen is that of the spells, however they are cut into cells, and what was held."""
    law = np.array([[[np.log(0.5), 0.4, np.log(50.0)]] * 3])
    part = 1.0 / (1.0 + np.exp(-0.4))
    seen = seen_frac(MIXED, law)[0]
    come = come_frac([20.0, 2.0, 30.0, 40.0, 168.0], 0.5, part, 50.0)
    assert seen[0] == pytest.approx(0.05 + 0.95 * come[0])
    assert seen[1] == pytest.approx(0.05 + 0.95 * (come[1] + come[3] - come[2]))
    assert seen[2] == pytest.approx(0.05 + 0.95 * come[4])


def brute(rng: np.random.Generator, draws: int) -> dict[str, np.ndarray]:
    """Worlds from the starting values, without the model's own machinery."""
    node = rng.choice(5, draws, p=np.array([0.09, 0.24, 0.34, 0.24, 0.09]))
    two = rng.choice([-0.8, 0.8], (2, draws))
    times = rng.choice([0.4, 1.0, 2.0], draws, p=[0.3, 0.4, 0.3])
    of_release, of_rush = rng.choice([0.5, 1.5], draws), rng.choice([0.5, 2.0], draws)
    level = np.log(15.0) + rng.standard_normal(draws) * np.sqrt(1.0 + 0.7**2 + 0.4**2 + 0.3**2 + 0.35**2)
    level += 0.3 * of_release * rng.standard_normal(draws)
    shape = 1.0 / np.expm1((0.35 * times) ** 2)
    rush = np.log(1.2) + 2.0 * (0.8 * (node - 2.0) + 0.45 * rng.standard_normal(draws))
    odds = np.log(1.5) + 1.1 * (two[0] + 0.6 * rng.standard_normal(draws))
    tail = np.log(72.0) + 0.8 * (two[1] + 0.6 * rng.standard_normal(draws))
    wide = 0.4 * of_rush
    return {
        "wanted": np.exp(level) * rng.gamma(shape) / shape,
        "rush": np.exp(rush + wide * rng.standard_normal(draws)),
        "part": 1.0 / (1.0 + np.exp(-odds - wide * rng.standard_normal(draws))),
        "tail": np.exp(tail),
    }


@pytest.mark.parametrize(("plants", "hours"), [(10, 0.3), (4, 30.0), (40, 2.0)])
def test_one_sell_out_against_weighted_worlds(plants: int, hours: float) -> None:
    """A single sell-out: the range agrees with brute-force weighting of half a million worlds."""
    rng = np.random.default_rng(5)
    world = brute(rng, 500_000)
    law = world["rush"], world["part"], world["tail"]
    come, nearly = come_frac(hours, *law), come_frac(0.9 * hours, *law)
    mean = world["wanted"] * come
    weight_log = plants * np.log(mean) - mean + np.log((come - nearly) / come)
    weight = np.exp(weight_log - weight_log.max())
    rest = rng.poisson(world["wanted"] * (come_frac(168.0, *law) - come)).astype(float)
    order = np.argsort(rest)
    place = np.cumsum(weight[order]) / weight.sum()
    exact = np.log1p(rest[order][np.searchsorted(place, (0.1, 0.5, 0.9))])
    found = lines((0, 0.0, 0.9 * hours, 0), (0, 0.9 * hours, hours, 1), taken=[plants])
    posterior = demand_posterior(found, ONE_EACH, 1, 1)
    common = shared_draws(posterior, rng, 4000)
    more = past_draws(posterior, common, np.array([168.0]), rng).more[:, 0]
    assert np.log1p(np.quantile(more, (0.1, 0.5, 0.9))) == pytest.approx(exact, abs=0.35)


def test_a_known_law_gives_the_gamma_answer() -> None:
    """Where interest all comes at a known pace, wanted is gamma: k + y over k / mean + share seen."""
    found = lines((0, 0.0, 1.0, 0), taken=[7.0])
    posterior = demand_posterior(found, ONE_EACH, 1, 1)
    nodes = posterior.nodes
    pin = np.eye(nodes.precision.shape[1])[None] * 1e12
    law = np.array([np.log(2.0), 0.0, np.log(2.0)])
    mean = nodes.mean[[0]].copy()
    mean[0, :3] = law
    pinned = replace(
        nodes,
        weight_log=nodes.weight_log[[0]],
        mean=mean,
        precision=pin,
        release_precision=np.full((1, 3), 1e12),
        spread_shape=np.array([3.0]),
    )
    known = DemandPosterior(
        posterior.design, pinned, fit_nodes(posterior.design, pinned), np.ones(1), ONE_EACH
    )
    rng = np.random.default_rng(3)
    common = shared_draws(known, rng, 40_000)
    more = past_draws(known, common, np.array([1e4]), rng).more[:, 0]
    seen = 1.0 - np.exp(-0.5)
    shape, rate = 3.0 + 7.0, 3.0 / 15.0 + seen
    rest = shape / rate * (1.0 - seen)
    assert more.mean() == pytest.approx(rest, rel=0.02)
    assert more.var() == pytest.approx(rest + rest**2 / shape, rel=0.05)


def test_nothing_learned_is_the_starting_value() -> None:
    """Without lines, level, elasticity and law have the mean and spread they started with."""
    empty = lines((0, 0.0, 1.0, 0), taken=[1.0])
    empty = replace(
        empty,
        **{
            name: getattr(empty, name)[:0] for name in DemandLines.__dataclass_fields__ if name != "held_frac"
        },
    )
    posterior = demand_posterior(empty, ONE_EACH, 0, 0)
    common = shared_draws(posterior, np.random.default_rng(1), 20_000)
    bend = common.shared[:, posterior.design.places.elasticity]
    assert bend.mean() == pytest.approx(np.log(starting.ELASTICITY), abs=0.02)
    assert bend.std() == pytest.approx(starting.ELASTICITY_SIGMA_LOG, rel=0.03)
    assert common.shared[:, 0].std() == pytest.approx(starting.RUSH_SIGMA_LOG, rel=0.05)
    assert common.shared[:, 1].std() == pytest.approx(starting.RUSH_ODDS_SIGMA_LOG, rel=0.05)


def test_the_top_is_a_top() -> None:
    """At each node no small step in any shared number raises likelihood and prior together."""
    posterior = demand_posterior(MIXED, ONE_EACH, 1, 1)
    design, nodes = posterior.design, posterior.nodes
    fit = fit_nodes(design, nodes, close_log=1e-9)

    def height(shared: np.ndarray) -> np.ndarray:
        value = line_terms(
            design.lines, nodes.spread_shape, *line_coordinates(design, shared, fit.of_release)
        ).value
        away = shared - nodes.mean
        return value.sum(axis=1) - np.einsum("ns,nst,nt->n", away, nodes.precision, away) / 2.0

    top = height(fit.shared)
    for number in range(fit.shared.shape[1]):
        for step in (-0.02, 0.02):
            moved = fit.shared.copy()
            moved[:, number] += step
            assert np.all(height(moved) <= top + 1e-6)


def test_sell_out_hours_against_orders_one_by_one() -> None:
    """The instant of a sell-out agrees with orders drawn one by one and counted."""
    posterior = demand_posterior(MIXED, ONE_EACH, 1, 1)
    rng = np.random.default_rng(2)
    common = shared_draws(posterior, rng, 3000)
    drawn = next_draws(posterior, common, NextLine(0, 0, 0, 0.0, 168.0, 0), rng)
    hours = sell_out_hours(drawn, 8, 168.0, MIXED.held_frac)
    counted = np.full(len(hours), np.inf)
    for row, orders in enumerate(drawn.orders.astype(int)):
        if orders >= 8:
            law = drawn.rush_h[row], drawn.rush_frac[row], drawn.tail_h[row]
            grid = np.r_[0.0, np.logspace(-4, np.log10(168.0), 400)]
            all_came = MIXED.held_frac + (1.0 - MIXED.held_frac) * come_frac(grid, *law)
            share = np.sort(rng.random(orders))[7] * all_came[-1]
            counted[row] = np.interp(share, all_came, grid)
    for at in (0.1, 1.0, 10.0, 100.0):
        assert np.mean(hours <= at) == pytest.approx(np.mean(counted <= at), abs=0.03)


def test_rows_that_name_no_taxon_are_refused() -> None:
    """A taxon beyond those counted, or releases out of order, are refused."""
    with pytest.raises(RefusedInput, match="taxa"):
        demand_posterior(replace(MIXED, taxon=np.array([0, 0, 3])), ONE_EACH, 1, 1)
    with pytest.raises(RefusedInput, match="release"):
        demand_posterior(replace(MIXED, release=np.array([1, 0, 2])), ONE_EACH, 1, 1)
