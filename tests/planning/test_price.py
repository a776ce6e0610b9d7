"""Advice on a price: verdicts where they are plain, certainty, the grower's rules, and refusals."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import poisson

from halfwater.errors import RefusedInput
from halfwater.plain.pricing import VERDICTS, PricingRules
from halfwater.planning.line_sales import market_of, mean_sold
from halfwater.planning.lots import offer_for_draws
from halfwater.planning.moving_price import moving_price
from halfwater.planning.price import advise_price, advise_release
from tests.planning.forecasts import forecast, line

RULES = PricingRules()
NARROW = {"spread": 0.05, "elasticity_spread": 0.03, "prices_tried": 4}


def asked(one, draws, rules=RULES):
    """The advice for one line."""
    return advise_price(one, draws, rules, "EUR")


def test_much_unmet_demand_raises_the_price():
    """Three times as many wanted as there are: the price goes up, by no more than the rule allows."""
    advice = asked(line(), forecast(60.0))
    assert advice.verdict == "raise"
    assert 850 < advice.price_minor <= 850 * 1.15
    assert advice.more_minor > 0.0
    assert "Raise Anubias nana (standard) from 8.50 EUR to 9.50 EUR and offer 18 plants" in advice.sentence
    assert "minute" in advice.to_learn


@pytest.mark.parametrize("releases", [0, 1, 2])
@pytest.mark.parametrize("mean", [5.0, 30.0, 200.0])
def test_two_releases_are_never_sure(releases, mean):
    """However they went, fewer than three releases leave the price as it is and say what to try."""
    advice = asked(line(ready=30), forecast(mean, releases=releases))
    assert advice.verdict == "cannot know yet"
    assert (advice.price_minor, advice.offered) == (850, 18)
    assert "nothing is sure from fewer than 3" in advice.reason
    assert advice.to_learn
    assert (" alone" in advice.to_learn) == (releases > 0)  # the first has no other to compare


def test_few_buyers_who_mind_the_price_lower_it():
    """Few wanted, an elasticity of 3.5 learned from changed prices: the price goes down."""
    advice = asked(line(), forecast(10.0, elasticity=3.5, **NARROW))
    assert advice.verdict == "lower"
    assert 850 * 0.85 <= advice.price_minor < 850
    assert any("wait" in caution for caution in advice.cautions)


def test_a_guessed_response_is_not_enough_to_lower():
    """The same, with a response that is only a guess as wide as guesses are: not sure."""
    advice = asked(line(), forecast(10.0, elasticity=2.6, elasticity_spread=0.6))
    assert advice.verdict == "cannot know yet"
    assert "starting value" in advice.reason


def test_more_ready_than_meant_are_offered():
    """At the right price with more ready than meant, more are offered and the price stands."""
    best = 480 / 0.97 * 2.3 / 1.3  # the textbook's price, plants without end
    rules = replace(RULES, price_step_minor=25)
    right = round(best / 25) * 25
    one = line(price_minor=right, offered=10, ready=40)
    advice = asked(one, forecast(24.0, elasticity=2.3, price_minor=right, **NARROW), rules)
    assert advice.verdict == "offer more"
    assert advice.price_minor == right
    assert 24 <= advice.offered <= 40


def test_a_price_that_is_right_is_held():
    """At the best price, with all known, nothing is changed."""
    rules = replace(RULES, price_step_minor=25)
    right = round(480 / 0.97 * 2.3 / 1.3 / 25) * 25
    one = line(price_minor=right, offered=40, ready=40)
    advice = asked(one, forecast(24.0, elasticity=2.3, price_minor=right, **NARROW), rules)
    assert advice.verdict == "hold"
    assert (advice.price_minor, advice.offered) == (right, 40)
    assert advice.best_price_p10_minor <= right <= advice.best_price_p90_minor


def test_plants_worth_more_than_they_bring_are_kept():
    """Where the cutting plan values a plant above every allowed price, none is sold: no release is needed."""
    advice = asked(line(reserve_minor=1200), forecast(60.0, releases=0))
    assert (advice.verdict, advice.offered) == ("offer fewer", 0)
    assert "one brings 7.44 EUR after costs, kept it is worth 12.00 EUR" in advice.sentence


def test_nothing_ready_is_said():
    """With nothing ready, nothing is offered."""
    advice = asked(line(ready=0, offered=0), forecast(60.0))
    assert (advice.offered, advice.sentence) == (0, "Nothing of Anubias nana (standard) is ready to offer.")


def test_plants_that_lose_by_waiting_are_offered_by_the_newsvendor():
    """Where a plant left over loses worth, the number is the newsvendor's for the same draws."""
    draws = forecast(15.0, **NARROW)
    one = line(ready=60, offered=0, left_cost_minor=600)
    market = market_of(one, draws, [850.0], 0)
    margin = 850 * 0.97 - 480
    best = offer_for_draws(market.wanted[:, 0], margin, 600.0).amount
    assert market.best_number(0) == best
    assert asked(one, draws, replace(RULES, most_move_frac=0.0)).offered in (0, best)


@settings(max_examples=25, deadline=None)
@given(
    st.integers(60, 4000),
    st.integers(1, 400),
    st.floats(0.0, 0.5),
    st.floats(2.0, 200.0),
    st.floats(0.4, 5.0),
    st.integers(0, 6),
)
def test_the_growers_rules_hold(price, step, move, mean, elasticity, releases):
    """No advice leaves the most move (or one step), the least or the most price, or what is ready."""
    rules = PricingRules(
        price_step_minor=step, most_move_frac=move, least_price_minor=price - 60, most_price_minor=price + 90
    )
    one = line(price_minor=price, ready=25)
    draws = forecast(mean, 0.5, elasticity, releases=releases, price_minor=price, draws=60)
    advice = advise_release([one], [draws], rules, "EUR")[0]
    most = max(move * price, step) if move else 0
    assert price - min(60, most) <= advice.price_minor <= price + min(90, most)
    assert advice.price_minor == price or advice.price_minor % step == 0
    assert 0 <= advice.offered <= 25
    assert advice.verdict in VERDICTS
    assert advice.best_price_p10_minor <= advice.best_price_p90_minor


def test_a_rule_against_todays_price_moves_it():
    """A least price above what was asked is asked, however far."""
    advice = asked(line(), forecast(60.0, releases=1), PricingRules(least_price_minor=1100))
    assert advice.price_minor == 1100


def test_of_a_release_one_line_is_tried():
    """Of several lines that cannot be known, the one that teaches most carries a trial; others stand."""
    lines = [line(taxon=number) for number in (1, 2, 3)]
    means = (25.0, 40.0, 18.0)
    draws = [
        forecast(mean, 0.4, elasticity_spread=0.6, releases=2, taxon=number)
        for number, mean in zip((1, 2, 3), means, strict=True)
    ]
    advices = advise_release(lines, draws, RULES, "EUR")
    assert [one.verdict for one in advices] == ["cannot know yet"] * 3
    assert sum(one.is_trial for one in advices) == 1
    tried = next(one for one in advices if one.is_trial)
    assert tried.price_minor != 850
    assert tried.sentence.startswith("Try ")
    assert "other lines as they are" in tried.to_learn
    none = advise_release(lines, draws, replace(RULES, lines_on_trial=0), "EUR")
    assert not any(one.is_trial for one in none)
    assert {one.price_minor for one in none} == {850}


def test_an_elasticity_below_one_leaves_the_best_price_open():
    """Where every higher price earns more, the best price has no upper end, and the working refuses one."""
    advice = asked(line(), forecast(60.0, elasticity=0.7, elasticity_spread=0.1))
    assert advice.is_best_price_open
    assert any("without end" in working.value for working in advice.workings)


def test_draws_at_another_price_give_the_same_advice():
    """A forecast made at 10.00 leads to the advice of the same forecast at 8.50."""
    draws = forecast(40.0)
    mean = np.array(draws.mean) * (1000 / 850) ** -np.array(draws.elasticity)
    moved = replace(draws, price_minor=1000, mean=tuple(mean.tolist()))
    first, second = asked(line(), draws), asked(line(), moved)
    assert (first.price_minor, first.offered) == (second.price_minor, second.offered)
    assert first.more_minor == pytest.approx(second.more_minor, rel=1e-6)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.01, 60.0), st.integers(0, 80))
def test_plants_sold_on_the_mean_are_the_sum(mean, offered):
    """The closed form is the sum over all numbers of buyers."""
    wanted = np.arange(300)
    summed = float(poisson.pmf(wanted, mean) @ np.minimum(wanted, offered))
    assert float(mean_sold(mean, float(offered))) == pytest.approx(summed, rel=1e-9, abs=1e-12)


def test_orders_of_two_sell_as_half_as_many_orders():
    """Orders of two plants with room for whole orders are Poisson orders, twice."""
    assert float(mean_sold(10.0, 8.0, 2.0)) == pytest.approx(2.0 * float(mean_sold(5.0, 4.0)))


def test_drawn_demand_has_its_mean_and_spread():
    """Around each world's mean the draws spread as orders of several plants do."""
    draws = forecast(20.0, 0.0, 1.5, 0.0, plants_per_order=1.6, draws=20_000)
    market = market_of(line(), draws, [850.0, 700.0], 1)
    lifted = 20.0 * (700 / 850) ** -1.5
    assert market.wanted.mean(axis=0) == pytest.approx([20.0, lifted], rel=0.02)
    assert market.wanted.var(axis=0) == pytest.approx([32.0, 1.6 * lifted], rel=0.04)


def test_moving_price_asks_more_early_and_with_few_left():
    """The table of a line rises with fewer pots and falls with less time, in the grower's steps."""
    table = moving_price(line(), forecast(25.0, elasticity=2.5), RULES, [168.0, 24.0, 2.0, 0.0], 0.6)
    asked_prices = np.array(table.price_minor)
    assert asked_prices.shape == (18, 4)
    assert (np.diff(asked_prices, axis=0) >= 0).all()
    assert (np.diff(asked_prices, axis=1) <= 0).all()
    assert set((asked_prices % 50).ravel().tolist()) == {0}
    assert table.earned_minor[0][0] > table.fixed_earned_minor


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"price_minor": 0}, "price_minor"),
        ({"ready": -1, "offered": 0}, "ready"),
        ({"offered": 19}, "offered"),
        ({"reserve_minor": -1}, "reserve_minor"),
        ({"fee_frac": math.nan}, "fee_frac"),
        ({"taxon": 2}, "draws"),
    ],
)
def test_a_line_that_cannot_be_is_refused(change, field):
    """Each number out of its range is refused by its own name."""
    with pytest.raises(RefusedInput) as refused:
        asked(line(**change), forecast())
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("rules", "field"),
    [
        ({"price_step_minor": 0}, "price_step_minor"),
        ({"most_move_frac": 0.8}, "most_move_frac"),
        ({"lines_on_trial": -1}, "lines_on_trial"),
        ({"least_price_minor": 900, "most_price_minor": 800}, "least_price_minor"),
    ],
)
def test_rules_that_cannot_be_are_refused(rules, field):
    """Each rule out of its range is refused by its own name."""
    with pytest.raises(RefusedInput) as refused:
        asked(line(), forecast(), PricingRules(**rules))
    assert refused.value.field == field


@pytest.mark.parametrize(
    "call",
    [
        lambda: advise_release([line()], [], RULES, "EUR"),
        lambda: market_of(line(), replace(forecast(), mean=()), [850.0], 0),
        lambda: market_of(line(), forecast(), [math.nan], 0),
        lambda: mean_sold(-1.0, 3.0),
        lambda: mean_sold(1.0, math.nan),
        lambda: mean_sold(1.0, 3.0, 0.5),
        lambda: moving_price(line(), forecast(), RULES, [500.0]),
        lambda: moving_price(line(), forecast(), RULES, [5.0], 1.0),
        lambda: moving_price(line(offered=0), forecast(), RULES, [5.0]),
        lambda: moving_price(
            line(), forecast(), PricingRules(price_step_minor=5000, most_price_minor=800), [5.0]
        ),
        lambda: moving_price(line(), replace(forecast(), mean=(0.0,) * 800), RULES, [5.0]),
    ],
)
def test_what_gives_no_answer_is_refused(call):
    """Draws missing or of nobody, hours beyond the closing, no price within reach: refused."""
    with pytest.raises(RefusedInput):
        call()
