"""The keys of programs."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds import keys as key_deeds
from halfwater.errors import HalfwaterError
from halfwater.plain.figures import show_date
from halfwater.web.fields import Field, Form
from halfwater.web.requests import WHO
from halfwater.web.selling.sheet import Button, Listing, SalesPage, plain_row
from halfwater.web.tanks.drawers import Drawer

PAGE = "selling/page.html"


def keys(request: HttpRequest) -> HttpResponse:
    """Keys of programs: made, shown once, revoked."""
    form = Form(
        (Field("name", "What the program is called", help="Such as My shop."),), action=reverse("keys")
    )
    secret = ""
    if request.method == "POST":
        try:
            secret = key_deeds.make_key(form.read(request.POST)["name"], WHO, timezone.now())
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    page = _page(form, secret)
    return render(request, PAGE, {"page": page}, status=422 if form.is_refused else 200)


def _page(form: Form, secret: str) -> SalesPage:
    known = queries.api_keys()
    rows = tuple(
        plain_row(
            one.name,
            show_date(one.made_at.date()),
            show_date(one.last_used_on) if one.last_used_on else "never",
            "revoked" if one.revoked_at else "in use",
        )
        for one in known
    )
    told = (
        f"The secret of the new key, shown this once: {secret}"
        if secret
        else (f"{sum(one.revoked_at is None for one in known)} keys are in use.")
    )
    return SalesPage(
        title="Keys of programs",
        answer=told,
        back="More",
        back_url=reverse("more"),
        more=(
            "A web shop sends its key with every call; what it can ask for stands in /api/1/openapi.json.",
        ),
        buttons=tuple(
            Button(f"Revoke {one.name}", reverse("key-revoke", args=[one.key]), is_danger=True)
            for one in known
            if one.revoked_at is None
        ),
        listings=(Listing("Keys", ("Program", "Made", "Last used", "State"), rows, "None yet."),),
        drawers=(Drawer("key", "Make a key", "Make it", "", form, form.is_refused),),
        cautions=("Whoever has the secret can order. Beyond this machine serve the book by https only.",),
    )


@require_POST
def key_revoke(request: HttpRequest, key: int) -> HttpResponse:
    """Let a key open nothing any more."""
    try:
        key_deeds.revoke_key(key, WHO, timezone.now())
        messages.success(request, "The key opens nothing any more.")
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect("keys")
