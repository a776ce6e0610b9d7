"""`halfwater orders`: orders listed, taken by hand, brought by a file, and brought to their end."""

from dataclasses import dataclass
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
from halfwater.deeds.order_words import BACK_STEPS, give_others, parts_of, pay_back, take_back_step
from halfwater.deeds.releases import show_instant
from halfwater.errors import RefusedInput
from halfwater.plain.figures import show_date, show_money
from halfwater.plain.selling import ORDER_STATES, OrderFacts

app = typer.Typer(add_completion=False, rich_markup_mode=None)
Words = list[str] | None


Number = Annotated[str, argument("[NUMBER]", "An order of your book.")]
Add = Annotated[str, option("--add", "RELEASE", "Take an order by hand on this release.")]
Want = Annotated[Words, option("--want", "LINE", "With --add: “nana standard 2”; again for more.")]
Buyer = Annotated[str, option("--buyer", "NAME", "With --add: who orders.")]
Contact = Annotated[str, option("--contact", "ADDRESS", "Where messages reach the buyer.")]
Place = Annotated[str, option("--place", "PLACE", "Where it goes, as your list of places names it.")]
Postage = Annotated[str, option("--postage", "MONEY", "What is charged for sending.")]
IsPaid = Annotated[bool, typer.Option("--is-paid", help="With --add: it is paid already.")]
Papers = Annotated[bool, typer.Option("--papers", help="The papers that the place asks for are there.")]
Step = Annotated[str, option("--mark", "STEP", f"Mark it {', '.join(deeds.STEPS)}.")]
ShipOn = Annotated[str, option("--ship-on", "DATE", "The day it leaves, or none.")]
Back = Annotated[str, option("--back", "STEP", f"Take back a slip: {', '.join(BACK_STEPS)}.")]
Cancel = Annotated[str, option("--cancel", "REASON", "Cancel it whole, or --part of it.")]
Part = Annotated[Words, option("--part", "PLANTS", "With --cancel: “nana standard 2”; again for more.")]
Refund = Annotated[str, option("--refund", "MONEY", "Money paid back, with --cancel or alone.")]
Instead = Annotated[str, option("--substitute", "PLANTS", "Give others for “nana standard 1” of it.")]
From = Annotated[str, option("--from", "LINE", "With --substitute: others of this line; else of its own.")]
Pots = Annotated[str, option("--pots", "SPOTS", "With --substitute: those on “South A1-A2”.")]
Price = Annotated[str, option("--price", "MONEY", "With --substitute: what each of them costs.")]
State = Annotated[str, option("--state", "STATE", "List only orders in this state.")]
File = Annotated[Path | None, option("--bring", "FILE", "Bring a web shop's CSV file.")]
Shop = Annotated[str, option("--shop", "NAME", "With --bring: whose columns it has.")]
Columns = Annotated[Words, option("--column", "OURS=THEIRS", "With --bring: a column, remembered.")]


@dataclass(frozen=True, slots=True)
class Change:
    """What is to become of an order, as typed."""

    step: str = ""
    ship_on: str = ""
    back: str = ""
    cancel: str = ""
    part: tuple[str, ...] = ()
    refund: str = ""
    substitute: str = ""
    source: str = ""
    pots: str = ""
    price: str = ""


@app.command()
def orders(
    typed: Number = "", add: Add = "", want: Want = None, buyer: Buyer = "", contact: Contact = "",
    place: Place = "", postage: Postage = "", is_paid: IsPaid = False, papers: Papers = False,
    step: Step = "", ship_on: ShipOn = "", back: Back = "", cancel: Cancel = "", part: Part = None,
    refund: Refund = "", substitute: Instead = "", source: From = "", pots: Pots = "", price: Price = "",
    state: State = "", bring: File = None, shop: Shop = "", column: Columns = None, as_json: JsonFlag = False,
) -> None:  # fmt: skip
    """Orders: list them, take one by hand, bring a web shop's file, mark one paid, packed or sent.

    halfwater orders · halfwater orders 12 --mark packed --ship-on 2026-12-07 ·
    halfwater orders 12 --cancel "one too many" --part "nana standard 1" --refund 9.50 ·
    halfwater orders --add December --want "nana standard 2" --buyer Anna --contact anna@example.org ·
    halfwater orders --bring orders.csv --shop "My shop" --column reference="Order no"
    """
    now, who = datetime.now(UTC), who_is_here()
    number = _number(typed)
    asked = Change(step, ship_on, back, cancel, tuple(part or ()), refund, substitute, source, pots, price)
    if bring is not None:
        _bring(bring, shop, column or [], who, now, as_json)
    elif add:
        sheet = {"name": buyer, "contact": contact, "place": place, "postage": postage}
        sheet |= {"paid": "yes" if is_paid else "", "papers": "yes" if papers else ""}
        _say(_added(add, want or [], sheet, who, now), as_json)
    elif number:
        _changed(number, asked, who, now)
        _say(deeds.known_order(number), as_json)
    else:
        if asked != Change():
            raise RefusedInput("NUMBER", "", "the order that is meant: halfwater orders 12 --mark paid")
        if want or buyer:
            raise RefusedInput("--add", "", "the release of the order that is taken by hand")
        if state and state not in ORDER_STATES:
            raise RefusedInput("--state", state, f"one of {', '.join(ORDER_STATES)}")
        _list(queries.orders(states=(state,) if state else None), as_json)


def _number(typed: str) -> int:
    if typed and not (typed.isascii() and typed.isdigit() and int(typed) > 0 and len(typed) < 12):
        raise RefusedInput("NUMBER", typed, "the number of an order in your book, such as 12")
    return int(typed or 0)


def _changed(number: int, asked: Change, who: str, now: datetime) -> None:
    """One thing at a time: a step, a step back, a cancellation, a substitute, a refund or a ship day."""
    _refuse_unclear(asked)
    if asked.cancel and asked.part:
        deeds.cancel_part(number, parts_of(number, asked.part), asked.cancel, who, now, asked.refund)
    elif asked.cancel:
        deeds.cancel(number, asked.cancel, who, now, asked.refund)
    elif asked.refund:
        pay_back(number, asked.refund, who, now)
    elif asked.substitute:
        give_others(number, asked.substitute, who, now, asked.source, asked.pots, asked.price)
    elif asked.back:
        take_back_step(number, asked.back, who)
    elif asked.step:
        deeds.take_step(number, asked.step, who, now, asked.ship_on)
    elif asked.ship_on:
        deeds.set_ship_day(number, "" if asked.ship_on == "none" else asked.ship_on, who)


def _refuse_unclear(asked: Change) -> None:
    if asked.cancel and not asked.cancel.strip():
        raise RefusedInput("--cancel", asked.cancel, "the reason, in words")
    if asked.part and not asked.cancel:
        raise RefusedInput("--cancel", "", "the reason why that part is cancelled")
    if (asked.source or asked.pots or asked.price) and not asked.substitute:
        raise RefusedInput("--substitute", "", "the plants that others stand in for: “nana standard 1”")
    if asked.step and asked.ship_on and asked.step != "packed":
        raise RefusedInput("--ship-on", asked.ship_on, "a day with --mark packed, or alone")
    own_ship_day = "" if asked.step else asked.ship_on
    refund = "" if asked.cancel else asked.refund
    if sum(map(bool, (asked.step, asked.cancel, refund, asked.substitute, own_ship_day, asked.back))) > 1:
        raise RefusedInput(
            "options", "", "one of --mark, --back, --cancel, --refund, --substitute, --ship-on"
        )


def _added(release: str, wants: list[str], typed: dict[str, str], who: str, now: datetime) -> OrderFacts:
    """Take an order by hand."""
    if not wants:
        raise RefusedInput("--want", "", deeds.WANT_ACCEPTED)
    if not typed["name"].strip():
        raise RefusedInput("--buyer", "", "the buyer's name")
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
        [f"Money paid back: {show_money(order.refund_minor, nursery.currency)}."]
        if order.refund_minor
        else []
    )
    said += [f"It leaves on {show_date(order.ship_on)}."] if order.ship_on and not order.sent_at else []
    said += [f"Cancelled: {order.cancel_reason}."] if order.cancel_reason else []
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
