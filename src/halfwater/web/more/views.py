"""More: settings, lamps, the password, the export, the cautions."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from halfwater.book import queries
from halfwater.deeds.owner import is_password_set, password_mark, set_password
from halfwater.deeds.settings import save_lamp_sheet, save_settings
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.nursery import LampFacts
from halfwater.web import cautions
from halfwater.web.fields import Field, Form
from halfwater.web.gate import SESSION_KEY, needs_password
from halfwater.web.measures import unit_of
from halfwater.web.requests import WHO
from halfwater.web.setup.views import zones
from halfwater.web.sheets import FormPage, Sheet


@dataclass(frozen=True, slots=True)
class MorePage:
    """What lies under More."""

    nursery: str
    lamps: tuple[LampFacts, ...]
    has_password: bool
    is_beyond: bool
    cautions: tuple[str, ...]


def more(request: HttpRequest) -> HttpResponse:
    """The list of what lies here."""
    page = MorePage(
        nursery=queries.nursery().name,
        lamps=queries.lamps(),
        has_password=is_password_set(),
        is_beyond=needs_password(request),
        cautions=cautions.ALL,
    )
    return render(request, "more/page.html", {"page": page})


def settings(request: HttpRequest) -> HttpResponse:
    """The nursery's settings."""
    form = settings_form()
    if request.method == "POST":
        try:
            save_settings(form.read(request.POST), who=WHO)
            messages.success(request, "The settings are kept.")
            return redirect("more")
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    return _form(request, "Settings", form, "Keep the settings")


def settings_form() -> Form:
    """The settings as they stand."""
    now = queries.nursery()
    warm, damp = unit_of("temperature", now.units), unit_of("fraction", now.units)
    return Form(
        (
            Field("nursery", "Name of the nursery", now.name, is_optional=True),
            Field("units", "Units", now.units, type="choice", choices=(("metric", "Metric"), ("us", "US"))),
            Field("time_zone", "Time zone", now.time_zone, type="select", choices=zones()),
            Field(
                "evening_hour",
                "Hour of the evening round",
                str(now.evening_hour),
                help="12 to 23.",
                inputmode="numeric",
            ),
            Field("currency", "Currency", now.currency, help="Three letters such as EUR or USD."),
            Field(
                "room_temp",
                "Room temperature",
                warm.text(now.room_temp_c),
                warm.sign,
                is_optional=True,
                help="Outside the lids: it decides how much vapour a lid lets out.",
            ),
            Field("room_rh", "Room humidity", damp.text(now.room_rh_frac), damp.sign, is_optional=True),
        )
    )


def lamp(request: HttpRequest, key: int | None = None) -> HttpResponse:
    """A lamp: a new one, or one that stands in the book."""
    form = lamp_form(next((one for one in queries.lamps() if one.key == key), None))
    if request.method == "POST":
        try:
            save_lamp_sheet(form.read(request.POST), who=WHO, key=key)
            messages.success(
                request, "The lamp is kept. Which tank it hangs over is said on the tank's own sheet."
            )
            return redirect("more")
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    return _form(
        request, "Change the lamp" if key else "Add a lamp", form, "Keep the lamp", (cautions.ELECTRICITY,)
    )


def lamp_form(one: LampFacts | None) -> Form:
    """A lamp's figures."""
    plain = unit_of("plain", "")
    return Form(
        (
            Field("name", "Name", one.name if one else ""),
            Field(
                "ppfd",
                "Light at the pots, full power",
                plain.text(one.ppfd_umol_m2_s) if one else "",
                "µmol/m²/s",
                is_optional=True,
                help="Measured at the height of the leaves.",
            ),
            Field("lux", "Or in lux", plain.text(one.lux) if one else "", "lux", is_optional=True),
            Field(
                "lux_per_umol",
                "The lamp's own factor",
                plain.text(one.lux_per_umol) if one else "",
                is_optional=True,
                help="Lux for 1 µmol/m²/s, needed to read lux. It differs from lamp to lamp.",
            ),
            Field("power", "Power", plain.text(one.power_w) if one else "", "W", is_optional=True),
        )
    )


def password(request: HttpRequest) -> HttpResponse:
    """Set the owner's password."""
    form = Form(
        (
            Field(
                "password", "New password", type="password", help="At least 10 signs that are hard to guess."
            ),
            Field("again", "The same again", type="password"),
        )
    )
    if request.method == "POST":
        try:
            keep_password(request)
            messages.success(request, "The password is kept. Other devices have to give it anew.")
            return redirect("more")
        except HalfwaterError as error:
            form = form.with_refusal(error)
    return _form(request, "Password", form, "Keep the password")


def keep_password(request: HttpRequest) -> None:
    """Keep the new password and stay logged in here."""
    if request.POST.get("password", "") != request.POST.get("again", ""):
        raise RefusedInput("again", "", "the same password as above")
    set_password(request.POST.get("password", ""))
    request.session[SESSION_KEY] = password_mark()


def _form(
    request: HttpRequest, title: str, form: Form, does: str, warn: tuple[str, ...] = ()
) -> HttpResponse:
    page = FormPage(title=title, sheets=(Sheet(form, does),), back="More", back_url="/more/", cautions=warn)
    return render(request, "shared/form.html", {"page": page}, status=422 if form.is_refused else 200)
