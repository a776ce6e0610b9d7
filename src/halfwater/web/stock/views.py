"""Stock: the batches, where they stand, what state they are in."""

from dataclasses import dataclass
from datetime import date

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.stock import save_batch_sheet
from halfwater.errors import HalfwaterError
from halfwater.pictures.floor import draw_state
from halfwater.plain.stock import POT_STATES, BatchFacts
from halfwater.web import cautions
from halfwater.web.requests import WHO
from halfwater.web.sheets import FormPage, Sheet
from halfwater.web.stock.forms import batch_form


@dataclass(frozen=True, slots=True)
class StateCount:
    """Pots in one state, with the drawing of the state."""

    state: str
    pots: int
    drawing: str


@dataclass(frozen=True, slots=True)
class BatchLine:
    """A batch as it is listed."""

    key: int
    name: str
    taxon: str
    potted: str
    age: str
    parent: str
    counts: tuple[StateCount, ...]
    where: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class StockPage:
    """The stock in one view."""

    answer: str
    counts: tuple[StateCount, ...]
    batches: tuple[BatchLine, ...]


def stock(request: HttpRequest) -> HttpResponse:
    """All batches, newest first."""
    today = local_day(timezone.now(), queries.nursery())
    batches = queries.batches()
    counts = queries.counts_by_state()
    page = StockPage(
        answer=stock_answer(counts, len(batches)),
        counts=state_counts(counts),
        batches=tuple(batch_line(batch, today) for batch in batches),
    )
    return render(request, "stock/page.html", {"page": page})


def batch(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """A batch: a new one, or one that stands in the book."""
    now = timezone.now()
    known = next((one for one in queries.batches() if one.key == key), None)
    if key is not None and known is None:
        raise Http404
    form = batch_form(local_day(now, queries.nursery()), known)
    if request.method == "POST":
        try:
            save_batch_sheet(form.read(request.POST), who=WHO, now=now, key=key)
            messages.success(request, "The batch is kept. Place its pots from the page of a tank.")
            return redirect("stock")
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    page = FormPage(
        title="Change the batch" if key else "Add a batch",
        sheets=(Sheet(form, "Keep the batch"),),
        back="Stock",
        back_url="/stock/",
        cautions=(cautions.SAP, cautions.CLAY),
    )
    return render(request, "shared/form.html", {"page": page}, status=422 if form.is_refused else 200)


def stock_answer(counts: dict[str, int], batches: int) -> str:
    """The stock in one sentence."""
    standing = sum(pots for state, pots in counts.items() if state not in ("sold", "lost"))
    if not standing:
        return "No pot stands on a spot yet. Add a batch, then place its pots on a floor."
    ready = counts.get("ready", 0)
    said = f"{ready} of them ready" if ready else "none of them ready yet"
    return f"{standing} pots stand on the floors, {said}, from {batches} batch{'es' if batches != 1 else ''}."


def state_counts(counts: dict[str, int]) -> tuple[StateCount, ...]:
    """Counts with their drawings, the zeros left out."""
    return tuple(
        StateCount(state, counts[state], draw_state(state)) for state in POT_STATES if counts.get(state)
    )


def batch_line(batch: BatchFacts, today: date) -> BatchLine:
    """A batch as it is listed."""
    weeks = (today - batch.potted_on).days // 7
    return BatchLine(
        key=batch.key,
        name=batch.name,
        taxon=batch.taxon_name,
        potted=f"{batch.potted_on:%-d %B %Y}",
        age=f"{weeks} weeks ago" if weeks != 1 else "1 week ago",
        parent=batch.parent_note,
        counts=state_counts(batch.counts),
        where=tuple(batch.where.items()),
    )
