"""Orders and holds: taken by hand or at the request of a program, changed, and brought to their end."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from halfwater.book import changes, queries
from halfwater.deeds.clock import read_at, read_day
from halfwater.deeds.releases import line_named, read_instant, release_named
from halfwater.deeds.sheet import Sheet
from halfwater.errors import RefusedInput
from halfwater.plain.figures import read_money
from halfwater.plain.nursery import NurseryFacts
from halfwater.plain.selling import HoldFacts, NewBuyer, NewHold, NewOrder, OrderFacts, WantedLine

WANT_ACCEPTED = "a line and a number of plants such as “Anubias nana standard 2”"
PLANTS_ACCEPTED = "a whole number of plants such as 2"
HOLD_HOURS = 24.0
STEPS = ("paid", "packed", "sent", "arrived")


@dataclass(frozen=True, slots=True)
class CancelledPart:
    """How many plants of an order line are not wanted any more."""

    order_line: int
    plants: int


def note_order(typed: Mapping[str, str], uuid: UUID, who: str, now: datetime) -> OrderFacts:
    """Note an order taken by hand: buyer, plants of lines as plants_KEY, postage, whether it is paid.

    The same uuid again is the same order.
    """
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    buyer = _buyer(sheet)
    wanted = _wanted(sheet, typed)
    postage = sheet.read("postage", lambda text: read_money(text, nursery.currency, "postage"), 0)
    fee = sheet.read("fee", lambda text: read_money(text, nursery.currency, "fee"), None)
    placed_at = sheet.read("placed", lambda text: read_at(text, nursery, now, "placed"), None)
    if not wanted and not sheet.refused:
        sheet.refuse("plants", PLANTS_ACCEPTED)
    sheet.finish()
    asked = NewOrder(
        key=str(uuid), buyer=buyer, lines=wanted, placed_at=placed_at, postage_minor=postage, fee_minor=fee,
        is_paid=is_ticked(sheet.text("paid")), papers_seen=is_ticked(sheet.text("papers")),
        note=sheet.text("note"),
    )  # fmt: skip
    return changes.place_order(asked, who=who, now=now)


def order_by_request(asked: NewOrder, who: str, now: datetime) -> OrderFacts:
    """Place an order that a program asks for; the same key again is the same order."""
    return changes.place_order(asked, who=who, now=now)


def note_hold(typed: Mapping[str, str], line: int, uuid: UUID, who: str, now: datetime) -> HoldFacts:
    """Put plants of a line aside for a buyer, until an instant or for a day."""
    nursery = queries.nursery()
    sheet = Sheet(typed, nursery.units)
    plants = sheet.needed("plants", read_plants, 1, PLANTS_ACCEPTED)
    default = now + timedelta(hours=HOLD_HOURS)
    until = sheet.read("until", lambda text: read_instant(text, nursery, "until"), default)
    buyer = _buyer(sheet) if sheet.text("name") or sheet.text("buyer") else None
    sheet.finish()
    with sheet.writing():
        return changes.place_hold(NewHold(str(uuid), line, plants, until, buyer), who=who, now=now)


def hold_by_request(asked: NewHold, who: str, now: datetime) -> HoldFacts:
    """Place a hold that a program asks for; the same uuid again is the same hold."""
    return changes.place_hold(asked, who=who, now=now)


def let_hold_go(uuid: str, who: str, now: datetime) -> None:
    """Let a hold go."""
    changes.let_hold_go(uuid, who=who, now=now)


def wanted_of(release: str, wants: tuple[str, ...], now: datetime) -> tuple[WantedLine, ...]:
    """Lines and numbers as typed in a terminal: “Anubias nana standard 2”."""
    facts = release_named(release, now)
    found = []
    for typed in wants:
        match = re.fullmatch(r"(?P<line>.+?)[\s:x×]+(?P<plants>[1-9][0-9]{0,3})", typed.strip())
        if match is None:
            raise RefusedInput("want", typed, WANT_ACCEPTED)
        found.append(WantedLine(line_named(facts, match["line"]).key, int(match["plants"])))
    return tuple(found)


def cancel(number: int, reason: str, who: str, now: datetime, refund: str = "") -> OrderFacts:
    """Cancel an order whole: its plants are free again."""
    changes.cancel_order(number, reason=reason, refund_minor=_refund(refund), who=who, now=now)
    return known_order(number)


def cancel_by_request(number: int, reason: str, refund_minor: int, who: str, now: datetime) -> OrderFacts:
    """Cancel an order whole at the request of a program; one that is cancelled already stays so."""
    if known_order(number).state != "cancelled":
        changes.cancel_order(number, reason=reason, refund_minor=refund_minor, who=who, now=now)
    return known_order(number)


def cancel_part(
    number: int, parts: tuple[CancelledPart, ...], reason: str, who: str, now: datetime, refund: str = ""
) -> OrderFacts:
    """Cancel some plants of an order."""
    plants = {one.order_line: one.plants for one in parts}
    changes.cancel_order(number, plants, reason=reason, refund_minor=_refund(refund), who=who, now=now)
    return known_order(number)


def substitute(
    order_line: int,
    plants: int,
    who: str,
    now: datetime,
    from_line: int | None = None,
    pots: tuple[int, ...] = (),
    price: str = "",
) -> None:
    """Give other plants for so many of an order line: free ones of a line, or named pots."""
    minor = read_money(price, queries.nursery().currency, "price") if price.strip() else None
    changes.substitute(
        order_line, plants, from_line=from_line, pots=pots, price_minor=minor, who=who, now=now
    )


def take_step(number: int, step: str, who: str, now: datetime, ship_on: str = "") -> OrderFacts:
    """Take an order one step on: paid, packed, sent or arrived."""
    if step == "paid":
        changes.mark_paid(number, who=who, now=now)
    elif step == "packed":
        day = read_day(ship_on, "ship_on") if ship_on.strip() else None
        changes.mark_packed(number, who=who, now=now, ship_on=day)
    elif step == "sent":
        changes.mark_sent(number, who=who, now=now)
    elif step == "arrived":
        changes.mark_arrived(number, who=who, now=now)
    else:
        raise RefusedInput("step", step, f"one of {', '.join(STEPS)}")
    return known_order(number)


def take_step_back(number: int, step: str, who: str) -> OrderFacts:
    """Take back a step that was a slip: paid, packed or arrived."""
    changes.take_step_back(number, step, who=who)
    return known_order(number)


def set_ship_day(number: int, typed: str, who: str) -> None:
    """Say on which day an order leaves; empty takes the day away."""
    changes.set_ship_day(number, read_day(typed, "ship_on") if typed.strip() else None, who=who)


def known_order(number: int) -> OrderFacts:
    """An order of the book."""
    found = queries.order(number)
    if found is None:
        raise RefusedInput("order", number, "the number of an order in the book")
    return found


def read_plants(text: str) -> int:
    """A number of plants as typed."""
    if not re.fullmatch(r"[1-9][0-9]{0,3}", text.strip()):
        raise RefusedInput("plants", text, PLANTS_ACCEPTED)
    return int(text)


def is_ticked(text: str) -> bool:
    """Was a box ticked, or yes typed?"""
    return text.strip().lower() in ("on", "yes", "true", "1")


def _refund(typed: str) -> int:
    nursery: NurseryFacts = queries.nursery()
    return read_money(typed, nursery.currency, "refund") if typed.strip() else 0


def _buyer(sheet: Sheet) -> NewBuyer:
    """A buyer picked from the list, or as typed."""
    key = sheet.key("buyer")
    if key is not None:
        return NewBuyer("", key=key)
    name = sheet.needed("name", str, "", "the buyer's name")
    return NewBuyer(name, sheet.text("contact"), sheet.text("address"), sheet.text("place"))


def _wanted(sheet: Sheet, typed: Mapping[str, str]) -> tuple[WantedLine, ...]:
    """Lines with a number of plants beside them; empty and 0 want none."""
    found = []
    for name in typed:
        line = name.removeprefix("plants_")
        if line == name or not line.isdecimal() or sheet.text(name) in ("", "0"):
            continue
        plants = sheet.read(name, read_plants, 0)
        if plants:
            found.append(WantedLine(int(line), plants))
    return tuple(found)
