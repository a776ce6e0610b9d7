"""Score: how the forecasts that were shown came out."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from halfwater.deeds.scores import record, settle
from halfwater.web.score.page import score_page


def score(request: HttpRequest) -> HttpResponse:
    """The record, with all that can be settled by now settled."""
    settle(timezone.now())
    return render(request, "score/page.html", {"page": score_page(record())})
