"""The stock-take: spot by spot with one tap a pot, or from a printed list typed in after."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.growing import stock_outlook
from halfwater.deeds.said import STATES
from halfwater.deeds.scores import keep_leaves
from halfwater.deeds.stock_take import StockTake, Stop, note_count, tanks_to_walk, undo_count, walk
from halfwater.errors import HalfwaterError, RefusedByBook, RefusedInput
from halfwater.plain.entry import CAUSES
from halfwater.plain.figures import show_date
from halfwater.web.fields import Field, said
from halfwater.web.requests import WHO

_STEPS = (-1, 1, 2, 3)
_FIRST = range(1, 9)  # leaves of most sections, for a pot that was never counted


@dataclass(frozen=True, slots=True)
class TankLine:
    """A tank that can be walked."""

    name: str
    url: str
    list_url: str
    word: str
    tone: str
    about: str


@dataclass(frozen=True, slots=True)
class TakePage:
    """The tanks to walk."""

    answer: str
    tanks: tuple[TankLine, ...]


@dataclass(frozen=True, slots=True)
class Tap:
    """One button: what it says and what it notes."""

    word: str
    said: str


@dataclass(frozen=True, slots=True)
class WalkPage:
    """One pot on the walk; `spot` is empty when all are done."""

    tank: str
    done: int
    pots: int
    spot: str
    pot: int
    name: str
    taxon: str
    last: str
    state: str
    same: Tap | None
    steps: tuple[Tap, ...]
    causes: tuple[Tap, ...]
    states: tuple[Tap, ...]
    other: Field
    uuid: str
    refusal: str
    is_counted: bool
    url: str
    before_url: str
    after_url: str
    list_url: str


def take(request: HttpRequest) -> HttpResponse:
    """The tanks with pots, and how far each is counted."""
    now = timezone.now()
    today = local_day(now, queries.nursery())
    lines = tuple(
        TankLine(
            name=one.tank,
            url=reverse("walk", args=[one.tank]),
            list_url=reverse("take-list", args=[one.tank]),
            word="all counted" if one.done == one.pots else f"{one.done} of {one.pots}",
            tone="" if one.done == one.pots else "quiet",
            about=f"oldest count {show_date(one.oldest_on, today)}"
            if one.oldest_on
            else "some never counted",
        )
        for one in tanks_to_walk(now)
    )
    left = sum(one.tone == "quiet" for one in lines)
    answer = (
        f"{left} of {len(lines)} tanks are left to walk today." if lines else "No pot stands on a floor yet."
    )
    return render(request, "stock/take.html", {"page": TakePage(answer, lines)})


def walk_tank(request: HttpRequest, tank: str) -> HttpResponse:
    """One pot of the walk: the one asked for, else the first not counted today."""
    taken = known_walk(tank)
    if request.method == "POST":
        return _note(request, taken)
    if not taken.done:
        keep_leaves(stock_outlook(timezone.now()), taken.tank)  # foreseen before it is counted, to be scored
    return render(
        request, "stock/walk.html", {"page": walk_page(taken, _stop(taken, request.GET.get("at", "")))}
    )


@require_POST
def undo(request: HttpRequest, uuid: UUID) -> HttpResponse:
    """Take back what was just noted of a pot, and show that pot again."""
    fact = queries.entry(uuid)
    if fact is None:
        raise Http404
    try:
        undo_count(uuid, WHO, timezone.now())
        messages.success(request, "Taken back.")
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect(f"{reverse('walk', args=[fact.tank_name])}?at={fact.spot}")


def known_walk(tank: str) -> StockTake:
    """The walk of this tank, or no page."""
    try:
        return walk(tank, timezone.now())
    except (RefusedInput, RefusedByBook) as refused:
        raise Http404 from refused


def walk_page(
    taken: StockTake, stop: Stop | None, typed: str = "", uuid: str = "", refusal: str = ""
) -> WalkPage:
    """The page of one stop; all done where there is none."""
    url = reverse("walk", args=[taken.tank])
    spots = [one.spot for one in taken.stops]
    place = spots.index(stop.spot) if stop else len(spots)
    leaves = stop.leaves if stop else None
    return WalkPage(
        tank=taken.tank,
        done=taken.done,
        pots=len(taken.stops),
        spot=stop.spot if stop else "",
        pot=stop.pot if stop else 0,
        name=stop.name if stop else "",
        taxon=stop.taxon_name if stop else "",
        last=_last(stop, taken.on) if stop else "",
        state=stop.state if stop else "",
        same=Tap(f"{leaves} {'leaf' if leaves == 1 else 'leaves'}, as before", "same")
        if leaves is not None
        else None,
        steps=_steps(leaves),
        causes=tuple(Tap(cause, f"lost {cause}") for cause in CAUSES),
        states=tuple(Tap(state, state) for state in STATES if not stop or state != stop.state),
        other=Field("leaves", "Another number of leaves", typed, inputmode="numeric", refusal=refusal),
        uuid=uuid or str(uuid4()),
        refusal=refusal,
        is_counted=bool(stop and stop.is_done),
        url=url,
        before_url=f"{url}?at={spots[place - 1]}" if place else "",
        after_url=f"{url}?at={spots[place + 1]}" if place + 1 < len(spots) else "",
        list_url=reverse("take-list", args=[taken.tank]),
    )


def _note(request: HttpRequest, taken: StockTake) -> HttpResponse:
    stop = _stop(taken, request.POST.get("spot", ""))
    typed = str(request.POST.get("said") or request.POST.get("leaves") or "")
    uuid = str(request.POST.get("uuid", ""))
    if stop is None:
        raise Http404
    try:
        noted = note_count(stop.pot, typed, UUID(uuid), WHO, timezone.now())
    except (HalfwaterError, ValueError) as error:
        refusal = said(error) if isinstance(error, RefusedInput) else str(error)
        page = walk_page(taken, stop, typed, uuid if not isinstance(error, ValueError) else "", refusal)
        return render(request, "stock/walk.html", {"page": page}, status=422)
    messages.success(request, f"{stop.spot}, {noted.said}.", extra_tags=f"count:{noted.uuid}")
    after = _after(taken, stop)
    url = reverse("walk", args=[taken.tank])
    return redirect(f"{url}?at={after.spot}" if after else url)


def _after(taken: StockTake, stop: Stop) -> Stop | None:
    """The next pot that is not counted, going on from here."""
    later = taken.stops[taken.stops.index(stop) + 1 :]
    return next((one for one in later if not one.is_done), None)


def _stop(taken: StockTake, spot: str) -> Stop | None:
    return next((one for one in taken.stops if one.spot == spot), None if spot else taken.next)


def _steps(leaves: int | None) -> tuple[Tap, ...]:
    """One less, one to three more; the first few numbers where nothing was counted yet."""
    if leaves is None:
        return tuple(Tap(f"{count}", f"{count}") for count in _FIRST)
    signs = {step: f"{'−' if step < 0 else '+'}{abs(step)}" for step in _STEPS}
    return tuple(
        Tap(f"{signs[step]}: {leaves + step}", f"{leaves + step}") for step in _STEPS if leaves + step >= 0
    )


def _last(stop: Stop, today: date) -> str:
    if stop.counted_on is None:
        return "never counted"
    return f"last count {stop.leaves}, {show_date(stop.counted_on, today)}"
