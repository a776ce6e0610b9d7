"""The Money page as plain data."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse

from halfwater.deeds.money import MoneyPage as MoneyFacts
from halfwater.pictures.money import MoneyPicture, money_spec, money_table, month_word
from halfwater.pictures.table import ChartTable
from halfwater.plain.costing import Account, OneMore, WhereItWent
from halfwater.plain.figures import show_minutes, show_money, show_money_about
from halfwater.plain.growing import Span
from halfwater.plain.working import Working
from halfwater.web.chart import Chart, Key
from halfwater.web.fields import Form
from halfwater.web.workings import Figure

MOST_ROWS = 60  # of a table; the rest are in the ledger and the export
_HEADS = ("sold", "lost", "income", "cost", "margin", "a plant cost", "an hour earned", "work")


@dataclass(frozen=True, slots=True)
class MoneyPage:
    """What plants cost and earn, in one view."""

    answer: str
    more: str
    chart: Chart | None
    figures: tuple[Figure, ...]
    space: tuple[Figure, ...]
    went: ChartTable
    tables: tuple[ChartTable, ...]
    losses: ChartTable
    break_even: str
    what_if_tank: Form
    what_if_taxon: Form
    tried: str
    tried_workings: tuple[Working, ...]
    period: Form
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]


def money_page(facts: MoneyFacts, forms: tuple[Form, Form, Form], tried: OneMore | None) -> MoneyPage:
    """The accounts as the page shows them."""
    found, money = facts.accounts, facts.currency
    tables = (
        _table("Taxon", found.taxa, money), _table("Release", found.releases, money),
        _table("Batch", found.batches, money), _table("Month", facts.months, money),
        _table("Plant", found.plants, money),
    )  # fmt: skip
    losses = tuple(
        (one.name, f"{one.plants}", show_money(one.cost_minor, money),
         show_money_about(one.a_plant_minor, money))
        for one in found.losses
    )  # fmt: skip
    period, tank, taxon = forms
    even = facts.break_even.said if facts.break_even else facts.why_no_break_even
    return MoneyPage(
        answer=facts.sentence,
        more=_span_of_months(facts.months),
        chart=_chart(facts.months, money),
        figures=all_figures(found.all, money),
        space=space_figures(found.went, money),
        went=ChartTable(
            f"Where {show_money(found.went.spent_minor, money)} went", ("what became of it", "amount"),
            went_rows(found.went, money),
        ),
        tables=tuple(one for one in tables if one.rows),
        losses=ChartTable("What losses cost", ("when", "plants", "cost", "each"), losses),
        break_even=even,
        what_if_tank=tank,
        what_if_taxon=taxon,
        tried=tried.said if tried else "",
        tried_workings=tried.workings if tried else (),
        period=period,
        cautions=facts.cautions,
        workings=found.workings,
    )  # fmt: skip


def all_figures(one: Account, money: str) -> tuple[Figure, ...]:
    """The figures of all plants together."""
    found = [
        Figure("Income", show_money(one.income_minor, money), f"{one.sold} plants sold"),
        Figure("Cost", show_money(one.cost_minor, money), "of the plants that left"),
        Figure("Margin", show_money(one.margin_minor, money)),
    ]
    if one.plant_cost_minor is not None:
        found.append(Figure("A plant cost", show_money_about(one.plant_cost_minor, money), "on the mean"))
    if one.hour_minor is not None:
        found.append(_spanned("An hour earned", one.hour_minor, money))
    if one.minutes is not None:
        found.append(Figure("Work", show_minutes(one.minutes.p50), "in the plants that left"))
    return tuple(found)


def space_figures(went: WhereItWent, money: str) -> tuple[Figure, ...]:
    """Empty space, apart: no plant carries it."""
    share = (
        f"{100 * went.unused_minor / went.spent_minor:.0f} % of all that was spent"
        if went.spent_minor
        else ""
    )
    return (Figure("Space no pot used", show_money(went.unused_minor, money), share),)


def went_rows(went: WhereItWent, money: str) -> tuple[tuple[str, str], ...]:
    """Every coin, by what became of it."""
    parts = (
        ("in plants that left", went.sold_minor), ("in plants that stand", went.standing_minor),
        ("lost with plants", went.lost_minor), ("on space no pot used", went.unused_minor),
        ("orders that were cancelled", went.orders_minor), ("in store", went.store_minor),
        ("still ahead", went.ahead_minor),
    )  # fmt: skip
    return tuple((name, show_money(amount, money)) for name, amount in parts if amount)


def money_range(span: Span | None, money: str) -> str:
    """An amount with its range."""
    if span is None:
        return "not known"
    low, middle, high = (show_money_about(value, money) for value in (span.p10, span.p50, span.p90))
    return middle if low == high else f"{middle} ({low} to {high})"


def _table(noun: str, rows: Sequence[Account], money: str) -> ChartTable:
    kept = rows[:MOST_ROWS]
    rest = f" ({MOST_ROWS} of {len(rows)})" if len(rows) > MOST_ROWS else ""
    return ChartTable(
        f"By {noun.lower()}{rest}", (noun.lower(), *_HEADS), tuple(_row(one, money) for one in kept)
    )


def _row(one: Account, money: str) -> tuple[str, ...]:
    cost = "" if one.plant_cost_minor is None else show_money_about(one.plant_cost_minor, money)
    return (
        month_word(one.key) if one.of == "month" else one.name, f"{one.sold}", f"{one.lost}",
        show_money(one.income_minor, money), show_money(one.cost_minor, money),
        show_money(one.margin_minor, money), cost,
        money_range(one.hour_minor, money) if one.hour_minor else "",
        show_minutes(one.minutes.p50) if one.minutes else "",
    )  # fmt: skip


def _spanned(name: str, span: Span, money: str) -> Figure:
    low, middle, high = (show_money_about(value, money) for value in (span.p10, span.p50, span.p90))
    return Figure(name, middle, f"{low} to {high}" if low != high else "")


def _span_of_months(months: Sequence[Account]) -> str:
    if not months:
        return "No month has an account yet: write down what was bought, and note orders."
    first, last = month_word(months[0].key), month_word(months[-1].key)
    return (
        f"The bars show {first if first == last else f'{first} to {last}'}; the tables below show all time."
    )


def _chart(months: tuple[Account, ...], money: str) -> Chart | None:
    if not months:
        return None
    picture = MoneyPicture(months, money)
    keys = (Key("income", "shared/keys/income.html"), Key("cost", "shared/keys/cost.html"))
    return Chart("money", "Income and cost by month.", money_spec(picture), money_table(picture), keys)


def sheet_url(noun: str, key: int) -> str:
    """Where a purchase, charge, tariff, power or fee is changed."""
    return reverse("money-row", args=[noun, key])
