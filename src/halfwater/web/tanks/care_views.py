"""What a tank's water, light and air say: a page each."""

from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.air import air_of
from halfwater.deeds.algae import algae_watch
from halfwater.deeds.bath import bath_of, refill_choices
from halfwater.deeds.clock import local_day
from halfwater.deeds.floor import floor_of
from halfwater.deeds.light_map import light_map_of
from halfwater.errors import HalfwaterError, RefusedByBook, RefusedInput
from halfwater.pictures.light_map import SHOWN
from halfwater.plain.lid import LidAir
from halfwater.plain.lighting import FloorLight
from halfwater.plain.tank import TankFacts
from halfwater.web.fields import Form
from halfwater.web.tanks.air import air_page
from halfwater.web.tanks.bath import bath_page, refill_form
from halfwater.web.tanks.light import LightPage, light_form, light_page, no_light_page
from halfwater.web.tanks.views import known_tank


def bath(request: HttpRequest, name: str) -> HttpResponse:
    """The salts of one bath, and what a refill would do."""
    tank, now = known_tank(name), timezone.now()
    form = refill_form(tuple(one.name for one in refill_choices()))
    try:
        typed = form.read(request.GET)
        found = bath_of(tank.name, now, refill=typed["refill"], target=typed["target"])
        form = form.with_typed(request.GET)
    except HalfwaterError as error:
        form = form.with_typed(request.GET).with_refusal(error)
        found = bath_of(tank.name, now)
    page = bath_page(found, form, queries.nursery().units)
    return render(request, "tanks/bath.html", {"page": page}, status=422 if form.is_refused else 200)


def light(request: HttpRequest, name: str) -> HttpResponse:
    """The light over one floor, and the settings that give what is wanted."""
    tank, now = known_tank(name), timezone.now()
    shown = request.GET.get("shown", "")
    page = _light(request, tank, now, shown if shown in SHOWN else SHOWN[0])
    return render(request, "tanks/light.html", {"page": page}, status=422 if page.form.is_refused else 200)


def air(request: HttpRequest, name: str) -> HttpResponse:
    """The air under one lid, and its algae."""
    tank, now, nursery = known_tank(name), timezone.now(), queries.nursery()
    today = local_day(now, nursery)
    watch = algae_watch(now).get(tank.key)
    try:
        found: LidAir | str = air_of(tank.name, now)
    except HalfwaterError as error:
        found = str(error)
    return render(request, "tanks/air.html", {"page": air_page(tank, found, watch, nursery.units, today)})


def _light(request: HttpRequest, tank: TankFacts, now: datetime, shown: str) -> LightPage:
    nursery = queries.nursery()
    form = light_form(tuple(taxon.name for taxon in queries.taxa()))
    try:
        floor, form = _floor(request, tank, now, form)
    except RefusedByBook as error:
        return no_light_page(tank, error.sentence if not floor_of(tank) else _dark(tank), form)
    return light_page(
        tank, floor, form, _air(tank, now), nursery, shown=shown, today=local_day(now, nursery)
    )  # fmt: skip


def _floor(request: HttpRequest, tank: TankFacts, now: datetime, form: Form) -> tuple[FloorLight, Form]:
    """The light as it was asked for; where what was asked is refused, the light without it."""
    try:
        typed = form.read(request.GET)
        floor = light_map_of(tank.name, now, target=typed["target"], taxon=typed["taxon"])
    except RefusedInput as error:
        return light_map_of(tank.name, now), form.with_typed(request.GET).with_refusal(error)
    return floor, form.with_typed(request.GET)


def _dark(tank: TankFacts) -> str:
    return (
        f"Nothing is known of the light in {tank.name} yet: note one reading at a spot, or describe its lamp "
        "by its PPFD, or by lux and the lamp's own factor."
    )


def _air(tank: TankFacts, now: datetime) -> LidAir | None:
    try:
        return air_of(tank.name, now)
    except HalfwaterError:
        return None
