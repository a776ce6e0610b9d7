"""The pattern page: every element of the pages on one sheet, to be looked at."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from halfwater.pictures.floor import STATES, draw_state
from halfwater.plain.working import Working
from halfwater.web import cautions
from halfwater.web.fields import Field, Form
from halfwater.web.stock.page import StateCount
from halfwater.web.workings import Figure


@dataclass(frozen=True, slots=True)
class PatternPage:
    """One of each."""

    form: Form
    figures: tuple[Figure, ...]
    workings: tuple[Working, ...]
    counts: tuple[StateCount, ...]
    cautions: tuple[str, ...]


def pattern(request: HttpRequest) -> HttpResponse:
    """The elements, each once."""
    page = PatternPage(
        form=Form(
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
        ),
        figures=(Figure("Waterline", "21 mm", "19 to 23 mm, 80 % range"), Figure("Bath", "3.4 L")),
        workings=(
            Working(
                "Lines", "limit line = clay line − margin", (("margin", "6 mm"),), "25 mm", "own definition"
            ),
        ),
        counts=tuple(StateCount(state, place + 1, draw_state(state)) for place, state in enumerate(STATES)),
        cautions=(cautions.ELECTRICITY,),
    )
    return render(request, "pattern/page.html", {"page": page})
