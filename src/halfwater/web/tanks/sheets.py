"""The sheets of a tank: described, changed, its pots placed."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.stock import place_pots_sheet
from halfwater.deeds.tank_sheet import save_tank_sheet
from halfwater.errors import HalfwaterError
from halfwater.plain.tank import TankFacts
from halfwater.web import cautions
from halfwater.web.requests import WHO
from halfwater.web.sheets import FormPage, Sheet, grouped
from halfwater.web.stock.forms import place_form
from halfwater.web.tanks.forms import tank_form
from halfwater.web.tanks.views import known_tank

_GROUPS = (
    ("Floor and pots", ("name", "floor", "height", "pot", "pots", "keep_outs")),
    ("Clay and lines", ("clay_fill", "margin", "low_line")),
    ("Spray plan", ("night_spray",)),
)
_CARE = (
    ("Spray plan", ("night_mix", "night_spray", "morning_mix", "morning_spray")),
    ("Light", ("lamp", "lamp_dimmer", "lamp_hours", "stray_ppfd", "stray_hours")),
    ("Lid and air", ("lid_ach", "inside_temp", "inside_rh")),
    ("In the nursery", ("place", "set_up_on", "is_in_use")),
)


def tank_new(request: HttpRequest) -> HttpResponse:
    """Describe a new tank, starting from the last one."""
    return _sheet(request, None)


def tank_edit(request: HttpRequest, name: str) -> HttpResponse:
    """Change a tank."""
    return _sheet(request, known_tank(name))


def _sheet(request: HttpRequest, tank: TankFacts | None) -> HttpResponse:
    form = tank_form(tank)
    if request.method == "POST":
        try:
            kept = save_tank_sheet(
                form.read(request.POST), who=WHO, now=timezone.now(), key=tank.key if tank else None
            )
            messages.success(request, f"{kept.name} is kept, with {kept.pots} pots.")
            return redirect("tank", kept.name)
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    groups = grouped(form, *(_GROUPS if tank is None else (*_GROUPS[:2], *_CARE)))
    page = FormPage(
        title=f"Change {tank.name}" if tank else "Add a tank",
        sheets=(Sheet(form, "Keep the tank", groups=groups),),
        back=tank.name if tank else "Tanks",
        back_url=reverse("tank", args=[tank.name]) if tank else reverse("tanks"),
        cautions=(cautions.FLOOR_LOAD,) if tank is None else (cautions.ELECTRICITY,),
    )
    return render(request, "shared/form.html", {"page": page}, status=422 if form.is_refused else 200)


def tank_place(request: HttpRequest, name: str) -> HttpResponse:
    """Say what stands on spots of a floor."""
    tank = known_tank(name)
    form = place_form(tank.name)
    if request.method == "POST":
        try:
            count = place_pots_sheet(form.read(request.POST), who=WHO)
            messages.success(request, f"{count} spot{'s' if count != 1 else ''} of {tank.name} set.")
            return redirect("tank", tank.name)
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    intro = "A batch has to be in the book first: add it under Stock." if not queries.batches() else ""
    page = FormPage(
        title=f"Place pots in {tank.name}",
        intro=intro,
        sheets=(Sheet(form, "Set the spots"),),
        back=tank.name,
        back_url=reverse("tank", args=[tank.name]),
        cautions=(cautions.CLAY,),
    )
    return render(request, "shared/form.html", {"page": page}, status=422 if form.is_refused else 200)
