"""`halfwater orders`: orders listed, taken by hand, brought by a file, and brought to their end."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated
from uuid import uuid4

import typer

from halfwater.book import queries
from halfwater.cli.options import argument, option
from halfwater.cli.printing import JsonFlag, print_json, print_lines, print_table
from halfwater.cli.who import who_is_here
from halfwater.deeds import orders as deeds
from halfwater.deeds.order_files import bring_order_file
from halfwater.deeds.releases import show_instant
from halfwater.errors import RefusedInput
from halfwater.plain.figures import show_money
from halfwater.plain.selling import ORDER_STATES, OrderFacts

app = typer.Typer(add_completion=False, rich_markup_mode=None)
Words = list[str] | None


@app.command()
def orders(
    number: Annotated[int, argument("[NUMBER]", "An order of your book.")] = 0,
    add: Annotated[str, option("--add", "RELEASE", "Take an order by hand on this release.")] = "",
    want: Annotated[Words, option("--want", "LINE", "With --add: “nana standard 2”; again for more.")] = None,
    buyer: Annotated[str, option("--buyer", "NAME", "With --add: who orders.")] = "",
    contact: Annotated[str, option("--contact", "ADDRESS", "Where messages reach the buyer.")] = "",
    place: Annotated[str, option("--place", "PLACE", "Where it goes, as your list of places names it.")] = "",
    postage: Annotated[str, option("--postage", "MONEY", "What is charged for sending.")] = "",
    is_paid: Annotated[bool, typer.Option("--is-paid", help="With --add: it is paid already.")] = False,
    papers: Annotated[
        bool, typer.Option("--papers", help="The papers that the place asks for are there.")
    ] = False,
    step: Annotated[str, option("--mark", "STEP", f"Mark it {', '.join(deeds.STEPS)}.")] = "",
    cancel: Annotated[str, option("--cancel", "REASON", "Cancel it whole.")] = "",
    state: Annotated[str, option("--state", "STATE", "List only orders in this state.")] = "",
    bring: Annotated[Path | None, option("--bring", "FILE", "Bring a web shop's CSV file.")] = None,
    shop: Annotated[str, option("--shop", "NAME", "With --bring: whose columns it has.")] = "",
    column: Annotated[Words, option("--column", "OURS=THEIRS", "With --bring: a column, remembered.")] = None,
    as_json: JsonFlag = False,
) -> None:
    """Orders: list them, take one by hand, bring a web shop's file, mark one paid, packed or sent.

    halfwater orders · halfwater orders 12 --mark packed ·
    halfwater orders --add December --want "nana standard 2" --buyer Anna --contact anna@example.org ·
    halfwater orders --bring orders.csv --shop "My shop" --column reference="Order no"
    """
    now, who = datetime.now(UTC), who_is_here()
    if bring is not None:
        _bring(bring, shop, column or [], who, now, as_json)
    elif add:
        typed = {"name": buyer, "contact": contact, "place": place, "postage": postage}
        typed |= {"paid": "yes" if is_paid else "", "papers": "yes" if papers else ""}
        _say(_added(add, want or [], typed, who, now), as_json)
    elif number:
        _changed(number, step, cancel, who, now)
        _say(deeds.known_order(number), as_json)
    else:
        if step or cancel:
            raise RefusedInput("NUMBER", "", "the order that is meant: halfwater orders 12 --mark paid")
        if want or buyer:
            raise RefusedInput("--add", "", "the release of the order that is taken by hand")
        if state and state not in ORDER_STATES:
            raise RefusedInput("--state", state, f"one of {', '.join(ORDER_STATES)}")
        _list(queries.orders(states=(state,) if state else None), as_json)


def _changed(number: int, step: str, cancel: str, who: str, now: datetime) -> None:
    """Take an order one step on, or cancel it whole."""
    if cancel and step:
        raise RefusedInput("--mark", step, "either --mark or --cancel")
    if cancel and not cancel.strip():
        raise RefusedInput("--cancel", cancel, "the reason, in words")
    if cancel:
        deeds.cancel(number, cancel, who, now)
    if step:
        deeds.take_step(number, step, who, now)


def _added(release: str, wants: list[str], typed: dict[str, str], who: str, now: datetime) -> OrderFacts:
    """Take an order by hand."""
    wanted = deeds.wanted_of(release, tuple(wants), now)
    return deeds.note_order(
        typed | {f"plants_{one.line}": str(one.plants) for one in wanted}, uuid4(), who, now
    )


def _list(found: tuple[OrderFacts, ...], as_json: bool) -> None:
    nursery = queries.nursery()
    if as_json:
        print_json({"currency": nursery.currency, "orders": found})
        return
    if not found:
        print_lines("", ("No such order is in the book.",))
        return
    rows = [
        (
            str(one.number), one.state, one.buyer.name, one.release_name, str(one.plants),
            show_money(one.goods_minor + one.postage_minor, nursery.currency),
            show_instant(one.placed_at, nursery),
        )
        for one in found
    ]  # fmt: skip
    print_table("Orders", ("No.", "State", "Buyer", "Release", "Plants", "In all", "Placed"), rows)


def _say(order: OrderFacts, as_json: bool) -> None:
    nursery = queries.nursery()
    if as_json:
        print_json({"currency": nursery.currency, "order": order})
        return
    rows = [
        (
            line.taxon_name, line.grade, str(line.plants - line.cancelled),
            show_money(line.price_minor, nursery.currency),
            ", ".join(f"{pot.tank} {pot.spot}".strip() or pot.name for pot in line.pots),
        )
        for line in order.lines
    ]  # fmt: skip
    title = f"Order {order.number} of {order.buyer.name or 'an erased buyer'}: {order.state}"
    print_table(title, ("Taxon", "Grade", "Plants", "Each", "On"), rows)
    missing = sum(line.missing for line in order.lines)
    said = [f"Plants {show_money(order.goods_minor, nursery.currency)}, postage "
            f"{show_money(order.postage_minor, nursery.currency)}."]  # fmt: skip
    said += (
        [f"{missing} of its plants died before they were sent: substitute or cancel them."] if missing else []
    )
    print_lines("", (*said, *order.place_notes))


def _bring(file: Path, shop: str, columns: list[str], who: str, now: datetime, as_json: bool) -> None:
    """Bring a file of orders; what could not be granted is told by reference."""
    if not shop.strip():
        raise RefusedInput("--shop", "", "the name under which the columns of this file are remembered")
    told = {}
    for one in columns:
        ours, sign, theirs = one.partition("=")
        if not sign or not theirs.strip():
            raise RefusedInput("--column", one, "our word, = and the file's heading: reference=“Order no”")
        told[ours.strip()] = theirs.strip()
    try:
        data = file.read_bytes()
    except OSError as error:
        raise RefusedInput("--bring", str(file), f"a file that can be read ({error.strerror})") from error
    brought = bring_order_file(data, shop, who, now, columns=told or None)
    if as_json:
        print_json(brought)
        return
    are = "1 order is" if len(brought.new) == 1 else f"{len(brought.new)} orders are"
    were = "1 was" if len(brought.kept) == 1 else f"{len(brought.kept)} were"
    print_lines("", (f"{are} new, {were} there already.", *brought.notes))
    print_lines("Not granted", [f"{one.reference}: {one.why}" for one in brought.refused])
