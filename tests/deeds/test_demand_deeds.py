"""Demand and prices as the book tells them: from releases that are over to what to ask next."""

from datetime import timedelta

import pytest

from halfwater.book import changes, queries
from halfwater.deeds.demand import past_of, sales_outlook
from halfwater.deeds.plan_cutting import plan
from halfwater.deeds.price_advice import (
    PriceTerms,
    keep_terms,
    kept_terms,
    moving_prices,
    price_advice,
    read_terms,
)
from halfwater.deeds.prices import set_for_plan
from halfwater.deeds.sheet import RefusedSheet
from halfwater.errors import RefusedByBook, RefusedInput
from halfwater.plain.pricing import PricingRules
from halfwater.planning.demand import demand_outlook
from tests.deeds.nurseries import NOW, WHO
from tests.deeds.past_releases import a_floor, a_release, sold_out_releases

pytestmark = pytest.mark.django_db


def a_draft(pots: int = 6, price_minor: int = 950) -> tuple[int, int]:
    """A drafted release with one line and pots behind it."""
    taken = {*queries.offered_pots(), *queries.promised_pots()}
    free = [pot for pot in queries.standing_pots() if pot.key not in taken][:pots]
    release = changes.save_release(who=WHO, name="Next")
    line = changes.save_line(
        who=WHO, release=release, taxon=free[0].taxon, grade="standard", price_minor=price_minor
    )
    changes.offer_pots(line, [pot.key for pot in free], who=WHO, now=NOW)
    return release, line


def test_a_sell_out_in_eighteen_minutes_says_how_many_found_nothing() -> None:
    """The sentence tells the minutes and a range of the unmet; two releases are told to be too few."""
    a_floor()
    sold_out_releases(2)
    told = sales_outlook(NOW)
    newest = told.lines[0]
    assert newest.outlook.line.release_name == "Release 2"
    assert "all 5 sold in 18 minutes; about" in newest.said
    assert 0 <= newest.outlook.unmet.p10 < newest.outlook.unmet.p50 < newest.outlook.unmet.p90
    assert any("From 2 releases nothing is sure" in one for one in told.cautions)
    assert any("No price was ever changed" in one for one in told.cautions)
    assert "10 plants sold on 2 lines, 2 of them sold out" in told.said


def test_what_all_lines_lacked_is_told_as_each_line_tells_it() -> None:
    """With one line the sum is the line's own range; two lack more than either."""
    a_floor()
    first, _ = sold_out_releases(2)
    told = sales_outlook(NOW, first)
    (line,) = told.lines
    own = f"about {round(line.outlook.unmet.p50)} (80 %: {round(line.outlook.unmet.p10)} to"
    assert own in line.said
    assert own in told.said
    assert told.said.startswith("5 plants sold on 1 line, sold out; about ")
    both = demand_outlook(past_of(NOW)[0], NOW)
    lines = [one.unmet for one in both.lines]
    assert set(both.unmet_by_release) == {one.line.release for one in both.lines}
    assert max(one.p50 for one in lines) <= both.unmet.p50
    assert max(one.p90 for one in lines) <= both.unmet.p90


def test_one_plant_is_told_as_one() -> None:
    """Never "1 plants", never "all 1"."""
    a_floor()
    a_release("One", NOW - timedelta(days=30), (5,), pots=1, days=6)
    told = sales_outlook(NOW)
    assert told.said.startswith("1 plant sold on 1 line, sold out; ")
    assert "One: the only one sold in 6 minutes; " in told.lines[0].said


def test_one_release_alone_tells_of_its_own_lines() -> None:
    """Past lines of that release only; a drafted one has none and is foreseen at its own price and number."""
    a_floor()
    first, _ = sold_out_releases(2)
    draft, line = a_draft()
    assert [one.outlook.line.release for one in sales_outlook(NOW, first).lines] == [first]
    told = sales_outlook(NOW, draft)
    assert (told.release_name, told.lines) == ("Next", ())
    (ahead,) = told.ahead
    assert (ahead.line, ahead.offered, ahead.price_minor, ahead.releases) == (line, 6, 950, 2)
    assert ahead.wanted.p10 <= ahead.wanted.p50 <= ahead.wanted.p90
    with pytest.raises(RefusedInput, match="a release of the book"):
        sales_outlook(NOW, 99)


def test_an_open_line_is_foreseen_to_its_closing_and_a_slow_one_was_enough() -> None:
    """An open line says how many of how many so far; one closed with plants left had enough for all."""
    a_floor()
    a_release("Slow", NOW - timedelta(days=30), (60, 600), days=6)
    a_release("Now", NOW - timedelta(hours=2), (5, 50), days=None)
    now, slow = sales_outlook(NOW).lines
    assert (now.is_open, slow.is_open) == (True, False)
    assert "2 of 5 sold so far" in now.said
    assert "2 of 5 sold, 3 left at closing" in slow.said
    assert slow.outlook.unmet.p90 == 0


def test_without_any_release_nothing_is_claimed() -> None:
    """No line, no kind to come, and the first thing to note."""
    a_floor(2)
    told = sales_outlook(NOW)
    assert (told.lines, told.ahead, told.releases, told.cautions) == ((), (), 0, ())
    assert "No line was on offer yet" in told.said
    assert told.learn_next


def test_a_line_that_was_never_truly_on_offer_teaches_nothing() -> None:
    """Closed before its announced opening: left out, for nobody could buy."""
    a_floor(8)
    release, _ = a_draft()
    changes.save_release(release, who=WHO, name="Next", opens_at=NOW + timedelta(hours=2))
    changes.open_release(release, who=WHO, now=NOW)
    changes.close_release(release, who=WHO, now=NOW + timedelta(hours=1))
    assert past_of(NOW + timedelta(days=1))[0] == ()


def test_looked_at_again_at_once_the_answer_is_the_same_object() -> None:
    """Within the hour, while nothing is on offer, demand and advice are remembered."""
    a_floor()
    set_for_plan(("price nana standard 9.50",), WHO)
    sold_out_releases(1)
    first, again = sales_outlook(NOW), sales_outlook(NOW + timedelta(minutes=5))
    assert first.workings is again.workings
    assert price_advice(NOW)[0].choices is price_advice(NOW + timedelta(minutes=5))[0].choices


def test_two_sell_outs_do_not_make_the_advice_sure() -> None:
    """By rule nothing is raised or lowered for sure from two releases; a third lifts the rule."""
    a_floor()
    set_for_plan(("price nana standard 9.50", "least_kept 0"), WHO)
    sold_out_releases(2)
    (told,) = price_advice(NOW)
    assert told.verdict == "cannot know yet"
    assert "Only 2 releases so far" in told.reason
    assert told.to_learn
    assert told.releases == 2
    a_release("Release 3", NOW - timedelta(days=7), (1, 2, 3, 4, 5))
    (told,) = price_advice(NOW)
    assert "nothing is sure" not in told.reason
    assert told.releases == 3


def test_a_kept_plant_is_worth_what_the_plan_says_and_that_is_told_where_there_is_none() -> None:
    """Without a plan it is nothing and said so; with one it enters the working, with a stale one its day."""
    a_floor(12)
    set_for_plan(("price nana standard 9.50", "price nana large 15", "least_kept 0"), WHO)
    (told,) = price_advice(NOW)
    assert any("No cutting plan says" in one for one in told.cautions)
    assert ("worth if kept", "0.00 EUR") in told.workings[1].inputs
    planned = plan(NOW, weeks=16)
    worth = {(one.taxon, one.grade): one.worth_minor for one in planned.plan.kept_worths}
    (told,) = price_advice(NOW)
    shown = dict(told.workings[1].inputs)["worth if kept"]
    assert float(shown.split()[0]) == round(worth[told.taxon, "standard"]) / 100 > 0
    assert told.cautions == ()
    set_for_plan(("least_kept 1",), WHO)
    assert any("make it anew" in one for one in price_advice(NOW)[0].cautions)


def test_without_a_plan_what_a_plant_has_cost_stands_in() -> None:
    """Plants bought for 24.00 stand in twelve pots; those sold carried a part of it, and that is said."""
    a_floor(12)
    set_for_plan(("price nana standard 9.50", "least_kept 0"), WHO)
    bought = (NOW - timedelta(days=250)).date()
    changes.save_purchase(who=WHO, on=bought, kind="plants", text="parents", amount_minor=2400)
    sold_out_releases(1)
    for order in queries.orders():
        changes.mark_sent(order.number, who=WHO, now=NOW)
    (told,) = price_advice(NOW)
    shown = dict(told.workings[1].inputs)["worth if kept"]
    assert 0 < float(shown.split()[0]) <= 24
    assert any("has cost on the mean" in one for one in told.cautions)


def test_fees_and_minutes_are_what_a_sale_costs_unless_the_grower_says_otherwise() -> None:
    """Five minutes at 12 an hour and a fixed fee of 0.30 make 1.30; a share is taken of the price."""
    a_floor(8)
    set_for_plan(("price nana standard 9.50", "hour 12", "least_kept 0"), WHO)
    changes.save_fee(who=WHO, fixed_minor=30, share_frac=0.03)
    (told,) = price_advice(NOW)
    inputs = dict(told.workings[1].inputs)
    assert (inputs["cost of a sale"], inputs["fee"]) == ("1.30 EUR", "3.0 %")
    (own,) = price_advice(NOW, terms=read_terms({"sale_cost": "0.60"}))
    assert dict(own.workings[1].inputs)["cost of a sale"] == "0.60 EUR"


def test_a_draft_is_advised_line_by_line_and_an_opened_release_no_more() -> None:
    """A draft's line may take more ready pots; once opened its prices stand."""
    a_floor(20)
    set_for_plan(("price nana standard 9.50", "least_kept 0"), WHO)
    release, _ = a_draft()
    (told,) = price_advice(NOW, release=release)
    assert (told.now.price_minor, told.now.offered) == (950, 6)
    assert price_advice(NOW, taxon=told.taxon, release=release) == (told,)
    assert price_advice(NOW, taxon=told.taxon + 1) == ()
    changes.open_release(release, who=WHO, now=NOW)
    assert price_advice(NOW, release=release) == ()


def test_a_price_that_was_mistyped_is_named_and_hinders_no_other_line() -> None:
    """Five thousand for a plant that was sold at 9.50: not foreseen, not advised, and said so."""
    a_floor(24)
    sold_out_releases(1)
    release, line = a_draft(price_minor=500_000)
    told = sales_outlook(NOW, release)
    assert told.ahead == ()
    assert any("so far from those asked so far" in one for one in told.cautions)
    assert price_advice(NOW, release=release) == ()
    with pytest.raises(RefusedByBook, match="look at it again"):
        moving_prices(release, line, NOW)


def test_the_grower_s_own_ends_bind_the_advice() -> None:
    """Never above the most asked, always a multiple of the step."""
    a_floor(12)
    set_for_plan(("price nana standard 9.50", "least_kept 0"), WHO)
    sold_out_releases(1)
    terms = PriceTerms(PricingRules(price_step_minor=100, most_price_minor=900, least_price_minor=700))
    (told,) = price_advice(NOW, terms=terms)
    assert {one.price_minor for one in told.choices} <= {950, 700, 800, 900}
    for typed, says in (
        ({"step": "0"}, "above 0"),
        ({"move": "60"}, "0 to 50"),
        ({"least": "9", "most": "8"}, "no more than the most"),
    ):
        with pytest.raises(RefusedSheet, match=says):
            read_terms(typed)


def test_moving_prices_rise_as_pots_run_low() -> None:
    """At each hour the price never falls as fewer pots are left; a line without pots has no table."""
    a_floor(20)
    release, line = a_draft()
    table = moving_prices(release, line, NOW)
    assert table.pots_left[0] == 6
    for column in range(len(table.hours_left_h)):
        prices = [row[column] for row in table.price_minor]
        assert prices == sorted(prices)
    with pytest.raises(RefusedInput, match="a line of Next"):
        moving_prices(release, line + 1, NOW)
    changes.take_back_pots([pot.pot for pot in queries.line_pots(line, NOW)], who=WHO, now=NOW)
    with pytest.raises(RefusedByBook, match="put pots behind it"):
        moving_prices(release, line, NOW)


def test_the_rules_of_pricing_are_kept_until_they_are_forgotten() -> None:
    """Kept, they hold for every advice; what is typed goes before, "usual" forgets; odd ones are refused."""
    a_floor(12)
    set_for_plan(("price nana standard 9.50", "least_kept 0"), WHO)
    sold_out_releases(1)
    assert read_terms({}).rules == PricingRules()
    keep_terms({"step": "1.00", "move": "5"}, WHO)
    assert kept_terms().rules == PricingRules(price_step_minor=100, most_move_frac=0.05)
    assert read_terms({"step": "0.10"}).rules == PricingRules(price_step_minor=10, most_move_frac=0.05)
    (told,) = price_advice(NOW)
    assert {one.price_minor % 100 for one in told.choices if one.price_minor != told.now.price_minor} == {0}
    keep_terms({"step": "usual"}, WHO)
    assert kept_terms().rules == PricingRules(most_move_frac=0.05)
    odd: tuple[dict[str, str], ...] = ({}, {"step": "0"}, {"move": "80"}, {"step": "x"})
    for typed in odd:
        with pytest.raises(RefusedInput) as refused:
            keep_terms(typed, WHO)
        assert refused.value.field == next(iter(typed), "step")
    assert kept_terms().rules == PricingRules(most_move_frac=0.05)
