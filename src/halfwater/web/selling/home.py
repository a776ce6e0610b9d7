"""The page Sales as plain data: the open release, what waits, what could be offered, other releases."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.offerable import Offerable, what_could_be_offered
from halfwater.pictures.table import ChartTable
from halfwater.plain.figures import show_money, show_number
from halfwater.plain.growing import Span
from halfwater.plain.selling import OrderFacts, ReleaseFacts
from halfwater.web.chart import Chart
from halfwater.web.selling.cards import LineCard, Mark, ReleaseCard, line_card, marks, release_card
from halfwater.web.selling.charts import lines_sold, release_chart
from halfwater.web.selling.sheet import Button, Cell
from halfwater.web.selling.words import WAITING, OrderRow, missing_in, order_rows, plants_said, release_said

_LATEST = 8
_MOST_PAST = 8


@dataclass(frozen=True, slots=True)
class HomePage:
    """Sales in one view."""

    answer: str
    tone: str
    more: tuple[str, ...]
    buttons: tuple[Button, ...]
    open: ReleaseCard | None
    chart: Chart | None
    marks: tuple[Mark, ...]
    lines: tuple[LineCard, ...]
    orders: tuple[OrderRow, ...]
    more_orders: int
    could: ChartTable
    drafted: tuple[ReleaseCard, ...]
    past: tuple[ReleaseCard, ...]
    more_past: tuple[ReleaseCard, ...]
    others: tuple[Cell, ...]


def home_page(now: datetime) -> HomePage:
    """What sells, what waits, what could be offered next."""
    known = queries.releases(now)
    waiting = queries.orders(states=WAITING)
    live = [one for one in known if one.state in ("open", "sold out")]
    first = live[0] if live else None
    past = tuple(release_card(one) for one in known if one.state == "closed")
    return HomePage(
        answer=_answer(first, waiting),
        tone="due" if any(missing_in(one) for one in waiting) else "",
        more=_waits(waiting),
        buttons=_buttons(first),
        open=release_card(first) if first else None,
        chart=release_chart(lines_sold(first.key, now), now) if first else None,
        marks=marks(),
        lines=tuple(line_card(first, one) for one in first.lines) if first else (),
        orders=order_rows(waiting[:_LATEST]),
        more_orders=max(0, len(waiting) - _LATEST),
        could=_could(what_could_be_offered(now)),
        drafted=tuple(release_card(one) for one in known if one.state == "drafted" or one in live[1:]),
        past=past[:_MOST_PAST],
        more_past=past[_MOST_PAST:],
        others=(
            Cell("All orders", reverse("orders")),
            Cell("Demand and price", reverse("demand")),
            Cell("A shop's file", reverse("orders-file")),
            Cell("Buyers", reverse("buyers")),
            Cell("Places", reverse("places-list")),
        ),
    )


def _buttons(first: ReleaseFacts | None) -> tuple[Button, ...]:
    draft = Button("Draft a release", reverse("release-new"), is_post=False, is_main=first is None)
    if first is None:
        return (draft,)
    return (
        Button("Note an order", reverse("order-new", args=[first.key]), is_post=False, is_main=True),
        draft,
    )


def _answer(first: ReleaseFacts | None, waiting: Sequence[OrderFacts]) -> str:
    verb = "waits" if len(waiting) == 1 else "wait"
    orders = (
        f"{plants_said(len(waiting), 'order')} {verb} to be sent" if waiting else "no order waits to be sent"
    )
    if first is None:
        return f"No release is open, and {orders}."
    said = release_said(first)
    return f"{first.name}: {said[:1].lower()}{said[1:-1]}; {orders}."


def _waits(waiting: Sequence[OrderFacts]) -> tuple[str, ...]:
    said = [
        f"Order {one.number} lacks plants that died: give others or cancel that part."
        for one in waiting
        if missing_in(one)
    ]
    packed = sum(one.state == "packed" for one in waiting)
    if packed:
        said.append(f"{plants_said(packed, 'packed order')} can be sent.")
    return tuple(said)


def _could(offerable: Sequence[Offerable]) -> ChartTable:
    currency = queries.nursery().currency
    rows = tuple(
        (
            f"{one.taxon_name}, {one.grade}",
            f"{one.suggested}",
            "no price" if one.price_minor is None else show_money(one.price_minor, currency),
            f"{len(one.ready)}",
            _span(one.foreseen),
            f"{one.protected}",
        )
        for one in offerable
        if one.ready
    )
    heads = ("Line", "Offer", "Price", "Ready", "At it or better", "Held back")
    return ChartTable("What could be offered now", heads, rows)


def _span(span: Span | None) -> str:
    return f"{show_number(span.p10, 0)} to {show_number(span.p90, 0)}" if span else ""
