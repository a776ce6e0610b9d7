"""What a grower is told of demand: sell-outs, ranges, prices, odd lines."""

import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.demand import PastLine, Sale
from halfwater.planning.demand import demand_outlook, learn_demand, predict
from halfwater.planning.demand_facts import demand_facts
from halfwater.planning.demand_words import span_of_hours

OPENED = datetime(2026, 5, 1, 18, tzinfo=UTC)
NOW = datetime(2026, 6, 1, tzinfo=UTC)


def after(hours: float) -> datetime:
    """An instant after the opening."""
    return OPENED + timedelta(hours=hours)


def line(**changes) -> PastLine:
    """Ten plants that sold out in eighteen minutes, nothing else known."""
    usual = PastLine(1, "May", 1, "Anubias", "standard", 1200, 10, OPENED, None, (), 10, after(0.3))
    return replace(usual, **changes)


def sold(*hours: float, plants: int = 1) -> tuple[Sale, ...]:
    """Orders at some hours after the opening."""
    return tuple(Sale(after(hour), plants) for hour in hours)


def releases(count: int, **changes) -> list[PastLine]:
    """The same line, release after release, three weeks apart."""
    shift = [timedelta(days=21 * (count - i - 1)) for i in range(count)]
    usual = line(**changes)
    return [
        replace(
            usual,
            release=i,
            opened_at=usual.opened_at - back,
            closed_at=usual.closed_at - back if usual.closed_at else None,
            sold_out_at=usual.sold_out_at - back if usual.sold_out_at else None,
            sales=tuple(replace(sale, at=sale.at - back) for sale in usual.sales),
        )
        for i, back in enumerate(shift)
    ]


def test_a_quick_sell_out_leaves_much_open() -> None:
    """Ten plants gone in eighteen minutes: more were wanted, and how many is not known well."""
    told = demand_outlook([line()], NOW).lines[0]
    assert told.sold_out_after_h == pytest.approx(18.5 / 60.0)
    assert told.unmet.p10 >= 1.0
    assert told.unmet.p90 > 4.0 * told.unmet.p10
    assert told.wanted.p50 == told.unmet.p50 + 10
    assert "18 minutes" in told.why


def test_a_line_that_closed_with_plants_left_sold_all_that_was_wanted() -> None:
    """Nobody was turned away: wanted is what was sold, without a range."""
    told = demand_outlook([line(sold=6, sold_out_at=None, closed_at=after(168.0))], NOW).lines[0]
    assert (told.wanted.p10, told.wanted.p90, told.mean_unmet) == (6.0, 6.0, 0.0)


def test_quicker_means_more() -> None:
    """The same pots gone sooner: more would have been taken."""
    unmet = [
        demand_outlook([line(sold_out_at=after(hours))], NOW).lines[0].unmet.p50 for hours in (0.1, 2.0, 48.0)
    ]
    assert unmet[0] > unmet[1] > unmet[2]


def test_other_lines_tell_how_interest_comes() -> None:
    """Lines that lasted and show a long tail make the range of a quick sell-out narrower."""
    hours = [0.05, 0.1, 0.2, 0.3, 0.5, 0.8, 1.5, 6.0, 20.0, 30.0, 50.0, 70.0, 90.0, 120.0]
    long = [
        replace(
            one,
            release=10 + i,
            taxon=2,
            offered=40,
            sold=14,
            sales=sold(*hours),
            sold_out_at=None,
            closed_at=after(168.0),
        )
        for i, one in enumerate([line()] * 4)
    ]
    alone = demand_outlook([line()], NOW).lines[0].unmet
    among = demand_outlook([line(), *long], NOW).lines[0].unmet
    assert among.p90 / max(among.p10, 1.0) < 0.7 * alone.p90 / max(alone.p10, 1.0)


def test_without_a_changed_price_nothing_is_said_of_prices() -> None:
    """As long as each kind had one price, elasticity is its starting value and is said to be."""
    told = demand_outlook(releases(6), NOW).price_response
    assert told.elasticity == told.prior_elasticity
    assert not told.is_learned
    assert "cannot be known" in told.why


def test_changed_prices_teach_elasticity() -> None:
    """Sales that halve whenever the price goes up by a third tell of an elasticity above two."""
    closed = {"sold_out_at": None, "closed_at": after(168.0), "offered": 90}
    past = [
        replace(one, price_minor=price, sold=count)
        for one, (price, count) in zip(releases(10, **closed), [(1200, 40), (1600, 20)] * 5, strict=True)
    ]
    told = demand_outlook(past, NOW).price_response
    assert told.price_changes == 5
    assert told.is_learned
    assert 1.6 < told.elasticity.p50 < 3.2


def test_a_dearer_line_meets_no_more_buyers_in_any_world() -> None:
    """With one seed, draw by draw, a higher price or a limit never brings more plants wanted."""
    learned = learn_demand(releases(3), NOW)
    wanted = [
        np.array(predict(learned, 1, "standard", price_minor=p, offered=10, most_per_buyer=most).wanted)
        for p, most in ((1000, None), (1200, None), (1800, None), (1200, 1))
    ]
    assert np.all(wanted[0] >= wanted[1])
    assert np.all(wanted[1] >= wanted[2])
    assert wanted[3].mean() < wanted[1].mean()


def test_draws_say_when_a_line_sells_out() -> None:
    """A draw sells out exactly where more is wanted than offered, and within the days it is open."""
    drawn = predict(learn_demand([line()], NOW), 1, "standard", price_minor=1200, offered=12, open_days=5.0)
    wanted, hours = np.array(drawn.wanted), np.array(drawn.sell_out_h)
    assert np.array_equal(wanted >= 12, np.isfinite(hours))
    assert np.all(hours[np.isfinite(hours)] <= 5.0 * 24.0 + 1e-6)
    assert (drawn.lines, drawn.releases, drawn.prices, drawn.last_price_minor) == (1, 1, 1, 1200)


def test_a_plant_never_sold_has_a_wide_answer() -> None:
    """A new taxon borrows the nursery's level and keeps a wider range than one that was sold often."""
    learned = learn_demand(releases(6), NOW)
    known = np.array(predict(learned, 1, "standard", price_minor=1200, offered=10).wanted)
    new = predict(learned, 9, "large", price_minor=900, offered=10, taxon_name="Bolbitis")
    low, high = np.quantile(new.wanted, (0.1, 0.9))
    assert (high + 1) / (low + 1) > (np.quantile(known, 0.9) + 1) / (np.quantile(known, 0.1) + 1)
    assert (new.taxon_name, new.lines, new.last_price_minor) == ("Bolbitis", 0, None)


def test_the_first_day_has_an_answer() -> None:
    """Without any line there are starting values, and a word on what to note."""
    told = demand_outlook([], NOW)
    assert told.lines == ()
    assert told.interest.half_h.p90 > 20.0 * told.interest.half_h.p10
    assert "instant" in told.learn_next
    assert predict(learn_demand([], NOW), 1, "small", price_minor=500, offered=5).mean


def test_the_order_of_lines_changes_nothing() -> None:
    """Shuffled lines get the same answers, each its own."""
    past = [
        replace(one, taxon=i % 2, sold_out_at=one.opened_at + timedelta(hours=1 + i))
        for i, one in enumerate(releases(5))
    ]
    there = demand_outlook(past, NOW, seed=3).lines
    back = demand_outlook(past[::-1], NOW, seed=3).lines
    assert [one.line for one in back[::-1]] == past
    for one, other in zip(there, back[::-1], strict=True):
        assert one.mean_unmet == pytest.approx(other.mean_unmet, rel=0.35, abs=2.0)


def test_a_cancelled_plant_is_on_offer_again() -> None:
    """The last plant came back and was sold again: on offer in two spells, counted once."""
    sales = (*sold(*[0.1 * i for i in range(1, 10)]), Sale(after(1.0), 1, after(30.0)), Sale(after(31.0), 1))
    facts = demand_facts([line(sales=sales, sold_out_at=after(31.0))], NOW, None)
    (first, second) = facts.times[0].spells
    assert first == pytest.approx((0.0, 1.0), abs=0.02)
    assert second == pytest.approx((30.0, 31.0), abs=0.02)
    assert facts.times[0].out_h == second[1]
    assert facts.lines.taken_weight[0] * facts.lines.dispersion_factor[0] == pytest.approx(10.0, abs=1.0)


def test_orders_of_one_minute_stay_in_their_minute() -> None:
    """Five orders noted in the same first minute lie within it, not at the opening itself."""
    sales = sold(0, 0, 0, 0, 0)
    facts = demand_facts([line(sales=sales, sold=5, sold_out_at=None, closed_at=after(48.0))], NOW, None)
    cells = facts.lines
    in_first = cells.cell_to_h <= 1.0 / 60.0 + 1e-9
    assert cells.cell_orders[in_first].sum() == 5
    assert (
        demand_outlook([line(sales=sales, sold=5, offered=5, sold_out_at=None)], NOW).lines[0].unmet.p50 > 5
    )


def test_holds_before_the_opening_count_as_wanted_early() -> None:
    """Plants held for people who asked before are wanted plants that came before the opening."""
    sales = (Sale(after(-5.0), 2), *sold(0.5, 1.0, 3.0, 9.0))
    facts = demand_facts([line(sales=sales, sold=6, sold_out_at=None, closed_at=after(48.0))], NOW, None)
    assert facts.times[0].held == 2
    assert facts.lines.held_frac == pytest.approx(1.0 / 3.0)
    assert facts.lines.cell_orders.sum() == 4


def test_all_held_before_the_opening_is_sold_out_at_nought() -> None:
    """Where holds took every plant, at least that many were wanted, and nothing breaks."""
    sales = (Sale(after(-5.0), 6), Sale(after(-4.0), 4))
    told = demand_outlook([line(sales=sales, sold_out_at=after(-4.0))], NOW).lines[0]
    assert told.wanted.p90 >= told.wanted.p10 >= 10


def test_a_sell_out_nobody_timed_says_at_least() -> None:
    """Sold out by some time: at least that many were wanted, and the page says what to note."""
    told = demand_outlook([line(sold_out_at=None, closed_at=after(168.0))], NOW).lines[0]
    assert told.wanted.p10 >= 10
    assert told.sold_out_after_h is None
    assert "note the instant" in told.why


def test_an_open_line_with_plants_left_leaves_nobody_without() -> None:
    """While plants are left, those still to come are wanted, but not unmet."""
    open_line = line(sold=3, offered=200, sold_out_at=None, sales=sold(0.1, 0.2, 5.0))
    told = demand_outlook([open_line], after(24.0)).lines[0]
    assert told.wanted.p90 > 3.0
    assert told.unmet.p90 == 0.0


def test_a_limit_that_binds_is_said() -> None:
    """Where most orders take all they may, the answer says that more were wanted without the limit."""
    sales = tuple(Sale(after(0.1 * i), 2) for i in range(1, 6))
    told = demand_outlook([line(sales=sales, most_per_buyer=2, sold_out_at=after(0.5))], NOW).lines[0]
    assert "limit of 2" in told.why


@pytest.mark.parametrize(
    "changes",
    [
        {"price_minor": 0},
        {"offered": 0, "sold": 0},
        {"sold": 11},
        {"sold": -1},
        {"opened_at": NOW + timedelta(days=1)},
        {"closed_at": OPENED - timedelta(days=1)},
        {"sold_out_at": OPENED - timedelta(days=1)},
        {"sales": (Sale(OPENED, 0),)},
        {"sales": (Sale(OPENED, 11),)},
        {"most_per_buyer": 0},
    ],
)
def test_lines_that_cannot_be_are_refused_by_name(changes) -> None:
    """A line with an impossible number is refused, and the sentence names its release and taxon."""
    with pytest.raises(RefusedInput, match="May, Anubias standard"):
        demand_outlook([line(**changes)], NOW)


def test_impossible_questions_are_refused() -> None:
    """A price of nought, no plant on offer, no days, no plant for a buyer: each is refused."""
    learned = learn_demand([line()], NOW)
    for wrong in (
        {"price_minor": 0},
        {"offered": 0},
        {"open_days": 0.0},
        {"most_per_buyer": 0},
        {"draws": 0},
    ):
        with pytest.raises(RefusedInput):
            predict(learned, 1, "standard", **{"price_minor": 1200, "offered": 10, **wrong})
    with pytest.raises(RefusedInput):
        learn_demand([line()], NOW, open_days=-1.0)


def test_two_hundred_lines_take_less_than_a_second() -> None:
    """The whole answer from forty releases of five lines, in processor time, the better of two goes."""
    rng = np.random.default_rng(1)
    past = [
        replace(
            one,
            taxon=taxon,
            sales=tuple(Sale(one.opened_at + timedelta(hours=h), 1) for h in rng.exponential(5.0, 10)),
        )
        for one in releases(40, sales=sold(*range(10)), sold_out_at=None)
        for taxon in range(5)
    ]
    spent = []
    for _ in range(2):
        begin = time.process_time()
        assert len(demand_outlook(past, NOW).lines) == 200
        spent.append(time.process_time() - begin)
    assert min(spent) < 1.0


def test_thousands_of_plants_and_odd_prices_give_numbers() -> None:
    """Twenty thousand plants gone in a second, at a price that is a slip of the pen: finite answers."""
    past = releases(2, offered=20_000, sold=20_000, sold_out_at=after(1.0 / 3600.0))
    past[1] = replace(past[1], price_minor=12_000_000)
    told = demand_outlook(past, NOW)
    assert all(np.isfinite([one.mean_wanted, one.wanted.p90]).all() for one in told.lines)
    assert np.isfinite(told.kinds[0].mean_wanted)


def test_hours_are_said_as_growers_say_them() -> None:
    """Minutes, hours and days, one of each in the singular."""
    said = [span_of_hours(hours) for hours in (0.0, 0.017, 0.3, 3.2, 24.0 * 9)]
    assert said == ["less than a minute", "1 minute", "18 minutes", "3 hours", "9 days"]
