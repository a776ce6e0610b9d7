"""Orders: listed, taken by hand, brought by a file, taken step by step to their end."""

from collections.abc import Callable
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds import orders as deeds
from halfwater.deeds.order_files import bring_order_file
from halfwater.deeds.order_rows import WORDS
from halfwater.deeds.places import CAUTION
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.figures import show_money
from halfwater.plain.selling import ORDER_STATES, OrderFacts, OrderLineFacts
from halfwater.web.fields import Field, Form
from halfwater.web.requests import WHO
from halfwater.web.selling.forms import cancel_form, order_form
from halfwater.web.selling.sheet import Button, Card, Cell, Listing, SalesPage
from halfwater.web.selling.words import ORDER_HEADS, order_row
from halfwater.web.sheets import FormPage, Group, Sheet
from halfwater.web.tanks.drawers import Drawer

PAGE = "selling/page.html"
_NEXT = {"placed": ("paid", "packed"), "paid": ("packed",), "packed": ("sent",), "sent": ("arrived",)}
_DOES = {"paid": "It is paid", "packed": "It is packed", "sent": "It is sent", "arrived": "It arrived"}
_MOST_LISTED = 200


def orders(request: HttpRequest) -> HttpResponse:
    """The orders, of one state or all."""
    state = request.GET.get("state", "")
    found = queries.orders(states=(state,) if state in ORDER_STATES else None)
    rows = tuple(order_row(one) for one in found[:_MOST_LISTED])
    tabs = tuple((Cell(one, f"{reverse('orders')}?state={one}"),) for one in ORDER_STATES)
    told = f"{len(found)} orders{f' are {state}' if state else ' are in the book'}."
    page = SalesPage(
        title="Orders",
        answer=told,
        back="Sales",
        back_url=reverse("sales"),
        buttons=(Button("A shop's file", reverse("orders-file"), is_post=False),),
        listings=(Listing("Orders", ORDER_HEADS, rows, "None."), Listing("By state", ("State",), tabs)),
    )
    return render(request, PAGE, {"page": page})


def order(request: HttpRequest, number: int) -> HttpResponse:
    """One order."""
    return _show(request, _known(number), None)


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


def orders_file(request: HttpRequest) -> HttpResponse:
    """Bring a web shop's file."""
    form = _file_form()
    if request.method == "POST":
        try:
            typed = form.read(request.POST)
            sent = request.FILES.get("file")
            if sent is None:
                raise RefusedInput("file", "", "a CSV file of a web shop")
            told = bring_order_file(
                sent.read(), typed["shop"], WHO, timezone.now(), _columns(typed["columns"])
            )
            messages.success(request, f"{len(told.new)} orders are new, {len(told.kept)} were there already.")
            for one in told.refused:
                messages.error(request, f"{one.reference} was not granted: {one.why}")
            return redirect("orders")
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    page = FormPage(
        title="Orders from a file",
        sheets=(Sheet(form, "Bring the orders"),),
        back="Sales",
        back_url=reverse("sales"),
        intro="Each order comes once, however often the file is brought. A bad cell stops the whole file.",
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
        return _show(request, found, form.with_typed(request.POST).with_refusal(error))


@require_POST
def substitute(request: HttpRequest, number: int, line: int) -> HttpResponse:
    """Give free plants of the same line for those that died."""
    short = next((one for one in _known(number).lines if one.key == line and one.line is not None), None)
    if short is None:
        raise Http404
    return _done(
        request,
        number,
        lambda: deeds.substitute(line, short.missing, WHO, timezone.now(), from_line=short.line),
        "Other plants stand in for those that died.",
    )


def _show(request: HttpRequest, found: OrderFacts, refused: Form | None) -> HttpResponse:
    nursery = queries.nursery()
    in_all = show_money(found.goods_minor + found.postage_minor, nursery.currency)
    buyer = found.buyer.name or "an erased buyer"
    place = f", to {found.buyer.place}" if found.buyer.place else ""
    steps = tuple(
        Button(_DOES[one], reverse("order-step", args=[found.number, one]), is_main=True)
        for one in _NEXT.get(found.state, ())
    )
    gone = found.state in ("cancelled", "sent", "arrived")
    drawer = Drawer(
        "cancel", "Cancel it, or a part", "Cancel", "", refused or cancel_form(found), refused is not None
    )
    page = SalesPage(
        title=f"Order {found.number}",
        answer=f"{found.plants} plants for {buyer}{place}: {in_all} in all.",
        back=found.release_name or "Orders",
        back_url=reverse("release", args=[found.release]) if found.release else reverse("orders"),
        state=found.state,
        more=_said(found),
        buttons=(*steps, *_substitutes(found)),
        cards_title="Plants",
        cards=tuple(_line(one) for one in found.lines),
        drawers=() if gone else (drawer,),
        cautions=(CAUTION,) if found.place_notes else (),
    )
    return render(request, PAGE, {"page": page}, status=422 if refused else 200)


def _line(one: OrderLineFacts) -> Card:
    """What was ordered, and on which spots its pots stand."""
    wanted = one.plants - one.cancelled
    each = show_money(one.price_minor, queries.nursery().currency)
    said = f"{wanted} plants at {each}." + (
        f" {one.missing} died and need a substitute." if one.missing else ""
    )
    return Card(f"{one.taxon_name}, {one.grade}", said, (_pots(one),) if one.pots else ())


def _pots(line: OrderLineFacts) -> str:
    return ", ".join(f"{pot.tank} {pot.spot} ({pot.name})" if pot.spot else pot.name for pot in line.pots)


def _said(found: OrderFacts) -> tuple[str, ...]:
    said = list(found.place_notes)
    said += [f"Reference {found.reference}."] if found.reference else []
    said += [found.note] if found.note else []
    said += [f"Cancelled: {found.cancel_reason}."] if found.cancel_reason else []
    return tuple(said)


def _substitutes(found: OrderFacts) -> tuple[Button, ...]:
    return tuple(
        Button(
            f"Give {one.missing} others of {one.taxon_name}",
            reverse("order-substitute", args=[found.number, one.key]),
        )
        for one in found.lines
        if one.missing and one.line is not None
    )


def _done(request: HttpRequest, number: int, deed: Callable[[], object], said: str) -> HttpResponse:
    try:
        deed()
        messages.success(request, said)
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect("order", number)


def _file_form() -> Form:
    known = ", ".join(one.name for one in queries.shop_columns())
    return Form(
        (
            Field(
                "shop", "Name of the shop", help=f"Its columns are remembered. Known: {known or 'none yet'}."
            ),
            Field("file", "CSV file", type="file", accepts=".csv,text/csv"),
            Field(
                "columns",
                "Columns",
                type="area",
                is_optional=True,
                is_wide=True,
                help="One a line, where a heading is not understood: reference=Order no. Ours are "
                f"{', '.join(WORDS)}.",
            ),
        ),
        action=reverse("orders-file"),
    )


def _columns(typed: str) -> dict[str, str]:
    found = {}
    for line in filter(None, (one.strip() for one in typed.splitlines())):
        ours, sign, theirs = line.partition("=")
        if not sign:
            raise RefusedInput("columns", line, "our word, = and the heading: reference=Order no")
        found[ours.strip()] = theirs.strip()
    return found


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
