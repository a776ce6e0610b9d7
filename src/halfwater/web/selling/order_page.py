"""The page of an order as plain data."""

from dataclasses import dataclass

from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.places import CAUTION
from halfwater.deeds.releases import show_instant
from halfwater.plain.figures import show_date, show_money
from halfwater.plain.selling import OrderFacts, OrderLineFacts
from halfwater.web.fields import Form
from halfwater.web.selling.forms import cancel_form, refund_form, ship_form, substitute_form
from halfwater.web.selling.sheet import Button
from halfwater.web.selling.words import WAITING, order_tone, plants_said, spots_in_short
from halfwater.web.tanks.drawers import Drawer
from halfwater.web.workings import Figure

NEXT = {"placed": ("paid", "packed"), "paid": ("packed",), "packed": ("sent",), "sent": ("arrived",)}
DOES = {"paid": "It is paid", "packed": "It is packed", "sent": "It is sent", "arrived": "It arrived"}
_BACK = ("paid", "packed", "arrived")
_Made = tuple[str, str, str, Form]  # a drawer: its kind, title, what its button does, its form


@dataclass(frozen=True, slots=True)
class OrderLineCard:
    """Plants of a line in an order."""

    title: str
    said: str
    price: str
    where: str
    missing: int
    instead: str


@dataclass(frozen=True, slots=True)
class CourseStep:
    """A step of an order's way, done or to come."""

    name: str
    at: str
    is_done: bool


@dataclass(frozen=True, slots=True)
class OrderPage:
    """An order in one view."""

    title: str
    back: str
    back_url: str
    state: str
    tone: str
    answer: str
    alarm: tuple[str, ...]
    course: tuple[CourseStep, ...]
    buttons: tuple[Button, ...]
    figures: tuple[Figure, ...]
    lines: tuple[OrderLineCard, ...]
    buyer: tuple[str, ...]
    buyer_url: str
    notes: tuple[str, ...]
    drawers: tuple[Drawer, ...]
    cautions: tuple[str, ...]


def order_page(order: OrderFacts, refused: tuple[str, Form] | None = None) -> OrderPage:
    """The order: its way so far, its plants and where they stand, money, buyer, and what can be done."""
    steps = tuple(
        Button(DOES[one], reverse("order-step", args=[order.number, one]), is_main=place == 0)
        for place, one in enumerate(NEXT.get(order.state, ()))
    )
    buyer = order.buyer
    where = f", to {buyer.place}" if buyer.place else ""
    in_all = show_money(order.goods_minor + order.postage_minor, queries.nursery().currency)
    return OrderPage(
        title=f"Order {order.number}",
        back=order.release_name or "Orders",
        back_url=reverse("release", args=[order.release]) if order.release else reverse("orders"),
        state=order.state,
        tone=order_tone(order.state),
        answer=f"{plants_said(order.plants)} for {buyer.name or 'an erased buyer'}{where}: {in_all} in all.",
        alarm=_alarm(order),
        course=_course(order),
        buttons=(*steps, *_step_back(order)),
        figures=_figures(order),
        lines=tuple(_line(one, order) for one in order.lines),
        buyer=tuple(filter(None, (buyer.name or "erased", buyer.contact, buyer.address, buyer.place))),
        buyer_url=reverse("buyer", args=[buyer.key]) if buyer.key is not None else "",
        notes=_notes(order),
        drawers=_drawers(order, refused),
        cautions=(CAUTION,) if order.place_notes else (),
    )


def _alarm(order: OrderFacts) -> tuple[str, ...]:
    if order.state not in WAITING:
        return ()
    return tuple(
        f"{one.missing} of {one.taxon_name}, {one.grade} died: give others or cancel that part."
        for one in order.lines
        if one.missing
    )


def _course(order: OrderFacts) -> tuple[CourseStep, ...]:
    nursery = queries.nursery()
    made = [
        ("placed", order.placed_at),
        ("paid", order.paid_at),
        ("packed", order.packed_at),
        ("sent", order.sent_at),
        ("arrived", order.arrived_at),
    ]
    if order.cancelled_at is not None:
        made = [one for one in made if one[1] is not None] + [("cancelled", order.cancelled_at)]
    return tuple(
        CourseStep(name, show_instant(at, nursery) if at else "", at is not None) for name, at in made
    )


def _step_back(order: OrderFacts) -> tuple[Button, ...]:
    made = []
    if order.state in _BACK:
        does = "It did not arrive" if order.state == "arrived" else f"It is not {order.state} yet"
        made.append(Button(does, reverse("order-back", args=[order.number, order.state])))
    if order.refund_minor:
        made.append(Button("No money went back", reverse("order-back", args=[order.number, "refund"])))
    return tuple(made)


def _figures(order: OrderFacts) -> tuple[Figure, ...]:
    currency = queries.nursery().currency
    made = [
        Figure("Plants", show_money(order.goods_minor, currency), plants_said(order.plants)),
        Figure("Postage", show_money(order.postage_minor, currency)),
        Figure("In all", show_money(order.goods_minor + order.postage_minor, currency)),
    ]
    if order.refund_minor:
        made.append(Figure("Given back", show_money(order.refund_minor, currency)))
    if order.fee_minor is not None:
        made.append(Figure("Fee", show_money(order.fee_minor, currency)))
    made.append(Figure("Ship day", show_date(order.ship_on) if order.ship_on else "not set"))
    return tuple(made)


def _line(one: OrderLineFacts, order: OrderFacts) -> OrderLineCard:
    wanted = one.plants - one.cancelled
    said = plants_said(wanted) + (f", {one.cancelled} cancelled" if one.cancelled else "")
    first = next((line for line in order.lines if line.key == one.substitutes), None)
    return OrderLineCard(
        title=f"{one.taxon_name}, {one.grade}" if one.grade else one.taxon_name,
        said=said,
        price=f"{show_money(one.price_minor, queries.nursery().currency)} each",
        where=spots_in_short(one.pots) or ", ".join(pot.name for pot in one.pots),
        missing=one.missing if order.state in WAITING else 0,
        instead=f"In place of {first.taxon_name}, {first.grade}" if first else "",
    )


def _notes(order: OrderFacts) -> tuple[str, ...]:
    said = [f"{note[:1].upper()}{note[1:]}" for note in order.place_notes]
    said += [f"Came {order.channel}, reference {order.reference}."] if order.reference else []
    said += [order.note] if order.note else []
    said += [f"Cancelled: {order.cancel_reason}."] if order.cancel_reason else []
    return tuple(said)


def _drawers(order: OrderFacts, refused: tuple[str, Form] | None) -> tuple[Drawer, ...]:
    refund = ("refund", "Money paid back", "Note it", refund_form(order))
    made = [refund] if order.state not in WAITING else _while_waiting(order, refund)
    return tuple(
        Drawer(kind, title, does, "", refused[1], is_open=True)
        if refused and refused[0] == kind
        else Drawer(kind, title, does, "", form)
        for kind, title, does, form in made
    )


def _while_waiting(order: OrderFacts, refund: _Made) -> list[_Made]:
    """What can be done to an order that was not sent yet."""
    made = [("ship", "Ship day", "Keep the day", ship_form(order))]
    made += [
        (
            f"others-{one.key}",
            f"Give others for {one.taxon_name}, {one.grade}",
            "Give them",
            substitute_form(order, one),
        )
        for one in order.lines
        if one.plants > one.cancelled
    ]
    return [*made, refund, ("cancel", "Cancel it, or a part", "Cancel", cancel_form(order))]
