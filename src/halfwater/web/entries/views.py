"""One entry: put right or taken back. Entries are never edited: they are void and written anew."""

from uuid import UUID
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.entries import void
from halfwater.deeds.notes import Typed, rewrite
from halfwater.deeds.photos import photo_file
from halfwater.errors import HalfwaterError
from halfwater.plain.entry import POT_KINDS, EntryFact
from halfwater.plain.figures import show_date
from halfwater.web.fields import Field, Form
from halfwater.web.requests import WHO
from halfwater.web.sheets import FormPage, Sheet
from halfwater.web.tanks.drawers import TITLES
from halfwater.web.tanks.words import entry_amount, entry_as_typed

_TAKEN_BACK = "taken back at once"
_TITLES = {"move": "Move", "cut": "Cut", "rhizome": "Rhizome", "state": "State"}  # noted on a pot's page


def entry(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Write an entry anew, or make it void."""
    fact = known_entry(uuid)
    anew, gone = _anew_form(fact), _void_form(uuid)
    if request.method == "POST":
        try:
            _put_right(request, fact, anew)
            messages.success(request, "The entry is put right. The old one stays in the book, void.")
            return redirect(_home(fact))
        except HalfwaterError as error:
            anew = anew.with_typed(request.POST).with_refusal(error)
    return _page(request, fact, anew, gone)


@require_POST
def make_void(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Make an entry void, with the reason given."""
    fact = known_entry(uuid)
    try:
        void(str(uuid), request.POST.get("reason", ""), WHO, timezone.now())
        messages.success(request, "The entry is void. It stays in the book, struck through.")
        return redirect(_home(fact))
    except HalfwaterError as error:
        return _page(
            request, fact, _anew_form(fact), _void_form(uuid).with_typed(request.POST).with_refusal(error)
        )


@require_POST
def undo(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Take back an entry that was just noted."""
    fact = known_entry(uuid)
    try:
        void(str(uuid), _TAKEN_BACK, WHO, timezone.now())
        messages.success(request, "Taken back.")
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect(_home(fact))


def photo(request: HttpRequest, name: str) -> FileResponse:
    """A photo of an entry."""
    file = photo_file(name)
    if file is None:
        raise Http404
    response = FileResponse(file.open("rb"), content_type="image/jpeg")
    response.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return response


def known_entry(uuid: UUID) -> EntryFact:
    """The entry, or no page."""
    fact = queries.entry(uuid)
    if fact is None:
        raise Http404
    return fact


def _put_right(request: HttpRequest, fact: EntryFact, form: Form) -> None:
    typed = form.read(request.POST)
    anew = Typed(
        kind=fact.kind,
        tank=fact.tank_name,
        value=typed.get("value", ""),
        at=typed["at"],
        text=typed["text"],
        mix=fact.mix_name,
        batch=next((one.name for one in queries.batches() if one.key == fact.batch), ""),
        spot=fact.spot,
        photo=fact.photo,
        session=fact.word if fact.kind in ("spray", "skip") else "",
    )
    rewrite(fact.uuid, anew, typed["reason"], WHO, timezone.now())


def _anew_form(fact: EntryFact) -> Form:
    nursery = queries.nursery()
    at = fact.at.astimezone(ZoneInfo(nursery.time_zone)).strftime("%Y-%m-%d %H:%M")
    value = Field(
        "value",
        "How much",
        entry_as_typed(fact, nursery.units),
        help="As you would write it, with its unit.",
    )
    return Form(
        (
            *((value,) if fact.kind not in ("skip", "note") else ()),
            Field("at", "When", at),
            Field("text", "Remark", fact.text, is_optional=True),
            Field("reason", "Why it is written anew", "misread"),
        ),
        action=reverse("entry", args=[fact.uuid]),
    )


def _void_form(uuid: UUID) -> Form:
    return Form(
        (Field("reason", "Why it is void", "noted by mistake", prefix="void"),),
        action=reverse("entry-void", args=[uuid]),
    )


def _page(request: HttpRequest, fact: EntryFact, anew: Form, gone: Form) -> HttpResponse:
    nursery = queries.nursery()
    day = show_date(fact.day, local_day(timezone.now(), nursery))
    amount = "" if fact.kind in ("skip", "note") else f" {entry_amount(fact, nursery.units)}"
    if fact.voided_at is not None:
        intro = f"This entry is void: {fact.void_reason}."
    else:
        intro = "The old entry stays in the book, struck through, with the reason and the day."
    title = _TITLES.get(fact.kind) or TITLES[fact.kind][0]
    page = FormPage(
        title=f"{title}{amount}, {fact.tank_name or 'no tank'}, {day}",
        intro=intro,
        sheets=()
        if fact.voided_at is not None
        else (
            *(() if fact.kind in POT_KINDS else (Sheet(anew, "Write it anew", title="Write it anew"),)),
            Sheet(gone, "Make it void", title="Make it void", is_danger=True),
        ),
        back=fact.tank_name or "Tanks",
        back_url=_home(fact),
    )
    refused = anew.is_refused or gone.is_refused
    return render(request, "shared/form.html", {"page": page}, status=422 if refused else 200)


def _home(fact: EntryFact) -> str:
    return reverse("tank", args=[fact.tank_name]) + "#entries" if fact.tank_name else reverse("tanks")
