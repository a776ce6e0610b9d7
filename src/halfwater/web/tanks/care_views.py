"""What a tank's water, light and air say: a page each."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.bath import bath_of, refill_choices
from halfwater.errors import HalfwaterError
from halfwater.web.tanks.bath import bath_page, refill_form
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
