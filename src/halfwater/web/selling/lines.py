"""A line: looked at, changed, filled, emptied, held from, taken out."""

from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds import lines as line_deeds
from halfwater.deeds import orders as order_deeds
from halfwater.deeds import releases as deeds
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.selling import LineFacts, ReleaseFacts
from halfwater.web.fields import Form
from halfwater.web.requests import WHO
from halfwater.web.selling.forms import change_line_form, hold_form, offer_form
from halfwater.web.selling.line_page import line_page
from halfwater.web.selling.sheet import ConfirmPage
from halfwater.web.selling.words import plants_said


def line(request: HttpRequest, key: int, line: int) -> HttpResponse:
    """One line."""
    return _show(request, *_known(key, line))


@require_POST
def line_pots(request: HttpRequest, key: int, line: int) -> HttpResponse:
    """Put pots behind a line."""
    release, facts = _known(key, line)
    form = offer_form(key, line)
    try:
        pots = deeds.put_pots_behind(line, form.read(request.POST)["pots"], WHO, timezone.now())
    except HalfwaterError as error:
        return _show(request, release, facts, ("pots", _refused(form, request, error)))
    messages.success(request, f"{plants_said(len(pots), 'pot')} stand behind the line now.")
    return redirect("line", key, line)


@require_POST
def line_change(request: HttpRequest, key: int, line: int) -> HttpResponse:
    """Change a line's price, limit, words or photo."""
    release, facts = _known(key, line)
    form = change_line_form(facts)
    try:
        typed = form.read(request.POST) | {"taxon": facts.taxon_name, "grade": facts.grade}
        photo = request.FILES.get("photo")
        with transaction.atomic():
            deeds.draft_line(key, typed, WHO, timezone.now(), line)
            if photo is not None or typed.get("no_photo"):
                line_deeds.show_line(line, photo.read() if photo is not None else b"", WHO)
    except HalfwaterError as error:
        return _show(request, release, facts, ("change", _refused(form, request, error)))
    messages.success(request, "The line is changed.")
    return redirect("line", key, line)


@require_POST
def line_back(request: HttpRequest, key: int, line: int) -> HttpResponse:
    """Take ticked free pots off a line."""
    _known(key, line)
    ticked = tuple(int(one) for one in request.POST.getlist("pot") if one.isdecimal())
    here = {pot.pot for pot in queries.line_pots(line)}
    try:
        if not ticked or not here.issuperset(ticked):
            raise RefusedInput("pots", len(ticked), "at least one pot of this line: tick those to take back")
        taken = deeds.take_back(ticked, WHO, timezone.now())
        messages.success(request, f"{plants_said(taken, 'pot')} taken back into the stock.")
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect("line", key, line)


@require_POST
def line_hold(request: HttpRequest, key: int, line: int) -> HttpResponse:
    """Put plants of a line aside for a buyer."""
    release, facts = _known(key, line)
    form = hold_form(facts)
    try:
        typed = form.read(request.POST)
        held = order_deeds.note_hold(typed, line, _uuid(typed["uuid"]), WHO, timezone.now())
    except HalfwaterError as error:
        return _show(request, release, facts, ("hold", _refused(form, request, error)))
    until = deeds.show_instant(held.until, queries.nursery())
    messages.success(request, f"{plants_said(held.plants)} held until {until}.")
    return redirect("line", key, line)


def line_remove(request: HttpRequest, key: int, line: int) -> HttpResponse:
    """Take a line out of its release, after asking."""
    release, facts = _known(key, line)
    if request.method != "POST":
        page = ConfirmPage(
            title=f"Take {facts.taxon_name}, {facts.grade} out of {release.name}?",
            back=release.name,
            back_url=reverse("line", args=[key, line]),
            said=(
                f"Its {plants_said(facts.free, 'free pot')} go back into the stock.",
                "A line that was ever ordered or held stays in the book.",
            ),
            does="Take it out",
            url=reverse("line-step", args=[key, line, "remove"]),
            is_danger=True,
        )
        return render(request, "selling/confirm.html", {"page": page})
    try:
        line_deeds.remove_line(line, WHO, timezone.now())
        messages.success(request, "The line is taken out.")
        return redirect("release", key)
    except HalfwaterError as error:
        messages.error(request, str(error))
        return redirect("line", key, line)


def line_step(request: HttpRequest, key: int, line: int, step: str) -> HttpResponse:
    """One thing done to a line."""
    steps = {"change": line_change, "back": line_back, "hold": line_hold, "remove": line_remove}
    if step not in steps:
        raise Http404
    return steps[step](request, key, line)


@require_POST
def hold_go(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Let a hold go."""
    held = queries.hold(uuid, timezone.now())
    if held is None:
        raise Http404
    try:
        order_deeds.let_hold_go(f"{uuid}", WHO, timezone.now())
        messages.success(request, "Let go: its plants are free again.")
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect("line", deeds.line_of(held.line, timezone.now()).release, held.line)


def _show(
    request: HttpRequest, release: ReleaseFacts, facts: LineFacts, refused: tuple[str, Form] | None = None
) -> HttpResponse:
    page = line_page(release, facts, timezone.now(), refused)
    return render(request, "selling/line.html", {"page": page}, status=422 if refused else 200)


def _refused(form: Form, request: HttpRequest, error: HalfwaterError) -> Form:
    return form.with_typed(request.POST).with_refusal(error)


def _known(key: int, line: int) -> tuple[ReleaseFacts, LineFacts]:
    release = queries.release(key, timezone.now())
    found = next((one for one in release.lines if one.key == line), None) if release else None
    if release is None or found is None:
        raise Http404
    return release, found


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as error:
        raise RefusedInput("uuid", text, "the mark of this form: open the page anew") from error
