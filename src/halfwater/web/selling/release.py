"""The page of a release."""

from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.announce import FORMS
from halfwater.deeds.releases import ReleaseView, show_instant
from halfwater.plain.figures import show_money
from halfwater.plain.selling import LineFacts
from halfwater.web.fields import Form
from halfwater.web.selling.forms import line_form, offer_form
from halfwater.web.selling.sheet import Button, Card, Cell, Listing, SalesPage
from halfwater.web.selling.words import ORDER_HEADS, order_row, release_said
from halfwater.web.tanks.drawers import Drawer

_MOST_SPOTS = 12


def release_page(view: ReleaseView, refused: tuple[str, object] | None) -> SalesPage:
    """The release, its lines with their pots, its orders, and what can be done."""
    facts = view.facts
    return SalesPage(
        title=facts.name,
        answer=release_said(facts),
        back="Sales",
        back_url=reverse("sales"),
        state=facts.state,
        more=(*view.checks, *_sold_out(facts.lines)),
        buttons=_buttons(view),
        cards_title="Lines",
        cards=tuple(_line(view, one) for one in facts.lines),
        listings=(
            Listing("Orders", ORDER_HEADS, tuple(order_row(one) for one in view.orders), "No order yet."),
        ),
        links_title="Announce it, with a care note for each taxon",
        links=_forms(facts.key),
        drawers=_drawers(view, refused),
    )


def _buttons(view: ReleaseView) -> tuple[Button, ...]:
    key, state = view.facts.key, view.facts.state
    edit = Button("Change", reverse("release-edit", args=[key]), is_post=False)
    if state == "drafted":
        return (Button("Open it", reverse("release-step", args=[key, "open"]), is_main=True), edit)
    if state == "closed":
        return ()
    order = Button("Note an order", reverse("order-new", args=[key]), is_post=False, is_main=True)
    return (order, Button("Close it", reverse("release-step", args=[key, "close"]), is_danger=True), edit)


def _line(view: ReleaseView, one: LineFacts) -> Card:
    """How a line stands, and where its free pots are."""
    price = f"{show_money(one.price_minor, queries.nursery().currency)} each"
    limit = f", at most {one.limit_per_buyer} a buyer" if one.limit_per_buyer else ""
    held = f", {one.held} held" if one.held else ""
    lost = f" {one.lost} ordered plants died and have no substitute." if one.lost else ""
    told = f"{one.ordered} of {one.offered} ordered{held}, {one.free} free.{lost}"
    where = _where(view, one)
    return Card(
        f"{one.taxon_name}, {one.grade}", told, (price + limit,), (where,) if where else (), "Free pots"
    )


def _where(view: ReleaseView, line: LineFacts) -> str:
    free = [pot for pot in view.pots.get(line.key, ()) if pot.order is None and not pot.hold]
    shown = ", ".join(f"{pot.tank} {pot.spot}" for pot in free[:_MOST_SPOTS])
    return f"{shown} and {len(free) - _MOST_SPOTS} more" if len(free) > _MOST_SPOTS else shown


def _sold_out(lines: tuple[LineFacts, ...]) -> tuple[str, ...]:
    nursery = queries.nursery()
    return tuple(
        f"{one.taxon_name}, {one.grade}: sold out {show_instant(one.sold_out_at, nursery)}."
        for one in lines
        if one.sold_out_at is not None
    )


def _forms(key: int) -> tuple[Cell, ...]:
    made = tuple(Cell(form, reverse("release-told", args=[key, form])) for form in FORMS)
    return (*made, Cell("all with the photos (zip)", reverse("release-told", args=[key, "zip"])))


def _drawers(view: ReleaseView, refused: tuple[str, object] | None) -> tuple[Drawer, ...]:
    facts = view.facts
    if facts.state == "closed":
        return ()
    made = [("line", "Add a line", "Keep the line", line_form(facts.key))]
    made += [
        (
            f"pots-{one.key}",
            f"Pots for {one.taxon_name}, {one.grade}",
            "Put them behind it",
            offer_form(facts.key, one.key),
        )
        for one in facts.lines
    ]
    return tuple(_drawer(kind, title, does, form, refused) for kind, title, does, form in made)


def _drawer(kind: str, title: str, does: str, form: Form, refused: tuple[str, object] | None) -> Drawer:
    if refused is not None and refused[0] == kind and isinstance(refused[1], Form):
        return Drawer(kind, title, does, "", refused[1], is_open=True)
    return Drawer(kind, title, does, "", form)
