"""Orders changed in words: which plants of them, which others in their place, which step was a slip."""

import re
from datetime import datetime

from halfwater.book import changes, queries
from halfwater.deeds import orders
from halfwater.deeds.lines import lines_meant
from halfwater.deeds.releases import line_named, pots_on_spots
from halfwater.errors import RefusedInput
from halfwater.plain.figures import read_money, show_list
from halfwater.plain.selling import OrderFacts, OrderLineFacts

PART_ACCEPTED = "a taxon, a grade and a number of plants such as “nana standard 2”"
FROM_ACCEPTED = "a line of a release to take the others from, or spots such as “South A1-A2”: one of the two"
BACK_STEPS = ("paid", "packed", "arrived", "refund")


def parts_of(number: int, typed: tuple[str, ...]) -> tuple[orders.CancelledPart, ...]:
    """Plants of an order as typed: “nana standard 2”, each line once."""
    found: dict[int, int] = {}
    for words in typed:
        line, plants = _part(number, words)
        if line.key in found:
            raise RefusedInput("part", words, "each line of the order once")
        found[line.key] = plants
    return tuple(orders.CancelledPart(line, plants) for line, plants in found.items())


def give_others(
    number: int, typed: str, who: str, now: datetime, from_line: str = "", spots: str = "", price: str = ""
) -> OrderFacts:
    """Give others for so many plants of an order: of its own line, of another, or those on named spots."""
    line, plants = _part(number, typed)
    if from_line and spots:
        raise RefusedInput("from", from_line, FROM_ACCEPTED)
    if spots:
        orders.substitute(line.key, plants, who, now, pots=pots_on_spots(spots), price=price)
        return orders.known_order(number)
    release = orders.known_order(number).release
    source = line.line
    if from_line:
        facts = None if release is None else queries.release(release, now)
        if facts is None:
            raise RefusedInput("from", from_line, "spots, as the order is of no one release")
        source = line_named(facts, from_line).key
    if source is None:
        raise RefusedInput("from", from_line, FROM_ACCEPTED)
    orders.substitute(line.key, plants, who, now, from_line=source, price=price)
    return orders.known_order(number)


def pay_back(number: int, typed: str, who: str, now: datetime) -> OrderFacts:
    """Note money that was paid back, whatever became of the order."""
    minor = read_money(typed, queries.nursery().currency, "refund")
    if not minor:
        raise RefusedInput("refund", typed, "an amount above 0")
    changes.pay_back(number, minor, who=who, now=now)
    return orders.known_order(number)


def take_back_step(number: int, step: str, who: str) -> OrderFacts:
    """Take back a step that was a slip, or that money was paid back."""
    if step not in BACK_STEPS:
        raise RefusedInput("back", step, f"one of {', '.join(BACK_STEPS)}")
    if step == "refund":
        changes.take_refund_back(number, who=who)
    else:
        changes.take_step_back(number, step, who=who)
    return orders.known_order(number)


def _part(number: int, typed: str) -> tuple[OrderLineFacts, int]:
    """A line of an order and a number of its plants; one with plants left goes before one that has none."""
    match = re.fullmatch(r"(?P<line>.+?)[\s:x×]+(?P<plants>[1-9][0-9]{0,3})", typed.strip())
    if match is None:
        raise RefusedInput("part", typed, PART_ACCEPTED)
    lines = orders.known_order(number).lines
    meant = lines_meant(lines, match["line"])
    found = meant if len(meant) == 1 else [one for one in meant if one.plants > one.cancelled]
    found = found if len(found) == 1 else [one for one in found if one.missing] or found
    if len(found) != 1:
        names = show_list(list(dict.fromkeys(f"{one.taxon_name} {one.grade}".strip() for one in lines)))
        raise RefusedInput("part", typed, f"plants of this order: {names}")
    return found[0], int(match["plants"])
