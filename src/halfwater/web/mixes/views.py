"""Mixes: what is mixed and what from; one mix, what to measure and what its chemistry says."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from halfwater.book import queries
from halfwater.deeds.meter import meter_checks
from halfwater.deeds.mix_build import look_at, targets
from halfwater.deeds.mixes import mix_to_make
from halfwater.deeds.shelf import shelf
from halfwater.deeds.source_water import waters
from halfwater.errors import HalfwaterError
from halfwater.plain.chemistry import MixLook
from halfwater.plain.mixes import MixFacts
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.mixes.asking import water_fields, water_of, with_refused
from halfwater.web.mixes.card import looked_at
from halfwater.web.mixes.home import mixes_page
from halfwater.web.mixes.known import known_mix
from halfwater.web.mixes.page import mix_page


def mixes(request: HttpRequest) -> HttpResponse:
    """All mixes, the shelf, the waters, the targets and the meter."""
    page = mixes_page(
        queries.mixes(), shelf(at_hand=False), waters(), targets(), meter_checks(), queries.nursery()
    )
    return render(request, "mixes/page.html", {"page": page})


def mix(request: HttpRequest, key: int) -> HttpResponse:
    """One mix, measured for the volume in the address, or for a litre, and looked at in a water."""
    found, nursery = known_mix(key), queries.nursery()
    volume = unit_of("volume", nursery.units)
    form = Form((Field("volume", "To make", "1", volume.sign, inputmode="decimal"),))
    try:
        typed = {"volume": request.GET.get("volume", "1")}
        recipe = mix_to_make(found.name, form.read(typed)["volume"])
        form = form.with_typed(typed)
    except HalfwaterError as error:
        form = form.with_typed(request.GET).with_refusal(error)
        recipe = mix_to_make(found.name, f"1 {volume.sign}")
    look, looked = _look(request, found)
    page = mix_page(found, recipe, form, nursery, look, looked)
    status = 422 if form.is_refused or looked.is_refused else 200
    return render(request, "mixes/mix.html", {"page": page}, status=status)


def _look(request: HttpRequest, found: MixFacts) -> tuple[MixLook | None, Form]:
    """The chemistry in the water asked for; in ours where that one is refused."""
    form = Form(water_fields())
    if not {"water", "water_typed", "temp"} & set(request.GET):
        return looked_at(found.name), form
    try:
        read = form.read(request.GET)
        return look_at(found.name, water_of(read), read["temp"]), form.with_typed(request.GET)
    except HalfwaterError as error:
        return looked_at(found.name), with_refused(form, request.GET, error)
