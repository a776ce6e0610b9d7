"""A web shop's file of orders: looked at first, its columns and articles told, then brought."""

from base64 import b64decode, b64encode
from binascii import Error as NotBase64
from collections.abc import Mapping

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.order_files import BroughtOrders, bring_order_file, preview_order_file
from halfwater.deeds.order_rows import WORDS
from halfwater.errors import HalfwaterError, RefusedInput
from halfwater.web.fields import Field, Form
from halfwater.web.requests import WHO
from halfwater.web.selling.file_page import FilePage, file_page
from halfwater.web.selling.words import plants_said

_MOST_CARRIED = 1_500_000  # bytes a page carries on from the look to the bringing


def orders_file(request: HttpRequest) -> HttpResponse:
    """Look at a web shop's file, or bring it."""
    if request.method != "POST":
        return _show(request, _start_form())
    form = _start_form()
    try:
        typed = form.read(request.POST)
        data = _sent(request)
        columns, articles = _told(request.POST, typed["columns"])
        if request.POST.get("does") == "look":
            looked = preview_order_file(data, typed["shop"], timezone.now(), columns)
            carried = b64encode(data).decode() if len(data) <= _MOST_CARRIED else ""
            page = file_page(looked, typed["shop"], carried, articles)
            return render(request, "selling/file.html", {"page": page})
        brought = bring_order_file(data, typed["shop"], WHO, timezone.now(), columns, articles)
    except HalfwaterError as error:
        return _show(request, form.with_typed(request.POST).with_refusal(error))
    _say(request, brought)
    return redirect("orders")


def _show(request: HttpRequest, form: Form) -> HttpResponse:
    page = FilePage(form=form)
    return render(request, "selling/file.html", {"page": page}, status=422 if form.is_refused else 200)


def _say(request: HttpRequest, told: BroughtOrders) -> None:
    new = f"{plants_said(len(told.new), 'order')} new, {len(told.kept)} there already"
    messages.success(request, f"{new}, {len(told.paid)} of them paid since.")
    for one in told.refused:
        messages.error(request, f"{one.reference} was not granted: {one.why}")


def _sent(request: HttpRequest) -> bytes:
    """The file as it was chosen, or as the look before carried it on."""
    sent = request.FILES.get("file")
    if sent is not None:
        return bytes(sent.read())
    try:
        data = b64decode(str(request.POST.get("data", "")), validate=True)
    except (NotBase64, ValueError):
        data = b""
    if not data:
        raise RefusedInput("file", "", "a CSV file of a web shop")
    return data


def _told(post: Mapping[str, str], typed: str) -> tuple[dict[str, str], dict[str, str]]:
    """What columns and articles were said to mean."""
    columns = _columns(typed)
    columns |= {word: heading for word in WORDS if (heading := post.get(f"column_{word}", ""))}
    articles = {
        article: meant
        for name, article in post.items()
        if name.startswith("article_") and (meant := post.get(f"meant_{name.removeprefix('article_')}", ""))
    }
    return columns, articles


def _start_form() -> Form:
    known = ", ".join(one.name for one in queries.shop_columns())
    shop_help = f"What its columns mean is remembered. Known: {known or 'none yet'}."
    columns_help = (
        f"One a line, where a heading is not understood: reference=Order no. Ours: {', '.join(WORDS)}."
    )
    return Form(
        (
            Field("shop", "Name of the shop", help=shop_help),
            Field("file", "CSV file", type="file", accepts=".csv,text/csv"),
            Field("columns", "Columns", type="area", is_optional=True, is_wide=True, help=columns_help),
        ),
        action=reverse("orders-file"),
    )


def _columns(typed: str) -> dict[str, str]:
    found = {}
    for line in filter(None, (one.strip() for one in typed.splitlines())):
        ours, sign, theirs = line.partition("=")
        if not sign:
            raise RefusedInput("columns", line, "our word, = and the heading: reference=Order no")
        found[ours.strip()] = theirs.strip()
    return found
