"""The bench and its parcels: seen, filled plant by plant, sent, and told of when they arrived."""

from collections.abc import Callable
from datetime import date
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds import packing
from halfwater.deeds.arrivals import note_arrival
from halfwater.deeds.clock import local_day
from halfwater.deeds.packing_papers import packing_slip, parcel_label
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.web.fields import Form
from halfwater.web.packing.forms import arrange_form, arrival_form, send_form
from halfwater.web.packing.page import bench_page, parcel_page
from halfwater.web.requests import WHO

_MOST_TABLE = 100_000  # bytes of a weather table


def bench(request: HttpRequest) -> HttpResponse:
    """The parcels and plants of a ship day."""
    now = timezone.now()
    try:
        day = date.fromisoformat(request.GET["day"]) if request.GET.get("day") else None
    except ValueError:
        raise Http404 from None
    found = packing.packing_bench(now, day)
    page = bench_page(found, local_day(now, queries.nursery()), f"{uuid4()}")
    return render(request, "packing/bench.html", {"page": page})


@require_POST
def begin(request: HttpRequest, order: int) -> HttpResponse:
    """Begin the parcels of an order as they are best planned; one parcel leads straight to it."""
    try:
        made = packing.start_planned(order, _uuid(request), WHO, timezone.now())
    except HalfwaterError as error:
        messages.error(request, f"{error}")
        return redirect("packing")
    return redirect("parcel", made[0].key) if len(made) == 1 else redirect("packing")


def parcel(request: HttpRequest, key: int) -> HttpResponse:
    """One parcel on one screen."""
    return _show(request, key)


@require_POST
def tick(request: HttpRequest, key: int) -> HttpResponse:
    """A plant is in the box, or is not after all."""
    _known(key)
    pot = str(request.POST.get("pot", ""))
    if not pot.isdecimal() or len(pot) > 12:
        raise Http404
    try:
        packing.tick_pot(key, int(pot), request.POST.get("packed") == "yes", WHO, timezone.now())
    except HalfwaterError as error:
        messages.error(request, f"{error}")
    return redirect("parcel", key)


@require_POST
def take_out(request: HttpRequest, key: int) -> HttpResponse:
    """A plant leaves the parcel, such as one that died; an empty parcel is none any more."""
    _known(key)
    pot = str(request.POST.get("pot", ""))
    if not pot.isdecimal() or len(pot) > 12:
        raise Http404
    try:
        left = packing.take_out(key, int(pot), WHO)
    except HalfwaterError as error:
        messages.error(request, f"{error}")
        return redirect("parcel", key)
    messages.success(request, "Taken out of the parcel.")
    return redirect("parcel", key) if left else redirect("packing")


@require_POST
def arrange(request: HttpRequest, key: int) -> HttpResponse:
    """Change box, packs, way or weather; a table that is sent is taken for the weather."""
    form = arrange_form(_known(key))
    try:
        typed = form.read(request.POST)
        table = request.FILES.get("table")
        if table is not None:
            if table.size is None or table.size > _MOST_TABLE:
                raise RefusedInput("table", table.name, "a table of at most 100 kB")
            typed["weather"] = table.read().decode("utf-8-sig", errors="replace")
        if typed.get("weather") == form.pick("weather")[0].value.replace("\n", "\r\n"):
            typed["weather"] = ""
        if not typed["box"]:
            typed["box"] = "none"
        packing.arrange_parcel(key, typed, WHO, timezone.now())
    except HalfwaterError as error:
        return _show(request, key, arrange=form.with_typed(request.POST).with_refusal(error))
    messages.success(request, "Kept.")
    return redirect("parcel", key)


@require_POST
def send(request: HttpRequest, key: int) -> HttpResponse:
    """The parcel has left."""
    form = send_form(_known(key))
    return _keep(
        request, key, form, "send", lambda typed: packing.send_parcel(key, typed, WHO, timezone.now()),
        "Sent. Keep claims open for two weeks: damage by cold shows late.",
    )  # fmt: skip


@require_POST
def arrived(request: HttpRequest, key: int) -> HttpResponse:
    """How it arrived."""
    form = arrival_form(_known(key), "")

    def keep(typed: dict[str, str]) -> object:
        return note_arrival(key, typed | {"note": typed["told"]}, WHO, timezone.now())

    return _keep(request, key, form, "arrival", keep, "Noted. The next forecasts learn from it.")


def slip(request: HttpRequest, key: int) -> HttpResponse:
    """The packing slip, for the printer."""
    _known(key)
    return render(request, "packing/slip.html", {"page": packing_slip(key)})


def label(request: HttpRequest, key: int) -> HttpResponse:
    """The label, for the printer."""
    _known(key)
    return render(request, "packing/label.html", {"page": parcel_label(key)})


def _keep(
    request: HttpRequest, key: int, form: Form, name: str, keep: Callable[[dict[str, str]], object], said: str
) -> HttpResponse:
    try:
        keep(form.read(request.POST))
    except HalfwaterError as error:
        return _show(request, key, **{name: form.with_typed(request.POST).with_refusal(error)})
    messages.success(request, said)
    return redirect("parcel", key)


def _show(request: HttpRequest, key: int, **refused: Form) -> HttpResponse:
    found = _known(key)
    today = local_day(timezone.now(), queries.nursery())
    page = parcel_page(
        found,
        refused.get("arrange") or arrange_form(found),
        refused.get("send") or send_form(found),
        refused.get("arrival") or arrival_form(found, today.isoformat()),
        today,
    )
    return render(request, "packing/parcel.html", {"page": page}, status=422 if refused else 200)


def _known(key: int) -> packing.ParcelToPack:
    try:
        return packing.parcel_view(key)
    except RefusedInput:
        raise Http404 from None


def _uuid(request: HttpRequest) -> UUID:
    try:
        return UUID(str(request.POST.get("uuid", "")))
    except ValueError:
        raise RefusedInput("uuid", request.POST.get("uuid", ""), "the mark of this form") from None
