"""Prices and habit: what the plan rests on, each sheet kept on its own."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from halfwater.book import queries
from halfwater.deeds.prices import price_lines, save_habit_sheet, save_price_sheet
from halfwater.errors import HalfwaterError
from halfwater.plain.figures import show_money
from halfwater.web.fields import Field, Form
from halfwater.web.measures import unit_of
from halfwater.web.requests import WHO
from halfwater.web.sheets import FormPage, Group, Sheet

_PRICES, _HABIT = "prices", "habit"


def frame(request: HttpRequest) -> HttpResponse:
    """The two sheets; the one that was sent is kept, or answered beside its fields."""
    prices, habit = price_form(), habit_form()
    sent = request.GET.get("sheet", "")
    if request.method == "POST":
        form = habit if sent == _HABIT else prices
        save = save_habit_sheet if sent == _HABIT else save_price_sheet
        try:
            save(form.read(request.POST), WHO)
            messages.success(request, "Kept. The next plan is made from it.")
            return redirect("plan-frame")
        except HalfwaterError as error:
            refused = form.with_typed(request.POST).with_refusal(error)
            prices, habit = (prices, refused) if sent == _HABIT else (refused, habit)
    page = FormPage(
        title="Prices and habit",
        intro="" if prices.fields else "Prices are asked for once pots stand on a floor.",
        sheets=(*_price_sheets(prices), Sheet(habit, "Keep the habit", title="Habit")),
        back="Plan",
        back_url=reverse("plan"),
    )
    is_refused = prices.is_refused or habit.is_refused
    return render(request, "shared/form.html", {"page": page}, status=422 if is_refused else 200)


def price_form() -> Form:
    """A price and the most a release sells, for every grade that may be sold."""
    currency = queries.nursery().currency
    fields = []
    for line in price_lines():
        mark = f"{line.taxon}_{line.grade}"
        fields += [
            Field(
                f"price_{mark}",
                f"Price, {line.grade}",
                _amount(line.price_minor, currency),
                currency,
                is_optional=True,
                inputmode="decimal",
            ),
            Field(
                f"most_{mark}",
                f"Most a release sells, {line.grade}",
                "" if line.most_per_release is None else f"{line.most_per_release}",
                is_optional=True,
                inputmode="numeric",
            ),
        ]
    return Form(tuple(fields), action=f"{reverse('plan-frame')}?sheet={_PRICES}")


def habit_form() -> Form:
    """What the grower can and wants to do."""
    habit, nursery = queries.cutting_habit(), queries.nursery()
    minutes = unit_of("plain", nursery.units).text(habit.minutes_a_week)
    release = habit.next_release_on.isoformat() if habit.next_release_on else ""
    hour = _amount(habit.hour_minor, nursery.currency)
    weeks, kept = f"{habit.release_every_weeks}", f"{habit.least_kept}"
    limit = "For cutting, moving, counting and packing. Left empty: not limited."
    fields = (
        Field("minutes_a_week", "Minutes a week", minutes, help=limit, is_optional=True, inputmode="decimal"),
        Field("hour", "Worth of an hour", hour, nursery.currency, is_optional=True, inputmode="decimal"),
        Field("release_every_weeks", "Weeks from release to release", weeks, inputmode="numeric"),
        Field("next_release_on", "Next release", release, type="date", is_optional=True),
        Field("least_kept", "Parents of each taxon never sold", kept, inputmode="numeric"),
    )
    return Form(fields, action=f"{reverse('plan-frame')}?sheet={_HABIT}")


def _price_sheets(form: Form) -> tuple[Sheet, ...]:
    if not form.fields:
        return ()
    names = {f"{line.taxon}": line.taxon_name for line in price_lines()}
    groups = tuple(
        Group(name, tuple(one for one in form.fields if one.name.split("_")[1] == key))
        for key, name in names.items()
    )
    return (Sheet(form, "Keep the prices", title="Prices", groups=groups),)


def _amount(minor: int | None, currency: str) -> str:
    """Money as it would be typed, without its sign."""
    return "" if minor is None else show_money(minor, currency).removesuffix(currency).strip()
