"""`halfwater cost`: what plants cost and earn, what would pay, and the ledger."""

from datetime import UTC, datetime
from typing import Annotated, Any

import typer

from halfwater.cli.options import option
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.deeds import money
from halfwater.deeds.clock import read_day
from halfwater.errors import RefusedInput
from halfwater.plain.costing import Account, Accounts, OneMore
from halfwater.plain.figures import show_minutes, show_money, show_money_about
from halfwater.plain.growing import Span

app = typer.Typer(add_completion=False, rich_markup_mode=None)
BY = {
    "taxon": "taxa", "batch": "batches", "release": "releases", "month": "months", "order": "orders",
    "plant": "plants",
}  # fmt: skip
MONTHS = "month"
_WHAT_IF_ACCEPTED = "words and values such as “spots 40, price 300, life_months 60”"


@app.command()
def cost(
    by: Annotated[str, option("--by", "WHAT", f"One line a {', '.join(BY)}.")] = "taxon",
    since: Annotated[str, option("--since", "MONTH", "With --by month: from 2026-03 on.")] = "",
    until: Annotated[str, option("--until", "MONTH", "With --by month: up to 2026-11.")] = "",
    rule: Annotated[
        str, option("--rule", "RULE", "Who carries a tank: used (its pots) or “all spots”.")
    ] = "used",
    tank: Annotated[
        str, option("--one-more-tank", "TANK", "What one more would bring: “spots 40, price 300”.")
    ] = "",
    taxon: Annotated[
        str, option("--one-more-taxon", "TAXON", "“name Moss, spots 20, days 100 150 250, price 6”.")
    ] = "",
    is_ledger: Annotated[bool, typer.Option("--ledger", help="Print every payment as CSV.")] = False,
    first: Annotated[str, option("--from", "DATE", "With --ledger: from this day.")] = "",
    last: Annotated[str, option("--to", "DATE", "With --ledger: up to this day.")] = "",
    no_power: Annotated[
        bool, typer.Option("--no-power", help="With --ledger: without power as reckoned.")
    ] = False,
    as_json: JsonFlag = False,
) -> None:
    """Cost, margin and what an hour earned, by taxon, batch, release, month, order or plant.

    halfwater cost · halfwater cost --by month --since 2026-03 ·
    halfwater cost --one-more-tank "spots 40, price 300" ·
    halfwater cost --ledger --from 2026-01-01 > ledger.csv
    """
    now = datetime.now(UTC)
    _refuse_idle(by, since or until, is_ledger, first or last)
    if is_ledger:
        from_on = read_day(first, "from") if first else None
        to_on = read_day(last, "to") if last else None
        if as_json:
            print_json({"payments": money.payments(now, from_on, to_on, not no_power)})
        else:
            typer.echo(money.ledger(now, from_on, to_on, not no_power), nl=False)
        return
    if tank or taxon:
        typed = _typed(tank or taxon)
        _say_more(money.what_if_tank(typed, now) if tank else money.what_if_taxon(typed, now), as_json)
        return
    if by not in BY:
        raise RefusedInput("--by", by, f"one of {', '.join(BY)}")
    _say_page(money.money_page(now, since, until, rule), by, as_json)


def _refuse_idle(by: str, months: str, is_ledger: bool, days: str) -> None:
    """Refuse a range of time that would be passed over in silence."""
    if months and (by != MONTHS or is_ledger):
        raise RefusedInput("--since", months, "months with --by month")
    if days and not is_ledger:
        raise RefusedInput("--from", days, "days with --ledger")


def _typed(text: str) -> dict[str, str]:
    """Words and their values, with commas between."""
    found = {}
    for part in text.split(","):
        word, _, value = part.strip().partition(" ")
        if not word or not value.strip():
            raise RefusedInput("what-if", text, _WHAT_IF_ACCEPTED)
        found[word.lower()] = value.strip()
    return found


def _say_page(page: money.MoneyPage, by: str, as_json: bool) -> None:
    accounts = page.accounts
    rows = page.months if by == MONTHS else _rows(accounts, by)
    if as_json:
        print_json({
            "currency": page.currency, "on": page.on, "sentence": page.sentence, "all": accounts.all,
            BY[by]: rows, "went": accounts.went, "losses": accounts.losses, "kwh": accounts.kwh,
            "break_even": page.break_even, "cautions": page.cautions, "workings": accounts.workings,
        })  # fmt: skip
        return
    print_lines("", (page.sentence,))
    money_of = page.currency
    heads = (by.capitalize(), "Sold", "Lost", "Income", "Cost", "Margin", "A plant cost", "An hour earned")
    print_table("", (*heads, "Work"), [_row(one, money_of) for one in (*rows, accounts.all)])
    went = accounts.went
    parts = (
        ("in plants that left", went.sold_minor), ("in plants that stand", went.standing_minor),
        ("lost with plants", went.lost_minor), ("space no pot used", went.unused_minor),
        ("orders that were cancelled", went.orders_minor), ("in store", went.store_minor),
        ("still ahead", went.ahead_minor),
    )  # fmt: skip
    where = [f"{name}: {show_money(amount, money_of)}" for name, amount in parts if amount]
    print_lines(f"Where {show_money(went.spent_minor, money_of)} went", where)
    losses = [
        f"{one.plants} lost {one.name}: {show_money(one.cost_minor, money_of)}" for one in accounts.losses
    ]
    print_lines("What losses cost", losses)
    print_lines("Break-even", (page.break_even.said if page.break_even else page.why_no_break_even,))
    print_lines("Take care", page.cautions)


def _rows(accounts: Accounts, by: str) -> tuple[Account, ...]:
    found: tuple[Account, ...] = getattr(accounts, BY[by])
    return found


def _row(one: Account, currency: str) -> tuple[str, ...]:
    return (
        one.name, str(one.sold), str(one.lost), show_money(one.income_minor, currency),
        show_money(one.cost_minor, currency), show_money(one.margin_minor, currency),
        "" if one.plant_cost_minor is None else show_money(round(one.plant_cost_minor), currency),
        _money_span(one.hour_minor, currency), _minutes(one.minutes),
    )  # fmt: skip


def _money_span(span: Span | None, currency: str) -> str:
    if span is None:
        return ""
    if round(span.p10) == round(span.p90):
        return show_money_about(span.p50, currency)
    return f"{show_money_about(span.p10, currency)} to {show_money_about(span.p90, currency)}"


def _minutes(span: Span | None) -> str:
    return "" if span is None else show_minutes(span.p50)


def _say_more(more: OneMore, as_json: bool) -> None:
    if as_json:
        found: dict[str, Any] = {"one_more": more}
        print_json(found)
        return
    print_lines("", (more.said,))
    print_lines(
        "How this was worked out",
        tuple(f"{step.title}: {step.value} ({step.equation})" for step in more.workings),
    )
