"""Forecasts of demand made up for tests: lognormal worlds around a mean and an elasticity."""

import numpy as np

from halfwater.plain.demand import DemandDraws
from halfwater.plain.pricing import LineToPrice


def forecast(
    mean=30.0,
    spread=0.3,
    elasticity=1.6,
    elasticity_spread=0.4,
    *,
    releases=5,
    prices_tried=0,
    price_minor=850,
    plants_per_order=1.3,
    draws=800,
    taxon=1,
):
    """Draws of a line's demand, with so much known of it."""
    rng = np.random.default_rng(7)
    means = mean * np.exp(rng.normal(0.0, spread, draws))
    answers = elasticity * np.exp(rng.normal(0.0, elasticity_spread, draws))
    return DemandDraws(
        taxon=taxon,
        taxon_name="Anubias nana",
        grade="standard",
        price_minor=price_minor,
        offered=18,
        open_days=7.0,
        most_per_buyer=None,
        wanted=tuple(rng.poisson(means).tolist()),
        mean=tuple(means.tolist()),
        sell_out_h=(1.0,) * draws,
        elasticity=tuple(answers.tolist()),
        rush_h=(1.5,) * draws,
        rush_frac=(0.6,) * draws,
        tail_h=(70.0,) * draws,
        plants_per_order=plants_per_order,
        lines=releases,
        releases=releases,
        prices=1 + prices_tried,
        prices_tried=prices_tried,
        last_price_minor=price_minor if releases else None,
    )


def line(**changes):
    """A line with the costs of a plant."""
    sound = {
        "taxon": 1,
        "taxon_name": "Anubias nana",
        "grade": "standard",
        "price_minor": 850,
        "offered": 18,
        "ready": 18,
        "reserve_minor": 400,
        "sale_cost_minor": 80,
        "fee_frac": 0.03,
    }
    return LineToPrice(**(sound | changes))
