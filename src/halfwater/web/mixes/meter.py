"""The EC meter: a check against a standard, and what it makes of the readings after it."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.meter import meter_checks
from halfwater.deeds.notes import Typed, note
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.pictures.table import ChartTable
from halfwater.plain.chemistry import MeterPast
from halfwater.plain.figures import show_date
from halfwater.web.fields import Form
from halfwater.web.mixes.shelf_forms import meter_form
from halfwater.web.requests import WHO
from halfwater.web.workings import Figure


@dataclass(frozen=True, slots=True)
class MeterPage:
    """What the meter is worth, and its checks."""

    answer: str
    tone: str
    figures: tuple[Figure, ...]
    form: Form
    past: ChartTable


def meter(request: HttpRequest) -> HttpResponse:
    """Note a check, and see the past ones."""
    form = meter_form()
    if request.method == "POST":
        try:
            value = form.read(request.POST)["meter"]
            kept = note(Typed("meter", value=value), WHO, timezone.now())
            messages.success(request, "The check is noted.", extra_tags=f"entry:{kept.entry.uuid}")
            return redirect("meter")
        except RefusedInput as error:
            error.field = "meter"
            form = form.with_typed(request.POST).with_refusal(error)
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    page = meter_page(meter_checks(), form, queries.nursery().time_zone)
    return render(request, "mixes/meter.html", {"page": page}, status=422 if form.is_refused else 200)


def meter_page(checks: tuple[MeterPast, ...], form: Form, time_zone: str) -> MeterPage:
    """The page: the newest check first."""
    newest = checks[0] if checks else None
    in_force = next((past.check for past in checks if past.is_in_force), None)
    return MeterPage(
        answer=newest.check.text
        if newest
        else "The meter was never checked: its readings stand as they are.",
        tone="" if newest and newest.check.is_usable else "due",
        figures=(
            Figure("Readings are multiplied by", f"{in_force.correction_factor:.3f}" if in_force else "1"),
            Figure("Then within", f"{100 * in_force.spread_frac:.0f} %" if in_force else "not known"),
        ),
        form=form,
        past=ChartTable(
            "Checks of the meter",
            ("Day", "Showed, mS/cm", "Standard", "Factor", "Usable"),
            tuple(_row(past, time_zone) for past in checks),
        ),
    )


def _row(past: MeterPast, time_zone: str) -> tuple[str, ...]:
    check = past.check
    return (
        show_date(past.at.astimezone(ZoneInfo(time_zone)).date()),
        f"{check.read_ms_cm:g}",
        f"{check.standard_ms_cm:g}",
        f"{check.correction_factor:.3f}",
        "yes, in force" if past.is_in_force else "yes" if check.is_usable else "no",
    )
