"""Plan: the plan that was made last, a new one, and what would be if."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.plan_cutting import plan as make_plan
from halfwater.deeds.planned_cut import note_planned_cut, planned_cuts
from halfwater.deeds.standing_plan import PlannedCutting, newest_plan
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.figures import show_date
from halfwater.web.fields import Form
from halfwater.web.plan.cuts import cut_drawers
from halfwater.web.plan.floors import floors_of
from halfwater.web.plan.page import PlanPage, plan_page
from halfwater.web.plan.what_ifs import compared, what_if_form, what_ifs_typed
from halfwater.web.requests import WHO
from halfwater.web.stock.words import pots_said
from halfwater.web.tanks.drawers import Drawer, opened


@dataclass(frozen=True, slots=True)
class NoPlanPage:
    """What stands where no plan is made yet."""

    answer: str


def plan(request: HttpRequest) -> HttpResponse:
    """The plan that was made last."""
    now = timezone.now()
    planned = newest_plan(now)
    if planned is None:
        answer = "No plan is made yet."
        return render(request, "plan/empty.html", {"page": NoPlanPage(answer)})
    return render(request, "plan/page.html", {"page": _page(planned, now)})


@require_POST
def anew(request: HttpRequest) -> HttpResponse:
    """Make a plan of today's stock. One that is none is shown with what stands against it, not kept."""
    now = timezone.now()
    try:
        planned = make_plan(now)
    except HalfwaterError as error:
        messages.error(request, str(error))
        return redirect("plan" if queries.prices() else "plan-frame")
    if planned.plan.status == "optimal" and not planned.plan.faults:
        messages.success(request, f"The plan is made, in {planned.plan.all_s:.1f} seconds.")
        return redirect("plan")
    return render(request, "plan/page.html", {"page": _page(planned, now)})


@require_POST
def what_if(request: HttpRequest) -> HttpResponse:
    """A plan with something changed, shown and not kept."""
    now, form = timezone.now(), what_if_form().with_typed(request.POST)
    kept = newest_plan(now)
    try:
        planned = make_plan(now, what_ifs_typed(what_if_form().read(request.POST)))
    except HalfwaterError as error:
        if kept is None:
            messages.error(request, str(error))
            return redirect("plan")
        page = _page(kept, now, form.with_refusal(error))
        return render(request, "plan/page.html", {"page": page}, status=422)
    page = _page(planned, now, form, compared(planned.plan, kept.plan if kept else None))
    return render(request, "plan/page.html", {"page": page})


@require_POST
def cut(request: HttpRequest, key: str) -> HttpResponse:
    """Note a planned cut; a refusal opens its drawer again with all that was typed."""
    now = timezone.now()
    planned = newest_plan(now)
    drawers = cut_drawers(planned_cuts(planned, now)) if planned else ()
    drawer = next((one for one in drawers if one.kind == key), None)
    if planned is None or drawer is None:
        messages.error(request, "The plan asks for this cut no more: its pots are cut, moved or gone.")
        return redirect("plan")
    try:
        typed = drawer.form.read(request.POST)
        noted = note_planned_cut(key, typed, _uuid(typed["uuid"]), WHO, now)
    except HalfwaterError as error:
        page = _page(planned, now, drawers=opened(drawers, key, request.POST, error))
        return render(request, "plan/page.html", {"page": page}, status=422)
    said = f"The cut is noted: {noted.batch_name} has {pots_said(len(noted.pots))}."
    if noted.spare:
        said += f" {noted.spare} section{' is' if noted.spare == 1 else 's are'} left over."
    messages.success(request, said, extra_tags=f"cut:{noted.batch}")
    return redirect("plan")


def _uuid(text: str) -> UUID:
    try:
        return UUID(text)
    except ValueError as error:
        raise RefusedInput("uuid", text, "the mark of this form: open the page anew") from error


def _page(
    planned: PlannedCutting,
    now: datetime,
    form: Form | None = None,
    against: str = "",
    drawers: tuple[Drawer, ...] | None = None,
) -> PlanPage:
    today = local_day(now, queries.nursery())
    made = f"Made {show_date(local_day(planned.made_at, queries.nursery()), today)}."
    if planned.is_stale:
        made += f" Plan anew: {planned.why_stale}."
    if planned.what_ifs:
        made = f"What if: {'; '.join(planned.what_ifs)}. {against} This is only shown, not kept."
    floors = () if planned.what_ifs else floors_of(planned.plan.actions, queries.tanks())
    made_drawers = cut_drawers(planned_cuts(planned, now)) if drawers is None else drawers
    return plan_page(
        planned.plan, planned.futures, planned.habits, floors, made, form or what_if_form(), made_drawers
    )
