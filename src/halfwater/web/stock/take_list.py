"""The list of a tank: printed, filled in by pencil, typed in after. All of it is noted, or nothing."""

from dataclasses import dataclass
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from halfwater.deeds.clock import read_day
from halfwater.deeds.said import SAID_ACCEPTED
from halfwater.deeds.stock_take import StockTake, note_sheet
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.figures import show_date
from halfwater.web.fields import Field, said
from halfwater.web.requests import WHO
from halfwater.web.stock.take import known_walk

_ON = "on"


@dataclass(frozen=True, slots=True)
class ListLine:
    """One pot on the list."""

    spot: str
    name: str
    taxon: str
    state: str
    last: str
    field: Field


@dataclass(frozen=True, slots=True)
class ListPage:
    """The list of one tank."""

    tank: str
    walk_url: str
    accepted: str
    on: Field
    lines: tuple[ListLine, ...]
    uuid: str
    refusal: str


def take_list(request: HttpRequest, tank: str) -> HttpResponse:
    """Show the list; a filled one is noted."""
    taken = known_walk(tank)
    if request.method != "POST":
        return render(request, "stock/take_list.html", {"page": list_page(taken, {}, {}, str(uuid4()))})
    typed = {key: str(value) for key, value in request.POST.items()}
    cells = {stop.spot: typed.get(f"spot-{stop.spot}", "") for stop in taken.stops}
    try:
        on = read_day(typed.get(_ON, ""), _ON) if typed.get(_ON) else None
        noted = note_sheet(taken.tank, cells, UUID(typed.get("uuid", "")), WHO, timezone.now(), on)
    except (HalfwaterError, ValueError) as error:
        page = list_page(taken, typed, _refusals(error), typed.get("uuid", ""))
        return render(request, "stock/take_list.html", {"page": page}, status=422)
    new = sum(not one.was_there for one in noted)
    pots = f"{new} pot{'' if new == 1 else 's'}"
    messages.success(
        request, f"{pots} of {taken.tank} noted from the list." if new else "It was in the book already."
    )
    return redirect(reverse("take"))


def list_page(taken: StockTake, typed: dict[str, str], refusals: dict[str, str], uuid: str) -> ListPage:
    """The list holding what was typed, each refusal beside its cell."""
    on = typed.get(_ON, taken.on.isoformat())
    lines = tuple(
        ListLine(
            spot=stop.spot,
            name=stop.name,
            taxon=stop.taxon_name,
            state=stop.state,
            last=f"{stop.leaves}, {show_date(stop.counted_on, taken.on)}" if stop.counted_on else "never",
            field=Field(
                f"spot-{stop.spot}",
                f"{stop.spot}: {stop.name}",
                typed.get(f"spot-{stop.spot}", ""),
                refusal=refusals.get(stop.spot, ""),
            ),
        )
        for stop in taken.stops
    )
    marked = sum(bool(line.field.refusal) for line in lines) or bool(refusals.get(_ON))
    note = "Nothing was noted yet: see the marked lines below." if marked else refusals.get("", "")
    return ListPage(
        tank=taken.tank,
        walk_url=reverse("walk", args=[taken.tank]),
        accepted=f"Beside each pot: {SAID_ACCEPTED}. Left empty: nobody looked.",
        on=Field(_ON, "Counted on", on, type="date", refusal=refusals.get(_ON, "")),
        lines=lines,
        uuid=uuid,
        refusal=note if refusals else "",
    )


def _refusals(error: Exception) -> dict[str, str]:
    """Each refusal by the cell it is about; what belongs to none is said above the list."""
    if isinstance(error, ValueError) and not isinstance(error, HalfwaterError):
        return {"": "This list has lost its mark: open it anew and type it once more."}
    refused = getattr(error, "refused", (error,))
    cells = {one.field: said(one) for one in refused if isinstance(one, RefusedInput) and one.field != "list"}
    return cells or {"": getattr(error, "sentence", str(error))}
