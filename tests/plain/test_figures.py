"""Figures as they are shown."""

from datetime import date

import pytest

from halfwater.errors import RefusedInput
from halfwater.plain.figures import (
    in_units,
    show,
    show_date,
    show_dates,
    show_list,
    show_minutes,
    show_money,
    show_money_about,
    show_range,
    show_small_money,
    unit_of,
)


@pytest.mark.parametrize(
    ("value", "suffix", "units", "text"),
    [
        (0.18, "l", "metric", "180 mL"),
        (0.9996, "l", "metric", "1 L"),
        (1.8927, "l", "metric", "1.89 L"),
        (1.8927, "l", "us", "0.5 gal"),
        (0.18, "l", "us", "6.09 fl oz"),
        (0.005, "l", "us", "1.01 tsp"),
        (21.04, "mm", "metric", "21 mm"),
        (1234.5, "mm", "metric", "1230 mm"),
        (457.2, "mm", "us", "18 in"),
        (0.625, "frac", "metric", "62.5 %"),
        (-0.001, "c", "metric", "0 °C"),
        (22.2222, "c", "us", "72 °F"),
        (2.604, "ml_l", "us", "2 tsp/gal"),
        (0.0254, "l_day", "metric", "25.4 mL a day"),
        (None, "mm", "metric", "not known"),
        (0.0, "l", "metric", "0 L"),
        (2500.0, "lux", "metric", "2500 lux"),
    ],
)
def test_quantities(value: float | None, suffix: str, units: str, text: str) -> None:
    """Three digits at most, the unit spelled as growers write it."""
    assert show(value, suffix, units) == text


def test_a_range_has_one_unit() -> None:
    """Both ends are in the unit of the larger one; two ends that look alike are one figure."""
    assert show_range(12.0, 18.04, "mm") == "12 to 18 mm"
    assert show_range(0.9, 1.2, "l") == "0.9 to 1.2 L"
    assert show_range(3.0, 3.0001, "l") == "3 L"
    assert show_range(None, 3.0, "l") == "not known"


def test_axes_use_the_largest_unit() -> None:
    """A column or axis stays in one unit."""
    assert unit_of("l", "us") == "gal"
    assert in_units(3.785411784, "l", "us") == pytest.approx(1.0)
    assert in_units(100.0, "c", "us") == pytest.approx(212.0)


def test_dates() -> None:
    """The year is written unless it is plain which one is meant."""
    assert show_date(date(2026, 3, 14)) == "Sat 14 Mar 2026"
    assert show_date(date(2026, 3, 14), date(2026, 3, 1)) == "Sat 14 Mar"
    assert show_date(None) == "not known"


def test_forecast_dates_say_what_lies_beyond() -> None:
    """A quantile past the end of the forecast is said to be later, not left out."""
    early, middle, late = date(2026, 4, 9), date(2026, 4, 14), date(2026, 5, 22)
    assert show_dates(early, middle, date(2026, 4, 22)) == "about Tue 14 Apr 2026 (9 to 22 Apr)"
    assert show_dates(early, middle, late) == "about Tue 14 Apr 2026 (9 Apr to 22 May)"
    assert show_dates(early, middle, None).endswith("or later)")
    assert show_dates(early, None, None).startswith("not before Thu 9 Apr 2026")
    assert "later" in show_dates(None, None, None)
    assert show_dates(date(2026, 12, 28), date(2026, 12, 30), date(2027, 1, 3)).endswith(
        "(28 Dec 2026 to 3 Jan 2027)"
    )


def test_minutes_money_and_lists() -> None:
    """Minutes become hours, coins get their places, names are strung with and."""
    assert [show_minutes(m) for m in (3.24, 45.0, 60.0, 79.6)] == ["3.2 min", "45 min", "1 h", "1 h 20 min"]
    assert [show_money(*m) for m in ((1250, "EUR"), (-5, "USD"), (980, "JPY"))] == [
        "12.50 EUR",
        "-0.05 USD",
        "980 JPY",
    ]
    assert [show_list(names) for names in ([], ["A"], ["A", "B"], ["A", "B", "C"])] == [
        "",
        "A",
        "A and B",
        "A, B and C",
    ]


@pytest.mark.parametrize(
    ("value", "suffix", "units"),
    [(float("nan"), "mm", "metric"), (1.0, "furlong", "metric"), (1.0, "mm", "old")],
)
def test_no_figure_is_made_up(value: float, suffix: str, units: str) -> None:
    """Nan, a quantity without rules and an unknown system are refused."""
    with pytest.raises(RefusedInput):
        show(value, suffix, units)


def test_money_ahead_has_no_small_coin_from_a_hundred_on() -> None:
    """Below a hundred it is written in full; the yen has no small coin at all; nought has no sign."""
    found = [
        show_money_about(*m) for m in ((120_049.0, "EUR"), (9_999.4, "EUR"), (12_345.0, "JPY"), (-0.2, "EUR"))
    ]
    assert found == ["1200 EUR", "99.99 EUR", "12345 JPY", "0.00 EUR"]


def test_a_part_of_a_coin_is_told() -> None:
    """A litre of feed costs less than the smallest coin, and that is said; more is told in coins."""
    told = [show_small_money(*one) for one in ((0.318, "EUR"), (4.06, "EUR"), (120.0, "EUR"), (0.0, "EUR"))]
    assert told == ["0.0032 EUR", "0.041 EUR", "1.20 EUR", "0.00 EUR"]
