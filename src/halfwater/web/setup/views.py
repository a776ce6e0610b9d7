"""First-run set-up."""

from zoneinfo import available_timezones

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.setting_up import set_up_nursery
from halfwater.errors import HalfwaterError
from halfwater.web import cautions
from halfwater.web.fields import Field, Form
from halfwater.web.requests import WHO
from halfwater.web.sheets import FormPage, Sheet, grouped


def setup(request: HttpRequest) -> HttpResponse:
    """One short form; it ends on Tonight."""
    if queries.nursery().is_set_up or queries.tanks(in_use=None):
        return redirect("tonight")
    form = setup_form()
    if request.method == "POST":
        try:
            set_up_nursery(form.read(request.POST), who=WHO, now=timezone.now())
            return redirect("tonight")
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    status = 422 if form.is_refused else 200
    return render(request, "setup/page.html", {"page": setup_page(form)}, status=status)


def setup_form() -> Form:
    """The fields, with values that serve a usual tank."""
    return Form((*_nursery_fields(), *_tank_fields(), *_spray_fields()))


def _nursery_fields() -> tuple[Field, ...]:
    """Name, units and clock."""
    return (
        Field("nursery", "Name of the nursery", help="It stands at the head of the pages.", is_optional=True),
        Field("units", "Units", "metric", type="choice", choices=(("metric", "Metric"), ("us", "US"))),
        Field(
            "time_zone",
            "Time zone",
            "UTC",
            type="select",
            choices=zones(),
            help="A day ends at four in the morning here.",
        ),
    )


def _tank_fields() -> tuple[Field, ...]:
    """The first tank and its pots."""
    return (
        Field("name", "Name of the tank", "Tank 1"),
        Field("floor", "Floor, inside", help="Length x width, such as 90 x 45 cm or 36 x 18 in."),
        Field("height", "Height, inside", "45 cm", help="From the floor to the rim."),
        Field("pot", "Pot", "5 cm", help="Width at the rim such as 5 cm or 2 in, or rim x foot x height."),
        Field(
            "pots",
            "How many pots",
            help="Left empty: as many as fit.",
            inputmode="numeric",
            is_optional=True,
        ),
    )


def _spray_fields() -> tuple[Field, ...]:
    """What it is sprayed with."""
    return (
        Field(
            "night_spray",
            "Night spray",
            "150 mL",
            help="For the whole tank, on one evening; left empty: 150 mL.",
        ),
        Field("label", "Feed label", help="The three numbers, such as 9-3-6.", is_optional=True),
        Field("form", "The feed is", "liquid", type="choice", choices=(("liquid", "Liquid"), ("dry", "Dry"))),
        Field(
            "density",
            "Weight of the liquid",
            "1.2",
            "kg/L",
            "1.2 is a guess: better weigh 100 mL. A dry feed needs none.",
        ),
        Field(
            "dose",
            "Dose in the spray",
            help="Such as 0.5 mL/L, 1/4 tsp/gal, or for a dry feed 0.3 g/L.",
            is_optional=True,
        ),
    )


def setup_page(form: Form) -> FormPage:
    """The sheet with its groups."""
    groups = grouped(
        form,
        ("The nursery", ("nursery", "units", "time_zone")),
        ("The first tank", ("name", "floor", "height", "pot", "pots")),
        ("The evening spray", ("night_spray", "label", "form", "density", "dose")),
    )
    return FormPage(
        title="Set up the book",
        intro="Twelve lines at most, and the book can say what to do tonight. "
        "Write quantities as you are used to: "
        "36 x 18 in, 5 cm, 1/2 gal. Everything can be changed later.",
        sheets=(Sheet(form, "Set up and show tonight", groups=groups, is_big=True),),
        cautions=(cautions.FLOOR_LOAD,),
    )


def zones() -> tuple[tuple[str, str], ...]:
    """The time zones by name, UTC first."""
    places = sorted(
        name for name in available_timezones() if "/" in name and not name.startswith(("Etc/", "SystemV/"))
    )
    return (("UTC", "UTC"), *((name, name.replace("_", " ")) for name in places))
