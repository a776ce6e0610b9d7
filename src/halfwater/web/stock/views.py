"""Stock: what is ready when, and each batch."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.growing import stock_outlook
from halfwater.deeds.scores import keep_shown
from halfwater.deeds.stock import save_batch_sheet
from halfwater.errors import HalfwaterError
from halfwater.plain.stock import BatchFacts
from halfwater.web import cautions
from halfwater.web.requests import WHO
from halfwater.web.sheets import FormPage, Sheet
from halfwater.web.stock.batch import batch_page
from halfwater.web.stock.forms import batch_form
from halfwater.web.stock.page import stock_page
from halfwater.web.stock.releases import releases_ahead


def stock(request: HttpRequest) -> HttpResponse:
    """What is ready when, then the batches; what is foreseen is kept, to be scored."""
    outlook = stock_outlook(timezone.now())
    keep_shown(outlook)
    releases = releases_ahead(queries.cutting_habit(), outlook.on, outlook.horizon_on)
    page = stock_page(
        outlook, queries.batches(), queries.counts_by_state(), request.GET.get("taxon", ""), releases
    )
    return render(request, "stock/page.html", {"page": page})


def batch(request: HttpRequest, key: int) -> HttpResponse:
    """One batch."""
    known = known_batch(key)
    outlook = stock_outlook(timezone.now())
    releases = releases_ahead(queries.cutting_habit(), outlook.on, outlook.horizon_on)
    page = batch_page(known, outlook, queries.standing_pots(batch=key, gone=True), releases)
    return render(request, "stock/batch.html", {"page": page})


def batch_edit(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """Write a batch: a new one, or one that stands in the book."""
    now = timezone.now()
    known = known_batch(key) if key is not None else None
    form = batch_form(local_day(now, queries.nursery()), known)
    if request.method == "POST":
        try:
            kept = save_batch_sheet(form.read(request.POST), who=WHO, now=now, key=key)
            messages.success(request, "The batch is kept. Place its pots from the page of a tank.")
            return redirect("batch", kept)
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    page = FormPage(
        title=f"Change {known.name}" if known else "Add a batch",
        sheets=(Sheet(form, "Keep the batch"),),
        back=known.name if known else "Stock",
        back_url=reverse("batch", args=[known.key]) if known else reverse("stock"),
        cautions=(cautions.SAP, cautions.CLAY),
    )
    return render(request, "shared/form.html", {"page": page}, status=422 if form.is_refused else 200)


def known_batch(key: int) -> BatchFacts:
    """The batch, or no page."""
    known = next((one for one in queries.batches() if one.key == key), None)
    if known is None:
        raise Http404
    return known
