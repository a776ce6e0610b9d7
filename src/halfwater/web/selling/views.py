"""Sales: what is open, what could be offered, what waits to be done."""

from collections.abc import Sequence
from datetime import datetime

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds import releases as deeds
from halfwater.deeds.announce import FORMS, announce, announcement_files
from halfwater.deeds.lines import show_line
from halfwater.deeds.offerable import what_could_be_offered
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.figures import show_money, show_number
from halfwater.plain.selling import OrderFacts, ReleaseFacts
from halfwater.web.requests import WHO
from halfwater.web.selling.forms import line_form, offer_form, release_form
from halfwater.web.selling.release import release_page
from halfwater.web.selling.sheet import Button, Cell, Listing, SalesPage, plain_row
from halfwater.web.selling.words import ORDER_HEADS, order_row, release_said
from halfwater.web.sheets import FormPage, Sheet

PAGE = "selling/page.html"
_LATEST = 10


def sales(request: HttpRequest) -> HttpResponse:
    """What sells, what waits, what could be offered next."""
    now = timezone.now()
    known = queries.releases(now)
    waiting = queries.orders(states=("placed", "paid", "packed"))
    page = SalesPage(
        title="Sales",
        answer=_answer(known, waiting),
        more=_waits(waiting),
        buttons=(
            Button("Draft a release", reverse("release-new"), is_post=False, is_main=True),
            Button("Demand and price", reverse("demand"), is_post=False),
            Button("A shop's file", reverse("orders-file"), is_post=False),
            Button("Orders", reverse("orders"), is_post=False),
        ),
        listings=(_releases(known), _orders(waiting), _could(now)),
        drawers=(),
        cautions=(),
    )
    return render(request, PAGE, {"page": page})


def release(request: HttpRequest, key: int) -> HttpResponse:
    """One release."""
    return _show(request, key)


def release_edit(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """Draft a release, or change one."""
    known = _known(key) if key is not None else None
    form = release_form(known)
    if request.method == "POST":
        try:
            made = deeds.draft_release(form.read(request.POST), WHO, key)
            messages.success(request, "The release is kept. Add lines and put pots behind them.")
            return redirect("release", made)
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    back = (known.name, reverse("release", args=[known.key])) if known else ("Sales", reverse("sales"))
    page = FormPage(
        title=f"Change {known.name}" if known else "Draft a release",
        sheets=(Sheet(form, "Keep the release"),),
        back=back[0],
        back_url=back[1],
    )
    return render(request, "shared/form.html", {"page": page}, status=422 if form.is_refused else 200)


@require_POST
def line_new(request: HttpRequest, key: int) -> HttpResponse:
    """Add a line to a release, with its pots if any were typed."""
    form = line_form(key)
    try:
        photo = request.FILES.get("photo")
        with transaction.atomic():  # a photo that is none leaves no line behind
            line = deeds.draft_line(key, form.read(request.POST), WHO, timezone.now())
            if photo is not None:
                show_line(line, photo.read(), WHO)
    except HalfwaterError as error:
        return _show(request, key, ("line", form.with_typed(request.POST).with_refusal(error)))
    messages.success(request, "The line is kept.")
    return redirect("release", key)


@require_POST
def line_pots(request: HttpRequest, key: int, line: int) -> HttpResponse:
    """Put pots behind a line."""
    form = offer_form(key, line)
    try:
        pots = deeds.put_pots_behind(line, form.read(request.POST)["pots"], WHO, timezone.now())
    except HalfwaterError as error:
        return _show(request, key, (f"pots-{line}", form.with_typed(request.POST).with_refusal(error)))
    messages.success(request, f"{len(pots)} pots stand behind the line.")
    return redirect("release", key)


@require_POST
def release_step(request: HttpRequest, key: int, step: str) -> HttpResponse:
    """Open or close a release."""
    now = timezone.now()
    try:
        if step == "open":
            deeds.open_release(key, WHO, now)
        elif step == "close":
            deeds.close_release(key, WHO, now)
        else:
            raise Http404
        messages.success(request, f"The release is {'open' if step == 'open' else 'closed'}.")
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect("release", key)


def told(request: HttpRequest, key: int, form: str) -> HttpResponse:
    """An announcement to read and copy, or all forms with the photos as one file."""
    now = timezone.now()
    try:
        if form == "zip":
            response = HttpResponse(announcement_files(key, now), content_type="application/zip")
            response.headers["Content-Disposition"] = 'attachment; filename="release.zip"'
            return response
        text = announce(key, form, now)
    except RefusedInput as refused:
        raise Http404 from refused
    except HalfwaterError as error:
        messages.error(request, str(error))
        return redirect("release", key)
    return HttpResponse(text, content_type="text/plain; charset=utf-8" if form == "html" else FORMS[form][1])


def _show(request: HttpRequest, key: int, refused: tuple[str, object] | None = None) -> HttpResponse:
    try:
        view = deeds.release_view(key, timezone.now())
    except RefusedInput as unknown:
        raise Http404 from unknown
    page = release_page(view, refused)
    return render(request, PAGE, {"page": page}, status=422 if refused else 200)


def _known(key: int) -> ReleaseFacts:
    found = queries.release(key)
    if found is None:
        raise Http404
    return found


def _answer(known: Sequence[ReleaseFacts], waiting: Sequence[OrderFacts]) -> str:
    live = [one for one in known if one.state in ("open", "sold out")]
    orders = f"{len(waiting)} orders wait to be sent" if waiting else "no order waits to be sent"
    if not live:
        return f"No release is open, and {orders}."
    return f"{live[0].name}: {release_said(live[0])[:1].lower()}{release_said(live[0])[1:-1]}; {orders}."


def _waits(waiting: Sequence[OrderFacts]) -> tuple[str, ...]:
    short = [one for one in waiting if any(line.missing for line in one.lines)]
    said = [f"Order {one.number} lacks plants that died: give others or cancel that part." for one in short]
    packed = sum(one.state == "packed" for one in waiting)
    if packed:
        said.append(f"{packed} packed orders wait to be sent.")
    return tuple(said)


def _releases(known: Sequence[ReleaseFacts]) -> Listing:
    nursery = queries.nursery()
    rows = tuple(
        (
            Cell(one.name, reverse("release", args=[one.key])),
            Cell(one.state),
            Cell(deeds.show_instant(one.opens_at, nursery)),
            Cell(f"{sum(line.offered for line in one.lines)}"),
            Cell(f"{sum(line.ordered for line in one.lines)}"),
            Cell(f"{sum(line.free for line in one.lines)}"),
        )
        for one in known
    )
    return Listing(
        "Releases",
        ("Release", "State", "Opens", "Pots", "Ordered", "Free"),
        rows,
        "A release is an opening of sales on a date. Draft the first one.",
    )


def _orders(waiting: Sequence[OrderFacts]) -> Listing:
    rows = tuple(order_row(one) for one in waiting[:_LATEST])
    return Listing("Orders that wait", ORDER_HEADS, rows, "No order waits.")


def _could(now: datetime) -> Listing:
    currency = queries.nursery().currency
    rows = tuple(
        plain_row(
            one.taxon_name,
            one.grade,
            f"{len(one.ready)}",
            f"{one.protected}",
            f"{one.suggested}",
            f"{show_number(one.foreseen.p10, 0)} to {show_number(one.foreseen.p90, 0)}"
            if one.foreseen
            else "",
            "no price" if one.price_minor is None else show_money(one.price_minor, currency),
        )
        for one in what_could_be_offered(now)
        if one.ready
    )
    heads = ("Taxon", "Grade", "Ready", "Held back", "Offer", "At it or better", "Price")
    return Listing(
        "What could be offered now",
        heads,
        rows,
        "No pot is ready yet.",
        "Held back: parents that the stock cannot spare. Offer: what the cutting plan would.",
    )
