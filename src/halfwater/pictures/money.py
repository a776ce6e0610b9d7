"""The money picture: what came in and what it cost, month by month, side by side."""

from dataclasses import dataclass
from typing import Any

from halfwater.pictures.table import ChartTable
from halfwater.plain.costing import Account
from halfwater.plain.figures import bare_money, show_money

INCOME, COST = "income", "cost"


@dataclass(frozen=True, slots=True)
class MoneyPicture:
    """What the picture shows: accounts of months, the oldest first."""

    months: tuple[Account, ...]
    currency: str


def money_spec(picture: MoneyPicture) -> dict[str, Any]:
    """The Vega-Lite spec: two bars a month, told apart by their words too; colours are the page's."""
    import altair as alt

    names = [month_word(one.key) for one in picture.months]
    y = alt.Y("amount:Q", title=picture.currency, axis=alt.Axis(tickCount=5))
    x = alt.X("month:N", title=None, sort=names, axis=alt.Axis(labelAngle=0, labelOverlap=True, grid=False))
    layers = []
    for what, style in ((INCOME, "bar"), (COST, "bar-cost")):
        rows = [
            {"month": month_word(one.key), "amount": _amount(one, what, picture.currency), "what": what}
            for one in picture.months
        ]
        bars = alt.Chart(alt.InlineData(values=rows)).mark_bar(style=style)
        layers.append(
            bars.encode(x=x, y=y, xOffset=alt.XOffset("what:N", sort=[INCOME, COST], scale=_places(alt)))
        )
    whole = alt.layer(*layers).properties(width="container", height=240, description=money_sentence(picture))
    spec: dict[str, Any] = whole.to_dict(validate=False)
    spec["config"] = {"view": {"stroke": None}}
    return spec


def money_sentence(picture: MoneyPicture) -> str:
    """The picture in one sentence."""
    if not picture.months:
        return "No month has an account yet."
    brought = sum(one.income_minor for one in picture.months)
    spent = sum(one.cost_minor for one in picture.months)
    first, last = month_word(picture.months[0].key), month_word(picture.months[-1].key)
    span = first if first == last else f"{first} to {last}"
    money = picture.currency
    return f"{span}: income {show_money(brought, money)}, cost {show_money(spent, money)}"


def money_table(picture: MoneyPicture) -> ChartTable:
    """The months as rows: plants sold, income, cost, margin."""
    money = picture.currency
    rows = tuple(
        (
            month_word(one.key), f"{one.sold}", show_money(one.income_minor, money),
            show_money(one.cost_minor, money), show_money(one.margin_minor, money),
        )
        for one in picture.months
    )  # fmt: skip
    return ChartTable(money_sentence(picture), ("month", "sold", "income", "cost", "margin"), rows)


def month_word(key: str) -> str:
    """A month such as 2026-03 as it is read: Mar 2026."""
    names = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    return f"{names[int(key[5:7]) - 1]} {key[:4]}"


def _amount(one: Account, what: str, currency: str) -> float:
    return float(bare_money(one.income_minor if what == INCOME else one.cost_minor, currency))


def _places(alt: Any) -> Any:
    return alt.Scale(domain=[INCOME, COST])
