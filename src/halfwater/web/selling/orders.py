"""Orders: listed, taken by hand, brought by a file, taken step by step to their end."""

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds import orders as deeds
from halfwater.deeds.order_words import pay_back, take_back_step
from halfwater.deeds.places import CAUTION
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.selling import ORDER_STATES, OrderFacts
from halfwater.web.fields import Form
from halfwater.web.requests import WHO
from halfwater.web.selling.forms import cancel_form, order_form, refund_form, ship_form, substitute_form
from halfwater.web.selling.order_page import order_page
from halfwater.web.selling.sheet import Button
from halfwater.web.selling.words import WAITING, OrderRow, order_rows, plants_said
from halfwater.web.sheets import FormPage, Group, Sheet

_MOST_LISTED = 100


@dataclass(frozen=True, slots=True)
class OrderTab:
    """Orders of one state, or all."""

    name: str
    url: str
    orders: int
    is_here: bool


@dataclass(frozen=True, slots=True)
class OrdersPage:
    """The orders as a list."""

    answer: str
    buttons: tuple[Button, ...]
    tabs: tuple[OrderTab, ...]
    orders: tuple[OrderRow, ...]
    rest: int


def orders(request: HttpRequest) -> HttpResponse:
    """The orders, of one state or all."""
    wanted = request.GET.get("state", "")
    state = wanted if wanted in ORDER_STATES else ""
    every = queries.orders()
    found = [one for one in every if not state or one.state == state]
    counts = Counter(one.state for one in every)
    url = reverse("orders")
    tabs = (
        OrderTab("all", url, len(every), not state),
        *(
            OrderTab(one, f"{url}?state={one}", counts[one], one == state)
            for one in ORDER_STATES
            if counts[one]
        ),
    )
    page = OrdersPage(
        answer=_told(counts, len(every)),
        buttons=(Button("A shop's file", reverse("orders-file"), is_post=False),),
        tabs=tabs,
        orders=order_rows(found[:_MOST_LISTED]),
        rest=max(0, len(found) - _MOST_LISTED),
    )
    return render(request, "selling/orders.html", {"page": page})


def order(request: HttpRequest, number: int) -> HttpResponse:
    """One order."""
    return _show(request, _known(number))


def order_new(request: HttpRequest, release: int) -> HttpResponse:
    """Take an order by hand."""
    facts = queries.release(release)
    if facts is None:
        raise Http404
    form = order_form(facts)
    if request.method == "POST":
        try:
            typed = form.read(request.POST)
            made = deeds.note_order(typed, _uuid(typed["uuid"]), WHO, timezone.now())
            messages.success(request, f"Order {made.number} is noted.")
            return redirect("order", made.number)
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    plants = tuple(one for one in form.fields if one.name.startswith("plants_"))
    rest = tuple(one for one in form.fields if one not in plants)
    groups = (Group("Plants", plants), Group("Buyer", rest))
    page = FormPage(
        title=f"An order of {facts.name}",
        sheets=(Sheet(form, "Note the order", groups=groups, is_big=True),),
        back=facts.name,
        back_url=reverse("release", args=[release]),
        cautions=(CAUTION,),
    )
    return render(request, "shared/form.html", {"page": page}, status=422 if form.is_refused else 200)


@require_POST
def order_step(request: HttpRequest, number: int, step: str) -> HttpResponse:
    """One step on."""
    return _done(
        request,
        number,
        lambda: deeds.take_step(number, step, WHO, timezone.now()),
        f"Order {number}: {step}.",
    )


@require_POST
def order_cancel(request: HttpRequest, number: int) -> HttpResponse:
    """Cancel an order, or a part of it."""
    found = _known(number)
    form = cancel_form(found)
    try:
        typed = form.read(request.POST)
        parts = tuple(
            deeds.CancelledPart(line.key, deeds.read_plants(typed[f"part_{line.key}"]))
            for line in found.lines
            if typed.get(f"part_{line.key}")
        )
        now = timezone.now()
        if parts:
            deeds.cancel_part(number, parts, typed["reason"], WHO, now, typed["refund"])
        else:
            deeds.cancel(number, typed["reason"], WHO, now, typed["refund"])
        messages.success(request, "Cancelled: its plants are free again.")
        return redirect("order", number)
    except HalfwaterError as error:
        return _show(request, found, ("cancel", form.with_typed(request.POST).with_refusal(error)))


@require_POST
def substitute(request: HttpRequest, number: int, line: int) -> HttpResponse:
    """Give free plants of a line in place of some of an order's: those that died first."""
    found = _known(number)
    short = next((one for one in found.lines if one.key == line), None)
    if short is None:
        raise Http404
    form = substitute_form(found, short)
    try:
        typed = form.read(request.POST)
        plants = deeds.read_plants(typed["plants"]) if typed["plants"] else short.missing
        source = int(typed["from_line"]) if typed["from_line"].isdecimal() else short.line
        if source is None:
            raise RefusedInput("from_line", typed["from_line"], "a line with free plants")
        deeds.substitute(line, plants, WHO, timezone.now(), from_line=source, price=typed["price"])
    except HalfwaterError as error:
        return _show(request, found, (f"others-{line}", form.with_typed(request.POST).with_refusal(error)))
    messages.success(request, "Other plants stand in now.")
    return redirect("order", number)


@require_POST
def order_back(request: HttpRequest, number: int, step: str) -> HttpResponse:
    """Take back a step that was a slip."""
    return _done(
        request,
        number,
        lambda: take_back_step(number, step, WHO),
        f"Order {number}: “{step}” is taken back.",
    )


@require_POST
def order_refund(request: HttpRequest, number: int) -> HttpResponse:
    """Note money that was paid back."""
    found = _known(number)
    form = refund_form(found)
    try:
        pay_back(number, form.read(request.POST)["refund"], WHO, timezone.now())
    except HalfwaterError as error:
        return _show(request, found, ("refund", form.with_typed(request.POST).with_refusal(error)))
    messages.success(request, "The money paid back is noted.")
    return redirect("order", number)


@require_POST
def order_ship(request: HttpRequest, number: int) -> HttpResponse:
    """Say on which day an order leaves."""
    found = _known(number)
    form = ship_form(found)
    try:
        deeds.set_ship_day(number, form.read(request.POST)["ship_on"], WHO)
    except HalfwaterError as error:
        return _show(request, found, ("ship", form.with_typed(request.POST).with_refusal(error)))
    messages.success(request, "The ship day is kept.")
    return redirect("order", number)


def _show(request: HttpRequest, found: OrderFacts, refused: tuple[str, Form] | None = None) -> HttpResponse:
    page = order_page(found, refused)
    return render(request, "selling/order.html", {"page": page}, status=422 if refused else 200)


def _done(request: HttpRequest, number: int, deed: Callable[[], object], said: str) -> HttpResponse:
    try:
        deed()
        messages.success(request, said)
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect("order", number)


def _told(counts: Mapping[str, int], every: int) -> str:
    """How many orders there are, and how many wait."""
    if not every:
        return "No order is in the book yet."
    waiting = sum(counts.get(one, 0) for one in WAITING)
    return f"{plants_said(every, 'order')} in the book; {waiting or 'none'} to be sent."


def _known(number: int) -> OrderFacts:
    found = queries.order(number)
    if found is None:
        raise Http404
    return found


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as error:
        raise RefusedInput("uuid", text, "the mark of this form: open the page anew") from error
