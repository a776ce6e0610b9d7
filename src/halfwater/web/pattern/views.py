"""The pattern page: every element of the pages on one sheet, to be looked at."""

from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from halfwater.pictures.floor import STATES, draw_does, draw_state
from halfwater.pictures.lineage import draw_lineage
from halfwater.pictures.plan import CalendarBand, CalendarMark, CalendarPicture, draw_calendar
from halfwater.pictures.score import draw_share
from halfwater.plain.lineage import Lineage, LineageBatch
from halfwater.plain.stock import ParentFact
from halfwater.plain.working import Working
from halfwater.web import cautions
from halfwater.web.fields import Field, Form
from halfwater.web.stock.page import SlowPot, StateCount
from halfwater.web.tanks.drawers import Drawer
from halfwater.web.workings import Figure

_ON = date(2026, 3, 2)
_FAMILY = Lineage(
    "Nana",
    (
        LineageBatch(1, "June", 1, "Nana", date(2025, 6, 1), 0, 12, 3, 20, 1),
        LineageBatch(2, "Winter", 1, "Nana", date(2025, 12, 1), 1, 9, 0, 0, 0, (ParentFact(1, "June"),)),
    ),
    2,
    "Two batches.",
)
_MARKS = (CalendarMark(1, "cut", 3), CalendarMark(4, "sell", 2))
_CALENDAR = CalendarPicture(
    _ON,
    8,
    (CalendarBand("Nana", (21, 22, 24, 24, 23, 25, 26, 26), _MARKS),),
    ((4, "Apr"),),
)


@dataclass(frozen=True, slots=True)
class PatternPage:
    """One of each."""

    form: Form
    figures: tuple[Figure, ...]
    workings: tuple[Working, ...]
    counts: tuple[StateCount, ...]
    does: tuple[tuple[str, str], ...]
    share: str
    lineage: str
    calendar: str
    drawer: Drawer
    pots: tuple[SlowPot, ...]
    cautions: tuple[str, ...]


def pattern(request: HttpRequest) -> HttpResponse:
    """The elements, each once."""
    page = PatternPage(
        form=_form(),
        figures=(Figure("Waterline", "21 mm", "19 to 23 mm, 80 % range"), Figure("Bath", "3.4 L")),
        workings=(
            Working(
                "Lines", "limit line = clay line − margin", (("margin", "6 mm"),), "25 mm", "own definition"
            ),
        ),
        counts=tuple(StateCount(state, place + 1, draw_state(state)) for place, state in enumerate(STATES)),
        does=tuple((mark, draw_does(mark)) for mark in ("cut", "sell", "keep", "move", "new")),
        share=draw_share(0.62, 0.8, 0.91, 0.8, "80 % inside, known to lie within 62 to 91 %"),
        lineage=draw_lineage(_FAMILY),
        calendar=draw_calendar(_CALENDAR),
        drawer=Drawer("pattern", "A drawer", "Note it", "last today", Form((Field("in_drawer", "Leaves"),))),
        pots=(SlowPot("June 3", "#slow", "North A3", "slow", "makes 1.0 leaves where its batch makes 2.1"),),
        cautions=(cautions.ELECTRICITY,),
    )
    return render(request, "pattern/page.html", {"page": page})


def _form() -> Form:
    return Form(
        (
            Field("plain", "A field", "21", "mm", help="With its unit beside it."),
            Field(
                "refused",
                "A refused field",
                "deep",
                "mm",
                refusal="“deep” cannot be used here. A length such as 21 mm.",
            ),
            Field("select", "A list", "a", type="select", choices=(("a", "first"), ("b", "second"))),
            Field("choice", "A choice", "a", type="choice", choices=(("a", "Metric"), ("b", "US"))),
            Field("tick", "A tick", "yes", type="tick"),
            Field("words", "Words", "", type="area", is_optional=True, is_wide=True),
        )
    )
