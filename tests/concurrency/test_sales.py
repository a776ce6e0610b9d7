"""Fifty writers at once on the last pots, some of them killed: a pot is sold once, a promise is kept."""

import json
from collections import Counter
from itertools import chain
from typing import Any

from tests.book.programs import ROOT, run
from tests.stores import Store

WRITERS, ATTEMPTS, PLANTS = 50, 24, 110
REFUSED = (
    "sold out", "free, not", "at most", "ran out", "misses", "was cancelled", "cannot be", "has left",
    "changed while",
)  # fmt: skip
Told = dict[str, Any]


def test_a_crowd_at_the_last_pots_gets_each_of_them_once(store: Store) -> None:
    """Orders, holds, cancellations, sendings and losses of fifty processes, fifteen of them doomed.

    Each pot is sold at most once, each acknowledged order is kept, nothing is half written, no buyer
    has more than the limit or is there twice, and nobody is turned away but by a sentence.
    """
    program = str(ROOT / "tests/concurrency/crowd_of_buyers.py")
    words = [str(word) for word in (7, WRITERS, ATTEMPTS, PLANTS)]
    told = json.loads(run(store.home, program, *words, **store.environment).stdout)
    _only_sentences(told)
    _each_pot_once(told)
    _what_was_told_is_kept(told)
    died = store.rows(
        "SELECT order_line_id, COUNT(*) FROM book_offeredpot"
        " WHERE ended_because = 'lost' AND order_line_id IS NOT NULL GROUP BY order_line_id"
    )
    _nothing_is_half_written(told, dict(died))
    _limits_hold(told)


def _answers(told: Told, deed: str) -> list[Told]:
    return [row for row in chain(*told["told"]) if row.get("told") == deed and row["answer"]]


def _orders(told: Told) -> dict[str, Told]:
    return {order["key"]: order for order in told["orders"]}


def _pots(order: Told) -> list[Told]:
    return [pot for line in order["lines"] for pot in line["pots"]]


def _only_sentences(told: Told) -> None:
    """Some were killed, none failed, and every refusal is one that a buyer understands."""
    assert told["failed"] == []
    assert told["killed"] > 0
    asked = [row for row in chain(*told["told"]) if "asked" in row]
    assert len(asked) > WRITERS * ATTEMPTS * 0.6
    refused = Counter(row["answer"] for row in _answers(told, "refused"))
    assert [one for one in refused if not any(word in one for word in REFUSED)] == []
    assert any("sold out" in one for one in refused)


def _each_pot_once(told: Told) -> None:
    """No pot is promised to two orders, and what the line counts is what stands behind it."""
    promised = [pot["pot"] for order in told["orders"] for pot in _pots(order)]
    assert len(promised) == len(set(promised)) > 0
    line = told["line"]
    assert line["offered"] == line["free"] + line["held"] + line["ordered"]
    assert line["ordered"] == len(promised)
    lost = [pot for pot in told["pots"] if pot["state"] == "lost"]
    assert line["offered"] + len(lost) == PLANTS


def _what_was_told_is_kept(told: Told) -> None:
    """It has the number it was told under its key, and all its plants; asked again it was the same."""
    orders = _orders(told)
    assert len(orders) == len(told["orders"])
    ordered = [one for one in _answers(told, "hold") if "number" in one["answer"]]
    acknowledged = _answers(told, "order") + ordered
    assert acknowledged
    for one in acknowledged:
        order = orders[one["key"]]
        assert order["number"] == one["answer"]["number"]
        assert sum(line["plants"] for line in order["lines"]) == one["answer"]["plants"]
    for one in _answers(told, "again"):
        assert orders[one["key"]]["number"] == one["answer"]["number"]
    states = {order["number"]: order["state"] for order in told["orders"]}
    assert all(states[one["answer"]["cancelled"]] == "cancelled" for one in _answers(told, "cancel"))
    assert all(states[one["answer"]["sent"]] == "sent" for one in _answers(told, "send"))


def _nothing_is_half_written(told: Told, died: dict[Any, Any]) -> None:
    """An order of those who were killed is there whole or not at all, a sent one with its pots sold."""
    asked = {row["key"] for row in chain(*told["told"]) if row.get("asked") in ("order", "hold")}
    missing = 0
    for order in told["orders"]:
        assert order["key"] in asked
        assert len(order["lines"]) == 1
        (line,) = order["lines"]
        assert line["plants"] == line["cancelled"] + len(line["pots"]) + line["missing"]
        assert (order["state"] == "cancelled") == (line["plants"] == line["cancelled"])
        assert {pot["state"] == "sold" for pot in line["pots"]} <= {order["state"] == "sent"}
        # A plant is missing because its pot died, and for no other reason.
        assert line["missing"] == died.get(line["key"], 0) or (
            line["cancelled"] and line["missing"] < died[line["key"]]
        )
        missing += line["missing"]
    assert missing == told["line"]["lost"]
    sent = sum(len(_pots(order)) for order in told["orders"] if order["state"] == "sent")
    assert Counter(pot["state"] for pot in told["pots"])["sold"] == sent
    ordered = {hold["uuid"]: hold["order"] for hold in told["holds"] if hold["state"] == "ordered"}
    assert set(ordered.values()) <= {order["number"] for order in told["orders"]}


def _limits_hold(told: Told) -> None:
    """However many of their orders came at once."""
    has: Counter[str] = Counter()
    keys: dict[str, set[int]] = {}
    for order in told["orders"]:
        contact = order["buyer"]["contact"]
        keys.setdefault(contact, set()).add(order["buyer"]["key"])
        has[contact] += sum(line["plants"] - line["cancelled"] for line in order["lines"])
    assert max(has.values()) <= told["limit"]
    assert all(len(some) == 1 for some in keys.values())
