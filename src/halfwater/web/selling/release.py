"""The page of a release as plain data."""

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from halfwater.deeds.announce import FORMS
from halfwater.deeds.releases import ReleaseView
from halfwater.plain.demand import PastLine
from halfwater.web.chart import Chart
from halfwater.web.fields import Form
from halfwater.web.selling.cards import LineCard, Mark, line_card, marks
from halfwater.web.selling.charts import line_chart, lines_sold, release_chart
from halfwater.web.selling.forms import line_form
from halfwater.web.selling.sheet import Button
from halfwater.web.selling.words import RELEASE_TONES, OrderRow, order_rows, release_said
from halfwater.web.tanks.drawers import Drawer

ANNOUNCED = {
    "newsletter": "Words for a newsletter",
    "html": "HTML for a page",
    "csv": "Price list (CSV)",
    "json-ld": "Products (JSON-LD)",
    "atom": "Feed (Atom)",
}


@dataclass(frozen=True, slots=True)
class Tab:
    """One line, or all, to look at in the picture."""

    name: str
    url: str
    is_here: bool


@dataclass(frozen=True, slots=True)
class Told:
    """A release told in one form: to be read, or saved as a file."""

    name: str
    read_url: str
    save_url: str


@dataclass(frozen=True, slots=True)
class ReleasePage:
    """A release in one view."""

    title: str
    state: str
    tone: str
    answer: str
    note: str
    buttons: tuple[Button, ...]
    is_drafted: bool
    checks: tuple[str, ...]
    tabs: tuple[Tab, ...]
    chart: Chart | None
    marks: tuple[Mark, ...]
    lines: tuple[LineCard, ...]
    orders: tuple[OrderRow, ...]
    told: tuple[Told, ...]
    zip_url: str
    drawers: tuple[Drawer, ...]


def release_page(view: ReleaseView, now: datetime, wanted: str, refused: Form | None = None) -> ReleasePage:
    """The release, its sales as a picture, its lines with their pots, its orders, and what can be done."""
    facts = view.facts
    sold = lines_sold(facts.key, now) if facts.state != "drafted" else ()
    chosen = next((one for one in sold if f"{one.line}" == wanted), None)
    chart = line_chart(chosen, now) if chosen else release_chart(sold, now)
    return ReleasePage(
        title=facts.name,
        state=facts.state,
        tone=RELEASE_TONES.get(facts.state, ""),
        answer=release_said(facts),
        note=facts.note,
        buttons=_buttons(view),
        is_drafted=facts.state == "drafted",
        checks=view.checks,
        tabs=_tabs(facts.key, sold, chosen),
        chart=chart,
        marks=marks(),
        lines=tuple(line_card(facts, one, view.pots) for one in facts.lines),
        orders=order_rows(view.orders),
        told=_told(facts.key),
        zip_url=reverse("release-told", args=[facts.key, "zip"]),
        drawers=() if facts.state == "closed" else (_add_line(facts.key, refused),),
    )


def _tabs(key: int, sold: tuple[PastLine, ...], chosen: PastLine | None) -> tuple[Tab, ...]:
    if len(sold) < 2 and not any(one.is_sold_out for one in sold):
        return ()
    url = reverse("release", args=[key])
    lines = (
        Tab(f"{one.taxon_name}, {one.grade}", f"{url}?line={one.line}#sales", one is chosen) for one in sold
    )
    return (Tab("all lines", f"{url}#sales", chosen is None), *lines)


def _buttons(view: ReleaseView) -> tuple[Button, ...]:
    key, state = view.facts.key, view.facts.state
    edit = Button("Change", reverse("release-edit", args=[key]), is_post=False)
    if state == "drafted":
        return (
            Button("Open it …", reverse("release-step", args=[key, "open"]), is_post=False, is_main=True),
            edit,
        )
    if state == "closed":
        return ()
    order = Button("Note an order", reverse("order-new", args=[key]), is_post=False, is_main=True)
    close = Button("Close it …", reverse("release-step", args=[key, "close"]), is_post=False, is_danger=True)
    return (order, close, edit)


def _told(key: int) -> tuple[Told, ...]:
    return tuple(
        Told(ANNOUNCED.get(form, form), where, f"{where}?save=yes")
        for form in FORMS
        for where in (reverse("release-told", args=[key, form]),)
    )


def _add_line(key: int, refused: Form | None) -> Drawer:
    return Drawer("line", "Add a line", "Keep the line", "", refused or line_form(key), refused is not None)
