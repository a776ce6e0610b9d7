"""Sales: what is open, and a release from its draft to its closing."""

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
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.selling import ReleaseFacts
from halfwater.web.fields import Form
from halfwater.web.requests import WHO
from halfwater.web.selling.forms import line_form, release_form
from halfwater.web.selling.home import home_page
from halfwater.web.selling.release import release_page
from halfwater.web.selling.sheet import ConfirmPage
from halfwater.web.selling.words import plants_said
from halfwater.web.sheets import FormPage, Sheet


def sales(request: HttpRequest) -> HttpResponse:
    """What sells, what waits, what could be offered next."""
    return render(request, "selling/home.html", {"page": home_page(timezone.now())})


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
        return _show(request, key, form.with_typed(request.POST).with_refusal(error))
    messages.success(request, "The line is kept.")
    return redirect("release", key)


def release_step(request: HttpRequest, key: int, step: str) -> HttpResponse:
    """Open or close a release, after asking."""
    if step not in ("open", "close"):
        raise Http404
    now = timezone.now()
    if request.method != "POST":
        page = _asked(deeds.release_view(_known(key).key, now), step)
        return render(request, "selling/confirm.html", {"page": page})
    try:
        (deeds.open_release if step == "open" else deeds.close_release)(key, WHO, now)
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
    end, kind = FORMS[form]
    if request.GET.get("save"):
        saved = HttpResponse(text, content_type=kind)
        saved.headers["Content-Disposition"] = f'attachment; filename="release-{key}.{end}"'
        return saved
    return HttpResponse(text, content_type="text/plain; charset=utf-8" if form == "html" else kind)


def _show(request: HttpRequest, key: int, refused: Form | None = None) -> HttpResponse:
    now = timezone.now()
    try:
        view = deeds.release_view(key, now)
    except RefusedInput as unknown:
        raise Http404 from unknown
    page = release_page(view, now, request.GET.get("line", ""), refused)
    return render(request, "selling/release.html", {"page": page}, status=422 if refused else 200)


def _asked(view: deeds.ReleaseView, step: str) -> ConfirmPage:
    """What opening or closing a release does, before it is done."""
    facts = view.facts
    offered, free, held = (
        sum(getattr(one, name) for one in facts.lines) for name in ("offered", "free", "held")
    )
    if step == "open":
        opens = deeds.show_instant(facts.opens_at, queries.nursery()) if facts.opens_at else "at once"
        said = (
            f"{plants_said(offered, 'pot')} behind {plants_said(len(facts.lines), 'line')}, open: {opens}.",
            "Prices and limits can still be changed while it is open.",
        )
    else:
        said = (
            f"Back into the stock: {plants_said(free, 'free pot')} and {plants_said(held, 'held plant')}.",
            "Orders stay as they are. A closed release is not opened again.",
        )
    return ConfirmPage(
        title=f"{'Open' if step == 'open' else 'Close'} {facts.name}?",
        back=facts.name,
        back_url=reverse("release", args=[facts.key]),
        said=said,
        does="Open it" if step == "open" else "Close it",
        url=reverse("release-step", args=[facts.key, step]),
        checks=view.checks if step == "open" else (),
        is_danger=step == "close",
    )


def _known(key: int) -> ReleaseFacts:
    found = queries.release(key)
    if found is None:
        raise Http404
    return found
