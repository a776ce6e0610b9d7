"""Tanks: the list, one tank, and what is noted about it."""

from dataclasses import replace
from datetime import datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds.bath import bath_of, baths_of
from halfwater.deeds.clock import local_day
from halfwater.deeds.meter import judged
from halfwater.deeds.notes import NotedEntry, Typed, note, read_entry
from halfwater.deeds.photos import keep_photo
from halfwater.deeds.tank import tank_answer, tank_answers
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.entry import EntryFact
from halfwater.plain.tank import TankFacts
from halfwater.web.fields import Form
from halfwater.web.requests import WHO
from halfwater.web.tanks.bath import bath_part, tone_of
from halfwater.web.tanks.care import care_parts
from halfwater.web.tanks.drawers import SECOND_FIELDS, Drawer, drawers, opened, typed_value
from halfwater.web.tanks.page import TankPage, tank_page, tanks_page
from halfwater.web.tanks.words import entry_amount, light_sentence

ENTRIES_SHOWN = 12


def tanks(request: HttpRequest) -> HttpResponse:
    """All tanks in walking order."""
    now, nursery = timezone.now(), queries.nursery()
    salty = {key for key, bath in baths_of(now).items() if tone_of(bath.outlook) == "past"}
    answers, laid_up = tank_answers(now), queries.tanks(in_use=False)
    page = tanks_page(answers, laid_up, salty, local_day(now, nursery), nursery.units)
    return render(request, "tanks/list.html", {"page": page})


def tank(request: HttpRequest, name: str) -> HttpResponse:
    """One tank."""
    facts = known_tank(name)
    now = timezone.now()
    page = _page(facts, now, _drawers(facts, now), _skip(request))
    return render(request, "tanks/page.html", {"page": page})


@require_POST
def note_entry(request: HttpRequest, name: str, kind: str) -> HttpResponse:
    """Note one entry; a refusal opens the drawer again with all that was typed."""
    facts, now = known_tank(name), timezone.now()
    made = _drawers(facts, now)
    drawer = next((one for one in made if one.kind == kind), None)
    if drawer is None:
        raise Http404
    try:
        noted = _note(request, drawer.form, facts, kind, now)
    except HalfwaterError as error:
        page = _page(facts, now, opened(made, kind, request.POST, _on_form(error, drawer.form, kind)), 0)
        return render(request, "tanks/page.html", {"page": page}, status=422)
    said = "was in the book already" if noted.was_there else "noted"
    said = f"{drawer.title}: {said} for {facts.name}. {_judgement(noted.entry)}".rstrip()
    messages.success(request, said, extra_tags=f"entry:{noted.entry.uuid}")
    return redirect("tank", facts.name)


def _judgement(entry: EntryFact) -> str:
    """What a check says of the meter, beside the word that it is noted."""
    if entry.kind != "meter":
        return ""
    try:
        return judged(entry_amount(entry, "")).text
    except RefusedInput as refused:
        return f"No correction comes of it: {refused.accepted}."


def known_tank(name: str) -> TankFacts:
    """The tank of this name, or no page."""
    try:
        return queries.tank_named(name)
    except RefusedInput as refused:
        raise Http404 from refused


def _note(request: HttpRequest, form: Form, facts: TankFacts, kind: str, now: datetime) -> NotedEntry:
    typed = form.read(request.POST)
    photo = request.FILES.get("photo")
    entry = Typed(
        kind=kind,
        tank=facts.name,
        value=typed_value(kind, typed),
        second=typed.get(SECOND_FIELDS.get(kind, ""), None),
        at=typed["at"],
        text=typed["text"],
        third=typed.get("stray") or None,
        mix=typed.get("mix", ""),
        batch=typed.get("batch", ""),
        spot=typed.get("spot", ""),
        session=typed.get("session", ""),
    )
    if photo:
        read_entry(replace(entry, photo="seen"), now, None)  # what is refused leaves no photo behind
        entry = replace(entry, photo=keep_photo(photo.read()))
    return note(entry, who=WHO, now=now)


def _on_form(error: HalfwaterError, form: Form, kind: str) -> HalfwaterError:
    """The refusal with the name its field has on the form."""
    if not isinstance(error, RefusedInput):
        return error
    names = {field.name for field in form.fields}
    name = SECOND_FIELDS.get(kind, "") if error.field == "second" else error.field
    fallback = "value" if "value" in names else "text"
    shown = error.value if isinstance(error.value, str) else str(error.value)
    return RefusedInput(name if name in names else fallback, shown, error.accepted)


def _drawers(facts: TankFacts, now: datetime) -> tuple[Drawer, ...]:
    nursery = queries.nursery()
    return drawers(facts, nursery.units, local_day(now, nursery), queries.last_entries())


def _page(facts: TankFacts, now: datetime, made: tuple[Drawer, ...], skip: int) -> TankPage:
    nursery = queries.nursery()
    seen = queries.entries(tank=facts.key, include_void=True, limit=ENTRIES_SHOWN + 1, skip=skip)
    more_url = ""
    if len(seen) > ENTRIES_SHOWN:
        more_url = f"{reverse('tank', args=[facts.name])}?skip={skip + ENTRIES_SHOWN}#entries"
    answer, bath = tank_answer(facts.name, now), bath_of(facts.name, now)
    return tank_page(
        answer,
        seen[:ENTRIES_SHOWN],
        made,
        bath_part(bath),
        care_parts(facts, now, light_sentence(answer), bath),
        local_day(now, nursery),
        nursery.units,
        more_url,
    )


def _skip(request: HttpRequest) -> int:
    """How many entries, counted from the newest, earlier pages have shown."""
    text = request.GET.get("skip", "") or "0"
    if not (text.isascii() and text.isdigit() and len(text) < 8):
        raise Http404
    return int(text)
