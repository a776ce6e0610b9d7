"""One pot: shown, and what is done with it."""

from dataclasses import replace
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds.cutting import undo_cut
from halfwater.deeds.growing import stock_outlook
from halfwater.deeds.pot import PotPage as PotFacts
from halfwater.deeds.pot import pot_page as pot_facts
from halfwater.deeds.pot_care import care_for_pot, cut_from_pot
from halfwater.deeds.said import STATES
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.entry import CAUSES
from halfwater.plain.stock import BLADES, GONE_STATES, GRADES, PIECES, StandingPot
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.requests import WHO
from halfwater.web.stock.pot import pot_page
from halfwater.web.tanks.drawers import Drawer, opened


def pot(request: HttpRequest, key: int) -> HttpResponse:
    """One pot with its past and its future."""
    return _show(request, _facts(key), None)


@require_POST
def care(request: HttpRequest, key: int, kind: str) -> HttpResponse:
    """Do one thing with a pot; a refusal opens its drawer again with all that was typed."""
    facts, now = _facts(key), timezone.now()
    drawer = next((one for one in pot_drawers(facts.pot) if one.kind == kind), None)
    if drawer is None:
        raise Http404
    try:
        typed = drawer.form.read(request.POST)
        mark = _uuid(typed["uuid"])
        if kind == "cut":
            tags = f"cut:{cut_from_pot(key, typed, mark, WHO, now).batch}"
        else:
            noted = care_for_pot(key, kind, typed, mark, WHO, now)
            tags = f"entry:{noted}" if noted else ""
    except HalfwaterError as error:
        drawers = opened(pot_drawers(facts.pot), kind, request.POST, error)
        return _show(request, facts, drawers)
    messages.success(request, f"{drawer.title}: noted for {facts.pot.name}.", extra_tags=tags)
    return redirect("pot", key)


@require_POST
def cut_undo(request: HttpRequest, batch: int) -> HttpResponse:
    """Take a cut back, with the batch it made."""
    try:
        undo_cut(batch, WHO, timezone.now())
        messages.success(request, "The cut is taken back.")
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect("stock")


def pot_drawers(pot: StandingPot) -> tuple[Drawer, ...]:
    """What can be done with a pot that stands; nothing with one that is gone."""
    if pot.state in GONE_STATES:
        return ()
    units = queries.nursery().units
    length = unit_of("length", units)
    tanks = tuple((tank.name, tank.name) for tank in queries.tanks())
    rhizome_mm = length.text(pot.rhizome_mm)
    rhizome = Field("rhizome", "Length of the rhizome", rhizome_mm, length.sign, inputmode="decimal")
    grade = _pick("grade", "Grade", ("", *GRADES), pot.grade, "select")
    leaves = Field("leaves", "Leaves", "" if pot.leaves is None else f"{pot.leaves}", inputmode="numeric")
    states = tuple(one for one in STATES if one != pot.state)
    return (
        _drawer(pot, "count", "Leaves", "Note the count", leaves),
        _drawer(pot, "state", "State", "Note the state", _pick("state", "State", states, "", "choice")),
        _drawer(
            pot, "move", "Move", "Move it",
            Field("tank", "Tank", pot.tank_name, type="select", choices=tanks),
            Field("spot", "To spot", help="An empty one, such as B4."),
        ),
        _drawer(pot, "cut", "Cut", "Note the cut", *_cut_fields(length.sign)),
        _drawer(pot, "rhizome", "Rhizome", "Note the length", rhizome),
        _drawer(pot, "grade", "Grade by hand", "Set the grade", grade),
        _drawer(pot, "lose", "Lost", "Note the loss", _pick("cause", "Cause", CAUSES, "unknown", "select")),
    )  # fmt: skip


def _cut_fields(length_sign: str) -> tuple[Field, ...]:
    """What a cut asks for: the parent, and the batch its sections become."""
    return (
        Field("sections", "Sections it gave", inputmode="numeric", help="The piece that stays included."),
        Field("leaves_left", "Leaves on the piece that stays", inputmode="numeric", is_optional=True),
        Field("batch", "Name of the new batch", help="Such as Nana, December."),
        Field("to", "Potted onto", help="Tank and spots, such as South A1-A4."),
        Field("first_leaves", "Leaves on each section", inputmode="numeric", is_optional=True),
        Field("section", "Length of a section", "", length_sign, inputmode="decimal", is_optional=True),
        _pick("piece", "Piece", ("", *PIECES), "", "select"),
        _pick("blade", "Blade", ("", *BLADES), "", "select"),
    )


def _drawer(pot: StandingPot, kind: str, title: str, does: str, *fields: Field) -> Drawer:
    mark = Field("uuid", "", str(uuid4()), type="hidden")
    made = tuple(replace(field, prefix=kind) for field in (*fields, mark))
    return Drawer(kind, title, does, "", Form(made, action=reverse("pot-care", args=[pot.key, kind])))


def _pick(name: str, label: str, words: tuple[str, ...], value: str, how: str) -> Field:
    empty = "by the leaf count" if name == "grade" else "not noted"
    return Field(name, label, value, type=how, choices=tuple((word, word or empty) for word in words))


def _facts(key: int) -> PotFacts:
    try:
        return pot_facts(key, timezone.now())
    except RefusedInput as refused:
        raise Http404 from refused


def _show(request: HttpRequest, facts: PotFacts, drawers: tuple[Drawer, ...] | None) -> HttpResponse:
    made = pot_drawers(facts.pot) if drawers is None else drawers
    page = pot_page(facts, stock_outlook(timezone.now()), made, queries.nursery().units)
    return render(request, "stock/pot.html", {"page": page}, status=200 if drawers is None else 422)


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as error:
        raise RefusedInput("uuid", text, "the mark of this form: open the page anew") from error
