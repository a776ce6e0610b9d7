"""The pictures of a parcel's way and of money: ranges, limits and bars, and the same as tables."""

import json

import pytest
import vl_convert

from halfwater.pictures.money import MoneyPicture, money_sentence, money_spec, money_table
from halfwater.pictures.parcel import ParcelPicture, parcel_sentence, parcel_spec, parcel_table
from halfwater.plain.costing import Account
from halfwater.plain.growing import Span
from halfwater.plain.transit import TransitHour

WAY = ParcelPicture(
    "with 1 heat pack",
    tuple(TransitHour(float(h), 4.0 - h / 4, Span(20.0 - h, 21.0 - h / 2, 22.0)) for h in range(25)),
    low_limit_c=12.0,
    high_limit_c=60.0,
)
MONTHS = MoneyPicture(
    (
        Account(of="month", key="2026-03", name="March", sold=4, income_minor=4000, cost_minor=1550,
                margin_minor=2450),
        Account(of="month", key="2026-04", name="April", cost_minor=900, margin_minor=-900),
    ),
    "EUR",
)  # fmt: skip


def test_the_way_has_its_fan_its_air_and_both_limits() -> None:
    """The range, the air around the box, the plants, and a rule with its word for each limit."""
    spec = parcel_spec(WAY)
    styles = [layer["mark"]["style"] for layer in spec["layer"]]
    assert styles == ["fan", "low", "water", "limit", "limit-word", "limit", "limit-word"]
    domain = spec["layer"][0]["encoding"]["y"]["scale"]["domain"]
    assert domain[0] <= -6.0
    assert domain[1] < 60.0


def test_the_way_is_told_in_words_and_rows() -> None:
    """The coldest and the warmest hour; at most ten rows, the last hour among them; degrees of the book."""
    assert parcel_sentence(WAY) == (
        "Plants packed with 1 heat pack: coldest about 9 °C after 24 h, warmest about 21 °C after 0 h"
    )
    table = parcel_table(WAY)
    assert len(table.rows) <= 10
    assert table.rows[0] == ("0 h", "4 °C", "21 °C", "20 to 22 °C")
    assert table.rows[-1][0] == "24 h"
    us = parcel_table(ParcelPicture("as it is", WAY.hours, units="us"))
    assert us.rows[0][2] == "69.8 °F"
    assert parcel_sentence(ParcelPicture("as it is", ())) == "No hour of the way is reckoned."


def test_months_stand_side_by_side_and_as_a_table() -> None:
    """A bar of income and one of cost a month; the table has the margin too, below nought as well."""
    spec = money_spec(MONTHS)
    layers = spec["layer"]
    assert [layer["mark"]["style"] for layer in layers] == ["bar", "bar-cost"]
    assert [row["amount"] for row in spec["datasets"][layers[1]["data"]["name"]]] == [15.5, 9.0]
    assert money_sentence(MONTHS) == "Mar 2026 to Apr 2026: income 40.00 EUR, cost 24.50 EUR"
    assert money_table(MONTHS).rows[1] == ("Apr 2026", "0", "0.00 EUR", "9.00 EUR", "-9.00 EUR")


@pytest.mark.parametrize("spec", [parcel_spec(WAY), money_spec(MONTHS)], ids=["parcel", "money"])
def test_the_library_of_the_pages_draws_them(spec: dict[str, object]) -> None:
    """Neither carries a colour of its own, and the library makes an SVG of both."""
    assert "#" not in json.dumps({**spec, "$schema": ""})
    assert "<svg" in vl_convert.vegalite_to_svg({**spec, "width": 500})
