"""`halfwater price`: what past releases say of demand, and what to ask for each kind."""

from datetime import UTC, datetime
from typing import Annotated

import typer

from halfwater.book import queries
from halfwater.cli.options import argument, option
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.cli.who import who_is_here
from halfwater.deeds.demand import SalesOutlook, sales_outlook
from halfwater.deeds.demand_words import said_hours
from halfwater.deeds.price_advice import PriceTerms, keep_terms, moving_prices, price_advice, read_terms
from halfwater.deeds.prices import taxon_named
from halfwater.deeds.releases import line_named, release_named
from halfwater.errors import RefusedInput
from halfwater.plain.figures import show_money
from halfwater.plain.growing import Span
from halfwater.plain.pricing import PriceAdvice, PriceTable

app = typer.Typer(add_completion=False, rich_markup_mode=None)
_NONE = (
    "Nothing is ready to offer that has a price: `halfwater ready` says when there will be, and "
    '`halfwater plan --set "price nana standard 9.50"` sets a price.'
)
_STANDS = "No line of this release is to be priced: the prices of one that was opened stand."


@app.command()
def price(
    taxon: Annotated[str, argument("[TAXON]", "One taxon of your stock alone.")] = "",
    release: Annotated[str, option("--release", "NAME", "The lines of this release.")] = "",
    moving: Annotated[
        str, option("--moving", "LINE", "A table of prices by pots and hours left, for this line of it.")
    ] = "",
    step: Annotated[str, option("--step", "MONEY", "Prices are multiples of it; 0.50.")] = "",
    move: Annotated[str, option("--move", "PERCENT", "So far a price may move from the last one.")] = "",
    least: Annotated[str, option("--least", "MONEY", "Never ask less.")] = "",
    most: Annotated[str, option("--most", "MONEY", "Never ask more.")] = "",
    sale_cost: Annotated[
        str, option("--sale-cost", "MONEY", "What selling one plant costs; else minutes and fees.")
    ] = "",
    is_keep: Annotated[
        bool, typer.Option("--keep", help="Keep --step and --move for every advice; “usual” forgets.")
    ] = False,
    as_json: JsonFlag = False,
) -> None:
    """What past releases say of demand, and what to ask for what is ready.

    halfwater price ·
    halfwater price nana ·
    halfwater price --release December --step 0.50 --least 4 ·
    halfwater price --keep --step 0.10 --move 10 ·
    halfwater price --release December --moving "nana standard"
    """
    now = datetime.now(UTC)
    typed = {"step": step, "move": move, "least": least, "most": most, "sale_cost": sale_cost}
    if is_keep:
        keep_terms(typed, who_is_here())
        typed |= {"step": "", "move": ""}
    terms = read_terms(typed)
    key = release_named(release, now).key if release else None
    if moving:
        _say_moving(release, moving, terms, now, as_json)
        return
    asked = taxon_named(taxon).key if taxon else None
    outlook = sales_outlook(now, key)
    advice = price_advice(now, asked, key, terms)
    if as_json:
        print_json({"currency": queries.nursery().currency, "demand": outlook, "advice": advice})
        return
    _say_demand(outlook, asked)
    _say_advice(advice, _NONE if key is None else _STANDS)


def _say_demand(outlook: SalesOutlook, taxon: int | None) -> None:
    """What was sold and what was wanted, line by line."""
    lines = [one for one in outlook.lines if taxon is None or one.outlook.line.taxon == taxon]
    if taxon is None:
        print_lines("", (outlook.said,))
    rows = [
        (
            one.outlook.line.release_name, f"{one.outlook.line.taxon_name}, {one.outlook.line.grade}",
            show_money(one.outlook.line.price_minor, queries.nursery().currency),
            f"{one.outlook.line.sold} of {one.outlook.line.offered}",
            _out(one.outlook.sold_out_after_h, one.is_open),
            _span(one.outlook.wanted), _span(one.outlook.unmet),
        )
        for one in lines
    ]  # fmt: skip
    heads = ("Release", "Line", "Price", "Sold", "Sold out", "Wanted", "Found nothing")
    if rows:
        print_table("What was wanted (80 % ranges)", heads, rows)
    last = lines[0].outlook.line.release if lines else None
    print_lines("The newest release", [one.said for one in lines if one.outlook.line.release == last])
    print_lines("To come", [one.said for one in outlook.ahead if taxon is None or one.taxon == taxon])
    print_lines("Mind", outlook.cautions)
    print_lines("To know more", (outlook.learn_next,) if outlook.learn_next else ())


def _out(after_h: float | None, is_open: bool) -> str:
    if after_h is not None:
        return f"in {said_hours(after_h)}"
    return "open still" if is_open else ""


def _say_advice(advice: tuple[PriceAdvice, ...], none: str) -> None:
    if not advice:
        print_lines("", (none,))
        return
    currency = queries.nursery().currency
    rows = [
        (
            f"{one.taxon_name}, {one.grade}", _verdict(one), show_money(one.now.price_minor, currency),
            show_money(one.price_minor, currency), _best(one, currency), str(one.offered),
            _count(one.now.wanted_p10, one.now.wanted_p50, one.now.wanted_p90),
        )
        for one in advice
    ]  # fmt: skip
    heads = ("Line", "Advice", "Now", "Ask", "Best lies", "Offer", "Wanted now")
    print_table("What to ask", heads, rows)
    for one in advice:
        print_lines("", [part for part in (one.sentence, one.reason, one.to_learn) if part])
    print_lines("Mind", dict.fromkeys(text for one in advice for text in one.cautions))


def _verdict(one: PriceAdvice) -> str:
    return "try" if one.is_trial else one.verdict


def _best(one: PriceAdvice, currency: str) -> str:
    low = show_money(one.best_price_p10_minor, currency)
    if one.is_best_price_open:
        return f"{low} or more"
    return f"{low} to {show_money(one.best_price_p90_minor, currency)}"


def _say_moving(release: str, line: str, terms: PriceTerms, now: datetime, as_json: bool) -> None:
    """The price table of one line."""
    if not release:
        raise RefusedInput("--moving", line, "a line of a release: name it with --release")
    facts = release_named(release, now)
    own = line_named(facts, line)
    table = moving_prices(facts.key, own.key, now, terms)
    currency = queries.nursery().currency
    if as_json:
        print_json({"currency": currency, "line": f"{own.taxon_name} {own.grade}", "table": table})
        return
    heads = ("Pots left", *(f"{said_hours(hours)} left" for hours in table.hours_left_h))
    rows = [
        (str(pots), *(show_money(each, currency) for each in prices))
        for pots, prices in zip(table.pots_left, table.price_minor, strict=True)
    ]
    print_table(f"What to ask for {own.taxon_name}, {own.grade}", heads, rows)
    print_lines("", (_gain(table, currency),))
    print_lines("Mind", table.cautions)


def _gain(table: PriceTable, currency: str) -> str:
    """What moving the price brings beside the best fixed one."""
    moved = table.earned_minor[0][0] if table.earned_minor else 0.0
    return (
        f"Moved like this it earns about {show_money(round(moved), currency)} over keeping the plants; at "
        f"the best price that never moves, {show_money(table.fixed_price_minor, currency)}, about "
        f"{show_money(round(table.fixed_earned_minor), currency)}."
    )


def _span(span: Span) -> str:
    return _count(span.p10, span.p50, span.p90)


def _count(low: float, middle: float, high: float) -> str:
    if round(low) == round(high):
        return str(round(middle))
    return f"{round(middle)} ({round(low)} to {round(high)})"
