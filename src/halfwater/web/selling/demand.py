"""Demand and price: what past releases say, and what to ask next."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.demand import sales_outlook
from halfwater.deeds.price_advice import price_advice
from halfwater.plain.figures import show_money, show_number
from halfwater.plain.growing import Span
from halfwater.plain.pricing import PriceAdvice
from halfwater.web.selling.sheet import Card, Listing, SalesPage, plain_row

_SHOWN = 24
_AHEAD = ("Line", "Offered", "Wanted", "In words")


def demand(request: HttpRequest) -> HttpResponse:
    """How many would have been wanted, and what to ask at the next release."""
    now = timezone.now()
    known = sales_outlook(now)
    advice = price_advice(now)
    past = tuple(plain_row(one.said) for one in known.lines[:_SHOWN])
    ahead = tuple(
        plain_row(f"{one.taxon_name}, {one.grade}", f"{one.offered}", _span(one.wanted), one.said)
        for one in known.ahead
    )
    page = SalesPage(
        title="Demand and price",
        answer=known.said,
        back="Sales",
        back_url=reverse("sales"),
        more=(known.learn_next,) if known.learn_next else (),
        cards_title="What to ask",
        cards=tuple(_advised(one) for one in advice),
        listings=(
            Listing(
                "If it is offered again", ("Line", "Offered", "Wanted", "In words"), ahead, "Nothing yet."
            ),
            Listing("What past lines say", ("In words",), past, "No line was sold yet."),
        ),
        cautions=tuple(dict.fromkeys((*known.cautions, *(said for one in advice for said in one.cautions)))),
        workings=(*known.workings, *(advice[0].workings if advice else ())),
    )
    return render(request, "selling/page.html", {"page": page})


def _advised(one: PriceAdvice) -> Card:
    currency = queries.nursery().currency
    price = f"Now {show_money(one.now.price_minor, currency)}, then {show_money(one.price_minor, currency)}."
    number = f"Offer {one.offered}; between {one.offered_p10} and {one.offered_p90} would be right."
    asked = tuple(said for said in (one.reason, one.to_learn) if said)
    return Card(f"{one.taxon_name}, {one.grade}", one.sentence or one.verdict, (price, number), asked)


def _span(wanted: Span) -> str:
    return f"{show_number(wanted.p50, 0)} ({show_number(wanted.p10, 0)} to {show_number(wanted.p90, 0)})"
