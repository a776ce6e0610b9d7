"""Prices and the cutting habit, as typed on the page and in one line."""

from datetime import date

import pytest

from halfwater.book import queries
from halfwater.deeds.prices import price_lines, save_habit_sheet, save_price_sheet, set_for_plan
from halfwater.deeds.sheet import RefusedSheet
from halfwater.errors import RefusedInput
from halfwater.plain.figures import read_money
from halfwater.plain.stock import CuttingHabit
from tests.deeds.nurseries import WHO
from tests.deeds.stocks import NANA, a_stock

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("typed", "currency", "minor"),
    [
        ("9.50", "EUR", 950),
        ("9,5", "EUR", 950),
        ("12 eur", "EUR", 1200),
        ("800", "JPY", 800),
        ("1.250", "KWD", 1250),
        ("0", "EUR", 0),
    ],
)
def test_money_is_read_into_its_smallest_coin(typed: str, currency: str, minor: int) -> None:
    """Comma or point, with or without the currency."""
    assert read_money(typed, currency) == minor


@pytest.mark.parametrize("typed", ["", "-1", "9.505", "nan", "1e3", "nine"])
def test_what_is_no_amount_is_refused(typed: str) -> None:
    """The refusal shows an amount in the nursery's currency."""
    with pytest.raises(RefusedInput, match=r"12\.50 EUR"):
        read_money(typed, "EUR")


def test_one_line_sets_one_thing() -> None:
    """Prices by a part of the taxon's name, the most of a release, and each part of the habit."""
    a_stock()
    for line in (
        "price nana standard 9.50",
        "most nana standard 20",
        "minutes_a_week 90",
        "release_every_weeks 2",
        "next_release_on 2026-12-05",
        "least_kept 3",
        "hour 15",
    ):
        set_for_plan((line,), WHO)
    (price,) = queries.prices()
    assert (price.grade, price.price_minor, price.most_per_release) == ("standard", 950, 20)
    assert queries.cutting_habit() == CuttingHabit(90.0, 2, date(2026, 12, 5), 3, 1500)
    set_for_plan(("most Nana standard none",), WHO)
    set_for_plan(("minutes_a_week none",), WHO)
    assert queries.prices()[0].most_per_release is None
    assert queries.cutting_habit().minutes_a_week is None
    set_for_plan((f"price {NANA} standard none",), WHO)
    assert queries.prices() == ()


@pytest.mark.parametrize(
    "line",
    [
        "",
        "price",
        "price nana 9.50",
        "price nana huge 9.50",
        "price moss standard 9.50",
        "price nana standard cheap",
        "most nana small 3",
        "minutes_a_week -5",
        "release_every_weeks 0",
        "release_every_weeks none",
        "next_release_on soon",
        "least_kept 1.5",
        "mood good",
        "hour",
    ],
)
def test_a_line_that_sets_nothing_is_refused(line: str) -> None:
    """Nothing is written, and the sentence says what would be taken."""
    a_stock()
    habit = queries.cutting_habit()
    with pytest.raises(RefusedInput):
        set_for_plan((line,), WHO)
    assert queries.prices() == ()
    assert queries.cutting_habit() == habit


def test_the_page_writes_all_prices_at_once() -> None:
    """Each grade of a taxon with stock has a line; an emptied price takes the grade off the list."""
    a_stock()
    lines = price_lines()
    assert [line.grade for line in lines] == ["small", "standard", "large"]
    key = lines[0].taxon
    save_price_sheet(
        {f"price_{key}_small": "5", f"price_{key}_large": "14.90", f"most_{key}_large": "6"}, WHO
    )
    assert [(one.price_minor, one.most_per_release) for one in price_lines()] == [
        (500, None),
        (None, None),
        (1490, 6),
    ]
    save_price_sheet({f"price_{key}_small": ""}, WHO)
    assert [one.grade for one in queries.prices()] == ["large"]
    with pytest.raises(RefusedSheet) as refused:
        save_price_sheet({f"price_{key}_small": "x", f"price_{key}_large": "", f"most_{key}_large": "3"}, WHO)
    assert [one.field for one in refused.value.refused] == [f"price_{key}_small", f"price_{key}_large"]
    assert [one.grade for one in queries.prices()] == ["large"]


def test_the_page_writes_the_habit() -> None:
    """Empty minutes are no limit; what is not typed of the rhythm stays."""
    a_stock()
    typed = {
        "minutes_a_week": "60",
        "release_every_weeks": "",
        "next_release_on": "2026-12-01",
        "least_kept": "4",
        "hour": "12.50",
    }
    assert save_habit_sheet(typed, WHO) == CuttingHabit(60.0, 4, date(2026, 12, 1), 4, 1250)
    assert save_habit_sheet(typed | {"minutes_a_week": "", "hour": ""}, WHO).hour_minor is None
    with pytest.raises(RefusedSheet):
        save_habit_sheet(typed | {"least_kept": "few", "minutes_a_week": "all day"}, WHO)
