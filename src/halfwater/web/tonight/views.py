"""Tonight: the round is shown, noted with one tap, and taken back."""

from datetime import date, datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds.clock import local_day, read_day
from halfwater.deeds.notes import Typed, read_entry
from halfwater.deeds.tonight import Job, Round, RoundLine, note_round, undo_round
from halfwater.deeds.tonight import tonight as plan_tonight
from halfwater.errors import HalfwaterError, RefusedByBook, RefusedInput
from halfwater.web.fields import said
from halfwater.web.requests import WHO
from halfwater.web.tonight.page import TonightPage, tonight_page, with_typed

_READ_AS = {"read": "waterline", "act": "lamp"}


def tonight(request: HttpRequest) -> HttpResponse:
    """The round of this evening, or the set-up when there is no book yet."""
    if not queries.nursery().is_set_up and not queries.tanks(in_use=None):
        return redirect("setup")
    now = timezone.now()
    try:
        page = _page(plan_tonight(None, now), now)
    except RefusedByBook:
        return render(request, "tonight/empty.html")
    return render(request, "tonight/page.html", {"page": page})


@require_POST
def note(request: HttpRequest) -> HttpResponse:
    """Note the whole round as the lines were left."""
    now = timezone.now()
    on = _day(request.POST.get("on", ""), now)
    planned = plan_tonight(on, now)
    page = _page(planned, now)
    lines, refusals = read_lines(planned, page, request, now)
    if not refusals:
        try:
            noted = note_round(lines, on, who=WHO, now=now)
            messages.success(
                request, f"The round is noted: {len(noted.new)} entries.", extra_tags=f"round:{on}"
            )
            return redirect("tonight")
        except HalfwaterError as error:
            refusals = {"": str(error)}
    page = with_typed(page, request.POST, refusals)
    return render(request, "tonight/page.html", {"page": page}, status=422)


@require_POST
def undo(request: HttpRequest, on: str) -> HttpResponse:
    """Take the noted round back."""
    now = timezone.now()
    try:
        count = undo_round(_day(on, now), who=WHO, now=now)
        messages.success(request, f"The round is taken back: {count} entries are void.")
    except RefusedByBook as error:
        messages.error(request, error.sentence)
    return redirect("tonight")


def read_lines(
    planned: Round, page: TonightPage, request: HttpRequest, now: datetime
) -> tuple[list[RoundLine], dict[str, str]]:
    """Each line as it was left, and what cannot be used, by line."""
    fields = {line.key: line.field for stop in page.stops for line in stop.lines}
    lines, refusals = [], {}
    for job in planned.jobs:
        if not job.tank:
            continue
        field = fields[job.key]
        text = str(request.POST.get(f"amount-{job.key}", "")).strip()
        is_skipped = f"skip-{job.key}" in request.POST
        typed = field.typed(text) if field and text != field.value else ""
        if typed and not is_skipped:
            try:
                read_entry(Typed(_READ_AS.get(job.kind, job.kind), job.tank, typed), now, None)
            except RefusedInput as refused:
                refusals[job.key] = said(refused)
        if _is_noted(job, typed):
            lines.append(RoundLine(job, is_done=not is_skipped, typed=typed))
    return lines, refusals


def _is_noted(job: Job, typed: str) -> bool:
    return job.kind not in ("read", "ec", "count", "act") or bool(typed)


def _page(planned: Round, now: datetime) -> TonightPage:
    nursery = queries.nursery()
    return tonight_page(planned, nursery.units, local_day(now, nursery), can_undo=bool(planned.done))


def _day(text: str, now: datetime) -> date:
    if not text:
        return local_day(now, queries.nursery())
    try:
        return read_day(text)
    except RefusedInput as refused:
        raise Http404 from refused
