"""Money: the accounts and what-ifs, the sheets they rest on, the ledger."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from halfwater.book import queries
from halfwater.deeds import money, money_sheets
from halfwater.deeds.clock import local_day, read_day
from halfwater.deeds.notes import Typed, note
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.plain.figures import show_date, show_money
from halfwater.web.fields import Field, Form
from halfwater.web.money.forms import FORMS, period_form, tank_form, taxon_form, work_form
from halfwater.web.money.page import money_page, sheet_url
from halfwater.web.requests import WHO
from halfwater.web.sheets import FormPage, Sheet

MOST_LINES = 50  # of purchases shown at once, the newest first


@dataclass(frozen=True, slots=True)
class Row:
    """A purchase, charge, tariff, power or fee as it is listed."""

    name: str
    about: str
    url: str


@dataclass(frozen=True, slots=True)
class Rows:
    """All of one kind."""

    title: str
    noun: str
    add_url: str
    lines: tuple[Row, ...]
    more: str = ""


@dataclass(frozen=True, slots=True)
class CostsPage:
    """What the accounts rest on."""

    kinds: tuple[Rows, ...]
    work: Form


def page(request: HttpRequest) -> HttpResponse:
    """The accounts; a what-if or months in the address are answered on the same page."""
    now, asked = timezone.now(), request.GET
    period, tank, taxon, tried, is_refused = period_form(), tank_form(), taxon_form(), None, False
    months = ("", "", "used")
    try:
        if "rule" in asked or "since" in asked or "until" in asked:
            period = period.with_typed({"rule": "used"} | asked.dict())
            months = (asked.get("since", ""), asked.get("until", ""), asked.get("rule", "used"))
        facts = money.money_page(now, *months)
    except RefusedInput as error:
        period, is_refused = period.with_refusal(error), True
        facts = money.money_page(now)
    what = asked.get("what-if", "")
    if what in ("tank", "taxon"):
        form = (tank if what == "tank" else taxon).with_typed(asked)
        try:
            ask = money.what_if_tank if what == "tank" else money.what_if_taxon
            tried = ask(form.read(asked), now)
        except HalfwaterError as error:
            form, is_refused = form.with_refusal(error), True
        tank, taxon = (form, taxon) if what == "tank" else (tank, form)
    shown = money_page(facts, (period, tank, taxon), tried)
    return render(request, "money/page.html", {"page": shown}, status=422 if is_refused else 200)


def sheets(request: HttpRequest) -> HttpResponse:
    """What the accounts rest on, and the minutes of work."""
    form = work_form()
    if request.method == "POST":
        try:
            typed = form.read(request.POST)
            value = f"{typed['minutes']} {typed['task']}"
            kept = note(Typed("work", typed["tank"], value, at=typed["at"]), WHO, timezone.now())
            messages.success(request, "The minutes are noted.", extra_tags=f"entry:{kept.entry.uuid}")
            return redirect("money-sheets")
        except RefusedInput as error:
            names = {"work": "minutes", "value": "minutes"}
            error.field = names.get(error.field, error.field)
            form = form.with_typed(request.POST).with_refusal(error)
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
    return render(
        request,
        "money/sheets.html",
        {"page": CostsPage(all_rows(), form)},
        status=422 if form.is_refused else 200,
    )


def row(request: HttpRequest, noun: str, key: int | None = None) -> HttpResponse:
    """Write one purchase, charge, tariff, power or fee."""
    if noun not in FORMS:
        raise Http404
    words, make = FORMS[noun]
    form = make(key)
    if request.method == "POST":
        try:
            _SAVES[noun](form.read(request.POST), key)
        except HalfwaterError as error:
            form = form.with_typed(request.POST).with_refusal(error)
        else:
            messages.success(request, "Kept.")
            return redirect("money-sheets")
    sheets_of = [Sheet(form, f"Keep the {words}")]
    if key is not None:
        away = Form((), action=reverse("money-remove", args=[noun, key]))
        sheets_of.append(Sheet(away, f"Take the {words} out of the book", is_danger=True))
    shown = FormPage(
        f"Change the {words}" if key is not None else f"Add a {words}", tuple(sheets_of),
        back="Costs", back_url=reverse("money-sheets"),
    )  # fmt: skip
    return render(request, "shared/form.html", {"page": shown}, status=422 if form.is_refused else 200)


@require_POST
def remove(request: HttpRequest, noun: str, key: int) -> HttpResponse:
    """Take one out of the book."""
    try:
        money_sheets.remove_row(noun, key, WHO)
    except RefusedInput:
        raise Http404 from None
    messages.success(request, "Taken out of the book.")
    return redirect("money-sheets")


def ledger(request: HttpRequest) -> HttpResponse:
    """The payments as CSV to download; an odd range is said on a page."""
    form = Form((
        Field("from", "From", request.GET.get("from", ""), type="date", is_optional=True),
        Field("to", "To", request.GET.get("to", ""), type="date", is_optional=True),
    ))  # fmt: skip
    now = timezone.now()
    try:
        first, last = (
            read_day(text, name) if (text := request.GET.get(name, "").strip()) else None
            for name in ("from", "to")
        )
        text = money.ledger(now, first, last)
    except RefusedInput as error:
        messages.error(request, form.with_refusal(error).fields[0].refusal or f"{error}")
        return redirect("money")
    day = local_day(now, queries.nursery()).isoformat()
    answer = HttpResponse(text, content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = f'attachment; filename="ledger-{day}.csv"'
    return answer


def all_rows() -> tuple[Rows, ...]:
    """All that the accounts rest on, kind by kind."""
    coin = queries.nursery().currency
    bought = queries.purchases()
    newest = sorted(bought, key=lambda one: one.on, reverse=True)[:MOST_LINES]
    more = f"The newest {MOST_LINES} of {len(bought)}." if len(bought) > MOST_LINES else ""
    return (
        Rows("Purchases", "purchase", reverse("money-row-new", args=["purchase"]), tuple(
            Row(one.text, f"{show_money(one.amount_minor, coin)}, {one.kind}, {show_date(one.on)}",
                sheet_url("purchase", one.key)) for one in newest), more),
        Rows("Every month", "charge", reverse("money-row-new", args=["charge"]), tuple(
            Row(one.text, f"{show_money(one.amount_minor, coin)} a month, {one.kind}",
                sheet_url("charge", one.key)) for one in queries.charges())),
        Rows("Electricity", "tariff", reverse("money-row-new", args=["tariff"]), tuple(
            Row(f"From {show_date(one.from_on)}", f"{show_money(round(one.kwh_minor), coin)} a kWh",
                sheet_url("tariff", one.key)) for one in queries.tariffs())),
        Rows("Heaters, pumps, lamps beside the tanks'", "power", reverse("money-row-new", args=["power"]),
             tuple(Row(one.text, f"{one.power_w:g} W, {one.hours:g} h a day", sheet_url("power", one.key))
                   for one in queries.power_uses())),
        Rows("Fees", "fee", reverse("money-row-new", args=["fee"]), tuple(
            Row(one.text or one.channel or "any order",
                f"{show_money(one.fixed_minor, coin)} and {100 * one.share_frac:g} %",
                sheet_url("fee", one.key)) for one in queries.fees())),
    )  # fmt: skip


_SAVES: Mapping[str, Callable[[dict[str, str], int | None], int]] = {
    "purchase": lambda typed, key: money_sheets.save_purchase_sheet(typed, WHO, timezone.now(), key),
    "charge": lambda typed, key: money_sheets.save_charge_sheet(typed, WHO, timezone.now(), key),
    "tariff": lambda typed, key: money_sheets.save_tariff_sheet(typed, WHO, timezone.now(), key),
    "power": lambda typed, key: money_sheets.save_power_sheet(typed, WHO, timezone.now(), key),
    "fee": lambda typed, key: money_sheets.save_fee_sheet(typed, WHO, key),
}
