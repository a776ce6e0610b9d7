"""Demand and price: what past releases say, and what to ask next."""

from collections.abc import Sequence

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.demand import LineAhead, sales_outlook
from halfwater.deeds.price_advice import price_advice
from halfwater.pictures.sales_wanted import WantedLine, wanted_sentence, wanted_spec, wanted_table
from halfwater.plain.figures import show_money
from halfwater.plain.pricing import PriceAdvice
from halfwater.web.chart import Chart, Key
from halfwater.web.selling.sheet import Card, SaidList, SalesPage

_SHOWN = 24  # past lines in words
_DRAWN = 12  # lines in the picture
_TONES = {"cannot know yet": "quiet", "hold": "quiet", "lower": "due", "offer fewer": "due"}


def demand(request: HttpRequest) -> HttpResponse:
    """How many would have been wanted, and what to ask at the next release."""
    now = timezone.now()
    known = sales_outlook(now)
    advice = price_advice(now)
    page = SalesPage(
        title="Demand and price",
        answer=known.said,
        back="Sales",
        back_url=reverse("sales"),
        more=(known.learn_next,) if known.learn_next else (),
        cards_title="What to ask",
        cards=tuple(_advised(one) for one in advice),
        chart=_chart(known.ahead),
        lists=(
            SaidList(
                "If it is offered again", tuple(one.said for one in known.ahead), "Nothing was offered yet."
            ),
            SaidList(
                "What past lines say",
                tuple(one.said for one in known.lines[:_SHOWN]),
                "No line was sold yet.",
            ),
        ),
        cautions=tuple(dict.fromkeys((*known.cautions, *(said for one in advice for said in one.cautions)))),
        workings=(*known.workings, *(advice[0].workings if advice else ())),
    )
    return render(request, "selling/page.html", {"page": page})


def _advised(one: PriceAdvice) -> Card:
    currency = queries.nursery().currency
    now, then = (show_money(minor, currency) for minor in (one.now.price_minor, one.price_minor))
    price = f"The price stays at {now}." if now == then else f"Now {now}, then {then}."
    number = f"Offer {one.offered}; between {one.offered_p10} and {one.offered_p90} would be right."
    asked = tuple(said for said in (one.reason, one.to_learn) if said)
    return Card(
        f"{one.taxon_name}, {one.grade}",
        one.sentence or one.verdict,
        (price, number),
        asked,
        state=one.verdict,
        tone=_TONES.get(one.verdict, ""),
    )


def _chart(ahead: Sequence[LineAhead]) -> Chart | None:
    lines = tuple(
        WantedLine(f"{one.taxon_name}, {one.grade}", one.wanted, one.offered) for one in ahead[:_DRAWN]
    )
    if not lines:
        return None
    keys = (
        Key("wanted: median and 80 % range", "shared/keys/span.html"),
        Key("offered", "selling/key_offered.html"),
    )
    return Chart("wanted", f"{wanted_sentence(lines)}.", wanted_spec(lines), wanted_table(lines), keys)
