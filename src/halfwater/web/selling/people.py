"""Buyers and the list of places."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds import buyers as buyer_deeds
from halfwater.deeds import places as place_deeds
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.figures import show_date
from halfwater.plain.selling import BuyerFacts, PlaceRule
from halfwater.web.fields import Form
from halfwater.web.requests import WHO
from halfwater.web.selling.forms import buyer_form, rule_form
from halfwater.web.selling.sheet import Button, Card, ConfirmPage, Listing, Row, SalesPage, plain_row
from halfwater.web.selling.words import order_rows, plants_said
from halfwater.web.tanks.drawers import Drawer

PAGE = "selling/page.html"


def buyers(request: HttpRequest) -> HttpResponse:
    """Who ordered."""
    known = queries.buyers()
    page = SalesPage(
        title="Buyers",
        answer=f"{plants_said(len(known), 'buyer')} in the book.",
        back="Sales",
        back_url=reverse("sales"),
        rows_title="Buyers",
        rows=tuple(
            Row(
                one.name or "erased",
                reverse("buyer", args=[one.key]),
                one.place,
                plants_said(one.orders, "order"),
            )
            for one in known
        ),
        rows_empty="Nobody has ordered yet.",
    )
    return render(request, PAGE, {"page": page})


def buyer(request: HttpRequest, key: int) -> HttpResponse:
    """One buyer: what is kept, changed, given out, erased."""
    found = next((one for one in queries.buyers() if one.key == key), None)
    if found is None:
        raise Http404
    form = buyer_form(found)
    if request.method == "POST":
        try:
            buyer_deeds.save_buyer_sheet(form.read(request.POST), WHO, timezone.now(), key)
            messages.success(request, "The buyer is changed.")
            return redirect("buyer", key)
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    return _buyer_page(request, found, form)


def _buyer_page(request: HttpRequest, found: BuyerFacts, form: Form) -> HttpResponse:
    key = found.key
    own = queries.orders(buyer=key)
    kept = tuple(
        plain_row(name, value)
        for name, value in (
            ("Name", found.name),
            ("Contact", found.contact),
            ("Address", found.address),
            ("Place", found.place),
        )
        if value
    )
    erase = Button(
        "Erase the personal words …", reverse("buyer-erase", args=[key]), is_post=False, is_danger=True
    )
    page = SalesPage(
        title=found.name or "An erased buyer",
        answer=f"{plants_said(len(own), 'order')} in the book.",
        back="Buyers",
        back_url=reverse("buyers"),
        buttons=(
            Button("All that is kept (JSON)", reverse("buyer-export", args=[key]), is_post=False),
            *(() if found.erased_at else (erase,)),
        ),
        listings=(Listing("What is kept", ("What", "Words"), kept, "Nothing personal."),),
        orders=order_rows(own),
        drawers=()
        if found.erased_at
        else (Drawer("buyer", "Change what is kept", "Keep it", "", form, form.is_refused),),
        cautions=(buyer_deeds.ERASE_CAUTION,),
    )
    return render(request, PAGE, {"page": page}, status=422 if form.is_refused else 200)


def buyer_export(request: HttpRequest, key: int) -> HttpResponse:
    """All that the book has of a buyer."""
    try:
        text = buyer_deeds.export_buyer(key)
    except RefusedInput as unknown:
        raise Http404 from unknown
    response = HttpResponse(text, content_type="application/json")
    response.headers["Content-Disposition"] = f'attachment; filename="buyer-{key}.json"'
    return response


def buyer_erase(request: HttpRequest, key: int) -> HttpResponse:
    """Erase a buyer's personal words, after asking."""
    if request.method != "POST":
        found = next((one for one in queries.buyers() if one.key == key), None)
        if found is None:
            raise Http404
        where = reverse("buyer", args=[key])
        page = ConfirmPage(
            title=f"Erase {found.name or 'this buyer'}?",
            back=found.name or "Buyer",
            back_url=where,
            said=("This cannot be taken back.", buyer_deeds.ERASE_CAUTION),
            does="Erase the personal words",
            url=reverse("buyer-erase", args=[key]),
            is_danger=True,
        )
        return render(request, "selling/confirm.html", {"page": page})
    try:
        buyer_deeds.erase_buyer(key, WHO, timezone.now())
        messages.success(request, "Erased. Numbers and money of the orders stay.")
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect("buyer", key)


def places_list(request: HttpRequest) -> HttpResponse:
    """The grower's own list of places."""
    form = rule_form()
    if request.method == "POST":
        try:
            place_deeds.save_rule_sheet(form.read(request.POST), WHO)
            messages.success(request, "The rule is kept: orders to that place are checked against it.")
            return redirect("places-list")
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    rules = queries.place_rules()
    page = SalesPage(
        title="Places",
        answer=f"{plants_said(len(rules), 'rule')} on your list; orders are checked against them.",
        back="Sales",
        back_url=reverse("sales"),
        cards_title="Rules",
        cards=tuple(_rule(one) for one in rules),
        drawers=(Drawer("rule", "Add a rule", "Keep the rule", "", form, form.is_refused),),
        cautions=(place_deeds.CAUTION,),
    )
    return render(request, PAGE, {"page": page}, status=422 if form.is_refused else 200)


@require_POST
def place_remove(request: HttpRequest, key: int) -> HttpResponse:
    """Take a rule off the list."""
    try:
        place_deeds.remove_rule(key, WHO)
        messages.success(request, "The rule is off the list.")
    except HalfwaterError as error:
        messages.error(request, str(error))
    return redirect("places-list")


def _rule(one: PlaceRule) -> Card:
    """A rule of the list, with its way off."""
    asked = f"Last asked {show_date(one.checked_on)}." if one.checked_on else "Never asked yet."
    return Card(
        one.place,
        f"{one.taxon_name or 'Any taxon'}: {(one.text or one.kind).rstrip('.')}.",
        (asked,),
        state=one.kind,
        tone={"not allowed": "past", "needs paper": "due"}.get(one.kind, "quiet"),
        button=Button("Take it off the list", reverse("place-remove", args=[one.key]), is_danger=True),
    )
