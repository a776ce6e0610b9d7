"""How sales are told in short."""

from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.releases import show_instant
from halfwater.plain.figures import show_money
from halfwater.plain.selling import OrderFacts, ReleaseFacts
from halfwater.web.selling.sheet import Cell

ORDER_HEADS = ("Order", "State", "Buyer", "Plants", "In all", "Placed")


def order_row(order: OrderFacts) -> tuple[Cell, ...]:
    """An order in a list."""
    nursery = queries.nursery()
    return (
        Cell(f"{order.number}", reverse("order", args=[order.number])),
        Cell(order.state),
        Cell(order.buyer.name or "erased"),
        Cell(f"{order.plants}"),
        Cell(show_money(order.goods_minor + order.postage_minor, nursery.currency)),
        Cell(show_instant(order.placed_at, nursery)),
    )


def release_said(facts: ReleaseFacts) -> str:
    """How a release stands, in one sentence."""
    nursery = queries.nursery()
    offered, ordered = (sum(getattr(line, name) for line in facts.lines) for name in ("offered", "ordered"))
    free = sum(line.free for line in facts.lines)
    if facts.state == "drafted":
        opens = show_instant(facts.opens_at, nursery)
        return f"{offered} pots stand behind {len(facts.lines)} lines; it opens: {opens}."
    if facts.state == "sold out":
        return f"Sold out: all {ordered} plants are ordered."
    if facts.state == "closed":
        return f"Closed: {ordered} of {offered} plants were sold."
    return f"{ordered} of {offered} plants are ordered, {free} can still be had."
